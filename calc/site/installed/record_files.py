"""Installation records of all files: the record of every column that counts, readings in depth, what does not."""

from collections.abc import Mapping, Sequence
from dataclasses import dataclass, field
from difflib import get_close_matches
from pathlib import Path
from typing import Any

import numpy as np
from numpy.typing import NDArray

from calc.engine.words import words_of
from calc.inputs.reading.problems import InputError, InputErrors
from calc.inputs.reading.scalars import show
from calc.inputs.tables.installed import COLUMN_FIELDS, READING_FIELDS, Installed, ReadingColumn, RecordColumn
from calc.site.installed.record_rows import Cells, Portion, RecordFile, Refused, RowError, open_records
from calc.site.installed.record_values import Array, Values

say = words_of(__name__)

Whole = NDArray[np.int64]


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


def read_records(files: Sequence[Path], installed: Installed) -> Records:
    """Read every file; ``InputErrors`` where a file has not the columns of the mapping, and where nothing counts."""
    values, refused, gathered = Values(installed), list[Refused](), _Gathered()
    found, errors = list[Record](), list[InputError]()
    for number, path in enumerate(files):
        try:
            file = open_records(path, refused)
            of_readings = _of_readings(file, installed)
            places = _places(file, installed.reading if of_readings else installed.column)
            for portion in file.portions:
                if of_readings:
                    _readings(file, portion, places, values, gathered, number, refused)
                else:
                    _columns(file, portion, places, values, found, refused)
        except InputErrors as error:
            errors += error.errors
    if errors:
        raise InputErrors(errors)
    counted, again = _latest(found)
    if not counted:
        first = f": {refused[0].file}, line {refused[0].line}: {refused[0].why}" if refused else ""
        got = f"none, and {len(refused)} rows that do not count{first}"
        raise InputErrors([InputError(str(files[0]), 1, 1, "file", "have at least one record of a column", got)])
    refused.sort(key=lambda one: (one.file, one.line))
    rows = len(found) + sum(map(len, gathered.of)) + len(refused)
    return Records(counted, again, _sorted(gathered), tuple(refused), tuple(map(str, files)), rows)


def _of_readings(file: RecordFile, installed: Installed) -> bool:
    """A file with the column of the depth has one row a reading."""
    return any(one.field_name == "depth" and one.head in file.heads for one in installed.reading)


Places = dict[str, tuple[int, str, str | None]]
"""Field: where its column stands, its kind, its unit."""


def _places(file: RecordFile, mapping: Sequence[RecordColumn | ReadingColumn]) -> Places:
    found, errors = Places(), list[InputError]()
    reading = isinstance(mapping[0], ReadingColumn)
    kinds = READING_FIELDS if reading else COLUMN_FIELDS
    for one in mapping:
        places = [k for k, head in enumerate(file.heads) if head == one.head]
        if len(places) == 1:
            found[one.field_name] = places[0], kinds[one.field_name], one.unit
            continue
        near = get_close_matches(one.head, file.heads, 1, 0.5)
        got = f"{len(places)} of them" if places else f"none (near: {show(near[0])})" if near else "none"
        path = f"installed.{'reading' if reading else 'column'}.{one.field_name}"
        must = f"be the head of one column: {show(one.head)}"
        errors.append(InputError(file.name, file.line, 1, path, must, got))
    if errors:
        raise InputErrors(errors)
    return found


def _columns(
    file: RecordFile, portion: Portion, places: Places, values: Values, found: list[Record], refused: list[Refused]
) -> None:  # fmt: skip
    for line, cells in portion.each():
        try:
            found.append(Record(file.name, line, _record(cells, places, values)))
        except RowError as error:
            refused.append(Refused(file.name, line, str(error)))


def _record(cells: Cells, places: Places, values: Values) -> dict[str, Any]:
    day = None
    if "date" in places:
        place, kind, _ = places["date"]
        day = values.value("date", kind, None, cells[place])
    made = {
        name: values.value(name, kind, unit, cells[place], day)
        for name, (place, kind, unit) in places.items() if name != "date"
    }  # fmt: skip
    if made["id"] is None:
        raise RowError(say("no-id"))
    return {name: value for name, value in (*made.items(), ("date", day)) if value is not None}


def _readings(
    file: RecordFile, portion: Portion, places: Places, values: Values, gathered: _Gathered, number: int,
    refused: list[Refused],
) -> None:  # fmt: skip
    """Readings of a portion: all at once where every cell is plain, else row by row."""
    if not portion:
        return
    columns = portion.columns()
    (at_id, _, _), (at_depth, kind_d, unit_d), (at_volume, kind_v, unit_v) = (
        places[name] for name in ("id", "depth", "volume")
    )
    ids = columns[at_id]
    depth = values.numbers(kind_d, unit_d or "", columns[at_depth])
    volume = values.numbers(kind_v, unit_v or "", columns[at_volume])
    if depth is None or volume is None or not _plain(ids) or depth.min() < 0 or volume.min() < 0:
        kept, known, deep, full = _one_by_one(file, portion, places, values, refused)
        ids, depth, volume = tuple(known), np.array(deep), np.array(full)
        if not kept:
            return
    index = gathered.known
    gathered.of.append(np.array([index.setdefault(one, len(index)) for one in ids], dtype=np.int64))
    gathered.depth.append(depth)
    gathered.volume.append(volume)
    gathered.file.append(np.full(len(depth), number))


def _plain(ids: Cells) -> bool:
    """Whether all ids are texts that are as they stand there."""
    return all(type(one) is str and one and one.isprintable() and len(one) <= 120 and one == one.strip()
               for one in set(ids))  # fmt: skip


def _one_by_one(
    file: RecordFile, portion: Portion, places: Places, values: Values, refused: list[Refused]
) -> tuple[int, list[str], list[float], list[float]]:
    ids, depth, volume = list[str](), list[float](), list[float]()
    for line, cells in portion.each():
        try:
            made = _reading(cells, places, values)
        except RowError as error:
            refused.append(Refused(file.name, line, str(error)))
        else:
            ids.append(made["id"])
            depth.append(made["depth"])
            volume.append(made["volume"])
    return len(ids), ids, depth, volume


def _reading(cells: Cells, places: Places, values: Values) -> dict[str, Any]:
    """Id, depth and volume so far, which is 0 before the first fill."""
    made = {name: values.value("depth" if name != "id" else name, kind, unit, cells[place])
            for name, (place, kind, unit) in places.items()}  # fmt: skip
    empty = [name for name, value in made.items() if value is None]
    if empty:
        raise RowError(say("empty", name=empty[0]))
    return made


def _latest(found: Sequence[Record]) -> tuple[dict[str, Record], tuple[Again, ...]]:
    """The last record of every column, in the order of files and lines, and those that it replaces."""
    counted, again = dict[str, Record](), list[Again]()
    for one in found:
        before = counted.get(one.id)
        if before is not None:
            again.append(Again(before, one, _twice(before, one)))
        counted[one.id] = one
    return counted, tuple(again)


def _twice(one: Record, other: Record) -> bool:
    """Whether two records of one id are of two columns: begun at different times, or not the same in one file."""
    for name in ("start", "date"):
        if name in one.values and name in other.values:
            return bool(one.values[name] != other.values[name])
    return one.file == other.file and one.values != other.values


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
