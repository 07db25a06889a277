"""Data of distributions from CSV files beside the project file."""

import csv
import io
import math
from pathlib import Path

import numpy as np

from calc.inputs import Design, InputErrors, Section
from calc.inputs.reading import units
from calc.inputs.reading.problems import InputError
from calc.inputs.reading.scalars import show
from calc.inputs.tables.vary import VariedInput, Vary
from calc.inputs.tables.vary_rules import bounds_inside, inputs_of, kind_of
from calc.study.vary.marginals import Floats

FEWEST, MOST = 10, 100_000
"""Rows of data that make a distribution; project rules."""
LARGEST = 5_000_000  # bytes


def data_of(design: Design, section: Section, varied: VariedInput, place: int) -> Floats:
    """The data of an input of a section in the units inside; `InputErrors` with every row that holds no value of it."""
    assert varied.file is not None  # noqa: S101 - a rule asks for both
    assert varied.column is not None  # noqa: S101
    path = design.source.parent / varied.file
    origin = design.provenance[f"vary.input.{place}.file"]
    at = (str(design.source), origin.line or 1, origin.column or 1, f"vary.input[{place + 1}].file")
    rows = _rows(path, varied.column, at)
    info, _ = inputs_of(section.model_copy(update={"layers": section.soft_layers}))[varied.path]
    kind = kind_of(info)
    assert kind is not None  # noqa: S101 - a rule asks for it
    factor = float(units.factor_inside(varied.unit)) if varied.unit else 1.0
    low, high = bounds_inside(kind)
    values, wrong = list[float](), list[InputError]()
    for line, text in rows:
        value = _number(text) * factor
        if low <= value <= high:
            values.append(value)
        else:
            must = f"be a number that {varied.path} takes: {kind.range_text(getattr(kind, 'unit', ''))}"
            wrong.append(InputError(str(path), line, 1, varied.column, must, show(text)))
    if not wrong and not FEWEST <= len(values) <= MOST:
        wrong.append(InputError(*at, f"have {FEWEST} to {MOST} rows of data (project rule)", f"{len(values)} rows"))
    if not wrong and len(set(values)) == 1:
        wrong.append(InputError(*at, "have data that differ", f"{len(values)} times the same"))
    if wrong:
        raise InputErrors(wrong)
    return np.array(values)


def files_beside(design: Design, vary: Vary) -> dict[str, bytes]:
    """What a study reads beside the project file, by name: results of tests and the data of distributions."""
    results = {design.results_file.name: design.results_file.content} if design.results_file else {}
    names = dict.fromkeys(varied.file for varied in vary.inputs if varied.file is not None)
    return results | {name: (design.source.parent / name).read_bytes() for name in names}


def _number(text: str) -> float:
    try:
        return float(text) if text.strip().isascii() and "_" not in text else math.nan
    except ValueError:
        return math.nan


def _rows(path: Path, column: str, at: tuple[str, int, int, str]) -> list[tuple[int, str]]:
    """Line and text of every filled cell of a column."""
    try:
        data = path.read_bytes() if path.stat().st_size <= LARGEST else None
        if data is None:
            raise InputErrors([InputError(*at, f"not be larger than {LARGEST // 1_000_000} MB", "a larger file")])
        reader = csv.reader(io.StringIO(data.decode("utf-8-sig"), newline=""))
        lines = [(reader.line_num, row) for row in reader]
    except (OSError, UnicodeDecodeError, csv.Error) as error:
        got = getattr(error, "strerror", None) or "no text in UTF-8 with commas between its cells"
        raise InputErrors([InputError(*at, "be a CSV file that can be read", f"{got[:1].lower()}{got[1:]}")]) from error
    heads = [cell.strip() for cell in lines[0][1]] if lines else []
    if heads.count(column) != 1:
        got = f"{heads.count(column)} of {', '.join(map(show, heads[:20])) or 'no head'}"
        raise InputErrors([InputError(*at, f"have one column with the head {show(column)}", got)])
    # A decimal comma divides a number into two cells, of which the first alone would be read.
    longer = [InputError(str(path), line, 1, column, f"stand in a row of {len(heads)} cells, as the head has: numbers "
                         "have a decimal point", f"{len(row)} cells")
              for line, row in lines[1:] if any(cell.strip() for cell in row[len(heads):])]  # fmt: skip
    if longer:
        raise InputErrors(longer)
    k = heads.index(column)
    return [(line, row[k]) for line, row in lines[1:] if len(row) > k and row[k].strip()]
