"""Files of readings, CSV or workbook: every row is a reading or is listed with its line and the reason."""

import csv
import datetime as dt
import io
import re
from collections.abc import Iterator, Sequence
from dataclasses import dataclass
from difflib import get_close_matches
from pathlib import Path
from typing import Any

from calc.engine.words import words_of
from calc.inputs.reading.problems import InputError, InputErrors
from calc.inputs.reading.scalars import show
from calc.inputs.reading.source import text_of
from calc.inputs.tables.observed import COLUMNS, ISO, UNIT_OF, Observed, ObservedInstrument, unit_factor

say = words_of(__name__)

ENDINGS = (".csv", ".xlsx")
LARGEST = 50_000_000
LONGEST_REMARK = 200
EARLIEST = -3653.0  # day before the start of works; zero readings are not older than ten years
TIME = r"(?:[T ](?P<hour>\d{2}):(?P<minute>\d{2})(?::(?P<second>\d{2})(?:\.\d+)?)?)?"
FORMS = {
    ISO: re.compile(rf"(?P<year>\d{{4}})-(?P<month>\d{{2}})-(?P<day>\d{{2}}){TIME}"),
    "day.month.year": re.compile(rf"(?P<day>\d{{1,2}})\.(?P<month>\d{{1,2}})\.(?P<year>\d{{4}}){TIME}"),
    "day/month/year": re.compile(rf"(?P<day>\d{{1,2}})/(?P<month>\d{{1,2}})/(?P<year>\d{{4}}){TIME}"),
    "month/day/year": re.compile(rf"(?P<month>\d{{1,2}})/(?P<day>\d{{1,2}})/(?P<year>\d{{4}}){TIME}"),
}
NUMBERS = {
    ".": re.compile(r"[+-]?\d{1,15}(?:\.\d{1,15})?(?:[eE][+-]?\d{1,2})?"),
    ",": re.compile(r"[+-]?\d{1,15}(?:,\d{1,15})?(?:[eE][+-]?\d{1,2})?"),
}
Cells = list[Any]


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
class Refused:
    """A row that is no reading, with the reason; a `repeated` one stands in another line, too, and is no mistake."""

    file: str
    line: int
    why: str
    repeated: bool = False


@dataclass(frozen=True, slots=True)
class Taken:
    """What the files have: readings in the order of instruments and time, and the rows that are none."""

    readings: tuple[Reading, ...]
    refused: tuple[Refused, ...]
    files: tuple[str, ...]


class RowError(ValueError):
    """Why a row is no reading."""


def read_files(files: Sequence[Path], observed: Observed, quantities: dict[str, str]) -> Taken:
    """Every reading of some files; ``quantities`` says what each instrument reads.

    ``InputErrors`` where a file has not the columns of the mapping, and where no row of any file is a reading.
    """
    found: list[Reading] = []
    refused: list[Refused] = []
    errors: list[InputError] = []
    for file in files:
        try:
            _read_file(file, observed, quantities, found, refused)
        except InputErrors as error:
            errors += error.errors
    if errors:
        raise InputErrors(errors)
    kept = list(_once(found, refused))
    if not kept:
        first = f"; {refused[0].file}, line {refused[0].line}: {refused[0].why}" if refused else ""
        got = f"{len(refused)} rows that are none{first}"
        raise InputErrors([InputError(str(files[0]), 1, 1, "file", "have at least one reading", got)])
    kept.sort(key=lambda one: (one.instrument, one.day))
    refused.sort(key=lambda one: (one.file, one.line))
    return Taken(tuple(kept), tuple(refused), tuple(str(file) for file in files))


