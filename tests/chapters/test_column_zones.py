"""Zones of the columns: cells of every grid in its place, what differs at their borders, what reads them further on."""

import re
from pathlib import Path
from typing import Any

import numpy as np
import pytest

from calc.engine.figure import Dimension, Scene
from calc.inputs import read_design
from calc.procedures.ground_in_time import GroundInTime
from calc.study.shortest import OpenError, Search, Wish
from tests.chapters import monitoring_case
from tests.chapters.neighbour_case import beside
from tests.chapters.rig_case import on_platform
from tests.chapters.zone_case import FINAL, Runs, area_ratio, both, grid, held, numbers, of, rated, soft, zone
from tests.willow import high_bank

LONG = "long-term"


def test_a_zone_with_the_grid_of_the_section_changes_no_digit(run_project: Runs) -> None:
    """It is no zone: one section runs, with the numbers of one without it."""
    with_zone, without = run_project(zone(6, 13, 1.97)), run_project(grid(1.97))

    assert [part.section.key for part in with_zone.sections] == ["A"]
    assert numbers(of(with_zone, "A")) == numbers(of(without, "A"))


def test_the_cell_of_a_zone_is_that_of_its_grid_under_the_full_height(run_project: Runs) -> None:
    """A zone from the crest edge on has the full height there, and the traffic that spreads to its first rows."""
    cell = of(run_project(zone(6, 13)), "A.slope")["unit_cell"]
    alone = of(run_project(grid(2.5)), "A")["unit_cell"]

    for scope, symbol in (("settlement", "s"), ("ring", "F_Ri"), ("elastic_plastic", "s_EP"), ("tension", "n")):
        np.testing.assert_array_equal(cell.scopes[scope][symbol].array, alone.scopes[scope][symbol].array)


@pytest.mark.parametrize(("left", "right", "heights"), [
    (6, 13, [0, 2, 6]),  # from the crest edge
    (10, 15, [0, 2, 4]),  # 4 m down the slope of 1:2: 6 − 4/2
    (3, 13, [0, 2, 6]),
])  # fmt: skip
def test_height_over_a_zone_is_the_greatest_inside_it(
    run_project: Runs, left: float, right: float, heights: list[float]
) -> None:  # fmt: skip
    """By hand, for a crest edge at 6 m, a slope of 1:2 and fill of 2 m and 6 m above the ground."""
    columns = of(run_project(zone(left, right)), "A.slope")["columns"]

    assert columns.scopes["zone"]["H_z"].array.tolist() == pytest.approx(heights)


@pytest.mark.parametrize(("left", "traffic"), [(3, 20), (6, 20), (8.9, 20), (9.1, 0)])
def test_traffic_counts_as_far_as_it_spreads(run_project: Runs, left: float, traffic: float) -> None:
    """By hand: traffic of 20 kPa to the crest edge at 6 m, spread by half the height of 6 m to 9 m at the heads."""
    assert float(of(run_project(zone(left, 13)), "A.slope")["unit_cell"]["q"].array) == traffic


def test_a_border_at_the_axis_is_that_of_the_mirrored_zone_too(run_project: Runs) -> None:
    sheet = of(run_project(zone(0, 4)), "A")["unit_cell"]

    assert "x = 0 m" in sheet.scopes["border_difference"]["s_bo1"].labels("border")


def test_fill_that_differs_by_rounding_over_a_zone_takes_no_load_off() -> None:
    """Heights between two typed places miss each other by their last digits; a tenth of a millimetre is unloading."""
    same, off = (np.array([[1.0], [1.0 - less]]) for less in (1e-15, 1e-4))

    for settled, falls in ((same, False), (off, True)):
        ground = object.__new__(GroundInTime)
        object.__setattr__(ground, "settled", settled)
        object.__setattr__(ground, "settled_long", settled)
        assert ground.unloads is falls


