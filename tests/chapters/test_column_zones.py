"""Zones of the columns: cells of every grid in its place, what differs at their borders, what reads them further on."""

import re
from collections.abc import Callable
from dataclasses import replace
from pathlib import Path
from typing import Any, cast

import numpy as np
import pytest
import tomlkit

from calc.chain import Run, run_checks
from calc.chapters.stability.model import Case, ZoneCase, strips_with_gain
from calc.engine.sheet import Sheet
from calc.inputs import read_design
from calc.procedures.slip import Grid
from calc.study.programme import OpenError, Search, Wish
from tests.chapters import monitoring_case
from tests.chapters.mats import layer
from tests.chapters.neighbour_case import beside
from tests.chapters.rig_case import on_platform
from tests.chapters.timed import timed

Change = Callable[[Any], None]
Runs = Callable[..., Run]
BANK = Path(__file__).parents[2] / "projects" / "willow-reach" / "project.toml"
LONG, FINAL = "long-term", "2 Final"


def zone(left: float, right: float, spacing: float = 2.5, *, key: str = "slope", mirrored: bool = True) -> Change:
    """A zone of the test project, whose columns reach 9 m beyond the crest edges at 6 m."""

    def change(document: Any) -> None:
        found = {"key": key, "x_left": f"{left} m", "x_right": f"{right} m", "mirrored": mirrored}
        found |= {"pattern": "triangular", "spacing": f"{spacing} m"}
        document["columns"]["zone"] = [*document["columns"].get("zone", []), found]
        document["field"] = {**document.get("field", {}), "beyond_left": "9 m", "beyond_right": "9 m"}

    return change


def grid(spacing: float) -> Change:
    def change(document: Any) -> None:
        document["columns"]["spacing"] = f"{spacing} m"
        document["field"] = {"beyond_left": "9 m", "beyond_right": "9 m"}

    return change


def of(run: Run, key: str) -> dict[str, Sheet]:
    return next({one.key: one for one in part.sheets} for part in run.sections if part.section.key == key)


def numbers(sheets: dict[str, Sheet]) -> dict[str, Any]:
    return {step.key: step.value.lanes() for sheet in sheets.values() for step in sheet.steps}


def both(*changes: Change) -> Change:
    def change(document: Any) -> None:
        for one in changes:
            one(document)

    return change


def rated(sheet: Sheet) -> dict[str, float]:
    return {one.key: one.utilisation for one in sheet.verdicts if one.utilisation is not None}


def held(document: Any) -> None:
    document["reinforcement"] = [layer("one", "both", strength="2000 kN/m")]


def soft(document: Any) -> None:
    for one in document["section"][0]["layer"]:
        one["c_u"] = "9 kPa"


def searched(document: Any) -> None:
    document["slip"] = {"water_mode": "vertical", "min_depth": "6.5 m", "drained": False, "centres": 4, "levels": 4,
                        "slices": 10}  # fmt: skip


def test_a_zone_with_the_grid_of_the_section_changes_no_digit(run_project: Runs) -> None:
    """It is no zone: one section runs, with the numbers of one without it."""
    with_zone, without = run_project(zone(6, 13, 1.97)), run_project(grid(1.97))

    assert [part.section.key for part in with_zone.sections] == ["A"]
    assert numbers(of(with_zone, "A")) == numbers(of(without, "A"))


def test_the_cell_of_a_zone_is_that_of_its_grid_under_the_full_height(run_project: Runs) -> None:
    """A zone that begins at the crest edge has the full height there, without the traffic on the crest."""

    def idle(document: Any) -> None:
        del document["traffic"]
        document["stage"][1]["traffic"] = False

    cell = of(run_project(zone(6, 13)), "A.slope")["unit_cell"]
    alone = of(run_project(both(grid(2.5), idle)), "A")["unit_cell"]

    for scope, symbol in (("settlement", "s"), ("ring", "F_Ri"), ("elastic_plastic", "s_EP"), ("tension", "n")):
        np.testing.assert_array_equal(cell.scopes[scope][symbol].array, alone.scopes[scope][symbol].array)
    assert float(cell["q"].array) == 0


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


def test_traffic_counts_below_the_crest_alone(run_project: Runs) -> None:
    """A zone that reaches below the crest carries the traffic of 20 kPa on all of it."""
    assert float(of(run_project(zone(3, 13)), "A.slope")["unit_cell"]["q"].array) == 20


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
    own, other = (float(one.array) for one in edges)

    for border, left, right in (("x = 6 m", own, other), ("x = -6 m", other, own)):
        assert scope["s_bo1"].number({**at, "border": border}) == pytest.approx(left, rel=1e-9)
        assert scope["s_bo2"].number({**at, "border": border}) == pytest.approx(right, rel=1e-9)
    assert rated(cell)["settlement_borders"] * 0.40 == pytest.approx(
        max(abs(float(scope["Ds_bo"].number({**at, "border": one}) or 0)) for one in scope["Ds_bo"].labels("border"))
    )


