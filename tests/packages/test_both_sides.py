"""Verifications of both sides of an embankment stand together, in the lists of chapters and over the stages."""

from dataclasses import fields, replace
from typing import Any

import pytest

from calc.chapters.shared.soft_ground import say
from calc.package.both_sides import SIDES, title_and_side
from calc.package.utilisations import UPRIGHT, Cell, UtilisationTable
from calc.package.verdicts import VerdictView, verdict_groups
from tests.packages.test_utilisations import chapter, staged, tables, verdict


def view(section: str, title: str, effect: str = "p = 1", note: str = "") -> VerdictView:
    said = {"section": section, "title": title, "key": title, "effect": effect, "note": note}
    blank: dict[str, Any] = {one.name: "" for one in fields(VerdictView)} | {"anchor": f"{section} {title}"}
    return VerdictView(**(blank | said))


def test_sides_are_the_words_of_the_chapters() -> None:
    assert list(SIDES) == [say("either-side"), say("left-side"), say("right-side")]


@pytest.mark.parametrize(
    ("title", "found"),
    [
        ("Sliding, left side: Mat 1, across", ("Sliding: Mat 1, across", "left")),
        ("Stability, drained, either side, Spencer", ("Stability, drained, Spencer", "either")),
        ("Ring tension", ("Ring tension", "")),
    ],
)
def test_the_side_is_taken_out_of_a_title(title: str, found: tuple[str, str]) -> None:
    assert title_and_side(title) == found


def test_a_question_of_several_sides_has_one_title_and_a_row_for_each() -> None:
    views = [view("A", "Slip, either side"), view("C", "Slip, left side"), view("C", "Slip, right side")]
    (group,) = verdict_groups(views)

    assert (group.title, group.labels) == ("Slip", ("A either", "C left", "C right"))
    assert [one.title for one in verdict_groups(views, sides=False)] == [one.title for one in views]
    (alone,) = verdict_groups(views[:1])
    assert (alone.title, alone.labels) == ("Slip, either side", ("A",))


def test_one_answer_for_several_sides_names_them_and_keeps_the_place_of_each() -> None:
    views = [view("A", f"Slip, {words}", effect="", note="Not needed.") for words in ("left side", "right side")]
    (group,) = verdict_groups(views)

    assert group.alike
    assert group.title == 'Slip: left, <span id="A Slip, right side">right</span> side'


def test_sections_of_one_answer_in_words_share_a_row_and_those_with_numbers_keep_their_own() -> None:
    views = [view("A", "Creep", "", "no limit"), view("B", "Creep"), view("C", "Creep", "", "no limit")]
    (group,) = verdict_groups(views)

    joined = 'A, <span id="C Creep">C</span>'  # what refers to section C has to find it there
    assert [(label, several) for label, _, several in group.rows] == [(joined, True), ("B", False)]
    (numbers,) = verdict_groups([view("A", "Creep"), view("B", "Creep")])
    assert [label for label, _, _ in numbers.rows] == ["A", "B"]


def test_a_long_case_of_all_sections_prints_once() -> None:
    case = "stage “Low water”, position centre, load G+Q, stiffness long-term"
    first, second = (replace(view(key, "Creep"), case=case, factor_set="DA1-1", situation="persistent") for key in "AB")

    assert verdict_groups([first, second])[0].at == f"{case}, DA1-1, persistent"
    assert verdict_groups([first])[0].at == ""
    assert verdict_groups([first, replace(second, situation="transient")])[0].at == ""
    assert verdict_groups([first, view("B", "Creep", "", "no limit")])[0].at == ""
    assert verdict_groups([replace(each, case="stage “Final”") for each in (first, second)])[0].at == ""


def test_over_the_stages_sides_stand_below_each_other_and_no_title_repeats_its_chapter() -> None:
    sheet = chapter()
    effect = staged(sheet)
    for side in ("left", "right"):
        sheet.verdict(side, f"Cell, drained, {side} side", effect=effect, resistance=sheet["R_Bd"])
    verdict(sheet, "one", effect)
    sheet.verdict("both", "Sliding, either side: Mat 1", effect=effect, resistance=sheet["R_Bd"])
    (table,) = tables(sheet)

    assert [question.title for question in table.questions] == ["Drained", "Verdict one", "Sliding: Mat 1"]
    assert [row.section for row in table.questions[0].rows] == ["A left", "A right"]
    assert [row.section for one in table.questions[1:] for row in one.rows] == ["A", "A"]


def test_a_table_with_few_columns_stands_on_an_upright_page() -> None:
    """Its columns fill 175 mm: title, section, 10 or 13 mm a number, 11 mm for the line."""
    wide, narrow = (UtilisationTable("", (), (Cell(""),) * count, ()) for count in (UPRIGHT + 1, UPRIGHT))

    assert (wide.is_upright, narrow.is_upright) == (False, True)
    assert narrow.title_width + narrow.key_width + 10 * UPRIGHT + 11 == 175
    assert UtilisationTable("", (), (Cell(""),) * 5, ()).title_width == 164 - 5 - 13 * 5
