"""Where circles enter and leave the ground, for any number of circles; the mass slides to the right."""

from collections.abc import Sequence
from dataclasses import dataclass, replace
from functools import lru_cache
from itertools import pairwise

import numpy as np
from numpy.typing import NDArray

from calc.procedures.slip.ground import Floats, Ground, Straight

Bools = NDArray[np.bool_]
STRAIGHT = 1e-12  # difference of slopes that is rounding
KEPT = 8  # cross-sections whose pieces are kept: a search asks for them again and again


@dataclass(frozen=True)
class Pieces:
    """Straight pieces (pieces, 1): height at x = 0, continued, slope, and from where to where."""

    origin: Floats
    slope: Floats
    begin: Floats
    end: Floats


@dataclass(frozen=True)
class Ends:
    """Upper end (left) and lower end (right) of each circle's slip line; NaN where it has none."""

    left: Floats
    right: Floats


def ends_of(ground: Ground, x: Floats, y: Floats, r: Floats) -> Ends:
    """The widest stretch over which the lower half of each circle lies below the ground, the crack cut off above."""
    left, right = _widest(*_meetings(_surface(ground), x, y, r))
    if ground.model.crack is None:
        return Ends(left, right)
    # The slip line begins at the bottom of the crack, a line parallel to the surface.
    depth = ground.model.crack.depth
    lowered = replace(ground.surface, left=ground.surface.left - depth)
    start, stop = _widest(*_meetings(_pieces(ground, [lowered]), x, y, r))
    reached = (start < right) & (right >= stop)
    meets, entering = _meetings(_surface(ground), x, y, r)
    leaving = np.where(entering | (meets < start), np.inf, meets).min(axis=0)
    right = np.where(reached, right, np.where(np.isfinite(leaving), leaving, np.nan))
    return Ends(start, np.where(np.isnan(start), np.nan, right))


def breaks_of(ground: Ground, x: Floats, y: Floats, r: Floats) -> Floats:
    """Places (any, circles) at which the ground on or over the arc changes by a jump or a bend; inf for none.

    They are the places between the strips, the meetings with boundaries and the ends of the columns.
    """
    inner = np.broadcast_to(ground.x[1:-1, None], (len(ground.x) - 2, len(x)))
    return np.concatenate([inner, _roots(_bends(ground), x, y, r)[0]])


def _pieces(ground: Ground, lines: Sequence[Straight]) -> Pieces:
    """The pieces of lines, those of neighbouring strips joined where they go on straight, alike ones once."""
    found: dict[tuple[float, float, float], float] = {}
    for line in lines:
        end = line.left + line.slope * np.diff(ground.x)
        bends = np.abs(line.left[1:] - end[:-1]) > ground.slack
        bends |= np.abs(np.diff(line.slope)) > STRAIGHT
        first = [0, *(np.flatnonzero(bends) + 1)]
        for begin, stop in pairwise([*first, len(line.left)]):
            key = (float(line.origin[begin]), float(line.slope[begin]), float(ground.x[begin]))
            found[key] = max(found.get(key, -np.inf), float(ground.x[stop]))
    origin, slope, begin, end = np.array([(*key, last) for key, last in found.items()]).reshape(-1, 4).T[:, :, None]
    return Pieces(origin, slope, begin, end)


@lru_cache(maxsize=KEPT)
def _surface(ground: Ground) -> Pieces:
    """The pieces of the surface."""
    return _pieces(ground, [ground.surface])


@lru_cache(maxsize=KEPT)
def _bends(ground: Ground) -> Pieces:
    """The pieces of all lines at which the base of a slip line changes."""
    lines = [*ground.tops[1:], *([ground.hard] if ground.hard else [])]
    columns = ground.model.columns
    lines += [ground.level_line(level) for level in (columns.y_top, columns.y_toe)] if columns else []
    return _pieces(ground, lines)


def _roots(line: Pieces, x: Floats, y: Floats, r: Floats) -> tuple[Floats, Floats, Floats, Floats]:
    """Places (roots, circles) at which the lower half meets the pieces, inf for none; distance, depth, slope there."""
    slope = line.slope
    # Height of the line over the centre: a + slope t with t the distance from the centre.
    a = line.origin + slope * x - y
    square = 1 + slope * slope
    with np.errstate(invalid="ignore"):
        root = np.sqrt(square * (r * r) - a * a)
    middle = -slope * a
    t = np.concatenate([(middle - root) / square, (middle + root) / square])
    slope, begin, end, a = (np.concatenate([one, one]) for one in (slope, line.begin, line.end, a))
    place, down = x + t, -(a + slope * t)
    inside = (place >= begin) & (place < end) & (down > 0)
    return np.where(inside, place, np.inf), t, down, slope


def _meetings(line: Pieces, x: Floats, y: Floats, r: Floats) -> tuple[Floats, Bools]:
    """Places (roots, circles) at which the lower half meets the line, in order, and whether it goes under it."""
    place, t, down, slope = _roots(line, x, y, r)
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