def test_difference_to_the_crest_edge_is_judged_where_another_grid_stands_there(run_project: Runs) -> None:
    """The edge settles more than the centre: the magnitude counts, and without zones the question does not arise."""
    plain, zoned = (of(run_project(one), "A")["unit_cell"] for one in (grid(1.97), zone(6, 13)))
    scope, centre = zoned.scopes["limits"], {"stage": FINAL}

    assert "settlement_difference" not in rated(plain)
    assert (scope["s_sho"].number(centre) or 0) > (scope["s_cen"].number(centre) or 0)
    assert rated(zoned)["settlement_edge_of_zone"] > 0


def test_mirrored_zones_have_mirrored_verdicts(run_project: Runs) -> None:
    """A zone on the left alone and the same on the right alone: what holds on one side holds on the other."""
    loose = both(soft, held)
    right = rated(of(run_project(both(zone(6, 13, mirrored=False), loose)), "A")["bearing"])
    left = rated(of(run_project(both(zone(-13, -6, mirrored=False), loose)), "A")["bearing"])

    sided = {key for key in right if key.endswith(("_left", "_right"))}
    assert sided
    for key in sided:
        other = key.replace("_left", "_?").replace("_right", "_left").replace("_?", "_right")
        assert right[key] == pytest.approx(left[other], rel=1e-9), key


def wedge(run: Run, side: str = "") -> Any:
    return of(run, "A")["bearing"].scopes[f"squeeze{side}"]


def test_a_wedge_wholly_in_a_zone_is_that_of_its_grid_everywhere(run_project: Runs) -> None:
    """Resistance and pressure of the wedge below a slope whose zone reaches from below the crest to the last column."""
    zoned = wedge(run_project(both(zone(3, 15), soft, held)))
    alone = wedge(run_project(both(grid(2.5), soft, held)))
    at = [label for label in alone["p_Rxd"].labels("stage") if label == FINAL]

    for symbol in ("p_sE", "p_Rxd", "tau_i", "tau_b", "D_sq"):
        np.testing.assert_allclose(zoned[symbol].at(stage=at).array, alone[symbol].at(stage=at).array, rtol=1e-12)


def test_a_denser_zone_below_the_slope_strengthens_the_wedge(run_project: Runs) -> None:
    """Between the grid of the section everywhere and the dense grid everywhere."""
    safety = [
        float(np.nanmin(wedge(run_project(both(change, soft, held)))["F_x"].at(stage=FINAL).array))
        for change in (grid(2.5), both(grid(2.5), zone(5, 12.5, 1.7)), grid(1.7))
    ]

    assert safety[0] < safety[1] < safety[2]


def test_ratios_in_the_wedge_follow_the_lengths_of_its_zones(run_project: Runs) -> None:
    """By hand: 9 m from the crest edge to the last column, 6.5 m of them in the zone; a rise outward does not count."""
    inner, outer = (area_ratio(1.7), area_ratio(2.5))
    dense_inside = wedge(run_project(both(grid(2.5), zone(5, 12.5, 1.7), soft, held)))
    dense_outside = wedge(run_project(both(grid(1.7), zone(5, 12.5, 2.5), soft, held)))

    for scope, near, far in ((dense_inside, inner, outer), (dense_outside, outer, inner)):
        mean = (6.5 * near + 2.5 * far) / 9
        found = {name: scope[name].number({"stage": FINAL}) for name in ("a_Ei", "a_Ew", "a_Eb", "a_Ex")}
        counted = mean if near > far else near
        assert found == pytest.approx({"a_Ei": near, "a_Ew": mean, "a_Eb": counted, "a_Ex": max(near, far)})


def area_ratio(spacing: float) -> float:
    return float(np.pi * 0.8**2 / 4 / (np.sqrt(3) / 2 * spacing**2))


def test_columns_that_end_before_the_zone_meet_the_nearest_grid(run_project: Runs) -> None:
    """A stage whose crest edge lies beyond the columns has the outermost grid at its inner plane, along no length."""

    def short(document: Any) -> None:
        document["field"] |= {"beyond_left": "4 m", "beyond_right": "4 m"}

    scope = wedge(run_project(both(zone(5, 10), short, soft, held)))

    assert scope["a_Ei"].number({"stage": "1 First lift"}) == pytest.approx(area_ratio(2.5))
    assert scope["a_Ew"].number({"stage": "1 First lift"}) == pytest.approx(area_ratio(2.5))


