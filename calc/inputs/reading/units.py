"""Numbers with a unit: a strict pattern for the number, a small registry for the unit, one exact conversion."""

import re
from fractions import Fraction
from functools import cache, lru_cache
from typing import Any

# The registry holds what a project file may use and nothing else: no prefixes, so "kNm" or "mkm" cannot come to life.
# A month has no one length and is left out on purpose; a year is 365.25 days.
DEFINITIONS = """
m = [length]
mm = 0.001 * m
cm = 0.01 * m
km = 1000 * m
kN = [force]
N = 0.001 * kN
MN = 1000 * kN
kPa = kN / m ** 2
Pa = 0.001 * kPa
MPa = 1000 * kPa
rad = []
deg = 3.141592653589793 / 180 * rad
d = [time]
h = d / 24
min = h / 60
s = min / 60
week = 7 * d
a = 365.25 * d
"""
KNOWN = tuple(line.split(" = ")[0] for line in DEFINITIONS.strip().splitlines())

NUMBER = r"[+-]?[0-9]{1,18}(?:\.[0-9]{1,18})?(?:[eE][+-]?[0-9]{1,2})?"
_FACTOR = r"[A-Za-z]+(?:\^[1-9]|[²³])?"
UNIT = rf"(?:1/)?{_FACTOR}(?:[*·/]{_FACTOR}){{0,3}}"
_QUANTITY = re.compile(rf"({NUMBER}) ({UNIT})")
_POWERS = str.maketrans({"²": "^2", "³": "^3", "·": "*"})


class QuantityError(ValueError):
    """The text is not a number, one space and a unit of the registry."""


@cache
def _registry() -> Any:
    import pint  # noqa: PLC0415  # 0.15 s that only reading inputs needs

    registry: Any = pint.UnitRegistry(None, non_int_type=Fraction, cache_folder=None)
    registry.load_definitions(DEFINITIONS.splitlines())
    return registry


@cache
def _unit(text: str) -> Any:
    unknown = [name for name in re.findall(r"[A-Za-z]+", text) if name not in KNOWN]
    if unknown:
        message = f'the unit "{unknown[0]}" is not known here'
        raise QuantityError(message)
    if text and not re.fullmatch(UNIT, text):  # the registry would read, or choke on, what no project file may write
        message = f'"{text}" is no unit'
        raise QuantityError(message)
    return _registry().parse_units(text.translate(_POWERS))


@cache
def factor(unit: str, target: str) -> Fraction:
    """What a number in `unit` is multiplied by to be in `target`; both are texts such as "kN/m^3"."""
    source, wanted = _unit(unit), _unit(target)
    if _angular(unit) != _angular(target) or source.dimensionality != wanted.dimensionality:
        message = f'"{unit}" does not convert to {target}'
        raise QuantityError(message)
    return Fraction(_registry().convert(Fraction(1), source, wanted))


def _angular(unit: str) -> bool:
    # To the registry an angle is a plain number, but rad/s for 1/s would be a slip of the pen.
    return bool(re.search(r"\b(deg|rad)\b", unit))


@cache
def factor_inside(unit: str) -> Fraction:
    """What a number in `unit` is multiplied by to be in the coherent system: kN, m, kPa (= kN/m²), rad, day."""
    # The units that the registry calls base units are exactly those of the coherent system.
    return Fraction(_registry().Quantity(Fraction(1), _unit(unit)).to_root_units().magnitude)


@lru_cache(maxsize=4096)  # what stands in a common table is read once for each section
def split(text: str) -> tuple[Fraction, str]:
    """Number and unit of a text such as "19 kN/m^3"; the number is exact."""
    match = _QUANTITY.fullmatch(text)
    if match is None:
        # What is wrong with a text that is no quantity, by the first form of slip that it fits.
        slips = (
            (rf"{NUMBER}$", "a number without a unit"),
            (r"[+-]?[0-9]+,[0-9]", "a comma in the number (the decimal mark is the point, thousands are not marked)"),
            ("\u2212", "the sign U+2212 (write the minus of the keyboard, -)"),
            (r"(?i:[+-]?(nan|inf))", "a number that is not finite"),
            (rf"{NUMBER}\s*{UNIT}$", "no single space between number and unit"),
            (r".*°", 'the sign "°" (write "deg")'),
            (r".*[A-Za-z][23²³]", 'a power without its sign (write "^2" or "^3")'),
        )
        raise QuantityError(next((words for form, words in slips if re.match(form, text)), "another form of text"))
    _unit(match[2])
    return Fraction(match[1]), match[2]
