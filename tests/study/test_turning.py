"""Limitations that can turn a verdict: named with the designs of a search, and its proof qualified by them."""

from collections.abc import Sequence
from types import SimpleNamespace
from typing import Any

import pytest

from calc.engine.sheet import Limitation, Sheet, Verdict
from calc.study import size_report
from calc.study.report import turned_verdicts
from calc.study.size_report import first_words, limit_words, open_words, page_table, table_rows
from calc.study.turning import brief, limitation_numbers, numbers_of, turning
from calc.study.whole_section import Outcome, Rated

WATER = Limitation("toe-water-low", f"The lowest water level is in no stage. {'More of it. ' * 20}", "file", ("a", "b"))
HEAVE = Limitation("heave", "Heave is not considered.", "rule", ("c",))
PASSES = (
    Rated("x/a", "Ring tension", "pass", 0.8, None, (WATER,)),
    Rated("x/b", "Settlement", "fail", 1.2, None, (WATER,)),
    Rated("x/c", "Uplift", "pass", 0.95, None, (HEAVE,)),
    Rated("x/d", "Modulus of the tests", "pass", 0.97, None),
    Rated("x/e", "Drawing", "not verified", None, None, (HEAVE,)),
)


def found(*outcomes: Sequence[Rated], **more: Any) -> Any:
    """A search as far as its words read it."""
    grid = SimpleNamespace(size=SimpleNamespace(objective=["time"], programme=None, currency=None))
    best = [SimpleNamespace(outcome=Outcome(tuple(one)), objectives=(70.0,), settlement=None, number=k)
            for k, one in enumerate(outcomes)]  # fmt: skip
    given = {"grid": grid, "best": best, "front": False, "unchanged": {}, "failed": {}, **more}
    return SimpleNamespace(**given)


def test_a_limitation_turns_the_verdicts_with_numbers_that_it_names() -> None:
    sheet = Sheet(section="A", key="x")
    sheet.limitations.extend([WATER, HEAVE])

    assert turning([sheet], Verdict("a", "A", "pass", utilisation=0.5)) == (WATER,)
    assert turning([sheet], Verdict("d", "D", "pass", utilisation=0.5)) == ()
    assert turning([sheet], Verdict("a", "A", "not verified", note="no input")) == ()
    assert limitation_numbers([WATER, HEAVE, WATER]) == {"toe-water-low": 1, "heave": 2}
    assert numbers_of([HEAVE, WATER, HEAVE], {"toe-water-low": 1, "heave": 2}) == "1, 2"
    assert brief(HEAVE) == HEAVE.text
    assert brief(WATER).endswith(" …")


def test_only_what_passes_can_turn_into_a_fail() -> None:
    turned = Outcome(PASSES).turned

    assert {limit.key: [one.key for one in verdicts] for limit, verdicts in turned.items()} == {
        "toe-water-low": ["x/a"], "heave": ["x/c"],
    }  # fmt: skip


def test_designs_name_the_limitations_that_can_turn_them_once() -> None:
    designs = found(PASSES, PASSES, PASSES[:1])
    water, heave = limit_words(designs)

    text = " ".join(WATER.text.split())
    assert water == f"Limitation 1 can turn a pass of designs 1, 2, 3 into a fail (Ring tension): {text}"
    assert heave == "Limitation 2 can turn a pass of designs 1, 2 into a fail (Uplift): Heave is not considered."
    assert next(limit_words(designs, whole=False)).endswith(" …")
    assert first_words(designs) == (
        "Designs with the least hand-over (d), unless a limitation named below turns a verdict:"
    )
    assert first_words(found(PASSES[3:])) == "Designs with the least hand-over (d):"


def test_a_proposed_programme_names_what_can_turn_its_run() -> None:
    """Once for each section, of required verdicts that pass alone."""
    sheet = Sheet(section="A", key="x")
    sheet.limitations.extend([WATER, HEAVE])
    part = SimpleNamespace(section=SimpleNamespace(key="A"), sheets=[sheet])

    def said(*states: tuple[str, str]) -> list[tuple[str, list[str]]]:
        verdicts = [Verdict(key, "V", state, utilisation=0.5) for key, state in states]  # type: ignore[arg-type]
        run: Any = SimpleNamespace(verdicts=lambda: [(part, sheet, verdict) for verdict in verdicts])
        return list(turned_verdicts(run))

    [(words, rows)] = said(("a", "pass"), ("b", "pass"), ("c", "fail"))

    assert words == "Limitations that can turn a pass of that run into a fail"
    assert rows == [f"section A: {brief(WATER)}"]
    assert said(("c", "fail")) == []


def test_many_verdicts_of_one_limitation_are_counted_on_a_terminal() -> None:
    rows = [Rated(f"x/{k}", f"Verdict {k}", "pass", 0.5, None, (HEAVE,)) for k in range(5)]

    [short], [whole] = limit_words(found(rows), whole=False), limit_words(found(rows))

    assert "a pass of design 1 into a fail (Verdict 0; Verdict 1; Verdict 2 and 2 more): " in short
    assert "(Verdict 0; Verdict 1; Verdict 2; Verdict 3; Verdict 4): " in whole


def test_what_governs_a_design_is_what_the_grid_changes(monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr(size_report, "design_words", lambda *_: [])

    def governs(**more: Any) -> list[str]:
        [row] = table_rows(found(PASSES[:1] + PASSES[2:], **more))
        return row[-2:]

    monkeypatch.setattr(size_report, "table_head", lambda _: ["governed by"])
    head, rows = page_table(found(PASSES, PASSES[3:]))
    assert head == ["governed by", "limitations that can turn it"]
    assert [row[-1] for row in rows] == ["1, 2", "–"]
    assert page_table(found(PASSES[3:])) == (["governed by"], [*table_rows(found(PASSES[3:]))])
    assert governs() == ["0.970", "Modulus of the tests"]
    assert governs(unchanged={"x/d": 0.97}) == ["0.950", "Uplift"]
    assert governs(unchanged={"x/a": 0.8, "x/c": 0.95, "x/d": 0.97}) == ["–", "–"]


def test_verdicts_that_the_grid_does_not_change_are_told_where_there_are_some() -> None:
    screening = SimpleNamespace(unfollowed={}, dated={}, titles={"x/d": "Modulus of the tests"})

    assert not any("No value of the grid" in text for text in open_words(found(PASSES, screening=screening)))
    told = "".join(open_words(found(PASSES, screening=screening, unchanged={"x/d": 0.97})))
    assert "1 of the required verdicts" in told
    assert "0.970: Modulus of the tests" in told
