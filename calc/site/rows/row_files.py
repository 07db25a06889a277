"""Rows of a CSV, XLSX or Parquet file as they stand there, in portions, so that a large file is never held as text."""

import csv
import datetime as dt
from collections.abc import Generator, Iterator, Sequence
from dataclasses import dataclass
from itertools import islice
from pathlib import Path
from typing import Any

import numpy as np

from calc.engine.words import words_of
from calc.inputs.reading.problems import InputError, InputErrors
from calc.inputs.reading.scalars import show

say = words_of(__name__)

ENDINGS = (".csv", ".xlsx", ".parquet")
LARGEST = 600_000_000
PORTION = 2_000_000  # characters of a CSV file
ROWS = 20_000  # of a workbook or a Parquet file
LONGEST_LINE = 100_000
Cells = Sequence[Any]


@dataclass(frozen=True, slots=True)
class Portion:
    """Lines and cells of some rows; plain rows of texts all have ``width`` cells, in one list."""

    lines: Sequence[int]
    rows: Sequence[Cells]
    plain: Sequence[str] = ()
    width: int = 1

    by_column: Sequence[Any] = ()
    """The same rows by column, where the file has them so; numbers without a gap as an array."""

    def columns(self) -> Sequence[Cells]:
        """The cells by column; there are rows."""
        if self.by_column:
            return self.by_column
        if self.plain:
            return [self.plain[k :: self.width] for k in range(self.width)]
        return list(zip(*self.rows, strict=True))

    def each(self) -> Iterator[tuple[int, Cells]]:
        """Line and cells of every row."""
        if self.plain:
            rows = (self.plain[k : k + self.width] for k in range(0, len(self.plain), self.width))
            return zip(self.lines, rows, strict=True)
        if self.by_column:
            columns = [column.tolist() if isinstance(column, np.ndarray) else column for column in self.by_column]
            return zip(self.lines, zip(*columns, strict=True), strict=True)
        return zip(self.lines, self.rows, strict=True)

    def __bool__(self) -> bool:
        """Whether there are rows."""
        return bool(self.lines)


@dataclass(frozen=True, slots=True)
class Refused:
    """A row that does not count, with the reason."""

    file: str
    line: int
    why: str
    repeated: bool = False
    """Whether it stands in another line, too, and is no mistake."""
    id: str = ""
    """The column that it is of, where the row says it."""


@dataclass(frozen=True)
class RowFile:
    """A file of rows: the words at its head, and its rows in portions. Rows of a Parquet file count from 1."""

    name: str
    line: int
    heads: tuple[str, ...]
    portions: Iterator[Portion]


def refusal(file: Path | str, must: str, got: str, line: int = 1) -> InputErrors:
    """The error of a file that cannot be read."""
    return InputErrors([InputError(str(file), line, 1, "file", must, got)])


def open_rows(file: Path, refused: list[Refused], largest: int | None = None) -> RowFile:
    """The head and the rows of a file; rows that cannot be read go to ``refused``.

    ``InputErrors`` where the file cannot be read at all, which rows further down can still turn out.
    """
    try:
        size = file.stat().st_size
        with file.open("rb"):
            pass
    except OSError as error:
        raise refusal(file, "be a file that can be read", type(error).__name__) from None
    most = largest or LARGEST
    if size > most:
        raise refusal(file, f"not be larger than {most // 1_000_000} MB", "a larger file")
    match file.suffix.lower():
        case ".xlsx":
            return _workbook(file)
        case ".parquet":
            return _parquet(file)
    return _text(file, refused)


