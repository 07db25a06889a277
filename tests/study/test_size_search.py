"""The search of a grid: against brute force with the full chain, its proof, fronts, and grids without a design."""

from collections.abc import Callable, Sequence
from dataclasses import replace
from functools import cache
from pathlib import Path
from tempfile import mkdtemp
from typing import Any

import numpy as np
import pytest

from calc.chain import CalculationError, Run
from calc.engine.figure import Chart, Curve
from calc.inputs import read_design
from calc.study import size_charts, whole_section
from calc.study.engines import engine
from calc.study.followed import follow
from calc.study.screened_base import Cases, Replayed
from calc.study.screening import Screening
from calc.study.size_charts import above_the_lowest, allowed_spacing, charts
from calc.study.size_grid import Floats, Grid, SizeError, size_grid
from calc.study.size_record import size_record
from calc.study.size_report import proof_words, search_record, search_text
from calc.study.size_search import Search, search
from calc.study.size_sheets import charge_sheets
from calc.study.whole_section import SETTLEMENT, Outcome, Rated, Task, outcome_of
from tests.study.grids import write_grid

BOTH = ('objective = ["cost"]', 'objective = ["cost", "settlement"]')
FEW = ('pattern = ["square", "triangular"]', 'pattern = ["square"]')


def ran(task: Task) -> Outcome:
    """The full chain, once for every text in a process of tests: the data beside it are the same everywhere."""
    key = replace(task, folder="")
    if key not in _RAN:
        _RAN[key] = outcome_of(task)
    return _RAN[key]


_RAN: dict[Task, Outcome] = {}


def run_all(tasks: Sequence[Task]) -> list[Outcome]:
    """Outcomes in order."""
    return [ran(task) for task in tasks]


@cache
def grid_of(*changes: tuple[str, str]) -> Grid:
    """A grid of the example."""
    return size_grid(read_design(write_grid(Path(mkdtemp()) / "p", *changes)))


@cache
def screening_of(*changes: tuple[str, str]) -> Screening:
    """Its closed verdicts."""
    with engine("here") as here:
        return Screening(grid_of(*changes), here, followed)


def followed(
    run: Run, section: str, verdicts: Sequence[str], inputs: Sequence[str], only: Cases, *, confirmed: bool = False
) -> tuple[Replayed | None, frozenset[str]]:  # fmt: skip
    """The replays of a run, once for the same question: screenings of several objectives ask the same."""
    key = (id(run), section, *verdicts, "", *inputs, "", repr(only))
    if key not in _FOLLOWED or not (confirmed or _FOLLOWED[key][0]):
        _FOLLOWED[key] = not confirmed, run, follow(run, section, verdicts, inputs, only, confirmed=confirmed)
    return _FOLLOWED[key][2]


_FOLLOWED: dict[Any, tuple[bool, Run, tuple[Replayed | None, frozenset[str]]]] = {}


def typed_of(grid: Grid) -> Outcome:
    """The project as it is."""
    return ran(task_of(grid, None))


def task_of(grid: Grid, number: int | None) -> Task:
    """The run of a combination, or of the project as it is."""
    text = grid.design.text.decode() if number is None else grid.run_text(number)
    return Task(str(grid.design.source.parent), text, grid.section.key)


def searched(
    *changes: tuple[str, str], asked: int = 3, most: int = 100,
    runs: Callable[[Sequence[Task]], Sequence[Outcome]] = run_all, side_by_side: int = 2,
) -> Search:  # fmt: skip
    """A search of it."""
    return search(
        screening_of(*changes), typed_of(grid_of(*changes)), runs, asked=asked, most=most, side_by_side=side_by_side,
        tell=lambda _: None,
    )  # fmt: skip


@pytest.mark.slow
def test_screening_excludes_what_the_chain_fails_and_nothing_it_passes() -> None:
    """Brute force: every combination of the small grid run with all chapters."""
    screening, grid = screening_of(FEW), grid_of(FEW)
    quick = set(screening.ask(screening.apart, whole=False).tolist())
    left = set(screening.ask(screening.apart, whole=True).tolist())
    typed = typed_of(grid)
    outcomes = [ran(task_of(grid, number)) for number in range(len(grid))]
    passing = {k for k, one in enumerate(outcomes) if not one.failing and not one.refused and one.open <= typed.open}

    assert screening.followed >= {"spacing", "sleeve"}
    assert screening.unfollowed == {}
    assert 0 < len(passing) < len(grid)
    assert left <= quick
    assert left == passing  # nothing of this example needs a slip surface
    for key, values in screening.ratios(np.arange(len(grid))).items():
        chain = [next(one.ratio for one in outcome.verdicts if one.key == key) for outcome in outcomes]
        assert values == pytest.approx(chain, rel=1e-9), key
    settled = [one.effect("unit_cell/settlement_total") for one in outcomes]
    assert search_by_force(grid, passing, settled) == [one.number for one in searched(FEW, asked=len(grid)).best]


