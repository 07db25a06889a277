"""Simplified Bishop in plain Python, one slice after the other: an independent check and the measure of the speed.

Two layers, one water table with vertical heads, drained soils, a slope that falls to the right. It does what the
program does for this case: the same faces at jumps and bends, the same guards, Bishop to 1e-6.
"""

from bisect import bisect_right
from dataclasses import dataclass
from itertools import pairwise
from math import asin, cos, isfinite, nan, sin, sqrt, tan

Line = tuple[tuple[float, float], ...]

GAMMA_W = 9.81


@dataclass(frozen=True)
class Ground:
    """Surface, top of the second layer, water table; by layer unit weights moist and saturated, cohesion and angle."""

    surface: Line
    second: Line
    table: Line
    gamma: tuple[float, float]
    gamma_sat: tuple[float, float]
    c: tuple[float, float]
    phi: tuple[float, float]
    bottom: float


def height(line: Line, x: float) -> float:
    """Height of a line at one place."""
    places = [point[0] for point in line]
    index = min(max(bisect_right(places, x) - 1, 0), len(line) - 2)
    (x0, y0), (x1, y1) = line[index], line[index + 1]
    return y0 + (y1 - y0) * (x - x0) / (x1 - x0)


def meetings(line: Line, x: float, y: float, r: float) -> list[tuple[float, bool]]:
    """Places at which the lower half of a circle meets a line, in order, and whether it goes below the line there."""
    found = []
    for (x0, y0), (x1, y1) in pairwise(line):
        slope = (y1 - y0) / (x1 - x0)
        a = y0 + slope * (x - x0) - y
        under = (1 + slope * slope) * r * r - a * a
        if under < 0:
            continue
        for sign in (-1, 1):
            t = (-slope * a + sign * sqrt(under)) / (1 + slope * slope)
            down = -(a + slope * t)
            if x0 <= x + t < x1 and down > 0:
                found.append((x + t, slope * down - t > 0))
    return sorted(found)


def widest(found: list[tuple[float, bool]]) -> tuple[float, float] | None:
    """The widest stretch below the line."""
    best = None
    for (left, enters), (right, again) in pairwise(found):
        if enters and not again and (best is None or right - left > best[1] - best[0]):
            best = left, right
    return best


def faces(ground: Ground, x: float, y: float, r: float, ends: tuple[float, float], count: int) -> list[float]:
    """Angles of the faces: equal arcs, the nearest face moved to each jump or bend."""
    first, last = asin((x - ends[0]) / r), asin((x - ends[1]) / r)
    arc = (last - first) / count
    made = [first + index * arc for index in range(count + 1)]
    lines = (ground.surface, ground.second, ground.table)
    breaks = sorted({point[0] for line in lines for point in line[1:-1]})
    breaks += [place for place, _ in meetings(ground.second, x, y, r)]
    for place in breaks:
        if abs(x - place) < r:
            steps = (asin((x - place) / r) - first) / arc
            if 1e-6 < steps < count - 1e-6:
                made[min(max(round(steps), 1), count - 1)] = first + steps * arc
    return made


def slices(ground: Ground, x: float, y: float, r: float, ends: tuple[float, float], count: int) -> list[list[float]]:
    """Weight, cohesion times width, effective weight times tangent, sine, cosine and tangent of each slice."""
    made = []
    edges = faces(ground, x, y, r, ends, count)
    for left, right in pairwise(edges):
        angle = (left + right) / 2
        sine, cosine = sin(angle), cos(angle)
        b = 2 * r * cosine * sin((left - right) / 2)
        place, base = x - r * sine, y - r * cosine
        top, second, table = (height(line, place) for line in (ground.surface, ground.second, ground.table))
        stress, upper = 0.0, top
        for layer, boundary in enumerate((second, base)):
            lower = max(boundary, base)
            wet = max(min(upper, table) - max(lower, min(table, lower)), 0.0)
            stress += ground.gamma[layer] * (upper - lower) + (ground.gamma_sat[layer] - ground.gamma[layer]) * wet
            upper = lower
        u = GAMMA_W * max(table - base, 0.0)
        soil = 0 if base >= second else 1
        c, tangent = ground.c[soil], tan(ground.phi[soil])
        strength = (c + (stress - u) * tangent) * b
        if c <= 0:
            strength = max(strength, 0.0)
        made.append([stress * b, strength, sine, cosine, tangent])
    return made


def bishop(ground: Ground, x: float, y: float, r: float, count: int) -> float:
    """Factor of one circle, NaN where it is rejected."""
    ends = widest(meetings(ground.surface, x, y, r))
    if ends is None or y - r < ground.bottom:
        return nan
    cut = slices(ground, x, y, r, ends, count)
    driving = sum(weight * sine for weight, _, sine, _, _ in cut)
    if driving <= 0:
        return nan
    F = 1.0
    for _ in range(100):
        resisting = 0.0
        for _, strength, sine, cosine, tangent in cut:
            resisting += strength / max(cosine + sine * tangent / F, 0.02)
        new = resisting / driving
        change, F = abs(new - F), new
        if change < 1e-6:
            break
    least = min(cosine + sine * tangent / F for _, _, sine, cosine, tangent in cut)
    return F if isfinite(F) and change < 1e-6 and least >= 0.2 else nan
