"""Remarks on slip surfaces reach the page: one limitation a kind and scope, the worst case named."""

from types import SimpleNamespace
from typing import Any

from calc.chapters.stability.limits import remarks
from calc.engine.sheet import Sheet
from calc.procedures.slip import Circle, Search, analyse
from calc.procedures.stage_search import Found
from tests.procedures.slip_cases import R1_CIRCLE, r1
from tests.procedures.test_slip_steep import cut


def said(*rows: Any) -> dict[str, str]:
    sheet = Sheet(section="A", key="stability", axes={"factor_set": ("set 1", "set 2"), "stage": ("1 Half", "2 Whole")})
    searches: Any = SimpleNamespace(sheet=sheet, stages=["1 Half", "2 Whole"])
    remarks(searches, sheet.scope("slip", "Slip circles"), Found(tuple(rows)))
    return {limitation.key: limitation.text for limitation in sheet.limitations}


def test_worst_case_of_each_kind_prints_with_the_number_of_cases() -> None:
    shallow, deep = (analyse(cut(60.0, c=c), Search(counts=(9, 9, 9)), "spencer") for c in (50.0, 60.0))
    found = said((shallow, None), (deep, None))

    assert set(found) == {
        "slip-no-equilibrium-slip", "slip-interslice-tension-slip", "slip-negative-normal-slip", "slip-crack-slip"
    }  # fmt: skip
    assert "Slip circles: " in found["slip-no-equilibrium-slip"]
    assert "(worst of 2 analyses: set 1 “Half”)" in found["slip-no-equilibrium-slip"]
    assert "a tension crack 6.00 m deep" in found["slip-crack-slip"]
    assert "(worst of 2 analyses: set 2 “Half”)" in found["slip-crack-slip"]


def test_surfaces_without_remarks_print_nothing() -> None:
    assert said((analyse(r1(), R1_CIRCLE), None), (analyse(r1(), Circle(5.0, 7.0, 12.5)), None)) == {}