def search_by_force(grid: Grid, passing: set[int], settled: Sequence[float | None]) -> list[int]:
    """Numbers in the order of cost; a design settles."""
    assert all(settled[k] for k in passing)
    cost = screening_of(FEW).objectives["cost"]
    assert len(cost) == len(grid)
    return sorted(passing, key=lambda k: (cost[k], k))


@pytest.mark.slow
def test_front_is_that_of_brute_force_and_every_point_of_it_passes() -> None:
    found, grid = searched(FEW, BOTH), grid_of(FEW, BOTH)
    typed = typed_of(grid)
    values = np.column_stack([screening_of(FEW, BOTH).objectives[name] for name in ("cost", "settlement")])
    outcomes = [ran(task_of(grid, number)) for number in range(len(grid))]
    passing = [k for k, one in enumerate(outcomes) if not one.failing and one.open <= typed.open]
    front = [k for k in passing if not any((values[j] <= values[k]).all() and (values[j] < values[k]).any()
                                           for j in passing)]  # fmt: skip

    assert sorted(one.number for one in found.best) == sorted(front)
    assert len(front) > 1
    assert found.better_left == 0
    assert all(not one.outcome.failing for one in found.best)
    assert [one.objectives[1] for one in found.best] == pytest.approx([one.settlement for one in found.best], rel=1e-9)
    assert "Proven: every combination that passes" in search_text(found)
    assert "front" in [chart.key for chart in charts(found)]


@pytest.mark.slow
def test_a_settlement_that_is_not_that_of_the_replay_is_the_printed_one_and_no_proof() -> None:
    """Runs that settle 10 mm more than the replays by which the grid was put in order, or that say nothing of it."""
    least = ('objective = ["cost"]', 'objective = ["settlement"]')

    def off(more: float | None) -> Callable[[Sequence[Task]], list[Outcome]]:
        def changed(one: Rated) -> Rated:
            if one.key != SETTLEMENT:
                return one
            return replace(one, effect=None if more is None or one.effect is None else one.effect + more)

        return lambda tasks: [replace(ran(task), verdicts=tuple(map(changed, ran(task).verdicts))) for task in tasks]

    same, found, silent = (searched(FEW, least, asked=1, runs=off(more)) for more in (0.0, 0.01, None))

    assert (same.unlike, same.proven) == (0, True)
    assert found.unlike >= 1
    assert not found.proven
    assert found.best[0].objectives[0] == found.best[0].settlement
    assert found.best[0].objectives[0] == pytest.approx(same.best[0].objectives[0] + 0.01, rel=1e-9)
    assert "the settlement is not the one by which the search put the combinations in order" in (
        " ".join(search_text(found).split())
    )
    assert not silent.proven


@pytest.mark.slow
def test_search_tells_what_it_excluded_ran_and_did_not_ask() -> None:
    found = searched(FEW, asked=1)
    record = search_record(found, None)
    counted = sum(record["excluded"].values()) + record["runs"] + sum(record["not_asked"].values())
    ((title, sheet),) = charge_sheets(found.grid, found.best[0].number)

    assert record["proven"]
    assert counted == record["combinations"] == 12
    assert record["not_asked"]["may_be_better"] == 0
    assert float(sheet["K_A"].array) == pytest.approx(found.best[0].objectives[0], rel=1e-12)
    assert title.startswith("Cost of design 1, EUR/m²")
    assert [chart.key for chart in charts(found)] == ["utilisation", "settlement"]
    words = "Designs with the least cost (EUR/m²), unless a limitation named below turns a verdict:"
    assert " ".join(search_text(found).split()).startswith(words)
    assert "toe-water-low" in record["proven_unless"]
    assert "toe-water-low" in [one["key"] for one in record["designs"][0]["limitations"]]
    assert set(record["unchanged"]) > {"ground_model/value_E_oed_ref_clay-upper_oedometer"}
    assert record["designs"][0]["governing"]["verdict"] == "sleeve/ring_tension_iso"
    assert "Without what no value of the grid changes, up to 0.926." in next(charts(found)).note


