"""Which combinations of a grid a required verdict of the closed chapters excludes, without a run of each."""

from collections.abc import Iterator, Mapping, Sequence
from dataclasses import dataclass, field, replace
from itertools import product
from math import isclose

import numpy as np

from calc.chain import Run
from calc.engine.words import words_of
from calc.inputs.tables.sizing import SETTLEMENT as BY_SETTLEMENT
from calc.inputs.tables.sizing import TIME
from calc.study.dated_designs import hanging_verdicts
from calc.study.engines import Engine, in_order
from calc.study.objectives import charges, columns_of
from calc.study.screened_base import (
    KEPT_EXACT,
    NO_SOLUTION,
    SAME,
    Base,
    Follow,
    Probe,
    ends_of,
    excluding_verdicts,
    first_run,
    inputs_varied,
    made_base,
    probe,
    ratios,
    screened_utilisations,
    settlements,
)
from calc.study.size_grid import DIAMETER, SPACING, Axis, Floats, Grid, Places, SizeError
from calc.study.whole_section import SETTLEMENT, rated_verdicts

say = words_of(__name__)

TOUCHING = "columns/touching"
MUST_FOLLOW = ("sleeve/ring_tension", "sleeve/ring_tension_iso", SETTLEMENT)
CHUNK = 2000  # combinations that a process screens at a time


