"""Chapter on bearing: the soil alone as a sufficient condition, the extruding wedge with columns, ground beyond."""

from collections.abc import Callable
from typing import Any

import numpy as np
import pytest

from calc.chapters.shared.frame import CELL_RATIO, GIVEN_RATIO
from calc.chapters.shared.rests import COLUMNS
from calc.engine.sheet import Sheet
from calc.procedures.extrusion import Wedge, beyond_columns, critical_thickness, rows_needed
from tests.chapters.mats import layer
from tests.chapters.test_bearing import A_C, A_E, FINAL, FIRST, SECOND, found
from tests.chapters.timed import Change, reach

LIFT = "1 First lift"
AT = {"factor_set": SECOND, "stage": FINAL, "ratio": GIVEN_RATIO}
SLIP = {"water_mode": "vertical", "min_depth": "2 m", "drained": True}
Bearing = Callable[..., Sheet]


def soft(document: Any) -> None:
    """Ground that does not bear its share alone, with what the wedge relies on."""
    for one, top in zip(document["section"][0]["layer"], (18.0, 20.5), strict=True):
        one["c_u"], one["c_u_growth"] = f"{top} kPa", "1 kPa/m"
    document["slip"] = dict(SLIP)
    document["reinforcement"] = [layer("one", "across")]


def late(document: Any) -> None:
    """Reinforcement above the first lift, on ground that does not bear that lift alone."""
    document["reinforcement"][0]["level"] = "3.00 m"
    for one in document["section"][0]["layer"]:
        one["c_u"] = "4 kPa"


def columns_to(distance: str) -> Change:
    def change(document: Any) -> None:
        document["field"] = {"beyond_left": distance, "beyond_right": distance}

    return change


def field(**values: Any) -> Change:
    def change(document: Any) -> None:
        document["field"] |= values

    return change


def factor_set(name: str) -> Change:
    def change(document: Any) -> None:
        document["basis"]["factor_sets"] = [name]

    return change


def test_soil_that_bears_its_share_alone_settles_extrusion_without_a_gain(bearing: Bearing) -> None:
    def no_gain(document: Any) -> None:
        del document["stage"][1]["c_u_gain"]
        for one in document["section"][0]["layer"]:
            one["c_u"] = "40 kPa"

    sheet = bearing(no_gain)

    for key, alone in (("squeeze_lift", "soft_bearing_lift"), ("squeeze", "soft_bearing")):
        assert found(sheet, alone).state == "pass"
        assert (found(sheet, key).state, found(sheet, key).utilisation) == ("pass", None)
        assert f"“{found(sheet, alone).title}”" in found(sheet, key).note
        assert key not in sheet.scopes


def test_gain_leaves_extrusion_to_the_wedge(bearing: Bearing) -> None:
    """A gain ends at mid-slope, so that a pass of the soil alone with it does not settle the slope."""
    sheet = bearing(soft, lambda document: [one.update(c_u="30 kPa") for one in document["section"][0]["layer"]])

    assert found(sheet, "soft_bearing").state == "pass"
    assert found(sheet, "squeeze").case["stage"] == FINAL
    assert (
        "Governs in “Final”, where the soft ground does not pass by itself. Relies on" in found(sheet, "squeeze").note
    )


def test_soil_alone_that_fails_decides_nothing(bearing: Bearing) -> None:
    sheet = bearing(soft)
    alone, wedge = found(sheet, "soft_bearing"), found(sheet, "squeeze")

    assert (alone.state, alone.required, alone.utilisation) == ("not verified", False, None)
    worst = float(np.nanmax(1 / sheet.scopes["soft"]["F_so"].at(stage=FINAL, ratio=GIVEN_RATIO).array))
    assert f"{worst:.3f}" in alone.note
    assert "for information" in alone.note
    assert wedge.state == "pass"
    assert 0 < (wedge.utilisation or 0) < worst


def test_soil_alone_that_fails_without_circles_is_not_verified(bearing: Bearing) -> None:
    sheet = bearing(soft, lambda document: document.pop("slip"))

    assert (found(sheet, "soft_bearing").state, found(sheet, "soft_bearing").required) == ("not verified", True)
    assert "no slip searches are given (field slip)" in found(sheet, "soft_bearing").note


