"""Single values: what is read, and in which words the rest is refused."""

import datetime as dt
import math
from decimal import Decimal
from typing import Any

import pint
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st
from pydantic_core import PydanticCustomError

from calc.inputs.reading import units
from calc.inputs.reading.scalars import AtRest, Number, Quantity, Scalar, Slope, Whole
from calc.inputs.reading.texts import IsoDate, Key, OneOf, Text, TrueFalse
from tests.once import cached

LENGTH = Quantity(unit="m", gt=0, le=500)
FORM = "be a number, a space and a unit that converts to m"


def refusal(kind: Scalar, value: object) -> tuple[str, str]:
    with pytest.raises(PydanticCustomError) as caught:
        kind.read(value)
    context: Any = caught.value.context
    return context["must"], context["got"]


@pytest.mark.parametrize(
    ("text", "metres"),
    [("0.80 m", 0.8), ("80 cm", 0.8), ("7.1 cm", 0.071), ("800 mm", 0.8), ("1e3 mm", 1.0), ("+1.5E-1 km", 150.0)],
)
def test_a_length_is_read_exactly(text: str, metres: float) -> None:
    assert LENGTH.read(text) == metres


@pytest.mark.parametrize(
    ("value", "must", "got"),
    [
        (
            "0,80 m",
            FORM,
            '"0,80 m": a comma in the number (the decimal mark is the point, thousands are not marked)',
        ),
        (
            "1,200 m",
            FORM,
            '"1,200 m": a comma in the number (the decimal mark is the point, thousands are not marked)',
        ),
        ("1:2", FORM, '"1:2": another form of text'),
        ("12", FORM, '"12": a number without a unit'),
        ("NaN m", FORM, '"NaN m": a number that is not finite'),
        ("-inf m", FORM, '"-inf m": a number that is not finite'),
        ("0.8m", FORM, '"0.8m": no single space between number and unit'),
        ("0.8  m", FORM, '"0.8  m": no single space between number and unit'),
        ("0.8\u00a0m", FORM, '"0.8\u00a0m": no single space between number and unit'),
        ("٣ m", FORM, '"٣ m": another form of text'),
        (".5 m", FORM, '".5 m": another form of text'),
        ("30°", FORM, '"30°": the sign "°" (write "deg")'),
        ("19 kN/m3", FORM, '"19 kN/m3": a power without its sign (write "^2" or "^3")'),
        ("1_000 m", FORM, '"1_000 m": another form of text'),
        ("0x10 m", FORM, '"0x10 m": another form of text'),
        ("1e999 m", FORM, '"1e999 m": another form of text'),
        ("", FORM, '"": another form of text'),
        ("3 kN", FORM, '"3 kN": "kN" does not convert to m'),
        ("3 m^2", FORM, '"3 m^2": "m^2" does not convert to m'),
        ("3 deg", FORM, '"3 deg": "deg" does not convert to m'),
        ("10 kNm", FORM, '"10 kNm": the unit "kNm" is not known here'),
        ("3 mms", FORM, '"3 mms": the unit "mms" is not known here'),
        ("3 M", FORM, '"3 M": the unit "M" is not known here'),
        ("3 month", FORM, '"3 month": the unit "month" is not known here'),
        (0.8, FORM, "0.8"),
        (True, FORM, "true"),
        ({"m": 1}, FORM, "a table"),
        (["1 m"], FORM, "a list"),
        ("0 m", "be greater than 0 m and at most 500 m", '"0 m"'),
        ("-1 m", "be greater than 0 m and at most 500 m", '"-1 m"'),
        ("50000.1 cm", "be greater than 0 m and at most 500 m", '"50000.1 cm"'),
    ],
)
def test_what_is_no_length_is_refused(value: object, must: str, got: str) -> None:
    assert refusal(LENGTH, value) == (must, got)


def test_an_angle_needs_its_unit() -> None:
    angle = Quantity(unit="deg", gt=0, lt=60)

    assert angle.read("32.5 deg") == pytest.approx(math.radians(32.5), rel=1e-15)
    assert angle.read("0.5 rad") == 0.5
    assert refusal(angle, 32.5) == ("be a number, a space and a unit that converts to deg", "32.5")
    assert refusal(angle, "32.5")[1] == '"32.5": a number without a unit'
    assert refusal(angle, "60 deg") == ("be greater than 0 deg and less than 60 deg", '"60 deg"')


