"""Time to lay out, identify and list fifty thousand columns along a line with a bend.

Run: python -m tests.benchmarks.columns_laid_out [COLUMNS]
"""

# ruff: noqa: T201 - a script prints its table

import sys
import tempfile
from pathlib import Path
from time import process_time

from calc.inputs import read_design
from calc.site.plan.axis import axis_of
from calc.site.plan.column_layout import lay_out
from calc.site.plan.identity import identify
from calc.site.plan.setting_out import csv_file, dxf, geojson, landxml
from calc.site.plan.toe_levels import levels_of
from calc.site.plan.write_plan import make_plan
from tests.site.planned import PLAN, planned_text
from tests.site.test_plan_pages import FAR, POINTS

COLUMNS, A_METRE = 50_000, 7.0  # of the starter, roughly


def measure(columns: int = COLUMNS) -> list[tuple[str, float]]:
    """What is done with its time of the processor in s."""
    length = columns / A_METRE
    line = ('{ easting = "1060 m", northing = "2080 m" },',
            ('{ easting = "1000 m", northing = "6000 m", radius = "900 m" },\n'
            f'    {{ easting = "{1000 + length:.0f} m", northing = "7000 m" }},'))  # fmt: skip
    end = f"{int(length // 1000)}+{int(length % 1000):03d}"
    text = planned_text(line, FAR, ('chainage = "0+000 to 0+100"', f'chainage = "0+000 to {end}"'), plan=PLAN + POINTS)
    with tempfile.TemporaryDirectory() as folder:
        (Path(folder) / "project.toml").write_text(text, encoding="utf-8")
        design = read_design(Path(folder))
    plan = design.plan
    assert plan is not None
    times: list[tuple[str, float]] = []

    def timed(what: str, since: float) -> float:
        times.append((what, process_time() - since))
        return process_time()

    at = process_time()
    layout = lay_out(design, plan, axis_of(design, plan))
    at = timed(f"lay out {len(layout.columns)} columns, cells and distances", at)
    levels_of(plan, layout.areas, layout.columns)
    at = timed("toe levels", at)
    identify(plan, layout.areas, layout.columns, None)
    at = timed("ids", at)
    made = make_plan(design, plan)
    at = timed("all of it with list and sheets", at)
    dated = design.project.revisions[-1].date
    csv_file(made.listed, made.outcome)
    at = timed("CSV", at)
    landxml(made.listed, dated)
    at = timed("LandXML", at)
    geojson(made.listed)
    at = timed("GeoJSON", at)
    dxf(made.listed, made.elements, (), dated)
    timed("DXF", at)
    return times


if __name__ == "__main__":
    for what, seconds in measure(int(sys.argv[1]) if sys.argv[1:] else COLUMNS):
        print(f"{what:60} {seconds:6.2f} s")
