"""The benchmarks measure what they say: the methods they time agree, and the printed spread is the one they give."""

from pathlib import Path

import numpy as np
import pytest

from calc.chain import CHAPTERS
from calc.procedures.cell import BLOCK, solve_cell
from tests.benchmarks.cell_solver import bare_newton, cases
from tests.benchmarks.chapters import seconds_of_chapters
from tests.benchmarks.method_gap import gaps, usual_inputs
from tests.procedures.chains import solver_inputs

DOCUMENT = Path(__file__).parents[2] / "docs" / "benchmarks.md"


def test_bare_method_agrees_with_the_solver() -> None:
    values = cases(BLOCK)
    constant = values | {"m": np.zeros(BLOCK), "r_geo": values["r_c"]}
    solution = solve_cell(**solver_inputs(constant))

    assert bare_newton(constant)[solution.mobilised] == pytest.approx(solution.unknown[solution.mobilised], rel=1e-9)


@pytest.mark.parametrize("J", [0.0, 2000.0, 8000.0])
def test_spread_of_the_method_gap_unchanged(J: float) -> None:
    """The printed percentiles are our own run with psi = 0; they are computed again from the same draw."""
    gap, _ = gaps(usual_inputs(100_000, J, 0.0))
    line = f"| {J:.0f} | " + " | ".join(f"{one:+.3f}" for one in np.percentile(gap, [0, 5, 25, 50, 75, 95, 100])) + " |"

    assert line in DOCUMENT.read_text(encoding="utf-8")


def test_every_chapter_is_timed() -> None:
    found = seconds_of_chapters(DOCUMENT.parents[1] / "projects" / "weak-sleeve")

    assert list(found) == [chapter.key for chapter in CHAPTERS]
    assert min(found.values()) >= 0
