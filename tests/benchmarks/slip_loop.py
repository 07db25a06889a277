"""Simplified Bishop in plain Python, one slice after the other: an independent check and the measure of the speed.

It reads the same cross-section and does the same: layers, water table in both modes, r_u, undrained strength, traffic,
earthquake, the same faces at jumps and bends, the same guards, Bishop to 1e-6. A slope that falls to the right; no open
water, lenses, columns, reinforcement or hard layer.
"""

from bisect import bisect_right
from dataclasses import dataclass
from itertools import pairwise
from math import asin, cos, isfinite, nan, sin, sqrt, tan

from calc.procedures.slip import Layer, Model, Soil

Line = tuple[tuple[float, float], ...]


@dataclass(frozen=True)
class Slice:
    """Forces on one slice and its base."""

    weight: float
    strength: float
    tangent: float
    sine: float
    cosine: float
    moment: float


def segment(line: Line, x: float) -> int:
    """Index of the straight piece over a place."""
    places = [point[0] for point in line]
    return min(max(bisect_right(places, x) - 1, 0), len(line) - 2)


def height(line: Line, x: float) -> float:
    """Height of a line at one place."""
    (x0, y0), (x1, y1) = line[(index := segment(line, x))], line[index + 1]
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


def stretches(found: list[tuple[float, bool]]) -> list[tuple[float, float]]:
    """The stretches below the line."""
    return [(left, right) for (left, enters), (right, again) in pairwise(found) if enters and not again]


def crossings(lines: list[Line], other: Line) -> list[float]:
    """Places at which the straight pieces of lines cross those of another line."""
    found = []
    for (ax, ay), (bx, by) in (piece for line in lines for piece in pairwise(line)):
        for (cx, cy), (dx, dy) in pairwise(other):
            turn = (bx - ax) * (dy - cy) - (by - ay) * (dx - cx)
            if turn:
                s = ((cx - ax) * (dy - cy) - (cy - ay) * (dx - cx)) / turn
                t = ((cx - ax) * (by - ay) - (cy - ay) * (bx - ax)) / turn
                found += [ax + s * (bx - ax)] if 0 <= s <= 1 and 0 <= t <= 1 else []
    return found


def faces(model: Model, x: float, y: float, r: float, ends: tuple[float, float], count: int) -> list[float]:
    """Angles of the faces: equal arcs, the nearest face that is free moved to each jump or bend."""
    first, last = asin((x - ends[0]) / r), asin((x - ends[1]) / r)
    arc = (last - first) / count
    made = [first + index * arc for index in range(count + 1)]
    tops = [layer.top for layer in model.layers if layer.top]
    lines = [model.surface, *tops, *([model.water.table] if model.water else [])]
    breaks = {point[0] for line in lines for point in line[1:-1]}
    breaks |= set(crossings(lines, model.water.table)) if model.water else set()
    breaks |= {place for strip in model.strips for place in (strip.x_left, strip.x_right)}
    places = sorted(place for place in breaks if model.surface[0][0] < place < model.surface[-1][0])
    for top in tops:
        places += [place for place, _ in meetings(top, x, y, r)]
    steps = sorted((asin((x - place) / r) - first) / arc for place in places if abs(x - place) < r)
    steps = [step for step in steps if 1e-6 < step < count - 1e-6]
    apart = [step - before >= 1e-3 for before, step in pairwise([-1.0, *steps])]
    last = 0
    for place, step in enumerate(steps):
        if apart[place]:
            last = min(max(round(step), last + 1), count - sum(apart[place:]))
        made[last] = first + step * arc
    return made


def pore_pressure(model: Model, soil: Soil, stress: float, x: float, y: float) -> float:
    """Pore pressure at a base."""
    if soil.r_u is not None:
        return soil.r_u * stress
    if model.water is None:
        return 0.0
    table = model.water.table
    head = max(height(table, x) - y, 0.0)
    if model.water.mode == "seepage":
        (x0, y0), (x1, y1) = table[(index := segment(table, x))], table[index + 1]
        head /= 1 + ((y1 - y0) / (x1 - x0)) ** 2
    return model.water.gamma_w * head