@cached
def shipped_units() -> Any:
    """The registry with the definitions that pint ships."""
    return pint.UnitRegistry()


@pytest.mark.parametrize(
    "unit",
    [
        *("m", "mm", "cm", "km", "kN", "N", "MN", "kPa", "Pa", "MPa", "rad", "deg", "d", "h", "min", "s", "week", "a"),
        *("kN/m^3", "kN/m", "m^2/a", "m/s", "kPa/m", "MN/m^2", "N/mm^2"),
    ],
)
def test_factor_to_the_units_inside_matches_pint_default_registry(unit: str) -> None:
    """Reference library: the definitions that pint ships (its year is the Julian year of 365.25 days, as here)."""
    registry = shipped_units()
    shipped = registry.Quantity(1, unit)
    force, length, time = (shipped.dimensionality.get(name, 0) for name in ("[mass]", "[length]", "[time]"))
    # A force has the dimension of mass·length/time²: what is left of length and time belongs to the quantity.
    inside = registry.kN**force * registry.m ** (length - force) * registry.day ** (time + 2 * force)

    assert float(units.factor_inside(unit)) == pytest.approx(shipped.to(inside).magnitude, rel=1e-14)


def test_every_unit_is_its_own_and_no_prefix_makes_another() -> None:
    for prefix in ("k", "m", "M", "c", "µ", "kilo"):
        for name in units.KNOWN:
            if prefix + name not in units.KNOWN:
                with pytest.raises(units.QuantityError):
                    units.split(f"1 {prefix}{name}")


@given(st.decimals(min_value="0.001", max_value=50000, places=3), st.sampled_from([("mm", -3), ("cm", -2), ("m", 0)]))
@settings(max_examples=300)
def test_a_quantity_is_the_float_nearest_to_the_decimal_typed(number: Decimal, unit: tuple[str, int]) -> None:
    name, power = unit
    length = Quantity(unit="m")

    assert length.read(f"{number} {name}") == float(number.scaleb(power))


@given(st.floats(min_value=1e-6, max_value=1e6), st.sampled_from(["kN/m^3", "kPa", "m", "d", "kN/m"]))
@settings(max_examples=200)
def test_a_float_written_in_full_reads_back_as_itself(number: float, unit: str) -> None:
    assert Quantity(unit=unit).read(f"{Decimal(repr(number)):.18f} {unit}") == pytest.approx(number, rel=1e-11)


@given(st.text(max_size=30))
@settings(max_examples=500)
def test_no_text_makes_a_quantity_fail_in_another_way(text: str) -> None:
    try:
        number = Quantity(unit="m").read(text)
    except PydanticCustomError:
        number = 0.0
    assert math.isfinite(number)


def test_superscripts_and_products_are_units_too() -> None:
    assert Quantity(unit="kN/m^3").read("19 kN/m³") == 19.0
    assert Quantity(unit="kPa").read("1 N*kN/N/m²") == 1.0
    assert Quantity(unit="m^2/a").read("365.25 m^2/a") == pytest.approx(1.0, rel=1e-15)
    assert Quantity(unit="m/s").read("1e-9 m/s") == pytest.approx(8.64e-5, rel=1e-15)


@pytest.mark.parametrize(("text", "value"), [("1:2", 2.0), ("1:1.5", 1.5), ("2:3", 1.5), ("1.0:2.5", 2.5)])
def test_a_slope_is_vertical_to_horizontal(text: str, value: float) -> None:
    assert Slope().read(text) == value


@pytest.mark.parametrize("value", ["2 m", "2", 2, "1:-2", "1:2:3", "1,5:1", " 1:2", "a:b", True, "1/2"])
def test_what_is_no_slope_is_refused(value: object) -> None:
    assert refusal(Slope(), value)[0] == 'be a slope vertical:horizontal such as "1:2"'


@pytest.mark.parametrize("value", ["0:2", "1:0", "1:101", "11:1"])
def test_a_slope_out_of_its_range_is_refused(value: str) -> None:
    assert refusal(Slope(), value) == ("lie between 10:1 and 1:100 (vertical:horizontal)", f'"{value}"')