def test_largest_of_section_and_zone_governs_the_sleeve(run_project: Runs) -> None:
    """The wide zone would pass unseen in the grid of the section."""
    run = run_project(zone(6, 13))
    own, slope = (rated(of(run, key)["sleeve"])["ring_tension"] for key in ("A", "A.slope"))

    assert own < 1 < slope
    assert run.outcome == "fail"
    assert run.governing is not None
    assert run.governing[0].section.key == "A.slope"


def test_settlements_of_both_grids_at_a_border_are_those_of_each_grid_everywhere(run_project: Runs) -> None:
    """At the crest edge: the settlement there of a project with this grid alone, whichever side it stands on."""
    cell = of(run_project(zone(6, 13)), "A")["unit_cell"]
    edges = [
        of(run_project(grid(spacing)), "A")["unit_cell"].scopes["settlement"]["s"]
        .at(position="crest edge", load="G", stiffness=LONG, stage=FINAL) for spacing in (1.97, 2.5)
    ]  # fmt: skip
    scope, at = cell.scopes["border_difference"], {"stage": FINAL}
    own, other = (float(edge.array) for edge in edges)

    for border, left, right in (("x = 6 m", own, other), ("x = -6 m", other, own)):
        assert scope["s_bo1"].number({**at, "border": border}) == pytest.approx(left, rel=1e-9)
        assert scope["s_bo2"].number({**at, "border": border}) == pytest.approx(right, rel=1e-9)
    assert rated(cell)["settlement_borders"] * 0.40 == pytest.approx(
        max(
            abs(float(scope["Ds_bo"].number({**at, "border": label}) or 0)) for label in scope["Ds_bo"].labels("border")
        )
    )


def test_a_step_at_a_border_is_said_with_the_rows_beside_it(run_project: Runs) -> None:
    """By hand: half of either row distance; it stands beside the verdict on the difference, which it can turn."""
    cell = of(run_project(zone(6, 13)), "A")["unit_cell"]
    (said,) = [limitation for limitation in cell.limitations if limitation.key == "step-at-border"]

    # 12 m of the section are 8 distances of 1.5 m, 7 m of the zone 4 distances of 1.75 m.
    assert "over 1.62 m between their rows" in said.text
    assert "settlement_borders" in said.turns


def test_difference_to_the_crest_edge_is_judged_where_another_grid_stands_there(run_project: Runs) -> None:
    """The edge settles more than the centre: the magnitude counts, and without zones the question does not arise."""
    plain, zoned = (of(run_project(one), "A")["unit_cell"] for one in (grid(1.97), zone(6, 13)))
    scope, centre = zoned.scopes["limits"], {"stage": FINAL}

    assert "settlement_difference" not in rated(plain)
    assert (scope["s_sho"].number(centre) or 0) > (scope["s_cen"].number(centre) or 0)
    assert rated(zoned)["settlement_edge_of_zone"] > 0


def test_a_ratio_above_the_cell_of_a_zone_verifies_nothing(run_project: Runs) -> None:
    """The cell of the section has the ratio, that of the zone has not: what relies on it stays open, with the zone."""

    def high(document: Any) -> None:
        document["stage"][1]["n_stability"] = 5.9

    plain = of(run_project(both(grid(1.97), high)), "A")["unit_cell"].scopes["least_ratio"]["n_min"]
    slope = of(run_project(both(zone(6, 13, 1.05), high)), "A.slope")["unit_cell"].scopes["least_ratio"]["n_min"]
    assert (slope.number({"stage": FINAL}) or 0) < (plain.number({"stage": FINAL}) or 0)

    least = (slope.number({"stage": FINAL}) or 0) + 0.01

    def between(document: Any) -> None:
        document["stage"][1]["n_stability"] = round(least, 2)

    bearing = of(run_project(both(zone(6, 13, 1.05), between)), "A")["bearing"]
    assert any("A.slope: “Final”" in verdict.note for verdict in bearing.verdicts if verdict.key == "soft_bearing")


