"""Two column heads with the fill arching over them and the reinforcement hanging between."""

from collections.abc import Iterator
from math import cos, pi, sin

from calc.engine.figure import Arrow, Dimension, Item, Label, Line, Polygon, Scene, box, symbol_text
from calc.engine.words import words_of
from calc.formulas.geometry import square_cell_area, triangular_cell_area
from calc.formulas.load_transfer import equivalent_square_spacing, equivalent_square_width
from calc.inputs import Section

say = words_of(__name__)

SAG = 0.22  # of the clear span, as drawn


def membrane_sketch(section: Section) -> Scene:
    """Spacing and width of the heads true to the grid; the sag is drawn larger than it is."""
    columns = section.columns
    area = {"triangular": triangular_cell_area, "square": square_cell_area}[columns.pattern](columns.spacing)
    spacing, width = float(equivalent_square_spacing(area)), float(equivalent_square_width(columns.diameter))
    alt = say("membrane-sketch-alt", width=width, spacing=spacing)
    items = (*_body(spacing, width), *_arches(spacing, width), *_forces(spacing, width))
    note = say("membrane-sketch-note")
    return Scene("membrane", say("scene-membrane-text"), alt, items, height_mm=92.0, note=note)


def _body(spacing: float, width: float) -> Iterator[Item]:
    half, deep, high = width / 2, -0.55 * spacing, 0.62 * spacing
    yield Polygon(box(-spacing / 2 - half, spacing / 2 + half, high, 0.0), "fill")
    yield Polygon(box(-spacing / 2 - half, spacing / 2 + half, 0.0, deep), "soft")
    for side in (-1, 1):
        middle = side * spacing / 2
        yield Polygon(box(middle - half, middle + half, 0.0, deep), "column")
    yield Line(tuple(_hanging(spacing, width)), "reinforcement")
    yield Dimension(-spacing / 2, deep, spacing / 2, deep, symbol_text("s_q"), -4.0)
    yield Dimension(spacing / 2 - half, deep, spacing / 2 + half, deep, symbol_text("a_q"), -10.0)
    yield Dimension(-spacing / 2 + half, deep, spacing / 2 - half, deep, symbol_text("L_m"), -10.0)


def _hanging(spacing: float, width: float) -> Iterator[tuple[float, float]]:
    span = spacing - width
    yield -spacing / 2 - width / 2, 0.0
    for k in range(21):
        x = -span / 2 + span * k / 20
        yield x, -SAG * span * (1 - (2 * x / span) ** 2)
    yield spacing / 2 + width / 2, 0.0


def _arches(spacing: float, width: float) -> Iterator[Item]:
    for radius in ((spacing - width) / 2, spacing / 2):
        yield Line(tuple((radius * cos(k * pi / 24), radius * sin(k * pi / 24)) for k in range(25)), "dashed")


def _forces(spacing: float, width: float) -> Iterator[Item]:
    span = spacing - width
    for share in (-0.26, 0.26):
        at = -SAG * span * (1 - (2 * share) ** 2)
        yield Arrow(share * span, at + 0.2 * spacing, share * span, at + 0.02 * spacing, symbol_text("sigma_sA"))
        yield Arrow(share * span, at - 0.2 * spacing, share * span, at - 0.03 * spacing, symbol_text("sigma_su"))
    for side in (-1, 1):
        x = side * spacing / 2
        yield Arrow(x, 0.3 * spacing, x, 0.03 * spacing, symbol_text("F_head"))
        edge = side * (spacing / 2 + width / 2)
        yield Arrow(edge, 0.0, edge + side * 0.25 * spacing, 0.0)
        yield Label(edge + side * 0.3 * spacing, 0.06 * spacing, symbol_text("T_m"), "start" if side > 0 else "end")
    yield Dimension(0.0, -SAG * span, 0.0, 0.0, symbol_text("f_m"), 0.0)
