"""Areas that follow one another, by the example with three sections, a bend and an exclusion zone."""

from pathlib import Path

import numpy as np
import pytest
from pytest import approx  # noqa: PT013 - as everywhere here

from calc.inputs import InputErrors, read_design
from calc.package.canvas import Canvas
from calc.site.plan.plan_drawing import SYMBOLS, column_symbol
from calc.site.plan.plan_tables import blocks
from calc.site.plan.write_plan import MadePlan, make_plan
from tests.site.planned import PLAN, made, planned_text
from tests.site.test_layout_laws import EXCLUSION

MARSH = Path(__file__).parents[2] / "projects" / "marsh-approach"


@pytest.fixture(scope="module")
def marsh() -> MadePlan:
    design = read_design(MARSH)
    assert design.plan is not None
    return make_plan(design, design.plan)


@pytest.mark.slow
def test_where_areas_meet_there_is_no_gap_and_nothing_too_close(marsh: MadePlan) -> None:
    """Cells beside another area stay within the tolerance of their own design and of the closer grid of both."""
    columns = marsh.layout.columns

    assert marsh.passes
    assert columns.joint.sum() > 100
    assert columns.nearest.min() >= marsh.plan.clear_distance
    assert {verdict.key: verdict.stamp for one in marsh.sheets for verdict in one.sheet.verdicts} == {
        "cells": "pass", "joints": "pass", "clear": "pass", "left_out_0": "accepted by statement",
        "longer": "not verified", "shorter": "not verified",
    }  # fmt: skip


@pytest.mark.slow
def test_columns_of_all_areas_have_one_order_and_their_own_sections(marsh: MadePlan) -> None:
    ids = [one.id for one in marsh.listed.columns]

    assert ids == sorted(ids)
    assert {one.id[0] for one in marsh.columns} == {one.section for one in marsh.columns} == {"A", "B", "C"}
    for area in marsh.layout.areas:
        own = marsh.layout.columns.area == area.index
        assert marsh.layout.columns.chainage[own].min() > area.begins
        assert marsh.layout.columns.chainage[own].max() < area.ends


@pytest.mark.slow
def test_quantities_of_areas_are_added(marsh: MadePlan) -> None:
    quantities = next(block for block in blocks(marsh.sheets) if block.title == "Quantities")
    count = next(line for line in quantities.lines if line.title == "Columns, counted")

    assert quantities.heads == ("A", "B", "C", "sum of these")
    assert count.values[-1] == str(len(marsh.columns))
    ratio = next(line for line in quantities.lines if "Area ratio of the layout" in line.title)
    assert ratio.values[-1] == ""


@pytest.mark.slow
def test_a_bend_shows_in_the_spacing_of_its_rows(marsh: MadePlan) -> None:
    """Along the arc of 700 m to the left the rightmost row opens by its offset over the radius."""
    columns = marsh.layout.columns
    own = (columns.area == 2) & (columns.row == columns.row[columns.area == 2].max()) & (columns.curvature != 0)
    places = np.column_stack([columns.easting[own], columns.northing[own]])
    offset = float(columns.offset[own][0])

    apart = np.hypot(*np.diff(places, axis=0).T) / marsh.plan.scale_factor

    assert np.median(apart) == approx(float(columns.spacing[own][0]) * (1 + offset / 700), rel=1e-3)


def test_every_zone_has_a_symbol_that_needs_no_colour() -> None:
    drawn = []
    for symbol in SYMBOLS:
        canvas = Canvas(10, 10)
        column_symbol(canvas, (5, 5), 2, symbol)
        drawn.append(canvas.svg())

    assert len(set(drawn)) == len(SYMBOLS)


def test_an_area_without_columns_is_refused(tmp_path: Path) -> None:
    whole = EXCLUSION.replace("1020 m", "900 m").replace("1030 m", "1200 m").replace("2020 m", "1900 m")

    with pytest.raises(InputErrors, match=r"plan\.area\[1\]: must keep two columns or more .*, got 0"):
        made(tmp_path, plan=PLAN + whole.replace("2050 m", "2200 m"))


def test_layers_that_change_across_need_investigation_points(tmp_path: Path) -> None:
    text = planned_text(('name = "Peat"', 'name = "Peat"\nthickness_left = "3.0 m"'), plan=PLAN)
    (tmp_path / "project.toml").write_text(text, encoding="utf-8")

    with pytest.raises(InputErrors, match=r"plan\.investigation: must be given: layers of section A change across"):
        read_design(tmp_path)


def test_a_widened_bank_is_not_laid_out(tmp_path: Path) -> None:
    text = (MARSH.parent / "quay-road" / "project.toml").read_text(encoding="utf-8")
    key = read_design(MARSH.parent / "quay-road").sections[0].key
    own = PLAN.replace('section = "A"', f'section = "{key}"')
    (tmp_path / "project.toml").write_text(text.replace("\n[embankment]", f"{own}\n[embankment]", 1), encoding="utf-8")

    with pytest.raises(InputErrors, match=r"must be a section without \[widening\]"):
        read_design(tmp_path)
