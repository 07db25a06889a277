"""What the plan tells of itself: zones that meet nothing, grids without columns, a footprint, columns that fail."""

import csv
import json
from dataclasses import replace
from io import StringIO
from pathlib import Path

import numpy as np
import pytest
from click.testing import CliRunner
from pytest import approx  # noqa: PT013 - as everywhere here

from calc.cli import main
from calc.inputs import InputErrors
from calc.site.plan.identity import order_of
from calc.site.plan.plan_steps import cell_ratios, differences
from calc.site.plan.setting_out import HEAD, csv_file
from calc.site.plan.write_plan import FAILING, MadePlan
from tests.site.planned import PLAN, made, planned_text
from tests.site.test_joined_areas import marsh  # noqa: F401 - a fixture
from tests.site.test_layout_laws import BEND, EXCLUSION, ZONE
from tests.site.test_plan_pages import FAR, POINTS

ZONED = (ZONE, ("makeup_fill = true", "makeup_fill = false"))
# The line runs from (1000, 2000) towards (1060, 2080): the first half of the area, and a corner far away.
FOOTPRINT = """
[plan.footprint]
name = "first contract"
reason = "the second half is another contract"

[[plan.footprint.part]]
corner = [
    { easting = "960 m", northing = "1980 m" },
    { easting = "1020 m", northing = "1940 m" },
    { easting = "1080 m", northing = "2000 m" },
    { easting = "980 m", northing = "2075 m" },
]

[[plan.footprint.part]]
corner = [
    { easting = "3000 m", northing = "1980 m" },
    { easting = "3010 m", northing = "1980 m" },
    { easting = "3010 m", northing = "1990 m" },
]
"""


def test_an_exclusion_zone_in_which_no_column_would_stand_is_told_with_its_distance(tmp_path: Path) -> None:
    """Easting and northing taken for one another: the zone lies elsewhere, and columns stand on the drain."""
    swapped = EXCLUSION.replace("easting", "x").replace("northing", "easting").replace("x =", "northing =")
    plan = made(tmp_path / "a", plan=PLAN + swapped)

    (note,) = plan.notes
    assert note.startswith("The exclusion zone “Drain” leaves no column out: the nearest stands ")
    assert float(note.split("stands ")[1].split(" m")[0]) > 1000
    assert made(tmp_path / "b", plan=PLAN + EXCLUSION).notes == ()


def test_a_zone_within_another_leaves_columns_out_too(tmp_path: Path) -> None:
    again = EXCLUSION.replace("Drain", "Pipe").replace('distance = "0.5 m"', 'distance = "0 m"')

    plan = made(tmp_path, plan=PLAN + EXCLUSION + again)

    assert [len(out) for _, out in plan.layout.left_out][1] == 0
    assert plan.notes == ()


def test_an_investigation_point_far_from_every_column_is_told(tmp_path: Path) -> None:
    astray = POINTS.replace('"1030 m"', '"10300 m"')

    (note,) = made(tmp_path, FAR, plan=PLAN + astray).notes

    assert note.startswith("The investigation point S2 lies 9")
    assert note.endswith("m from the nearest column, more than 20 m: it counts all the same.")


def test_a_grid_that_keeps_no_column_is_refused_with_its_area(tmp_path: Path) -> None:
    """Both strips of the zone lie in the exclusion zones, the grid of the section between them stays."""
    zones = ""
    for side in (1, -1):
        corners = [(at, side * x) for at, x in ((-5, 3.5), (105, 3.5), (105, 14), (-5, 14))]
        places = ", ".join(
            f'{{ easting = "{1000 + 0.6 * at + 0.8 * x:.2f} m", northing = "{2000 + 0.8 * at - 0.6 * x:.2f} m" }}'
            for at, x in corners
        )
        zones += f'\n[[plan.exclusion]]\nname = "strip {side}"\nreason = "x"\ndistance = "0 m"\ncorner = [{places}]\n'

    with pytest.raises(
        InputErrors, match=r"toml:\d\d+:\d+: plan\.area\[1\]: must keep a column of every grid .* of slope"
    ):
        made(tmp_path, *ZONED, plan=PLAN + zones)


