"""What a chapter prints line by line and what it sets beside in tables: nothing that a verdict rests on is lost."""

from collections.abc import Callable
from typing import Any

import pytest
import tomlkit

from calc.chain import Run, SectionRun
from calc.chapters.load_transfer.arching import MODELS
from calc.engine.sheet import Expression, Sheet, Table
from tests.chapters.mats import Chapters, change, number, whole

MODEL_TABLE, FREE_TABLE = "beside-models", "beside-free"
RunProject = Callable[..., Run]


def table(sheet: Sheet, key: str) -> Table:
    return next(one for one in sheet.page.tables if one.key == key)


def printed(sheet: Sheet) -> set[str]:
    return {step.scope for step in sheet.page.lines}


def transfer(part: SectionRun) -> Sheet:
    return next(sheet for sheet in part.sheets if sheet.key == "load_transfer")


@pytest.mark.parametrize("model", [model.key for model in MODELS])
def test_model_that_is_used_keeps_its_lines_and_the_others_stand_in_a_table(chapters: Chapters, model: str) -> None:
    sheet = chapters(change(arching=model))["load_transfer"]
    others = {one.key for one in MODELS if one.key != model} | {"coefficient"}
    methods = [row[0] for row in table(sheet, MODEL_TABLE).rows if row[0]]

    assert model in printed(sheet)
    assert not others & printed(sheet)
    assert methods == [sheet.scopes[one].title for one in (*(m.key for m in MODELS), "coefficient") if one != model]
    step = next(line for line in sheet.page.lines if line.symbol == "sigma_sX")
    assert [given.value.step.split("/")[2] for given in step.inputs.values()] == [model]


@pytest.mark.parametrize("shape", [None, "uniform", "triangular", "inverse"])
def test_no_line_reads_what_is_not_printed(run_project: RunProject, shape: str | None) -> None:
    """A step goes back to steps that still have a number, whatever was set aside."""
    part = run_project(lambda document: whole(document, load_shape=shape)).sections[0]
    known = {step.key for sheet in part.sheets for step in sheet.page.lines}

    for sheet in part.sheets:
        for step in sheet.page.lines:
            read = {given.value.step for given in step.inputs.values() if given.value.step}
            assert read <= known, f"{step.key} reads {read - known}"
        for verdict in sheet.verdicts:
            assert {key for key in (verdict.step, verdict.resistance_step) if key} <= known


def test_equations_of_a_table_are_those_of_the_steps_with_their_values(run_project: RunProject) -> None:
    """Vaults and domes: the efficacy is the smaller of crown and head, both in the table with the numbers used."""
    part = run_project(change(arching="shaft")).sections[0]
    sheet, case = transfer(part), part.cases["load_transfer", "domes"]
    rows = {str(row[1]): row for row in table(sheet, MODEL_TABLE).rows}
    found = rows["E_A = min(E_1, E_2)"]

    assert isinstance(found[1], Expression)
    assert found[1].step.formula is not None
    assert found[2:] == [f"{sheet.scopes['domes']['E_A'].number(case):.4f}", ""]
    assert not [row for row in rows.values() if str(row[1]).startswith("spacing of the columns")]


def test_equation_stands_once_among_lines_and_rows(chapters: Chapters) -> None:
    sheet = chapters(change(arching="shaft"))["load_transfer"]
    formulas = [row[1].step.formula for row in table(sheet, MODEL_TABLE).rows if isinstance(row[1], Expression)]
    lines = {step.formula for step in sheet.page.lines if step.formula is not None}

    assert len(formulas) == len(set(formulas))
    assert not lines & set(formulas)


def test_shapes_of_the_load_stand_side_by_side(run_project: RunProject) -> None:
    part = run_project(change(load_shape="inverse")).sections[0]
    sheet, case = transfer(part), part.cases["load_transfer", "free_inverse"]
    shapes = table(sheet, FREE_TABLE)
    row = next(row for row in shapes.rows if str(row[0]).startswith("T_m,q = "))

    assert [one.words for one in shapes.head[1:-1]] == [
        sheet.scopes[f"free_{key}"].title.partition(": ")[2] for key in ("uniform", "triangular", "inverse")
    ]
    used = [sheet.scopes[f"free_{key}"]["T_mq"].number(case) for key in ("uniform", "triangular", "inverse")]
    assert row[1:] == [*(f"{one:.2f}" for one in used), "kN/m"]
    assert "compatible_inverse" in printed(sheet)


def test_full_arching_without_the_ground_keeps_its_lines_where_the_design_rests_on_it(chapters: Chapters) -> None:
    """Without the compatible settlement the largest of the three shapes carries the design."""
    sheet = chapters(change(full_arching_difference=None, load_shape=None))["load_transfer"]
    largest = max(("uniform", "triangular", "inverse"), key=lambda key: number(sheet.scopes[f"free_{key}"]["T_mq"]))

    assert {name for name in printed(sheet) if name.startswith("free_")} == {f"free_{largest}"}
    step = next(line for line in sheet.page.lines if line.symbol == "T_mqF")
    assert [given.value.step.split("/")[2] for given in step.inputs.values()] == [f"free_{largest}"]


def test_fill_too_low_for_arching_rests_on_no_model(chapters: Chapters) -> None:
    def low(document: Any) -> None:
        whole(document)
        document["embankment"]["height"] = "0.5 m"
        document["stage"][0]["fill_height"] = "0.3 m"
        document["stage"][1] |= {"fill_height": "0.5 m", "plant": "10 kPa"}

    sheet = chapters(low)["load_transfer"]

    assert not {model.key for model in MODELS} & printed(sheet)
    assert not next(line for line in sheet.page.lines if line.symbol == "sigma_sX").inputs


def test_every_section_has_the_equations_so_that_the_package_may_print_any(run_project: RunProject) -> None:
    def two(document: Any) -> None:
        whole(document)
        other = tomlkit.parse(tomlkit.dumps({"section": document["section"]}))["section"][0]
        other["key"] = "Z"
        document["section"].append(other)

    first, second = (transfer(part) for part in run_project(two).sections)

    for sheet in (first, second):
        assert {MODEL_TABLE, "models"} <= {one.key for one in sheet.page.tables}
    assert printed(first) == printed(second)
    step = next(line for line in second.page.lines if line.symbol == "sigma_sX")
    assert step.note == "for comparison: results.json"


def test_without_reinforcement_only_models_are_set_beside(chapters: Chapters) -> None:
    def bare(document: Any) -> None:
        document.pop("reinforcement", None)

    sheet = chapters(bare)["load_transfer"]

    assert MODEL_TABLE in {one.key for one in sheet.page.tables}
    assert FREE_TABLE not in {one.key for one in sheet.page.tables}
