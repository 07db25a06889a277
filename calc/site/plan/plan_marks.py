"""What a sheet of the plan shows beside ids: investigation points, toe levels, columns that are out of tolerance."""

from collections.abc import Container, Sequence

import numpy as np

from calc.engine.words import words_of
from calc.inputs.tables.plan import Plan
from calc.package.canvas import INK, Canvas, Pen, Place, shorten
from calc.site.plan.column_list import Column
from calc.site.plan.setting_out import one_line
from calc.site.plan.sheet_cuts import FIELD, ID_SIZE, PAPER, Cut

say = words_of(__name__)

RING, POINT, TOE = "ring", "point", "toe"
EVERY_TOE = 5  # numbers of a row
TOE_SIZE = 1.9  # mm
RINGED = Pen(0.5, INK, "1 0.6")
OUTLINE = Pen(0.35)
LEVELS = PAPER[1] - 21.0  # of the line with the levels of the points, mm


def mark(canvas: Canvas, at: Place, size: float, symbol: str) -> bool:
    """Draw a ring, an investigation point, or what stands for a toe level in a legend; whether it was one of them."""
    x, y = at
    if symbol == RING:
        canvas.circle(at, size, RINGED)
    elif symbol == POINT:
        corners = [(x - size, y - 0.8 * size), (x + size, y - 0.8 * size), (x, y + size)]
        canvas.area(corners, "#ffffff")
        canvas.area([(x, y - 0.8 * size), (x + size, y - 0.8 * size), (x, y + size)], INK)
        canvas.line([*corners, corners[0]], OUTLINE)
    elif symbol == TOE:
        canvas.text((x, y + 0.7), "0.00", size=TOE_SIZE, anchor="middle")
    return symbol in {RING, POINT, TOE}


def toe_text(level: float) -> str:
    """A level as it is drawn."""
    return f"{level:.2f}".replace("-", "−")


def draw_marks(
    canvas: Canvas, columns: Sequence[Column], drawn: Sequence[tuple[int, Place]], scale: int, marked: Container[int]
) -> None:  # fmt: skip
    """Toe levels of every fifth number of the rows below the ids, and a ring around columns out of tolerance."""
    for k, (x, y) in drawn:
        one = columns[k]
        radius = 500 * one.diameter / scale
        if int(one.id.rpartition("-")[2]) % EVERY_TOE == 0:
            canvas.text((x, y + radius + ID_SIZE + TOE_SIZE), toe_text(one.toe), size=TOE_SIZE, anchor="middle")
        if k in marked:
            mark(canvas, (x, y), radius + 0.7, RING)


def draw_points(plan: Plan, cut: Cut, canvas: Canvas) -> None:
    """The investigation points of a sheet with their names, and their levels in the title band."""
    points = plan.investigation
    x, y = cut.on_paper(np.array([one.easting for one in points]), np.array([one.northing for one in points]))
    inside = (x > FIELD[0] + 3) & (x < FIELD[2] - 12) & (y > FIELD[1] + 3) & (y < FIELD[3] - 3)
    shown = np.flatnonzero(inside).tolist()
    for k in shown:
        at = (float(x[k]), float(y[k]))
        mark(canvas, at, 1.6, POINT)
        canvas.text((at[0] + 2.2, at[1] + 0.8), one_line(points[k].name), size=ID_SIZE, backed=True, bold=True)
    if shown:
        levels = ", ".join(f"{one_line(points[k].name)} {toe_text(points[k].bearing_level)}" for k in shown)
        text = shorten(say("points", levels=levels), ID_SIZE, 122)
        canvas.text((20.0, LEVELS), text, size=ID_SIZE)
