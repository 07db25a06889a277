"""What a symbol is: printed form, unit inside, unit shown, decimals shown, meaning; and how one is declared.

The printed form is written as ``base^mark_{index}``: ``K^*_{0,s}`` is K with a star and the index 0,s.
"""

from dataclasses import dataclass
from functools import cached_property
from math import pi
from re import compile as pattern

YEAR = 365.25  # days

# Factor from the coherent unit to the unit shown, for the few quantities that are shown in another unit,
# and how a person takes a value shown into the coherent unit.
SHOWN_FACTORS = {
    ("m", "mm"): 1000.0,
    ("rad", "deg"): 180.0 / pi,
    ("day", "a"): 1.0 / YEAR,
    ("-", "%"): 100.0,
    ("m/day", "m/s"): 1.0 / 86400.0,
    ("m/day", "mm/day"): 1000.0,
    ("m/day", "mm/s"): 1000.0 / 86400.0,
    ("1/day", "1/s"): 1.0 / 86400.0,
    ("1/m/day", "1/cm/s"): 1.0 / 8640000.0,
    ("m^2/day", "m^2/a"): YEAR,
    ("kPa*day", "mPa*s"): 86400.0e6,
}
INTO_COHERENT = {
    ("m", "mm"): " / 1000",
    ("day", "a"): f" * {YEAR}",
    ("-", "%"): " / 100",
    ("m/day", "m/s"): " * 86400",
    ("m/day", "mm/day"): " / 1000",
    ("m/day", "mm/s"): " / 1000 * 86400",
    ("1/day", "1/s"): " * 86400",
    ("1/m/day", "1/cm/s"): " * 100 * 86400",
    ("m^2/day", "m^2/a"): f" / {YEAR}",
    ("kPa*day", "mPa*s"): " / 10^6 / 86400",
}
SHIFTED = {"mm", "mm/day", "%"}  # units whose values differ by the place of the point alone

UNIT_TEXT = {
    "-": "",
    "deg": "°",
    "rad": "rad",
    "kPa": "kN/m²",
    "m^2": "m²",
    "m^3": "m³",
    "1/m^2": "1/m²",
    "1/m^3": "1/m³",
    "kN/m^3": "kN/m³",
    "kPa/m": "kN/m³",
    "1/kPa": "m²/kN",
    "day": "d",
    "m/day": "m/d",
    "mm/day": "mm/d",
    "kN*m": "kNm",
    "kN*m/m": "kNm/m",
    "kPa*day": "kN·d/m²",
    "mPa*s": "mPa·s",
    "m^3/day": "m³/d",
    "m^2/day": "m²/d",
    "m^2/a": "m²/a",
    "1/day": "1/d",
    "1/m/day": "1/(m·d)",
    "1/cm/s": "1/(cm·s)",
    "a": "years",
}

_PRINTED = pattern(r"(?P<base>[^_^{}]+)(?:\^(?P<mark>[*′]+))?(?:_(?:\{(?P<long>[^{}]+)\}|(?P<short>[^{}])))?")


class NomenclatureError(ValueError):
    """A symbol that is not declared, declared twice, or declared in a form that cannot be printed."""


@dataclass(frozen=True)
class Symbol:
    """One quantity of the trade as the package prints it."""

    name: str
    printed: str
    unit: str
    meaning: str
    decimals: int
    shown: str

    @cached_property
    def parts(self) -> tuple[str, str, str]:
        """Base, mark and index of the printed form."""
        match = _PRINTED.fullmatch(self.printed)
        if match is None:
            message = f"the printed form {self.printed!r} of {self.name} is not base^mark_{{index}}"
            raise NomenclatureError(message)
        return match["base"], match["mark"] or "", match["long"] or match["short"] or ""

    @property
    def plain(self) -> str:
        """The symbol in running text without markup, for alternative texts and terminals."""
        base, mark, index = self.parts
        return base + mark + (f"_{index}" if index else "")

    @property
    def factor(self) -> float:
        """Value shown divided by value inside."""
        return 1.0 if self.shown == self.unit else SHOWN_FACTORS[(self.unit, self.shown)]

    @property
    def unit_text(self) -> str:
        """The unit shown, as printed."""
        return UNIT_TEXT.get(self.shown, self.shown)

    @property
    def coherent_unit_text(self) -> str:
        """The coherent unit, as printed."""
        return UNIT_TEXT.get(self.unit, self.unit)

    @property
    def coherent_decimals(self) -> int:
        """Decimals of the value in the coherent unit that say as much as the decimals shown."""
        if self.decimals < 0:  # significant digits, the same in every unit
            return self.decimals
        return max(0, {"mm": 3, "mm/day": 3, "%": 2, "mm/s": -2}.get(self.shown, 0) + self.decimals)


NOMENCLATURE: dict[str, Symbol] = {}


def symbol(name: str) -> Symbol:
    """The declared symbol of this name."""
    try:
        return NOMENCLATURE[name]
    except KeyError:
        message = f"the symbol {name!r} is not in the nomenclature"
        raise NomenclatureError(message) from None


def declare(name: str, printed: str, unit: str, decimals: int, meaning: str, shown: str = "") -> None:
    """Declare a symbol: its name, printed form, unit inside, decimals shown, meaning, and the unit shown if another."""
    if name in NOMENCLATURE:
        message = f"the symbol {name!r} is declared twice"
        raise NomenclatureError(message)
    declared = Symbol(name, printed, unit, meaning, decimals, shown or unit)
    # Both are looked at now, so that a symbol that cannot be printed stops the import and not a page.
    _ = declared.parts, declared.factor
    NOMENCLATURE[name] = declared
