"""Verdicts over named axes, and the case at which the chapters behind them print."""

from dataclasses import replace

import numpy as np
import pytest

from calc.engine.formula import FormulaError
from calc.engine.sheet import Sheet, SheetError, settle_cases
from calc.formulas.ground import initial_vertical_stress, sublayer_weight
from calc.formulas.sleeve import design_resistance
from calc.formulas.unit_cell import total_settlement
from tests.engine.chapters import FILE, chapter, masked


def tension(sheet: Sheet, effect: list[list[float]], resistance: list[float]) -> None:
    sheet.given("F_Rd", effect, ["stage", "layer"], origin=FILE)
    sheet.given("R_Bk", resistance, ["factor_set"], origin=FILE)
    sheet.given("gamma_M", 1.4, origin=FILE)
    sheet(design_resistance)


def test_verdict_keeps_the_case_with_the_largest_utilisation() -> None:
    sheet = chapter()
    tension(sheet, [[50.0, 60.0], [70.0, 40.0], [10.0, 20.0]], [140.0, 126.0])
    verdict = sheet.verdict("ring", "Ring tension", effect=sheet["F_Rd"], resistance=sheet["R_Bd"])

    assert verdict.case == {"factor_set": "2", "stage": "b", "layer": "top"}
    assert verdict.effect == 70.0
    assert verdict.resistance == pytest.approx(90.0)
    assert verdict.utilisation == pytest.approx(70 / 90)
    assert (verdict.state, verdict.factor_set, verdict.unit) == ("pass", "2", "kN/m")
    assert (verdict.step, verdict.resistance_step) == ("A/cell/-/F_Rd", "A/cell/-/R_Bd")


@pytest.mark.parametrize(
    ("effect", "limit", "state"), [(90.0, 1.0, "pass"), (90.001, 1.0, "fail"), (45.1, 0.5, "fail")]
)
def test_verdict_fails_just_above_its_limit(effect: float, limit: float, state: str) -> None:
    sheet = chapter()
    tension(sheet, [[effect, 1.0]] * 3, [126.0, 126.0])
    verdict = sheet.verdict("ring", "Ring tension", effect=sheet["F_Rd"], resistance=sheet["R_Bd"], limit=limit)

    assert verdict.state == state


def test_verdict_passes_over_lanes_without_an_effect() -> None:
    sheet = chapter()
    masked(sheet, "F_Rd", [70.0, 900.0], [False, True])
    sheet.given("R_Bd", 100.0, origin=FILE)
    verdict = sheet.verdict("ring", "Ring tension", effect=sheet["F_Rd"], resistance=sheet["R_Bd"])

    assert verdict.case == {"layer": "top"}
    assert verdict.utilisation == pytest.approx(0.7)


def test_verdict_without_any_number_is_refused() -> None:
    sheet = chapter()
    masked(sheet, "F_Rd", [70.0, 900.0], [True, True])
    sheet.given("R_Bd", 100.0, origin=FILE)

    with pytest.raises(SheetError, match="'ring' has no case with a number"):
        sheet.verdict("ring", "Ring tension", effect=sheet["F_Rd"], resistance=sheet["R_Bd"])


@pytest.mark.parametrize("resistance", [0.0, -5.0])
def test_verdict_refuses_a_resistance_that_is_not_positive(resistance: float) -> None:
    """A negative resistance would make a negative utilisation, which is not over one."""
    sheet = chapter()
    sheet.given("F_Rd", 70.0, origin=FILE)
    sheet.given("R_Bd", [100.0, resistance], ["factor_set"], origin=FILE)

    with pytest.raises(FormulaError, match="R_Bd must be positive"):
        sheet.verdict("ring", "Ring tension", effect=sheet["F_Rd"], resistance=sheet["R_Bd"])


