"""The table [observed] against the plan of the project: each mistake in one line."""

import re
from collections.abc import Callable
from datetime import date

import pytest

from calc.inputs import Design
from calc.inputs.tables.observed import unit_factor

Refused = Callable[..., list[str]]

PLAN = """
[[monitoring.instrument]]
name = "SP"
quantity = "settlement"
offsets = ["-3 m", "3 m"]
source = "specification"

[[monitoring.instrument]]
name = "PP"
quantity = "pore pressure"
source = "specification"

[[monitoring.instrument]]
name = "SR"
quantity = "ring strain"
offsets = ["0 m"]
depths = ["1 m"]
source = "specification"

[[monitoring.instrument]]
name = "XX"
quantity = "other"
source = "specification"
"""
MAPPING = """
[observed]
start = 2025-06-02
date_column = "Date"
instrument_column = "Point"
value_column = "Value"

"""
PLATE = """
[[observed.instrument]]
name = "SP-1"
section = "A"
of = "SP"
offset = "3 m"
unit = "mm"
"""
AT = "[[section]]\n"


def changed(*instruments: str, mapping: str = MAPPING) -> tuple[str, str]:
    """The starter with a plan and a mapping before its sections."""
    return AT, PLAN + mapping + "".join(instruments) + "\n" + AT


def more(text: str) -> str:
    """A plate with a change of its fields, `key = value` lines that replace or are added."""
    lines = dict(line.split(" = ", 1) for line in PLATE.strip().splitlines()[1:])
    for line in text.strip().splitlines():
        key, _, value = line.partition(" = ")
        if value:
            lines[key] = value
        else:
            lines.pop(key)
    return "\n[[observed.instrument]]\n" + "\n".join(f"{key} = {value}" for key, value in lines.items()) + "\n"


def test_a_mapping_is_read_with_its_plan(read: Callable[..., Design]) -> None:
    design = read(changed(PLATE, more('name = "SP-2"\nzero = "412 mm"\nlost_on = 2025-08-01')))

    assert design.observed is not None
    assert design.observed.start == date(2025, 6, 2)
    zero = design.observed.instruments[1].zero
    assert zero is not None
    assert zero.value == pytest.approx(0.412)


def test_without_the_table_nothing_is_observed(read: Callable[..., Design]) -> None:
    assert read().observed is None


@pytest.mark.parametrize(
    ("instruments", "message"),
    [
        ([PLATE, PLATE], "observed.instrument.name: must be used once only"),
        ([more('section = "Z"')], "observed.instrument.section: must name a section (A)"),
        ([more('of = "XX"')], "observed.instrument.of: must name instruments of [monitoring] (SP, PP, SR, fill)"),
        ([more("offset")], "observed.instrument.offset: must be given: SP stands at several offsets, got nothing"),
        ([more("unit")], "must be given where observed.unit_column is not given: a unit that converts to m, got"),
        ([more('unit = "kPa"')], "observed.instrument.unit: must be a unit that converts to m"),
        ([more('zero = "3 kPa"')], "observed.instrument.zero: must be a unit that converts to m"),
        ([more("zero = 3")], "observed.instrument.zero: must be a number, a space and a unit"),
        ([more('zero = "3 %"')], "observed.instrument.zero: must be a unit that converts to m"),
        ([more('zero = "design"')], "observed.instrument.zero: must be a number, a space and a unit"),
        ([more('of = "PP"\nunit = "kPa"')], "must be given, or depth: PP stands at no single place in the ground"),
        ([more('of = "PP"\nunit = "kPa"\nlayer = "rock"')], "observed.instrument.layer: must name a layer ("),
        ([more('of = "PP"\nunit = "kPa"\ndepth = "90 m"')], "observed.instrument.depth: must lie in the soft layers"),
        ([more('of = "PP"\nunit = "kPa"\ndepth = "1 m"\nlayer = "soft-clay"')], "must be left out beside layer"),
        ([more('of = "SR"\nunit = "mm"')], 'observed.instrument.unit: must be "%" or "-"'),
        ([more('of = "SR"\nunit = "%"\nzero = "1 m"')], 'observed.instrument.zero: must be "%" or "-"'),
        ([more('of = "SR"\nunit = "%"\nzero = 0.12')], 'unit, "%" or "-" for strains, got 0.12'),
        ([more('of = "SR"\nunit = "%"\nzero = "a %"')], 'unit, "%" or "-" for strains, got "a %"'),
        ([more('replaced_by = "SP-9"')], "observed.instrument.replaced_by: must name an instrument of the same"),
        (
            [more('name = "a"\nreplaced_by = "b"'), more('name = "b"\nreplaced_by = "a"')],
            "observed.instrument.replaced_by: must not lead back to the instrument itself",
        ),
        (
            [more('name = "a"\nreplaced_by = "c"'), more('name = "b"\nreplaced_by = "c"'), more('name = "c"')],
            "observed.instrument.replaced_by: must name an instrument that replaces no other",
        ),
        (
            [more('name = "f"\nof = "fill"\nunit = "m"'), more('name = "g"\nof = "fill"\nunit = "m"')],
            "observed.instrument.of: must be the only one of its section that reads the fill",
        ),
        (
            [PLATE + 'datum = [{ date = 2025-08-01, change = "3 mm", reason = "x" }, '
             '{ date = 2025-07-01, change = "3 mm", reason = "x" }]\n'],
            "must be after the change above it (2025-08-01)",
        ),
        (
            [PLATE + 'datum = [{ date = 2025-08-01, change = 3, reason = "x" }]\n'],
            "change: must be a number, a space and a unit",
        ),
    ],
)  # fmt: skip
def test_a_mistake_is_named(refused: Refused, instruments: list[str], message: str) -> None:
    lines = [re.sub(r"\[\d+\]", "", line) for line in refused(changed(*instruments))]

    assert any(message in line for line in lines), lines


