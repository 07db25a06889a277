"""Files of readings, CSV, workbook or AGS 4: every row is a reading or is listed with its line and the reason."""

import datetime as dt
from collections.abc import Iterator, Sequence
from dataclasses import dataclass
from math import isclose
from pathlib import Path

from calc.engine.words import words_of
from calc.inputs.reading.problems import InputError, InputErrors
from calc.inputs.reading.source import text_of
from calc.inputs.tables.observed import COLUMNS, NEEDED, Observed
from calc.site.observed.ags_readings import rows_of_ags
from calc.site.observed.reading_rows import Known, Reading, Row, reading_of
from calc.site.rows.cell_values import bare, last_day_of_rows
from calc.site.rows.date_column import DateColumn, refuse_together
from calc.site.rows.mapped_heads import places_of
from calc.site.rows.row_files import Refused, RowError, RowFile, open_rows, refusal

say = words_of(__name__)

ENDINGS = (".csv", ".xlsx", ".ags")
ASIDE = (".", "~$")  # how names of files begin that programs put beside others
LARGEST = 50_000_000


@dataclass(frozen=True, slots=True)
class UnreadFile:
    """A file of a folder that was not read, with the reason; ``readings`` where its name says that it has some."""

    file: str
    why: str
    readings: bool


@dataclass(frozen=True, slots=True)
class Taken:
    """What the files have: readings in the order of instruments and time, the rows that are none, files not read.

    ``conflicts`` are instruments and days (from the start of works) of two values at one time, none of which counts.
    """

    readings: tuple[Reading, ...]
    refused: tuple[Refused, ...]
    files: tuple[str, ...]
    unread: tuple[UnreadFile, ...] = ()
    conflicts: tuple[tuple[str, float], ...] = ()


def files_of(paths: Sequence[Path]) -> tuple[list[Path], list[UnreadFile]]:
    """The files of some paths, those of a folder by their names; what else stands in a folder."""
    files, others = list[Path](), list[UnreadFile]()
    for path in paths:
        if not path.is_dir():
            files.append(path)
            continue
        for inside in sorted(path.iterdir(), key=lambda entry: entry.name):
            if inside.is_file() and inside.suffix.lower() in ENDINGS and not inside.name.startswith(ASIDE):
                files.append(inside)
            else:
                others.append(UnreadFile(str(inside), say("other"), readings=False))
    return files, others


def read_files(
    paths: Sequence[Path], observed: Observed, quantities: dict[str, str], latest: dt.date | None = None
) -> Taken:
    """Every reading of some files and folders; ``quantities`` says what each instrument reads.

    ``latest`` is the last day that a reading can be of, else ``last_day_of_rows``.
    ``InputErrors`` where a file that is named has not the form of the mapping, and where no row of any file is a
    reading. A file of a folder that has not is listed.
    """
    known = Known(
        observed,
        quantities,
        {instrument.name: instrument for instrument in observed.instruments},
        latest or last_day_of_rows(),
    )
    readings, refused, errors, read = list[Reading](), list[Refused](), list[InputError](), list[Path]()
    files, unread = files_of(paths)
    columns = list[DateColumn]()
    for file in files:
        try:
            own, rows, dated = _read_file(file, known)
        except InputErrors as error:
            if file in paths:
                errors += error.errors
            else:
                why = [f"{problem.path} must {problem.must}, got {problem.got}" for problem in error.errors]
                unread.append(UnreadFile(str(file), "; ".join(why), readings=True))
        else:
            readings.extend(own)
            refused.extend(rows)
            read.append(file)
            columns += dated
    if errors:
        raise InputErrors(errors)
    refuse_together(columns)
    kept, conflicts = _once(readings, refused)
    if not kept:
        first = "".join(f"; {row.file}, line {row.line}: {row.why}" for row in refused[:1])
        first += "".join(f"; {file.file}: {file.why}" for file in unread[:1])
        got = f"none, and {len(refused)} row{'s' * (len(refused) != 1)} without one{first}"
        raise InputErrors([InputError(str(paths[0]), 1, 1, "file", "have at least one reading", got)])
    kept.sort(key=lambda reading: (reading.instrument, reading.day))
    order = {str(file): place for place, file in enumerate(files)}
    refused.sort(key=lambda row: (order[row.file], row.line))
    return Taken(tuple(kept), tuple(refused), tuple(str(file) for file in read), tuple(unread), conflicts)


