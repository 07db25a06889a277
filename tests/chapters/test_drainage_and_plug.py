"""Columns as drains, the seal plug, and what the chapter on filters leaves open."""

from collections.abc import Callable
from typing import Any

import numpy as np
import pytest
import tomlkit

from calc.engine.sheet import Sheet
from tests.chapters.filter_cases import AQUIFER, DAY, PLUG, ROOT, filtered, noted, verdict
from tests.projects.store import run_of

Chapters = Callable[..., dict[str, Sheet]]
approx = pytest.approx


@pytest.mark.parametrize(("ends", "share"), [("top", 1.0), ("both", 0.5)])
def test_columns_as_drains_by_hand(chapters: Chapters, ends: str, share: float) -> None:
    """Columns of 7 m; all that a stage adds to the settlement leaves while it is filled, in 14 and 28 days."""

    def drained(document: Any) -> None:
        document["filters"]["drainage"]["ends"] = ends

    run = chapters(filtered(drained))
    sheet, way = run["filters"], 7.0 * share
    a_E = np.pi * 0.8**2 / 4 / (np.sqrt(3) / 2 * 1.97**2)
    q_w = 1e-4 * DAY * np.pi * 0.8**2 / 4
    s = run["unit_cell"].scopes["settlement"]["s"].at(position="centre", load="G", stiffness="long-term").array
    lost = np.pi * 0.8**2 / 4 / a_E * np.diff(s) / [14.0, 28.0] * way / (2 * q_w)

    resistance = 2 / 3 * np.pi * way**2 * 6e-9 * DAY / q_w * (1 - a_E)
    assert verdict(sheet, "well_resistance").utilisation == approx(resistance / 0.3)
    assert verdict(sheet, "head_loss").utilisation == approx(lost.max() / 0.10)


def test_programme_without_durations_leaves_the_head_open(chapters: Chapters) -> None:
    def at_once(document: Any) -> None:
        for stage in document["stage"]:
            stage["duration"] = "0 d"

    note = noted(chapters(filtered(at_once))["filters"], "head_loss")
    assert note == "No stage adds settlement while it is filled over a time."


def test_without_tables_every_question_is_open_and_names_its_fields(chapters: Chapters) -> None:
    sheet = chapters()["filters"]

    missing = noted(sheet, "filter_retention")
    names = ("field filters.soil", "“Peat”", "“Organic clay”", "field filters.fill", "field filters.geotextile",
             "field filters.criteria")  # fmt: skip
    assert all(name in missing for name in names)
    assert noted(sheet, "fill_permeability") == (
        "Not given: permeability of the column fill (field columns.fill.k); grading of the column fill (field "
        "filters.fill); coefficients of the estimates (field filters.estimates)."
    )
    assert noted(sheet, "head_loss") == (
        "Not given: drainage data (field filters.drainage); permeability of the column fill (field columns.fill.k)."
    )
    assert "(field plug)" in noted(sheet, "aquifer")
    assert {one.state for one in sheet.verdicts} == {"not verified"}


def test_layers_without_permeability_are_named(chapters: Chapters) -> None:
    def closed(document: Any) -> None:
        del document["section"][0]["layer"][1]["k"], document["section"][0]["layer"][1]["c_h"]

    sheet = chapters(filtered(closed))["filters"]

    assert noted(sheet, "filter_permeability") == "Not given: permeability of “Organic clay” (field layer.k)."
    assert noted(sheet, "well_resistance") == (
        "Not given: permeability of “Organic clay” (field layer.k); coefficient of horizontal consolidation of "
        "“Organic clay” (field layer.c_h)."
    )


def test_plug_reproduces_its_seepage_and_uplift(chapters: Chapters) -> None:
    """Column 0.8 m, plug 1.0 m, head 2.0 m, 1e-9 m/s: 1.0e-9 m3/s, 0.087 litres a day; uplift by hand."""

    def closed(document: Any) -> None:
        document["plug"] = tomlkit.parse(PLUG).unwrap()
        document["water"]["head"] = AQUIFER

    sheet = chapters(closed)["filters"]
    seepage = float(sheet.scopes["plug"]["Q_pl"].array[0])
    A_E = np.sqrt(3) / 2 * 1.97**2

    assert seepage / DAY == approx(1.0e-9, abs=0.05e-9)
    assert seepage * 1000 == approx(0.087, abs=0.0005)
    assert verdict(sheet, "plug_seepage").utilisation == approx(seepage / A_E / (5e-10 * DAY))
    holding = 0.9 * (20 - 9.81) * 1.0 + 4 * 5 * 1.0 / 0.8 / 1.4
    assert verdict(sheet, "plug_uplift").utilisation == approx(1.1 * 2.0 * 9.81 / holding)
    assert any(figure.key == "plug" for figure in sheet.page.figures)


def test_plug_that_is_not_needed_is_settled_with_the_reason(chapters: Chapters) -> None:
    def open_toe(document: Any) -> None:
        document["plug"] = {"needed": False, "reason": "There is no aquifer (invented)."}

    found = verdict(chapters(open_toe)["filters"], "aquifer")
    assert (found.state, found.note) == ("pass", "No plug is needed: There is no aquifer (invented).")


@pytest.mark.examples  # reaches lines that the test project does not
def test_two_factor_sets_govern_different_verdicts_of_the_basin() -> None:
    """Ring tension is largest where the effect is factored, the pressure on the toe where the strength is."""
    (part,) = run_of(ROOT / "projects" / "basin-crossing").sections
    found = {(sheet.key, one.key): one for sheet in part.sheets for one in sheet.verdicts}

    assert found["sleeve", "ring_tension"].factor_set == "EN 1997-1 DA1-1"
    assert found["bearing", "toe_bearing"].factor_set == "EN 1997-1 DA1-2"
    assert "fail" not in {one.state for one in found.values()}
    settled = [one for (chapter, _), one in found.items() if chapter in {"filters", "construction"}]
    assert len(settled) > 15
    assert {one.state for one in settled} == {"pass"}
