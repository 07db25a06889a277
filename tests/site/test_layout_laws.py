"""Laws of the layout: area ratio, least distance, borders, curves, mirror images, exclusion zones."""

from math import pi, sqrt
from pathlib import Path

import numpy as np
import pytest
from pytest import approx  # noqa: PT013 - as everywhere here
from scipy.spatial.distance import pdist

from calc.inputs.tables.plan import Exclusion
from calc.inputs.tables.plan_line import Intersection, elements_of
from calc.site.plan.axis import places
from calc.site.plan.column_layout import cell_areas, inside_polygon
from calc.site.plan.plan_steps import cell_ratios, design_ratios
from tests.site.planned import PLAN, made

DIAMETER, SPACING = 0.8, 1.9  # of the starter
BEND = PLAN.replace(
    '"1060 m", northing = "2080 m" },', '"1030 m", northing = "2040 m", radius = "200 m" },\n'
    '    { easting = "1045 m", northing = "2130 m" },'
)  # fmt: skip
LEFT_BEND = BEND.replace('"1030 m"', '"970 m"').replace('"1045 m"', '"955 m"')
ZONE = ('embedment = "0.5 m"', ('embedment = "0.5 m"\nzone = [{ key = "slope", x_left = "4 m", x_right = "11 m", '
        'mirrored = true, pattern = "triangular", spacing = "2.3 m" }]'))  # fmt: skip


def test_the_area_ratio_is_that_of_the_design_within_the_edge_effect(tmp_path: Path) -> None:
    """Rows and columns are spread evenly and never wider than the grid: above the design by less than one row."""
    plan = made(tmp_path)
    columns = plan.layout.columns
    ratio = pi * DIAMETER**2 / 4 / (sqrt(3) / 2 * SPACING**2)
    rows = int(columns.row.max())

    found = cell_ratios(plan.layout.areas, columns)

    assert design_ratios(plan.layout.areas, columns) == approx(ratio)
    assert (found >= ratio * (1 - 1e-9)).all()
    assert found.max() <= ratio * rows / (rows - 2)
    whole = len(columns) * pi * DIAMETER**2 / 4 / columns.cell.sum()
    assert ratio <= whole <= ratio * rows / (rows - 2)


def test_no_two_columns_are_closer_than_the_spacing_of_the_spread_grid(tmp_path: Path) -> None:
    columns = made(tmp_path).layout.columns
    apart = pdist(np.column_stack([columns.easting, columns.northing]))

    assert apart.min() == approx(columns.nearest.min())
    least = min(columns.spacing.min(), sqrt((columns.spacing.min() / 2) ** 2 + columns.distance.min() ** 2))
    assert apart.min() == approx(least)


def test_the_scale_factor_spreads_the_grid_and_leaves_lengths_on_the_ground(tmp_path: Path) -> None:
    one = made(tmp_path / "a").layout.columns
    other = made(tmp_path / "b", ("scale_factor = 1.0", "scale_factor = 0.999")).layout.columns

    width = [columns.offset.max() - columns.offset.min() for columns in (one, other)]
    assert width[0] == approx(width[1])
    in_grid = [np.hypot(columns.easting - columns.easting[0], columns.northing - columns.northing[0]).max()
               for columns in (one, other)]  # fmt: skip
    assert in_grid[1] < in_grid[0]
    assert (other.nearest >= 0.99 * one.nearest.min()).all()


def test_zones_of_the_columns_meet_without_a_gap(tmp_path: Path) -> None:
    """A zone with a wider grid: every cell stays within a fifth of the ratio of its own grid, at the border as well."""
    plan = made(tmp_path, ZONE, ("makeup_fill = true", "makeup_fill = false"))
    columns = plan.layout.columns
    deviation = cell_ratios(plan.layout.areas, columns) / design_ratios(plan.layout.areas, columns) - 1

    assert {one.zone for one in plan.columns} == {"", "slope"}
    # The strip of a zone of 7 m takes a row more than its grid, so that its cells are smaller than those of the design.
    assert -0.05 < deviation.min() <= deviation.max() < 0.35
    assert plan.passes
    assert columns.nearest.min() > 1.2