def test_a_footprint_leaves_out_what_stands_beyond_it_by_statement(tmp_path: Path) -> None:
    whole, plan = made(tmp_path / "a"), made(tmp_path / "b", plan=PLAN + FOOTPRINT)
    (footprint, out), columns = plan.layout.left_out[0], plan.layout.columns

    assert len(columns) + len(out) == len(whole.columns)
    assert columns.chainage.max() < 52
    assert out.chainage.min() > 48
    assert 0.45 < len(columns) / len(whole.columns) < 0.55
    (left,) = [one for one in plan.sheets[0].sheet.verdicts if one.key == "left_out_0"]
    assert left.stamp == "accepted by statement"
    assert left.note.endswith("the second half is another contract")
    assert footprint.name == "first contract"
    # Cells beside the border are compared as if those beyond it stood.
    assert columns.cell.max() == approx(whole.layout.columns.cell.max())
    idle, beyond = plan.notes
    assert idle == "No column stands in part 2 of the footprint “first contract”."
    assert beyond.startswith("The footprint “first contract” goes on beyond the field of columns of area A: no columns")


def test_a_border_of_a_footprint_that_crosses_itself_is_refused(tmp_path: Path) -> None:
    crossed = FOOTPRINT.replace('"1080 m", northing = "2000 m"', '"960 m", northing = "2100 m"', 1)

    with pytest.raises(InputErrors, match=r"plan\.footprint\.part\[1\]\.corner: must be corners in order"):
        made(tmp_path, plan=PLAN + crossed)


def test_all_columns_that_fail_are_named(tmp_path: Path) -> None:
    plan = made(tmp_path, ("ratio_tolerance = 0.2", "ratio_tolerance = 0.005"), plan=BEND)
    differ = differences(plan.layout)

    failing = {one.column for one in plan.sheets[0].failing}
    assert failing == set(np.flatnonzero(differ > 0.005).tolist())
    assert {one.item for one in plan.sheets[0].failing} == {"cells"}
    assert len(plan.failing) == len(failing) > 20
    assert made(tmp_path / "b", plan=BEND).failing == []


def test_columns_that_stand_too_close_are_named_with_their_distance(tmp_path: Path) -> None:
    """A bend closes the spacing of the inner rows below the clear distance."""
    plan = made(tmp_path, ('clear_distance = "1.2 m"', 'clear_distance = "1.9 m"'), plan=BEND)

    close = [one for one in plan.failing if one[1] == "clear"]
    assert close
    assert all(value < limit == 1.9 and unit == "m" for _, _, value, limit, unit in close)


@pytest.mark.slow
def test_the_command_names_the_worst_and_lists_all_that_fail(tmp_path: Path) -> None:
    (tmp_path / "project.toml").write_text(
        planned_text(("ratio_tolerance = 0.2", "ratio_tolerance = 0.005"), FAR, plan=BEND + POINTS), encoding="utf-8"
    )
    run = CliRunner()

    told = run.invoke(main, ["plan", str(tmp_path)])
    rows = (tmp_path / "out" / "plan" / FAILING).read_text(encoding="utf-8").splitlines()
    (tmp_path / "project.toml").write_text(planned_text(FAR, plan=BEND + POINTS), encoding="utf-8")
    again = run.invoke(main, ["plan", str(tmp_path), "--json"])
    other = planned_text(FAR, ('revision = "P1"', 'revision = "P2"'), plan=BEND + POINTS)
    (tmp_path / "project.toml").write_text(other, encoding="utf-8")
    forgotten = run.invoke(main, ["plan", str(tmp_path)])

    assert forgotten.exit_code == 2
    assert "holds the plan of revision P1: lay its columns.geojson beside the project file and" in " ".join(
        forgotten.output.split()
    )
    assert told.exit_code == 1
    (line,) = [one for one in told.output.splitlines() if one.strip().startswith("cells fails (limit 0.005) at A-")]
    assert line.count("A-") == 10
    rows = [row for row in rows if not row.startswith("#")]
    assert line.endswith(f" and {len(rows) - 11} more")
    # The next run, which passes, takes the list of those that failed away.
    record = json.loads(again.output)
    assert again.exit_code == 6  # no limit of lengths is given
    assert record["outcome"] == "incomplete"
    assert [Path(one).name for one in record["files_removed"]] == [FAILING]
    assert not (tmp_path / "out" / "plan" / FAILING).exists()
    (area,) = record["areas"]
    assert area["out_of_tolerance"] == []
    rows = (tmp_path / "out" / "plan" / "columns.csv").read_text(encoding="utf-8").splitlines()
    listed = csv.DictReader(row for row in rows if not row.startswith("#"))
    away = {row["point"]: float(row["investigation_distance"]) for row in listed}
    assert {one for one, far in away.items() if far > 20.05} <= set(area["far_from_investigation"])
    assert all(away[one] >= 20.0 for one in area["far_from_investigation"])


