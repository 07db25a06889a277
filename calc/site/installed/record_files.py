"""Installation records of all files: the record of every column that counts, readings in depth, what does not."""

import datetime as dt
from collections.abc import Mapping, Sequence
from dataclasses import dataclass, field
from pathlib import Path
from typing import Any

import numpy as np
from numpy.typing import NDArray

from calc.inputs.reading.problems import InputError, InputErrors
from calc.inputs.tables.installed import COLUMN_FIELDS, READING_FIELDS, TIME, Installed, ReadingColumn, RecordColumn
from calc.site.installed.record_values import Field, Fields, Values
from calc.site.rows.cell_values import LONGEST, Array, bare, last_day_of_rows
from calc.site.rows.date_column import DateColumn, refuse_together
from calc.site.rows.mapped_heads import places_of
from calc.site.rows.row_files import Cells, Portion, Refused, RowError, RowFile, open_rows

Whole = NDArray[np.int64]
PLACED = {"volume": "placed"}
"""The volume of a reading is 0 before the first fill."""


@dataclass(frozen=True, slots=True)
class Record:
    """What a row says of a column: texts, numbers in kN, m, kPa, rad, day, times in days from 1970-01-01."""

    file: str
    line: int
    values: Mapping[str, Any]

    @property
    def id(self) -> str:
        """The id of the column."""
        return str(self.values["id"])


@dataclass(frozen=True, slots=True)
class Again:
    """A column that has a later record: sent again, or used for another column (``twice``)."""

    earlier: Record
    later: Record
    twice: bool


@dataclass(frozen=True)
class Readings:
    """Readings in depth by column and from the toe up: ``of`` is an index into ``ids``; depth m, volume so far m³."""

    ids: tuple[str, ...] = ()
    of: Whole = field(default_factory=lambda: np.zeros(0, dtype=np.int64))
    depth: Array = field(default_factory=lambda: np.zeros(0))
    volume: Array = field(default_factory=lambda: np.zeros(0))
    replaced: tuple[str, ...] = ()
    """Columns whose readings were sent again: those of the later file count."""


@dataclass(frozen=True)
class Records:
    """Everything that the files say."""

    counted: Mapping[str, Record]
    again: tuple[Again, ...]
    readings: Readings
    refused: tuple[Refused, ...]
    files: tuple[str, ...]
    rows: int
    """Rows that were read, refused ones included."""


@dataclass
class _Gathered:
    """Readings while files are read."""

    known: dict[str, int] = field(default_factory=dict)
    of: list[Whole] = field(default_factory=list)
    depth: list[Array] = field(default_factory=list)
    volume: list[Array] = field(default_factory=list)
    file: list[Whole] = field(default_factory=list)


def read_records(files: Sequence[Path], installed: Installed, latest: dt.date | None = None) -> Records:
    """Read every file; ``InputErrors`` where one has not the columns of the mapping or doubtful dates, or none counts.

    ``latest`` is the last day of a record, else ``last_day_of_rows``.
    """
    last = latest or last_day_of_rows()
    values, refused, gathered = Values(installed, last), list[Refused](), _Gathered()
    records, errors, together = list[Record](), list[InputError](), list[DateColumn]()
    for number, path in enumerate(files):
        try:
            file = open_rows(path, refused)
            of_readings = _of_readings(file, installed)
            fields = _fields(file, installed, of_readings=of_readings)
            dated = {
                mapped.place: DateColumn(file.name, "installed.date_form", mapped.head, installed.date_form, last, True)
                for mapped in fields.values() if mapped.kind == TIME
            }  # fmt: skip
            for portion in file.portions:
                if of_readings:
                    _readings(file, portion, fields, values, gathered, number, refused)
                else:
                    _columns(file, portion, fields, values, records, refused, dated)
            for column in dated.values():
                column.refuse()
            together += dated.values()
        except InputErrors as error:
            errors += error.errors
    if errors:
        raise InputErrors(errors)
    refuse_together(together)
    counted, again = _latest(records)
    if not counted:
        first = f": {refused[0].file}, line {refused[0].line}: {refused[0].why}" if refused else ""
        got = f"none, and {len(refused)} rows that do not count{first}"
        raise InputErrors([InputError(str(files[0]), 1, 1, "file", "have at least one record of a column", got)])
    order = {str(path): place for place, path in enumerate(files)}
    refused.sort(key=lambda row: (order[row.file], row.line))
    rows = len(records) + sum(map(len, gathered.of)) + len(refused)
    return Records(counted, again, _sorted(gathered), tuple(refused), tuple(map(str, files)), rows)


def _of_readings(file: RowFile, installed: Installed) -> bool:
    """A file with the head of the depth has one row a reading; with a slip in it, it has most of the other heads."""
    heads = set(file.heads)
    if any(column.field_name == "depth" and column.head in heads for column in installed.reading):
        return True
    shares = [sum(column.head in heads for column in mapping) / len(mapping) if mapping else 0.0
              for mapping in (installed.reading, installed.column)]  # fmt: skip
    return shares[0] > shares[1]


