"""Cells to values: texts, numbers with the decimal mark of the mapping, times in one time zone, yes and no."""

import datetime as dt
import re
from collections.abc import Sequence
from math import pi, tan
from typing import Any

import numpy as np
from numpy.typing import NDArray

from calc.engine.words import words_of
from calc.inputs.reading.scalars import UNPRINTABLE, show
from calc.inputs.tables.installed import RATIO, TEXT, TIME, YES_NO, Installed, unit_factor
from calc.site.installed.record_rows import RowError

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
POSITIVE = {"length", "diameter", "volume"}
NEVER_NEGATIVE = {"depth", "interruption", "inclination"}
WITH_CLOCK = {"start", "end"}
LARGEST = 1e12


class Values:
    """Reads cells by the words of a mapping."""

    def __init__(self, installed: Installed) -> None:
        self.decimal, self.form = installed.decimal, installed.date_form
        self.words = {installed.yes.casefold(): True, installed.no.casefold(): False}
        self.yes, self.no = installed.yes, installed.no
        self.zone = _offset(installed.time_zone)

    def value(self, name: str, kind: str, unit: str | None, cell: Any, day: float | None = None) -> Any:
        """What a cell says; None where it is empty. ``RowError`` where it does not say it."""
        if isinstance(cell, str):
            cell = cell.strip()
        if cell is None or cell == "":
            return None
        if kind == TEXT:
            return _words(name, cell)
        if kind == TIME:
            return self.time(name, cell, day)
        if kind == YES_NO:
            return self.truth(name, cell)
        return self.number(name, kind, unit or "", cell)

    def number(self, name: str, kind: str, unit: str, cell: Any) -> float:
        """A number inside, in kN, m, kPa, rad, day; an angle of inclination as its tangent."""
        text = cell.replace("\u2212", "-") if isinstance(cell, str) else cell
        if isinstance(text, str) and NUMBERS[self.decimal].fullmatch(text):
            value = float(text.replace(",", "."))
        elif isinstance(text, int | float) and not isinstance(text, bool):
            value = float(text)
        else:
            raise RowError(say("number", name=name, mark=self.decimal, got=show(cell if cell is None else str(cell))))
        if not abs(value) < LARGEST:
            raise RowError(say("number", name=name, mark=self.decimal, got=show(str(cell))))
        value *= unit_factor(kind, unit)
        if kind == RATIO and unit in {"deg", "rad"}:
            if not abs(value) < pi / 2:
                raise RowError(say("angle", name=name, got=show(str(cell))))
            value = tan(value)
        if (name in POSITIVE and value <= 0) or (name in NEVER_NEGATIVE and value < 0):
            raise RowError(say("sign", name=name, got=show(str(cell))))
        return value

    def numbers(self, kind: str, unit: str, cells: Sequence[Any]) -> Array | None:
        """The same for many texts of digits with at most one mark between; None where one is anything else."""
        try:
            text = "\n".join(cells)
        except TypeError:
            return None
        mark, lined = self.decimal, f"\n{text}\n"
        broken = any(part in lined for part in (f"{mark}\n", f"\n{mark}", "\n\n"))
        if broken or not set(text) <= DIGITS | {mark} or max(map(len, cells)) > LONGEST_NUMBER:
            return None
        try:
            return np.array(list(map(float, text.replace(",", ".").split("\n")))) * unit_factor(kind, unit)
        except ValueError:
            return None

    def truth(self, name: str, cell: Any) -> bool:
        """Whether the criterion was met."""
        found = cell if isinstance(cell, bool) else self.words.get(str(cell).casefold())
        if found is None:
            raise RowError(say("yes-no", name=name, yes=self.yes, no=self.no, got=show(str(cell))))
        return bool(found)

    def time(self, name: str, cell: Any, day: float | None) -> float:
        """Days from 1970-01-01 in the time zone of the mapping; a time of the day belongs to ``day``."""
        if isinstance(cell, dt.datetime):
            moment = cell.replace(tzinfo=None)
        elif isinstance(cell, dt.date):
            moment = dt.datetime.combine(cell, dt.time())
        elif isinstance(cell, dt.time):
            moment = _on_day(name, day) + dt.timedelta(hours=cell.hour, minutes=cell.minute, seconds=cell.second)
        else:
            moment = self._moment(name, str(cell), day)
        if name in WITH_CLOCK and _is_day(cell, self.form):
            raise RowError(say("no-clock", name=name, got=show(str(cell))))
        if not EARLIEST <= moment.date() <= LATEST:
            raise RowError(say("far-date", name=name, got=moment.date().isoformat()))
        if name == "date":
            moment = dt.datetime.combine(moment.date(), dt.time())
        return (moment - EPOCH) / dt.timedelta(days=1)

    def _moment(self, name: str, text: str, day: float | None) -> dt.datetime:
        found = FORMS[self.form].fullmatch(text)
        clock = None if found else TIME_OF_DAY.fullmatch(text)
        if found is None and clock is None:
            raise RowError(say("date", name=name, form=self.form, got=show(text)))
        parts = (found or clock).groupdict()  # type: ignore[union-attr]  # one of both is there
        zone = parts.pop("zone")
        own = {key: int(part) for key, part in parts.items() if part is not None}
        try:
            if clock is not None:
                base = _on_day(name, day)
                own |= {"year": base.year, "month": base.month, "day": base.day}
            moment = dt.datetime(**own)  # type: ignore[arg-type]  # noqa: DTZ001 - local time of the site
            return moment if zone is None else moment - _offset(zone) + self.zone
        except (ValueError, OverflowError) as error:
            if isinstance(error, RowError):
                raise
            raise RowError(say("no-such-date", name=name, got=show(text))) from None


def _is_day(cell: Any, form: str) -> bool:
    """Whether a cell is a day without a time; a workbook has a day as its midnight."""
    if isinstance(cell, dt.datetime):
        return cell.time() == dt.time()
    if isinstance(cell, dt.date):
        return True
    found = FORMS[form].fullmatch(cell) if isinstance(cell, str) else None
    return found is not None and found["hour"] is None


def _on_day(name: str, day: float | None) -> dt.datetime:
    if day is None:
        raise RowError(say("no-day", name=name))
    return EPOCH + dt.timedelta(days=day)


def _offset(zone: str) -> dt.timedelta:
    if zone == "Z":
        return dt.timedelta()
    hours, minutes = int(zone[1:3]), int(zone[4:6])
    if hours > 14 or minutes > 59:
        message = "no such offset"
        raise ValueError(message)
    return (-1 if zone[0] == "-" else 1) * dt.timedelta(hours=hours, minutes=minutes)


def _words(name: str, cell: Any) -> str:
    text = str(int(cell)) if isinstance(cell, float) and cell.is_integer() else str(cell)
    if len(text) > LONGEST or UNPRINTABLE.search(text):
        raise RowError(say("text", name=name, longest=LONGEST, got=show(text)))
    return text
