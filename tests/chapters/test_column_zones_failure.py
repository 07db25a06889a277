"""Zones of the columns where the bank may fail: extruding wedge, slip surfaces, gain of strength by each grid."""

from dataclasses import replace
from pathlib import Path
from types import SimpleNamespace
from typing import Any, cast

import numpy as np
import pytest
import tomlkit

from calc.chain import Run, run_checks
from calc.chapters.bearing.wedge_zones import AT_EDGE, alike
from calc.chapters.stability.cut_columns import _ratio_at
from calc.chapters.stability.slip_zones import ZoneInSlip
from calc.chapters.stability.stage_model import Case, ZoneCase, strips_with_gain
from calc.chapters.stability.states import END, END_CELL, LIFT, LIFT_CELL
from calc.engine.sheet import Axis, Origin, Sheet, Value
from calc.inputs import read_design
from calc.procedures.failures import ProcedureError
from calc.procedures.slip import Grid
from tests.chapters.timed import timed
from tests.chapters.zone_case import FINAL, Runs, area_ratio, both, grid, held, of, rated, searched, soft, zone
from tests.willow import high_bank


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
        found = zoned[symbol].at(stage=at)
        found = found.at(plane=AT_EDGE) if "plane" in found.axis_names else found
        np.testing.assert_allclose(found.array, alone[symbol].at(stage=at).array, rtol=1e-12)


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
        case = {"stage": FINAL, "plane": AT_EDGE}
        found = {name: scope[name].number(case) for name in ("a_Ei", "a_Ew", "a_Eb", "a_Ex")}
        counted = mean if near > far else near
        assert found == pytest.approx({"a_Ei": near, "a_Ew": mean, "a_Eb": counted, "a_Ex": max(near, far)})


def test_columns_that_end_before_the_zone_meet_the_nearest_grid(run_project: Runs) -> None:
    """A stage whose crest edge lies beyond the columns has the outermost grid at its inner plane, along no length."""

    def short(document: Any) -> None:
        document["field"] |= {"beyond_left": "4 m", "beyond_right": "4 m"}

    scope = wedge(run_project(both(zone(5, 10), short, soft, held)))

    case = {"stage": "1 First lift", "plane": AT_EDGE}
    assert scope["a_Ei"].number(case) == pytest.approx(area_ratio(2.5))
    assert scope["a_Ew"].number(case) == pytest.approx(area_ratio(2.5))


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
        document = tomlkit.parse(high_bank())
        del document["slip"]
        change(document)
        (tmp_path / "project.toml").write_text(tomlkit.dumps(document), encoding="utf-8")
        found.append(rated(of(run_checks(read_design(tmp_path)), "R")["bearing"])["squeeze_lift"])

    assert found[0] < 1 < found[1]


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
    for plane in (AT_EDGE, "at x = 6 m, left of it", "at x = -6 m, right of it"):
        assert wedge(run)["Dc_u"].number({**case, "plane": plane}) == pytest.approx(gains[1])


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

    assert sheet.scopes["lift_shares"]["mu_sL"].number({"stage": "3 Final", "factor_set": "EN 1997-1 DA1-1"}) is None
    assert (
        of(run, "A")["stability"]
        .scopes["slip_lift"]["F_Bi"]
        .number({"stage": "3 Final", "factor_set": "EN 1997-1 DA1-1"})
    )


def test_a_zone_whose_columns_have_no_share_of_a_stress_is_refused() -> None:
    """No share is not the share of ground without columns: a factor of safety by that would be a number of nothing."""
    sheet = Sheet(section="A.slope", key="stability")
    sheet.axis("stage", ("0", "1 Lift"))
    rule, none = Origin("project rule", text="test"), np.array([False, True])
    sheet.given("a_E", 0.15, origin=rule)
    scope = sheet.scope(*LIFT.shares)
    for name in ("mu_sL", "mu_cL", "mu_sb"):
        scope.reading(name, [0.5, 0.5], ["stage"], title="test", mask=none, reason="nothing", origins=[rule])
    part = SimpleNamespace(done={"stability": sheet}, zone=SimpleNamespace(key="slope", strips=()))

    with pytest.raises(ProcedureError, match="the zone slope in “Lift”, where its columns have no share"):
        list(ZoneInSlip(cast("Any", part), own_length=False).strips(LIFT, {"stage": "1 Lift"}))


def test_numbers_of_a_zone_line_up_with_those_of_the_section_where_one_of_them_has_the_ratio_of_the_cell() -> None:
    """Without a gain in one of both, that one has no such ratio: what it has stands for both, or the least counts."""
    stage, ratio = Axis("stage", ("0", "1")), Axis("ratio", ("given", "cell"))
    plain = Value("Dc_u", np.array([1.0, 2.0]), (stage,))
    twice = Value("Dc_u", np.array([[3.0, 1.0], [4.0, 5.0]]), (stage, ratio))

    assert alike(plain, plain).tolist() == [1.0, 2.0]
    assert alike(plain, twice).tolist() == [[1.0, 1.0], [2.0, 2.0]]
    assert alike(twice, plain).tolist() == [1.0, 4.0]


def test_a_zone_without_gain_is_searched_by_the_ratio_for_stability() -> None:
    """The states by the ratio of the cell go back to those that it has."""
    assert [one.by_given for one in (LIFT_CELL, END_CELL, LIFT, END)] == [LIFT, END, LIFT, END]


def test_without_undrained_strength_the_soil_alone_stays_open_in_a_zone_as_in_its_section(run_project: Runs) -> None:
    """It is said once, in the section."""

    def unknown(document: Any) -> None:
        document["section"][0]["layer"][0].pop("c_u")

    run = run_project(both(zone(6, 13), unknown))
    keys = {verdict.key for verdict in of(run, "A")["bearing"].verdicts if verdict.state == "not verified"}

    assert "soft_bearing" in keys
    assert "soft_bearing" not in {verdict.key for verdict in of(run, "A.slope")["bearing"].verdicts}


def test_compensation_fill_counts_nowhere_beyond_the_final_crest(run_project: Runs) -> None:
    """Neither in a zone there nor at its border."""

    def filled(document: Any) -> None:
        document["section"][0]["makeup_fill"] = True
        document["embankment"]["gamma_sub"] = "10 kN/m^3"

    run = run_project(both(zone(6, 13), filled))
    own, slope = (of(run, key)["unit_cell"].scopes for key in ("A", "A.slope"))

    assert float(np.max(own["settlement"]["p_M"].array)) > 0
    assert float(np.max(own["borders"]["p_M"].array)) == 0
    assert float(np.max(slope["settlement"]["p_M"].array)) == 0


def test_a_column_that_is_cut_has_the_area_ratio_of_its_grid() -> None:
    """Of a zone between 6 m and 13 m in a field with another grid."""
    own, dense = ({"a_E": SimpleNamespace(array=np.array(ratio))} for ratio in (0.12, 0.19))
    place = SimpleNamespace(zone=SimpleNamespace(strips=((6.0, 13.0),)))
    searches: Any = SimpleNamespace(zones=(SimpleNamespace(zone=place, sheet=dense),), sheet=own)

    assert [_ratio_at(searches, x) for x in (5.9, 7.65, 13.1)] == [0.12, 0.19, 0.12]