@pytest.mark.parametrize(("zero", "value"), [("0.12 %", 0.0012), ("0.0012 -", 0.0012), ("-2 %", -0.02)])
def test_a_zero_of_a_strain_says_of_what_it_is(read: Callable[..., Design], zero: str, value: float) -> None:
    """A plain number beside readings in per cent was taken a hundred times too large."""
    observed = read(changed(more(f'of = "SR"\nunit = "%"\nzero = "{zero}"'))).observed

    assert observed is not None
    assert observed.instruments[0].zero is not None
    assert observed.instruments[0].zero.value == pytest.approx(value)


@pytest.mark.parametrize("order", [("a", "b"), ("b", "a")])
def test_a_fill_that_was_replaced_stands_in_any_order(read: Callable[..., Design], order: tuple[str, str]) -> None:
    tables = {
        "a": more('name = "a"\nof = "fill"\nunit = "m"\nreplaced_by = "b"'),
        "b": more('name = "b"\nof = "fill"\nunit = "m"'),
    }

    assert read(changed(*(tables[name] for name in order))).observed is not None


def test_two_columns_of_one_name_are_refused(refused: Refused) -> None:
    lines = refused(changed(PLATE, mapping=MAPPING.replace('"Value"', '"date"')))

    assert [line for line in lines if "observed.value_column: must be another column than those above it" in line]


def test_a_code_of_ags_stands_for_one_quantity(refused: Refused) -> None:
    codes = '[[observed.ags_type]]\ncode = "PPRS"\nquantity = "pore pressure"\n'
    lines = refused(changed(codes, codes, PLATE))

    assert [line for line in lines if "observed.ags_type[2].code: must be used once only" in line], lines


def test_an_ags_file_has_units_of_its_own(read: Callable[..., Design]) -> None:
    observed = read(changed('[[observed.ags_type]]\ncode = "SETT"\nquantity = "settlement"\n', more("unit"))).observed

    assert observed is not None
    assert observed.instruments[0].unit is None


def test_a_start_in_no_time_of_works_is_refused(refused: Refused) -> None:
    lines = refused(changed(PLATE, mapping=MAPPING.replace("2025-06-02", "9999-12-31")))

    assert [line for line in lines if "observed.start: must lie in the years 1950 to 2150" in line]


def test_units_of_readings() -> None:
    assert unit_factor("mm", "m") == pytest.approx(0.001)
    assert unit_factor("%", "-") == pytest.approx(0.01)
    with pytest.raises(ValueError, match="be a unit that converts to m"):
        unit_factor("mm, ,", "m")


STATED = """
[[observed.columns]]
section = "A"
date = 2025-05-23
by = "supervision"
document = "record 31"
"""


def test_columns_are_stated_of_sections_once(read: Callable[..., Design], refused: Refused) -> None:
    design = read(changed(PLATE, STATED, mapping=MAPPING + 'longest_age = "7 d"\n'))

    assert design.observed is not None
    assert design.observed.longest_age == 7.0
    assert [one.document for one in design.observed.columns] == ["record 31"]
    other, twice = (refused(changed(PLATE, *more)) for more in ([STATED.replace('"A"', '"Z"')], [STATED, STATED]))
    assert "observed.columns[1].section: must name a section (A)" in " ".join(other)
    assert "observed.columns[2].section: must be used once only" in " ".join(twice)
