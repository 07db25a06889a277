"""The numbers of a project file, each with its range, its error text and its part of the JSON Schema."""

import math
import re
from collections.abc import Callable
from dataclasses import dataclass
from fractions import Fraction
from functools import cache, lru_cache
from typing import Any, NoReturn

from pydantic_core import CoreSchema, PydanticCustomError, core_schema

from calc.inputs.reading import units

# Beside control characters: what breaks lines, turns the direction of a text, or may not stand in XML.
UNPRINTABLE = re.compile(r"[\x00-\x08\x0b-\x1f\x7f-\x9f\u2028-\u202e\u2066-\u2069\ufeff\ufffe\uffff\ud800-\udfff]")
_BETWEEN = {"gt": "greater than", "ge": "at least", "lt": "less than", "le": "at most"}
_HOLDS: dict[str, Callable[[Any, Any], bool]] = {
    "gt": lambda a, b: a > b,
    "ge": lambda a, b: a >= b,
    "lt": lambda a, b: a < b,
    "le": lambda a, b: a <= b,
}


def refusal(must: str, got: str) -> PydanticCustomError:
    """The error of one value: what it must be, what it got."""
    return PydanticCustomError("input", "must {must}, got {got}", {"must": must, "got": got})


def show(value: object) -> str:
    """A value as an error message shows it: short, on one line, in the words of a project file."""
    if isinstance(value, bool):
        return "true" if value else "false"
    if isinstance(value, str):
        text = value.encode("unicode_escape").decode() if UNPRINTABLE.search(value) or "\n" in value else value
        return f'"{text}"' if len(text) <= 60 else f'"{text[:60]}…" ({len(value)} characters)'
    if isinstance(value, dict):
        return "a table"
    if isinstance(value, list | tuple):
        return "a list"
    text = "a very large number" if isinstance(value, int) and abs(value) > 10**30 else str(value)
    return text if value is not None else "nothing"


@dataclass(frozen=True, slots=True)
class Scalar:
    """A kind of value: `read` gives what it is inside, or raises the error of `refusal`."""

    def read(self, value: object) -> Any:
        """Give the value inside; raise the error that says what it must be."""
        self.refuse(value)

    def refuse(self, value: object, must: str = "", got: str = "") -> NoReturn:
        """Raise the error of a value; without other words it says the form and shows the value."""
        raise refusal(must or self.must(), got or show(value)) from None

    def must(self) -> str:
        """What the value must be, to follow the word "must"."""
        return "be a value"

    def json(self) -> dict[str, Any]:
        """The JSON Schema of the value as typed."""
        return {}

    def __get_pydantic_core_schema__(self, source: Any, handler: Any) -> CoreSchema:
        return core_schema.no_info_plain_validator_function(self.read)

    def __get_pydantic_json_schema__(self, schema: CoreSchema, handler: Any) -> dict[str, Any]:
        return self.json()


@dataclass(frozen=True, slots=True)
class Ranged(Scalar):
    """A value with a range; the bounds are in the unit shown."""

    gt: float | None = None
    ge: float | None = None
    lt: float | None = None
    le: float | None = None

    def bounds(self) -> dict[str, float]:
        """The bounds that are set, by their names gt, ge, lt, le."""
        stated = {name: getattr(self, name) for name in _BETWEEN}
        return {name: bound for name, bound in stated.items() if bound is not None}

    def range_text(self, unit: str = "") -> str:
        """The range in words, such as "greater than 0 kPa and at most 500 kPa"."""
        parts = [f"{_BETWEEN[name]} {bound:.12g}{unit and ' ' + unit}" for name, bound in self.bounds().items()]
        return " and ".join(parts)

    def within(self, number: Any) -> bool:
        """Whether the number satisfies every bound."""
        return _within(self, number)


@lru_cache(maxsize=10_000)  # few numbers stand in a file, and the tables that sections share are read again for each
def _within(kind: Ranged, number: Any) -> bool:
    return all(_HOLDS[name](number, _exact(bound)) for name, bound in kind.bounds().items())


@cache
def _exact(bound: float) -> Fraction:
    """A bound as it is written; there are few of them, and each value of a file is held against two."""
    return Fraction(str(bound))


@dataclass(frozen=True, slots=True)
class Quantity(Ranged):
    """A number with a unit, typed as text ("19 kN/m^3"), kept as float in kN, m, kPa, rad, day."""

    unit: str = "m"
    because: str = ""  # why it is not 0 or less

    def read(self, value: object) -> float:
        """Read "number unit" and convert once, exactly, to the unit inside."""
        if not isinstance(value, str):
            self.refuse(value)
        return _inside(self, value)

    def must(self) -> str:
        """Name the form and the unit."""
        return f"be a number, a space and a unit that converts to {self.unit}"

    def json(self) -> dict[str, Any]:
        """A text of the strict pattern."""
        return {"type": "string", "pattern": f"^{units.NUMBER} {units.UNIT}$"}


