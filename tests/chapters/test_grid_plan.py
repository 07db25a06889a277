"""The column grid in plan: rows and their numbers over the width of the field."""

from dataclasses import replace
from pathlib import Path

import pytest

from calc.chapters.columns.sketch import grid_plan
from calc.chapters.shared.geometry import Profile, column_axes
from calc.engine.figure import Circle, Dimension, Label
from calc.inputs import Section, read_design

SECTION = read_design(Path(__file__).parents[2] / "projects" / "dyke-reach").sections[0]
PLACE = Profile(
    crest=5.0, base=0.0, ground=0.0, left_toe=-18.0, left_shoulder=-2.0, right_shoulder=2.0, right_toe=18.0,
    left_column=-15.0, right_column=15.0, toes=-8.0, firm=-7.0, beside=10.0, left=-30.0, right=30.0,
)  # fmt: skip


def numbers(section: Section, place: Profile) -> list[tuple[int, float]]:
    return [(int(item.text), item.x) for item in grid_plan(section, place).items
            if isinstance(item, Label) and item.text.isdigit()]  # fmt: skip


def test_every_row_is_numbered_over_its_columns_from_edge_to_edge() -> None:
    rows = column_axes(SECTION, -15.0, 15.0)
    scene = grid_plan(SECTION, PLACE)
    columns = [item for item in scene.items if isinstance(item, Circle)]

    assert numbers(SECTION, PLACE) == list(enumerate(rows, start=1))
    assert sorted({column.x for column in columns}) == rows
    assert {2 * column.radius for column in columns} == {SECTION.columns.diameter}
    assert [item.text for item in scene.items if isinstance(item, Dimension)] == [
        "30.00 m",
        f"{rows[1] - rows[0]:.2f} m",
    ]


def test_triangular_rows_are_shifted_by_half_a_spacing_and_square_ones_are_not() -> None:
    a = SECTION.columns.spacing
    square = SECTION.model_copy(update={"columns": SECTION.columns.model_copy(update={"pattern": "square"})})

    for section, second in ((SECTION, [a / 2, 3 * a / 2]), (square, [0.0, a, 2 * a])):
        columns = [item for item in grid_plan(section, PLACE).items if isinstance(item, Circle)]
        at = sorted({column.x for column in columns})[1]
        assert [column.y for column in columns if column.x == at] == pytest.approx(second)


def test_numbers_that_have_no_room_are_left_out_but_for_first_and_last() -> None:
    wide = replace(PLACE, left_column=-60.0, right_column=60.0)
    shown = [number for number, _ in numbers(SECTION, wide)]
    last = len(column_axes(SECTION, -60.0, 60.0))

    assert shown[0] == 1
    assert shown[-1] == last
    assert all(number % 5 == 0 for number in shown[1:-1])
    assert len(shown) < last / 4
    assert "crest edge" not in [item.text for item in grid_plan(SECTION, wide).items if isinstance(item, Label)]
    assert "crest edge" in [item.text for item in grid_plan(SECTION, PLACE).items if isinstance(item, Label)]


def test_a_single_row_has_no_distance_and_edges_far_from_the_columns_are_not_drawn() -> None:
    one = replace(PLACE, left_column=0.0, right_column=0.0)
    scene = grid_plan(SECTION, one)

    assert [number for number, _ in numbers(SECTION, one)] == [1]
    assert len([item for item in scene.items if isinstance(item, Dimension)]) == 1
    assert "toe" not in [item.text for item in scene.items if isinstance(item, Label)]
    assert "toe" in [item.text for item in grid_plan(SECTION, PLACE).items if isinstance(item, Label)]