def test_wedge_of_the_chapter_is_that_of_the_plain_function(bearing: Bearing) -> None:
    """Columns and mat over 9 m of a slope of 12 m, gain of 8 kPa to mid-slope, by hand into one function."""
    scope = bearing(soft, field(hold_top=0.5)).scopes["squeeze"]
    top, growth = 18 / 1.4, 1 / 1.4
    share = 3 / (1 + 2 * A_E)
    phi = float(scope["phi_cd"].at(factor_set=SECOND, stage=FINAL).array)
    wedge = Wedge(
        top + 8 / 1.4, top + 8 * 6 / 9 / 1.4, top, growth, 12.0, 9.0, 0.5, A_E, A_C / A_E, 0.8, phi,
        float(scope["gamma_ceff"].array), share * 114, 9.0,
    )  # fmt: skip
    D, least = critical_thickness(wedge.resistance, 6.5)

    assert scope["c_u0k"].array == pytest.approx(18.0)
    assert scope["D_sq"].at(**AT).array == pytest.approx(float(D), rel=1e-6)
    assert scope["p_Rx"].at(**AT).array == pytest.approx(float(least), rel=1e-9)
    assert scope["F_x"].at(**AT).array == pytest.approx(float(least) / float(scope["p_sE"].at(**AT).array))


def test_columns_under_a_lift_carry_the_stage_before_and_their_part_of_the_lift(bearing: Bearing) -> None:
    """2 m at the ratio 1.5; of the 4 m that follow nothing is transferred without the chapter on consolidation."""
    scope = bearing(soft).scopes["squeeze_lift"]

    assert scope["p_cN"].at(stage=FINAL).array == pytest.approx(1.5 / (1 + 0.5 * A_E) * 38 + 76)


def test_cell_ratio_lowers_load_and_gain_but_not_what_the_columns_are_counted_with(bearing: Bearing) -> None:
    scope = bearing(soft).scopes["squeeze"]
    given, cell = ({"factor_set": SECOND, "stage": FINAL, "ratio": one} for one in (GIVEN_RATIO, CELL_RATIO))

    assert scope["p_sE"].at(**cell).array < scope["p_sE"].at(**given).array
    assert scope["p_Rx"].at(**cell).array < scope["p_Rx"].at(**given).array
    assert "ratio" not in scope["p_cN"].axis_names


@pytest.mark.parametrize(
    ("change", "words"),
    [
        (lambda document: document["section"][0]["bearing_layer"].update(firm=False), "do not stand in a firm layer"),
        (lambda document: document["columns"].update(embedment="0 m"), "do not stand in a firm layer"),
        (lambda document: document["sleeve"].update(strength="60 kN/m"), "of ring resistance left"),
        (lambda document: document.pop("reinforcement"), "no reinforcement across"),
        (
            lambda document: document["reinforcement"][0].update(strength="100 kN/m"),
            "does not carry thrust",
        ),
        (late, "top in “First lift” (0 of"),
    ],
)
def test_columns_are_not_counted_where_what_they_rely_on_is_missing(
    bearing: Bearing, change: Change, words: str
) -> None:
    verdict = found(bearing(soft, change), "squeeze_lift")

    assert (verdict.state, verdict.required) == ("not verified", True)
    assert words in verdict.note


def test_resistance_to_extrusion_has_the_factor_of_overall_stability(bearing: Bearing) -> None:
    """Design approach 2: 1.1 on the resistance, which squeezing did not have."""
    sheet = bearing(soft, factor_set("EN 1997-1 DA2"))

    for name in ("squeeze", "squeeze_lift", "untreated", "edge_rows"):
        scope = sheet.scopes[name]
        whole, design = (scope[one].at(stage=FINAL).array for one in ("p_Rx", "p_Rxd"))
        assert whole / design == pytest.approx(1.1, rel=1e-12)
    assert sheet["gamma_Rv"].at(stage=FINAL).array == pytest.approx(1.4)


