"""Results of tests in a file beside the project: a row a reading (CSV, XLSX), or groups of an AGS 4 file."""

import re
from collections.abc import Iterator
from dataclasses import dataclass, field
from fractions import Fraction
from pathlib import Path

from calc.inputs.ground_file.ags_kinds import AGS
from calc.inputs.ground_file.ags_results import results_of_ags
from calc.inputs.ground_file.ground_reader import LARGEST, sheet_of
from calc.inputs.ground_file.ground_table import Rows, rows_of_csv
from calc.inputs.ground_file.result_rows import (
    LONGEST,
    NEEDED,
    TEXTS,
    UNITS,
    PassedOver,
    Result,
    ResultsFile,
    is_possible,
)
from calc.inputs.reading import units
from calc.inputs.reading.glyphs import unprintable
from calc.inputs.reading.problems import InputError, InputErrors
from calc.inputs.reading.scalars import show
from calc.inputs.reading.source import text_of

NAME = re.compile(r"[A-Za-z0-9][A-Za-z0-9_-]{0,60}\.(csv|xlsx|ags)")
MUST_NAME = (
    'be the name of a file beside project.toml, of letters, digits, _ and -, that ends with ".csv", ".xlsx" or ".ags"'
)
HEADED = 2
MOST_ROWS = 20_000
_NUMBER = re.compile(units.NUMBER)


def read_results(folder: Path, name: str) -> ResultsFile:
    """The file of that name in a project folder; everything that is wrong in it as `InputErrors`.

    ``ValueError`` says what the name must be where it names no file of the folder itself.
    """
    if not NAME.fullmatch(name):
        raise ValueError(MUST_NAME)
    path = folder / name
    if path.is_symlink() or not path.is_file():
        message = "name a file that lies beside project.toml"
        raise ValueError(message)
    with path.open("rb") as stream:
        content = stream.read(LARGEST + 1)
    if len(content) > LARGEST:
        raise _refusal(str(path), f"not be larger than {LARGEST // 1_000_000} MB", "a larger file")
    results, passed = _results(content, str(path), path.suffix)
    return ResultsFile(name, content, tuple(results), tuple(passed))


def _results(content: bytes, file: str, ending: str) -> tuple[list[Result], list[PassedOver]]:
    if ending == ".xlsx":
        try:
            rows = sheet_of(content, file)
        except ImportError:
            raise _refusal(file, "be a CSV file where the extra export is not installed", "a workbook") from None
        return results_of_rows(rows, file), []
    try:
        text = text_of(content)
    except UnicodeDecodeError as error:
        raise _refusal(file, "be saved as UTF-8", f"the byte 0x{content[error.start]:02x}") from None
    return results_of_ags(text, file) if ending == AGS else (results_of_rows(rows_of_csv(text, file), file), [])


def _refusal(file: str, must: str, got: str) -> InputErrors:
    return InputErrors([InputError(file, 1, 1, "file", must, got)])


@dataclass
class _Reader:
    file: str
    rows: Rows
    columns: dict[str, int] = field(default_factory=dict)
    factors: dict[str, Fraction] = field(default_factory=dict)
    errors: list[InputError] = field(default_factory=list)

    def refuse(self, row: int, column: int, name: str, must: str, got: str) -> None:
        self.errors.append(InputError(self.file, row + 1, column + 1, name, must, got))

    def cell(self, row: int, column: int) -> str:
        cells = self.rows[row] if row < len(self.rows) else []
        return cells[column].strip() if column < len(cells) else ""

    def text(self, row: int, name: str) -> str:
        return self.cell(row, self.columns[name]) if name in self.columns else ""


def results_of_rows(rows: Rows, file: str) -> list[Result]:
    """The results of a table: names of columns, their units, and a row a reading, in an oedometer test a row a load."""
    reader = _Reader(file, rows)
    _read_head(reader)
    results: list[Result] = []
    if not reader.errors:
        if len(rows) > MOST_ROWS:
            raise _refusal(file, f"have at most {MOST_ROWS} rows", str(len(rows)))
        results = [result for row in range(HEADED, len(rows)) if (result := _result(reader, row)) is not None]
        _refuse_repeated_ids(reader, results)
    if not results and not reader.errors:
        reader.refuse(
            len(rows), 0, "file", "hold names of columns, their units, and a row for each reading", "no reading"
        )
    if reader.errors:
        raise InputErrors(reader.errors)
    return results


