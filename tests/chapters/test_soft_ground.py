"""Soft ground between and beyond the columns in the three states of a stage, by hand calculations."""

from collections.abc import Callable
from typing import Any

import numpy as np
import pytest

from calc.chapters.shared.frame import CELL_RATIO, GIVEN_RATIO
from calc.chapters.shared.soft_ground import without_idle_ratio
from calc.engine.sheet import Sheet, settle_cases, stage_name
from tests.chapters.test_bearing import A_E, FINAL, FIRST, SECOND, SHARE, found
from tests.chapters.timed import reach
from tests.projects.store import EXAMPLES, run_of

Chapters = Callable[..., dict[str, Sheet]]
LIFT = "1 First lift"
EARLY_SHARE = 1 / (1 + 0.5 * A_E)  # stress ratio 1.5 of the first lift
LASTING, RAPID = 0.3 * 20, 0.7 * 20  # of the traffic load, which acts on the soil undivided but for its lasting part


def made_up(document: Any) -> None:
    reach(document)
    document["section"][0]["makeup_fill"] = True
    document["embankment"]["gamma_sub"] = "10 kN/m^3"


def test_soft_ground_bears_its_share_by_hand(chapters: Chapters) -> None:
    """Uniform line of 25 kPa with the gain of 8; crest 12 m and slopes 1:2 of 6 m: strip of 24 m over 6.5 m."""
    scope = chapters()["bearing"].scopes["soft"]
    at = {"factor_set": SECOND, "stage": FINAL, "ratio": GIVEN_RATIO}

    carried = SHARE * (19 * 6 + 1.3 * LASTING) + 1.3 * RAPID
    assert scope["p_sE"].at(**at).array == pytest.approx(carried)
    first = scope["p_sE"].at(factor_set=FIRST, stage=FINAL, ratio=GIVEN_RATIO)
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
    at = {"factor_set": SECOND, "stage": FINAL, "ratio": GIVEN_RATIO}

    assert rough.scopes["soft"]["q_ut"].at(**at).array == pytest.approx((4.14 + 0.5 * 24 / 6.5) * 33 / 1.4)
    assert loose.scopes["soft"]["q_ut"].at(**at).array == pytest.approx((np.pi + 2) * 33 / 1.4)


def test_lift_being_placed_loads_the_soft_ground_whole(chapters: Chapters) -> None:
    """2 m stand at the ratio 1.5 proven for them; 4 m and the traffic come on top at 1; factors of the final state."""
    bearing = chapters(reach)["bearing"]
    for factor_set, permanent, variable in ((FIRST, 1.35, 1.5), (SECOND, 1.0, 1.3)):
        expected = EARLY_SHARE * permanent * 38 + permanent * 76 + variable * 20
        for scope in ("soft_lift", "squeeze_lift"):
            found_there = bearing.scopes[scope]["p_sL"].at(factor_set=factor_set, stage=FINAL, ratio=GIVEN_RATIO)
            assert found_there.array == pytest.approx(expected)
    lift = bearing.scopes["soft_lift"]
    assert lift["p_sL"].at(factor_set=SECOND, stage=LIFT, ratio=GIVEN_RATIO).array == pytest.approx(38.0)
    at = {"factor_set": SECOND, "stage": FINAL}
    borne = (np.pi + 2) * np.array([33, 25]) / 1.4
    # No gain is computed, so that none goes with the load by the ratio of the cell.
    least = float(bearing["n_st"].at(ratio=CELL_RATIO, stage=LIFT).array)
    share = 1 / (1 + (least - 1) * A_E)
    assert least > 1.5
    assert lift["F_so"].at(**at, ratio=GIVEN_RATIO).array == pytest.approx(borne[0] / (EARLY_SHARE * 38 + 76 + 26))
    assert lift["F_so"].at(**at, ratio=CELL_RATIO).array == pytest.approx(borne[1] / (share * 38 + 76 + 26))
    counting = without_idle_ratio(bearing, lift["p_sL"])
    assert not counting.at(stage=LIFT, ratio=CELL_RATIO).valid.any()
    assert counting.at(stage=FINAL).valid.all()


def test_make_up_fill_loads_the_soft_ground_with_the_factor_of_fill(chapters: Chapters) -> None:
    """At the end of a stage by the ratio of that stage; under the next lift by the ratio of the stage before."""
    done = chapters(made_up)
    filled = done["unit_cell"].scopes["tension"]["p_M"].at(load="G+Q")
    bearing = done["bearing"]
    for factor_set, permanent, variable in ((FIRST, 1.35, 1.5), (SECOND, 1.0, 1.3)):
        before, now = (float(filled.at(factor_set=factor_set, stage=one).array) for one in (LIFT, FINAL))
        at = {"factor_set": factor_set, "stage": FINAL, "ratio": GIVEN_RATIO}
        carried = SHARE * (permanent * (114 + now) + variable * LASTING) + variable * RAPID
        lift = EARLY_SHARE * permanent * (38 + before) + permanent * 76 + variable * 20

        assert now > before > 0
        assert bearing.scopes["soft"]["p_sE"].at(**at).array == pytest.approx(carried)
        assert bearing.scopes["squeeze"]["p_sE"].at(**at).array == pytest.approx(carried)
        assert bearing.scopes["squeeze_lift"]["p_sL"].at(**at).array == pytest.approx(lift)
        del at["ratio"]
        assert bearing.scopes["untreated"]["p_x"].at(**at).array == pytest.approx(permanent * 114 + variable * 20)


