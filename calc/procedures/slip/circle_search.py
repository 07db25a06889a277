"""The search for the decisive circle: every circle of a grid, the grid widened where needed, then finer steps.

The search is for the least value of a goal, which is the factor of safety, or the force required with its sign turned.
"""

from collections.abc import Callable
from dataclasses import dataclass, field

import numpy as np

from calc.procedures.slip.circles import Ends
from calc.procedures.slip.evaluate import Factors
from calc.procedures.slip.model import Circle, Range, Search, SlipError
from calc.procedures.slip.reasons import NO_STRENGTH
from calc.procedures.slip.refine import Depth, Ways, inf_for_nan, refine_circle
from calc.procedures.slip.result import Contours, Record
from calc.procedures.slip.slope import slope_of
from calc.procedures.slip.vertical_strips import Floats, Ground

SIDES = (("left", "right"), ("low", "high"), ("deep", "shallow"))
NEAR = 0.1  # share of the spacing within which two levels are one

MOST = 2_000_000  # circles of a grid with all that it is widened by: above, the edge is named instead

Goal = Callable[[Floats, Floats, Floats], Factors]


@dataclass
class _Tally:
    """Circles looked at, and rejected by reason."""

    goal: Goal
    sign: float
    tried: int = 0
    rejected: dict[str, int] = field(default_factory=dict)
    plain: list[Floats] = field(default_factory=list)

    def look(self, x: Floats, y: Floats, tangent: Floats) -> Floats:
        """The goal of circles by centre and level of the lowest point."""
        factors = self.goal(x, y, y - tangent)
        self.tried += len(x)
        for reason, count in factors.counts().items():
            self.rejected[reason] = self.rejected.get(reason, 0) + count
        self.plain.append(factors.plain[np.isfinite(factors.plain)])
        nothing = np.flatnonzero(factors.reason == NO_STRENGTH)
        if len(nothing):
            k = nothing[0]
            place = f"({self.sign * x[k]:.2f}, {y[k]:.2f}) and radius {y[k] - tangent[k]:.2f}"
            message = (
                f"{len(nothing)} of {len(x)} slip circles have no strength at all, so that their factor is 0, one of "
                f"them with its centre at {place}: the ground there needs a strength, or the search a least depth or "
                "ranges that leave it out"
            )
            raise SlipError(message)
        return factors.factor

    def ends(self, x: Floats, y: Floats, r: Floats) -> Ends:
        """Ends of the stretch that decides, of circles that have been looked at."""
        factors = self.goal(x, y, r)
        return Ends(factors.left, factors.right)


@dataclass(frozen=True)
class _Grid:
    """Values of centre x, centre y and tangent level, and the goal at each (x, y, tangent)."""

    axes: tuple[Floats, Floats, Floats]
    value: Floats

    def best(self) -> tuple[int, ...]:
        """Index of the least value."""
        return tuple(int(index) for index in np.unravel_index(np.nanargmin(self.value), self.value.shape))