@pytest.mark.parametrize(
    ("kind", "value", "must", "got"),
    [
        (Number(ge=0, lt=0.5), 0.5, "be at least 0 and less than 0.5", "0.5"),
        (Number(ge=0), "0.3", "be a plain number without a unit", '"0.3"'),
        (Number(ge=0), True, "be a plain number without a unit", "true"),
        (Number(ge=0), math.nan, "be a plain number without a unit", "nan"),
        (Number(ge=0), math.inf, "be a plain number without a unit", "inf"),
        (Number(le=5), 10**400, "be at most 5", "a very large number"),
        (Number(ge=0), dt.date(2025, 1, 2), "be a plain number without a unit", "2025-01-02"),
        (Whole(ge=1, le=3), 2.0, "be a whole number", "2.0"),
        (Whole(ge=1, le=3), False, "be a whole number", "false"),
        (Whole(ge=1, le=3), 4, "be at least 1 and at most 3", "4"),
        (AtRest(gt=0, le=5), "Jaky", 'be a plain number or "jaky" (1 − sin φ)', '"Jaky"'),
        (AtRest(gt=0, le=5), 0, "be greater than 0 and at most 5", "0"),
        (Text(), 3, "be a text", "3"),
        (Text(), "  ", "be a text that says something", "an empty text"),
        (Text(longest=5), "123456", "be a text of at most 5 characters", "6 characters"),
        (
            Text(),
            "a\x00b",
            "be a text without control characters (line breaks and tabs are allowed)",
            '"a\\x00b"',
        ),
        (Text(begins=("see ", "no ")), "seen", 'begin with "see " or "no "', '"seen"'),
        (
            Key(),
            "Peat",
            "be a key of 1 to 40 signs out of small letters a-z, digits, _ and -",
            '"Peat"',
        ),
        (
            Key(capitals=True),
            "A/B",
            "be a key of 1 to 40 signs out of letters a-z and A-Z, digits, _ and -",
            '"A/B"',
        ),
        (OneOf(words=("low", "high")), "Low", 'be one of "low", "high"', '"Low"'),
        (TrueFalse(), "true", "be true or false (without quotes)", '"true"'),
        (TrueFalse(), 1, "be true or false (without quotes)", "1"),
        (
            IsoDate(),
            "30.04.2025",
            "be a day of the calendar written year-month-day such as 2025-04-30",
            '"30.04.2025"',
        ),
        (
            IsoDate(),
            "2025-02-30",
            "be a day of the calendar written year-month-day such as 2025-04-30",
            '"2025-02-30"',
        ),
        (
            IsoDate(),
            dt.datetime(2025, 4, 30, 12, 0),  # noqa: DTZ001  # as a project file would hold it
            "be a day of the calendar written year-month-day such as 2025-04-30",
            "2025-04-30 12:00:00",
        ),
    ],
)
def test_other_kinds_are_refused_in_their_own_words(kind: Scalar, value: object, must: str, got: str) -> None:
    assert refusal(kind, value) == (must, got)


def test_other_kinds_are_read() -> None:
    assert Number(ge=0).read(1) == 1.0
    assert Whole(ge=1).read(2) == 2
    assert AtRest(gt=0).read("jaky") == "jaky"
    assert AtRest(gt=0).read(0.6) == 0.6
    assert Text().read("two\nlines\tand a tab") == "two\nlines\tand a tab"
    assert Key().read("clay_1-b") == "clay_1-b"
    assert IsoDate().read("2025-04-30") == IsoDate().read(dt.date(2025, 4, 30)) == dt.date(2025, 4, 30)


def test_a_long_text_is_shown_short() -> None:
    assert refusal(LENGTH, "x" * 1000)[1] == f'"{"x" * 60}…" (1000 characters): another form of text'


@pytest.mark.parametrize("sign", ["\x00", "\x1b", "\x85", "\u2028", "\u202e", "\ufeff", "\uffff"])
def test_signs_that_cannot_be_printed_are_refused(sign: str) -> None:
    must, got = refusal(Text(), f"a{sign}b")

    assert must == "be a text without control characters (line breaks and tabs are allowed)"
    assert got.isascii()
