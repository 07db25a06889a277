"""Rows of readings: what each must have to be a reading, whatever file it comes from."""

import datetime as dt
from collections.abc import Mapping
from dataclasses import dataclass
from difflib import get_close_matches
from typing import Any

from calc.engine.words import words_of
from calc.inputs.reading.scalars import show
from calc.inputs.tables.observed import UNIT_OF, Observed, ObservedInstrument, unit_factor
from calc.site.rows.cell_values import number, written_moment
from calc.site.rows.row_files import RowError

say = words_of(__name__)

LONGEST_REMARK = 200
EARLIEST = -3653.0  # day before the start of works; zero readings are not older than ten years


@dataclass(frozen=True, slots=True)
class Reading:
    """A reading of a file: day from the start of works, value in kN, m, kPa, rad, not yet counted from zero."""

    file: str
    line: int
    instrument: str
    day: float
    value: float
    remark: str = ""


@dataclass(frozen=True, slots=True)
class Row:
    """A row as it is typed, with the form of its date and its decimal mark; what it says that it reads, if anything."""

    file: str
    line: int
    instrument: Any
    date: Any
    value: Any
    unit: Any
    remark: Any
    form: str
    decimal: str
    quantity: str | None = None


@dataclass(frozen=True)
class Known:
    """The mapping with its instruments by name, what each of them reads, and the last day that a reading can be of."""

    observed: Observed
    quantities: Mapping[str, str]
    instruments: Mapping[str, ObservedInstrument]
    latest: dt.date


def reading_of(row: Row, known: Known) -> Reading:
    """The reading of a row; ``RowError`` with the reason where it is none."""
    name = str(row.instrument if row.instrument is not None else "")
    instrument, start = known.instruments.get(name), known.observed.start
    if instrument is None:
        near = get_close_matches(name, known.instruments, 1, 0.6)
        text = say("near", near=near[0]) if near else ""
        raise RowError(say("instrument", got=show(name), near=text) if name else say("no-instrument"))
    if row.quantity not in {None, known.quantities[name]}:
        raise RowError(say("quantity", name=name, must=known.quantities[name], got=row.quantity))
    day = _day(row.date, row.form, known)
    value = _number(row.value, row.decimal)
    unit = _unit(row.unit, instrument.unit)
    try:
        value *= unit_factor(unit, UNIT_OF[known.quantities[name]])
    except ValueError as error:
        raise RowError(say("unit", must=str(error), got=show(unit))) from None
    if instrument.lost_on is not None and day >= (instrument.lost_on - start).days:
        raise RowError(say("lost", name=name, day=instrument.lost_on.isoformat()))
    return Reading(row.file, row.line, name, day, value, _clean(str(row.remark)) if row.remark is not None else "")


def _clean(text: str) -> str:
    return "".join(sign if sign.isprintable() else " " for sign in text)[:LONGEST_REMARK]


def _unit(typed: Any, given: str | None) -> str:
    unit = str(typed or "").strip() or given
    if unit is None:
        raise RowError(say("no-unit"))
    return unit


def _day(cell: Any, form: str, known: Known) -> float:
    """Days from the start of works; a time of the day is its part."""
    start = known.observed.start
    moment = cell if isinstance(cell, dt.date) else _moment(str(cell if cell is not None else ""), form)
    if not isinstance(moment, dt.datetime):
        moment = dt.datetime.combine(moment, dt.time())
    day = (moment.replace(tzinfo=None) - dt.datetime.combine(start, dt.time())) / dt.timedelta(days=1)
    if day < EARLIEST:
        raise RowError(say("far-date", got=moment.date().isoformat(), start=start.isoformat()))
    if moment.date() > known.latest:
        # One wrong year would make it the newest reading, and all others old.
        raise RowError(say("later-date", got=moment.date().isoformat()))
    return day


def _moment(text: str, form: str) -> dt.datetime:
    if not text:
        raise RowError(say("no-date"))
    try:
        written = written_moment(text, form)
    except ValueError:
        raise RowError(say("no-such-date", got=show(text))) from None
    if written is None or written[1] is not None:
        raise RowError(say("date", form=form, got=show(text)))
    return written[0]


def _number(cell: Any, decimal: str) -> float:
    if cell is None or cell == "":
        raise RowError(say("no-value"))
    return number(say("value"), cell, decimal)
