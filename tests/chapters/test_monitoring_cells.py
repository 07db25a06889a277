"""Levels of sleeve, pressure cells, strength and groundwater against expectation and design."""

from typing import Any

import pytest

from calc.chapters.shared.frame import SCENARIOS
from tests.chapters.mats import reinforced
from tests.chapters.monitoring_case import (
    FINAL,
    FIRST,
    Judge,
    judged,
    section,
    stage,
    trigger,
    verdicts,
)

approx = pytest.approx


def test_ring_tension_has_to_lie_before_the_sleeve_is_used_up(judge: Judge) -> None:
    """Characteristic tension over the largest utilisation, less what comes after; the strain by 3000 kN/m."""
    sheet = judge(
        trigger("ring tension", "100 kN/m"),
        trigger("ring strain", 0.04),
        trigger("ring strain", 0.06, phase="in service"),
    )
    scope = sheet.scopes["bearable"]
    tension, used = float(scope["F_k"].array), float(scope["u_Rx"].array)

    assert float(scope["F_kd"].array) == approx(tension / used)
    assert float(scope["eps_kd"].array) == approx(tension / used / 3000)
    assert verdicts(sheet)["trigger_F_expected"].effect == approx(
        sheet.scopes["expected"]["F_ob"].at(date="hand-over").array.max(), rel=1e-3
    )
    force = sheet.scopes["expected"]["F_ob"]
    more = (force.at(date="end of design life").array - force.at(date="hand-over").array).max()
    holds = (tension / used - more) / 3000
    assert more > 0.1
    assert float(judged(sheet)["design holds up to"]) == approx(tension / used - more, abs=0.01)
    assert float(judged(sheet, 2)["design holds up to"]) == approx(100 * holds, abs=0.005)
    assert judged(sheet, 3)["finding"] == "too late for the design"


def test_sleeve_without_tension_gives_only_the_limit_of_its_strain(judge: Judge) -> None:
    def slack(document: Any) -> None:
        document["sleeve"]["oversize"] = "150 mm"

    def unlimited(document: Any) -> None:
        slack(document)
        del document["basis"]["limits"]["ring_strain"]

    given = trigger("ring strain", 0.04), trigger("ring tension", "50 kN/m")
    limited, bare = judge(*given, changes=(slack,)), judge(*given, changes=(unlimited,))

    assert "bearable" not in limited.scopes
    assert judged(limited)["design holds up to"] == "5.00"
    assert "T2: no sleeve carries tension" in verdicts(limited)["trigger_F_source"].note
    assert "T1: no sleeve carries tension and no limit is given" in verdicts(bare)["trigger_eps_source"].note


def test_pressure_on_the_soil_lies_between_expectation_and_what_stability_counts_with(judge: Judge) -> None:
    changes = (stage(0, n_stability=1.5), stage(1, n_stability=3))
    sheet = judge(trigger("pressure on soil", "60 kPa", stage=FINAL), trigger("pressure on columns", "900 kPa"),
                  trigger("stress ratio", 4.0), changes=changes)  # fmt: skip
    counted = float(sheet.scopes["programme"]["sigma_sst"].at(stage="2 Final").array)

    assert float(judged(sheet)["design holds up to"]) == approx(counted, abs=0.01)
    assert float(judged(sheet)["cₕ lower"]) > 10
    assert judged(sheet, 2)["design holds up to"] == "–"
    assert judged(sheet, 3)["design holds up to"] == "3.00"
    assert verdicts(sheet)["trigger_n_expected"].state == "pass"


def test_pressure_on_the_soil_in_a_stage_without_load_has_no_value_of_the_design(judge: Judge) -> None:
    sheet = judge(trigger("pressure on soil", "5 kPa", stage=FIRST), changes=(stage(0, fill_height="0 m"),))

    assert "nothing is placed in one of its stages" in verdicts(sheet)["trigger_sigma_s_source"].note