@pytest.mark.parametrize("bend", [BEND, LEFT_BEND])
def test_in_a_curve_the_cells_open_and_close_with_the_offset(tmp_path: Path, bend: str) -> None:
    """Two ways to the same area: the formula of parallel curves, and the cells measured in the plan."""
    plan = made(tmp_path, plan=bend)
    columns = plan.layout.columns
    inner = (columns.curvature != 0) & (columns.place > 3) & (columns.chainage < 60)
    own = columns.spacing * (1 - columns.curvature * columns.offset) * columns.distance

    assert inner.sum() > 50
    # A cell beside the end of the arc is part of the straight.
    assert np.quantile(np.abs(columns.cell[inner] / own[inner] - 1), 0.9) < 0.01
    assert plan.passes


def test_a_mirrored_line_gives_the_mirrored_plan(tmp_path: Path) -> None:
    """With an odd number of rows the pattern is its own mirror image about the line."""
    one, other = (made(tmp_path / name, plan=bend).layout.columns for name, bend in (("r", BEND), ("l", LEFT_BEND)))
    assert one.row.max() % 2 == 1

    right = np.column_stack([one.easting - 1000, one.northing])
    left = np.column_stack([1000 - other.easting, other.northing])

    order, mirrored = (array[np.lexsort(np.round(array, 4).T)] for array in (right, left))
    assert order == approx(mirrored, abs=1e-6)


def test_cells_of_a_square_grid_are_its_squares() -> None:
    """Plane geometry: the cell of every inner point of a square grid is the square of its spacing."""
    spots = np.array([(x, y) for x in range(6) for y in range(6)], dtype=float) * 1.5
    inner = np.array([0 < x < 7.5 and 0 < y < 7.5 for x, y in spots])

    assert cell_areas(spots)[inner] == approx(1.5**2)
    assert np.isinf(cell_areas(spots)[~inner]).all()
    assert np.isinf(cell_areas(spots[:3])).all()


def test_points_are_told_inside_and_outside_a_polygon_with_their_distance() -> None:
    corners = np.array([(0, 0), (4, 0), (4, 4), (2, 1), (0, 4)], dtype=float)

    inside, distance = inside_polygon(corners, np.array([1.0, 2.0, 5.0, 2.0]), np.array([1.0, 2.0, 0.0, 0.5]))

    assert inside.tolist() == [True, False, False, True]
    assert distance[[2, 3]] == approx([1.0, 0.5])


EXCLUSION = """
[[plan.exclusion]]
name = "Drain"
reason = "stays in use"
distance = "0.5 m"
corner = [
    { easting = "1020 m", northing = "2020 m" },
    { easting = "1030 m", northing = "2020 m" },
    { easting = "1030 m", northing = "2050 m" },
    { easting = "1020 m", northing = "2050 m" },
]
"""


def test_no_column_stands_in_an_exclusion_zone_or_near_its_border(tmp_path: Path) -> None:
    whole, plan = made(tmp_path / "a"), made(tmp_path / "b", plan=PLAN + EXCLUSION)
    (zone, out), columns = plan.layout.left_out[0], plan.layout.columns
    assert isinstance(zone, Exclusion)
    corners = np.array([(one.easting, one.northing) for one in zone.corner])
    inside, distance = inside_polygon(corners, columns.easting, columns.northing)

    assert not inside.any()
    assert distance.min() >= DIAMETER / 2 + 0.5
    assert len(columns) + len(out) == len(whole.layout.columns)
    assert plan.stated == len(out)
    assert any("Columns left out at “Drain”: " in limit.text for limit in plan.sheets[0].sheet.limitations)
    # What is left out serves nobody: the cells of the others do not grow into the hole.
    assert columns.cell.max() == approx(whole.layout.columns.cell.max())
    (left,) = [one for one in plan.sheets[0].sheet.verdicts if one.key == "left_out_0"]
    assert (left.stamp, left.title) == (
        "accepted by statement",
        f"Ground at “Drain”, where columns are left out ({len(out)}), and beside it",
    )
    assert left.note.endswith("as if those left out stood. stays in use")


def test_places_lie_at_their_offset_from_a_straight_line(tmp_path: Path) -> None:
    columns = made(tmp_path).layout.columns
    line = elements_of([Intersection(1000, 2000), Intersection(1060, 2080)], 0.0)

    e, n = places(line, columns.chainage, columns.offset)

    assert columns.easting == approx(e)
    across = (columns.easting - 1000) * 0.8 - (columns.northing - 2000) * 0.6
    assert across == approx(columns.offset)
    assert n == approx(columns.northing)
