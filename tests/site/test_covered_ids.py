"""An investigation point keeps its place on a drawing; where it would cover an id only its outline is drawn."""

from pathlib import Path
from re import finditer
from typing import Any

import numpy as np

from calc.package.canvas import Canvas, text_width
from calc.site.plan.plan_marks import draw_points
from calc.site.plan.sheet_cuts import ID_SIZE, PAPER
from calc.site.plan.write_plan import make_plan, plan_pages
from tests.site.planned import PLAN, planned
from tests.site.test_plan_pages import FAR, POINTS

RADIUS = 2.7  # mm


def sheet_of_s2(folder: Path) -> tuple[Any, Any, tuple[float, float]]:
    """A plan with investigation points, its sheet on which S2 lies, and where it lies on the paper."""
    design = planned(folder, FAR, plan=PLAN + POINTS)
    assert design.plan is not None
    drawn = plan_pages(design, make_plan(design, design.plan)).drawn
    [cut] = [one for one in drawn.cuts if one.begins <= 50.0 < one.ends and one.left < 0 < one.right]
    x, y = (float(one[0]) for one in cut.on_paper(np.array([1030.0]), np.array([2040.0])))
    return drawn, cut, (x, y)


def test_a_point_on_an_id_is_an_outline_and_elsewhere_filled(tmp_path: Path) -> None:
    """S2 lies on the line; a column right above it has its id there, those beside, below and far away have not."""
    drawn, cut, (x, y) = sheet_of_s2(tmp_path)
    above = (7, (x, y - RADIUS - 1.0))
    others = [(8, (x + 14.0, y - RADIUS - 1.0)), (9, (x, y + 4.0)), (10, (x, y - 30.0))]

    parts = []
    for spots in ([above], others):
        draw_points(drawn.plan, cut, canvas := Canvas(*PAPER), drawn.columns, spots, RADIUS)
        parts.append(sum('fill="#1c1c1c"' in part and "<text" not in part for part in canvas.parts))
    assert parts[0] < parts[1]


def test_the_name_of_a_point_between_columns_covers_no_id(tmp_path: Path) -> None:
    """It stood on the end of an id although there was room above its point."""
    drawn, cut, (x, y) = sheet_of_s2(tmp_path)
    rows = [(-9.6, (-9.6, 2.0, 13.6)), (0.0, (-4.2, 7.4)), (9.6, (-9.6, 2.0, 13.6))]
    spots = [(k, (x + across, y + down)) for k, (down, across) in
             enumerate((down, one) for down, places in rows for one in places)]  # fmt: skip

    draw_points(drawn.plan, cut, canvas := Canvas(*PAPER), drawn.columns, spots, RADIUS)
    [(left, base)] = [
        (float(found[1]), float(found[2])) for found in finditer(r'x="([\d.]+)" y="([\d.]+)"[^>]*>S2<', canvas.svg())
    ]
    right, half = left + text_width("S2", ID_SIZE, bold=True), text_width("A-000-000", ID_SIZE) / 2

    for _, (across, down) in spots:
        low, high = down + RADIUS, down + RADIUS + ID_SIZE
        assert right < across - half or across + half < left or base < low or high < base - 0.8 * ID_SIZE
