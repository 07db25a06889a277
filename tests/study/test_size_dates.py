"""Searches with time among the objectives: against brute force over made-up dates, their proof and what they count."""

from collections.abc import Callable, Mapping, Sequence
from copy import copy
from dataclasses import replace
from math import inf

import numpy as np
import pytest

from calc.inputs.tables.sizing import Programme
from calc.study.dated_designs import Earliest
from calc.study.size_report import proof_words, search_record, search_text, table_head, table_rows
from calc.study.size_search import NO_DATES, Search, search
from calc.study.whole_section import SETTLEMENT, Dated, Outcome, Rated, Task
from tests.study.test_size_search import FEW, grid_of, screening_of, typed_of

PASSING = (0, 1, 3, 6, 7, 9, 10)  # of twelve, as it is made up here
BOUNDS = {k: float(40 + 7 * ((5 * k) % 12)) for k in range(12)}
LATER = {0: 7.0, 3: 21.0, 6: 0.0, 7: 14.0, 9: 35.0, 10: 7.0}
"""By how many days the run of a design hands over after its bound; what has none fails."""
PROGRAMME = Programme.model_construct(step=7.0, least_wait=0.0, latest=700.0, cautious=False)


def timed(
    *objective: str, asked: int = 3, most: int = 100, hanging: frozenset[str] = frozenset(),
    bounds: Mapping[int, float] = BOUNDS, settled: Callable[[int], float] = lambda _: 0.3, flat: bool = False,
) -> tuple[Search, list[int], list[int]]:  # fmt: skip
    """A search in which nothing is screened, and the designs whose dates were asked for and that were run."""
    whole, grid = screening_of(FEW), grid_of(FEW)
    size = grid.size.model_copy(update={"objective": objective, "programme": PROGRAMME})
    screening = copy(whole)
    screening.grid, screening.compares = replace(grid, size=size, hanging=hanging), False
    screening.worst, screening.by = np.full(len(grid), np.nan), np.zeros(len(grid), dtype=np.intp)
    screening.keys, screening.titles = list(whole.keys), dict(whole.titles)
    screening.objectives = {name: np.full(len(grid), np.nan) for name in objective}
    if "cost" in objective:
        screening.objectives["cost"] = np.full(len(grid), 100.0) if flat else whole.objectives["cost"].copy()
    numbers = {grid.run_text(number): number for number in range(len(grid))}
    dated, run = list[int](), list[int]()

    def dates(tasks: Sequence[Task]) -> list[Earliest]:
        of = [numbers[task.text] for task in tasks]
        dated.extend(of)
        return [Earliest(inf, None, "hand-over: too slow", without_programme=True) if bounds[k] == inf else
                Earliest(bounds[k], settled(k)) for k in of]  # fmt: skip

    def runs(tasks: Sequence[Task]) -> list[Outcome]:
        of = [numbers[task.text] for task in tasks]
        run.extend(of)
        return [outcome(k) for k in of]

    def outcome(k: int) -> Outcome:
        if k not in LATER:
            return Outcome((Rated("stability/slip", "Slip surfaces", "fail", 1.2, None),))
        made = Dated((("Stage 1", 0.0), ("hand-over", bounds[k] + LATER[k])), (("Stage 1", "degree", -1.5, "%"),))
        return Outcome((Rated(SETTLEMENT, "Settlement", "pass", 0.5, settled(k)),), dated=made)

    found = search(screening, typed_of(grid), runs, asked=asked, most=most, side_by_side=2, tell=lambda _: None,
                   dates=dates)  # fmt: skip
    return found, dated, run


def handed(k: int) -> float:
    """The hand-over of a design that passes."""
    return BOUNDS[k] + LATER[k]


def front_of(values: Mapping[int, tuple[float, float]]) -> list[int]:
    """Those that no other one is at least as good as in both."""
    return [k for k, own in values.items()
            if not any(one != own and one[0] <= own[0] and one[1] <= own[1] for one in values.values())]  # fmt: skip


@pytest.mark.slow
def test_soonest_designs_are_those_of_brute_force_although_runs_hand_over_later_than_their_bounds() -> None:
    for asked in (1, 2, 3):
        found, dated, run = timed("time", asked=asked)
        best = sorted(LATER, key=lambda k: (handed(k), k))[:asked]

        assert [one.number for one in found.best] == best
        assert found.proven
        assert sorted(dated) == list(range(12))
        left = set(range(12)) - set(run)
        assert all(BOUNDS[k] >= found.best[-1].objectives[0] for k in left)
    assert len(run) < 12
    assert "Earliest dates searched before any run: of 12 candidates" in " ".join(proof_words(found))


