"""Whether the dates of a column are those of the form that is agreed: day and month change places without a trace."""

import datetime as dt
import re
from collections.abc import Iterable, Iterator, Sequence
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
PARTS = ("year", "month", "day")
FEWEST_DAYS = 4  # different days from which their order says anything: project rule
MANY = 20  # rows that are a day in this form alone, for one that is a slip and not another form: project rule
FEWEST_MONTHS = 3  # months in a row of records that are all of one day of the month: project rule
FEWEST_A_DAY = 2  # columns on a day of works, on average, from which such records are doubted: project rule


@dataclass(frozen=True, slots=True)
class _Dated:
    """A row with its date as it is agreed and with day and month in each other's place, None where there is none."""

    file: str
    line: int
    group: str
    text: str
    day: dt.date | None
    other: dt.date | None
    typed: bool
    """Whether the cell is a date, which no form says anything of."""


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
    far: tuple[int, str] | None = None
    """The first text, of whatever form, with a day that can be no month."""
    known: dict[str, tuple[dt.date | None, dt.date | None] | None] = field(default_factory=dict)

    def add(self, line: int, cell: Any, group: str = "") -> None:
        """A cell of the column; ``group`` is what its rows are in order of time by, such as an instrument."""
        if isinstance(cell, dt.date):
            day = cell.date() if isinstance(cell, dt.datetime) else cell
            other = _date(day.year, day.day, day.month)
            self.rows.append(_Dated(self.file, line, group, day.isoformat(), day, other, typed=True))
        elif isinstance(cell, str):
            text = re.split("[T ]", cell.strip(), maxsplit=1)[0]
            if text not in self.known:
                self.known[text] = _both_days(text, self.form)
                if self.far is None and _is_far(text):
                    self.far = (line, text)
            days = self.known[text]
            if days is not None:
                self.rows.append(_Dated(self.file, line, group, text, *days, typed=False))

    def refuse(self) -> None:
        """``InputErrors`` with the one reason for which no date of the column can be relied on, if there is one."""
        self._refuse(self._doubts())

    def _refuse(self, doubts: Iterator[tuple[_Dated, str]]) -> None:
        doubt = next(doubts, None)
        if doubt is not None:
            row, why = doubt
            must = say("must", head=show(self.head), form=self.form)
            raise InputErrors([InputError(row.file, row.line, 1, self.path, must, why)])

    def _doubts(self) -> Iterator[tuple[_Dated, str]]:
        typed, texts = ([row for row in self.rows if row.typed is kind] for kind in (True, False))
        wrong = [row for row in texts if row.day is None]
        sure = [row for row in texts if row.day and not row.other]
        # Few among many, in rows that are in order of time, are slips, which are refused by themselves.
        if wrong and (len(sure) < MANY * len(wrong) or _own_breaks(self.rows)):
            yield wrong[0], say("only-other", got=show(wrong[0].text), line=wrong[0].line)
        # A program that takes the other form makes dates of what it can read, and leaves the others as texts.
        if self.far and typed and all(row.other for row in typed):
            line, text = self.far
            yield typed[0], say("typed", got=typed[0].text, text=show(text), line=typed[0].line, other=line)
        yield from self._late(texts)
        yield from self._late(typed)
        yield from self.out_of_order()

    def _late(self, rows: Sequence[_Dated]) -> Iterator[tuple[_Dated, str]]:
        """Rows that lie after today and would not; one that is a day in this form alone says it is right."""
        if not any(row.day and not row.other for row in rows):
            yield from ((row, say("later", got=show(row.text), line=row.line)) for row in rows
                        if row.day and row.other and row.other <= self.latest < row.day)  # fmt: skip

    def out_of_order(self) -> Iterator[tuple[_Dated, str]]:
        """The doubt that comes of the order of the rows, if there is one."""
        both = [row for row in self.rows if row.day and row.other]
        sure = any(row.day and not row.other for row in self.rows)
        monthly = self.daily and not sure and _once_a_month(both)
        if both and (monthly or _only_other_in_order(self.rows)):
            yield both[0], say("order", got=show(both[0].text), line=both[0].line)


def refuse_together(columns: Iterable[DateColumn]) -> None:
    """``InputErrors`` where columns of one head and form, in the order of their files, are doubtful together.

    A file with a single day says nothing by itself, a folder of them does.
    """
    alike: dict[tuple[str, str, str], list[DateColumn]] = {}
    for column in columns:
        alike.setdefault((column.path, column.head, column.form), []).append(column)
    for first, *others in alike.values():
        rows = [row for column in (first, *others) for row in column.rows]
        whole = DateColumn(first.file, first.path, first.head, first.form, first.latest, first.daily, rows)
        whole._refuse(whole.out_of_order())  # noqa: SLF001 - of the same class


def _by_group(rows: Iterable[_Dated]) -> list[list[_Dated]]:
    """The rows of each group in the order in which they were read."""
    ordered = sorted(rows, key=lambda row: row.group)
    return [list(some) for _, some in groupby(ordered, key=lambda row: row.group)]


def _own_breaks(rows: Iterable[_Dated]) -> int:
    return sum(_breaks([row.day for row in some if row.day]) for some in _by_group(rows))


def _only_other_in_order(rows: Sequence[_Dated]) -> bool:
    """Whether rows that are out of order in time are in order with day and month changed where they can be.

    The order of files may be that of their names: of several files the dates must lie closer together as well.
    """
    groups = _by_group(row for row in rows if row.day)
    other = sum(_breaks(_days_exchanged(some)) for some in groups)
    most = max(len({row.day for row in some if row.other}) for some in groups)
    if other or most < FEWEST_DAYS or not _own_breaks(rows):
        return False
    several = len({row.file for row in rows}) > 1
    return not several or _span(_days_exchanged(rows)) < _span([row.day for row in rows if row.day])


def _days_exchanged(rows: Iterable[_Dated]) -> list[dt.date]:
    """The days of rows with day and month in each other's place where they can be."""
    return [row.other or row.day for row in rows if row.day]


def _span(days: Sequence[dt.date]) -> dt.timedelta:
    return max(days) - min(days)


def _is_far(text: str) -> bool:
    """Whether a text is, in one of the forms, a day that can be no month."""
    for form in FORMS.values():
        match = form.fullmatch(text)
        if match and int(match["day"]) > LAST_MONTH and _date(*(int(match[part]) for part in PARTS)):
            return True
    return False


def _both_days(text: str, form: str) -> tuple[dt.date | None, dt.date | None] | None:
    """The day of a text in a form, and with day and month changed; None where it is neither."""
    match = FORMS[form].fullmatch(text)
    if match is None:
        return None
    year, month, day = (int(match[part]) for part in PARTS)
    # Nobody writes the year first with the day before the month.
    days = _date(year, month, day), None if form == ISO else _date(year, day, month)
    return days if any(days) else None


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


def _once_a_month(both: Sequence[_Dated]) -> bool:
    """Whether all days are one of the month, of three months or more: in the other form they follow one another.

    A single column on each of them may be one of trials a month apart as well as one of works that have just begun.
    """
    days = {row.day for row in both if row.day}
    few = len(both) < FEWEST_A_DAY * len(days)
    months = {(day.year, day.month) for day in days}
    return len({day.day for day in days}) == 1 and len(months) >= FEWEST_MONTHS and not few