def test_stress_ratio_of_the_first_stage_is_that_of_the_day_on_which_its_lift_is_placed(judge: Judge) -> None:
    """Not that of the first day looked at, when both pressures are next to nothing; the day stands in the table."""
    sheet = judge(trigger("stress ratio", 1.2, stage=FIRST), changes=(stage(0, duration="20 d"),))
    placed = sheet.scopes["expected"]["n_ob"].at(date=f"end of 1 {FIRST}")

    for scenario in SCENARIOS:
        assert float(judged(sheet)[scenario]) == approx(float(placed.at(scenario=scenario).array), abs=0.006)


def test_stress_ratio_before_any_load_is_not_expected(judge: Judge) -> None:
    sheet = judge(trigger("stress ratio", 2.0, stage=FIRST), changes=(stage(0, consolidates=False),))

    assert "trigger_n_expected" not in verdicts(sheet)
    assert judged(sheet)["cₕ best estimate"] == "–"


def test_arching_widens_the_range_of_the_pressure_cells(judge: Judge) -> None:
    given = trigger("pressure on soil", "60 kPa", stage=FINAL), trigger("stress ratio", 2.0, stage=FINAL)
    bare, arched = judge(*given), judge(*given, changes=(reinforced,))
    scope = arched.scopes["heads"]

    soil = float(scope["sigma_slt"].at(stage="2 Final").array)
    assert float(judged(arched)["cₕ best estimate"]) == approx(
        max(soil, float(judged(bare)["cₕ best estimate"])), abs=0.01
    )
    assert float(judged(arched, 2)["cₕ best estimate"]) <= float(judged(bare, 2)["cₕ best estimate"])


def test_arching_without_a_number_in_the_stage_adds_nothing(judge: Judge) -> None:
    given = trigger("pressure on soil", "60 kPa", stage=FIRST)
    changes = (reinforced, stage(0, fill_height="0 m"))

    assert judged(judge(given, changes=changes))["cₕ best estimate"] == "0.00"


BY_CELL = "fits; with the ratio of the cell the stage waits"


def test_undrained_strength_is_that_of_the_weakest_sublayer(judge: Judge) -> None:
    """Soft enough to gain before the final stage; what is counted lies below what is expected, or above it."""
    counted = (soft, stage(1, c_u_gain="0.2 kPa", c_u_gain_source="invented"))
    design = judge(trigger("undrained strength", "design", stage=FINAL), changes=counted)
    high = judge(trigger("undrained strength", "40 kPa", stage=FINAL, layer="clay"), changes=counted)
    low = judge(trigger("undrained strength", "5.1 kPa", stage=FINAL), changes=counted)
    firm = judge(trigger("undrained strength", "design", stage=FINAL), changes=counted[1:])

    assert [judged(one)["finding"] for one in (design, high, low, firm)] == [
        BY_CELL, "within the expected range", "too late for the design", "within the expected range"]  # fmt: skip
    assert float(judged(design)["cₕ best estimate"]) > 5.2
    assert judged(design)["level"] == "below 5.20 kN/m²\u00a0*"
    assert judged(design)["design holds up to"] == "5.20"
    assert judged(low)["level"] == "below 5.1 kN/m²"
    assert (
        judged(firm)["level"] == "below 25.20 kN/m²\u00a0*"
    )  # 25 kPa is above what the load can give: no gain is expected


def test_level_of_the_design_is_that_of_each_layer_and_judged_where_the_margin_is_least(judge: Judge) -> None:
    """Peat of 5 kPa gains more than is counted, clay of 25 kPa nothing: by the weakest sublayer alone it would fit."""

    def stiff(document: Any) -> None:
        soft(document)
        document["section"][0]["layer"][1]["c_u"] = "25 kPa"

    counted = (stiff, stage(1, c_u_gain="0.2 kPa", c_u_gain_source="invented"))
    sheet = judge(trigger("undrained strength", "design", stage=FINAL), changes=counted)
    peat = judge(trigger("undrained strength", "design", stage=FINAL, layer="peat"), changes=counted)

    assert judged(sheet)["finding"] == "within the expected range"
    assert judged(sheet)["level"] == "below 5.20 kN/m² peat, 25.20 kN/m² clay\u00a0*"
    assert (judged(sheet)["design holds up to"], judged(sheet)["cₕ best estimate"]) == ("25.20", "25.00")
    assert judged(peat)["finding"] == BY_CELL
    assert judged(peat)["level"] == "below 5.20 kN/m²\u00a0*"