def test_verdict_refuses_a_resistance_without_a_number() -> None:
    sheet = chapter()
    sheet.given("F_Rd", 70.0, origin=FILE)
    masked(sheet, "R_Bd", [100.0, 100.0], [False, True])

    with pytest.raises(FormulaError, match="R_Bd must be positive"):
        sheet.verdict("ring", "Ring tension", effect=sheet["F_Rd"], resistance=sheet["R_Bd"])


def two_chapters(limit: float) -> tuple[Sheet, Sheet]:
    """Stresses in a first chapter, a verdict in a second one which takes them over."""
    ground, cell = chapter("ground"), chapter("cell")
    scope = ground.scope("soil", "Soil")
    scope.given("gamma_eff", [8.0, 10.0], ["layer"], origin=FILE)
    scope.given("h", [[1.0, 1.0], [9.0, 1.0], [1.0, 2.0]], ["stage", "layer"], origin=FILE)
    scope(sublayer_weight)
    cell.take("w", scope["w"])
    cell.given("p_0", [[5.0, 500.0, 1.0], [1.0, 1.0, 1.0]], ["factor_set", "stage"], origin=FILE)
    cell(initial_vertical_stress)
    cell.given("p_1", limit, origin=FILE)
    cell.verdict("stress", "Stress", effect=cell["sigma_v0"].at(stage="c"), resistance=cell["p_1"])
    return ground, cell


def test_verdict_fixes_the_case_of_all_chapters_behind_it() -> None:
    """Without the verdict, stage b prints: it has the largest numbers. The verdict looked at stage c."""
    ground, cell = two_chapters(100.0)
    cases = settle_cases([ground, cell])

    assert cell.verdicts[0].case == {"factor_set": "1", "stage": "c", "layer": "low"}
    assert cell.verdicts[0].effect == pytest.approx(5.0 - 4.0 + 8.0 + 10.0)
    assert cases["cell", ""] == {"factor_set": "1", "stage": "c", "layer": "low"}
    assert cases["ground", "soil"] == {"stage": "c", "layer": "low"}
    assert cases["ground", ""] == {}


def test_printed_step_behind_a_verdict_shows_the_effect_of_the_verdict() -> None:
    ground, cell = two_chapters(100.0)
    cases = settle_cases([ground, cell])
    step = next(step for step in cell.steps if step.key == cell.verdicts[0].step)

    assert step.value.number(cases["cell", step.scope]) == cell.verdicts[0].effect


def test_selections_of_effect_and_resistance_each_decide_where_theirs_print() -> None:
    sheet = chapter(load=("G", "G+Q"))
    one, other = sheet.scope("one", "One"), sheet.scope("other", "Other")
    one.given("F_Rd", [70.0, 20.0], ["load"], origin=FILE)
    other.given("R_Bd", [100.0, 300.0], ["load"], origin=FILE)
    verdict = sheet.verdict("ring", "Ring", effect=one["F_Rd"].at(load="G+Q"), resistance=other["R_Bd"].at(load="G"))
    cases = settle_cases([sheet])

    assert verdict.case == {"load": "G+Q"}
    assert verdict.utilisation == pytest.approx(0.2)
    assert cases["cell", "one"] == {"load": "G+Q"}
    assert cases["cell", "other"] == {"load": "G"}


def test_scope_that_no_verdict_reaches_prints_at_its_largest_magnitude() -> None:
    sheet = chapter()
    scope = sheet.scope("other", "Other")
    scope.given("s_i", [[0.1, 0.2], [0.3, -0.9], [0.2, 0.1]], ["stage", "layer"], origin=FILE)
    scope(total_settlement)

    assert settle_cases([sheet])["cell", "other"] == {"stage": "b", "layer": "low"}


def test_scope_with_a_lead_prints_at_its_label() -> None:
    sheet = chapter()
    scope = sheet.scope("other", "Other", stage="c")
    scope.given("s", [0.1, 0.3, 0.2], ["stage"], origin=FILE)

    assert settle_cases([sheet])["cell", "other"] == {"stage": "c"}


