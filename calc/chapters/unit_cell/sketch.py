"""The unit cell in plan and in elevation, true to the grid of the section."""

from collections.abc import Iterator
from dataclasses import dataclass
from math import cos, pi, sin

from markupsafe import Markup

from calc.chapters.shared.geometry import at_toes
from calc.engine.figure import (
    Arrow,
    Circle,
    Dimension,
    Fill,
    Item,
    Label,
    Line,
    Point,
    Polygon,
    Scene,
    box,
    symbol_text,
)
from calc.engine.words import words_of
from calc.formulas.geometry import equivalent_diameter, square_cell_area, triangular_cell_area
from calc.inputs import Section

say = words_of(__name__)


def unit_cell_sketch(section: Section) -> Scene:
    """The unit cell in plan, to scale, and in elevation with what acts on it; the elevation is shortened."""
    columns = section.columns
    area = {"triangular": triangular_cell_area, "square": square_cell_area}[columns.pattern](columns.spacing)
    diameter = float(equivalent_diameter(area))
    alt = say("alt", pattern=columns.pattern, diameter=columns.diameter, spacing=columns.spacing, diameter_2=diameter)
    items = (*_plan(section, diameter), *_elevation(section, diameter))
    return Scene("unit_cell", say("title"), alt, items, height_mm=46.0, note=say("note"))


def _neighbours(section: Section) -> tuple[Point, ...]:
    a, square = section.columns.spacing, section.columns.pattern == "square"
    if square:
        return tuple((x * a, y * a) for x in (-1, 0, 1) for y in (-1, 0, 1) if (x, y) != (0, 0))
    return tuple((a * cos(k * pi / 3), a * sin(k * pi / 3)) for k in range(6))


def _plan(section: Section, equivalent: float) -> Iterator[Item]:
    a, radius = section.columns.spacing, section.columns.diameter / 2
    corners = 4 if section.columns.pattern == "square" else 6
    reach = a / 2 / cos(pi / corners)
    first = pi / 4 if corners == 4 else pi / 6
    cell = tuple(
        (reach * cos(first + 2 * k * pi / corners), reach * sin(first + 2 * k * pi / corners)) for k in range(corners)
    )
    yield Polygon(cell, "soft")
    yield Line((*cell, cell[0]), "outline")
    yield Circle(0.0, 0.0, equivalent / 2, style="dashed")
    for x, y in ((0.0, 0.0), *_neighbours(section)):
        yield Circle(x, y, radius, "column", "sleeve")
    yield Dimension(0.0, 0.0, a, 0.0, symbol_text("a_x"), 0.0)
    low = -a - radius if corners == 4 else -a * cos(pi / 6) - radius
    x = 0.0 if corners == 4 else a / 2
    yield Dimension(x - radius, low + radius, x + radius, low + radius, symbol_text("d_c"), -4.0 - 4.0 * radius)
    x, y = -0.71 * equivalent / 2, 0.71 * equivalent / 2
    yield Line(((x, y), (-0.95 * a, 0.62 * a), (-1.02 * a, 0.62 * a)), "thin")
    circle = Markup(say("circle-of-equal-area")).format(symbol_text("d_e"))  # noqa: S704 - words of the program
    yield Label(-1.06 * a, 0.62 * a, circle, "end")


# The widening over the height as it is sketched: share of the depth, share of the widest.
BULGE = ((0.0, 0.0), (0.12, 0.8), (0.3, 1.0), (0.6, 0.75), (0.85, 0.4), (1.0, 0.0))


@dataclass(frozen=True, slots=True)
class _Cell:
    """Where the elevation of the unit cell is drawn, in metres of the plan beside it."""

    unit: float
    middle: float
    top: float
    bottom: float
    radius: float
    half: float

    @property
    def toe(self) -> float:
        return self.bottom - 0.12 * self.unit

    @property
    def lowest(self) -> float:
        return self.bottom - 0.3 * self.unit


def _elevation(section: Section, equivalent: float) -> Iterator[Item]:
    a = section.columns.spacing
    cell = _Cell(a, 3.1 * a, 0.85 * a, -0.95 * a, section.columns.diameter / 2, equivalent / 2)
    yield from _cell_body(cell, at_toes(section))
    yield from _cell_loads(cell)
    yield from _cell_names(cell, section.bearing_layer.name if section.columns.floating else say("bearing-layer"))


def _cell_body(cell: _Cell, toes: Fill) -> Iterator[Item]:
    left, right = cell.middle - cell.half, cell.middle + cell.half
    yield Polygon(box(left, right, cell.top, cell.bottom), "soft")
    yield Polygon(box(left, right, cell.bottom, cell.lowest), toes)
    yield Polygon(box(cell.middle - cell.radius, cell.middle + cell.radius, cell.top, cell.toe), "column")
    for side in (-1.0, 1.0):
        edge = cell.middle + side * cell.radius
        yield Line(((edge, cell.top), (edge, cell.toe)), "sleeve")
        widest = side * 0.45 * cell.radius
        height = cell.top - cell.bottom
        yield Line(tuple((edge + share * widest, cell.top - depth * height) for depth, share in BULGE), "dashed")
    yield Line(((cell.middle, cell.top + 0.42 * cell.unit), (cell.middle, cell.lowest)), "axis")


def _cell_loads(cell: _Cell) -> Iterator[Item]:
    """Longer arrows on the column, shorter ones on the soil."""
    high, low = cell.top + 0.36 * cell.unit, cell.top + 0.16 * cell.unit
    for side in (-1.0, 1.0):
        x = cell.middle + side * cell.radius / 2
        yield Arrow(x, high, x, cell.top)
        for share in (0.4, 0.8):
            x = cell.middle + side * (cell.radius + share * (cell.half - cell.radius))
            yield Arrow(x, low, x, cell.top)


def _cell_names(cell: _Cell, toes: str) -> Iterator[Item]:
    gap = 0.06 * cell.unit
    left, right = cell.middle - cell.half, cell.middle + cell.half
    yield Label(left - gap, cell.top + 2 * gap, symbol_text("Dsigma_vs"), "end")
    yield Label(cell.middle + cell.radius + gap, cell.top + 6 * gap, symbol_text("Dsigma_vc"), "start")
    level = cell.top - 0.45 * (cell.top - cell.bottom)
    for height, reach, text in (
        (level + 0.16 * cell.unit, cell.radius, Markup(say("of-the-sleeve")).format(symbol_text("F_R"))),  # noqa: S704 - words of the program
        (level - 0.2 * cell.unit, 1.3 * cell.radius, Markup(say("radial-expansion")).format(symbol_text("Dr_c"))),  # noqa: S704 - words of the program
    ):
        yield Line(((right + gap, height), (cell.middle + reach, height)), "thin")
        yield Label(right + 1.5 * gap, height, text, "start")
    yield Dimension(left, cell.lowest, right, cell.lowest, symbol_text("d_e"), -4.0)
    yield Label(right + 1.5 * gap, cell.bottom - 0.15 * cell.unit, toes, "start", "small")