def test_slip_surfaces_lie_between_those_of_the_grids_everywhere(run_project: Runs) -> None:
    """Every state; the dense zone where the columns carry holds more than the wide grid everywhere."""
    names = ("slip", "slip_lift", "slip_cell", "slip_lift_cell")
    found = []
    for change in (grid(2.5), both(grid(2.5), zone(5, 12.5, 1.7)), grid(1.7)):
        scopes = of(run_project(both(change, soft, held, searched)), "A")["stability"].scopes
        found.append({name: scopes[name]["F_Bi"].array[:, -1] for name in names if name in scopes})

    wide, zoned, dense = found
    assert set(zoned) >= {"slip", "slip_lift"}
    for name in ("slip", "slip_lift"):
        assert (wide[name] < zoned[name]).all()
        assert (zoned[name] < dense[name]).all()


def test_a_bank_that_fails_with_the_wide_grid_under_its_slopes_stands_with_the_denser_zone(tmp_path: Path) -> None:
    """The example: without its zone the soft ground is extruded while the last lift is placed."""
    found = []
    for change in (lambda _: None, lambda document: document["columns"].pop("zone")):
        document = tomlkit.parse(BANK.read_text(encoding="utf-8"))
        del document["slip"]
        change(document)
        (tmp_path / "project.toml").write_text(tomlkit.dumps(document), encoding="utf-8")
        found.append(rated(of(run_checks(read_design(tmp_path)), "R")["bearing"])["squeeze_lift"])

    assert found[0] < 1 < found[1]


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
    assert any("A.slope: “Final”" in one.note for one in bearing.verdicts if one.key == "soft_bearing")


def test_the_reinforcement_takes_the_membrane_of_the_grid_that_tensions_it_most(run_project: Runs) -> None:
    """The wide zone spans farther; the free membrane counts, because no settlement difference is given."""
    run = run_project(both(zone(6, 13), held))
    own, slope = (of(run, key)["load_transfer"]["T_mqD"] for key in ("A", "A.slope"))
    taken = of(run, "A")["reinforcement"].scopes["across"]["T_GQ"]

    case = {"stage": FINAL, "variant": taken.labels("variant")[0]}
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
    scope, rows = sheet.scopes["grids"], (8 + 2 + 2, 2 * 4)

    assert scope["N_row"].array.tolist() == list(rows)
    assert scope["N_col"].array.tolist() == [np.ceil(rows[0] * 100 / 1.97), np.ceil(rows[1] * 100 / 2.5)]
    assert float(sheet.scopes["quantities"]["N_col"].array) == scope["N_col"].array.sum()
    assert any(one.key == "column-grids" for one in sheet.page.tables)


def test_drainage_is_verified_for_the_cell_of_a_zone(run_project: Runs) -> None:
    """Its columns take off more water each; soils, sleeve and estimates are those of the section."""

    def drained(document: Any) -> None:
        document["columns"]["fill"]["k"] = "1e-4 m/s"
        document["filters"] = {"drainage": {"ends": "top", "head_loss_max": "0.5 m", "well_resistance_max": 0.5,
                                            "source": "invented"}}  # fmt: skip

    run = run_project(both(zone(6, 13), drained))
    loss = [rated(of(run, key)["filters"])["head_loss"] for key in ("A", "A.slope")]

    assert loss[1] > loss[0]
    assert {one.key for one in of(run, "A.slope")["filters"].verdicts} <= {"head_loss", "well_resistance"}


def test_what_no_grid_decides_alone_takes_the_one_on_the_safe_side(run_project: Runs) -> None:
    """Thrust that the ground carries: the soil of the densest grid; shear of the ground below the reinforcement too."""

    def carried(document: Any) -> None:
        document["field"]["thrust_in_ground"] = 0.2

    thrust = of(run_project(both(zone(6, 13), carried, held)), "A")["thrust"]
    ratios = [scope["a_E"] for name, scope in thrust.scopes.items() if "a_E" in scope.values]

    assert ratios
    assert all(float(one.array) == pytest.approx(area_ratio(1.97)) for one in ratios)


def test_a_programme_is_not_searched_for_zones(tmp_path: Path) -> None:
    """One message says so, with the zones."""
    (tmp_path / "project.toml").write_text(BANK.read_text(encoding="utf-8"), encoding="utf-8")
    design = read_design(tmp_path)

    message = "section R: a programme is searched for one grid of columns, not by zones (slope)."
    with pytest.raises(OpenError, match=re.escape(message)):
        Search(design, design.sections[0], Wish(1.0, 0.0, 3650.0, cautious=False))


def test_the_page_of_the_columns_shows_every_grid_in_its_place(run_project: Runs) -> None:
    """A row for each strip from left to right, and the rows in plan."""
    page = of(run_project(zone(6, 13)), "A")["columns"].page

    (table,) = [one for one in page.tables if one.key == "grids"]
    assert [row[1] for row in table.rows] == ["A", "slope", "A", "slope", "A"]
    assert [row[-1] for row in table.rows][-1] == "–"
    assert any(getattr(one, "key", "") == "grids" for one in page.figures)


