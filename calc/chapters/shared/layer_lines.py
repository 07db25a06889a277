"""The boundaries of the soft layers as lines across a drawing: level, or straight from the axis to the toes."""

from itertools import pairwise

import numpy as np

from calc.chapters.shared.geometry import Place, Profile
from calc.inputs import Section

Line = tuple[Place, ...]


def layer_lines(section: Section, place: Profile, left: float, right: float) -> list[Line]:
    """The top of every soft layer and that of what lies below them, from the left to the right end of a drawing."""
    depths = [(0.0, 0.0, 0.0)]
    for layer in section.soft_layers:
        down = (layer.at_toe("left"), layer.thickness, layer.at_toe("right"))
        depths.append(tuple(depth + more for depth, more in zip(depths[-1], down, strict=True)))  # type: ignore[arg-type]
    if not section.slopes:
        return [((left, place.ground - depth), (right, place.ground - depth)) for _, depth, _ in depths]
    bends = (place.left_toe, 0.0, place.right_toe)
    places = [left, *(bend for bend in bends if left < bend < right), right]
    return [
        tuple((x, place.ground - float(np.interp(x, bends, line))) for x in places)
        for line in depths
    ]  # fmt: skip


def bands(lines: list[Line], bottom: float) -> list[tuple[Line, Line]]:
    """Upper and lower end of what lies between lines and below the last one, down to a level and no deeper."""
    floor = tuple((x, bottom) for x, _ in lines[-1])
    return [*pairwise([*(_above(line, bottom) for line in lines), floor])]


def _above(line: Line, bottom: float) -> Line:
    """A line that stays at a level where it would lie below it."""
    points = [line[0]]
    for (x, y), (far, end) in pairwise(line):
        if (y - bottom) * (end - bottom) < 0:
            points.append((x + (far - x) * (bottom - y) / (end - y), bottom))
        points.append((far, end))
    return tuple((x, max(y, bottom)) for x, y in points)


def outline(upper: Line, lower: Line) -> Line:
    """The corners of what lies between two lines."""
    return *upper, *reversed(lower)


def level_at(line: Line, x: float) -> float:
    """Level of a line at a place."""
    places, levels = zip(*line, strict=True)
    return float(np.interp(x, places, levels))


def toe_below(section: Section, place: Profile, x: float) -> float:
    """Level of the toe of a column at a place across, in a zone of the columns by its own length."""
    for _, zone in section.columns.zones:
        if section.columns.has_length(zone) and any(low <= x <= high for low, high in zone.strips):
            return place.ground - section.toe_depth(zone)
    return level_at(place.across(place.toes, place.toes_at), x)
