"""A straight line on the safe side of undrained strengths that are given layer by layer."""

from collections.abc import Sequence
from dataclasses import dataclass
from itertools import pairwise

from calc.procedures.failures import ProcedureError

METHOD = "straight line below all strengths that has the largest mean over the depth; level where it would rise upward"


@dataclass(frozen=True, slots=True)
class StrengthLine:
    """Strength at the top in kPa, growth with depth in kPa/m (never negative), least strength given in kPa."""

    top: float
    growth: float
    least: float


def line_below(depths: Sequence[float], strengths: Sequence[float]) -> StrengthLine:
    """The line below all points (depth in m in ascending order from 0, strength in kPa; the same depth may come twice).

    It is the side of the lower convex hull at half the depth, which among all lines below the points has the largest
    mean. Where that line falls with depth, or would have no strength at the top, it is level at the least strength.
    ``ProcedureError`` for strengths that are not above zero or for a depth of nothing.
    """
    least = min(strengths)
    if least <= 0 or depths[-1] <= depths[0]:
        message = "line of undrained strength: strengths and thickness must be above zero"
        raise ProcedureError(message)
    hull = _lower_hull(sorted(zip(depths, strengths, strict=True)))
    middle = depths[-1] / 2
    (z1, c1), (z2, c2) = next(side for side in pairwise(hull) if side[1][0] >= middle)
    growth = (c2 - c1) / (z2 - z1)
    top = c1 - growth * z1
    return StrengthLine(top, growth, least) if growth >= 0 and top > 0 else StrengthLine(least, 0.0, least)


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