def test_verdict_without_utilisation_fixes_the_case_of_its_own_scope_alone() -> None:
    sheet = chapter()
    far, own = sheet.scope("far", "Far"), sheet.scope("own", "Own")
    found = far.given("F_Rd", [70.0, 20.0, 30.0], ["stage"], origin=FILE)
    read = own.reading("F_Rd", [70.0, 20.0, 30.0], ["stage"], title="Read", inputs=[found])
    own.given("R_Bd", [1000.0, 10.0, 1000.0], ["stage"], origin=FILE)
    made = sheet.verdict("level", "Level", effect=read, resistance=own["R_Bd"])

    assert made.case == {"stage": "b"}
    assert settle_cases([sheet])["cell", "far"] == {"stage": "b"}
    sheet.verdicts[0] = replace(made, utilisation=None)
    cases = settle_cases([sheet])
    assert (cases["cell", "own"], cases["cell", "far"]) == ({"stage": "b"}, {"stage": "a"})


def test_verdict_with_the_largest_utilisation_decides_first() -> None:
    sheet = chapter()
    sheet.given("F_Rd", [70.0, 20.0, 30.0], ["stage"], origin=FILE)
    sheet.given("R_Bd", 100.0, origin=FILE)
    sheet.given("R_req", [200.0, 10.0, 200.0], ["stage"], origin=FILE)
    for name in ("R_Bd", "R_req"):
        sheet.verdict(name, name, effect=sheet["F_Rd"], resistance=sheet[name])

    assert [verdict.case["stage"] for verdict in sheet.verdicts] == ["a", "b"]
    assert settle_cases([sheet])["cell", ""] == {"stage": "b"}


def test_chain_of_the_stage_before_prints_at_the_stage_before() -> None:
    """The verdict governs in the last stage; what it reads of the stage before is followed to that stage."""
    cell, cell2 = chapter(), chapter("bearing")
    given = cell.scope("load", "Load").given("R_Bk", [1.0, 5.0, 2.0], ["stage"], origin=FILE)
    cell2.take("R_Bk", given.before("stage", 0.0))
    cell2.given("gamma_M", 1.0, origin=FILE)
    cell2(design_resistance)
    cell2.given("F_Rd", [0.0, 0.0, 4.0], ["stage"], origin=FILE)
    cell2.verdict("ring", "Ring", effect=cell2["F_Rd"].at(stage="c"), resistance=cell2["R_Bd"].at(stage="c"))

    assert settle_cases([cell, cell2])["cell", "load"] == {"stage": "b"}


def test_verdict_keeps_the_utilisations_of_all_cases() -> None:
    """Three stages, two layers; the resistance alone depends on the factor set."""
    sheet = chapter()
    sheet.given("R_Bd", [100.0, 80.0], ["factor_set"], origin=FILE)
    lacking = np.array([[True, True], [False, False], [False, True]])
    effect = [[0.0, 0.0], [20.0, 40.0], [60.0, 0.0]]
    sheet.reading("F_Rd", effect, ["stage", "layer"], title="Read", mask=lacking, reason="no load")
    verdict = sheet.verdict("ring", "Ring tension", effect=sheet["F_Rd"], resistance=sheet["R_Bd"])

    assert verdict.utilisations is not None
    assert verdict.utilisations.axis_names == ("factor_set", "stage", "layer")
    assert verdict.utilisations.number({"factor_set": "2", "stage": "c", "layer": "top"}) == verdict.utilisation == 0.75
    assert verdict.utilisations.reason == "no load"
    assert verdict.table() == {
        "axes": [{"name": "factor_set", "labels": ["1", "2"]}, {"name": "stage", "labels": ["a", "b", "c"]}],
        "values": [[None, 0.4, 0.6], [None, 0.5, 0.75]],
    }


def test_verdict_without_numbers_has_no_utilisations() -> None:
    sheet = chapter()
    sheet.settled("firm", "Columns stand on a firm layer", "cone resistance")

    assert sheet.verdicts[0].table() is None
