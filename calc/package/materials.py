"""How materials and lines look: quiet greys, one accent, told apart by hatch where there is no colour."""

from collections.abc import Sequence
from dataclasses import dataclass
from math import pi

from calc.engine.figure import Fill, LineStyle
from calc.package.canvas import ACCENT, INK, QUIET, Canvas, Pen, Place, hatch_lines

EDGE = Pen(0.15, QUIET)


@dataclass(frozen=True, slots=True)
class Material:
    """A ground colour, the hatch over it as (angle, spacing, dash), and the outline."""

    colour: str
    hatches: tuple[tuple[float, float, str], ...] = ()
    outline: Pen = EDGE


MATERIALS: dict[Fill, Material] = {
    "none": Material("none"),
    "fill": Material("#eeece6", ((pi / 4, 2.6, ""),)),
    "zone": Material("#f8f7f3", ((pi / 2, 1.8, ""),)),
    "zone2": Material("#e2dfd5", ((pi / 2, 1.2, "0.3 1.1"),)),
    "platform": Material("#dad7cd", ((pi / 4, 1.2, ""), (-pi / 4, 1.2, ""))),
    "soft": Material("#faf9f6", ((0.0, 2.4, "3.2 2"),)),
    "soft2": Material("#f1efea", ((0.0, 1.5, "1.2 0.9"),)),
    "firm": Material("#d3d0c7", ((-pi / 4, 1.5, ""),)),
    "column": Material("#c8dcdf", (), Pen(0.12, INK)),
    "sleeve": Material("#8fb6bb", (), Pen(0.35, ACCENT)),
    "reinforcement": Material("#8fb6bb", (), Pen(0.35, ACCENT)),
    "water": Material("#e6f0f1", ((0.0, 1.8, "6 2"),)),
}
HATCH = "#a9a69c"

PENS: dict[LineStyle, Pen] = {
    "outline": Pen(0.35),
    "thin": Pen(0.15),
    "fine": Pen(0.08),
    "dashed": Pen(0.22, INK, "1.8 1.1"),
    "water": Pen(0.3, ACCENT, "3.4 1.3"),
    "reinforcement": Pen(0.7, ACCENT, "4.2 0.8"),
    "sleeve": Pen(0.5, ACCENT),
    "axis": Pen(0.15, QUIET, "5 1 1 1"),
}


def paint(canvas: Canvas, points: Sequence[Place], fill: Fill, hatch: Fill | None = None) -> None:
    """Draw a polygon of one material: ground colour, hatch cut to it, outline."""
    material = MATERIALS[fill]
    if material.colour != "none":
        canvas.area(points, material.colour)
    for angle, spacing, dash in MATERIALS[hatch or fill].hatches:
        pen = Pen(0.1, HATCH, dash)
        for segment in hatch_lines(points, angle, spacing):
            canvas.line(segment, pen)
    canvas.line([*points, points[0]], material.outline)
