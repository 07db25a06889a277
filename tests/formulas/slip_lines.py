"""Slip lines under a smooth strip on undrained ground whose strength grows with depth, written for the tests alone.

Unit strength at the top, no weight, no load beside the strip. p is the mean stress, psi the direction of the larger
principal stress from the horizontal, z the depth. Along the lines that fall to the left dp - 2 c dpsi = -rho dx, along
those of the other family dp + 2 c dpsi = rho dx. A line begins on the free surface (psi = 0), crosses the fan at the
edge of the strip and ends under it (psi = 90 degrees).
"""

from itertools import pairwise
from math import pi, tan
from typing import NamedTuple


class Point(NamedTuple):
    """A point of the net and the state of stress there."""

    x: float
    z: float
    p: float
    psi: float


def _strength(rho: float, *points: Point) -> float:
    return 1 + rho * sum(point.z for point in points) / len(points)


def _crossing(falling: Point, rising: Point, rho: float) -> Point:
    """Where the line of the first family through ``falling`` meets that of the second through ``rising``."""
    new = Point((falling.x + rising.x) / 2, (falling.z + rising.z) / 2, (falling.p + rising.p) / 2, rising.psi)
    for _ in range(8):
        a, b = (falling.psi + new.psi) / 2 - pi / 4, (rising.psi + new.psi) / 2 + pi / 4
        # The second family turns through the vertical, so x is found from its slope against the vertical.
        z = (rising.x - falling.x - rising.z / tan(b) + falling.z / tan(a)) / (1 / tan(a) - 1 / tan(b))
        x = rising.x + (z - rising.z) / tan(b)
        c_a, c_b = _strength(rho, falling, new), _strength(rho, rising, new)
        left = falling.p - 2 * c_a * falling.psi - rho * (x - falling.x)
        right = rising.p + 2 * c_b * rising.psi + rho * (x - rising.x)
        psi = (right - left) / (2 * (c_a + c_b))
        new = Point(x, z, left + 2 * c_a * psi, psi)
    return new


def _under_the_strip(falling: Point, rho: float) -> Point:
    """Where the line reaches the smooth base."""
    slope = (falling.psi + pi / 2) / 2 - pi / 4
    x = falling.x - falling.z / tan(slope)
    c = (_strength(rho, falling) + 1) / 2
    return Point(x, 0.0, falling.p + 2 * c * (pi / 2 - falling.psi) - rho * (x - falling.x), pi / 2)


def strip(rho: float, lines: int) -> tuple[float, float]:
    """Width of the strip and its mean pressure, for lines that start within a unit length of the free surface."""
    edge = Point(0.0, 0.0, 1.0, 0.0)
    fan = [edge._replace(p=1 + 2 * psi, psi=psi) for psi in (pi / 2 * k / lines for k in range(lines + 1))]
    last, base = fan, [fan[-1]]
    for i in range(1, lines + 1):
        line = [Point(i / lines, 0.0, 1.0, 0.0)]
        for rising in last:
            line.append(_crossing(line[-1], rising, rho))
        base.append(_under_the_strip(line[-1], rho))
        last = [*line, base[-1]]
    load = sum((one.x - two.x) * (one.p + two.p + 2) / 2 for one, two in pairwise(base))
    half = -base[-1].x
    return 2 * half, load / half
