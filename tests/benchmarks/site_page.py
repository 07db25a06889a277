"""Time and size of the page for the site office with fifty thousand columns: made, opened, panned, filtered.

Run: python -m tests.benchmarks.site_page [COLUMNS] [READINGS] [RECORDED]
"""

# ruff: noqa: T201 - a script prints its table

import datetime as dt
import sys
import tempfile
from dataclasses import replace
from pathlib import Path
from statistics import median
from time import process_time

from calc.inputs import read_design
from calc.site.installed.installed_run import judge_installed
from calc.site.office.site_page import site_page
from calc.site.office.site_run import Site
from calc.site.plan.write_plan import make_plan
from tests.benchmarks.review_page import TIMED
from tests.browser.chromium import Page, browser
from tests.site.planned import planned_text
from tests.site.recorded import COLUMNS as MAPPING
from tests.site.recorded import LIMITS, faultless, readings, readings_file, records_file

COLUMNS, A_METRE = 50_000, 7.94  # columns a metre of the starter, roughly
READINGS, RECORDED, REPEATS = 10, 0.6, 9
YEARS = dt.timedelta(days=4000)
FAULTY = 97  # every which column does not stand in its place
CHANGES = {
    "pan, whole plan": "index => { if (index === 0) whole(); pan(7, -5); }",
    "pan, largest number of circles": "index => { if (index === 0) { whole(); lookAt(order[count >> 1]);"
    " view.scale = ROUND / radius[0] + 0.1; } pan(7, -5); }",
    "pan, ids shown": "index => { if (index === 0) { lookAt(order[count >> 1]); view.scale = 34; } pan(7, -5); }",
    "zoom": "index => { if (index === 0) whole(); zoom(1.3); }",
    "filter by state": "index => { if (index === 0) showAll(); boxes[index % boxes.length].checked ^= true;"
    " filter(); }",
    "filter by item": "index => { if (index === 0) showAll(); byId('item').selectedIndex = index % 2; filter(); }",
    "search": "index => { if (index === 0) showAll(); "
    " byId('search').value = ['', '-0', '-01', '-012', '-012-'][index % 5]; filter(); }",
    "take a column": "index => { if (index === 0) showAll(); take(order[101 * index]); }",
    "next column": "() => step(1)",
}


def large_page(folder: Path, columns: int, depth_readings: int, recorded: float = RECORDED) -> tuple[str, float]:
    """The page of the starter made long enough, and the time of the processor that it takes once all is judged, s."""
    length = int(columns / A_METRE)
    text = planned_text(
        ('{ easting = "1060 m", northing = "2080 m" }', '{ easting = "1000 m", northing = "9500 m" }'),
        ('chainage = "0+000 to 0+100"', f'chainage = "0+000 to {length // 1000}+{length % 1000:03d}"'),
        more=MAPPING + LIMITS,
    )  # fmt: skip
    (folder / "project.toml").write_text(text, encoding="utf-8")
    design = read_design(folder)
    assert design.plan is not None
    assert design.installed is not None
    made = make_plan(design, design.plan)
    listed = made.listed.columns
    rows = faultless(listed)[: int(recorded * len(listed))]
    # So many columns take years, and none of them lies after today.
    rows = [replace(row, day=row.day - YEARS, easting=row.easting + 0.3 * (k % FAULTY == 0))
            for k, row in enumerate(rows)]  # fmt: skip
    files = folder / "records.csv", folder / "depth.csv"
    files[0].write_text(records_file(rows), encoding="utf-8")
    step = max(one.working_level - one.toe for one in listed) / depth_readings
    files[1].write_text(readings_file(readings(listed, rows, step)), encoding="utf-8")
    # The runs of `run_site`, with the plan that the records are made of: to lay it out again takes seconds.
    judged = judge_installed(
        design, design.plan, design.installed, files, lambda _: None, again=False, slip=False, made=made
    )
    site = Site(design, made, judged, None)
    start = process_time()
    return site_page(site), process_time() - start


def measured(page: Page) -> dict[str, list[float]]:
    """Milliseconds of each kind of change in an open page, each until the next frame is painted."""
    return {name: page.run(TIMED % (REPEATS, change)) for name, change in CHANGES.items()}


def main() -> None:
    """Print the table for docs/benchmarks.md."""
    columns = int(sys.argv[1]) if len(sys.argv) > 1 else COLUMNS
    depth_readings = int(sys.argv[2]) if len(sys.argv) > 2 else READINGS
    recorded = float(sys.argv[3]) if len(sys.argv) > 3 else RECORDED
    with tempfile.TemporaryDirectory() as room, browser() as made:
        folder = Path(room)
        text, seconds = large_page(folder, columns, depth_readings, recorded)
        path = folder / "site.html"
        path.write_text(text, encoding="utf-8")
        page = Page(made, folder).open(path)
        load = page.run("performance.getEntriesByType('navigation')[0].loadEventEnd")
        print(f"| {page.run('count')} columns, {path.stat().st_size / 1e6:.1f} MB | median | largest |\n|---|---|---|")
        print(f"| made, processor time | {seconds:.1f} s | |\n| open until loaded | {load:.0f} ms | |")
        for name, times in measured(page).items():
            print(f"| {name} | {median(times):.0f} ms | {max(times):.0f} ms |")


if __name__ == "__main__":
    main()