def _text(file: Path, refused: list[Refused]) -> RowFile:
    number, line = 0, "#"
    try:
        with file.open(encoding="utf-8-sig") as stream:
            # Comment lines before the head, as the files of the plan have them.
            while line.startswith("#") or (line and not line.strip()):
                line, number = stream.readline(LONGEST_LINE), number + 1
        mark = max(";\t,", key=line.count)
        heads = next(csv.reader([line.rstrip("\n")], delimiter=mark, strict=True), [])
    except UnicodeDecodeError as error:
        raise refusal(file, "be saved as UTF-8", f"the byte 0x{error.object[error.start]:02x}") from None
    except csv.Error:
        raise refusal(file, "have a head with every quotation mark closed", show(line), number) from None
    portions = _lines(file, mark, number, len(heads), refused)
    return RowFile(str(file), number, tuple(head.strip() for head in heads), portions)


def _lines(file: Path, mark: str, number: int, width: int, refused: list[Refused]) -> Iterator[Portion]:
    with file.open(encoding="utf-8-sig") as stream:
        for _ in range(number):
            stream.readline(LONGEST_LINE)
        while True:
            try:
                lines = stream.readlines(PORTION)
            except UnicodeDecodeError as error:
                got = f"the byte 0x{error.object[error.start]:02x}"
                raise refusal(file, "be saved as UTF-8", got, number + 1) from None
            if not lines:
                return
            plain = _plain(lines, mark, width)
            if plain:
                yield Portion(range(number + 1, number + len(lines) + 1), (), plain, width)
            else:
                yield _one_by_one(file, lines, mark, number, width, refused)
            number += len(lines)


def _one_by_one(
    file: Path, lines: list[str], mark: str, number: int, width: int, refused: list[Refused]
) -> Portion:  # fmt: skip
    """Lines of which some are not plain; ``number`` is the line before them."""
    numbers, rows = list[int](), list[Cells]()
    for line in lines:
        number += 1
        try:
            cells = _cells(line.rstrip("\n"), mark, width)
        except csv.Error:
            refused.append(Refused(str(file), number, say("quotation")))
        except RowError as error:
            refused.append(Refused(str(file), number, str(error)))
        else:
            if cells:
                numbers.append(number)
                rows.append(cells)
    return Portion(numbers, rows)


def _plain(lines: list[str], mark: str, width: int) -> list[str]:
    """The cells of lines that all have one cell for each head and no quotation marks; else nothing."""
    text = "".join(lines)
    if '"' in text or {line.count(mark) for line in lines} != {width - 1} or f"\n{mark}" in f"\n{text}":
        return []
    cells = text.removesuffix("\n").replace("\n", mark).split(mark)
    return cells if len(cells) == width * len(lines) and width > 1 else []


class RowError(ValueError):
    """Why a row does not count."""


def _cells(line: str, mark: str, width: int) -> Cells:
    """The cells of a line, none where it is empty."""
    cells = next(csv.reader([line], delimiter=mark, strict=True), []) if '"' in line else line.split(mark)
    if len(cells) != width:
        if not any(cell.strip() for cell in cells):
            return []
        if len(cells) < width or any(cell.strip() for cell in cells[width:]):
            key = "too-many" if len(cells) > width and mark == "," else "cells"
            raise RowError(say(key, got=len(cells), heads=width))
        return cells[:width]
    return cells if any(cells) and line.strip(f"{mark} ") else []


def _workbook(file: Path) -> RowFile:
    rows = _sheet(file)
    try:
        line, head = next(((k, row) for k, row in rows if any(cell is not None for cell in row)), (1, ()))
    finally:
        rows.close()
    heads = tuple(str(cell if cell is not None else "").strip() for cell in head)
    return RowFile(str(file), line, heads, _sheet_rows(file, line, len(heads)))


def _sheet(file: Path) -> Generator[tuple[int, Cells], None, None]:
    """The rows of the first sheet of a workbook with their numbers."""
    import openpyxl  # noqa: PLC0415  # an optional package

    try:
        book = openpyxl.load_workbook(file, read_only=True, data_only=True)
        try:
            sheet = book.worksheets[0]
            sheet.reset_dimensions()  # what the file says of its size is not to be trusted
            for number, row in enumerate(sheet.iter_rows(), start=1):
                yield number, [_cell_value(cell) for cell in row]
        finally:
            book.close()
    except Exception as error:  # noqa: BLE001  # a damaged archive or its XML fails in any way
        raise refusal(file, "be a workbook (XLSX)", type(error).__name__) from None


