"""Numbers as a person writes them."""

from decimal import Decimal
from re import Match, sub
from re import compile as pattern

_TYPED = pattern(r"([+-]?\d[\d.]*(?:[eE][+-]?\d+)?)(?: ([A-Za-z0-9/*^·²³]+))?")
# Units of a project file that lines print by another name.
_UNITS = {"kPa": "kN/m²", "kPa/m": "kN/m³", "MPa": "MN/m²", "deg": "°"}
_POWER = pattern(
    r"(?P<before>/ |\^)?(?<![\w.])(?P<digits>\d+(?:\.(?P<decimals>\d+))?)e(?P<power>[+-]?\d+)(?!\w)(?P<after>\^)?"
)
RAISED = str.maketrans("-0123456789", "⁻⁰¹²³⁴⁵⁶⁷⁸⁹")
LEAST_POWER = -3  # from which zeros are written out


def write_numbers(text: str) -> str:
    """A text with its numbers as a person writes them: 2.0e-08 as 2.0·10⁻⁸, 6.51e0 as 6.51, 4.32e-3 as 0.00432.

    The digits stay: zeros are written out only where they make none of them doubtful. As a divisor or with an exponent
    a power of ten stands in brackets.
    """
    return _POWER.sub(_write_number, text)


def _write_number(match: Match[str]) -> str:
    before, after, power = match["before"] or "", match["after"] or "", int(match["power"])
    if LEAST_POWER <= power <= len(match["decimals"] or ""):
        return f"{before}{Decimal(match['digits']).scaleb(power):f}{after}"
    number = f"{match['digits']}·10{str(power).translate(RAISED)}"
    return f"{before}({number}){after}" if before or after else number


def set_amount(text: str) -> str:
    """A typed number, or a product of numbers, as it is set: with a true minus."""
    text = sub(r"(?<![\w.])10\^(\d+)", lambda match: f"10{match[1].translate(RAISED)}", write_numbers(text))
    return set_minus(text).replace(" * ", " · ")


def set_minus(text: str) -> str:
    """A text whose negative numbers have a true minus; hyphens within words and dates stay."""
    return sub(r"(?<![\w.])-(?=\d)", "−", text)


def set_quantity(text: str) -> str:
    """A number of a project file with its unit as lines print them; any other text as it is."""
    match = _TYPED.fullmatch(text)
    if match is None:
        return text
    unit = sub(r"\^(\d)", lambda power: power[1].translate(RAISED), match[2] or "").replace("*", "·")
    return f"{set_amount(match[1].lower())} {_UNITS.get(unit, unit)}".rstrip().replace(" °", "°")
