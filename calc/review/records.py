"""The review file as it comes from outside, entries and events; nothing of another form is taken."""

import datetime as dt
import re
from collections.abc import Callable, Iterator
from math import isfinite
from typing import Annotated, Any, Literal, Self, TypeVar
from unicodedata import category, normalize

from pydantic import (
    AfterValidator,
    BaseModel,
    ConfigDict,
    Field,
    SerializerFunctionWrapHandler,
    ValidationError,
    model_serializer,
    model_validator,
)

from calc.inputs.reading.scalars import UNPRINTABLE, show
from calc.review.refused import RefusedFile

FORMAT = 1
LONGEST_TEXT, LONGEST_NAME = 10_000, 300
MOST_STEPS, MOST_EVENTS, MOST_REASONS = 50_000, 50_000, 20
_OWN = re.compile(r"[+-]?(\d+(\.\d*)?|\.\d+)([eE][+-]?\d{1,3})?")
_DAY = re.compile(r"[0-9]{4}-[0-9]{2}-[0-9]{2}")
_FILLERS = frozenset("\u115f\u1160\u2800\u3164\uffa0")  # signs of scripts that show nothing
_WORDS = ((r"^Input should be\b", "must be"), (r"^(String|Tuple|Value) should have\b", "must have"),
          (r"^String should match pattern .*", "must have the form that the review page writes"),
          (r"^Extra inputs are not permitted$", "must not be there"), (r"^Field required$", "must be given"),
          (r"^Value error, ", ""), (r"^Invalid JSON: .*", "must be JSON"))  # fmt: skip


def _must(message: str, holds: Callable[[Any], bool]) -> AfterValidator:
    """A rule for a value of a file, refused with these words."""

    def check(value: Any) -> Any:
        if not holds(value):
            raise ValueError(message)
        return value

    return AfterValidator(check)


def _day(text: str) -> str:
    message = "must be a day of the calendar such as 2025-04-30"
    if _DAY.fullmatch(text) is None:  # weeks such as 2025-W18-3 could be read, too
        raise ValueError(message)
    try:
        dt.date.fromisoformat(text)
    except ValueError:
        raise ValueError(message) from None
    return text


def says_something(text: str) -> bool:
    """Whether a text shows anything but blanks."""
    return any(category(sign)[0] in "LNPS" and sign not in _FILLERS for sign in text)


def are_initials_of(initials: str, name: str) -> bool:
    """Whether initials fit a name: their letters begin a word of it and follow in their order."""
    letters = [sign for sign in _plain(initials) if sign.isalnum()]
    words = _plain(name).split()
    return bool(letters) and any(_follow(letters, " ".join(words[place:])) for place in range(len(words)))


def _plain(text: str) -> str:
    return normalize("NFKC", text).casefold()


def _follow(letters: list[str], name: str) -> bool:
    rest = iter(name)
    return name.startswith(letters[0]) and all(sign in rest for sign in letters)


_ONE_LINE = _must(
    "must be one line without control characters",
    lambda text: not UNPRINTABLE.search(text) and not set("\n\t") & set(text),
)
Sha256 = Annotated[str, Field(pattern=r"^[0-9a-f]{64}$")]
Fingerprint = Annotated[str, Field(pattern=r"^[0-9a-f]{16}$")]
Name = Annotated[str, Field(min_length=1, max_length=LONGEST_NAME), _ONE_LINE]
Initials = Annotated[str, Field(max_length=12), _ONE_LINE]
Day = Annotated[str, Field(min_length=10, max_length=10), AfterValidator(_day)]
DayOrNone = Annotated[str, Field(max_length=10), AfterValidator(lambda text: text and _day(text))]
Text = Annotated[str, Field(max_length=LONGEST_TEXT)]
SayingText = Annotated[Text, _must("must be a text that says something", says_something)]
Own = Annotated[
    str, Field(max_length=40),
    _must("must be a plain number or empty",
          lambda text: not text or (_OWN.fullmatch(text) is not None and isfinite(float(text)))),
]  # fmt: skip


class Part(BaseModel):
    """A part of a file: never changed, no keys beside its own, no value read as another kind."""

    model_config = ConfigDict(frozen=True, extra="forbid", strict=True, allow_inf_nan=False)


