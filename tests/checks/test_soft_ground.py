"""Soft ground between and beyond the columns in the three states of a stage, by hand calculations."""

from collections.abc import Callable
from typing import Any

import numpy as np
import pytest

from calc.chain import run_checks
from calc.checks.frame import CELL_RATIO, GIVEN_RATIO
from calc.checks.rests import FHWA_LOW
from calc.inputs import read_design
from calc.sheet import Sheet, settle_cases
from tests.checks.test_bearing import A_E, FINAL, FIRST, SECOND, SHARE, found, reach
from tests.projects.store import EXAMPLES

Chapters = Callable[..., dict[str, Sheet]]
LIFT = "1 First lift"
EARLY_SHARE = 1 / (1 + 0.5 * A_E)  # stress ratio 1.5 of the first lift
LASTING, RAPID = 0.3 * 20, 0.7 * 20  # of the traffic load, which acts on the soil undivided but for its lasting part
GAINED = 8 * 6 / 9  # gain on half the slope of 12 m, as a mean over the columns' 9 m


def made_up(document: Any) -> None:
    reach(document)
    document["section"][0]["makeup_fill"] = True
    document["embankment"]["gamma_sub"] = "10 kN/m^3"


def growing(document: Any) -> None:
    reach(document)
    for layer, top in zip(document["section"][0]["layer"], (10, 20), strict=True):
        layer["c_u"], layer["c_u_growth"] = f"{top} kPa", "4 kPa/m"


def test_soft_ground_bears_its_share_by_hand(chapters: Chapters) -> None:
    """Uniform line of 25 kPa with the gain of 8; crest 12 m and slopes 1:2 of 6 m: strip of 24 m over 6.5 m."""
    scope = chapters()["bearing"].scopes["soft"]
    at = {"variant": SECOND, "stage": FINAL, "ratio": GIVEN_RATIO}

    carried = SHARE * (19 * 6 + 1.3 * LASTING) + 1.3 * RAPID
    assert scope["p_sE"].at(**at).array == pytest.approx(carried)
    first = scope["p_sE"].at(variant=FIRST, stage=FINAL, ratio=GIVEN_RATIO)
    assert first.array == pytest.approx(SHARE * (1.35 * 114 + 1.5 * LASTING) + 1.5 * RAPID)
    assert float(scope["B_t"].at(stage=FINAL).array) == pytest.approx(24.0)
    assert float(scope["B_t"].at(stage=LIFT).array) == pytest.approx(32.0)
    assert scope["q_ug"].at(**at).array == pytest.approx((np.pi + 2) * 33 / 1.4)
    assert scope["q_ud"].at(**at).array == pytest.approx((np.pi + 2) * 33 / 1.4)
    assert scope["F_so"].at(**at).array == pytest.approx((np.pi + 2) * 33 / 1.4 / carried)


def test_thin_layer_counts_only_where_its_top_is_held(chapters: Chapters) -> None:
    def held(document: Any) -> None:
        document["field"] = {"hold_top": 1.0}

    loose, rough = chapters()["bearing"], chapters(held)["bearing"]
    at = {"variant": SECOND, "stage": FINAL, "ratio": GIVEN_RATIO}

    assert rough.scopes["soft"]["q_ut"].at(**at).array == pytest.approx((4.14 + 0.5 * 24 / 6.5) * 33 / 1.4)
    assert loose.scopes["soft"]["q_ut"].at(**at).array == pytest.approx((np.pi + 2) * 33 / 1.4)
    assert "thin-layer" in {one.key for one in loose.limitations}
    assert "thin-layer" not in {one.key for one in rough.limitations}


