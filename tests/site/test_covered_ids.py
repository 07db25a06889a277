"""An investigation point keeps its place on a drawing, and the id that it would cover is written over it."""

from pathlib import Path

import numpy as np

from calc.package.canvas import Canvas
from calc.site.plan.plan_marks import draw_points
from calc.site.plan.sheet_cuts import PAPER
from calc.site.plan.write_plan import make_plan, plan_pages
from tests.site.planned import PLAN, planned
from tests.site.test_plan_pages import FAR, POINTS

RADIUS = 2.7  # mm


def test_ids_under_an_investigation_point_are_written_over_it(tmp_path: Path) -> None:
    """S2 lies on the line; a column right above it has its id there, those beside, below and far away have not."""
    design = planned(tmp_path, FAR, plan=PLAN + POINTS)
    assert design.plan is not None
    drawn = plan_pages(design, make_plan(design, design.plan)).drawn
    east, north = np.array([1030.0]), np.array([2040.0])
    [cut] = [one for one in drawn.cuts if one.begins <= 50.0 < one.ends and one.left < 0 < one.right]
    x, y = (float(one[0]) for one in cut.on_paper(east, north))
    spots = [(7, (x, y - RADIUS - 1.0)), (8, (x + 14.0, y - RADIUS - 1.0)), (9, (x, y + 4.0)), (10, (x, y - 30.0))]

    assert draw_points(drawn.plan, cut, Canvas(*PAPER), spots, RADIUS) == spots[:1]
    drawn.more(cut, canvas := Canvas(*PAPER), spots)
    assert [drawn.columns[k].id in "".join(canvas.parts) for k, _ in spots] == [True, False, False, False]