@lru_cache(maxsize=10_000)
def _inside(kind: Quantity, text: str) -> float:
    """A quantity inside; kept, because the tables that sections share are read again for each of them."""
    try:
        number, unit = units.split(text)
        shown = number * units.factor(unit, kind.unit)
    except units.QuantityError as error:
        kind.refuse(text, got=f"{show(text)}: {error}")
    if not kind.within(shown):
        because = f", because {kind.because}" if kind.because and shown <= 0 else ""
        kind.refuse(text, f"be {kind.range_text(kind.unit)}{because}")
    return float(number * units.factor_inside(unit))


@dataclass(frozen=True, slots=True)
class QuantityOrWord(Quantity):
    """A number with a unit, or one word that says where the number comes from."""

    word: str = ""

    def read(self, value: object) -> Any:
        """Pass the word, read the quantity."""
        return value if value == self.word else Quantity.read(self, value)

    def must(self) -> str:
        """Name both forms."""
        return f'{Quantity.must(self)}, or "{self.word}"'

    def json(self) -> dict[str, Any]:
        """Either form."""
        return {"anyOf": [Quantity.json(self), {"const": self.word}]}


@dataclass(frozen=True, slots=True)
class Slope(Scalar):
    """A slope typed "vertical:horizontal" ("1:2"), kept as horizontal per vertical (2.0)."""

    def read(self, value: object) -> float:
        """Read "V:H" as H/V."""
        match = (
            re.fullmatch(r"([0-9]{1,4}(?:\.[0-9]{1,6})?):([0-9]{1,4}(?:\.[0-9]{1,6})?)", value)
            if isinstance(value, str)
            else None
        )
        if match is None:
            self.refuse(value)
        vertical, horizontal = Fraction(match[1]), Fraction(match[2])
        if vertical == 0 or not Fraction(1, 10) <= horizontal / vertical <= 100:
            self.refuse(value, "lie between 10:1 and 1:100 (vertical:horizontal)")
        return float(horizontal / vertical)

    def must(self) -> str:
        """Name the form."""
        return 'be a slope vertical:horizontal such as "1:2"'

    def json(self) -> dict[str, Any]:
        """A text of two numbers and a colon."""
        return {"type": "string", "pattern": r"^[0-9]+(\.[0-9]+)?:[0-9]+(\.[0-9]+)?$"}


@dataclass(frozen=True, slots=True)
class Number(Ranged):
    """A dimensionless number, typed plainly."""

    def read(self, value: object) -> float:
        """Refuse texts, true, false and what is not finite."""
        if isinstance(value, bool) or not isinstance(value, int | float):
            self.refuse(value)
        if isinstance(value, float) and not math.isfinite(value):
            self.refuse(value)
        if not self.within(value):
            self.refuse(value, f"be {self.range_text()}")
        try:
            return float(value)
        except OverflowError:
            self.refuse(value)

    def must(self) -> str:
        """Name the form."""
        return "be a plain number without a unit"

    def json(self) -> dict[str, Any]:
        """A number with its bounds."""
        names = {"gt": "exclusiveMinimum", "ge": "minimum", "lt": "exclusiveMaximum", "le": "maximum"}
        return {"type": "number", **{names[name]: bound for name, bound in self.bounds().items()}}


@dataclass(frozen=True, slots=True)
class Whole(Number):
    """A whole number, typed plainly."""

    def read(self, value: object) -> int:
        """Refuse texts, true, false and fractions."""
        if isinstance(value, bool) or not isinstance(value, int):
            self.refuse(value)
        if not self.within(value):
            self.refuse(value, f"be {self.range_text()}")
        return value

    def must(self) -> str:
        """Name the form."""
        return "be a whole number"

    def json(self) -> dict[str, Any]:
        """An integer with its bounds."""
        return {**Number.json(self), "type": "integer"}


@dataclass(frozen=True, slots=True)
class AtRest(Number):
    """The coefficient of earth pressure at rest: a number, or "jaky" for 1 − sin φ."""

    def read(self, value: object) -> Any:
        """Pass the word, read the number."""
        return value if value == "jaky" else Number.read(self, value)

    def must(self) -> str:
        """Name both forms."""
        return 'be a plain number or "jaky" (1 − sin φ)'

    def json(self) -> dict[str, Any]:
        """Either form."""
        return {"anyOf": [Number.json(self), {"const": "jaky"}]}
