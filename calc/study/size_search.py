"""The best designs of a grid: the cheapest first through every chapter, until no better one can be left."""

from collections import Counter
from collections.abc import Callable, Iterable, Mapping, Sequence
from dataclasses import dataclass, field
from math import isclose

import numpy as np

from calc.engine.words import words_of
from calc.inputs.tables.sizing import SETTLEMENT as BY_SETTLEMENT
from calc.inputs.tables.sizing import TIME
from calc.procedures.known_circles import Failed
from calc.study.dated_designs import Earliest, wish_of
from calc.study.screened_base import KEPT_EXACT, NO_SOLUTION, SAME
from calc.study.screening import Screening
from calc.study.size_grid import Floats, Grid, Places
from calc.study.whole_section import SETTLEMENT, Outcome, Task

say = words_of(__name__)

NO_PROGRAMME, NOT_OF_RUNS = "no programme", "refused"
NO_DATES = say("no-dates")
NO_RUN = say("no-run")
MOST_CIRCLES = 12  # that failed, to be tried before a search
FIRST_BLOCK, LAST_BLOCK = 2000, 8000  # combinations screened at a time
AUDITED = 4  # excluded combinations, those nearest to their limits and those without a solution, run all the same

Runs = Callable[[Sequence[Task]], Iterable[Outcome]]
"""Outcomes of tasks in their order; several tasks may run side by side."""
Dates = Callable[[Sequence[Task]], Iterable[Earliest]]
"""Earliest dates of tasks in their order."""


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
    result is proven where all are 0. ``dated`` counts the candidates whose earliest dates were asked for alone,
    ``circles`` are those that failed in the runs, the newest first. ``unchanged`` are verdicts whose utilisation no
    value of the grid changes, with it.
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
    dates: Dates | None = None
    dated: int = 0
    circles: tuple[Failed, ...] = ()
    unchanged: Mapping[str, float] = field(default_factory=dict)

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

    @property
    def dates_first(self) -> bool:
        """Whether no objective is known before the dates of a candidate are, or settlement hangs on them."""
        names, by_dates = self.grid.size.objective, {TIME}
        if SETTLEMENT in self.grid.hanging:
            by_dates.add(BY_SETTLEMENT)
        return BY_SETTLEMENT in by_dates & set(names) or set(names) == {TIME}

    @property
    def leading(self) -> int:
        """The place of the objective by which the grid is put in order: not time, which dates alone bound."""
        return 1 if self.front and self.grid.size.objective[0] == TIME else 0


def search(
    screening: Screening, typed: Outcome, runs: Runs, *, asked: int, most: int, side_by_side: int,
    tell: Callable[[str], None], dates: Dates | None = None,
) -> Search:  # fmt: skip
    """Go through the grid in the order of its objectives until the best ``asked`` designs are proven.

    With two objectives until the whole front is. What no closed verdict excludes is run with all chapters; what comes
    after the last design in that order is not asked at all. ``typed`` is the outcome of the project as it is: what is
    not verified there cannot be asked of a design of the grid. After ``most`` runs the search ends without a proof.

    Where the programme is searched, ``dates`` are the earliest ones of candidates by all but their slip surfaces: no
    run of a candidate hands over sooner. They are asked of every candidate that may win by the other objective, and of
    all that are left where they alone put the grid in order.
    """
    result = Search(screening, asked, dates=dates)
    result.titles[NO_PROGRAMME] = NO_DATES
    values = np.column_stack([screening.objectives[name] for name in screening.grid.size.objective])
    if result.dates_first:
        left = screening.ask(screening.apart, whole=False)
        tell(f"earliest dates of {len(left)} candidates")
        _date(result, left, values)
    order = _in_order(screening.apart, values, result.leading)
    position, size = 0, FIRST_BLOCK
    while position < len(order) and result.runs < most:
        block = _may_better(result, order[position : position + size], values)
        tell(f"{position} of {len(order)} combinations, {result.runs} run with all chapters, {len(result.best)} found")
        left = screening.ask(block, whole=False)
        position, size = position + size, min(2 * size, LAST_BLOCK)
        rest = _run_block(result, left, values, typed, runs, most, side_by_side, tell)
        result.better_left += len(rest)
    beyond = order[position:]  # some of these may be screened already, where their dates were asked for
    result.better_left += len(_may_better(result, beyond[~(screening.worst[beyond] > 1 + KEPT_EXACT)], values))
    result.best.sort(key=lambda design: (design.objectives, design.number))
    result.contradicted = len(screening.contradicted(AUDITED))
    result.unchanged = screening.unchanged()
    return result