def test_traffic_of_the_stage_before_has_the_factors_of_this_stage(chapters: Chapters) -> None:
    """Traffic in both stages: its lasting part of before is shared, with the factor 1.3 of the persistent state."""

    def both(document: Any) -> None:
        reach(document)
        document["stage"][0]["traffic"] = True
        document["stage"][0]["situation"] = "accidental"

    scope = chapters(both)["bearing"].scopes["soft_lift"]

    expected = EARLY_SHARE * (38 + 1.3 * LASTING) + 76 + 1.3 * RAPID
    assert scope["p_sL"].at(factor_set=SECOND, stage=FINAL, ratio=GIVEN_RATIO).array == pytest.approx(expected)


def test_stages_that_rest_on_ratio_and_gain_are_named(chapters: Chapters) -> None:
    def strong(document: Any) -> None:
        reach(document)
        for layer in document["section"][0]["layer"]:
            layer["c_u"] = "80 kPa"
        del document["stage"][1]["c_u_gain"]

    weak, firm = chapters(reach)["bearing"], chapters(strong)["bearing"]
    texts = {limitation.key: limitation.text for limitation in weak.limitations}

    assert stage_name(FINAL) in texts["squeeze-early"]
    assert LIFT not in texts["squeeze-early"]
    assert "hold point" in texts["strength-gain"]
    assert "hold point" in texts["stress-ratio-proof"]
    assert stage_name(FINAL) in texts["soft-early"]
    assert not {"squeeze-early", "soft-early", "strength-gain"} & {limitation.key for limitation in firm.limitations}


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
    texts = [{limitation.key: limitation.text for limitation in sheet.limitations} for sheet in (plain, loaded)]
    assert "No construction traffic load is given on the lift in “First lift”, “Final”" in texts[0]["lift-plant"]
    assert "No construction traffic load is given on the lift in “Final”" in texts[1]["lift-plant"]


def test_plant_given_in_every_stage_leaves_nothing_to_name(chapters: Chapters) -> None:
    def machines(document: Any) -> None:
        for stage in document["stage"]:
            stage["plant"] = "5 kPa"

    assert "lift-plant" not in {limitation.key for limitation in chapters(machines)["bearing"].limitations}


def test_missing_inputs_are_named(chapters: Chapters) -> None:
    def no_strength(document: Any) -> None:
        reach(document)
        del document["section"][0]["layer"][0]["c_u"]

    open_field, soft = chapters()["bearing"], chapters(no_strength)["bearing"]
    of_the_field = ("squeeze", "squeeze_lift", "column_rows", "field_for_load", "edge_bearing")
    of_the_strength = ("squeeze", "squeeze_lift", "soft_bearing", "soft_bearing_lift", "column_rows", "edge_bearing",
                       "platform_bearing")  # fmt: skip

    for key in of_the_field:
        assert found(open_field, key).state == "not verified"
        assert found(open_field, key).required
        assert "field.beyond_left" in found(open_field, key).note
    for key in of_the_strength:
        assert "of “Peat” is not given (field layer.c_u)" in found(soft, key).note
    assert found(soft, "toe_bearing").state == "pass"
    assert "layer_below" in found(open_field, "settlement_below_toe").note


@pytest.mark.examples
@pytest.mark.parametrize("project", EXAMPLES, ids=lambda project: project.name)
def test_every_verdict_of_the_chapter_prints_its_chain_at_its_own_case(project: Any) -> None:
    """Effect and resistance of the soft ground stand in one scope, which prints at the governing case."""
    checked = 0
    for part in run_of(project).sections:
        sheet = next(sheet for sheet in part.sheets if sheet.key == "bearing")
        cases = settle_cases(part.sheets)
        for verdict in sheet.verdicts:
            if verdict.utilisation is None:
                continue
            scope = verdict.step.split("/")[2]
            assert verdict.resistance_step.split("/")[2] == scope
            case = cases["bearing", scope]
            if scope.startswith("cited_"):  # a number that its own line prints at another case
                assert sheet.scopes[scope][verdict.step.rpartition("/")[2]].number({}) == verdict.effect
            else:
                assert {axis: case[axis] for axis in verdict.case if axis in case} == dict(verdict.case)
            checked += 1

    assert checked


@pytest.mark.examples
def test_stress_ratios_of_the_examples_lie_between_1_and_5() -> None:
    """And none types a gain of strength: what they count on is computed."""
    for project in EXAMPLES:
        for part in run_of(project).sections:
            assert all(1 <= stage.n_stability <= 5 for stage in part.section.stages)
            assert not any(isinstance(stage.c_u_gain, float) and stage.c_u_gain for stage in part.section.stages)
