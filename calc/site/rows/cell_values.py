"""Cells to values: texts, numbers with the decimal mark of a mapping, times in one time zone, yes and no."""

import datetime as dt
import re
from collections.abc import Sequence
from dataclasses import dataclass
from decimal import Decimal
from typing import Any

import numpy as np
from numpy.typing import NDArray

from calc.engine.words import words_of
from calc.inputs.reading.scalars import UNPRINTABLE, show
from calc.site.rows.row_files import RowError

say = words_of(__name__)

Array = NDArray[np.float64]
LONGEST = 120
EPOCH = dt.datetime(1970, 1, 1)  # noqa: DTZ001 - local time of the site
EARLIEST, LATEST = dt.date(1990, 1, 1), dt.date(2100, 1, 1)
CLOCK = r"(?P<hour>\d{1,2}):(?P<minute>\d{2})(?::(?P<second>\d{2})(?:\.\d+)?)?"
ZONE = r" ?(?P<zone>Z|[+-]\d{2}:\d{2})?"
DAYS = {
    "year-month-day": r"(?P<year>\d{4})-(?P<month>\d{2})-(?P<day>\d{2})",
    "day.month.year": r"(?P<day>\d{1,2})\.(?P<month>\d{1,2})\.(?P<year>\d{4})",
    "day/month/year": r"(?P<day>\d{1,2})/(?P<month>\d{1,2})/(?P<year>\d{4})",
    "month/day/year": r"(?P<month>\d{1,2})/(?P<day>\d{1,2})/(?P<year>\d{4})",
}
FORMS = {name: re.compile(rf"{form}(?:[T ]{CLOCK}{ZONE})?", re.ASCII) for name, form in DAYS.items()}
TIME_OF_DAY = re.compile(rf"{CLOCK}{ZONE}", re.ASCII)
PLAIN = {mark: rf"[+-]?[0-9]{{1,15}}(?:{re.escape(mark)}[0-9]{{1,15}})?(?:[eE][+-]?[0-9]{{1,2}})?" for mark in ".,"}
NUMBERS = {mark: re.compile(form) for mark, form in PLAIN.items()}
DIGITS, LONGEST_NUMBER = set("0123456789\n"), 15
LARGEST = 1e12


@dataclass(frozen=True)
class CellWords:
    """How the cells of a file are written: decimal mark, form of dates, time zone, yes and no."""

    decimal: str
    date_form: str
    time_zone: str = "Z"
    yes: str = "yes"
    no: str = "no"


def bare(cell: Any) -> Any:
    """A cell without blanks around it; None where it is empty."""
    if isinstance(cell, str):
        cell = cell.strip()
    return None if cell is None or cell == "" or cell != cell else cell  # noqa: PLR0124 - a number that is none


def number(name: str, cell: Any, decimal: str) -> float:
    """A number as it stands there; ``RowError`` where the cell is none."""
    text = cell.replace("\u2212", "-") if isinstance(cell, str) else cell
    if isinstance(text, str) and NUMBERS[decimal].fullmatch(text):
        value = float(text.replace(",", "."))
    elif isinstance(text, int | float | Decimal) and not isinstance(text, bool):
        value = float(text)
    else:
        raise RowError(say("number", name=name, mark=decimal, got=show(cell if cell is None else str(cell))))
    if not abs(value) < LARGEST:
        raise RowError(say("number", name=name, mark=decimal, got=show(str(cell))))
    return value


def numbers(cells: Sequence[Any], decimal: str) -> Array | None:
    """The same for many texts of digits with at most one mark between; None where one is anything else."""
    if isinstance(cells, np.ndarray):
        return cells.astype(np.float64) if bool((np.abs(cells) < LARGEST).all()) else None
    try:
        text = "\n".join(cells)
    except TypeError:
        return None
    lined = f"\n{text}\n"
    broken = any(part in lined for part in (f"{decimal}\n", f"\n{decimal}", "\n\n"))
    if broken or not set(text) <= DIGITS | {decimal} or max(map(len, cells)) > LONGEST_NUMBER:
        return None
    try:
        return np.array(list(map(float, text.replace(",", ".").split("\n"))))
    except ValueError:
        return None