@pytest.mark.slow
def test_a_search_that_ends_early_says_that_it_is_not_proven() -> None:
    def failing(tasks: Sequence[Task]) -> list[Outcome]:
        return [Outcome((Rated("stability/slip", "Slip surfaces", "fail", 1.2, None),)) for _ in tasks]

    early = searched(FEW, most=1, runs=failing, side_by_side=4)
    whole = searched(FEW, runs=failing)

    assert (early.runs, early.best) == (1, [])
    assert early.better_left > 0
    assert "NOT PROVEN" in "\n".join(proof_words(early))
    assert whole.better_left == 0
    assert "every one was excluded or run" in search_text(whole)
    assert "Most are excluded by: Slip surfaces" in " ".join(search_text(whole).split())


@pytest.mark.slow
def test_what_is_newly_not_verified_or_refused_is_no_design() -> None:
    outcomes = iter([Outcome((Rated("a/b", "Something", "not verified", None, None),)), Outcome(refused="no solution")])

    def runs(tasks: Sequence[Task]) -> list[Outcome]:
        return [next(outcomes, None) or ran(task) for task in tasks]

    found = searched(FEW, asked=2, runs=runs)

    assert found.failed == {"a/b": 1, "refused": 1}
    assert len(found.best) == 2
    assert "Refused, for example: no solution" in proof_words(found)


@pytest.mark.slow
def test_a_grid_in_which_nothing_passes_says_which_verdict_excludes_most() -> None:
    weak = ('sleeve = ["light", "strong"]', 'sleeve = ["light"]')
    wide = ('spacing = ["1.6 m", "1.9 m", "2.1 m"]', 'spacing = ["0.75 m", "2.1 m", "2.3 m"]')
    thin = ('diameter = ["0.70 m", "0.80 m"]', 'diameter = ["0.80 m"]')
    found = searched(FEW, weak, wide, thin)
    text = " ".join(search_text(found).split())

    assert found.best == []
    assert found.runs == 0
    assert text.startswith("NO DESIGN: no combination of the grid was found that passes. Most are excluded by:")
    assert "1 by Columns touch" in text
    assert size_record(found, [])["first"] is None


def test_largest_spacing_of_a_verdict_is_linear_between_values() -> None:
    spacings = np.array([1.0, 2.0, 3.0])

    assert allowed_spacing(spacings, np.array([0.5, 0.9, 1.3])) == pytest.approx(2.25)
    for ratios in ([1.1, 1.2, 1.3], [0.1, 0.2, 0.3], [0.1, np.inf, np.inf]):
        assert np.isnan(allowed_spacing(spacings, np.array(ratios)))


@pytest.mark.slow
def test_figures_without_a_design_show_where_each_verdict_ends() -> None:
    """Over sleeves of two stiffnesses, and of one: then in their order."""
    wide = ('spacing = ["1.6 m", "1.9 m", "2.1 m"]', 'spacing = ["1.2 m", "1.6 m", "2.1 m", "2.6 m"]')
    for change in ((), (('J = "3600 kN/m"', 'J = "1800 kN/m"'), ('J = "2800 kN/m"', 'J = "1400 kN/m"'))):
        found = Search(screening_of(FEW, wide, *change), 1)
        drawn = {chart.key: chart for chart in charts(found)}

        assert set(drawn) == {"utilisation", "settlement", "borders"}
        (border, *_) = drawn["borders"].curves
        assert border.label == "Ring tension of the sleeve, format of ISO/TS 20432"
        assert border.y[0] < border.y[1]
    assert border.x == (1.0, 2.0)
    assert drawn["borders"].x_label == "sleeves in the order of stiffness"


