"""Verdicts and results of the example projects, stored to be compared with later runs, and the list of verdicts."""

import json
import sys
from collections.abc import Iterable
from functools import cache
from pathlib import Path
from re import compile as pattern
from typing import Any

import numpy as np

import calc.chapters
from calc.chain import CHAPTERS, Run, run_checks
from calc.inputs import read_design
from calc.numbering import listed_quantities, merged_order, own_key
from calc.terminal.descent import FILE, descent, descent_text
from tests.projects.descents import descent_of
from tests.projects.verdict_list import PAGE, page_of, read_page, rows_of

SEARCHED = pattern(r"slip|blocks|face")  # scopes of the chapter on stability whose numbers a search finds
# Two processors end a search by Spencer on circles whose factors, 1.412125 and 1.412136, differ by 8e-6.
OF_SEARCH = 2e-5
STORED = Path(__file__).parent / "stored"
EXAMPLES = sorted(path.parent for path in (Path(__file__).parents[2] / "projects").glob("*/project.toml"))


@cache
def run_of(project: Path) -> Run:
    """An example, run once in a test process for everything that only reads it."""
    return run_checks(read_design(project))


def summary(run: Run) -> dict[str, Any]:
    """Outcome and every verdict of a run by section and chapter."""
    return {
        "outcome": run.outcome,
        "verdicts": {
            f"{part.section.key}/{sheet.key}/{one.key}": {
                "state": one.state,
                "effect": one.effect,
                "resistance": one.resistance,
                "utilisation": one.utilisation,
                "case": dict(one.case),
            }
            for part, sheet, one in run.verdicts()
        },
        "limitations": [
            f"{part.section.key}/{sheet.key}/{limitation.key}"
            for part in run.sections
            for sheet in part.sheets
            for limitation in sheet.limitations
        ],
    }


def results(run: Run) -> dict[str, tuple[int, float, float]]:
    """How many numbers every step has, their sum and the largest magnitude, by the key of the step.

    Of what is left of a procedure only how many: it is confirmed within its tolerance, and is zero but for rounding.
    """
    steps = [step for part in run.sections for sheet in part.sheets for step in sheet.steps]
    left = {
        f"{step.key.rpartition('/')[0]}/{step.procedure.residual_symbol}"
        for step in steps
        if step.procedure is not None
    }
    return {
        step.key: (int(step.value.valid.sum()), float(numbers.sum()), float(np.abs(numbers).max(initial=0.0)))
        for step in steps
        for numbers in [step.value.array[step.value.valid] * (step.key not in left)]
    }


def same(key: str, one: tuple[int, float, float], other: tuple[int, float, float]) -> bool:
    """Equal to ten digits: machines differ in the last bits of a sum or a power.

    Searches end within their own tolerance of a flat minimum.
    """
    count, total, largest = one
    near = (OF_SEARCH if key.split("/")[1:2] == ["stability"] and SEARCHED.match(key.split("/")[2]) else 1e-9) * largest
    near += 1e-12
    return count == other[0] and abs(largest - other[2]) <= near and abs(total - other[1]) <= max(count, 1) * near


def read_results(path: Path) -> dict[str, tuple[int, float, float]]:
    """Results as they are stored, a line a step."""
    rows = (line.split("\t") for line in path.read_text(encoding="utf-8").splitlines())
    return {key: (int(count), float(total), float(largest)) for key, count, total, largest in rows}


def results_text(found: dict[str, tuple[int, float, float]], before: dict[str, tuple[int, float, float]]) -> str:
    """A line a step with ten digits; what is the same as before stays as it stands."""
    kept = {key: before[key] if key in before and same(key, before[key], one) else one for key, one in found.items()}
    return "".join(f"{key}\t{count}\t{total:.9e}\t{largest:.9e}\n" for key, (count, total, largest) in kept.items())


def ten_digits(value: Any) -> Any:
    """Every number of a summary with ten digits."""
    if isinstance(value, dict):
        return {key: ten_digits(one) for key, one in value.items()}
    return float(f"{value:.9e}") if isinstance(value, float) else value


def store(project: Path) -> Run:
    """Write verdicts and results of a project again; the run that gave them."""
    run = run_checks(read_design(project))
    text = json.dumps(ten_digits(summary(run)), indent=1, ensure_ascii=False)
    (STORED / f"{project.name}.json").write_text(text + "\n", encoding="utf-8")
    path = STORED / f"{project.name}.results"
    path.write_text(results_text(results(run), read_results(path) if path.exists() else {}), encoding="utf-8")
    return run


def lines_of(runs: Iterable[Run]) -> dict[str, list[str]]:
    """The quantities of every chapter, as `scope/symbol`: those listed keep their numbers, new ones come behind."""
    parts = [part for run in runs for part in run.sections]
    found = {
        chapter.key: merged_order(
            [own_key(step.key).partition("/")[2] for step in sheet.steps]
            for part in parts
            for sheet in part.sheets
            if sheet.key == chapter.key
        )
        for chapter in CHAPTERS
    }
    return {key: list(dict.fromkeys([*listed_quantities(key), *names])) for key, names in found.items()}


def store_lines(runs: Iterable[Run]) -> None:
    """Write the lists of quantities into the rooms of their chapters."""
    for chapter, names in lines_of(runs).items():
        (Path(calc.chapters.__path__[0]) / chapter / "lines.txt").write_text("\n".join(names) + "\n", encoding="utf-8")


if __name__ == "__main__":
    STORED.mkdir(exist_ok=True)
    wanted = set(sys.argv[1:])
    runs = [store(example) for example in EXAMPLES if not wanted or example.name in wanted]
    store_lines(runs)
    PAGE.write_text(page_of(rows_of(runs, read_page() if wanted else {})), encoding="utf-8")
    FILE.write_text(descent_text(descent_of(runs, descent() if wanted else None)), encoding="utf-8")