def soft(document: Any) -> None:
    for layer in document["section"][0]["layer"]:
        layer["c_u"] = "5 kPa"


def test_gain_credited_as_computed_leaves_a_level_that_just_fits(judge: Judge) -> None:
    """Level, expectation and design are one number; rounding errors do not make it fail."""
    counted = stage(1, c_u_gain="consolidation", c_u_gain_source="invented")
    sheet = judge(trigger("undrained strength", "design", stage=FINAL), changes=(counted,))

    assert judged(sheet)["finding"] == "fits"  # the gain credited is that of c_h low
    assert {verdicts(sheet)[f"trigger_c_u_{key}"].state for key in ("expected", "design")} == {"pass"}


def test_groundwater_lies_between_the_level_at_rest_and_those_of_the_stages(judge: Judge) -> None:
    """Ground at 0.40 m, 6.5 m of soft ground, 0.5 m embedment: toes at -6.60 m; water of the stages at 0.20 m."""

    def higher(document: Any) -> None:
        document["water"]["high"] = "0.2 m"
        document["initial_water"] = "mean"
        for one in document["stage"]:
            one["water"] = "high"

    fits = judge(trigger("groundwater", "0.1 m", "attention"), changes=(higher,))
    late = judge(trigger("groundwater", "0.25 m"), changes=(higher,))
    rest = judge(trigger("groundwater", "-0.5 m"), changes=(higher,))

    assert judged(fits)["level"] == "above 0.1 m, 6.70 m above the toes"
    assert judged(fits)["cₕ best estimate"] == "6.30"
    assert judged(fits)["design holds up to"] == "6.80"
    assert [judged(one)["finding"] for one in (fits, late, rest)] == [
        "fits", "too late for the design", "within the expected range"]  # fmt: skip


def artesian(document: Any) -> None:
    """The aquifer at 1.0 m before, at 1.4 m in all stages; its base 6.5 m below the ground, the toes at -6.60 m."""
    document["water"]["high"] = "0.2 m"
    document["initial_water"] = "mean"
    for one in document["stage"]:
        one["water"] = "high"
    document["water"]["head"] = [
        {"water": name, "points": [{"level": "-6.10 m", "head": f"{value} m"}], "source": "invented"}
        for name, value in (("mean", 1.0), ("high", 1.4))
    ]
    for layer in document["section"][0]["layer"]:
        layer["OCR_water"] = "mean"


def test_head_of_the_aquifer_has_a_level_between_that_before_and_that_of_the_stages(judge: Judge) -> None:
    fits, late, rest = (
        judge(trigger("aquifer head", level), changes=(artesian,)) for level in ("1.2 m", "1.5 m", "0.9 m")
    )
    none = judge(trigger("aquifer head", "1 m"))

    assert [judged(fits)[name] for name in ("level", "cₕ best estimate", "design holds up to")] == [
        "above 1.2 m, 7.80 m above the toes",
        "7.60",
        "8.00",
    ]
    assert [judged(one)["finding"] for one in (fits, late, rest)] == [
        "fits", "too late for the design", "within the expected range"]  # fmt: skip
    assert "T1: no heads over depth are given" in verdicts(none)["trigger_h_a_source"].note


def test_head_of_the_aquifer_is_relied_on_and_has_to_be_read(judge: Judge) -> None:
    open_sheet = judge(trigger("groundwater", "0.1 m"), changes=(artesian,))
    watched = judge(trigger("aquifer head", "1.4 m"), changes=(artesian,))

    assert "head of the aquifer, not above at First lift" in verdicts(open_sheet)["monitoring_coverage"].note
    assert verdicts(watched)["monitoring_coverage"].state == "pass"


def test_groundwater_below_the_toes_is_left_open(judge: Judge) -> None:
    sheet = judge(trigger("groundwater", "-9 m"))

    dry = judge(trigger("groundwater", "-6 m"), changes=(section(water={"mean": "-7 m"}),))

    assert verdicts(sheet)["trigger_h_w_expected"].state == "not verified"
    assert judged(sheet)["finding"] == "within the expected range"
    assert "T1: a stage is verified with its water below the toes" in verdicts(dry)["trigger_h_w_source"].note