def test_levels_and_the_distance_to_the_nearest_point_stand_in_columns_of_their_own(tmp_path: Path) -> None:
    points = made(tmp_path / "a", FAR, plan=PLAN + POINTS)
    lines = [line for line in csv_file(points.listed, points.outcome).decode().splitlines() if not line.startswith("#")]
    rows = list(csv.DictReader(StringIO("\n".join(lines))))

    assert tuple(rows[0]) == HEAD
    assert [(float(row["head"]), float(row["toe"]), float(row["investigation_distance"])) for row in rows] == [
        (one.head, one.toe, one.nearest) for one in points.listed.columns
    ]
    without = csv_file(made(tmp_path / "b").listed, "pass").decode().splitlines()
    assert without[-1].endswith(",")


def test_no_column_is_shorter_than_its_levels_ask_for(tmp_path: Path) -> None:
    """Levels are written to the centimetre: what lies between goes down at the toe and up at the head."""
    plan = made(tmp_path, ('embedment = "0.5 m"', 'embedment = "0.504 m"'))

    assert (plan.levels.length >= plan.levels.design - 1e-9).all()
    assert (plan.levels.length - plan.levels.design < 0.02).all()
    assert plan.columns[0].toe == approx(round(plan.columns[0].head - plan.columns[0].length, 2))


def test_ids_follow_one_another_by_number(tmp_path: Path) -> None:
    """More than 999 columns in a row: as texts A-001-1000 comes before A-001-101."""
    long = PLAN.replace('"1060 m", northing = "2080 m"', '"1000 m", northing = "4000 m"')
    plan = made(tmp_path, ('chainage = "0+000 to 0+100"', 'chainage = "0+000 to 1+950"'), plan=long)
    numbers = [tuple(map(int, one.id.split("-")[1:])) for one in plan.listed.columns]

    assert numbers == sorted(numbers)
    assert max(number for _, number in numbers) > 1000
    ids = ["AA-001-001", "A10-001-001", "A2-001-001", "A-100-001", "A-020-1000", "A-020-101"]
    assert sorted(ids, key=order_of) == [
        "A-020-101", "A-020-1000", "A-100-001", "A2-001-001", "A10-001-001", "AA-001-001"
    ]  # fmt: skip


@pytest.mark.slow
def test_beside_another_area_the_two_grids_that_meet_there_count(marsh: MadePlan) -> None:  # noqa: F811 - the fixture
    columns, grid = marsh.layout.columns, marsh.layout.columns.spacing * marsh.layout.columns.distance
    of = {index: set(np.round(grid[columns.area == index], 6)) for index in range(3)}

    met = {index: set(np.round(columns.beside[(columns.area == index) & columns.joint], 6)) for index in range(3)}

    assert met[0] <= of[1]
    assert met[2] <= of[1]
    assert met[1] <= of[0] | of[2]
    # A closer grid at one end of B allows nothing at the other.
    other = np.where(columns.joint & (columns.area == 2), columns.beside / 2, columns.beside)
    changed = replace(marsh.layout, columns=replace(columns, beside=other))
    before, after = differences(marsh.layout), differences(changed)
    assert (before[columns.area != 2] == after[columns.area != 2]).all()
    assert (cell_ratios(marsh.layout.areas, columns) > 0).all()
