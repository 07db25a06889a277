"""The table of utilisations over chapters, stages and factor sets."""

from collections.abc import Sequence
from pathlib import Path
from types import SimpleNamespace
from typing import Any, cast

import numpy as np
import pytest

from calc.chain import Run
from calc.engine.sheet import Sheet, Value
from calc.inputs import Design, Section, read_design
from calc.package import package_pdf
from calc.package.line_places import Places
from calc.package.utilisations import ACROSS, UPRIGHT, UtilisationTable, plain_utilisations, utilisation_tables
from tests.engine.chapters import FILE
from tests.packages.conftest import Made
from tests.packages.reading import page_texts, text_span
from tests.packages.scenario import alone, write_project

SETS = ("EN 1997-1 DA1-1", "EN 1997-1 DA1-2")
STAGES = ("0 none", "1 fill", "2 use")
BOTH = 2  # pages on which 13 stages stand
LACKING = np.array([[True, False, False]] * 2)


def chapter(stages: Sequence[str] = STAGES, sets: Sequence[str] = SETS) -> Sheet:
    sheet = Sheet(section="A", key="cell", title="Cell")
    for name, labels in (("factor_set", sets), ("stage", stages), ("layer", ("top", "low"))):
        sheet.axis(name, labels)
    sheet.given("R_Bd", 100.0, origin=FILE)
    return sheet


def verdict(sheet: Sheet, key: str, effect: Value, limit: float = 1.0) -> None:
    sheet.verdict(key, f"Verdict {key}", effect=effect, resistance=sheet["R_Bd"], limit=limit)


def run_of(*sheets: Sheet) -> Run:
    """A run in which every sheet is the only chapter of a section of its own, A, B and so on."""
    parts = tuple(
        alone(cast("Section", SimpleNamespace(key="ABC"[k], title="Reach")), sheet) for k, sheet in enumerate(sheets)
    )
    return Run(cast("Design", None), parts)


def tables(*sheets: Sheet) -> list[UtilisationTable]:
    """The tables of such a run."""
    return list(utilisation_tables(run_of(*sheets), [Places({}, {}, {})] * len(sheets)))


def texts(table: UtilisationTable) -> dict[str, list[str]]:
    """The cells by question, those that stand empty beside each other one by one; sections after each other."""
    return {
        question.title: [
            text for row in question.rows for cell in row.cells
            for text in ([cell.text] if cell.text else [""] * cell.span)
        ]
        for question in table.questions
    }  # fmt: skip


def staged(sheet: Sheet) -> Value:
    numbers = np.array([[0.0, 40.0, 60.0], [0.0, 0.0, 120.0]])
    return sheet.reading("F_Rd", numbers, ["factor_set", "stage"], title="Read", mask=LACKING, reason="no load")


def test_cells_stand_under_stage_and_factor_set_with_what_governs_and_what_fails() -> None:
    sheet = chapter()
    verdict(sheet, "ring", staged(sheet))
    (table,) = tables(sheet)

    assert [(group.text, group.span) for group in table.groups] == [("none", 2), ("fill", 2), ("use", 2)]
    assert [head.text for head in table.heads] == ["DA1-1", "DA1-2"] * 3
    assert texts(table) == {"Verdict ring": ["–", "–", "0.400", "–", "0.600", "✗1.200◂"]}
    (question,) = table.questions
    assert [cell.style for cell in question.rows[0].cells][-2:] == ["begins", "governs fails"]
    assert (question.chapter, question.limit, table.sets) == ("1 Cell", "", ", ".join(SETS))


def test_sections_stand_below_each_other_and_share_a_stage_of_one_name() -> None:
    first, second = chapter(), chapter(("0 none", "1 use"))
    verdict(first, "ring", staged(first))
    second_effect = second.reading("F_Rd", [[0.0, 30.0], [0.0, 20.0]], ["factor_set", "stage"], title="Read")
    verdict(second, "ring", second_effect)
    (table,) = tables(first, second)

    assert [group.text for group in table.groups] == ["none", "fill", "use"]
    assert [row.section for row in table.questions[0].rows] == ["A", "B"]
    assert texts(table)["Verdict ring"][6:] == ["–", "–", "", "", "0.300◂", "0.200"]


def test_stages_of_one_name_in_a_section_keep_their_numbers() -> None:
    sheet = chapter(("0 none", "1 fill", "2 fill"))
    verdict(sheet, "ring", staged(sheet))
    (table,) = tables(sheet)

    assert [group.text for group in table.groups] == ["0 none", "1 fill", "2 fill"]


