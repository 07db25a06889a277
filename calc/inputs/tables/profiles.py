"""Strength and preconsolidation of a soft layer by points over depth, linear between them."""

from collections.abc import Sequence
from itertools import pairwise
from math import isclose

from calc.engine.levels import above
from calc.inputs.reading.kinds import LengthOrNone, Pressure, Ratio, Strength, Table, field
from calc.inputs.reading.texts import Words
from calc.inputs.tables.heads import head_at

DEPTH = "Depth below the ground level of the section."
POINTS = (
    "Points from the top of the layer to its base; linear between. Two at one depth inside the layer are a jump: the "
    "first holds above it, the second below."
)
SOURCE = "Where they come from."
MOST_POINTS = 20
Line = tuple[tuple[float, float], ...]
"""Depth below ground in m and value of points from the top down; a depth that stands twice is a jump."""


class StrengthPoint(Table):
    """A depth at which the undrained shear strength is known."""

    depth: LengthOrNone = field(DEPTH, "3.0 m")
    c_u: Strength = field("Characteristic undrained shear strength there.", "15 kPa", usual=("2 kPa", "80 kPa"))


class PressurePoint(Table):
    """A depth at which the preconsolidation pressure is known."""

    depth: LengthOrNone = field(DEPTH, "3.0 m")
    sigma_p: Pressure = field("Preconsolidation pressure there.", "45 kPa", usual=("5 kPa", "500 kPa"))


class RatioPoint(Table):
    """A depth at which the overconsolidation ratio is known."""

    depth: LengthOrNone = field(DEPTH, "3.0 m")
    OCR: Ratio = field("Overconsolidation ratio there.", 1.2, usual=(1, 10))


class StrengthProfile(Table):
    """The undrained shear strength of a layer over depth; the layer is calculated in parts between the points."""

    points: tuple[StrengthPoint, ...] = field(
        POINTS, '[{ depth = "3.0 m", c_u = "15 kPa" }, { depth = "6.0 m", c_u = "20 kPa" }]',
        min_length=2, max_length=MOST_POINTS,
    )  # fmt: skip
    source: Words = field(SOURCE, "vanes V1 to V3, ground report, figure 8")

    @property
    def line(self) -> Line:
        """The points as numbers."""
        return tuple((point.depth, point.c_u) for point in self.points)


class PressureProfile(Table):
    """The preconsolidation pressure of a layer over depth, taken at the middle of every sublayer."""

    points: tuple[PressurePoint, ...] = field(
        POINTS, '[{ depth = "3.0 m", sigma_p = "45 kPa" }, { depth = "6.0 m", sigma_p = "60 kPa" }]',
        min_length=2, max_length=MOST_POINTS,
    )  # fmt: skip
    source: Words = field(SOURCE, "oedometer tests, ground report, figure 9")

    @property
    def line(self) -> Line:
        """The points as numbers."""
        return tuple((point.depth, point.sigma_p) for point in self.points)


class RatioProfile(Table):
    """The overconsolidation ratio of a layer over depth, taken at the middle of every sublayer."""

    points: tuple[RatioPoint, ...] = field(
        POINTS, '[{ depth = "3.0 m", OCR = 2.0 }, { depth = "6.0 m", OCR = 1.2 }]',
        min_length=2, max_length=MOST_POINTS,
    )  # fmt: skip
    source: Words = field(SOURCE, "oedometer tests, ground report, figure 9")

    @property
    def line(self) -> Line:
        """The points as numbers."""
        return tuple((point.depth, point.OCR) for point in self.points)


def value_at(line: Line, depth: float) -> float:
    """The value at a depth; at a jump that above it."""
    return head_at(tuple((-z, value) for z, value in line), -depth)


def corners(line: Line) -> list[int]:
    """The points at which a line bends or jumps, with both ends; what lies on it between two others is left out."""
    kept: list[int] = []
    for index in range(len(line)):
        while len(kept) > 1 and _straight(line[kept[-2]], line[kept[-1]], line[index]):
            kept.pop()
        kept.append(index)
    return kept


def _straight(first: tuple[float, float], middle: tuple[float, float], last: tuple[float, float]) -> bool:
    (z1, x1), (z2, x2), (z3, x3) = first, middle, last
    if not (above(z2, z1) and above(z3, z2)):
        return False
    return isclose(x2, x1 + (x3 - x1) * (z2 - z1) / (z3 - z1), rel_tol=1e-9)


def parts_between(line: Line, top: float, base: float) -> list[tuple[int, int, float, float, float]]:
    """The straight parts of a line over a layer: first and last point, thickness, value at the top, growth per metre.

    Ends that differ from top and base of the layer by no more than a millimetre are those.
    """
    kept = corners(line)
    parts = []
    for k, m in pairwise(kept):
        upper = top if k == 0 else line[k][0]
        lower = base if m == len(line) - 1 else line[m][0]
        if above(line[m][0], line[k][0]):
            thickness = float(f"{lower - upper:.12g}")
            # Rounded like typed decimals: a line by points is the same number as one by value and growth.
            parts.append((k, m, thickness, line[k][1], float(f"{(line[m][1] - line[k][1]) / thickness:.12g}")))
    return parts


def least_of(line: Sequence[tuple[float, float]]) -> int:
    """The point with the least value."""
    return min(range(len(line)), key=lambda index: line[index][1])