def test_ground_beyond_the_columns_by_hand(bearing: Bearing) -> None:
    """25 kPa, 9 of 12 m have columns: (4 + 3/6.5) c / 1.03 against a quarter of fill and traffic."""
    sheet = bearing()
    scope = sheet.scopes["edge_rows"]
    at = {"factor_set": SECOND, "stage": FINAL}

    assert scope["p_x"].at(**at).array == pytest.approx((114 + 26) / 4)
    assert scope["p_Rxd"].at(**at).array == pytest.approx(25 / 1.4 * (4 + 3 / 6.5) / 1.03)
    assert found(sheet, "column_rows").state == "pass"
    bare = sheet.scopes["untreated"]
    assert bare["F_x"].at(**at).array == pytest.approx(25 / 1.4 * (4 + 12 / 6.5) / 1.03 / 140)
    load, edge = (sheet.scopes[name] for name in ("edge_load", "edge_bearing"))
    phi = np.arctan(np.tan(np.radians(32.5)) / 1.25)
    assert load["b_v"].at(**at).array == pytest.approx(6 * np.tan(np.pi / 4 - phi / 2))
    assert edge["p_e"].at(**at).array == pytest.approx(19 * (6 - 9 / 2))
    assert edge["q_ud"].at(**at).array == pytest.approx((np.pi + 2) * 25 / 1.4)


@pytest.mark.parametrize("strength", ["8 kPa", "25 kPa", "60 kPa"])
def test_rows_are_needed_where_the_untreated_ground_fails_and_nowhere_else(bearing: Bearing, strength: str) -> None:
    """The same load and the same block: no row where the untreated ground holds, some where it does not."""

    def change(document: Any) -> None:
        for one in document["section"][0]["layer"]:
            one["c_u"] = strength

    sheet = bearing(change)
    needed = int(sheet.scopes["rows"]["n_row"].array)

    assert (needed > 0) == bool(np.nanmin(sheet.scopes["untreated"]["F_x"].array) < 1)


def test_square_grid_has_rows_at_its_spacing(bearing: Bearing) -> None:
    def change(document: Any) -> None:
        document["columns"]["pattern"] = "square"
        for one in document["section"][0]["layer"]:
            one["c_u"] = "8 kPa"

    sheet = bearing(change)
    bare = sheet.scopes["untreated"]
    at = {"stage": FINAL, "factor_set": SECOND}
    given = {name: np.array([float(bare[symbol].at(**at).array)]) for name, symbol in (("p", "p_x"), ("c_u0", "c_u0e"))}
    rest = {name: np.array([value]) for name, value in
            (("L_S", 12.0), ("t_soft", 6.5), ("rho_u", 0.0), ("alpha_t", 0.0), ("L_t", 12.0),
             ("gamma_Re", 1.0))}  # fmt: skip
    needed = rows_needed(1.97, **given, **rest)

    assert int(sheet.scopes["rows"]["n_row"].array) == needed


def test_columns_that_end_at_the_crest_edge_leave_the_wedge_beyond_them(bearing: Bearing) -> None:
    sheet = bearing(soft, columns_to("0.01 m"))

    assert found(sheet, "column_rows").state == "fail"
    assert sheet.scopes["edge_rows"]["p_x"].at(factor_set=FIRST, stage=FINAL).array == pytest.approx(
        1.35 * 114 + 30, rel=1e-3
    )


def test_columns_to_the_toe_leave_nothing_beyond_them(bearing: Bearing) -> None:
    sheet = bearing(soft, columns_to("13 m"))

    assert "reach the toe" in found(sheet, "column_rows").note
    assert sheet.scopes["squeeze"]["v_e"].at(stage=FINAL).array == 0.0
    assert float(sheet.scopes["squeeze"]["zeta_w"].at(stage=FINAL).array) == pytest.approx(4 / 9)


def test_shear_at_the_top_helps_or_drives(bearing: Bearing) -> None:
    free, held, driven = (
        bearing(soft, *one).scopes["squeeze"]["p_Rx"].at(**AT).array
        for one in ((), (field(hold_top=0.5),), (field(thrust_in_ground=0.3),))
    )

    assert driven < free < held


def test_ratio_for_stability_above_that_of_the_cell_verifies_nothing(bearing: Bearing) -> None:
    sheet = bearing(soft, lambda document: document["stage"][1].update(n_stability=60))

    for key in ("soft_bearing", "soft_bearing_lift", "squeeze", "squeeze_lift"):
        assert found(sheet, key).state == "not verified"
        assert found(sheet, key).required
        assert "exceeds the smallest one of the unit cell in “Final” (60.00 above" in found(sheet, key).note
    assert found(sheet, "column_rows").state != "not verified"


