"""The kinds of single values in a project file, each with its range, its error text and its part of the JSON Schema."""

import datetime
import math
import re
from collections.abc import Callable
from dataclasses import dataclass
from fractions import Fraction
from typing import Annotated, Any

from pydantic_core import CoreSchema, PydanticCustomError, core_schema

from calc.inputs import units

LONGEST_TEXT = 10_000
_CONTROL = re.compile(r"[\x00-\x08\x0b-\x1f\x7f-\x9f\u2028\u2029\ufeff\ud800-\udfff]")
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
        text = value.encode("unicode_escape").decode() if _CONTROL.search(value) or "\n" in value else value
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
        raise refusal(self.must(), show(value))

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
        return all(_HOLDS[name](number, Fraction(str(bound))) for name, bound in self.bounds().items())


@dataclass(frozen=True, slots=True)
class Quantity(Ranged):
    """A number with a unit, typed as text ("19 kN/m^3"), kept as float in the coherent system (kN, m, kPa, rad, day)."""

    unit: str = "m"

    def read(self, value: object) -> float:
        """Read "number unit" and convert once, exactly, to the unit inside."""
        if not isinstance(value, str):
            raise refusal(self.must(), show(value))
        try:
            number, unit = units.split(value)
            shown = number * units.factor(unit, self.unit)
        except units.NotAQuantity as error:
            raise refusal(self.must(), f"{show(value)}: {error}") from None
        if not self.within(shown):
            raise refusal(f"be {self.range_text(self.unit)}", show(value))
        return float(number * units.factor_inside(unit))

    def must(self) -> str:
        """Name the form and the unit."""
        return f"be a number, a space and a unit that converts to {self.unit}"

    def json(self) -> dict[str, Any]:
        """A text of the strict pattern."""
        return {"type": "string", "pattern": f"^{units.NUMBER} {units.UNIT}$"}


@dataclass(frozen=True, slots=True)
class Slope(Scalar):
    """A slope typed "vertical:horizontal" ("1:2"), kept as horizontal per vertical (2.0)."""

    def read(self, value: object) -> float:
        """Read "V:H" as H/V."""
        found = (
            re.fullmatch(r"([0-9]{1,4}(?:\.[0-9]{1,6})?):([0-9]{1,4}(?:\.[0-9]{1,6})?)", value)
            if isinstance(value, str)
            else None
        )
        if found is None:
            raise refusal(self.must(), show(value))
        vertical, horizontal = Fraction(found[1]), Fraction(found[2])
        if vertical == 0 or not Fraction(1, 10) <= horizontal / vertical <= 100:
            raise refusal("lie between 10:1 and 1:100 (vertical:horizontal)", show(value))
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
            raise refusal(self.must(), show(value))
        if isinstance(value, float) and not math.isfinite(value):
            raise refusal(self.must(), show(value))
        if not self.within(value):
            raise refusal(f"be {self.range_text()}", show(value))
        return float(value)

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
            raise refusal(self.must(), show(value))
        if not self.within(value):
            raise refusal(f"be {self.range_text()}", show(value))
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


@dataclass(frozen=True, slots=True)
class Text(Scalar):
    """A text that says something; `begins` lists the words one of which it must begin with."""

    longest: int = LONGEST_TEXT
    begins: tuple[str, ...] = ()

    def read(self, value: object) -> str:
        """Refuse empty, very long and unprintable texts."""
        if not isinstance(value, str):
            raise refusal(self.must(), show(value))
        if not value.strip():
            raise refusal("be a text that says something", "an empty text")
        if len(value) > self.longest:
            raise refusal(f"be a text of at most {self.longest} characters", f"{len(value)} characters")
        if _CONTROL.search(value):
            raise refusal("be a text without control characters (line breaks and tabs are allowed)", show(value))
        if self.begins and not value.startswith(self.begins):
            raise refusal(self.must(), show(value))
        return value

    def must(self) -> str:
        """Name the form."""
        if self.begins:
            return "begin with " + " or ".join(f'"{word}"' for word in self.begins)
        return "be a text"

    def json(self) -> dict[str, Any]:
        """A text, with the words it begins with as a pattern."""
        begins = {"pattern": f"^({'|'.join(self.begins)})"} if self.begins else {}
        return {"type": "string", "minLength": 1, "maxLength": self.longest, **begins}


@dataclass(frozen=True, slots=True)
class Key(Scalar):
    """A short name made of a-z, 0-9, _ and -, which results are recorded under; capitals are allowed where `capitals`."""

    capitals: bool = False

    def pattern(self) -> str:
        """The letters that are allowed, as a regular expression."""
        return "[A-Za-z0-9_-]{1,40}" if self.capitals else "[a-z0-9_-]{1,40}"

    def read(self, value: object) -> str:
        """Refuse other letters."""
        if not isinstance(value, str) or re.fullmatch(self.pattern(), value) is None:
            raise refusal(self.must(), show(value))
        return value

    def must(self) -> str:
        """Name the letters."""
        letters = "letters a-z and A-Z" if self.capitals else "small letters a-z"
        return f"be a key of 1 to 40 signs out of {letters}, digits, _ and -"

    def json(self) -> dict[str, Any]:
        """A text of those letters."""
        return {"type": "string", "pattern": f"^{self.pattern()}$"}


@dataclass(frozen=True, slots=True)
class OneOf(Scalar):
    """One of a few words."""

    words: tuple[str, ...] = ()

    def read(self, value: object) -> str:
        """Refuse other words."""
        if not isinstance(value, str) or value not in self.words:
            raise refusal(self.must(), show(value))
        return value

    def must(self) -> str:
        """List the words."""
        return "be one of " + ", ".join(f'"{word}"' for word in self.words)

    def json(self) -> dict[str, Any]:
        """An enumeration."""
        return {"enum": list(self.words)}


@dataclass(frozen=True, slots=True)
class TrueFalse(Scalar):
    """True or false, typed without quotes."""

    def read(self, value: object) -> bool:
        """Refuse texts and numbers."""
        if not isinstance(value, bool):
            raise refusal(self.must(), show(value))
        return value

    def must(self) -> str:
        """Name both words."""
        return "be true or false (without quotes)"

    def json(self) -> dict[str, Any]:
        """A boolean."""
        return {"type": "boolean"}


@dataclass(frozen=True, slots=True)
class IsoDate(Scalar):
    """A day, typed 2025-04-30 with or without quotes."""

    def read(self, value: object) -> datetime.date:
        """Read a date; a date with a time is refused."""
        if isinstance(value, datetime.date) and not isinstance(value, datetime.datetime):
            return value
        try:
            if not isinstance(value, str) or re.fullmatch(r"\d{4}-\d{2}-\d{2}", value, re.ASCII) is None:
                raise ValueError
            return datetime.date.fromisoformat(value)
        except ValueError:
            raise refusal(self.must(), show(value)) from None

    def must(self) -> str:
        """Name the form."""
        return "be a day of the calendar written year-month-day such as 2025-04-30"

    def json(self) -> dict[str, Any]:
        """A text; editors read an unquoted date as text, too."""
        return {"type": "string", "format": "date"}


Words = Annotated[str, Text()]
Line = Annotated[str, Text(longest=300)]
Flag = Annotated[bool, TrueFalse()]
Day = Annotated[datetime.date, IsoDate()]