def test_the_reinforcement_takes_the_membrane_of_the_grid_that_tensions_it_most(run_project: Runs) -> None:
    """The wide zone spans farther; the free membrane counts, because no settlement difference is given."""
    run = run_project(both(zone(6, 13), held))
    own, slope = (of(run, key)["load_transfer"]["T_mqD"] for key in ("A", "A.slope"))
    taken = of(run, "A")["reinforcement"].scopes["across"]["T_GQ"]

    case = {"stage": FINAL, "factor_set": taken.labels("factor_set")[0]}
    at = {**case, "load": "G+Q", "stiffness": "short-term"}
    values = [one.number(at) or 0 for one in (own, slope)]
    assert taken.number(case) == pytest.approx(max(values))


def test_quantities_are_counted_by_grid(run_project: Runs) -> None:
    """By hand: 100 m of rows of the grid and of the zone, each rounded up; the rows as they are drawn."""

    def counted(document: Any) -> None:
        document["construction"] = {"quantities": {
            "length": "100 m", "sleeve_top": "0.5 m", "sleeve_toe": "0.5 m", "fill_excess": 1.1, "source": "invented",
        }}  # fmt: skip

    sheet = of(run_project(both(zone(6, 13), counted)), "A")["construction"]
    (table,) = [one for one in sheet.page.tables if one.key == "column-grids"]
    whole = sheet.scopes["quantities"]
    counts = [float(np.ceil(rows * 100 / spacing)) for rows, spacing in ((8 + 2 + 2, 1.97), (2 * 4, 2.5))]

    for scope, count in zip((sheet.scopes[name] for name in ("grid", "grid_slope")), counts, strict=True):
        assert float(scope["N_col"].array) == count
    assert float(whole["N_col"].array) == sum(counts)
    assert [row[0] for row in table.rows] == ["A", "A.slope"]


def test_drainage_is_verified_for_the_cell_of_a_zone(run_project: Runs) -> None:
    """Its columns take off more water each; soils, sleeve and estimates are those of the section."""

    def drained(document: Any) -> None:
        document["columns"]["fill"]["k"] = "1e-4 m/s"
        document["filters"] = {"drainage": {"ends": "top", "head_loss_max": "0.5 m", "well_resistance_max": 0.5,
                                            "source": "invented"}}  # fmt: skip

    run = run_project(both(zone(6, 13), drained))
    loss = [rated(of(run, key)["filters"])["head_loss"] for key in ("A", "A.slope")]

    assert loss[1] > loss[0]
    assert {verdict.key for verdict in of(run, "A.slope")["filters"].verdicts} <= {"head_loss", "well_resistance"}


def test_what_no_grid_decides_alone_takes_the_one_on_the_safe_side(run_project: Runs) -> None:
    """Thrust that the ground carries: the soil of the densest grid; shear of the ground below the reinforcement too."""

    def carried(document: Any) -> None:
        document["field"]["thrust_in_ground"] = 0.2

    thrust = of(run_project(both(zone(6, 13), carried, held)), "A")["thrust"]
    ratios = [scope["a_E"] for name, scope in thrust.scopes.items() if "a_E" in scope.values]

    assert ratios
    assert all(float(ratio.array) == pytest.approx(area_ratio(1.97)) for ratio in ratios)


def test_a_programme_is_not_searched_for_zones(tmp_path: Path) -> None:
    """One message says so, with the zones."""
    (tmp_path / "project.toml").write_text(high_bank(), encoding="utf-8")
    design = read_design(tmp_path)

    message = "section R: a programme is searched for one grid of columns, not by zones (slope)."
    with pytest.raises(OpenError, match=re.escape(message)):
        Search(design, design.sections[0], Wish(1.0, 0.0, 3650.0, cautious=False))


def test_the_page_of_the_columns_shows_every_grid_in_its_place(run_project: Runs) -> None:
    """A row for each strip from left to right, and the rows in plan."""
    page = of(run_project(zone(6, 13)), "A")["columns"].page

    (table,) = [table for table in page.tables if table.key == "grids"]
    assert [row[1] for row in table.rows] == ["A", "slope", "A", "slope", "A"]
    assert [row[-1] for row in table.rows][-1] == "–"
    assert any(getattr(figure, "key", "") == "grids" for figure in page.figures)