def _run_block(
    result: Search, left: Places, values: Floats, typed: Outcome, runs: Runs, most: int, side_by_side: int,
    tell: Callable[[str], None],
) -> Places:  # fmt: skip
    """Run what is left of a block as long as it may better what was found; what was to be run when ``most`` were."""
    while True:
        left = _may_better(result, left, values)
        taken = left[: min(side_by_side, most - result.runs)]
        if not taken.size:
            return left
        left = left[len(taken) :]
        batch = result.screening.ask(taken, whole=True)
        if result.dates is not None and not result.dates_first and TIME in result.grid.size.objective:
            batch = _may_better(result, _date(result, batch, values), values)
        tell(f"all chapters of design {result.runs + 1} of at most {most}, {len(result.best)} found")
        for number, outcome in zip(batch, runs(_tasks(result, batch)), strict=True):
            result.runs += 1
            result.circles = (*outcome.circles, *result.circles)[:MOST_CIRCLES]
            _judge(result, int(number), _by_the_run(result, values[number], outcome), outcome, typed)


def _tasks(result: Search, numbers: Places) -> list[Task]:
    grid = result.grid
    programme = wish_of(grid.size.programme) if grid.size.programme is not None else None
    folder, key = str(grid.design.source.parent), grid.section.key
    return [
        Task(folder, grid.run_text(int(number)), key, programme=programme, circles=result.circles) for number in numbers
    ]


def _date(result: Search, numbers: Places, values: Floats) -> Places:
    """Put the earliest dates of candidates into their objectives, and give those that have a programme."""
    assert result.dates is not None  # noqa: S101 - asked where the programme is searched
    names, kept = result.grid.size.objective, []
    for number, earliest in zip(numbers.tolist(), result.dates(_tasks(result, numbers)), strict=True):
        result.dated += 1
        if earliest.why:
            why = earliest.without_programme
            result.screening.exclude(number, *((NO_PROGRAMME, NO_DATES) if why else (NO_SOLUTION, NO_RUN)))
            result.refused.setdefault(NO_PROGRAMME if why else NOT_OF_RUNS, earliest.why)
            continue
        kept.append(number)
        own = {TIME: earliest.hand_over, BY_SETTLEMENT: earliest.settlement}
        for place, name in enumerate(names):
            if np.isnan(values[number, place]):
                values[number, place] = own[name]
    return np.array(kept, dtype=np.intp)


def _in_order(numbers: Places, values: Floats, leading: int) -> Places:
    """By the objective that leads, equal ones by the other, then by their number."""
    chosen = values[numbers]
    others = [k for k in range(chosen.shape[1]) if k != leading]
    ordered: Places = numbers[np.lexsort([numbers, *(chosen[:, k] for k in (*others, leading))])]
    return ordered


def _may_better(result: Search, numbers: Places, values: Floats) -> Places:
    """Those that may better what was found: in the objective that does not lead with two, before the last one else.

    An objective that is not known yet may be anything.
    """
    place = 1 - result.leading if result.front else 0
    last = result.best[-1] if result.best and (result.front or len(result.best) >= result.asked) else None
    if last is None:
        return numbers
    kept: Places = numbers[~(values[numbers, place] >= last.objectives[place])]
    return kept


def _by_the_run(result: Search, values: Floats, outcome: Outcome) -> tuple[float, ...]:
    """The objectives with the settlement of the run; counted where it is not that of the search."""
    objectives = dict(zip(result.grid.size.objective, map(float, values), strict=True))
    if TIME in objectives and outcome.dated is not None:
        objectives[TIME] = outcome.dated.days[-1]
    if BY_SETTLEMENT in objectives and not outcome.refused and not outcome.circles:
        settled = outcome.effect(SETTLEMENT)
        if settled is None or not isclose(settled, objectives[BY_SETTLEMENT], rel_tol=SAME):
            result.unlike += 1
            objectives[BY_SETTLEMENT] = objectives[BY_SETTLEMENT] if settled is None else settled
    return tuple(objectives.values())


def _judge(result: Search, number: int, values: tuple[float, ...], outcome: Outcome, typed: Outcome) -> None:
    result.titles |= {verdict.key: verdict.title for verdict in outcome.verdicts}
    reason = _reason(outcome, typed)
    if reason:
        result.failed[reason] += 1
        if outcome.refused:
            result.refused.setdefault(reason, outcome.refused)
        return
    made, best, other = Found(number, values, outcome), result.best, 1 - result.leading
    if not result.front:
        best.append(made)
        best.sort(key=lambda design: (design.objectives, design.number))
        del best[result.asked :]
        return
    if best and values[other] >= best[-1].objectives[other]:
        return  # run side by side with one that turned out to be as good
    while best and best[-1].objectives[result.leading] == values[result.leading]:
        best.pop()  # the same in the objective that leads, and more of the other
    best.append(made)


def _reason(outcome: Outcome, typed: Outcome) -> str:
    """The key of what stands against a design, "" where nothing does."""
    if outcome.refused:
        return NO_PROGRAMME if outcome.without_programme else NOT_OF_RUNS
    if outcome.failing:
        return outcome.failing[0].key
    newly = sorted(outcome.open - typed.open)
    return newly[0] if newly else ""
