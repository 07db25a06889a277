"""Reinforcement of the plan: that of the package where lengths are alike, and told where it cannot be counted."""

from dataclasses import replace
from pathlib import Path
from types import SimpleNamespace
from typing import Any

import pytest
from pytest import approx  # noqa: PT013 - as everywhere here

from calc.engine.sheet import Sheet
from calc.inputs import read_design
from calc.site.plan.column_layout import Area
from calc.site.plan.plan_reinforcement import REINFORCEMENT, WIDTHS, reinforcement
from calc.site.plan.plan_tables import blocks
from calc.site.plan.write_plan import MadePlan, make_plan
from tests.projects.store import read_results

ROOT = Path(__file__).parents[2]
STORED = ROOT / "tests" / "projects" / "stored" / "marsh-approach.results"


@pytest.fixture(scope="module")
def marsh() -> MadePlan:
    design = read_design(ROOT / "projects" / "marsh-approach")
    assert design.plan is not None
    return make_plan(design, design.plan)


def alone(area: Area, **changed: Any) -> Sheet:
    """The sheet of the reinforcement of an area, whose section is changed."""
    sheet = Sheet(section=area.section.key, key="plan")
    reinforcement(sheet, replace(area, section=area.section.model_copy(update=changed)))
    return sheet


def test_layers_have_the_area_that_the_package_has_over_the_same_length(marsh: MadePlan) -> None:
    """Chainages and given lengths are alike in the example: so are number, sum and largest of the layers."""
    stored = read_results(STORED)

    for one in marsh.sheets:
        section = one.area.section
        assert section.construction is not None
        assert section.construction.quantities is not None
        assert one.area.ends - one.area.begins == approx(section.construction.quantities.length)
        for name in ("A_rf", "A_rd"):  # as laid, and as delivered with waste
            found = one.sheet.scopes[REINFORCEMENT][name].array
            count, total, most = stored[f"{section.key}/construction/reinforcement/{name}"]
            assert (len(found), found.sum(), found.max()) == approx((count, total, most))


def test_the_area_grows_with_the_length_laid_out(marsh: MadePlan) -> None:
    area = marsh.sheets[0].area
    sheet = Sheet(section="A", key="plan")
    reinforcement(sheet, replace(area, ends=area.ends + 36.0))

    longer, own = (one.scopes[REINFORCEMENT]["A_rf"].array for one in (sheet, marsh.sheets[0].sheet))
    assert longer == approx(1.1 * own)


def test_a_column_of_the_table_is_a_layer_and_what_is_taken_over_names_its_line(marsh: MadePlan) -> None:
    tables = {block.title: block for block in blocks(marsh.sheets)}
    laid, common = tables["Quantity of the reinforcement"], tables["Embankment and column field"]
    base = next(line for line in laid.lines if line.symbol == "<i>z</i><sub>B</sub>")
    platform = next(line for line in common.lines if line.symbol == "<i>z</i><sub>P</sub>")

    assert laid.heads[:2] == ("A, Layer 1, across", "A, Layer 2, along")
    assert base.source == f"as {platform.number}"
    # What has its symbol and its line before does not stand there again.
    assert not {line.symbol for line in laid.lines} & {line.symbol for line in common.lines}


def test_what_is_missing_is_told(marsh: MadePlan) -> None:
    area = marsh.sheets[0].area
    construction: Any = area.section.construction
    bare = construction.model_copy(update={
        "quantities": construction.quantities.model_copy(update={"roll_width": None, "roll_ends": None})
    })  # fmt: skip
    missing = "construction.quantities.roll_width, construction.quantities.roll_ends"
    wasteless = construction.model_copy(update={
        "quantities": construction.quantities.model_copy(update={"roll_waste": None})
    })  # fmt: skip
    told = {
        "rolls": alone(area, construction=bare),
        "widened": alone(area, widening=SimpleNamespace()),
        "no-layers": alone(area, reinforcement=()),
        "no-allowances": alone(area, construction=construction.model_copy(update={"quantities": None})),
        "nothing": alone(area, construction=None),
    }

    assert {name: [limit.text for limit in sheet.limitations] for name, sheet in told.items()} == {
        "rolls": [f"Reinforcement is not counted, for want of {missing}."],
        "widened": ["Reinforcement is not counted: the section is widened."],
        "no-layers": [], "no-allowances": [], "nothing": [],
    }  # fmt: skip
    assert not any(WIDTHS in sheet.scopes for sheet in told.values())
    assert [limit.key for limit in alone(area, construction=wasteless).limitations] == ["reinforcement-waste"]


def test_without_a_platform_the_fill_begins_at_the_ground(marsh: MadePlan) -> None:
    sheet = alone(marsh.sheets[0].area, platform=None)

    assert float(sheet.scopes[WIDTHS]["z_P"].array) == float(sheet.scopes[WIDTHS]["z_g"].array)