def test_the_cross_section_names_every_grid_over_its_strip(run_project: Runs) -> None:
    """By hand: the crest of 12 m and the columns 9 m beyond its edges; the distances of the rows stand below it."""
    page = of(run_project(zone(6, 13)), "A")["basis"].page
    scene = next(one for one in page.figures if isinstance(one, Scene))
    named = {(item.x1, item.x2): item.text for item in scene.items if isinstance(item, Dimension)}

    ends = [(-15, -13), (-13, -6), (-6, 6), (6, 13), (13, 15)]
    assert [named[one] for one in ends] == ["A", "slope", "A", "slope", "A"]
    assert "slope 1.75 m, spacing 2.50 m" in scene.note


def test_a_rig_loads_the_widest_cell(run_project: Runs) -> None:
    """The head takes the load of its whole cell: that of the zone where its grid is wider, and only there."""
    heads = [
        of(run_project(both(zone(6, 13, spacing), on_platform())), "A")["platform"].scopes["heads"]["A_E"].array
        for spacing in (2.5, 1.7)
    ]

    assert [float(head) for head in heads] == pytest.approx([np.sqrt(3) / 2 * 2.5**2, np.sqrt(3) / 2 * 1.97**2])


def test_neighbours_are_displaced_by_the_densest_grid(run_project: Runs) -> None:
    """An upper bound of the volume that the columns displace."""
    ratios = [
        float(of(run_project(both(beside(), zone(6, 13, spacing))), "A")["neighbours"]["a_E"].array)
        for spacing in (2.5, 1.7)
    ]

    assert ratios == pytest.approx([area_ratio(1.97), area_ratio(1.7)])


def test_neighbours_are_counted_from_the_outermost_grid(run_project: Runs) -> None:
    """Half the spacing beyond the outermost columns: of a zone where it stands there, else of the section."""
    changes = (zone(6, 15, 2.5), zone(6, 13, 2.5), zone(6, 15, 2.5, mirrored=False))
    found = [of(run_project(both(beside(), change)), "A")["neighbours"]["a_x"] for change in changes]

    assert [float(one.array) for one in found] == [2.5, 1.97, 2.5]


def test_monitoring_says_that_its_levels_are_those_of_the_grid_of_the_section(run_project: Runs) -> None:
    """It stands beside the triggers."""
    change = monitoring_case.timed(monitoring_case.watched(monitoring_case.trigger("settlement", "0.9 m")))
    sheet = of(run_project(both(change, zone(6, 13))), "A")["monitoring"]

    (said,) = [limitation for limitation in sheet.limitations if limitation.key == "column-zones"]
    assert "“slope”" in said.text
    assert said.turns


def test_levels_on_which_the_wedge_relies_stay_open_in_other_grids(run_project: Runs) -> None:
    """The stress ratio that the design counts on fits with the grid of the section; with a zone nothing tells it."""
    change = monitoring_case.timed(monitoring_case.watched(
        monitoring_case.trigger("stress ratio", "design"), monitoring_case.trigger("settlement", "0.9 m")
    ))  # fmt: skip
    states, findings = [], []
    for one in (grid(1.97), zone(3, 15, 1.9)):
        sheet = of(run_project(both(change, soft, one, held)), "A")["monitoring"]
        states.append({verdict.key: verdict.state for verdict in sheet.verdicts})
        findings.append({one.trigger.quantity: one.finding for one in sheet.kept["judged"]})

    for key in ("trigger_n_expected", "trigger_n_design"):
        assert [state[key] for state in states] == ["pass", "not verified"]
    assert [finding["stress ratio"] for finding in findings] == ["fits", "open in the zones of the columns"]
    assert {state["trigger_s_expected"] for state in states} == {"pass"}
