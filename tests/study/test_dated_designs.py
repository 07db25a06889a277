"""Candidates with their earliest dates: which verdicts hang on dates, the bound, the run, and what refuses them."""

import re
from dataclasses import replace
from math import inf
from pathlib import Path
from types import SimpleNamespace
from typing import Any

import numpy as np
import pytest

from calc.chain import CalculationError
from calc.engine.sheet import Origin, Sheet
from calc.inputs import read_design
from calc.procedures import stage_search
from calc.study import dated_designs
from calc.study.dated_designs import Earliest, dated_outcome, earliest, hanging_verdicts, wish_of
from calc.study.engines import engine
from calc.study.followed import follow
from calc.study.screening import Screening
from calc.study.shortest import Nothing
from calc.study.size_grid import Grid, size_grid
from calc.study.whole_section import SETTLEMENT, Outcome, Task, outcome_of
from tests.study.parts import PROGRAMME, write_parts


@pytest.fixture(scope="module")
def grid(tmp_path_factory: pytest.TempPathFactory) -> Grid:
    """Two spacings of the bank, whose filling programme is searched; without slip surfaces."""
    folder = write_parts(
        tmp_path_factory.mktemp("dated") / "p",
        PROGRAMME,
        zones=False,
        objective='["settlement", "time"]',
        spacing='["1.70 m", "2.20 m"]',
    )
    text = (folder / "project.toml").read_text(encoding="utf-8")
    (folder / "project.toml").write_text(re.sub(r"(?ms)^\[slip\].*?(?=^\[)", "", text), encoding="utf-8")
    return size_grid(read_design(folder))


def task_of(grid: Grid, number: int, **programme: Any) -> Task:
    """A candidate of it, with other bounds of its programme."""
    assert grid.size.programme is not None
    wish = replace(wish_of(grid.size.programme), **programme)
    return Task(str(grid.design.source.parent), grid.run_text(number), grid.section.key, programme=wish, circles=())


@pytest.mark.slow
def test_verdicts_that_hang_on_dates_are_those_that_other_dates_move(grid: Grid) -> None:
    """A sleeve is stiffer the sooner the works end; the base pressure of the edge knows no date."""
    with engine("here") as here:
        screening = Screening(grid, here, follow)
    hanging = screening.grid.hanging

    assert {"sleeve/ring_tension", SETTLEMENT, "consolidation/settlement_residual"} <= hanging
    assert {"thrust/sliding", "bearing/squeeze"}.isdisjoint(hanging)
    assert screening.compares
    assert "sleeve/ring_tension" in screening.dated
    assert np.isnan(screening.objectives["time"]).all()
    assert np.isnan(screening.objectives["settlement"]).all()


def test_where_other_dates_have_no_run_every_verdict_hangs(grid: Grid, monkeypatch: pytest.MonkeyPatch) -> None:
    def refuse(*_: Any, **__: Any) -> Any:
        message = "no solution"
        raise CalculationError(message)

    verdict = SimpleNamespace(key="b", sides=None)
    sheet = SimpleNamespace(key="a", steps=[], verdicts=[verdict])
    run = SimpleNamespace(design=grid.design, sections=[SimpleNamespace(section=grid.section, sheets=[sheet])])
    monkeypatch.setattr(dated_designs, "_ratios", lambda _: {"a/b": 1.0, "a/c": 0.5})
    monkeypatch.setattr(dated_designs, "run_one", refuse)

    assert hanging_verdicts(run, grid.section.key) == {"a/b", "a/c"}  # type: ignore[arg-type]  # what it reads of a run


def test_what_the_record_does_not_hold_may_hang_on_dates() -> None:
    sheet = Sheet(section="A", key="x")
    given = sheet.given("d_c", 0.8, origin=Origin("file", path="columns.diameter"))
    dated = sheet.given("t_ho", 500.0, origin=Origin("file", path="consolidation.hand_over"))
    steps = {step.key: step for step in sheet.steps}

    assert not dated_designs._reads_dates(steps, given.step)
    assert dated_designs._reads_dates(steps, dated.step)
    assert dated_designs._reads_dates(steps, "B/x/-/d_c")
    assert not dated_designs._equal(None, 1.0)
    assert dated_designs._equal(None, None)