@dataclass
class Screening:
    """The combinations of a grid as far as the closed verdicts have been asked of them.

    ``worst`` is the largest utilisation over its limit, NaN where it was not asked; ``by`` the number in ``keys`` of
    its verdict. ``objectives`` are NaN where columns touch.
    """

    grid: Grid
    engine: Engine
    follow: Follow
    keys: list[str] = field(default_factory=lambda: [TOUCHING])
    titles: dict[str, str] = field(default_factory=dict)
    unfollowed: dict[str, str] = field(default_factory=dict)

    def __post_init__(self) -> None:
        """Order the grid: which combinations one replay stands for, and what each takes."""
        grid, n = self.grid, len(self.grid)
        self.titles |= {TOUCHING: say("touching"), NO_SOLUTION: say("no-solution")}
        self.worst, self.by = np.full(n, np.nan), np.zeros(n, dtype=np.intp)
        everything = np.arange(n)
        spacing = grid.along(SPACING, grid.axis(SPACING)[1].numbers("columns.spacing"), everything)
        diameter = grid.along(DIAMETER, grid.axis(DIAMETER)[1].numbers("columns.diameter"), everything)
        self.worst[spacing <= diameter] = np.inf
        self.apart = np.flatnonzero(spacing > diameter)
        run, _ = first_run(grid, self.apart)
        if grid.size.programme is not None:
            self.grid = grid = replace(grid, hanging=hanging_verdicts(run, grid.section.key))
        self.dated = {
            rating.key: rating.title
            for rating in rated_verdicts(run)
            if rating.key in grid.hanging and rating.ratio is not None
        }
        self.titles |= {rating.key: rating.title for rating in rated_verdicts(run)}
        asked = excluding_verdicts(run, grid.hanging)
        self.compares = bool(asked)
        verdicts = [rating.key for rating in asked if rating.key in MUST_FOLLOW]
        self.followed = frozenset(
            axis.name for axis in grid.axes
            if not (inputs := _inputs(axis)) or not self.follow(run, grid.section.key, verdicts, inputs, {})[1]
        )  # fmt: skip
        self._parts = list(_bases(grid, self.followed))
        self._part_of = np.zeros(n, dtype=np.intp)
        for k, numbers in enumerate(self._parts):
            self._part_of[numbers] = k
        self._bases = dict[int, Base]()
        self._known = dict[int, Probe | None]()
        self.objectives = self._objectives(run)

    def _objectives(self, run: Run) -> dict[str, Floats]:
        """The objectives as far as a combination has them by itself: what hangs on its dates is NaN."""
        objectives = {}
        for objective in self.grid.size.objective:
            objectives[objective] = np.full(len(self.grid), np.nan)
            if objective == BY_SETTLEMENT:
                limit = self.grid.design.basis.limits.settlement_total
                if limit is None:
                    message = "the objective settlement needs a limit, basis.limits.settlement_total"
                    raise SizeError(message)
                if SETTLEMENT not in self.grid.hanging:
                    objectives[objective][self.apart] = limit * self._settlements(self.apart)
            elif objective != TIME:
                objectives[objective][self.apart] = charges(self.grid, objective, columns_of(run), self.apart)
        return objectives

    def _settlements(self, numbers: Places) -> Floats:
        settled = np.empty(len(self.grid))
        tasks = list(self._tasks(numbers))

        def work(task: tuple[int, Places]) -> Floats:
            return settlements(self._bases[task[0]], self.grid, task[1])

        for place, values in self.engine.results(work, tasks):
            settled[tasks[place][1]] = values
        return settled[numbers]

    def ask(self, numbers: Places, *, whole: bool) -> Places:
        """Screen combinations, and give those of them that no verdict excludes, in their order.

        Where not ``whole``, some cases are left out of it: a second look is worth its time before a run only.
        """
        asked = numbers[~(self.worst[numbers] > 1 + KEPT_EXACT)]
        if not self.compares:
            self.worst[asked] = 0.0
            asked = asked[:0]
        tasks = list(self._tasks(asked))

        def work(task: tuple[int, Places]) -> tuple[Floats, list[str]]:
            return screened_utilisations(self._bases[task[0]], self.grid, task[1], whole=whole)

        for place, (worst, by) in self.engine.results(work, tasks):
            self.worst[tasks[place][1]] = worst
            self.by[tasks[place][1]] = [self._number_of(key) for key in by]
        return numbers[self.worst[numbers] <= 1 + KEPT_EXACT]

    def exclude(self, number: int, key: str, title: str) -> None:
        """Exclude a combination for another reason than a verdict that is screened."""
        self.titles[key] = title
        self.worst[number], self.by[number] = np.inf, self._number_of(key)

    def ratios(self, numbers: Places) -> dict[str, Floats]:
        """Utilisation over its limit of every verdict that is followed, for combinations of whatever form."""
        by_verdict = dict[str, Floats]()
        for base, part in self._tasks(numbers):
            places = np.flatnonzero(np.isin(numbers, part))
            for key, values in ratios(self._bases[base], self.grid, numbers[places]).items():
                by_verdict.setdefault(key, np.full(len(numbers), np.nan))[places] = values
        return by_verdict

    def contradicted(self, count: int) -> Places:
        """Excluded combinations that a run does not exclude.

        Run are the ``count`` nearest to their limits, and of those in which a replay found no solution as many, from
        the first to the last.
        """
        out = np.flatnonzero((self.worst > 1 + KEPT_EXACT) & np.isfinite(self.worst))
        near = out[np.argsort(self.worst[out], kind="stable")[:count]]
        unsolved = np.flatnonzero(np.isinf(self.worst) & (self.by == self._number_of(NO_SOLUTION)))
        spread = np.linspace(0, len(unsolved) - 1, min(count, len(unsolved))).astype(np.intp)
        chosen = np.concatenate([near, unsolved[spread]])
        runs = self._probes(chosen.tolist())
        fails = [result is None or max(result.ratios.values(), default=0.0) > 1.0 for result in runs]
        contradictions: Places = chosen[~np.array(fails, dtype=bool)]
        return contradictions

    def _probes(self, numbers: Sequence[int]) -> Iterator[Probe | None]:
        """Runs without slip searches, in order, by the processes beside; each combination once."""
        grid = self.grid

        def work(number: int) -> Probe | None:
            return probe(grid, number)

        fresh = in_order(self.engine.results(work, [number for number in numbers if number not in self._known]))
        for number in numbers:
            if number not in self._known:
                self._known[number] = next(fresh)
            yield self._known[number]

    def unchanged(self) -> dict[str, float]:
        """Verdicts whose utilisation no value of the grid changes, and it over its limit.

        By runs without slip searches in the middle and at both ends of the values of every axis, and all others that
        were made: what is the same in each of them. What hangs on dates that are searched is none of them.
        """
        numbers = ends_of(self.grid, self.apart)
        list(self._probes(numbers))
        of_runs = [result.ratios for result in self._known.values() if result is not None]
        if len(of_runs) <= 1:
            return {}
        first, *others = of_runs
        return {
            key: ratio
            for key, ratio in first.items()
            if all(key in other and isclose(other[key], ratio, rel_tol=SAME) for other in others)
        }

    def _tasks(self, numbers: Places) -> Iterator[tuple[int, Places]]:
        """Combinations by the replays that stand for them, in pieces; replays are made where there are none yet."""
        of_part = self._part_of[numbers]
        parts = np.unique(of_part).tolist()
        self._make_bases([part for part in parts if part not in self._bases])
        for part in parts:
            size = CHUNK if self._bases[part].divisions else 1
            chosen = numbers[of_part == part]
            yield from ((part, chosen[k : k + size]) for k in range(0, len(chosen), size))

    def _make_bases(self, parts: Sequence[int]) -> None:
        """Make replays here while the runs at the ends of the next values go on beside."""
        grid = self.grid
        numbers = {part: np.intersect1d(self._parts[part], self.apart) for part in parts}
        varied = [part for part in parts if inputs_varied(grid, numbers[part], self.followed)]
        probes = self._probes([end for part in varied for end in ends_of(grid, numbers[part])])
        for part in parts:
            made = self._bases[part] = made_base(grid, numbers[part], self.followed, self.follow, probes)
            self.titles |= made.titles or {}
            self.unfollowed |= {key: (made.titles or {})[key] for key in sorted(made.lost)}

    def _number_of(self, key: str) -> int:
        if key not in self.keys:
            self.keys.append(key)
        return self.keys.index(key)

    def excluded(self) -> dict[str, int]:
        """How many combinations are excluded, by the verdict furthest beyond its limit, most first."""
        out = self.worst > 1 + KEPT_EXACT
        counts = np.bincount(self.by[out], minlength=len(self.keys))
        order = np.argsort(-counts, kind="stable")
        return {self.keys[k]: int(counts[k]) for k in order if counts[k]}


def _bases(grid: Grid, followed: frozenset[str]) -> Iterator[Places]:
    """The combinations that one run stands for: equal in every axis that is not followed, and in form in the others."""
    groups = [_groups(axis, axis.name in followed) for axis in grid.axes]
    for parts in product(*groups):
        yield np.sort(np.ravel_multi_index(np.ix_(*parts), grid.shape), axis=None)


def _groups(axis: Axis, is_followed: bool) -> list[list[int]]:
    if not is_followed:
        return [[k] for k in range(len(axis.choices))]
    by_form: dict[object, list[int]] = {}
    for k, choice in enumerate(axis.choices):
        by_form.setdefault(choice.form, []).append(k)
    return list(by_form.values())


def _inputs(axis: Axis) -> tuple[str, ...]:
    """The inputs that differ between values of an axis that have one form."""
    by_form: dict[object, list[Mapping[str, float]]] = {}
    for choice in axis.choices:
        by_form.setdefault(choice.form, []).append(choice.numbers)
    varied = {path for group in by_form.values() for path in group[0] if len({numbers[path] for numbers in group}) > 1}
    return tuple(sorted(varied))