class By(Part):
    """Who has checked."""

    name: Name
    initials: Annotated[str, Field(min_length=1, max_length=12), _ONE_LINE]


class Entry(Part):
    """What the checker has entered at one step; `mark` is empty where only a comment or an own value was given."""

    key: Name
    fingerprint: Fingerprint
    mark: Literal["", "agreed", "query", "none"]
    comment: Text
    initials: Initials
    date: DayOrNone
    own: Own

    @model_validator(mode="after")
    def _check_mark(self) -> Self:
        if self.mark in {"agreed", "query"} and not (self.initials.strip() and self.date):
            message = f'must have initials and a date where a step is marked "{self.mark}"'
            raise ValueError(message)
        if self.mark == "query" and not says_something(self.comment):
            message = 'must have a comment where a step is marked "query"'
            raise ValueError(message)
        return self


Steps = Annotated[
    tuple[Entry, ...],
    Field(max_length=MOST_STEPS),
    _must(
        "each step must have one entry at most", lambda entries: len({entry.key for entry in entries}) == len(entries)
    ),
]


class ReviewFile(Part):
    """A review file as the page saves it."""

    format: Literal[1]
    kind: Literal["review"]
    run: Sha256
    document: Name
    revision: Name
    by: By
    steps: Steps


class Event(Part):
    """Something that happened to a numbered comment; `raised` makes it, `closed` ends it.

    A comment on a line is about its `step`, and `also` about the same quantity in other sections.
    """

    comment: Annotated[int, Field(ge=1, le=1_000_000)]
    kind: Literal["raised", "said", "answered", "closed"]
    step: Name
    printed: Name
    title: Name
    query: bool
    who: Name
    date: Day
    text: Text
    also: Annotated[tuple[Name, ...], Field(max_length=1000)] = ()

    @model_serializer(mode="wrap")
    def _as_before(self, write: SerializerFunctionWrapHandler) -> dict[str, Any]:
        """What is about one step is written as it was before a comment could be about several."""
        made: dict[str, Any] = write(self)
        return made if self.also else {name: value for name, value in made.items() if name != "also"}

    @model_validator(mode="after")
    def _says(self) -> Self:
        if (self.kind == "closed") == says_something(self.text):
            message = "must have a text that says something, and none where a comment is closed"
            raise ValueError(message)
        return self


Events = Annotated[tuple[Event, ...], Field(max_length=MOST_EVENTS)]
Model = TypeVar("Model", bound=Part)


def read_model(model: type[Model], content: bytes, place: str) -> Model:
    """Read a file of a form; `RefusedFile` with a line for each thing that is wrong."""
    try:
        return model.model_validate_json(content)
    except ValidationError as error:
        raise RefusedFile("\n".join(_reasons(error, place))) from error


def _reasons(error: ValidationError, place: str) -> Iterator[str]:
    mistakes = error.errors(include_url=False)
    for mistake in mistakes[:MOST_REASONS]:
        yield f"{place}: {_path(mistake['loc'])}{_requirement(mistake['msg'])}{_got(mistake)}"
    if len(mistakes) > MOST_REASONS:
        yield f"{place}: and {len(mistakes) - MOST_REASONS} more"


def _path(location: tuple[int | str, ...]) -> str:
    """The field, cut short; names from the file itself are shown as an error shows a value."""
    parts = [
        f"[{part}]" if isinstance(part, int) else "." + (part if re.fullmatch(r"[a-z_]{1,20}", part) else _show(part))
        for part in location
    ]
    return f"{''.join(parts).lstrip('.')}: " if parts else ""


def _requirement(message: str) -> str:
    for pattern, words in _WORDS:
        message = re.sub(pattern, words, message, flags=re.DOTALL)
    return message


def _got(mistake: Any) -> str:
    if mistake["type"] in {"json_invalid", "missing", "value_error"} or not isinstance(
        mistake["input"], str | int | float
    ):
        return ""
    return f", got {_show(mistake['input'])}"


def _show(value: object) -> str:
    """A value in an error: on one line, whatever it holds."""
    text = show(value)
    return text if text.isprintable() else text.encode("unicode_escape").decode()