@pytest.mark.slow
def test_lines_that_a_figure_of_borders_leaves_out_are_counted(monkeypatch: pytest.MonkeyPatch) -> None:
    def three(found: Search, plane: size_charts.Plane) -> dict[str, Floats]:
        rising = np.linspace(0.5, 1.5, len(plane.spacings)) * np.ones((len(plane.sleeves), 1))
        found.screening.titles |= dict.fromkeys("abcd", "a title")
        return {"a": rising, "b": 0.95 * rising, "c": 0.9 * rising, "d": rising + 1}

    def border() -> Chart:
        return next(one for one in charts(Search(screening_of(FEW), 1)) if one.key == "borders")

    monkeypatch.setattr(size_charts, "ratios_of", three)
    whole = border()
    monkeypatch.setattr(size_charts, "MOST_CURVES", 2)
    fewer = border()

    assert len(whole.curves) == 3
    assert "no line where it fails at the least spacing already" in whole.note
    assert "Not drawn" not in whole.note
    assert len(fewer.curves) == 2
    assert fewer.note.endswith("Not drawn: 1 more, none of which governs.")


def test_lines_that_govern_somewhere_are_drawn_first_wherever_their_least_spacing_lies() -> None:
    """A flat line at 2.5 is the lowest where steep ones have risen above it, though each of these begins lower."""
    steep = [Curve(f"steep {k}", (1.0, 2.0), (1.0 + 0.1 * k, 5.0)) for k in range(7)]
    flat, high = Curve("flat", (1.0, 2.0), (2.5, 2.5)), Curve("high", (1.0, 2.0), (3.0, 6.0))
    above = above_the_lowest([*steep, flat, high])

    assert [k for k, gap in enumerate(above) if not gap] == [0, 7]
    assert above[8] == pytest.approx(2.0)


@pytest.mark.slow
def test_figures_of_one_spacing_or_without_settlement_are_left_out() -> None:
    one = ('spacing = ["1.6 m", "1.9 m", "2.1 m"]', 'spacing = ["1.6 m"]')
    free = ('settlement_total = "0.60 m"\n', "")
    single = ('sleeve = ["light", "strong"]', 'sleeve = ["light"]')

    assert list(charts(Search(screening_of(FEW, one), 1))) == []
    assert [chart.key for chart in charts(Search(screening_of(FEW, free, single), 1))] == ["utilisation"]


@pytest.mark.slow
def test_nothing_is_drawn_of_what_has_no_solution(monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr(size_charts, "ratios_of", lambda _, plane: {SETTLEMENT: np.full(plane.numbers.shape, np.nan)})

    assert list(charts(Search(screening_of(FEW), 1))) == []
    monkeypatch.setattr(size_charts, "ratios_of", lambda *_: {})
    assert list(charts(Search(screening_of(FEW), 1))) == []


@pytest.mark.slow
def test_reports_name_what_only_the_runs_judge_and_what_contradicts() -> None:
    found = searched(FEW, asked=50)
    text = " ".join(search_text(found).split())
    found.contradicted = 1
    found.screening.unfollowed["a/b"] = "Something"
    doubted = " ".join(search_text(found).split())
    found.screening.unfollowed.clear()

    assert "Proven: no other combination of the grid passes; 0 were not asked." in text
    assert "NOT PROVEN: 1 of the excluded combinations were run all the same, and these runs do not fail" in doubted
    assert "Judged in the runs of all chapters alone, like stability: Something." in doubted
    assert not search_record(found, None)["proven"]


def test_a_run_that_is_refused_or_has_no_solution_says_so(monkeypatch: pytest.MonkeyPatch) -> None:
    grid = grid_of()
    task = task_of(grid, 0)
    wrong = outcome_of(replace(task, text=task.text.replace('diameter = "0.70 m"', 'diameter = "9 m"')))

    def unsolved(_: Task) -> None:
        message = "section T: no root"
        raise CalculationError(message)

    monkeypatch.setattr(whole_section, "run_changed", unsolved)

    assert wrong.refused.startswith("inputs not valid: ")
    assert "columns.diameter: must be at least 0.3 m and at most 3 m" in wrong.refused
    assert outcome_of(task).refused == "no solution: section T: no root"
    assert wrong.governing() is None


def test_a_project_without_a_grid_or_without_a_limit_for_settlement_is_told() -> None:
    with pytest.raises(SizeError, match=r"must have a table \[size\]"):
        size_grid(read_design(Path(__file__).parents[2] / "projects" / "fen-track"))
    with pytest.raises(SizeError, match=r"needs a limit, basis\.limits\.settlement_total"):
        screening_of(FEW, BOTH, ('settlement_total = "0.60 m"\n', ""))