def search_circles(ground: Ground, search: Search, goal: Goal, sign: float = 1.0) -> tuple[Circle, Record]:
    """The circle with the least goal and the record of the search.

    ``SlipError`` where no circle is admissible, or one has no strength; ``sign`` is −1 where the model was mirrored.
    """
    tally = _Tally(goal, sign)
    ranges, floor = ranges_of(ground, search)
    even = [np.linspace(*limits, number) for limits, number in zip(ranges, search.counts, strict=True)]
    changes = changes_of(ground)
    axes = (even[0], even[1], with_levels(even[2], changes))
    grid = _evaluate_grid(tally, axes)
    extended = 0
    edges = _edges(grid, floor)
    # About the number of circles of the grid when it has been widened at these edges.
    while edges and extended < search.extend and grid.value.size * 1.5 ** len(edges) <= MOST:
        for axis, side in edges:
            grid = _widen(tally, grid, axis, side, floor)
        extended += 1
        edges = _edges(grid, floor)
    if np.isnan(grid.value).all():
        message = f"no admissible slip circle among {tally.tried}: rejected {tally.rejected}"
        raise SlipError(message)
    x, y, tangent = (float(values[place]) for values, place in zip(grid.axes, grid.best(), strict=True))
    if search.refine:
        spacing = np.array([np.diff(values).max() for values in grid.axes])
        slope = slope_of(ground.model.surface)
        depth = Depth.below(slope, search.min_depth)
        ways = Ways(ground, depth, floor, changes, tally.ends, slope.height)
        # A finer grid has more valleys to follow.
        most = max(len(grid.axes[2]) // 2, 2)
        x, y, tangent = refine_circle(tally.look, _seeds(grid, search.seeds), spacing, ways, most, search.close)
    with np.errstate(all="ignore"):
        least = np.where(np.isnan(grid.value).all(axis=2), np.nan, np.nanmin(inf_for_nan(grid.value), axis=2))
    contours = Contours(grid.axes[0], grid.axes[1], least.T)
    named = tuple(SIDES[axis][side] for axis, side in edges)
    return Circle(x, y, y - tangent), Record(
        tally.tried, tally.rejected, contours, extended, named, np.concatenate(tally.plain)
    )


def ranges_of(ground: Ground, search: Search) -> tuple[list[Range], float]:
    """Ranges of centre x, centre y and tangent level, chosen by the slope where they are left out; the lowest level."""
    slope = slope_of(ground.model.surface)
    foot = slope.toe[1]
    size, across, up = slope.size, *slope.centres
    floor = ground.model.bottom
    if ground.model.hard is not None:
        hard = min(y for _, y in ground.model.hard)
        # A circle that may follow the hard layer may reach below it.
        floor = hard - size if ground.model.truncate else hard
    chosen = [
        search.centre_x or across,
        search.centre_y or up,
        search.tangent or (max(floor, foot - 2 * size), foot + 0.5 * slope.height),
    ]
    for name, (first, last) in zip(("centre_x", "centre_y", "tangent"), chosen, strict=True):
        if not first < last:
            message = f"search.{name} must be a range from low to high (got {first:g} to {last:g})"
            raise SlipError(message)
    if min(search.counts) < 2:
        message = f"search.counts must be at least 2 each (got {search.counts})"
        raise SlipError(message)
    return chosen, min(floor, chosen[2][0])


def changes_of(ground: Ground) -> Floats:
    """The levels of reinforcement, of level boundaries from the top down, and of the bottom."""
    flat = [line.left[line.slope == 0] for line in (*ground.tops, *([ground.hard] if ground.hard else []))]
    layers = [mat.level for mat in ground.model.reinforcement]
    return np.array([*layers, *np.unique(np.concatenate(flat))[::-1], ground.model.bottom])


def with_levels(levels: Floats, changes: Floats) -> Floats:
    """The levels with those at which something changes, which are known to end valleys in a step or a bend.

    A level that is near takes the place of one that is not, so that the grid hardly grows.
    """
    spacing = levels[1] - levels[0]
    free, kept = [*levels[1:-1]], [levels[0], levels[-1]]
    for level in changes:
        if not levels[0] < level < levels[-1] or min(abs(level - other) for other in kept) < NEAR * spacing:
            continue
        kept.append(level)
        near = min(free, key=lambda other: abs(other - level), default=np.inf)
        if abs(near - level) < spacing / 2:
            free.remove(near)
    return np.array(sorted([*free, *kept]))


def _evaluate_grid(tally: _Tally, axes: tuple[Floats, ...]) -> _Grid:
    places = np.meshgrid(*axes, indexing="ij")
    x, y, tangent = (place.ravel() for place in places)
    return _Grid((axes[0], axes[1], axes[2]), tally.look(x, y, tangent).reshape(places[0].shape))


def _widen(tally: _Tally, grid: _Grid, axis: int, side: int, floor: float) -> _Grid:
    """The grid with half as many values more at one end of an axis, at the same spacing; only those are looked at."""
    old = grid.axes[axis]
    spacing = np.diff(old).max()
    steps = spacing * np.arange(1, (len(old) + 1) // 2 + 1)
    new = old[-1] + steps if side else old[0] - steps[::-1]
    if axis == 2:
        new = np.unique(np.maximum(new, floor))
    added = _evaluate_grid(tally, tuple(new if place == axis else values for place, values in enumerate(grid.axes)))
    first, second = (grid, added) if side else (added, grid)
    axes = [*grid.axes]
    axes[axis] = np.concatenate([first.axes[axis], second.axes[axis]])
    return _Grid((axes[0], axes[1], axes[2]), np.concatenate([first.value, second.value], axis=axis))


def _edges(grid: _Grid, floor: float) -> list[tuple[int, int]]:
    """Axis and side of every edge on which the least value lies; the lowest level possible is no edge."""
    if np.isnan(grid.value).all():
        return [(axis, side) for axis in range(3) for side in range(2)]
    edges = []
    for axis, place in enumerate(grid.best()):
        values = grid.axes[axis]
        if place == 0 and not (axis == 2 and values[0] <= floor):
            edges.append((axis, 0))
        if place == len(values) - 1:
            edges.append((axis, 1))
    return edges


def _seeds(grid: _Grid, count: int) -> Floats:
    """So many lowest local minima of the grid and the best centre of every level; (3, seeds).

    A shallow valley may lie above a deep one: minima over the centres alone would not see it.
    """
    value = inf_for_nan(grid.value)
    padded = np.pad(value, 1, constant_values=np.inf)
    size = value.shape
    around = np.full(size, np.inf)
    for shift in np.ndindex(3, 3, 3):
        part = padded[tuple(slice(k, k + n) for k, n in zip(shift, size, strict=True))]
        around = np.minimum(around, part)
    lowest = np.argwhere((value <= around) & np.isfinite(value))
    lowest = lowest[np.argsort(value[tuple(lowest.T)], kind="stable")[:count]]
    levels = np.arange(size[2])
    flat = value.reshape(-1, size[2])
    best = flat.argmin(axis=0)
    lowest_by_level = np.array([*np.unravel_index(best, size[:2]), levels]).T[np.isfinite(flat[best, levels])]
    index = np.unique(np.vstack([lowest, lowest_by_level]), axis=0).T
    return np.array([values[k] for values, k in zip(grid.axes, index, strict=True)])
