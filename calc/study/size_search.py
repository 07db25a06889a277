"""The best designs of a grid: the cheapest first through every chapter, until no better one can be left."""

from collections import Counter
from collections.abc import Callable, Iterable, Sequence
from dataclasses import dataclass, field

import numpy as np

from calc.study.screening import Screened
from calc.study.size_grid import Floats, Grid, Places
from calc.study.whole_section import SETTLEMENT, Outcome, Task

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
    excluded nor run that could still be better: the result is proven where it is 0.
    """

    screened: Screened
    asked: int
    best: list[Found] = field(default_factory=list)
    runs: int = 0
    failed: Counter[str] = field(default_factory=Counter)
    titles: dict[str, str] = field(default_factory=dict)
    refused: dict[str, str] = field(default_factory=dict)
    better_left: int = 0
    worse_left: int = 0

    @property
    def grid(self) -> Grid:
        """The grid searched."""
        return self.screened.grid

    @property
    def front(self) -> bool:
        """Whether two objectives are searched for."""
        return len(self.grid.size.objective) > 1


def search(
    screened: Screened, typed: Outcome, runs: Runs, *, asked: int, most: int, side_by_side: int,
    tell: Callable[[str], None],
) -> Search:  # fmt: skip
    """Run what is left of the grid in the order of its objectives until the best ``asked`` designs are proven.

    With two objectives until the whole front is. ``typed`` is the outcome of the project as it is: what is not
    verified there cannot be asked of a design of the grid. After ``most`` runs the search ends without a proof.
    """
    result = Search(screened, asked)
    values = np.column_stack([screened.objectives[name] for name in screened.grid.size.objective]) if len(
        screened.left
    ) else np.zeros((0, 1))  # fmt: skip
    order = _ordered(screened.left, values)
    position = 0
    while position < len(order) and not _enough(result):
        batch, position = _next(result, order, position, values, min(side_by_side, most - result.runs))
        if not batch:
            break
        tell(f"all chapters of design {result.runs + 1} of at most {most}, {len(result.best)} found")
        grid, folder = result.grid, str(result.grid.design.source.parent)
        tasks = [Task(folder, grid.text(number), grid.section.key) for number in batch]
        for number, outcome in zip(batch, runs(tasks), strict=True):
            result.runs += 1
            _judge(result, number, tuple(map(float, values[number])), outcome, typed)
    rest = order[position:]
    open_rest = [] if _enough(result) else [number for number in rest if _may_better(result, values[number])]
    result.better_left = len(open_rest)
    result.worse_left = len(order) - result.runs - result.better_left
    return result


def _ordered(left: Places, values: Floats) -> list[int]:
    """By the first objective, equal ones by the second, then by their number."""
    chosen = values[left]
    keys = [left, *(chosen[:, k] for k in reversed(range(chosen.shape[1])))]
    return [int(number) for number in left[np.lexsort(keys)]]


def _enough(result: Search) -> bool:
    return not result.front and len(result.best) >= result.asked


def _next(
    result: Search, order: Sequence[int], position: int, values: Floats, most: int
) -> tuple[list[int], int]:  # fmt: skip
    """The next combinations that may still better what was found, and where the order goes on."""
    batch = list[int]()
    while position < len(order) and len(batch) < most:
        if _may_better(result, values[order[position]]):
            batch.append(order[position])
        position += 1
    return batch, position


def _may_better(result: Search, values: Floats) -> bool:
    """Whether no design of the front is at least as good in both objectives; in their order the first one is."""
    return not result.front or not result.best or float(values[1]) < result.best[-1].objectives[1]


def _judge(result: Search, number: int, values: tuple[float, ...], outcome: Outcome, typed: Outcome) -> None:
    result.titles |= {one.key: one.title for one in outcome.verdicts}
    reason = _reason(outcome, typed)
    if reason:
        result.failed[reason] += 1
        if outcome.refused:
            result.refused.setdefault(reason, outcome.refused)
        return
    if _enough(result) or not _may_better(result, np.array(values)):
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
