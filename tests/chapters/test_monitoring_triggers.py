"""Levels against what is expected and against what the design holds up to, quantity by quantity."""

from typing import Any

import numpy as np
import pytest

from calc.chapters.monitoring.judged_quantities import JUDGED
from calc.chapters.shared.frame import AS_GIVEN, HIGH, LOW, SCENARIOS
from calc.engine.sheet import Sheet
from calc.factors.monitored import QUANTITIES
from calc.inputs.tables.monitoring import MEASURED
from tests.chapters.monitoring_case import (
    BELOW,
    FINAL,
    FIRST,
    Change,
    Judge,
    judged,
    section,
    stage,
    table,
    trigger,
    verdicts,
)

approx = pytest.approx
NOT_CRITICAL = {
    "lateral displacement", "lateral rate", "displacement ratio", "displacement increment ratio", "heave", "tilt",
}  # fmt: skip


def at_hand_over(sheet: Sheet, scenario: str) -> float:
    return float(sheet.scopes["expected"]["s_ob"].at(date="hand-over", scenario=scenario).array)


def test_lists_of_quantities_belong_together() -> None:
    assert set(JUDGED) | NOT_CRITICAL == set(QUANTITIES)
    assert {name for quantity in QUANTITIES.values() for name in quantity.read_by} <= set(MEASURED)


LEVELS = {
    "settlement": "0.9 m", "settlement rate": "20 mm/d", "residual settlement": "0.2 m", "pore pressure": "20 kPa",
    "ring strain": 0.03, "ring tension": "60 kN/m", "pressure on soil": "60 kPa", "pressure on columns": "400 kPa",
    "stress ratio": "design", "groundwater": "1 m", "aquifer head": "1 m",
}  # fmt: skip
AT_START = {"degree of consolidation": 0.5, "undrained strength": "design"}


def test_every_reading_says_what_it_comes_from(judge: Judge) -> None:
    """Levels of every quantity that is judged: no step without a step or a field behind it."""
    triggers = [trigger(name, level) for name, level in LEVELS.items()]
    triggers += [trigger(name, level, stage=FINAL) for name, level in AT_START.items()]
    sheet = judge(*triggers, changes=(stage(1, degree_min=0.5),))
    keys = {f"trigger_{one.symbols.key}" for one in JUDGED.values()}

    assert {*LEVELS, *AT_START} == set(JUDGED)
    assert keys <= set(sheet.scopes)
    assert [step.key for step in sheet.steps if step.kind == "reading" and not (step.inputs or step.origins)] == []


def test_value_comes_from_the_steps_and_fields_of_its_quantity(judge: Judge) -> None:
    sheet = judge(trigger("settlement", "0.9 m"), trigger("settlement", "0.8 m", "attention"))
    steps = {step.symbol: step for step in sheet.steps if step.scope == "trigger_s"}
    own = {step.key: step for step in sheet.steps}
    bounds = [own[one.value.step] for one in steps["s_D"].inputs.values()]

    assert set(steps["s_E"].inputs) == {"s_ob"}
    assert [set(bound.inputs) for bound in bounds] == [{"s_lim", "Ds_fol", "s_bfol"}] * 2
    assert [set(own[bound.inputs["Ds_fol"].value.step].inputs) for bound in bounds] == [{"s_ob", "s_oEP"}] * 2
    assert [origin.path for origin in steps["s_D"].origins] == ["basis.limits.settlement_total"]


@pytest.mark.parametrize(("ratio", "waits"), [(1.0, True), (100.0, False)])
def test_strength_that_the_stress_of_the_cell_does_not_bring_makes_the_stage_wait(
    judge: Judge, ratio: float, waits: bool
) -> None:
    """Counted with a ratio of 1 the soil gains much; the cell, by which the ratio is expected, leaves it little."""
    counted = {"c_u_gain": "consolidation", "c_u_gain_source": "vane tests"}

    def soft(document: Any) -> None:
        for one in document["section"][0]["layer"]:
            one.update(c_u="1 kPa", OCR=1.0, S=0.3)

    sheet = judge(
        trigger("undrained strength", "design", stage=FINAL),
        changes=(stage(0, n_stability=ratio), stage(1, **counted), soft),
    )
    made, cell = verdicts(sheet)["trigger_c_u_expected"], sheet.scopes["cell_strength"]["c_uoc"]
    counts = sheet.scopes["programme"]["c_ust"]
    final = sheet.axes["stage"][-1]

    assert made.state == "pass"
    assert (cell.at(stage=final).array < counts.at(stage=final).array - 0.005).any() == waits
    assert ("the stage waits" in made.note) == waits
    assert judged(sheet)["finding"].endswith("with the ratio of the cell the stage waits") == waits
    assert ("strength-by-cell" in {limitation.key for limitation in sheet.limitations}) == waits