def test_a_rig_loads_the_widest_cell(run_project: Runs) -> None:
    """The head takes the load of its whole cell: that of the zone where its grid is wider, and only there."""
    heads = [
        of(run_project(both(zone(6, 13, spacing), on_platform())), "A")["platform"].scopes["heads"]["A_E"].array
        for spacing in (2.5, 1.7)
    ]

    assert [float(one) for one in heads] == pytest.approx([np.sqrt(3) / 2 * 2.5**2, np.sqrt(3) / 2 * 1.97**2])


def test_neighbours_are_displaced_by_the_densest_grid(run_project: Runs) -> None:
    """An upper bound of the volume that the columns displace."""
    ratios = [
        float(of(run_project(both(beside(), zone(6, 13, spacing))), "A")["neighbours"]["a_E"].array)
        for spacing in (2.5, 1.7)
    ]

    assert ratios == pytest.approx([area_ratio(1.97), area_ratio(1.7)])


def test_monitoring_says_that_its_levels_are_those_of_the_grid_of_the_section(run_project: Runs) -> None:
    """It stands beside the triggers."""
    change = monitoring_case.timed(monitoring_case.watched(monitoring_case.trigger("settlement", "0.9 m")))
    sheet = of(run_project(both(change, zone(6, 13))), "A")["monitoring"]

    (said,) = [one for one in sheet.limitations if one.key == "column-zones"]
    assert "“slope”" in said.text
    assert said.turns


def gaining(document: Any) -> None:
    """Very soft ground whose gain is calculated, between long waits."""
    timed()(document)
    for one in document["section"][0]["layer"]:
        one.update(OCR=1.0, c_u="1 kPa")
    document["stage"][1].update(c_u_gain="consolidation", start="330 d")


def test_every_zone_drains_by_its_own_cell_and_gains_by_its_own_degree(run_project: Runs) -> None:
    """The wide zone drains more slowly and gains less; slip surfaces and wedge count each gain where it was reached."""
    run = run_project(both(gaining, zone(6, 13, 3.2), held, searched))
    own, slope = (of(run, key)["bearing"]["Dc_u"] for key in ("A", "A.slope"))
    case = {"stage": FINAL, "ratio": "n for stability"}
    gains = [one.number(case) or 0 for one in (own, slope)]
    stability = of(run, "A")["stability"]

    assert gains[0] > gains[1] > 0
    for scope, gain in (("slip_gain", gains[0]), ("slip_gain_slope", gains[1])):
        assert stability.scopes[scope]["Dc_u"].number({"stage": FINAL}) == pytest.approx(gain)
    assert wedge(run)["Dc_u"].number(case) == pytest.approx(gains[1])


def test_lenses_with_gain_lie_in_the_strip_of_their_grid() -> None:
    """From the middle of one slope to that of the other, each strip with its scope; none without a gain there."""
    zones = tuple(ZoneCase(Grid(low, high, 0.1, 0.8, 2.8), gain) for low, high, gain in
                  ((-12.0, -5.0, "wide"), (5.0, 8.0, ""), (8.0, 12.0, "far"), (13.0, 14.0, "beyond")))  # fmt: skip
    places = {"x_ml": -10.0, "x_mr": 10.0}
    case = Case(
        cast("Any", None), cast("Any", None), lambda _, name: places[name], drained=False, shares=(1.0, 1.0), a_E=0.1,
        gain="own", zones=zones,
    )  # fmt: skip

    assert list(strips_with_gain(case)) == [
        (-10.0, -5.0, "wide"), (-5.0, 5.0, "own"), (5.0, 8.0, ""), (8.0, 10.0, "far"),
    ]  # fmt: skip
    assert list(strips_with_gain(replace(case, gain=""))) == []


def test_a_zone_over_which_nothing_is_placed_keeps_the_shares_of_the_stage_before(run_project: Runs) -> None:
    """Far down the slope the last lift adds no height: what lies there keeps its share while it is placed."""

    def lifted(document: Any) -> None:
        middle = dict(document["stage"][0])
        document["stage"].insert(1, {**middle, "name": "Second lift", "fill_height": "4 m", "start": "80 d"})
        for one in document["stage"]:
            one["plant"] = "0 kPa"

    run = run_project(both(zone(12, 15), lifted, soft, held, searched))
    sheet = of(run, "A.slope")["stability"]

    assert sheet.scopes["lift_shares"]["mu_sL"].number({"stage": "3 Final", "variant": "EN 1997-1 DA1-1"}) is None
    assert (
        of(run, "A")["stability"].scopes["slip_lift"]["F_Bi"].number({"stage": "3 Final", "variant": "EN 1997-1 DA1-1"})
    )