def test_lift_being_placed_loads_the_soft_ground_whole(chapters: Chapters) -> None:
    """2 m stand at the ratio 1.5 proven for them; 4 m and the traffic come on top at 1; factors of the final state."""
    bearing = chapters(reach)["bearing"]
    for variant, permanent, variable in ((FIRST, 1.35, 1.5), (SECOND, 1.0, 1.3)):
        expected = EARLY_SHARE * permanent * 38 + permanent * 76 + variable * 20
        for scope in ("soft_lift", "squeeze_lift"):
            found_there = bearing.scopes[scope]["p_sL"].at(variant=variant, stage=FINAL, ratio=GIVEN_RATIO)
            assert found_there.array == pytest.approx(expected)
    lift = bearing.scopes["soft_lift"]
    assert lift["p_sL"].at(variant=SECOND, stage=LIFT, ratio=GIVEN_RATIO).array == pytest.approx(38.0)
    verdict = found(bearing, "soft_bearing_lift")
    assert verdict.case == {"variant": SECOND, "stage": FINAL, "ratio": CELL_RATIO}
    assert verdict.utilisations is not None
    rated = verdict.utilisations.at(variant=SECOND, stage=FINAL)
    assert rated.at(ratio=GIVEN_RATIO).array == pytest.approx((EARLY_SHARE * 38 + 76 + 26) / ((np.pi + 2) * 33 / 1.4))
    # No gain is computed, so that none goes with the load by the ratio of the cell.
    least = bearing["n_st"].at(ratio=CELL_RATIO).array
    assert (least >= bearing["n_st"].at(ratio=GIVEN_RATIO).array).all()
    share = 1 / (1 + (least[1] - 1) * A_E)
    assert rated.at(ratio=CELL_RATIO).array == pytest.approx((share * 38 + 76 + 26) / ((np.pi + 2) * 25 / 1.4))
    assert not verdict.utilisations.at(stage=LIFT, ratio=CELL_RATIO).valid.any()


def test_make_up_fill_loads_the_soft_ground_with_the_factor_of_fill(chapters: Chapters) -> None:
    """At the end of a stage by the ratio of that stage; under the next lift by the ratio of the stage before."""
    done = chapters(made_up)
    filled = done["unit_cell"].scopes["tension"]["p_M"].at(load="G+Q")
    bearing = done["bearing"]
    for variant, permanent, variable in ((FIRST, 1.35, 1.5), (SECOND, 1.0, 1.3)):
        before, now = (float(filled.at(variant=variant, stage=one).array) for one in (LIFT, FINAL))
        at = {"variant": variant, "stage": FINAL, "ratio": GIVEN_RATIO}
        carried = SHARE * (permanent * (114 + now) + variable * LASTING) + variable * RAPID
        lift = EARLY_SHARE * permanent * (38 + before) + permanent * 76 + variable * 20

        assert now > before > 0
        assert bearing.scopes["soft"]["p_sE"].at(**at).array == pytest.approx(carried)
        assert bearing.scopes["squeeze"]["p_sE"].at(**at).array == pytest.approx(carried)
        assert bearing.scopes["squeeze_lift"]["p_sL"].at(**at).array == pytest.approx(lift)
        del at["ratio"]
        assert bearing.scopes["squeeze_early"]["p_E0"].at(**at).array == pytest.approx(permanent * 114 + variable * 20)
    assert "no make-up fill" in next(one.text for one in bearing.limitations if one.key == "edge-strength")


def test_traffic_of_the_stage_before_has_the_factors_of_this_stage(chapters: Chapters) -> None:
    """Traffic in both stages: its lasting part of before is shared, with the factor 1.3 of the persistent state."""

    def both(document: Any) -> None:
        reach(document)
        document["stage"][0]["traffic"] = True
        document["stage"][0]["situation"] = "accidental"

    scope = chapters(both)["bearing"].scopes["soft_lift"]

    expected = EARLY_SHARE * (38 + 1.3 * LASTING) + 76 + 1.3 * RAPID
    assert scope["p_sL"].at(variant=SECOND, stage=FINAL, ratio=GIVEN_RATIO).array == pytest.approx(expected)


def test_squeezing_by_hand(chapters: Chapters) -> None:
    """No growth: block of the whole 6.5 m, columns over 9 m of the slope's 12 m, gain on 6 m, other ground beyond."""
    bearing = chapters(reach)["bearing"]
    scope, early, bare = (bearing.scopes[name] for name in ("squeeze", "squeeze_early", "untreated"))
    at = {"variant": SECOND, "stage": FINAL, "ratio": GIVEN_RATIO}
    inner, outer, raw, pressure = (1 - A_E) * (25 + GAINED) / 1.4, 25 / 1.4, (1 - A_E) * 25 / 1.4, 114 + 26
    carried = SHARE * (114 + 1.3 * LASTING) + 1.3 * RAPID
    resistance = 2 * inner + 2 * outer + (9 * inner + 3 * outer) / 6.5
    before = 2 * raw + 2 * outer + (9 * raw + 3 * outer) / 6.5
    mean = (9 * inner + 3 * outer) / 12

    assert scope["p_Rsq"].at(**at).array == pytest.approx(resistance)
    assert scope["F_sq"].at(**at).array == pytest.approx(resistance / carried)
    del at["ratio"]
    assert early["F_sq"].at(**at).array == pytest.approx(before / pressure)
    assert scope["F_sqF"].at(**at, ratio=GIVEN_RATIO).array == pytest.approx(mean * (4.14 + 2 * 12 / 6.5) / carried)
    assert bare["F_sq"].at(**at).array == pytest.approx(outer * (4 + 12 / 6.5) / pressure)
    assert bare["F_scr"].at(**at).array == pytest.approx(3 * outer / pressure)
    lift = bearing.scopes["squeeze_lift"]
    assert lift["p_Rsq"].at(**at, ratio=GIVEN_RATIO).array == pytest.approx(resistance)


