"""Whether the dates of a column are those of the form that is agreed: day and month change places without a trace."""

import datetime as dt
import re
from collections.abc import Iterable, Iterator
from dataclasses import dataclass, field
from itertools import groupby, pairwise
from typing import Any

from calc.engine.words import words_of
from calc.inputs.reading.problems import InputError, InputErrors
from calc.inputs.reading.scalars import show
from calc.inputs.tables.written_rows import ISO
from calc.site.rows.cell_values import FORMS

say = words_of(__name__)

LAST_MONTH = 12
FEWEST_DAYS = 4  # different days from which their order says anything: project rule
FEWEST_MONTHS = 3  # months in a row of records that are all of one day of the month: project rule


@dataclass(frozen=True, slots=True)
class _Dated:
    """A row with its date as it is agreed and with day and month in each other's place, None where there is none."""

    line: int
    group: str
    text: str
    day: dt.date | None
    other: dt.date | None


@dataclass
class DateColumn:
    """The dates of a column of one file while it is read; ``daily`` where works go on from day to day."""

    file: str
    path: str
    """The field of the project file that says the form."""
    head: str
    form: str
    latest: dt.date
    """Last day that a row can be of."""
    daily: bool = False
    rows: list[_Dated] = field(default_factory=list)
    typed: list[tuple[int, dt.date]] = field(default_factory=list)
    known: dict[str, tuple[dt.date | None, dt.date | None] | None] = field(default_factory=dict)

    def add(self, line: int, cell: Any, group: str = "") -> None:
        """A cell of the column; ``group`` is what its rows are in order of time by, such as an instrument."""
        if isinstance(cell, dt.date):
            self.typed.append((line, cell))
        elif isinstance(cell, str):
            text = re.split("[T ]", cell.strip(), maxsplit=1)[0]
            if text not in self.known:
                self.known[text] = _both(text, self.form)
            days = self.known[text]
            if days is not None:
                self.rows.append(_Dated(line, group, text, *days))

    def refuse(self) -> None:
        """``InputErrors`` with the one reason for which no date of the column can be relied on, if there is one."""
        doubt = next(self._doubts(), None)
        if doubt is not None:
            line, why = doubt
            must = say("must", head=show(self.head), form=self.form)
            raise InputErrors([InputError(self.file, line, 1, self.path, must, why)])

    def _doubts(self) -> Iterator[tuple[int, str]]:
        if self.form == ISO:  # which nobody writes with the day before the month
            return
        wrong = [one for one in self.rows if one.day is None and one.other is not None]
        if wrong:
            yield wrong[0].line, say("only-other", got=show(wrong[0].text), line=wrong[0].line)
        sure = [one for one in self.rows if one.day is not None and one.other is None]
        # A program that takes the other form makes dates of what it can read, and leaves the others as texts.
        texts = len(sure) == len([one for one in self.rows if one.day is not None])
        if sure and texts and self.typed and all(day.day <= LAST_MONTH for _, day in self.typed):
            line, day = self.typed[0]
            yield line, say("typed", got=day.isoformat(), text=show(sure[0].text), line=line, other=sure[0].line)
        if sure:  # A row that is a day in this form alone says that it is the right one.
            return
        late = [one for one in self.rows if one.day and one.other and one.other <= self.latest < one.day]
        if late:
            yield late[0].line, say("later", got=show(late[0].text), line=late[0].line)
        both = [one for one in self.rows if one.day and one.other]
        if both and (self._out_of_order(both) or (self.daily and _once_a_month(both))):
            yield both[0].line, say("order", got=show(both[0].text), line=both[0].line)

    @staticmethod
    def _out_of_order(both: Iterable[_Dated]) -> bool:
        """Whether rows that are out of order in time would be in order with day and month changed."""
        own, other, days = 0, 0, 0
        for _, rows in groupby(sorted(both, key=lambda one: (one.group, one.line)), key=lambda one: one.group):
            some = list(rows)
            own += _breaks([one.day for one in some if one.day])
            other += _breaks([one.other for one in some if one.other])
            days = max(days, len({one.day for one in some}))
        return own > 0 and other == 0 and days >= FEWEST_DAYS


def _both(text: str, form: str) -> tuple[dt.date | None, dt.date | None] | None:
    found = FORMS[form].fullmatch(text)
    if found is None:
        return None
    year, month, day = (int(found[part]) for part in ("year", "month", "day"))
    return _date(year, month, day), _date(year, day, month)


def _date(year: int, month: int, day: int) -> dt.date | None:
    try:
        return dt.date(year, month, day)
    except ValueError:
        return None


def _breaks(days: list[dt.date]) -> int:
    """How often an order in time is broken, from the first day to the last one or the other way round."""
    falls = sum(after < before for before, after in pairwise(days))
    rises = sum(after > before for before, after in pairwise(days))
    return min(falls, rises)


def _once_a_month(both: Iterable[_Dated]) -> bool:
    """Whether all days are one of the month, of three months or more: in the other form they follow one another."""
    days = {one.day for one in both if one.day}
    return len({day.day for day in days}) == 1 and len({(day.year, day.month) for day in days}) >= FEWEST_MONTHS
