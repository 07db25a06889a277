"""Which combinations of a grid a required verdict of the closed chapters excludes, without a run of each."""

from collections.abc import Callable, Iterator, Mapping
from dataclasses import dataclass, field
from itertools import product

import numpy as np

from calc.study.engines import Engine
from calc.study.screened_base import Base, Follow, compared, first_run, screened_base
from calc.study.size_grid import DIAMETER, SPACING, Axis, Floats, Grid, Places
from calc.study.whole_section import SETTLEMENT

KEPT_EXACT = 1e-9  # relative; a utilisation this close to its limit is left to the run of all chapters
TOUCHING, NO_SOLUTION = "columns/touching", "no solution"
MUST_FOLLOW = ("sleeve/ring_tension", "sleeve/ring_tension_iso", SETTLEMENT)


@dataclass
class Screened:
    """Every combination of the grid as far as the closed verdicts tell of it.

    ``worst`` is the largest utilisation over its limit of those followed, ``by`` the number of that verdict in
    ``keys``; ``objectives`` are NaN where nothing was computed. ``left`` is not excluded.
    """

    grid: Grid
    keys: list[str]
    titles: dict[str, str]
    worst: Floats
    by: Places
    objectives: dict[str, Floats]
    ratios: dict[str, Floats]
    bases: int = 0
    unfollowed: dict[str, str] = field(default_factory=dict)

    @property
    def left(self) -> Places:
        """The combinations that no verdict excludes."""
        return np.flatnonzero(self.worst <= 1 + KEPT_EXACT)

    def excluded(self) -> dict[str, int]:
        """How many combinations are excluded, by the verdict furthest beyond its limit, most first."""
        out = self.worst > 1 + KEPT_EXACT
        counts = np.bincount(self.by[out], minlength=len(self.keys))
        order = np.argsort(-counts, kind="stable")
        return {self.keys[k]: int(counts[k]) for k in order if counts[k]}


def screen(grid: Grid, follow: Follow, engine: Engine, tell: Callable[[str], None]) -> Screened:
    """Every combination, form by form: by runs without slip searches where a replay cannot cross, else by replays."""
    n = len(grid)
    keys = [TOUCHING, NO_SOLUTION]
    titles = {TOUCHING: "Columns touch: spacing not above the diameter", NO_SOLUTION: "No solution, or inputs refused"}
    found = Screened(grid, keys, titles, np.zeros(n), np.zeros(n, dtype=np.intp), {}, {})
    everything = np.arange(n)
    spacing = grid.along(SPACING, grid.axis(SPACING)[1].numbers("columns.spacing"), everything)
    diameter = grid.along(DIAMETER, grid.axis(DIAMETER)[1].numbers("columns.diameter"), everything)
    found.worst[spacing <= diameter] = np.inf
    followed = _followed_axes(grid, follow, found.worst)
    parts = [base[np.isfinite(found.worst[base])] for base in _bases(grid, followed)]
    parts = [numbers for numbers in parts if numbers.size]

    def work(part: int) -> Base:
        return screened_base(grid, parts[part], followed, follow)

    done = 0
    for part, base in engine.results(work, range(len(parts))):
        done += len(parts[part])
        tell(f"screening: {done} of {n} combinations")
        _take_base(found, parts[part], base)
    return found


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
    varied = {path for group in by_form.values() for path in group[0] if len({one[path] for one in group}) > 1}
    return tuple(sorted(varied))


def _followed_axes(grid: Grid, follow: Follow, worst: Floats) -> frozenset[str]:
    """The axes over which ring tension and settlement can be replayed, and those whose values have no number."""
    run, design = first_run(grid, np.flatnonzero(np.isfinite(worst)))
    verdicts = [one.key for one in compared(run) if one.key in MUST_FOLLOW]
    return frozenset(
        axis.name
        for axis in grid.axes
        if not (inputs := _inputs(axis)) or not follow(run, design, grid.section.key, verdicts, inputs)[1]
    )


def _take_base(found: Screened, numbers: Places, base: Base) -> None:
    if not base.objectives:
        found.worst[numbers] = np.inf
        found.by[numbers] = found.keys.index(NO_SOLUTION)
        return
    found.bases += 1
    found.titles |= base.titles
    found.unfollowed |= {key: base.titles[key] for key in sorted(base.lost)}
    for key, values in base.ratios.items():
        _take_verdict(found, key, values, numbers)
    for name, values in base.objectives.items():
        found.objectives.setdefault(name, np.full(len(found.worst), np.nan))[numbers] = values


def _take_verdict(found: Screened, key: str, values: Floats, numbers: Places) -> None:
    if key not in found.keys:
        found.keys.append(key)
        found.ratios[key] = np.full(len(found.worst), np.nan)
    found.ratios[key][numbers] = values
    worse = values > found.worst[numbers]
    found.worst[numbers[worse]] = values[worse]
    found.by[numbers[worse]] = found.keys.index(key)