def test_columns_beyond_the_toe_of_a_low_stage_leave_no_other_ground(chapters: Chapters) -> None:
    """First lift: the slope is 4 m long and lies within the field."""
    scope = chapters(reach)["bearing"].scopes["squeeze"]
    strength = (1 - A_E) * 25

    assert scope["L_o"].at(stage=LIFT).array == 0.0
    assert scope["p_Rsq"].at(variant=FIRST, stage=LIFT, ratio=GIVEN_RATIO).array == pytest.approx(
        strength * (4 + 4 / 6.5)
    )


@pytest.mark.parametrize(("field", "share"), [({"hold_top": 0.5}, 0.5), ({"thrust_in_ground": 0.3}, -0.3)])
def test_shear_at_the_top_helps_or_drives(chapters: Chapters, field: dict[str, Any], share: float) -> None:
    def sheared(document: Any) -> None:
        reach(document)
        document["field"] |= field

    scope = chapters(sheared)["bearing"].scopes["squeeze"]
    inner, outer = (1 - A_E) * (25 + GAINED), 25.0

    expected = 2 * inner + 2 * outer + (1 + share) * (9 * inner + 3 * outer) / 6.5
    assert scope["p_Rsq"].at(variant=FIRST, stage=FINAL, ratio=GIVEN_RATIO).array == pytest.approx(expected)


def test_strength_that_grows_squeezes_out_a_shallower_block(chapters: Chapters) -> None:
    """Critical thickness by search over all thicknesses of the block."""
    bearing = chapters(growing)["bearing"]
    at = {"variant": FIRST, "stage": FINAL, "ratio": GIVEN_RATIO}
    D = np.linspace(0.05, 6.5, 20_000)
    inner, rho, outer = (1 - A_E) * (10 + GAINED), (1 - A_E) * 4, 10.0
    base = 9 * (inner + rho * D) + 3 * (outer + 4 * D)
    least = (2 * (inner + rho * D / 2) + 2 * (outer + 4 * D / 2) + base / D).min()

    assert bearing["rho_uk"].array == pytest.approx(4.0)
    assert bearing.scopes["squeeze"]["p_Rsq"].at(**at).array == pytest.approx(least, rel=1e-6)
    # The strip on growing strength: factor between 1.109 and 1.396 times (2 + π) c + ρ B / 4, here 4 · 24 / 18 = 5.33.
    whole = (np.pi + 2) * 18 + 4 * 24 / 4
    soft = bearing.scopes["soft"]
    assert soft["q_ug"].at(**at).array == pytest.approx(whole * 1.3137, rel=1e-3)
    assert [float(soft[name].at(**at).array) for name in ("k_r1", "k_r2", "F_r1", "F_r2")] == [5.0, 6.0, 1.305, 1.331]


def test_stages_that_rest_on_ratio_and_gain_are_named(chapters: Chapters) -> None:
    def strong(document: Any) -> None:
        reach(document)
        for layer in document["section"][0]["layer"]:
            layer["c_u"] = "80 kPa"
        del document["stage"][1]["c_u_gain"]

    weak, firm = chapters(reach)["bearing"], chapters(strong)["bearing"]
    texts = {one.key: one.text for one in weak.limitations}

    assert FINAL in texts["squeeze-early"]
    assert LIFT not in texts["squeeze-early"]
    assert "pressure cells" in texts["soft-early"]
    assert "strength-gain" in texts
    assert not {"squeeze-early", "soft-early", "strength-gain"} & {one.key for one in firm.limitations}