def _cell_value(cell: Any) -> Any:
    """The value of a cell; a midnight that the sheet shows as a day alone is a day."""
    from openpyxl.styles.numbers import is_datetime  # noqa: PLC0415

    value = cell.value
    if isinstance(value, dt.datetime) and value.time() == dt.time() and is_datetime(cell.number_format) == "date":
        return value.date()
    return value


def _sheet_rows(file: Path, head: int, width: int) -> Iterator[Portion]:
    rows = _sheet(file)
    while some := list(islice(rows, ROWS)):
        kept = [(k, _filled(row, width)) for k, row in some
                if k > head and any(cell is not None and cell != "" for cell in row)]  # fmt: skip
        yield Portion([k for k, _ in kept], [row for _, row in kept])


def _filled(row: Cells, width: int) -> Cells:
    """A row of a sheet as wide as its head: empty cells at its end are not in the file."""
    return (*row, *[None] * (width - len(row)))[:width]


def _parquet(file: Path) -> RowFile:
    import pyarrow.parquet as pq  # noqa: PLC0415  # an optional package

    try:
        opened = pq.ParquetFile(file)
        names = opened.schema_arrow.names
    except Exception as error:  # noqa: BLE001  # a damaged file fails in any way
        raise refusal(file, "be a Parquet file", type(error).__name__) from None
    return RowFile(str(file), 1, tuple(name.strip() for name in names), _batches(file, opened))


def _batches(file: Path, opened: Any) -> Iterator[Portion]:
    number = 0
    try:
        days = _days(opened)
        for batch in opened.iter_batches(batch_size=ROWS):
            rows = slice(number, number + len(batch))
            columns = [days[k][rows] if k in days else _column(cells) for k, cells in enumerate(batch.columns)]
            yield Portion(range(number + 1, number + len(batch) + 1), (), by_column=columns)
            number += len(batch)
    except Exception as error:  # noqa: BLE001  # as above
        raise refusal(file, "be a Parquet file", type(error).__name__, number + 1) from None


def _days(opened: Any) -> dict[int, list[dt.date | None]]:
    """The days of the columns of timestamps that are midnights alone, of several rows: some programs write days so."""
    import pyarrow as pa  # noqa: PLC0415

    by_column: dict[int, list[dt.date | None]] = {}
    for k, kind in enumerate(opened.schema_arrow.types):
        if pa.types.is_timestamp(kind):
            days = _midnights(opened, opened.schema_arrow.names[k])
            if len(list(islice(filter(None, days), 2))) > 1:
                by_column[k] = days
    return by_column


def _midnights(opened: Any, name: str) -> list[dt.date | None]:
    """The days of a column, nothing with the first time that is no midnight: little of times is read twice."""
    days, known = list[dt.date | None](), dict[dt.date, dt.date]()
    for batch in opened.iter_batches(batch_size=ROWS, columns=[name]):
        for moment in _column(batch.columns[0]):
            if moment is not None and moment.time() != dt.time():
                return []
            day = None if moment is None else moment.date()
            days.append(day and known.setdefault(day, day))
    return days


def _column(cells: Any) -> Cells:
    """Plain numbers as an array, anything else as objects of Python; times to the microsecond."""
    import pyarrow as pa  # noqa: PLC0415

    kind = cells.type
    if pa.types.is_floating(kind) and not cells.null_count:
        numbers: Cells = cells.to_numpy(zero_copy_only=False)
        return numbers
    if pa.types.is_timestamp(kind):
        cells = cells.cast(pa.timestamp("us", kind.tz), safe=False)
    if pa.types.is_time64(kind):
        cells = cells.cast(pa.time64("us"), safe=False)
    objects: Cells = cells.to_pylist()
    return objects
