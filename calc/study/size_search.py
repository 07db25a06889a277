"""The best designs of a grid: the cheapest first through every chapter, until no better one can be left."""

from collections import Counter
from collections.abc import Callable, Iterable, Sequence
from dataclasses import dataclass, field
from math import isclose

import numpy as np

from calc.inputs.tables.sizing import SETTLEMENT as BY_SETTLEMENT
from calc.study.screened_base import SAME
from calc.study.screening import Screening
from calc.study.size_grid import Floats, Grid, Places
from calc.study.whole_section import SETTLEMENT, Outcome, Task

FIRST_BLOCK, LAST_BLOCK = 2000, 8000  # combinations screened at a time
AUDITED = 4  # excluded combinations, those nearest to their limits and those without a solution, run all the same

Runs = Callable[[Sequence[Task]], Iterable[Outcome]]
"""Outcomes of tasks in their order; several tasks may run side by side."""


@dataclass(frozen=True, slots=True)
class Found:
    """A design of the grid that passes every required verdict that the project as typed has verified."""

    number: int
    objectives: tuple[float, ...]
    outcome: Outcome

    @property
    def settlement(self) -> float | None:
        """Primary settlement by the standard method, m; None without a limit for it."""
        return self.outcome.effect(SETTLEMENT)


@dataclass
class Search:
    """What a search found and how far it went.

    ``best`` are the designs in order of the first objective; with two objectives the front. ``failed`` counts the runs
    of all chapters that failed by the verdict furthest beyond its limit. ``better_left`` are combinations neither
    excluded nor run that could still be better, ``contradicted`` those of the excluded ones run all the same
    that a run does not exclude, ``unlike`` runs whose settlement is not the one by which the grid was put in order: the
    result is proven where all are 0.
    """

    screening: Screening
    asked: int
    best: list[Found] = field(default_factory=list)
    runs: int = 0
    failed: Counter[str] = field(default_factory=Counter)
    titles: dict[str, str] = field(default_factory=dict)
    refused: dict[str, str] = field(default_factory=dict)
    better_left: int = 0
    contradicted: int = 0
    unlike: int = 0

    @property
    def grid(self) -> Grid:
        """The grid searched."""
        return self.screening.grid

    @property
    def proven(self) -> bool:
        """Whether no better design of the grid can have been missed."""
        return not self.better_left and not self.contradicted and not self.unlike

    @property
    def not_better(self) -> int:
        """Combinations that were neither excluded nor run, because their objectives are no better."""
        return len(self.grid) - sum(self.screening.excluded().values()) - self.runs - self.better_left

    @property
    def front(self) -> bool:
        """Whether two objectives are searched for."""
        return len(self.grid.size.objective) > 1


def search(
    screening: Screening, typed: Outcome, runs: Runs, *, asked: int, most: int, side_by_side: int,
    tell: Callable[[str], None],
) -> Search:  # fmt: skip
    """Go through the grid in the order of its objectives until the best ``asked`` designs are proven.

    With two objectives until the whole front is. What no closed verdict excludes is run with all chapters; what comes
    after the last design in that order is not asked at all. ``typed`` is the outcome of the project as it is: what is
    not verified there cannot be asked of a design of the grid. After ``most`` runs the search ends without a proof.
    """
    result = Search(screening, asked)
    values = np.column_stack([screening.objectives[name] for name in screening.grid.size.objective])
    order = _ordered(screening.apart, values)
    position, size = 0, FIRST_BLOCK
    while position < len(order) and not _enough(result) and result.runs < most:
        block = _may_better(result, order[position : position + size], values)
        tell(f"{position} of {len(order)} combinations, {result.runs} run with all chapters, {len(result.best)} found")
        left = screening.ask(block, whole=False)
        position, size = position + size, min(2 * size, LAST_BLOCK)
        rest = _run_block(result, left, values, typed, runs, most, side_by_side, tell)
        result.better_left += len(rest)
    if not _enough(result):
        result.better_left += len(_may_better(result, order[position:], values))
    result.contradicted = len(screening.contradicted(AUDITED))
    return result


def _run_block(
    result: Search, left: Places, values: Floats, typed: Outcome, runs: Runs, most: int, side_by_side: int,
    tell: Callable[[str], None],
) -> Places:  # fmt: skip
    """Run what is left of a block as long as it may better what was found; what was to be run when ``most`` were."""
    grid, folder = result.grid, str(result.grid.design.source.parent)
    while True:
        left = left[:0] if _enough(result) else _may_better(result, left, values)
        taken = left[: min(side_by_side, most - result.runs)]
        if not taken.size:
            return left
        left = left[len(taken) :]
        batch = result.screening.ask(taken, whole=True)
        tell(f"all chapters of design {result.runs + 1} of at most {most}, {len(result.best)} found")
        tasks = [Task(folder, grid.text(int(number)), grid.section.key) for number in batch]
        for number, outcome in zip(batch, runs(tasks), strict=True):
            result.runs += 1
            _judge(result, int(number), _by_the_run(result, values[number], outcome), outcome, typed)


def _ordered(numbers: Places, values: Floats) -> Places:
    """By the first objective, equal ones by the second, then by their number."""
    chosen = values[numbers]
    keys = [numbers, *(chosen[:, k] for k in reversed(range(chosen.shape[1])))]
    ordered: Places = numbers[np.lexsort(keys)]
    return ordered


def _enough(result: Search) -> bool:
    return not result.front and len(result.best) >= result.asked


def _may_better(result: Search, numbers: Places, values: Floats) -> Places:
    """Those that no design of the front is at least as good as in both objectives; in their order the first one is."""
    if not result.front or not result.best:
        return numbers
    kept: Places = numbers[values[numbers, 1] < result.best[-1].objectives[1]]
    return kept


def _by_the_run(result: Search, values: Floats, outcome: Outcome) -> tuple[float, ...]:
    """The objectives with the settlement of the run; counted where it is not that of the search."""
    found = dict(zip(result.grid.size.objective, map(float, values), strict=True))
    if BY_SETTLEMENT in found and not outcome.refused:
        settled = outcome.effect(SETTLEMENT)
        if settled is None or not isclose(settled, found[BY_SETTLEMENT], rel_tol=SAME):
            result.unlike += 1
            found[BY_SETTLEMENT] = found[BY_SETTLEMENT] if settled is None else settled
    return tuple(found.values())


def _judge(result: Search, number: int, values: tuple[float, ...], outcome: Outcome, typed: Outcome) -> None:
    result.titles |= {one.key: one.title for one in outcome.verdicts}
    reason = _reason(outcome, typed)
    if reason:
        result.failed[reason] += 1
        if outcome.refused:
            result.refused.setdefault(reason, outcome.refused)
        return
    if _enough(result) or (result.front and result.best and values[1] >= result.best[-1].objectives[1]):
        return  # run side by side with one that turned out to be enough
    result.best.append(Found(number, values, outcome))


def _reason(outcome: Outcome, typed: Outcome) -> str:
    """The key of what stands against a design, "" where nothing does."""
    if outcome.refused:
        return "refused"
    if outcome.failing:
        return outcome.failing[0].key
    newly = sorted(outcome.open - typed.open)
    return newly[0] if newly else ""
