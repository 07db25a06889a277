"""Processor time of every chapter of the chain, beside that of another checkout of this program in turns.

Run: python -m tests.benchmarks.chapters [CHECKOUT] [ROUNDS] [PROJECT …]

Both read the project file of the other checkout, so that both are asked the same, or each its own where this program
refuses that one. A process of its own for each run; the least of the rounds counts.
"""

# ruff: noqa: T201 - a script prints its table

import json
import subprocess
import sys
from collections.abc import Callable
from dataclasses import replace
from os import environ
from pathlib import Path
from time import process_time
from typing import Any
from unittest.mock import patch

from calc import chain
from calc.inputs import InputErrors, read_design

ROOT = Path(__file__).parents[2]
PROJECTS = ("marsh-approach", "basin-crossing", "dyke-reach", "weak-sleeve")
ROUNDS = 3
THIS = "--here"


def seconds_of_chapters(project: Path) -> dict[str, float]:
    """Seconds in the function of every chapter in one run, all sections and repetitions together."""
    found: dict[str, float] = {}

    def timed(key: str, check: Callable[..., Any]) -> Callable[..., Any]:
        def run(*given: Any) -> Any:
            start = process_time()
            sheet = check(*given)
            found[key] = found.get(key, 0.0) + process_time() - start
            return sheet

        return run

    design = read_design(project)
    chapters = tuple(
        replace(chapter, check=timed(chapter.key, chapter.check)) if chapter.check else chapter
        for chapter in chain.CHAPTERS
    )
    with patch.object(chain, "CHAPTERS", chapters):
        chain.run_checks(design)
    return found


def is_read(project: Path) -> bool:
    """Whether this program reads a project file."""
    try:
        read_design(project)
    except InputErrors:
        return False
    return True


def least(checkout: Path, project: Path, before: dict[str, float]) -> dict[str, float]:
    """The times of one more run with the program of a checkout, or those before where they are less."""
    own = {**environ, "PYTHONPATH": str(checkout), "OPENBLAS_NUM_THREADS": "1"}
    command = [sys.executable, str(Path(__file__)), THIS, str(project)]
    told = subprocess.run(command, cwd=checkout, env=own, check=True, capture_output=True, text=True).stdout
    found: dict[str, float] = json.loads(told)
    return {key: min(value, before.get(key, value)) for key, value in found.items()}


def main(other: Path | None, rounds: int, projects: tuple[str, ...]) -> None:
    """Print a table for each project."""
    for name in projects:
        checkouts = [ROOT] if other is None else [other, ROOT]
        files = [checkouts[0 if is_read(checkouts[0] / "projects" / name) else k] for k in range(len(checkouts))]
        times: list[dict[str, float]] = [{} for _ in checkouts]
        for _ in range(rounds):
            times = [
                least(one, file / "projects" / name, before)
                for one, file, before in zip(checkouts, files, times, strict=True)
            ]
        print(f"| {name}, s |{' other |' * (len(times) - 1)} this |\n|---|{'---|' * len(times)}")
        for key in times[-1]:
            print(f"| {key} | {' | '.join(f'{one[key]:.3f}' if key in one else '' for one in times)} |")
        print(f"| all | {' | '.join(f'{sum(one.values()):.2f}' for one in times)} |\n")


if __name__ == "__main__":
    if sys.argv[1:2] == [THIS]:
        print(json.dumps(seconds_of_chapters(Path(sys.argv[2]))))
    else:
        given = sys.argv[1:]
        main(
            Path(given[0]).resolve() if given else None,
            int(given[1]) if len(given) > 1 else ROUNDS,
            tuple(given[2:]) or PROJECTS,
        )
