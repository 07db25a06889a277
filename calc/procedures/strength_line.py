"""A straight line on the safe side of undrained strengths that are given layer by layer."""

from collections.abc import Sequence
from dataclasses import dataclass
from itertools import pairwise

from calc.procedures.failures import ProcedureError

LITTLE = 0.4  # strength at the top over that of the next line above, below which that one counts (project rule)
LEVEL = 0.2  # strength at the top over the least strength, below which the level line counts (project rule)
METHOD = (
    "straight line below all strengths that has the largest mean over the depth, or the next one above where it has "
    f"less than {LITTLE:g} of its strength at the top; level where it would rise upward or have less than {LEVEL:g} of "
    "the least strength there (project rules)"
)


@dataclass(frozen=True, slots=True)
class StrengthLine:
    """Strength at the top in kPa, growth with depth in kPa/m (never negative), least strength given in kPa."""

    top: float
    growth: float
    least: float


def line_below(depths: Sequence[float], strengths: Sequence[float]) -> StrengthLine:
    """The line below all points (depth in m in ascending order from 0, strength in kPa; the same depth may come twice).

    Every line below all points is on the safe side. It is the side of the lower convex hull at half the depth, which
    among all these lines has the largest mean. A strong layer below makes it steep, and a mechanism near the top finds
    little strength there: where the side above it has more than ``1 / LITTLE`` times as much at the top and does not
    fall with depth, that one is taken, and so on upward. Where the line falls with depth, or has less than ``LEVEL``
    times the least strength at the top, it is level at the least strength.
    ``ProcedureError`` for strengths that are not above zero or for a depth of nothing.
    """
    least = min(strengths)
    if least <= 0 or depths[-1] <= depths[0]:
        message = "line of undrained strength: strengths and thickness must be above zero"
        raise ProcedureError(message)
    hull = _lower_hull(sorted(zip(depths, strengths, strict=True)))
    sides = [_side(first, second, least) for first, second in pairwise(hull)]
    place = next(k for k, (_, below) in enumerate(pairwise(hull)) if below[0] >= depths[-1] / 2)
    while place and sides[place].top < LITTLE * sides[place - 1].top and sides[place - 1].growth >= 0:
        place -= 1
    line = sides[place]
    return line if line.growth >= 0 and line.top >= LEVEL * least else StrengthLine(least, 0.0, least)


def _side(first: tuple[float, float], second: tuple[float, float], least: float) -> StrengthLine:
    growth = (second[1] - first[1]) / (second[0] - first[0])
    return StrengthLine(first[1] - growth * first[0], growth, least)


def _lower_hull(points: Sequence[tuple[float, float]]) -> list[tuple[float, float]]:
    """Lower convex hull of points sorted by depth, then strength; of points at one depth the weakest counts."""
    hull: list[tuple[float, float]] = []
    for z, c in points:
        if hull and hull[-1][0] == z:
            continue
        while len(hull) > 1 and _is_above(hull[-2], hull[-1], (z, c)):
            hull.pop()
        hull.append((z, c))
    return hull


def _is_above(first: tuple[float, float], middle: tuple[float, float], last: tuple[float, float]) -> bool:
    """Whether the middle point lies on or above the straight line between the other two."""
    rise = (last[1] - first[1]) * (middle[0] - first[0]) / (last[0] - first[0])
    return middle[1] >= first[1] + rise