def test_stop_has_to_lie_beyond_the_whole_band(judge: Judge) -> None:
    """Settlement until hand-over: 496 to 516 mm expected, 1.2 m allowed."""
    low, high = (at_hand_over(judge(), scenario) for scenario in (LOW, HIGH))
    found = {
        level: verdicts(judge(trigger("settlement", f"{level:.4f} m")))["trigger_s_expected"].state
        for level in (0.9 * low, 0.5 * (low + high), 1.01 * high)
    }

    assert list(found.values()) == ["fail", "fail", "pass"]


def test_attention_may_lie_in_the_band_beyond_the_course_as_given(judge: Judge) -> None:
    given, high = (at_hand_over(judge(), scenario) for scenario in (AS_GIVEN, HIGH))
    levels = (0.99 * given, 0.5 * (given + high))
    found = [judge(trigger("settlement", f"{level:.5f} m", "attention")) for level in levels]

    assert [verdicts(sheet)["trigger_s_expected"].state for sheet in found] == ["fail", "pass"]
    assert [judged(sheet)["finding"] for sheet in found] == ["within the expected range", "fits"]


def test_level_beyond_the_limit_is_too_late(judge: Judge) -> None:
    late, fits = (judge(trigger("settlement", level)) for level in ("1.1 m", "1.0 m"))

    settled = late.scopes["expected"]["s_ob"]
    more = (settled.at(date="end of design life").array - settled.at(date="hand-over").array).max()
    assert float(judged(late)["design holds up to"]) == approx(1000 * (1.2 - float(more)), abs=0.1)
    assert verdicts(late)["trigger_s_design"].state == "fail"
    assert verdicts(late)["trigger_s_design"].note == "T1 red, until hand-over: too late for the design."
    assert verdicts(late)["trigger_s_design"].utilisation is None
    assert judged(late)["finding"] == "too late for the design"
    assert verdicts(fits)["trigger_s_design"].state == "pass"


def test_level_of_settlement_leaves_room_for_ground_below_that_does_not_drain(judge: Judge) -> None:
    def below(drains: bool) -> Change:
        return lambda document: document["section"][0].update(layer_below=[{**BELOW, "drains": drains}])

    quick, slow = (judge(trigger("settlement", "0.9 m"), changes=(below(one),)) for one in (True, False))
    held = [float(one.scopes["trigger_s"]["s_D"].array[0]) for one in (quick, slow)]

    assert float(quick.scopes["bound_1"]["s_bfol"].array) == 0
    assert held[0] - held[1] == approx(float(slow.scopes["bound_1"]["s_bfol"].array))
    assert held[0] > held[1]


def test_ring_strain_without_a_limit_is_held_by_the_strength_of_the_sleeve(judge: Judge) -> None:
    def unlimited(document: Any) -> None:
        document["basis"]["limits"].pop("ring_strain", None)

    given, bare = judge(trigger("ring strain", 0.02)), judge(trigger("ring strain", 0.02), changes=(unlimited,))

    assert "eps_LD" in given.scopes["bound_1"]
    assert "eps_LD" not in bare.scopes["bound_1"]
    strains = [float(one.scopes["trigger_eps"]["eps_D"].array[0]) for one in (given, bare)]
    assert strains[0] <= strains[1]