def test_form_below_one_beside_a_pass_is_explained(chapters: Chapters) -> None:
    """Strength that grows from little at the top: the block passes, the form with one strength does not."""

    def soft_top(document: Any) -> None:
        reach(document)
        document["field"]["beyond_left"] = document["field"]["beyond_right"] = "14 m"
        for layer, top in zip(document["section"][0]["layer"], (14, 44), strict=True):
            layer["c_u"], layer["c_u_growth"] = f"{top} kPa", "12 kPa/m"

    bearing = chapters(soft_top)["bearing"]
    scope = bearing.scopes["squeeze"]

    assert np.nanmin(scope["F_sqF"].array) < 1 <= np.nanmin(scope["F_sq"].array)
    assert "squeeze-fhwa-low" in {one.key for one in bearing.limitations}
    assert [one.title for one in bearing.rests] == [FHWA_LOW]
    assert f"least {np.nanmin(scope['F_sqF'].array):.2f}" in bearing.rests[0].text
    assert "squeeze-fhwa-low" not in {one.key for one in chapters(reach)["bearing"].limitations}


def test_plant_loads_the_ground_while_the_lift_is_placed(chapters: Chapters) -> None:
    """5 kPa on soil and columns alike: 1.5 · 5 by the effect in DA1-1, 1.3 · 5 at the source in DA1-2."""

    def machines(document: Any) -> None:
        reach(document)
        document["stage"][0]["plant"] = "5 kPa"

    plain, loaded = (chapters(change)["bearing"] for change in (reach, machines))

    for scope in ("soft_lift", "squeeze_lift"):
        before, after = (sheet.scopes[scope]["p_sL"].at(ratio=GIVEN_RATIO) for sheet in (plain, loaded))
        first = [float(v) for v in (after.at(stage="1 First lift").array - before.at(stage="1 First lift").array)]
        assert first == pytest.approx([7.5, 6.5])
        assert after.at(stage="2 Final").array == pytest.approx(before.at(stage="2 Final").array)
    texts = [{one.key: one.text for one in sheet.limitations} for sheet in (plain, loaded)]
    assert "First lift, Final: not given are stage.0.plant, stage.1.plant" in texts[0]["lift-plant"]
    assert "in Final: not given are stage.1.plant" in texts[1]["lift-plant"]


def test_plant_given_in_every_stage_leaves_nothing_to_name(chapters: Chapters) -> None:
    def machines(document: Any) -> None:
        for stage in document["stage"]:
            stage["plant"] = "5 kPa"

    assert "lift-plant" not in {one.key for one in chapters(machines)["bearing"].limitations}


def test_columns_must_reach_until_the_ground_bears_the_slope(chapters: Chapters) -> None:
    """Beyond the columns 25 kPa without gain: height h with γ h = 4 c + c n / D · h, by hand; rows of the grid."""
    bearing = chapters(reach)["bearing"]
    rows, load, edge = (bearing.scopes[name] for name in ("edge_rows", "edge_load", "edge_bearing"))
    at = {"variant": SECOND, "stage": FINAL}
    strength = 25 / 1.4
    height = 4 * strength / (19 - strength * 2 / 6.5)

    assert rows["h_e"].at(**at).array == pytest.approx(height)
    assert rows["b_f"].at(**at).array == pytest.approx(2 * (6 - height))
    assert rows["N_r"].at(**at).array == pytest.approx(2 * (6 - height) / (3**0.5 / 2 * 1.97))
    phi = np.arctan(np.tan(np.radians(32.5)) / 1.25)
    assert load["b_v"].at(**at).array == pytest.approx(6 * np.tan(np.pi / 4 - phi / 2))
    assert edge["p_e"].at(**at).array == pytest.approx(19 * (6 - 9 / 2))
    assert edge["q_ud"].at(**at).array == pytest.approx((np.pi + 2) * strength)
    assert {found(bearing, key).state for key in ("column_rows", "field_for_load", "edge_bearing")} == {"pass"}
    largest = float(np.nanmax(rows["N_r"].array))
    assert bearing.notes == [
        f"Column rows needed beyond the shoulder against squeezing, rounded up, either side: {int(np.ceil(largest))}."
    ]


