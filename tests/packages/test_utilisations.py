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
from calc.package.utilisations import ACROSS, UPRIGHT, UtilisationTable, utilisation_tables
from tests.engine.chapters import FILE
from tests.packages.conftest import Made
from tests.packages.reading import page_texts, text_span
from tests.packages.scenario import alone, write_project

SETS = ("EN 1997-1 DA1-1", "EN 1997-1 DA1-2")
STAGES = ("0 none", "1 fill", "2 use")
LACKING = np.array([[True, False, False]] * 2)


def chapter(stages: Sequence[str] = STAGES, sets: Sequence[str] = SETS) -> Sheet:
    sheet = Sheet(section="A", key="cell", title="Cell")
    for name, labels in (("variant", sets), ("stage", stages), ("layer", ("top", "low"))):
        sheet.axis(name, labels)
    sheet.given("R_Bd", 100.0, origin=FILE)
    return sheet


def verdict(sheet: Sheet, key: str, effect: Value, limit: float = 1.0) -> None:
    sheet.verdict(key, f"Verdict {key}", effect=effect, resistance=sheet["R_Bd"], limit=limit)


def tables(*sheets: Sheet) -> list[UtilisationTable]:
    section = cast("Section", SimpleNamespace(key="A", title="Reach"))
    return list(utilisation_tables(Run(cast("Design", None), (alone(section, *sheets),))))


def texts(table: UtilisationTable) -> dict[str, list[str]]:
    return {row.title: [cell.text for cell in row.cells] for row in table.rows}


def staged(sheet: Sheet) -> Value:
    numbers = np.array([[0.0, 40.0, 60.0], [0.0, 0.0, 120.0]])
    return sheet.reading("F_Rd", numbers, ["variant", "stage"], title="Read", mask=LACKING, reason="no load")


def test_cells_stand_under_stage_and_factor_set_with_what_governs_and_what_fails() -> None:
    sheet = chapter()
    verdict(sheet, "ring", staged(sheet))
    (table,) = tables(sheet)

    assert [(one.text, one.span) for one in table.groups] == [(one, 2) for one in STAGES]
    assert [one.text for one in table.heads] == ["DA1-1", "DA1-2"] * 3
    assert texts(table) == {"Verdict ring": ["–", "–", "0.400", "–", "0.600", "✗1.200◂"]}
    assert [one.style for one in table.rows[0].cells][-2:] == ["begins", "governs fails"]
    assert (table.rows[0].chapter, table.rows[0].limit, table.sets) == ("A.1 Cell", "", ", ".join(SETS))


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
    verdict(sheet, "one set", effect.at(variant=SETS[0]), limit=0.5)
    (table,) = tables(sheet)

    assert texts(table)["Verdict final"] == ["", "", "0.400◂", "–", "", ""]
    assert texts(table)["Verdict one set"] == ["–", "", "0.400", "", "✗0.600◂", ""]
    assert [row.limit for row in table.rows] == ["", "", "0.5"]
    assert [row.chapter for row in table.rows] == ["A.1 Cell", "", ""]


def test_verdict_without_stages_stands_before_them_and_one_without_factor_sets_spans_them() -> None:
    sheet = chapter()
    verdict(sheet, "ring", staged(sheet))
    verdict(sheet, "sets", two_sets(sheet))
    verdict(sheet, "all", sheet["R_Bd"])
    (table,) = tables(sheet)

    assert [one.text for one in table.groups][:2] == ["any stage", "0 none"]
    assert texts(table)["Verdict sets"] == ["0.100", "0.200◂", *[""] * 6]
    assert [(one.text, one.span) for one in table.rows[2].cells] == [("1.000◂", 2), ("", 2), ("", 2), ("", 2)]
    assert texts(table)["Verdict ring"][:4] == ["", "", "–", "–"]


def two_sets(sheet: Sheet) -> Value:
    scope = sheet.scope("sets", "By factor sets")
    return scope.given("F_Rd", [10.0, 20.0], ["variant"], origin=FILE)


def test_verdicts_without_numbers_have_no_row() -> None:
    sheet = chapter()
    sheet.settled("firm", "Firm layer", "soundings")
    sheet.not_verified("open", "Open", "nobody knows")

    assert tables(sheet) == []


@pytest.mark.parametrize(
    ("stages", "columns", "across"), [(7, [14], False), (8, [16], True), (13, [26], True), (20, [26, 14], True)]
)
def test_many_stages_turn_the_page_and_then_part_the_table(stages: int, columns: list[int], across: bool) -> None:
    sheet = chapter([f"{k} lift" for k in range(stages)])
    verdict(sheet, "ring", sheet.given("F_Rd", np.ones((2, stages)), ["variant", "stage"], origin=FILE))
    found = tables(sheet)

    assert [len(table.heads) for table in found] == columns
    assert found[0].across is across
    assert max(columns) <= (ACROSS if across else UPRIGHT)


def test_every_verdict_with_a_number_has_its_row_with_the_number_and_its_page(package: Made) -> None:
    first = next(k for k, page in enumerate(package.pages) if page.startswith("Utilisations by stage and factor set"))
    text = "".join("".join(package.pages[first : first + 2]).split())
    numbers = [one for _, _, one in package.run.verdicts() if one.utilisation is not None]

    assert len(numbers) > 5
    for one in numbers:
        assert "".join(one.title.split()) in text
        assert f"{'✗' if one.state == 'fail' else ''}{one.utilisation:.3f}◂" in text


def test_table_of_many_stages_keeps_within_the_page(tmp_path: Path) -> None:
    design = read_design(write_project(tmp_path))
    sheet = chapter([f"{k} a stage with a longer name" for k in range(13)])
    verdict(sheet, "ring", sheet.given("F_Rd", np.full((2, 13), 123.4), ["variant", "stage"], origin=FILE))
    pdf = package_pdf(Run(design, (alone(design.sections[0], sheet),)), b"{}")
    left, right = text_span(pdf)

    assert left >= 19
    assert right <= 297 - 14
    assert sum("✗1.234" in "".join(page.split()) for page in page_texts(pdf)) == 1


def test_record_of_a_verdict_holds_the_same_largest_values() -> None:
    sheet = chapter()
    verdict(sheet, "ring", staged(sheet))
    recorded: Any = sheet.verdicts[0].table()

    assert recorded["values"] == [[None, 0.4, 0.6], [None, 0.0, 1.2]]
    assert [axis["name"] for axis in recorded["axes"]] == ["variant", "stage"]