def stress_and_soil(model: Model, x: float, y: float) -> tuple[float, Soil]:
    """Total vertical stress on a base and the soil in which it lies."""
    stress = sum(strip.q for strip in model.strips if strip.x_left < x < strip.x_right)
    layers = [(layer, height(layer.top or model.surface, x)) for layer in model.layers]
    wet = height(model.water.table, x) if model.water else -1e9
    found: Layer = model.layers[0]
    for (layer, top), (_, below) in pairwise([*layers, (found, y)]):
        upper, lower = max(top, y), max(below, y)
        soaked = max(min(upper, wet) - max(min(lower, wet), lower), 0.0)
        stress += layer.soil.gamma * (upper - lower - soaked) + layer.soil.gamma_sat * soaked
        if top > y:
            found = layer
    return stress, found.soil


def weight_moment(model: Model, x: float, y: float) -> float:
    """Moment about a base of the weights above it: between two boundaries they act half-way."""
    levels = sorted({height(layer.top or model.surface, x) for layer in model.layers}
                    | ({height(model.water.table, x)} if model.water else set()) | {y})  # fmt: skip
    levels = [level for level in levels if y <= level <= height(model.surface, x)]
    found = 0.0
    for low, high in pairwise(levels):
        upper, lower = (stress_and_soil(model, x, one)[0] for one in (high, low))
        found += (lower - upper) * ((high + low) / 2 - y)
    return found


def slices(model: Model, x: float, y: float, r: float, ends: tuple[float, float], count: int) -> list[Slice]:
    """The slices of a circle."""
    made = []
    for left, right in pairwise(faces(model, x, y, r, ends, count)):
        angle = (left + right) / 2
        sine, cosine = sin(angle), cos(angle)
        b = 2 * r * cosine * sin((left - right) / 2)
        place, base = x - r * sine, y - r * cosine
        stress, soil = stress_and_soil(model, place, base)
        u = pore_pressure(model, soil, stress, place, base)
        c, tangent = soil.c, tan(soil.phi)
        if soil.c_u is not None:
            level = base if soil.c_u_level is None else soil.c_u_level
            c, tangent = soil.c_u + soil.c_u_growth * max(level - base, 0.0), 0.0
        strength = (c + (stress - u) * tangent) * b
        strength = strength if c > 0 else max(strength, 0.0)
        top = height(model.surface, place)
        load = sum(strip.q for strip in model.strips if strip.x_left < place < strip.x_right)
        shake = model.k_h * b * ((stress - load) * (y - base) - weight_moment(model, place, base) + load * (y - top))
        made.append(Slice(stress * b, strength, tangent, sine, cosine, stress * b * r * sine + shake))
    return made


def bishop(model: Model, x: float, y: float, r: float, count: int) -> float:
    """Least factor of the stretches of one circle, NaN where all are rejected."""
    found = [stretch(model, x, y, r, ends, count) for ends in stretches(meetings(model.surface, x, y, r))]
    return min((one for one in found if isfinite(one)), default=nan)


def stretch(model: Model, x: float, y: float, r: float, ends: tuple[float, float], count: int) -> float:
    """Factor of one stretch of a circle."""
    lowest = min(max(x, ends[0]), ends[1])
    if y - sqrt(r * r - (lowest - x) ** 2) < model.bottom:
        return nan
    cut = slices(model, x, y, r, ends, count)
    driving = sum(one.moment for one in cut) / r
    if driving <= 0:
        return nan
    F = 1.0
    for _ in range(100):
        resisting = 0.0
        for one in cut:
            m = one.cosine + one.sine * one.tangent / F
            resisting += one.strength / (max(m, 0.02) if one.tangent else m)
        change, F = abs(resisting / driving - F), resisting / driving
        if change < 1e-6:
            break
    least = min((one.cosine + one.sine * one.tangent / F for one in cut if one.tangent), default=1.0)
    return F if isfinite(F) and change < 1e-6 and least >= 0.2 else nan