def test_verdict_and_words_agree_at_the_last_bit(judge: Judge) -> None:
    """A level one bit beyond what the design holds: its quotient with the bound may round to 1."""
    holds = float(judge(trigger("settlement", "1.0 m")).scopes["trigger_s"]["s_D"].array[0])
    for level in (np.nextafter(holds, 0.0), holds, np.nextafter(holds, 2.0), np.nextafter(holds, 2.0) * (1 + 1e-15)):
        found = judge(trigger("settlement", f"{float(level)!r} m"))
        late = judged(found)["finding"] == "too late for the design"

        assert late == (float(found.scopes["trigger_s"]["s_T"].array[0]) > holds)
        assert verdicts(found)["trigger_s_design"].state == ("fail" if late else "pass")


def test_without_a_limit_only_the_source_judges_how_late_a_level_may_be(judge: Judge) -> None:
    def unlimited(document: Any) -> None:
        del document["basis"]["limits"]["settlement_total"]

    sheet = judge(trigger("settlement", "0.9 m"), changes=(unlimited,))

    assert "trigger_s_design" not in verdicts(sheet)
    assert verdicts(sheet)["trigger_s_source"].required is False
    assert "T1: no limit is given (field basis.limits.settlement_total)" in verdicts(sheet)["trigger_s_source"].note
    assert judged(sheet)["finding"] == "fits, as far as known"


def test_narrower_range_lets_a_level_lie_closer(judge: Judge) -> None:
    high = at_hand_over(judge(), HIGH)
    level = trigger("settlement", f"{0.998 * high:.5f} m")
    narrow = section(consolidation={"c_h_low": 0.95, "c_h_high": 1.05})

    assert verdicts(judge(level))["trigger_s_expected"].state == "fail"
    assert verdicts(judge(level, changes=(narrow,)))["trigger_s_expected"].state == "pass"


def test_level_of_a_stage_is_judged_in_its_time_only(judge: Judge) -> None:
    first, later = judge(trigger("settlement", "0.3 m", stage=FIRST)), judge(trigger("settlement", "0.3 m"))

    assert verdicts(first)["trigger_s_expected"].state == "pass"
    assert verdicts(later)["trigger_s_expected"].state == "fail"


def test_settlement_in_service_reaches_to_the_end_of_life(judge: Judge) -> None:
    sheet = judge(trigger("settlement", "0.7 m", phase="in service"))
    life = sheet.scopes["expected"]["s_ob"].at(date="end of design life").array

    assert verdicts(sheet)["trigger_s_expected"].effect == approx(life.max())


def test_residual_settlement_is_that_from_hand_over_to_the_end_of_life(judge: Judge) -> None:
    sheet = judge(trigger("residual settlement", "0.25 m"))
    settled, below = (sheet.scopes["expected"][name] for name in ("s_ob", "s_bob"))
    rest = settled.at(date="end of design life").array - settled.at(date="hand-over").array
    effect = verdicts(sheet)["trigger_s_r_expected"].effect

    assert below.array.max() == 0
    assert effect is not None
    assert effect > rest.max() + 0.01  # traffic before hand-over
    assert "basis.limits.settlement_residual" in verdicts(sheet)["trigger_s_r_source"].note


def test_rate_is_judged_against_the_largest_of_its_time_and_has_no_value_of_the_design(judge: Judge) -> None:
    sheet = judge(trigger("settlement rate", "20 mm/d"), trigger("settlement rate", "25 mm/d", stage=FINAL))
    rates = sheet.scopes["rates"]["v_ob"]

    assert float(judged(sheet)["cₕ upper"]) == approx(
        1e3 * rates.largest("scenario").array[SCENARIOS.index(HIGH)], rel=0.02
    )
    assert float(judged(sheet, 2)["cₕ upper"]) == approx(
        1e3 * float(rates.at(stage="2 Final", scenario=HIGH).array), rel=0.02
    )
    assert "T1: the design has no value for it; T2" in verdicts(sheet)["trigger_v_source"].note


