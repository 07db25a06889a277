"""What a sheet of the plan shows beside ids: investigation points, toe levels, columns that are out of tolerance."""

from collections.abc import Container, Sequence

import numpy as np

from calc.engine.words import words_of
from calc.inputs.tables.plan import Plan
from calc.package.canvas import INK, Canvas, Pen, Place, shorten, text_width
from calc.site.plan.column_layout import Array
from calc.site.plan.column_list import Column
from calc.site.plan.plan_pens import BOLD, THIN
from calc.site.plan.setting_out import one_line
from calc.site.plan.sheet_cuts import FIELD, ID_SIZE, PAPER, Cut

say = words_of(__name__)

RING, POINT, TOE = "ring", "point", "toe"
EVERY_TOE = 5  # numbers of a row
TOE_SIZE, POINT_SIZE = 1.9, 1.6  # mm
RINGED = Pen(0.5, INK, "1 0.6")
BESIDE = (
    (1, -1.0), (-1, -1.0), (1, -3.0), (-1, -3.0), (1, 1.0), (-1, 1.0), (0, -3.8), (0, -4.6), (0, 2.2),
    (0.6, -3.8), (-0.6, -3.8), (1, 2.2), (-1, 2.2),
)  # fmt: skip
"""Where a name may stand: right, left, or over and under its point, and its top from there, mm."""
LEVELS = PAPER[1] - 21.0  # of the line with the levels of the points, mm


def mark(canvas: Canvas, at: Place, size: float, symbol: str) -> bool:
    """Draw a ring, an investigation point, or what stands for a toe level in a legend; whether it was one of them."""
    x, y = at
    if symbol == RING:
        canvas.circle(at, size, RINGED)
    elif symbol == POINT:
        corners = _triangle(at, size)
        canvas.area(corners, "#ffffff")
        canvas.area([(x, y - 0.8 * size), (x + size, y - 0.8 * size), (x, y + size)], INK)
        canvas.line(corners, BOLD)
    elif symbol == TOE:
        canvas.text((x, y + 0.7), "0.00", size=TOE_SIZE, anchor="middle")
    return symbol in {RING, POINT, TOE}


def _triangle(at: Place, size: float) -> list[Place]:
    """The closed outline of an investigation point."""
    x, y = at
    return [(x - size, y - 0.8 * size), (x + size, y - 0.8 * size), (x, y + size), (x - size, y - 0.8 * size)]


def toe_text(level: float) -> str:
    """A level as it is drawn."""
    return f"{level:.2f}".replace("-", "−")


def draw_marks(
    canvas: Canvas, columns: Sequence[Column], drawn: Sequence[tuple[int, Place]], scale: int, marked: Container[int]
) -> None:  # fmt: skip
    """Toe levels of every fifth number of the rows below the ids, and a ring around columns out of tolerance."""
    for k, (x, y) in drawn:
        column = columns[k]
        radius = 500 * column.diameter / scale
        if _has_toe(column):
            canvas.text((x, y + radius + ID_SIZE + TOE_SIZE), toe_text(column.toe), size=TOE_SIZE, anchor="middle")
        if k in marked:
            mark(canvas, (x, y), radius + 0.7, RING)


def _has_toe(column: Column) -> bool:
    return int(column.id.rpartition("-")[2]) % EVERY_TOE == 0


def draw_points(
    plan: Plan, cut: Cut, canvas: Canvas, columns: Sequence[Column], drawn: Sequence[tuple[int, Place]], radius: float,
) -> None:  # fmt: skip
    """The investigation points of a sheet with their names, where they cover least of the columns and their ids.

    A point keeps its place: where an id stands there, only its outline is drawn.
    """
    spots = np.array([at for _, at in drawn]).reshape(-1, 2)
    half = np.array([text_width("A-000-000", ID_SIZE) / 2, 0.0])
    ids = spots - half + np.array([0.0, radius]), spots + half + np.array([0.0, radius + ID_SIZE])
    # What a name must not cover: circles, the ids below them, and every few of them a toe level.
    toes = spots[[_has_toe(columns[k]) for k, _ in drawn]] + np.array([0.0, radius + ID_SIZE])
    half = np.array([text_width("−00.00", TOE_SIZE) / 2, 0.0])
    low = np.concatenate([spots - radius, ids[0], toes - half])
    high = np.concatenate([spots + radius, ids[1], toes + half + np.array([0.0, TOE_SIZE])])
    for k, (x, y) in _points_of(plan, cut):
        corner, size = np.array([x, y]) - POINT_SIZE, np.full(2, 2 * POINT_SIZE)
        if _common(*ids, corner, corner + size):
            canvas.line(_triangle((x, y), POINT_SIZE), THIN)
        else:
            mark(canvas, (x, y), POINT_SIZE, POINT)
        name = one_line(plan.investigation[k].name)
        wide = text_width(name, ID_SIZE, bold=True)
        places = [np.array([x + dx * (2.2 + wide / 2) - wide / 2, y + dy]) for dx, dy in BESIDE]
        covered = [_common(low, high, at, at + np.array([wide, ID_SIZE])) for at in places]
        left, top = places[covered.index(min(covered))].tolist()
        canvas.text((left, top + 0.8 * ID_SIZE), name, size=ID_SIZE, backed=True, bold=True)


def _common(low: Array, high: Array, corner: Array, other: Array) -> float:
    """Area that a box has in common with others, mm²."""
    over = np.clip(np.minimum(high, other) - np.maximum(low, corner), 0, None)
    return float(over.prod(axis=1).sum())


def point_levels(plan: Plan, cut: Cut, canvas: Canvas) -> None:
    """The levels of the investigation points of a sheet, in the title band."""
    points = [plan.investigation[k] for k, _ in _points_of(plan, cut)]
    levels = ", ".join(f"{one_line(point.name)} {toe_text(point.bearing_level)}" for point in points)
    if levels:
        canvas.text((20.0, LEVELS), shorten(say("points", levels=levels), ID_SIZE, 122), size=ID_SIZE)


def _points_of(plan: Plan, cut: Cut) -> list[tuple[int, Place]]:
    """The investigation points that lie on a sheet, with their places on the paper."""
    points = plan.investigation
    x, y = cut.on_paper(np.array([point.easting for point in points]), np.array([point.northing for point in points]))
    inside = (x > FIELD[0] + 3) & (x < FIELD[2] - 3) & (y > FIELD[1] + 3) & (y < FIELD[3] - 3)
    return [(k, (float(x[k]), float(y[k]))) for k in np.flatnonzero(inside).tolist()]