@pytest.mark.slow
@pytest.mark.parametrize("objective", [("cost", "time"), ("time", "cost")])
def test_front_of_cost_and_time_is_that_of_brute_force(objective: tuple[str, str]) -> None:
    """Dates are asked only of what no cheaper design as soon has ruled out."""
    found, dated, run = timed(*objective)
    cost = screening_of(FEW).objectives["cost"]
    values = {k: (float(cost[k]), handed(k)) for k in LATER}
    front = front_of(values)

    assert sorted(one.number for one in found.best) == sorted(front)
    assert [one.objectives for one in found.best] == sorted(one.objectives for one in found.best)
    assert found.proven
    assert set(run) <= set(dated)
    counted = sum(found.screening.excluded().values()) + found.runs + found.not_better + found.better_left
    assert counted == len(found.grid)


@pytest.mark.slow
def test_of_designs_that_cost_the_same_the_soonest_is_left() -> None:
    """The first ones that pass hand over later than some that follow."""
    bounds = {k: BOUNDS[11 - k] for k in BOUNDS}
    found, _, _ = timed("cost", "time", flat=True, bounds=bounds)

    assert [one.objectives for one in found.best] == [(100.0, min(bounds[k] + LATER[k] for k in LATER))]
    assert found.best[0].number != min(LATER)
    assert found.proven


@pytest.mark.slow
def test_settlement_that_hangs_on_the_dates_is_that_of_the_dates() -> None:
    by_number: Callable[[int], float] = lambda k: 0.3 + 0.01 * ((7 * k) % 12)  # noqa: E731 - short
    found, dated, _ = timed("settlement", "time", hanging=frozenset({SETTLEMENT}), settled=by_number)
    alone, _, _ = timed("settlement", asked=1, hanging=frozenset({SETTLEMENT}), settled=by_number)
    values = {k: (by_number(k), handed(k)) for k in LATER}
    front = front_of(values)

    assert sorted(one.number for one in found.best) == sorted(front)
    assert len(dated) == 12
    assert found.proven
    assert [one.number for one in alone.best] == [min(LATER, key=by_number)]
    assert table_head(alone.grid)[1:3] == ["settlement mm", "hand-over d"]
    assert next(table_rows(alone))[1:3] == ["300", f"{alone.best[0].outcome.dated.days[-1]:g}"]  # type: ignore[union-attr]
    alone.screening.dated = dict.fromkeys("abcd", "A title")
    assert "because they hang on dates: A title; A title; A title and 1 more." in " ".join(search_text(alone).split())


@pytest.mark.slow
def test_what_has_no_programme_is_counted_and_a_search_that_ends_early_is_not_proven() -> None:
    late = {**BOUNDS, 6: inf}
    found, _, _ = timed("time", bounds=late)
    lazy, _, _ = timed("cost", "time", bounds=late)
    early, _, _ = timed("time", most=1)
    text = " ".join(search_text(found).split())
    first = search_record(found, None)["designs"][0]

    assert found.screening.excluded() == {"no programme": 1}
    assert f"1 by {NO_DATES}" in text
    assert "Without a programme, for example: hand-over: too slow" in text
    assert "Margins with the low cₕ: degree -1.5 %." in text
    assert "Dates searched with cₕ at the best estimate" in text
    assert 6 not in [one.number for one in (*found.best, *lazy.best)]
    assert not early.proven
    assert early.better_left > 0
    assert first["dates"]["hand-over"] == found.best[0].objectives[0]
    assert first["margins_low_c_h"] == [{"at": "Stage 1", "title": "degree", "margin": -1.5, "unit": "%"}]


@pytest.mark.slow
def test_what_was_dated_and_not_run_before_a_search_ends_early_is_counted(monkeypatch: pytest.MonkeyPatch) -> None:
    """Dated candidates beyond the block that was begun are screened already, and may be better all the same."""
    monkeypatch.setattr("calc.study.size_search.FIRST_BLOCK", 1)
    early, _, run = timed("time", most=1)

    assert len(run) == 1
    assert early.better_left == 11
    assert not early.proven