@pytest.mark.slow
def test_the_run_of_a_candidate_hands_over_when_its_bound_says_and_its_dates_can_be_written(grid: Grid) -> None:
    """A dense grid passes all but what is not verified in the project either; a wide one extrudes the soft ground."""
    bound, made, wide = earliest(task_of(grid, 0)), dated_outcome(task_of(grid, 0)), dated_outcome(task_of(grid, 1))
    assert made.dated is not None
    section = read_design(grid.design.source.parent, grid.text(0, made.dated.days).encode()).sections[0]
    assert section.consolidation is not None

    assert made.failing == ()
    assert made.dated.days[-1] == bound.hand_over
    assert bound.settlement == pytest.approx(made.effect(SETTLEMENT), rel=1e-9)
    assert (*(stage.start for stage in section.stages), section.consolidation.hand_over) == made.dated.days
    assert {title.partition(" at ")[0].partition(" after ")[0] for _, title, _, _ in made.dated.low} == {
        "stress ratio", "residual settlement",
    }  # fmt: skip
    assert wide.failing[0].key.startswith("bearing/squeeze")
    assert wide.dated is None


def test_candidates_without_a_programme_or_without_a_run_say_why(grid: Grid) -> None:
    late = earliest(task_of(grid, 0, latest=30.0)), dated_outcome(task_of(grid, 0, latest=30.0))
    text = task_of(grid, 0).text.replace('spacing = "1.70 m"', 'spacing = "0.50 m"')
    wrong = replace(task_of(grid, 0), text=text)

    assert late[0].hand_over == inf
    assert late[0].without_programme
    assert late[1].without_programme
    assert late[0].why == late[1].refused
    assert "the latest" in late[0].why
    assert earliest(wrong).why.startswith("inputs not valid: ")
    assert dated_outcome(wrong).refused == earliest(wrong).why


def test_a_stage_that_counts_on_gains_is_not_ended_early(grid: Grid, monkeypatch: pytest.MonkeyPatch) -> None:
    """It may wait for more strength, until no wait is enough."""
    nothing = Nothing(grid.section, "Final", "too weak")
    monkeypatch.setattr(
        dated_designs, "_search_of", lambda _: SimpleNamespace(section=grid.section, dates=lambda: "found")
    )
    monkeypatch.setattr(dated_designs, "stages_with_gain", lambda _: [2])
    monkeypatch.setattr(dated_designs, "confirm_dates", lambda *_: nothing)

    assert dated_outcome(task_of(grid, 0)) == Outcome(refused="Final: too weak", without_programme=True)
    assert Earliest(1.0).why == ""


@pytest.mark.slow
def test_a_run_ends_at_the_first_circle_that_fails_and_the_next_one_before_its_search(tmp_path: Path) -> None:
    """Soft ground of less than half its strength: the circle found is tried, and no search is made."""
    text = (write_parts(tmp_path / "p", zones=False, spacing='["1.70 m"]') / "project.toml").read_text(encoding="utf-8")
    weak = re.sub(r'\nc_u = "(\d\d) kPa"', lambda found: f'\nc_u = "{0.45 * int(found[1]):g} kPa"', text)
    task = Task(str(tmp_path / "p"), weak, size_grid(read_design(tmp_path / "p")).section.key, circles=())
    first = outcome_of(task)
    stage_search.answer.forget()
    again = outcome_of(replace(task, circles=first.circles))

    assert [one.key for one in first.failing] == ["stability/global_stability_lift"]
    assert len(first.circles) == 1
    assert again == first
    assert stage_search.answer.worked_out == 0