def _fields(file: RowFile, installed: Installed, *, of_readings: bool) -> dict[str, Field]:
    table, kinds = ("reading", READING_FIELDS) if of_readings else ("column", COLUMN_FIELDS)
    mapping: Sequence[RecordColumn | ReadingColumn] = getattr(installed, table)
    places = places_of(file, {f"installed.{table}.{column.field_name}": column.head for column in mapping})
    return {column.field_name: Field(column.field_name, column.head, kinds[column.field_name], column.unit or "", place)
            for column, place in zip(mapping, places.values(), strict=True)}  # fmt: skip


def _columns(
    file: RowFile, portion: Portion, fields: Fields, values: Values, records: list[Record], refused: list[Refused],
    dated: Mapping[int, DateColumn],
) -> None:  # fmt: skip
    for line, cells in portion.each():
        for place, column in dated.items():
            column.add(line, cells[place])
        try:
            made = values.row(fields, cells, ("id",))
        except RowError as error:
            refused.append(Refused(file.name, line, str(error), id=str(bare(cells[fields["id"].place]) or "")))
        else:
            records.append(Record(file.name, line, made))


def _readings(
    file: RowFile, portion: Portion, fields: Fields, values: Values, gathered: _Gathered, number: int,
    refused: list[Refused],
) -> None:  # fmt: skip
    """Readings of a portion: all at once where every cell is plain, else row by row."""
    if not portion:
        return
    columns = portion.columns()
    ids = columns[fields["id"].place]
    depth, volume = (values.numbers(fields[name], columns[fields[name].place]) for name in ("depth", "volume"))
    if depth is None or volume is None or not _plain(ids) or depth.min() < 0 or volume.min() < 0:
        known, deep, full = _one_by_one(file, portion, fields, values, refused)
        ids, depth, volume = tuple(known), np.array(deep), np.array(full)
        if not ids:
            return
    index = gathered.known
    gathered.of.append(np.array([index.setdefault(name, len(index)) for name in ids], dtype=np.int64))
    gathered.depth.append(depth)
    gathered.volume.append(volume)
    gathered.file.append(np.full(len(depth), number))


def _plain(ids: Cells) -> bool:
    """Whether all ids are texts that are as they stand there."""
    return all(type(name) is str and name and name.isprintable() and len(name) <= LONGEST and name == name.strip()
               for name in set(ids))  # fmt: skip


def _one_by_one(
    file: RowFile, portion: Portion, fields: Fields, values: Values, refused: list[Refused]
) -> tuple[list[str], list[float], list[float]]:
    ids, depth, volume = list[str](), list[float](), list[float]()
    for line, cells in portion.each():
        try:
            made = values.row(fields, cells, (*READING_FIELDS,), PLACED)
        except RowError as error:
            refused.append(Refused(file.name, line, str(error)))
        else:
            ids.append(made["id"])
            depth.append(made["depth"])
            volume.append(made["volume"])
    return ids, depth, volume


def _latest(records: Sequence[Record]) -> tuple[dict[str, Record], tuple[Again, ...]]:
    """The last record of every column, in the order of files and lines, and those that it replaces."""
    counted, again = dict[str, Record](), list[Again]()
    for record in records:
        before = counted.get(record.id)
        if before is not None:
            again.append(Again(before, record, _twice(before, record)))
        counted[record.id] = record
    return counted, tuple(again)


def _twice(record: Record, other: Record) -> bool:
    """Whether two records of one id are of two columns: begun at different times, or not the same in one file."""
    for name in ("start", "date"):
        if name in record.values and name in other.values:
            return bool(record.values[name] != other.values[name])
    return record.file == other.file and record.values != other.values


def _sorted(gathered: _Gathered) -> Readings:
    """Readings by column from the toe up, of each column those of its last file; of one depth the last line."""
    if not gathered.of:
        return Readings()
    of, depth, volume, file = (np.concatenate(getattr(gathered, name)) for name in ("of", "depth", "volume", "file"))
    last, first = np.zeros(len(gathered.known), dtype=np.int64), np.full(len(gathered.known), 1 << 30)
    np.maximum.at(last, of, file)
    np.minimum.at(first, of, file)
    names = tuple(gathered.known)
    replaced = tuple(names[k] for k in np.flatnonzero(first < last))
    if replaced:
        kept = file == last[of]
        of, depth, volume = of[kept], depth[kept], volume[kept]
    order = np.lexsort((-depth, of))
    of, depth, volume = of[order], depth[order], volume[order]
    same = np.zeros(len(of), dtype=bool)
    same[:-1] = (of[1:] == of[:-1]) & (depth[1:] == depth[:-1])
    return Readings(names, of[~same], depth[~same], volume[~same], replaced)
