"""The texts, keys, choices, flags and dates of a project file, like the numbers of `scalars`."""

import datetime as dt
import re
from dataclasses import dataclass
from typing import Annotated, Any

from calc.inputs.reading.scalars import UNPRINTABLE, Scalar

LONGEST_TEXT = 10_000
_ISO = re.compile(r"[0-9]{4}-[0-9]{2}-[0-9]{2}")


@dataclass(frozen=True, slots=True)
class Text(Scalar):
    """A text that says something; `begins` lists the words one of which it must begin with."""

    longest: int = LONGEST_TEXT
    begins: tuple[str, ...] = ()

    def read(self, value: object) -> str:
        """Refuse empty, very long and unprintable texts."""
        if not isinstance(value, str):
            self.refuse(value)
        if not value.strip():
            self.refuse(value, "be a text that says something", "an empty text")
        if len(value) > self.longest:
            self.refuse(value, f"be a text of at most {self.longest} characters", f"{len(value)} characters")
        if UNPRINTABLE.search(value):
            self.refuse(value, "be a text without control characters (line breaks and tabs are allowed)")
        if self.begins and not value.startswith(self.begins):
            self.refuse(value)
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
    """A short name of a-z, 0-9, _ and - that results are recorded under; with `capitals`, A-Z as well."""

    capitals: bool = False

    def pattern(self) -> str:
        """The letters that are allowed, as a regular expression."""
        return "[A-Za-z0-9_-]{1,40}" if self.capitals else "[a-z0-9_-]{1,40}"

    def read(self, value: object) -> str:
        """Refuse other letters."""
        if not isinstance(value, str) or re.fullmatch(self.pattern(), value) is None:
            self.refuse(value)
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
    such: str = ""
    """What they are, where they are too many to be listed."""

    def read(self, value: object) -> str:
        """Refuse other words."""
        if not isinstance(value, str) or value not in self.words:
            self.refuse(value)
        return value

    def must(self) -> str:
        """List the words, or say what they are."""
        return f"be {self.such}" if self.such else "be one of " + ", ".join(f'"{word}"' for word in self.words)

    def json(self) -> dict[str, Any]:
        """An enumeration."""
        return {"enum": list(self.words)}


@dataclass(frozen=True, slots=True)
class TrueFalse(Scalar):
    """True or false, typed without quotes."""

    def read(self, value: object) -> bool:
        """Refuse texts and numbers."""
        if not isinstance(value, bool):
            self.refuse(value)
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

    def read(self, value: object) -> dt.date:
        """Read a date; a date with a time is refused."""
        if isinstance(value, dt.date) and not isinstance(value, dt.datetime):
            return value
        try:
            return dt.date.fromisoformat(value if isinstance(value, str) and _ISO.fullmatch(value) else "")
        except (TypeError, ValueError):
            self.refuse(value)

    def must(self) -> str:
        """Name the form."""
        return "be a day of the calendar written year-month-day such as 2025-04-30"

    def json(self) -> dict[str, Any]:
        """A text; editors read an unquoted date as text, too."""
        return {"type": "string", "format": "date"}


Words = Annotated[str, Text()]
Line = Annotated[str, Text(longest=300)]
Flag = Annotated[bool, TrueFalse()]
Day = Annotated[dt.date, IsoDate()]