def _read_file(
    file: Path, observed: Observed, quantities: dict[str, str], found: list[Reading], refused: list[Refused]
) -> None:  # fmt: skip
    name, known = str(file), {one.name: one for one in observed.instruments}
    rows = _rows(file, refused)
    head = next(rows, None)
    columns = _columns(name, head, observed)
    width = len(head[1]) if head else 0
    for line, cells in rows:
        if any(str(cell or "").strip() for cell in cells[width:]):
            refused.append(Refused(name, line, say("too-wide", width=width)))
        elif any(str(cell or "").strip() for cell in cells):
            try:
                found.append(_reading(name, line, cells, columns, observed, known, quantities))
            except RowError as error:
                refused.append(Refused(name, line, str(error)))


def _rows(file: Path, refused: list[Refused]) -> Iterator[tuple[int, Cells]]:
    """The rows of a file with their lines, the head first."""
    with file.open("rb") as stream:
        content = stream.read(LARGEST + 1)
    if len(content) > LARGEST:
        raise _refusal(file, f"not be larger than {LARGEST // 1_000_000} MB", "a larger file")
    if file.suffix.lower() == ".xlsx":
        yield from _rows_of_sheet(file, content)
        return
    try:
        text = text_of(content)
    except UnicodeDecodeError as error:
        raise _refusal(file, "be saved as UTF-8", f"the byte 0x{content[error.start]:02x}") from None
    lines = text.replace("\r\n", "\n").replace("\r", "\n").split("\n")
    mark = max(";\t,", key=lines[0].count)
    for number, line in enumerate(lines, start=1):
        try:
            yield number, next(csv.reader([line], delimiter=mark, strict=True), [])
        except csv.Error:
            if number == 1:
                raise _refusal(file, "have a first line with every quotation mark closed", show(line)) from None
            refused.append(Refused(str(file), number, say("quotation")))


def _rows_of_sheet(file: Path, content: bytes) -> list[tuple[int, Cells]]:
    import openpyxl  # noqa: PLC0415  # an optional package

    try:
        book = openpyxl.load_workbook(io.BytesIO(content), read_only=True, data_only=True)
        sheet = book.worksheets[0]
        sheet.reset_dimensions()  # what the file says of its size is not to be trusted
        return [(number, [cell.value for cell in row]) for number, row in enumerate(sheet.iter_rows(), start=1)]
    except Exception as error:  # noqa: BLE001  # a damaged archive or its XML fails in any way
        raise _refusal(file, "be a workbook (XLSX)", type(error).__name__) from None


def _refusal(file: Path | str, must: str, got: str) -> InputErrors:
    return InputErrors([InputError(str(file), 1, 1, "file", must, got)])


def _columns(file: str, head: tuple[int, Cells] | None, observed: Observed) -> dict[str, int]:
    """Where the columns of the mapping stand; all that are missing or stand twice as `InputErrors`."""
    heads = [str(cell if cell is not None else "").strip() for cell in (head[1] if head else [])]
    found: dict[str, int] = {}
    errors: list[InputError] = []
    for key in COLUMNS:
        wanted = getattr(observed, f"{key}_column")
        if wanted is None:
            continue
        places = [k for k, name in enumerate(heads) if name == wanted]
        if len(places) == 1:
            found[key] = places[0]
            continue
        near = get_close_matches(wanted, heads, 1, 0.5)
        got = f"{len(places)} of them" if places else f"none (near: {show(near[0])})" if near else "none"
        errors.append(
            InputError(file, 1, 1, f"observed.{key}_column", f"be the head of one column: {show(wanted)}", got)
        )
    if errors:
        raise InputErrors(errors)
    return found


