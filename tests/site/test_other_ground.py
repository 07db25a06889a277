"""Readings of ground whose layers consolidate at another ratio than those of the design."""

from functools import cache

import numpy as np
import pytest

from calc.procedures.observation import OWN, Shape
from calc.site.observed.design_course import DesignCourse, course_of
from calc.study.chapters import chapters
from tests.site.invented_plates import analysed, grid
from tests.site.invented_readings import chapters_of, design, fill_at, series

pytestmark = pytest.mark.slow


@cache
def other_ground(*factors: float) -> DesignCourse:
    """Section A with factors of their own on the c_h of its layers, at the dates of the invented works."""
    section, _ = chapters_of("A")
    layers = tuple(one.model_copy(update={"c_h": factor * (one.c_h or 0.0)})
                   for one, factor in zip(section.layers, factors, strict=True))  # fmt: skip
    other = section.model_copy(update={"layers": layers})
    days = np.arange(0.0, 201.0)
    return course_of(design(), other, chapters(design(), other, until="monitoring"),
                     series("A", "fill", "fill", days, fill_at("A", days)), 200.0)  # fmt: skip


@pytest.mark.parametrize("factors", [(2.0, 0.5), (0.4, 1.5), (1.5, 0.8)])
@pytest.mark.parametrize("last", [130, 200])
def test_layers_that_consolidate_at_another_ratio_never_give_too_high_a_degree(
    factors: tuple[float, float], last: int
) -> None:
    """Peat and clay with factors of their own; the degree of one factor on both was 8 to 10 points too high."""
    days = np.arange(0.0, last + 0.1, 3.0)
    course = other_ground(*factors)
    settled = np.asarray(course.with_factors(course.known, [1.0]).settlement_at(days)[0])
    scatter = np.random.default_rng(1).normal(0, 0.0005, len(days))
    made = analysed(last, series("A", "SP-1", "settlement", days, settled + scatter))
    reached, final = course.known.settled_of_load([float(last)])
    degree = float((reached / final)[0, 0])

    if made.forecast is None or made.why_none:
        assert made.wrong[0].startswith("the readings do not follow the course of the design")
    else:
        assert float(made.forecast.scope["U_osl"].array) <= degree


def test_the_course_of_two_parts_counts_where_the_readings_refute_that_of_the_design() -> None:
    days = np.arange(0.0, 200.1, 2.0)
    courses = Shape(0.5, 8).of(grid("A", 200).of(days))
    made = analysed(200, series("A", "SP-1", "settlement", days, courses[len(courses) // 2]))

    assert made.forecast is not None
    assert made.shapes[0].shape != OWN
    assert made.forecast.placed.low <= grid("A", 200).final <= made.forecast.placed.high
    note = next(step.note for step in made.sheet.steps if step.symbol == "f_ch")
    assert "The readings do not follow the design's course with one factor" in note
