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
    leaving = np.where(entering | (meets < start), np.inf, meets).min(axis=0)
    right = np.where(reached, right, np.where(np.isfinite(leaving), leaving, np.nan))
    return Ends(start, np.where(np.isnan(start), np.nan, right))


def breaks_of(ground: Ground, x: Floats, y: Floats, r: Floats) -> Floats:
    """Places (any, circles) at which the ground on or over the arc changes by a jump or a bend; inf for none.

    They are the places between the strips, the meetings with boundaries and the ends of the columns.
    """
    found = [np.broadcast_to(place, x.shape) for place in ground.x[1:-1]]
    lines = [*ground.tops[1:], *([ground.hard] if ground.hard else [])]
    if ground.model.columns is not None:
        lines += [ground.level_line(level) for level in (ground.model.columns.y_top, ground.model.columns.y_toe)]
    for line in lines:
        places = _roots(ground, line, x, y, r)[0]
        found += list(places[np.isfinite(places).any(axis=1)])
    return np.array(found) if found else np.full((1, len(x)), np.inf)


def _roots(ground: Ground, line: Straight, x: Floats, y: Floats, r: Floats) -> tuple[Floats, Floats, Floats, Floats]:
    """Places (roots, circles) at which the lower half meets the line, inf for none; distance, depth, slope there."""
    if line.level is not None:
        with np.errstate(invalid="ignore"):
            half = np.sqrt(r * r - (line.level - y) ** 2)
        t = np.array([-half, half])
        down = np.broadcast_to(y - line.level, t.shape)
        good = (down > 0) & (t == t)  # noqa: PLR0124 - not a number where the circle does not reach the level
        return np.where(good, x + t, np.inf), t, down, np.zeros((2, 1))
    begin, slope = ground.x[:-1, None], line.slope[:, None]
    # Height of the line over the centre: a + slope t with t the distance from the centre.
    a = line.left[:, None] + slope * (x - begin) - y
    square = 1 + slope * slope
    with np.errstate(invalid="ignore"):
        root = np.sqrt(square * (r * r) - a * a)
    slope, begin, end = (np.concatenate([one, one]) for one in (slope, begin, ground.x[1:, None]))
    t = np.concatenate([-root, root])
    a = np.concatenate([a, a])
    t = (t - slope * a) / np.concatenate([square, square])
    place, down = x + t, -(a + slope * t)
    inside = (place >= begin) & (place < end) & (down > 0)
    return np.where(inside, place, np.inf), t, down, slope


def _meetings(ground: Ground, line: Straight, x: Floats, y: Floats, r: Floats) -> tuple[Floats, Bools]:
    """Places (roots, circles) at which the lower half meets the line, in order, and whether it goes under it."""
    place, t, down, slope = _roots(ground, line, x, y, r)
    some = np.flatnonzero(np.isfinite(place).any(axis=1))
    if len(some) < 2:
        return np.full((2, len(x)), np.inf), np.zeros((2, len(x)), dtype=np.bool_)
    entering = slope * down - t > 0
    place, entering = place[some], entering[some]
    order = np.argsort(place, axis=0)
    return np.take_along_axis(place, order, axis=0), np.take_along_axis(entering, order, axis=0)


def _widest(place: Floats, entering: Bools) -> tuple[Floats, Floats]:
    """Of the pairs of neighbouring meetings between which the circle is below the line, the one farthest apart."""
    pair = entering[:-1] & ~entering[1:] & np.isfinite(place[1:])
    with np.errstate(invalid="ignore"):
        width = np.where(pair, place[1:] - place[:-1], -1.0)
    best, lane = width.argmax(axis=0), np.arange(place.shape[1])
    found = width[best, lane] > 0
    return np.where(found, place[best, lane], np.nan), np.where(found, place[best + 1, lane], np.nan)