def _reading(
    file: str, line: int, cells: Cells, columns: dict[str, int], observed: Observed,
    known: dict[str, ObservedInstrument], quantities: dict[str, str],
) -> Reading:  # fmt: skip
    """The reading of a row; ``RowError`` with the reason where it is none."""

    def cell(key: str) -> Any:
        place = columns.get(key, len(cells))
        value = cells[place] if place < len(cells) else None
        return value.strip() if isinstance(value, str) else value

    name = str(cell("instrument") if cell("instrument") is not None else "")
    one = known.get(name)
    if one is None:
        near = get_close_matches(name, known, 1, 0.6)
        text = say("near", near=near[0]) if near else ""
        raise RowError(say("instrument", got=show(name), near=text) if name else say("no-instrument"))
    day = _day(cell("date"), observed)
    value = _number(cell("value"), observed.decimal)
    target = UNIT_OF[quantities[name]]
    unit = _unit(cell("unit"), one.unit)
    try:
        value *= unit_factor(unit, target)
    except ValueError as error:
        raise RowError(say("unit", must=str(error), got=show(unit))) from None
    if one.lost_on is not None and day >= (one.lost_on - observed.start).days:
        raise RowError(say("lost", name=name, day=one.lost_on.isoformat()))
    remark = cell("remark")
    return Reading(file, line, name, day, value, _clean(str(remark)) if remark is not None else "")


def _clean(text: str) -> str:
    return "".join(sign if sign.isprintable() else " " for sign in text)[:LONGEST_REMARK]


def _unit(typed: Any, given: str | None) -> str:
    unit = str(typed or "").strip() or given
    if unit is None:
        raise RowError(say("no-unit"))
    return unit


def _day(cell: Any, observed: Observed) -> float:
    """Days from the start of works; a time of the day is its part."""
    moment = cell if isinstance(cell, dt.date) else _moment(str(cell if cell is not None else ""), observed.date_form)
    if not isinstance(moment, dt.datetime):
        moment = dt.datetime.combine(moment, dt.time())
    day = (moment.replace(tzinfo=None) - dt.datetime.combine(observed.start, dt.time())) / dt.timedelta(days=1)
    if day < EARLIEST:
        raise RowError(say("far-date", got=moment.date().isoformat(), start=observed.start.isoformat()))
    if moment.date() > latest_day():
        # One wrong year would make it the newest reading, and all others old.
        raise RowError(say("later-date", got=moment.date().isoformat()))
    return day


def latest_day() -> dt.date:
    """Tomorrow: the clock of the site may be ahead."""
    return dt.datetime.now().astimezone().date() + dt.timedelta(days=1)


def _moment(text: str, form: str) -> dt.datetime:
    if not text:
        raise RowError(say("no-date"))
    found = FORMS[form].fullmatch(text)
    if found is None:
        raise RowError(say("date", form=form, got=show(text)))
    try:
        return dt.datetime(**{key: int(part) for key, part in found.groupdict().items() if part is not None})  # type: ignore[arg-type]  # noqa: DTZ001 - local time of the site
    except ValueError:
        raise RowError(say("no-such-date", got=show(text))) from None


def _number(cell: Any, decimal: str) -> float:
    if isinstance(cell, bool) or cell is None or cell == "":
        raise RowError(say("no-value") if cell is None or cell == "" else say("value", decimal=decimal, got=show(cell)))
    if isinstance(cell, int | float):
        value = float(cell)
    elif isinstance(cell, str) and NUMBERS[decimal].fullmatch(cell.replace("\u2212", "-")):
        value = float(cell.replace("\u2212", "-").replace(",", "."))
    else:
        raise RowError(say("value", decimal=decimal, got=show(str(cell))))
    if not abs(value) < 1e12:
        raise RowError(say("value", decimal=decimal, got=show(str(cell))))
    return value


def _once(found: Sequence[Reading], refused: list[Refused]) -> Iterator[Reading]:
    """Readings that are given again are listed: the same value as repeated, another one as a contradiction."""
    known: dict[tuple[str, float], Reading] = {}
    for one in found:
        first = known.setdefault((one.instrument, one.day), one)
        if first is one:
            yield one
        elif first.value == one.value:
            refused.append(
                Refused(one.file, one.line, say("repeated", file=first.file, line=first.line), repeated=True)
            )
        else:
            refused.append(Refused(one.file, one.line, say("contradicts", file=first.file, line=first.line)))