def test_largest_over_the_other_axes_stands_in_the_cell() -> None:
    sheet = chapter()
    verdict(
        sheet, "ring", sheet.given("F_Rd", [[10.0, 90.0], [30.0, 20.0], [5.0, 6.0]], ["stage", "layer"], origin=FILE)
    )
    (table,) = tables(sheet)

    assert texts(table) == {"Verdict ring": ["0.900◂", "0.300", "0.060"]}


def test_verdict_of_a_selected_stage_stands_under_that_stage_alone() -> None:
    sheet = chapter()
    effect = staged(sheet)
    verdict(sheet, "ring", effect)
    verdict(sheet, "final", effect.at(stage="1 fill"))
    verdict(sheet, "one set", effect.at(factor_set=SETS[0]), limit=0.5)
    (table,) = tables(sheet)

    assert texts(table)["Verdict final"] == ["", "", "0.400◂", "–", "", ""]
    assert texts(table)["Verdict one set"] == ["–", "", "0.400", "", "✗0.600◂", ""]
    assert [question.limit for question in table.questions] == ["", "", "0.5"]
    assert [question.chapter for question in table.questions] == ["1 Cell", "", ""]


def test_verdict_without_factor_sets_spans_them() -> None:
    sheet = chapter()
    verdict(sheet, "ring", staged(sheet))
    verdict(sheet, "loads", sheet.scope("loads", "By stages").given("F_Rd", [10.0, 20.0, 30.0], ["stage"], origin=FILE))
    (table,) = tables(sheet)

    cells = [(cell.text, cell.span) for cell in table.questions[1].rows[0].cells]
    assert cells == [("0.100", 2), ("0.200", 2), ("0.300◂", 2)]
    assert not table.any_stage


def test_verdict_without_stages_stands_in_the_list_with_a_column_for_each_factor_set() -> None:
    first, second = chapter(), chapter()
    verdict(first, "ring", staged(first))
    verdict(first, "sets", two_sets(first))
    verdict(second, "sets", two_sets(second), limit=0.1)
    verdict(second, "all", second["R_Bd"])
    run, places = run_of(first, second), [Places({}, {}, {})] * 2
    listed = plain_utilisations(run, places)

    assert [list(texts(table)) for table in tables(first, second)] == [["Verdict ring"]]
    assert listed.sets == ("DA1-1", "DA1-2")
    assert {one.title: [(cell.text, cell.span) for cell in one.cells] for one in listed.rows} == {
        "Verdict sets": [("0.100", 1), ("0.200◂", 1), ("0.100", 1), ("✗0.200◂", 1)],
        "Verdict all": [("", 2), ("1.000", 2)],
    }


def test_verdict_without_stages_stands_before_them_where_sections_and_factor_sets_are_many() -> None:
    sheets = [chapter(sets=(*SETS, "EN 1997-1 DA1-3", "EN 1997-1 DA1-4")) for _ in "ABC"]
    for sheet in sheets:
        scope = sheet.scope("sets", "By factor sets")
        verdict(sheet, "sets", scope.given("F_Rd", [10.0, 20.0, 5.0, 5.0], ["factor_set"], origin=FILE))
        verdict(sheet, "all", sheet["R_Bd"])
    (table,) = tables(*sheets)
    listed = plain_utilisations(run_of(*sheets), [Places({}, {}, {})] * 3)

    assert [group.text for group in table.groups] == ["any stage"]
    assert table.any_stage
    assert texts(table) == {"Verdict sets": ["0.100", "0.200◂", "0.050", "0.050"] * 3}
    assert [one.title for one in listed.rows] == ["Verdict all"]


@pytest.mark.parametrize(("stages", "below"), [(5, False), (6, True), (8, True), (9, False)])
def test_titles_stand_above_their_rows_where_an_upright_page_has_room_for_the_numbers(stages: int, below: bool) -> None:
    sheet = chapter([f"{k} lift {k}" for k in range(stages)])
    verdict(sheet, "ring", sheet.given("F_Rd", np.ones((2, stages)), ["factor_set", "stage"], origin=FILE))
    (table,) = tables(sheet)

    assert table.below == below
    assert table.width == 2 * stages + (2 if below else 3)
    assert table.is_upright == (below or 2 * stages <= UPRIGHT)


def test_verdicts_without_stages_and_factor_sets_stand_in_a_list_with_the_sections_beside_each_other() -> None:
    first, second = chapter(), chapter()
    verdict(first, "all", first["R_Bd"])
    verdict(second, "all", second["R_Bd"], limit=0.5)
    verdict(second, "more", second["R_Bd"], limit=1.5)
    found = plain_utilisations(run_of(first, second), [Places({}, {}, {})] * 2)

    assert tables(first, second) == []
    assert found.sets == ("",)
    assert [(one.title, [(cell.text, cell.style) for cell in one.cells]) for one in found.rows] == [
        ("Verdict all", [("1.000", "begins"), ("✗1.000", "begins fails")]),
        ("Verdict more", [("", "begins"), ("1.000", "begins")]),
    ]
    assert [one.limit for one in found.rows] == ["", "1.5"]


