"""Where circles enter and leave the ground, for any number of circles; the mass slides to the right."""

from dataclasses import dataclass, replace

import numpy as np
from numpy.typing import NDArray

from calc.procedures.slip.ground import Floats, Ground, Straight

Bools = NDArray[np.bool_]


@dataclass(frozen=True)
class Ends:
    """Upper end (left) and lower end (right) of each circle's slip line; NaN where it has none."""

    left: Floats
    right: Floats


def ends_of(ground: Ground, x: Floats, y: Floats, r: Floats) -> Ends:
    """The widest stretch over which the lower half of each circle lies below the ground, the crack cut off above."""
    left, right = _widest(*_meetings(ground, ground.surface, x, y, r))
    if ground.model.crack is None:
        return Ends(left, right)
    # The slip line begins at the bottom of the crack, a line parallel to the surface.
    depth = ground.model.crack.depth
    lowered = replace(ground.surface, left=ground.surface.left - depth)
    start, stop = _widest(*_meetings(ground, lowered, x, y, r))
    reached = (start < right) & (right >= stop)
    meets, entering = _meetings(ground, ground.surface, x, y, r)
    leaving = np.where(entering | (meets < start[:, None]), np.inf, meets).min(axis=1)
    right = np.where(reached, right, np.where(np.isfinite(leaving), leaving, np.nan))
    return Ends(start, np.where(np.isnan(start), np.nan, right))


def breaks_of(ground: Ground, x: Floats, y: Floats, r: Floats) -> Floats:
    """Places (any, circles) at which the ground on or over the arc changes by a jump or a bend; inf for none.

    They are the places between the strips, the meetings with boundaries and the ends of the columns.
    """
    found = [np.broadcast_to(place, x.shape) for place in ground.x[1:-1]]
    lines = [*ground.tops[1:]]
    if ground.model.columns is not None:
        lines += [ground.level_line(level) for level in (ground.model.columns.y_top, ground.model.columns.y_toe)]
    for line in lines:
        meets, _ = _meetings(ground, line, x, y, r)
        found += [column for column in meets.T if np.isfinite(column).any()]
    return np.array(found) if found else np.full((1, len(x)), np.inf)


def _meetings(ground: Ground, line: Straight, x: Floats, y: Floats, r: Floats) -> tuple[Floats, Bools]:
    """Places (circles, 2 strips) at which the lower half meets the line, in order, and whether it goes under it."""
    begin, slope = ground.x[:-1], line.slope
    # Height of the line over the centre: a + slope t with t the distance from the centre.
    a = line.left + slope * (x[:, None] - begin) - y[:, None]
    square = 1 + slope**2
    with np.errstate(invalid="ignore"):
        root = np.sqrt(square * r[:, None] ** 2 - a**2)
    t = np.concatenate([(-slope * a - root) / square, (-slope * a + root) / square], axis=1)
    a, slope = np.tile(a, 2), np.tile(slope, 2)
    place = x[:, None] + t
    down = -(a + slope * t)  # depth below the centre
    inside = (place >= np.tile(begin, 2)) & (place < np.tile(ground.x[1:], 2)) & (down > 0)
    entering = slope * down - t > 0
    place = np.where(inside, place, np.inf)
    order = np.argsort(place, axis=1)
    return np.take_along_axis(place, order, axis=1), np.take_along_axis(entering, order, axis=1)


def _widest(place: Floats, entering: Bools) -> tuple[Floats, Floats]:
    """Of the pairs of neighbouring meetings between which the circle is below the line, the one farthest apart."""
    pair = entering[:, :-1] & ~entering[:, 1:] & np.isfinite(place[:, 1:])
    with np.errstate(invalid="ignore"):
        width = np.where(pair, place[:, 1:] - place[:, :-1], -1.0)
    best = width.argmax(axis=1)[:, None]
    found = np.take_along_axis(width, best, axis=1)[:, 0] > 0
    left = np.take_along_axis(place[:, :-1], best, axis=1)[:, 0]
    right = np.take_along_axis(place[:, 1:], best, axis=1)[:, 0]
    return np.where(found, left, np.nan), np.where(found, right, np.nan)
