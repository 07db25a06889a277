"""Where circles enter and leave the ground, for any number of circles; the mass slides to the right."""

from collections.abc import Sequence
from dataclasses import dataclass, replace
from functools import lru_cache
from itertools import pairwise
from typing import Any

import numpy as np

from calc.procedures.slip.vertical_strips import Floats, Ground, Straight

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
    """Upper end (left) and lower end (right) of slip lines; NaN where there is none."""

    left: Floats
    right: Floats

    def at(self, chosen: Any) -> "Ends":
        """Some of the ends."""
        return Ends(self.left[chosen], self.right[chosen])


def ends_of(ground: Ground, x: Floats, y: Floats, r: Floats) -> Ends:
    """Every stretch (stretches, circles) over which the lower half of a circle lies below the ground.

    A steep slope slides on a stretch that ends at its toe, though the circle goes on falling below the foot: the widest
    stretch is not always the one that slides. A crack cuts the stretches off above.
    """
    whole = _stretches(ground, 0.0, x, y, r)
    if ground.model.crack is None:
        return whole
    # The slip line begins at the bottom of the crack, a line parallel to the surface.
    start = _stretches(ground, ground.model.crack.depth, x, y, r).left
    with np.errstate(invalid="ignore"):
        over = (whole.left[:, None] <= start) & (start < whole.right[:, None])
    right = np.where(over, whole.right[:, None], np.inf).min(axis=0, initial=np.inf)
    return Ends(np.where(np.isfinite(right), start, np.nan), np.where(np.isfinite(right), right, np.nan))


def _stretches(ground: Ground, depth: float, x: Floats, y: Floats, r: Floats) -> Ends:
    """The stretches below a line parallel to the surface, between neighbouring meetings with it."""
    place = _meetings(ground, depth, x, y, r)
    if len(place) < 2:
        return Ends(*np.full((2, 1, len(x)), np.nan))
    left, right = place[:-1], place[1:]
    with np.errstate(invalid="ignore"):
        middle = (left + right) / 2
        level = y - np.sqrt(r * r - (middle - x) ** 2)
        good = (right - left > ground.slack) & (level < np.interp(middle, *_corners(ground)) - depth)
    return Ends(np.where(good, left, np.nan), np.where(good, right, np.nan))


def _corners(ground: Ground) -> tuple[Floats, Floats]:
    places, levels = np.array(ground.model.surface).T
    return places, levels


def breaks_of(ground: Ground, x: Floats, y: Floats, r: Floats) -> Floats:
    """Places (any, circles) at which the ground on or over the arc changes by a jump or a bend; inf for none.

    They are the places between the strips, the meetings with boundaries and the ends of the columns.
    """
    inner = np.broadcast_to(ground.x[1:-1, None], (len(ground.x) - 2, len(x)))
    return np.concatenate([inner, _roots(_bends(ground), x, y, r)])


def breaks_of_line(ground: Ground, x: Floats, y: Floats, slope: Floats) -> Floats:
    """The same places (any, lines) for straight lines through ``x``, ``y``; inf or NaN for none."""
    inner = np.broadcast_to(ground.x[1:-1, None], (len(ground.x) - 2, len(x)))
    line = _bends(ground)
    place = (y - slope * x - line.origin) / (line.slope - slope)
    return np.concatenate([inner, np.where((place >= line.begin) & (place < line.end), place, np.inf)])


def _pieces(ground: Ground, lines: Sequence[Straight]) -> Pieces:
    """The pieces of lines, those of neighbouring strips joined where they go on straight, alike ones once."""
    ends: dict[tuple[float, float, float], float] = {}
    for line in lines:
        end = line.left + line.slope * np.diff(ground.x)
        bends = np.abs(line.left[1:] - end[:-1]) > ground.slack
        bends |= np.abs(np.diff(line.slope)) > STRAIGHT
        first = [0, *(np.flatnonzero(bends) + 1)]
        for begin, stop in pairwise([*first, len(line.left)]):
            key = (float(line.origin[begin]), float(line.slope[begin]), float(ground.x[begin]))
            ends[key] = max(ends.get(key, -np.inf), float(ground.x[stop]))
    origin, slope, begin, end = np.array([(*key, last) for key, last in ends.items()]).reshape(-1, 4).T[:, :, None]
    return Pieces(origin, slope, begin, end)


@lru_cache(maxsize=KEPT)
def _surface(ground: Ground, depth: float) -> Pieces:
    """The pieces of the surface, or of a line parallel to it."""
    return _pieces(ground, [replace(ground.surface, left=ground.surface.left - depth)])


@lru_cache(maxsize=KEPT)
def _bends(ground: Ground) -> Pieces:
    """The pieces of all lines at which the base of a slip line changes."""
    lines = [*ground.tops[1:], *([ground.hard] if ground.hard else [])]
    columns = ground.model.columns
    lines += [ground.level_line(columns.y_top), ground.toes or ground.level_line(columns.y_toe)] if columns else []
    return _pieces(ground, lines)


def _roots(line: Pieces, x: Floats, y: Floats, r: Floats) -> Floats:
    """Places (roots, circles) at which the lower half meets the pieces, inf for none."""
    slope = line.slope
    # Height of the line over the centre: a + slope t with t the distance from the centre.
    a = line.origin + slope * x - y
    square = 1 + slope * slope
    with np.errstate(invalid="ignore"):
        root = np.sqrt(square * (r * r) - a * a)
    middle = -slope * a
    t = np.concatenate([(middle - root) / square, (middle + root) / square])
    slope, begin, end, a = (np.concatenate([values, values]) for values in (slope, line.begin, line.end, a))
    place = x + t
    inside = (place >= begin) & (place < end) & (a + slope * t < 0)
    return np.where(inside, place, np.inf)


def _meetings(ground: Ground, depth: float, x: Floats, y: Floats, r: Floats) -> Floats:
    """Places (meetings, circles) at which the lower half meets the line, in order, inf for none.

    A corner that a circle passes through by less than a rounding error is a meeting of its own: those with the pieces
    beside it may be lost or found twice.
    """
    place = _roots(_surface(ground, depth), x, y, r)
    across, up = (corner[:, None] for corner in _corners(ground))
    up = up - depth
    touched = (np.abs(np.hypot(across - x, up - y) - r) < ground.slack) & (up < y)
    place = np.concatenate([place, np.where(touched, across, np.inf)])
    return np.sort(place[np.isfinite(place).any(axis=1)], axis=0)
