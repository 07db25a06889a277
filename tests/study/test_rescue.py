"""The least change of one input: the first value that satisfies, what may be changed, and what is not told."""

from pathlib import Path
from typing import Any

import numpy as np
import pytest

from calc.chain import CalculationError, Run
from calc.inputs import Design, read_design
from calc.study import rescue
from calc.study.rescue import Lever, first_satisfying, levers, rescue_lines, rescues
from calc.study.whole_section import run_one

PROJECTS = Path(__file__).parents[2] / "projects"
SPACING = Lever("columns.spacing", False, "m", 0.01)


@pytest.fixture(scope="module")
def weak() -> tuple[Design, Run]:
    """The example that fails, with its run."""
    design = read_design(PROJECTS / "weak-sleeve")
    return design, run_one(design, "T", slip=False)


def test_first_value_that_satisfies_is_the_nearest_one() -> None:
    """A ratio of 2 over the value; one that is satisfied in a band only; one that never is."""
    assert first_satisfying(lambda x: 2 / x, 1.0, 5.0) == pytest.approx(2.0, rel=1e-6)
    assert first_satisfying(lambda x: np.where(np.abs(x - 3) < 0.5, 0.5, 2.0), 1.0, 5.0) == pytest.approx(2.5, rel=1e-3)
    assert first_satisfying(lambda x: x + 2, 1.0, 5.0) is None


def test_inputs_that_may_be_changed_are_those_of_the_section() -> None:
    marsh = read_design(PROJECTS / "marsh-approach").sections[0]
    paths = [one.path for one in levers(marsh)]

    assert paths[:4] == ["sleeve.strength", "columns.spacing", "reinforcement.0.strength", "reinforcement.1.strength"]
    assert {"field.beyond_left", "consolidation.hand_over"} <= set(paths)


@pytest.mark.slow
def test_nothing_is_told_that_a_run_does_not_confirm(weak: tuple[Design, Run], monkeypatch: pytest.MonkeyPatch) -> None:
    """A run without a solution, an input without a number, and one that no replay follows."""
    _, run = weak

    def refuse(*_: Any, **__: Any) -> Any:
        message = "no solution"
        raise CalculationError(message)

    others = [Lever("consolidation.hand_over", True, "d", 1.0), Lever("columns.diameter", True, "m", 0.01), SPACING]
    monkeypatch.setattr(rescue, "levers", lambda _: others)
    monkeypatch.setattr(rescue, "run_one", refuse)

    assert list(rescues(run)) == []
    assert rescue_lines([]) == ["No change of one input that could be told satisfies a verdict that fails."]


@pytest.mark.slow
def test_a_change_that_lies_too_far_off_is_not_told(weak: tuple[Design, Run], monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr(rescue, "FARTHEST", 1.05)
    monkeypatch.setattr(rescue, "levers", lambda _: [Lever("sleeve.strength", True, "kN/m", 1.0), SPACING])

    assert [one.lever.path for one in rescues(weak[1])] == []
