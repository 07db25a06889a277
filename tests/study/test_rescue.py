"""The least change of one input: the first value that satisfies, what may be changed, and what is not told."""

from dataclasses import replace
from pathlib import Path
from types import SimpleNamespace
from typing import Any

import numpy as np
import pytest

from calc.chain import CalculationError, Run
from calc.inputs import Design, read_design
from calc.study import rescue
from calc.study.rescue import (
    Lever,
    Rescue,
    Untold,
    first_satisfying,
    levers,
    offer_lines,
    rescue_lines,
    rescue_record,
    rescues,
)
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
    assert levers(marsh)[2].field == "reinforcement[1].strength"
    assert levers(marsh)[2].name == marsh.reinforcement[0].name


def test_a_wait_takes_what_follows_along_and_a_berm_stays_below_the_fill() -> None:
    rail = read_design(PROJECTS / "rail-loop").sections[0]
    by_path = {one.path: one for one in levers(rail)}
    wait, berm = by_path["stage.1.start"], by_path["embankment.berm_left.height"]
    typed = {f"stage.{k}.start": stage.start for k, stage in enumerate(rail.stages)} | {
        "consolidation.hand_over": 900.0
    }
    later = wait.values(typed, np.array([typed["stage.1.start"] + 10.0]))
    words = Rescue("A", "Degree", "consolidation/degree", wait, 70.0, 60.0).words

    assert {path: float(one[0]) - typed[path] for path, one in later.items()} == {
        path: 10.0 for path in typed if path != "stage.0.start"
    }
    assert words == (
        f'A Degree: stage[2].start "{rail.stages[1].name}" >= 70 d (60 d typed, what follows as much later)'
    )
    first = [stage.name for stage in rail.stages].index(rail.embankment.berms["left"].stage)
    lowest = min(stage.fill_height for stage in rail.stages[first:])
    assert rescue._farthest(rail, berm, 1.5) == max(1.5, min(7.5, lowest - 0.05))


@pytest.mark.slow
def test_nothing_is_told_that_a_run_does_not_confirm(weak: tuple[Design, Run], monkeypatch: pytest.MonkeyPatch) -> None:
    """A run without a solution, an input without a number, and one that no replay follows."""
    _, run = weak

    def refuse(*_: Any, **__: Any) -> Any:
        message = "no solution"
        raise CalculationError(message)

    others = [Lever("consolidation.hand_over", True, "d", 1.0), Lever("columns.diameter", True, "m", 0.01), SPACING,
              Lever("layer.clay-lower.c_u", True, "kPa", 0.1)]  # fmt: skip
    monkeypatch.setattr(rescue, "levers", lambda _: others)
    monkeypatch.setattr(rescue, "run_one", refuse)

    [untold] = rescues(run)

    assert isinstance(untold, Untold)
    assert untold.verdict == "sleeve/ring_tension_iso"
    assert untold.why == (
        "no number is typed (consolidation.hand_over); "
        "the record of the run does not hold what it does (columns.diameter); "
        "a run with the value found does not confirm it (columns.spacing); "
        "it does not act on it (layer.clay-lower.c_u)"
    )
    head, *lines = rescue_lines([untold])
    assert head == "Verdicts that fail for which no change of one input can be told:"
    assert max(map(len, lines)) <= 100
    assert " ".join(map(str.strip, lines)) == f"T Ring tension of the sleeve, format of ISO/TS 20432: {untold.why}"


@pytest.mark.slow
def test_a_change_that_lies_too_far_off_is_not_told(weak: tuple[Design, Run], monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr(rescue, "FARTHEST", 1.05)
    monkeypatch.setattr(rescue, "levers", lambda _: [Lever("sleeve.strength", True, "kN/m", 1.0), SPACING])

    [untold] = rescues(weak[1])

    assert isinstance(untold, Untold)
    assert untold.why == f"{rescue.TOO_FAR} (sleeve.strength, columns.spacing)"


def failing(run: Run, section: Any, **change: Any) -> Run:
    """One failing verdict of a part whose section is another one."""
    [part] = run.sections
    [(sheet, verdict)] = [(sheet, one) for sheet in part.sheets for one in sheet.verdicts if one.state == "fail"]
    own = replace(sheet, verdicts=[replace(verdict, **change)])
    return Run(run.design, (replace(part, section=section, sheets=(own,)),))


def test_a_verdict_across_and_one_without_numbers_are_named(weak: tuple[Design, Run]) -> None:
    [section] = weak[0].sections
    across = failing(weak[1], SimpleNamespace(key="T.slope", zone="slope", position=None))
    plain = failing(weak[1], section, utilisation=None)

    assert [one.record for one in (*rescues(across), *rescues(plain))] == [
        {"section": "T.slope", "verdict": "sleeve/ring_tension_iso",
         "why": "it is one of a zone or position across, for which no change is looked for"},
        {"section": "T", "verdict": "sleeve/ring_tension_iso", "why": "it compares no numbers"},
    ]  # fmt: skip


def test_where_nothing_fails_there_is_nothing_to_tell(weak: tuple[Design, Run]) -> None:
    [part] = weak[1].sections

    assert list(rescues(Run(weak[0], (replace(part, sheets=()),)))) == []
    assert offer_lines("my project", 100) == [
        "What would satisfy what fails, one input at a time: sandsleeve check 'my project' --rescue"
    ]
    assert rescue_lines([]) == ["No verdict fails."]
    assert rescue_record([]) == {"rescue": [], "no_rescue": []}