def test_where_many_are_compared_with_one_value_the_line_is_that_of_the_other_one() -> None:
    sheet = chapter()
    effect = staged(sheet)
    verdict(sheet, "ring", effect)
    sheet.verdict(
        "first", "First", effect=sheet["R_Bd"], resistance=sheet.scope("one", "One").given("F_Rd", 200.0, origin=FILE)
    )
    sheet.verdict(
        "second", "Second", effect=sheet["R_Bd"], resistance=sheet.scope("two", "Two").given("F_Rd", 400.0, origin=FILE)
    )
    steps = [step.key for step in sheet.steps]
    places = Places({key: f"1.{k}" for k, key in enumerate(steps)}, dict.fromkeys(steps, "a"), {})
    (table,) = utilisation_tables(run_of(sheet), [places])
    found = [table.questions[0].rows[0].step, *(one.step for one in plain_utilisations(run_of(sheet), [places]).rows)]

    assert [step[-8:-4] for step in found] == [f">1.{k}" for k in (1, 2, 3)]


def two_sets(sheet: Sheet) -> Value:
    scope = sheet.scope("sets", "By factor sets")
    return scope.given("F_Rd", [10.0, 20.0], ["factor_set"], origin=FILE)


def test_verdicts_without_numbers_have_no_row() -> None:
    sheet = chapter()
    sheet.settled("firm", "Firm layer", "soundings")
    sheet.not_verified("open", "Open", "nobody knows")

    assert tables(sheet) == []


@pytest.mark.parametrize(("stages", "columns"), [(7, [14]), (10, [20]), (13, [14, 12]), (21, [14, 14, 14])])
def test_many_stages_part_the_table(stages: int, columns: list[int]) -> None:
    sheet = chapter([f"{k} lift {k}" for k in range(stages)])
    verdict(sheet, "ring", sheet.given("F_Rd", np.ones((2, stages)), ["factor_set", "stage"], origin=FILE))
    found = tables(sheet)

    assert [len(table.heads) for table in found] == columns
    assert max(columns) <= ACROSS


def test_question_that_says_nothing_of_the_stages_of_a_table_is_not_in_it() -> None:
    sheet = chapter([f"{k} lift {k}" for k in range(13)])
    effect = sheet.given("F_Rd", np.ones((2, 13)), ["factor_set", "stage"], origin=FILE)
    verdict(sheet, "ring", effect)
    verdict(sheet, "last", effect.at(stage="12 lift 12"))
    first, second = tables(sheet)

    assert [list(texts(one)) for one in (first, second)] == [["Verdict ring"], ["Verdict ring", "Verdict last"]]


def test_every_verdict_with_a_number_has_its_row_with_the_number_and_its_page(package: Made) -> None:
    first = next(
        k
        for k, page in enumerate(package.pages)
        if "Utilisations by section, stage and factor set" in page.split("\n")[:6]
    )
    text = "".join("".join(package.pages[first : first + 3]).split())
    numbers = [one for _, _, one in package.run.verdicts() if one.utilisation is not None]

    assert len(numbers) > 5
    for number in numbers:
        assert "".join(number.title.replace(", either side", "").split()) in text
        mark = "◂" if {"stage", "factor_set"} & set(number.case) else ""
        assert f"{'✗' if number.state == 'fail' else ''}{number.utilisation:.3f}{mark}" in text


def test_table_of_many_stages_keeps_within_the_page(tmp_path: Path) -> None:
    design = read_design(write_project(tmp_path))
    sheet = chapter([f"{k} a stage with a longer name" for k in range(13)])
    verdict(sheet, "ring", sheet.given("F_Rd", np.full((2, 13), 123.4), ["factor_set", "stage"], origin=FILE))
    pdf = package_pdf(Run(design, (alone(design.sections[0], sheet),)), b"{}")
    left, right = text_span(pdf)

    assert left >= 19
    assert right <= 297 - 14
    tabled = [page for page in page_texts(pdf) if "DA1-1 DA1-2 DA1-1 DA1-2" in page]
    assert sum("✗1.234" in "".join(page.split()) for page in tabled) == BOTH


def test_record_of_a_verdict_holds_the_same_largest_values() -> None:
    sheet = chapter()
    verdict(sheet, "ring", staged(sheet))
    recorded: Any = sheet.verdicts[0].table()

    assert recorded["values"] == [[None, 0.4, 0.6], [None, 0.0, 1.2]]
    assert [axis["name"] for axis in recorded["axes"]] == ["factor_set", "stage"]
