"""The lists [[water.head]]: piezometric levels over depth, one list of points for each water level that has them."""

from collections.abc import Sequence
from itertools import pairwise

from calc.engine.levels import above, same
from calc.inputs.reading.kinds import Level, Table, WaterName, field
from calc.inputs.reading.texts import Words

Line = tuple[tuple[float, float], ...]
"""Level and piezometric level of points from the top down; a level that stands twice is a jump."""


class HeadPoint(Table):
    """A point at which the piezometric level is known."""

    level: Level = field("Elevation of the point in the ground.", "-8.6 m")
    head: Level = field("Piezometric level there, an elevation like the water levels.", "1.2 m")


class WaterHead(Table):
    """The piezometric levels over depth that belong to a water level."""

    water: WaterName = field("Name of the water level that they belong to.", "mean")
    points: tuple[HeadPoint, ...] = field(
        "Points from the top down, below the water level; linear between, the first from the water level on. The last "
        "lies at the base of the soft layers: its head is that of the aquifer below. Two at one level are a jump, at "
        "the boundary of two layers.",
        '[{ level = "-8.6 m", head = "1.2 m" }]',
        min_length=1,
        max_length=40,
    )
    source: Words = field("Where they come from.", "piezometers P1 to P3, ground report, section 6")


def head_line(water: float, ground: float, points: Sequence[HeadPoint]) -> Line:
    """The line of the points with the water level, or open water on the ground, at its top."""
    return (min(water, ground), water), *((point.level, point.head) for point in points)


def head_at(line: Line, level: float, *, below: bool = False) -> float:
    """The head at a level; at a jump that above it, or below it. Water is at rest beyond both ends of the line."""
    there = [head for place, head in line if same(place, level)]
    if there:
        return there[-1] if below else there[0]
    for (upper, first), (lower, last) in pairwise(line):
        if upper > level > lower:
            return last + (first - last) * (level - lower) / (upper - lower)
    return line[0][1] if level > line[0][0] else line[-1][1]


def bends(line: Line) -> list[float]:
    """The levels at which the pore pressure bends: the points, and where it begins or ends between two."""
    levels = [level for level, _ in line]
    for (upper, first), (lower, last) in pairwise(line):
        top, bottom = first - upper, last - lower
        if top * bottom < 0 and above(upper, lower):
            levels.append(upper - (upper - lower) * top / (top - bottom))
    return levels