def test_pore_pressure_lies_between_what_is_left_and_what_nothing_drained_would_give(judge: Judge) -> None:
    sheet = judge(trigger("pore pressure", "64 kPa", stage=FINAL), trigger("pore pressure", "62 kPa", stage=FINAL,
                                                                          layer="peat"))  # fmt: skip
    left = sheet.scopes["expected"]["u_sen"].at(date="end of 2 Final", scenario=LOW)
    peat = [label for label in left.labels("layer") if label.startswith("peat")]

    assert float(judged(sheet)["cₕ lower"]) == approx(float(left.array.max()), abs=0.01)
    assert float(judged(sheet, 2)["cₕ lower"]) == approx(float(left.at(layer=peat).array.max()), abs=0.01)
    assert judged(sheet, 2)["quantity"] == "pore pressure, peat"
    assert float(judged(sheet)["design holds up to"]) > float(judged(sheet)["cₕ lower"])
    assert verdicts(sheet)["trigger_u_design"].state == "pass"


def test_pore_pressure_before_any_load_has_no_value_of_the_design(judge: Judge) -> None:
    sheet = judge(trigger("pore pressure", "5 kPa", stage=FIRST), changes=(stage(0, consolidates=False),))

    assert "nothing is placed in one of its stages" in verdicts(sheet)["trigger_u_source"].note


def test_degree_is_waited_for_with_c_h_as_given(judge: Judge) -> None:
    asked = stage(1, degree_min=0.85)
    early = judge(trigger("degree of consolidation", 0.97, stage=FINAL), changes=(asked,))
    late = judge(trigger("degree of consolidation", 0.8, stage=FINAL), changes=(asked,))
    design = judge(trigger("degree of consolidation", "design", stage=FINAL), changes=(asked,))
    free = judge(trigger("degree of consolidation", 0.8, stage=FINAL))

    assert [judged(one)["finding"] for one in (early, late, design)] == [
        "within the expected range", "too late for the design", "fits; with lower cₕ the stage waits"]  # fmt: skip
    assert verdicts(design)["trigger_U_design"].effect == verdicts(design)["trigger_U_design"].resistance
    assert float(judged(design)["cₕ lower"]) < 85 < float(judged(design)["cₕ best estimate"])
    assert "no degree of consolidation is required at the start of the stage" in verdicts(free)["trigger_U_source"].note


def test_degree_asked_for_where_nothing_was_placed_is_left_open(judge: Judge) -> None:
    changes = (stage(0, consolidates=False), stage(1, degree_min=0.5))
    sheet = judge(trigger("degree of consolidation", 0.6, stage=FINAL), changes=changes)

    assert verdicts(sheet)["trigger_U_expected"].state == "not verified"
    assert "No reading is expected" in verdicts(sheet)["trigger_U_expected"].note


def test_quantities_that_are_not_computed_are_judged_by_their_source(judge: Judge) -> None:
    sheet = judge(trigger("lateral displacement", "40 mm"), trigger("tilt", "2 deg"), trigger("settlement", "0.9 m"))
    found = verdicts(sheet)["triggers_not_computed"]

    assert found.required is False
    assert "T1 lateral displacement (invented); T2 tilt (invented)." in found.note
    assert [judged(sheet, number)["finding"] for number in (1, 2, 3)] == ["not calculated", "not calculated", "fits"]
    assert [judged(sheet, number)["design holds up to"] == "–" for number in (1, 2, 3)] == [True, True, False]
    assert "triggers_not_computed" not in verdicts(judge(trigger("settlement", "0.9 m")))


def test_only_quantities_that_are_not_computed_leave_no_table_of_levels(judge: Judge) -> None:
    sheet = judge(trigger("heave", "40 mm"))

    assert "finding" not in judged(sheet)


def test_every_trigger_is_printed_with_its_action_as_typed(judge: Judge) -> None:
    given = trigger("settlement", "0.9 m", stage=FINAL, phase="waiting"), trigger("settlement", "0.8 m", "attention")
    sheet, calm = judge(*given), judge(given[1])

    assert [[*row[:4], *row[-2:]] for row in table(sheet, "stop").rows] == [
        ["T1", "settlement", f"{FINAL}, waiting", "above 900 mm", "a", "invented"]]  # fmt: skip
    assert table(sheet, "stop").note.startswith("Action a, decided by designer: stop.")
    assert [row[0] for row in table(sheet, "attention").rows] == ["T2"]
    assert "stop" not in {one.key for one in calm.page.tables}