def test_what_lies_below_the_reinforcement_is_borne_by_the_soil_alone(bearing: Bearing) -> None:
    """At the level of the ground, 0.40 m, nothing; at 1.00 m there are 0.60 m of fill below it, and plant."""

    def higher(document: Any) -> None:
        document["reinforcement"][0]["level"] = "1.00 m"
        document["stage"][0]["plant"] = "5 kPa"

    low, high = (bearing(soft, *one) for one in ((), (higher,)))

    assert "Nothing is placed before" in found(low, "platform_bearing").note
    verdict = found(high, "platform_bearing")
    assert verdict.case == {"factor_set": SECOND, "stage": LIFT}
    assert verdict.effect == pytest.approx(19 * 0.6 + 6.5)
    assert verdict.resistance == pytest.approx(
        float(high.scopes["platform"]["q_ud"].at(factor_set=SECOND, stage=LIFT).array)
    )


def test_untreated_ground_agrees_with_the_plain_function(bearing: Bearing) -> None:
    scope = bearing(soft).scopes["untreated"]
    D, least = critical_thickness(lambda tried: beyond_columns(tried, 18 / 1.4, 1 / 1.4, 0.0, 12.0), 6.5)

    assert scope["p_Rx"].at(factor_set=SECOND, stage=FINAL).array == pytest.approx(float(least), rel=1e-9)
    assert scope["D_sq"].at(factor_set=SECOND, stage=FINAL).array == pytest.approx(float(D), rel=1e-6)


def test_columns_that_are_counted_are_proofs_to_be_given(bearing: Bearing) -> None:
    """Readings that stop the work and the length of every column; a trigger that is missing is named."""
    sheet = bearing(soft)
    relied = [rest for rest in sheet.rests if rest.title == COLUMNS]

    assert len(relied) == 2
    assert "“Final”" in relied[0].text
    assert relied[0].proof.endswith("no trigger is given for pore pressure and lateral rate")
    assert "Relies on the length of every column" in found(sheet, "squeeze").note
    assert "squeeze-field" in {limitation.key for limitation in sheet.limitations}


def test_a_narrow_crest_with_columns_high_on_the_other_slope_turns_the_wedge(bearing: Bearing) -> None:
    """Crest and columns beyond it together narrower than the soft ground is thick: 2 + 2 m over 9.5 m, and 12 + 9 m."""

    def narrow(document: Any) -> None:
        soft(document)
        document["embankment"]["crest_width"] = "2 m"
        document["field"] = {"beyond_left": "2 m", "beyond_right": "2 m"}

    key = "squeeze-other-end"
    assert {said.key for said in bearing(narrow).limitations} >= {key}
    assert key not in {said.key for said in bearing(soft).limitations}


def test_a_stage_without_load_has_no_ratio_to_exceed(bearing: Bearing) -> None:
    """Without fill the cell has no ratio, or one of nothing over nothing."""
    sheet = bearing(soft, lambda document: document["stage"][0].update(fill_height="0 m"))

    assert "exceeds the least" not in found(sheet, "squeeze").note
    assert (sheet["n_st"].at(ratio=CELL_RATIO).array >= sheet["n_st"].at(ratio=GIVEN_RATIO).array).all()


def test_reinforcement_carries_at_least_the_shear_that_the_wedge_counts_at_its_top(
    chapters: Callable[..., dict[str, Sheet]],
) -> None:
    """The chapter on thrust adds it to the tension, with the strength not divided by a factor and the whole slope."""

    def held(document: Any) -> None:
        for one in (reach, soft, field(hold_top=0.5), lambda document: document.pop("slip")):
            one(document)

    done = chapters(held)
    wedge, slope = done["bearing"].scopes["squeeze"], done["thrust"].scopes["slope"]
    for stage in (LIFT, FINAL):
        counted = 0.5 * float(wedge["S_0"].at(stage=stage).array.max())
        assert float(slope["T_sq"].at(stage=stage).array) >= counted > 0