def _read_file(file: Path, known: Known) -> tuple[list[Reading], list[Refused], list[DateColumn]]:
    """The readings of a file, its rows that are none, its dates; ``InputErrors`` where these are doubtful."""
    readings, refused, columns = list[Reading](), list[Refused](), dict[str, DateColumn]()
    for row in _typed_rows(file, known.observed, refused):
        dated = columns.get(row.form)
        if dated is None:
            path, head = ("MOND_DTIM", "MOND_DTIM") if file.suffix.lower() == ".ags" else (
                "observed.date_form", known.observed.date_column or "")  # fmt: skip
            dated = columns[row.form] = DateColumn(row.file, path, head, row.form, known.latest)
        dated.add(row.line, row.date, str(row.instrument))
        try:
            readings.append(reading_of(row, known))
        except RowError as error:
            refused.append(Refused(row.file, row.line, str(error)))
    for column in columns.values():
        column.refuse()
    return readings, refused, list(columns.values())


def _typed_rows(file: Path, observed: Observed, refused: list[Refused]) -> Iterator[Row]:
    """The rows of a file that are not empty."""
    name = str(file)
    if file.suffix.lower() == ".ags":
        yield from rows_of_ags(_text(file), name, observed, refused)
        return
    opened = open_rows(file, refused, LARGEST)
    columns = _columns(opened, observed)
    for portion in opened.portions:
        for line, cells in portion.each():
            typed = {key: bare(cells[place]) for key, place in columns.items()}
            yield Row(name, line, form=observed.date_form, decimal=observed.decimal,
                      **{key: typed.get(key) for key in COLUMNS})  # fmt: skip


def _text(file: Path) -> str:
    """The text of a file that is not divided into rows here."""
    try:
        with file.open("rb") as stream:
            content = stream.read(LARGEST + 1)
    except OSError as error:
        raise refusal(file, "be a file that can be read", type(error).__name__) from None
    if len(content) > LARGEST:
        raise refusal(file, f"not be larger than {LARGEST // 1_000_000} MB", "a larger file")
    try:
        return text_of(content)
    except UnicodeDecodeError as error:
        raise refusal(file, "be saved as UTF-8", f"the byte 0x{content[error.start]:02x}") from None


def _columns(file: RowFile, observed: Observed) -> dict[str, int]:
    """Where the columns of the mapping stand; all that are missing or stand twice as `InputErrors`."""
    heads = {key: getattr(observed, f"{key}_column") for key in COLUMNS}
    must = "be given in the project file for CSV files and workbooks"
    errors = [InputError(file.name, 1, 1, f"observed.{key}_column", must, "nothing")
              for key in NEEDED if heads[key] is None]  # fmt: skip
    given = {key: head for key, head in heads.items() if head is not None}
    try:
        places = places_of(file, {f"observed.{key}_column": head for key, head in given.items()})
    except InputErrors as wrong:
        errors += wrong.errors
    if errors:
        raise InputErrors(errors)
    return dict(zip(given, places.values(), strict=True))


def _once(readings: Sequence[Reading], refused: list[Refused]) -> tuple[list[Reading], tuple[tuple[str, float], ...]]:
    """Readings, and the instruments and days of two values at one time; what does not count is listed.

    Of one value that is given again the first counts; of two values none does, whatever the order of the files.
    """
    together: dict[tuple[str, float], list[Reading]] = {}
    for reading in readings:
        together.setdefault((reading.instrument, reading.day), []).append(reading)
    kept, conflicts = list[Reading](), list[tuple[str, float]]()
    for at, (first, *again) in together.items():
        other = next((reading for reading in again if not _same(reading, first)), None)
        if other is None:
            kept.append(first)
            refused += [Refused(reading.file, reading.line, say("repeated", file=first.file, line=first.line),
                                repeated=True)
                        for reading in again]  # fmt: skip
            continue
        conflicts.append(at)
        for reading in (first, *again):
            beside = other if _same(reading, first) else first
            refused.append(Refused(reading.file, reading.line, say("contradicts", file=beside.file, line=beside.line)))
    return kept, tuple(sorted(conflicts))


def _same(reading: Reading, other: Reading) -> bool:
    """Whether two readings have one value, whatever the units that they are typed in."""
    return isclose(reading.value, other.value, rel_tol=1e-9)
