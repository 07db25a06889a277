"""A verdict whose number its line prints at another case cites a line of its own."""

import pytest

from calc.engine.sheet import Sheet, SheetError, Verdict, settle_cases, settle_cited
from calc.formulas.sleeve import design_resistance
from tests.engine.chapters import FILE, chapter


def two_verdicts() -> Sheet:
    """One scope, two limits; the case of the first, which is utilised more, is that of the scope."""
    sheet = chapter()
    scope = sheet.scope("ring", "Ring")
    scope.given("F_Rd", [70.0, 20.0, 30.0], ["stage"], origin=FILE)
    scope.given("R_Bk", 99.4, origin=FILE)
    scope.given("gamma_M", 1.4, origin=FILE)
    scope(design_resistance)
    scope.given("R_req", [200.0, 200.0, 60.0], ["stage"], origin=FILE)
    for name in ("R_Bd", "R_req"):
        sheet.verdict(name, f"Against {name}", effect=scope["F_Rd"], resistance=scope[name])
    return sheet


def printed(sheet: Sheet, key: str) -> float | None:
    step = next(step for step in sheet.steps if step.key == key)
    return step.value.number(settle_cases([sheet])["cell", step.scope])


def test_second_verdict_of_a_scope_cites_lines_of_its_own() -> None:
    sheet = two_verdicts()
    first, second = sheet.verdicts
    assert (printed(sheet, second.step), second.effect) == (70.0, 30.0)
    settle_cited([sheet])
    cited = sheet.verdicts[1]

    assert sheet.verdicts[0] == first
    assert (cited.step, cited.resistance_step) == ("A/cell/cited_R_req/F_Rd", "A/cell/cited_R_req/R_req")
    assert (printed(sheet, cited.step), printed(sheet, cited.resistance_step)) == (30.0, 60.0)
    assert printed(sheet, "A/cell/ring/F_Rd") == 70.0
    assert sheet.scopes["cited_R_req"].title == "Against R_req"


def test_line_of_a_verdict_says_at_which_case_it_was_read() -> None:
    sheet = two_verdicts()
    settle_cited([sheet])
    line = next(step for step in sheet.steps if step.key == "A/cell/cited_R_req/F_Rd")
    (read,) = line.inputs.values()

    assert (read.value.step, read.value.chosen) == ("A/cell/ring/F_Rd", (("stage", "c"),))
    assert line.title == "Design value of the ring tension, governing case"


def test_number_over_an_axis_that_the_verdict_leaves_out_is_found_on_its_line() -> None:
    sheet = chapter()
    sheet.given("F_Rd", [[70.0, 20.0], [1.0, 2.0], [30.0, 90.0]], ["stage", "layer"], origin=FILE)
    sheet.given("R_Bd", 100.0, origin=FILE)
    sheet.verdict("a", "A", effect=sheet["F_Rd"], resistance=sheet["R_Bd"])
    sheet.verdict("b", "B", effect=sheet["F_Rd"].at(stage="a").largest(), resistance=sheet["R_Bd"])
    settle_cited([sheet])

    assert [printed(sheet, verdict.step) for verdict in sheet.verdicts] == [90.0, 70.0]
    assert sheet.steps[-1].inputs["F_Rd"].value.chosen == (("stage", "a"), ("layer", "top"))


def test_effect_and_resistance_of_one_symbol_stand_apart() -> None:
    sheet = two_verdicts()
    scope = sheet.scopes["ring"]
    sheet.verdict("c", "C", effect=scope["F_Rd"].at(stage="b"), resistance=scope["F_Rd"].at(stage="c"))
    settle_cited([sheet])
    made: Verdict = sheet.verdicts[-1]

    assert (made.step, made.resistance_step) == ("A/cell/cited_c/F_Rd", "A/cell/cited_c_resistance/F_Rd")
    assert (printed(sheet, made.step), printed(sheet, made.resistance_step)) == (20.0, 30.0)


def test_number_that_stands_nowhere_on_its_line_is_refused() -> None:
    sheet = chapter()
    sheet.given("F_Rd", [70.0, 20.0, 30.0], ["stage"], origin=FILE)
    sheet.given("R_Bd", 100.0, origin=FILE)
    sheet.verdict("b", "B", effect=sheet["F_Rd"].before("stage", 99.0), resistance=sheet["R_Bd"])

    with pytest.raises(SheetError, match=r"the verdict 'b' cites A/cell/-/F_Rd, where its number 99\.0 is not"):
        settle_cited([sheet])