def _read_head(reader: _Reader) -> None:
    for at, cell in enumerate(reader.rows[0] if reader.rows else []):
        name = cell.strip()
        if not name:
            continue
        if name in reader.columns:
            reader.refuse(0, at, "header", "name each column once", show(name))
        elif name not in UNITS and name not in TEXTS:
            reader.refuse(0, at, "header", f"be one of {', '.join((*TEXTS, *UNITS))}", show(name))
        else:
            reader.columns[name] = at
            _read_unit(reader, at, name)
    for name in (*TEXTS[:3], "depth"):
        if name not in reader.columns:
            reader.refuse(0, 0, "header", f"have a column {name}", "none")


def _read_unit(reader: _Reader, at: int, name: str) -> None:
    unit, wanted = reader.cell(1, at), UNITS.get(name, "")
    try:
        if wanted == "%":
            reader.factors[name] = {"%": Fraction(1, 100), "-": Fraction(1)}[unit]
        elif wanted:
            units.factor(unit, wanted)
            reader.factors[name] = units.factor_inside(unit)
        else:
            reader.factors[name] = {"": Fraction(1), "-": Fraction(1)}[unit]
    except (KeyError, units.QuantityError):
        must = {"%": 'hold the units: here "%" or "-"', "": "hold the units: here none"}.get(
            wanted, f"hold the units: here one that converts to {wanted}"
        )
        reader.refuse(1, at, name, must, show(unit) if unit else "nothing")


def _result(reader: _Reader, row: int) -> Result | None:
    if not any(cell.strip() for cell in reader.rows[row]):
        return None
    before = len(reader.errors)
    texts = {name: reader.text(row, name) for name in TEXTS}
    for name, text in texts.items():
        at = reader.columns.get(name, 0)
        if (not text and name != "layer") or len(text) > LONGEST or unprintable(text):
            reader.refuse(row, at, name, f"be a printable text of 1 to {LONGEST} signs", show(text))
        elif name == "test" and text not in NEEDED:
            reader.refuse(row, at, name, "be one of " + ", ".join(f'"{test}"' for test in NEEDED), show(text))
    values = dict(_numbers(reader, row))
    for name in ("depth", *NEEDED.get(texts["test"], ())):
        if name not in values and not any(error.line == row + 1 and error.path == name for error in reader.errors):
            reader.refuse(row, reader.columns.get(name, 0), name, f"be given for a row {texts['test']}", "nothing")
    if len(reader.errors) > before:
        return None
    depth = values.pop("depth")
    return Result(texts["id"], texts["location"], depth, texts["test"], texts["layer"], row + 1, values)


def _numbers(reader: _Reader, row: int) -> Iterator[tuple[str, float]]:
    for name, factor in reader.factors.items():
        if name not in UNITS:
            continue
        at = reader.columns[name]
        cell = reader.cell(row, at)
        if not cell:
            continue
        value = float(Fraction(cell) * factor) if _NUMBER.fullmatch(cell) else None
        if value is None:
            reader.refuse(row, at, name, "be a plain number with a point", show(cell))
        elif not is_possible(name, value):
            reader.refuse(row, at, name, "be above zero and of a size that can be", show(cell))
        else:
            yield name, value


def _refuse_repeated_ids(reader: _Reader, results: list[Result]) -> None:
    """An id stands for one reading, or for the loads of one oedometer test."""
    seen: dict[str, Result] = {}
    for result in results:
        first = seen.setdefault(result.id, result)
        same = ("test", "location", "depth", "layer")
        again = result.test == "oedometer" and all(getattr(result, name) == getattr(first, name) for name in same)
        if first is not result and not again:
            must = f"name one reading, or the loads of one oedometer test (first in row {first.row})"
            reader.refuse(result.row - 1, reader.columns["id"], "id", must, show(result.id))