def truth(name: str, cell: Any, words: CellWords) -> bool:
    """Yes or no."""
    known = {words.yes.casefold(): True, words.no.casefold(): False}
    said = cell if isinstance(cell, bool) else known.get(str(cell).casefold())
    if said is None:
        raise RowError(say("yes-no", name=name, yes=words.yes, no=words.no, got=show(str(cell))))
    return bool(said)


def text_of(name: str, cell: Any) -> str:
    """A text of one line."""
    text = str(int(cell)) if isinstance(cell, float) and cell.is_integer() else str(cell)
    if len(text) > LONGEST or UNPRINTABLE.search(text):
        raise RowError(say("text", name=name, longest=LONGEST, got=show(text)))
    return text


def moment(name: str, cell: Any, words: CellWords, day: float | None = None, *, clock: bool = False) -> float:
    """Days from 1970-01-01 in the time zone of the mapping; a time of the day belongs to ``day``.

    ``clock``: a day without a time is refused.
    """
    if isinstance(cell, dt.datetime):
        when = cell.replace(tzinfo=None)
        if cell.tzinfo is not None:
            when = when - (cell.utcoffset() or dt.timedelta()) + offset(words.time_zone)
    elif isinstance(cell, dt.date):
        when = dt.datetime.combine(cell, dt.time())
    elif isinstance(cell, dt.time):
        when = _on_day(name, day) + dt.timedelta(hours=cell.hour, minutes=cell.minute, seconds=cell.second)
    else:
        when = _moment_of_text(name, str(cell), words, day)
    if clock and _is_day(cell, words.date_form):
        raise RowError(say("no-clock", name=name, got=show(str(cell))))
    if not EARLIEST <= when.date() <= LATEST:
        raise RowError(say("far-date", name=name, got=when.date().isoformat()))
    return (when - EPOCH) / dt.timedelta(days=1)


def written_moment(text: str, form: str) -> tuple[dt.datetime, str | None] | None:
    """The moment that a text in a form names, and its own offset if it has one; None where it is in another form.

    ``ValueError`` where there is no such day or time.
    """
    match = FORMS[form].fullmatch(text)
    if match is None:
        return None
    parts = match.groupdict()
    zone = parts.pop("zone")
    whole = {key: int(part) for key, part in parts.items() if part is not None}
    return dt.datetime(**whole), zone  # type: ignore[arg-type]  # noqa: DTZ001 - local time of the site


def _moment_of_text(name: str, text: str, words: CellWords, day: float | None) -> dt.datetime:
    try:
        written = written_moment(text, words.date_form) or _of_the_day(name, text, day)
        if written is None:
            raise RowError(say("date", name=name, form=words.date_form, got=show(text)))
        moment, zone = written
        return moment if zone is None else moment - offset(zone) + offset(words.time_zone)
    except (ValueError, OverflowError) as error:
        if isinstance(error, RowError):
            raise
        raise RowError(say("no-such-date", name=name, got=show(text))) from None


def _of_the_day(name: str, text: str, day: float | None) -> tuple[dt.datetime, str | None] | None:
    match = TIME_OF_DAY.fullmatch(text)
    if match is None:
        return None
    hour, minute, second = (int(match[part] or 0) for part in ("hour", "minute", "second"))
    return _on_day(name, day).replace(hour=hour, minute=minute, second=second), match["zone"]


def _is_day(cell: Any, form: str) -> bool:
    """Whether a cell is a day without a time, by its type or as it is written."""
    if isinstance(cell, dt.date):
        return not isinstance(cell, dt.datetime)
    match = FORMS[form].fullmatch(cell) if isinstance(cell, str) else None
    return match is not None and match["hour"] is None


def _on_day(name: str, day: float | None) -> dt.datetime:
    if day is None:
        raise RowError(say("no-day", name=name))
    return EPOCH + dt.timedelta(days=day)


def offset(zone: str) -> dt.timedelta:
    """A time zone as its offset; ``ValueError`` where there is none like it."""
    if zone == "Z":
        return dt.timedelta()
    hours, minutes = int(zone[1:3]), int(zone[4:6])
    if hours > 14 or minutes > 59:
        message = "no such offset"
        raise ValueError(message)
    return (-1 if zone[0] == "-" else 1) * dt.timedelta(hours=hours, minutes=minutes)


def last_day_of_rows() -> dt.date:
    """The last day that a row can be of where none is given: that after today's in UTC, which no place is beyond."""
    return dt.datetime.now(dt.UTC).date() + dt.timedelta(days=1)