def test_height_that_the_ground_bears_is_in_equilibrium(chapters: Chapters) -> None:
    """At the outermost columns the block beyond them is squeezed out by just the fill that stands there."""

    def weak(document: Any) -> None:
        reach(document)
        for layer in document["section"][0]["layer"]:
            layer["c_u"], layer["c_u_growth"] = "8 kPa", "1 kPa/m"

    scope = chapters(weak)["bearing"].scopes["edge_rows"]
    at = {"variant": FIRST, "stage": FINAL}
    height, top, growth = (float(scope[name].at(**at).array) for name in ("h_e", "c_u0e", "rho_ud"))
    D = np.linspace(0.05, 6.5, 50_000)
    least = (4 * (top + growth * D / 2) + (top + growth * D) * 2 * height / D).min()

    assert least == pytest.approx(1.35 * 19 * height, rel=1e-5)


def test_square_grid_has_rows_at_its_spacing(chapters: Chapters) -> None:
    def square(document: Any) -> None:
        document["columns"]["pattern"] = "square"

    assert float(chapters(square)["bearing"].scopes["edge_rows"]["a_r"].array) == pytest.approx(1.97)


def test_missing_inputs_are_named(chapters: Chapters) -> None:
    def no_strength(document: Any) -> None:
        reach(document)
        del document["section"][0]["layer"][0]["c_u"]

    open_field, soft = chapters()["bearing"], chapters(no_strength)["bearing"]
    of_the_field = ("squeeze", "squeeze_lift", "column_rows", "field_for_load", "edge_bearing")
    of_the_strength = ("squeeze", "squeeze_lift", "soft_bearing", "soft_bearing_lift", "column_rows", "edge_bearing")

    for key in of_the_field:
        assert found(open_field, key).state == "not verified"
        assert found(open_field, key).required
        assert "field.beyond_left" in found(open_field, key).note
    for key in of_the_strength:
        assert "layer.peat.c_u" in found(soft, key).note
    assert found(soft, "toe_bearing").state == "pass"
    assert "layer_below" in found(open_field, "settlement_below_toe").note


@pytest.mark.parametrize("project", EXAMPLES, ids=lambda project: project.name)
def test_every_verdict_of_the_chapter_prints_its_chain_at_its_own_case(project: Any) -> None:
    """Effect and resistance of the soft ground stand in one scope, which prints at the governing case."""
    checked = 0
    for part in run_checks(read_design(project)).sections:
        sheet = next(one for one in part.sheets if one.key == "bearing")
        cases = settle_cases(part.sheets)
        for verdict in sheet.verdicts:
            if verdict.utilisation is None:
                continue
            scope = verdict.step.split("/")[2]
            assert verdict.resistance_step.split("/")[2] == scope
            case = cases["bearing", scope]
            assert {axis: case[axis] for axis in verdict.case if axis in case} == dict(verdict.case)
            checked += 1

    assert checked


def test_gains_of_the_examples_do_not_exceed_what_the_cell_leaves_on_the_soil() -> None:
    """Not above 0.25 times the least added stress of the stage before (of this one where its fill is not higher)."""
    for project in EXAMPLES:
        for part in run_checks(read_design(project)).sections:
            stress = next(one for one in part.sheets if one.key == "unit_cell").scopes["tension"]["Dsigma_vs"]
            labels = stress.labels("stage")
            heights = [0.0, *(stage.fill_height for stage in part.section.stages)]
            for k, stage in enumerate(part.section.stages, start=1):
                if isinstance(stage.c_u_gain, float):
                    source = k if heights[k] == heights[k - 1] else k - 1
                    least = float(np.nanmin(stress.at(load="G", stage=labels[source]).array))
                    assert stage.c_u_gain <= 0.25 * least
                assert 1 <= stage.n_stability <= 5


def test_reinforcement_carries_at_least_the_shear_that_the_block_counts_at_its_top() -> None:
    """The chapter on thrust adds it to the tension, with the strength not divided by a factor and the whole slope."""
    compared = 0
    for project in EXAMPLES:
        for part in run_checks(read_design(project)).sections:
            done = {sheet.key: sheet for sheet in part.sheets}
            field = part.section.column_field
            if field is None or not field.hold_top:
                continue
            block, slope = done["bearing"].scopes["squeeze"], done["thrust"].scopes["slope"]
            for stage in block["S_0"].labels("stage")[1:]:
                counted = field.hold_top * float(block["S_0"].at(stage=stage).array.max())
                assert float(slope["T_sq"].at(stage=stage).array) >= counted
                compared += 1

    assert compared
