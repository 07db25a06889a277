"""Settlement at the border of two grids, and lengths, shares and ratios of a wedge that reaches several grids."""

import numpy as np
import pytest

from calc.formulas.column_zones import (
    area_along_base,
    area_at_inner_plane,
    column_stress_over_inner_plane,
    counted_ratio_in_wedge,
    crest_edge_of_stage,
    difference_at_border,
    difference_at_border_of_lengths,
    distance_from_other_toe,
    distance_to_crest_edge,
    field_beyond_inner_plane,
    gain_at_inner_plane,
    height_over_inner_plane,
    height_over_inner_plane_before_berm,
    length_below_slope,
    length_from_inner_plane,
    length_with_gain_from_inner_plane,
    mean_ratio_in_wedge,
    outer_end_of_columns,
    pressure_over_inner_plane,
    ratio_at_inner_plane,
    share_of_strip,
)
from calc.formulas.geometry import area_ratio
from calc.formulas.squeezing import block_length_with_gain
from calc.formulas.unit_cell import settlement_difference, settlement_difference_of_grids


def test_difference_at_a_border_is_symmetric_and_zero_for_equal_settlements() -> None:
    """Which of the grids is on the left is no matter."""
    assert difference_at_border(0.30, 0.12) == pytest.approx(0.18)
    assert difference_at_border(0.12, 0.30) == difference_at_border(0.30, 0.12)
    assert difference_at_border(0.2, 0.2) == 0


def test_difference_at_a_border_of_two_lengths_takes_what_settles_below_the_short_columns_as_it_is_worst() -> None:
    """By hand: 50 mm apart, and 40 mm below the toes right of the border, which bring both nearer or farther apart."""
    assert difference_at_border_of_lengths(0.10, 0.05, 0.0, 0.04) == pytest.approx(0.05)
    assert difference_at_border_of_lengths(0.05, 0.10, 0.0, 0.04) == pytest.approx(0.09)
    assert difference_at_border_of_lengths(0.10, 0.05, 0.04, 0.0) == pytest.approx(0.09)
    assert difference_at_border_of_lengths(0.05, 0.10, 0.03, 0.04) == pytest.approx(0.09)
    assert difference_at_border_of_lengths(0.30, 0.12, 0.0, 0.0) == difference_at_border(0.30, 0.12)


def test_difference_to_a_crest_edge_with_another_grid_is_the_magnitude_of_that_with_the_same_one() -> None:
    """The centre may settle less than an edge with a wider grid: such a difference must not pass by its sign."""
    assert settlement_difference_of_grids(0.10, 0.26) == pytest.approx(-settlement_difference(0.10, 0.26))
    assert settlement_difference_of_grids(0.26, 0.10) == pytest.approx(settlement_difference(0.26, 0.10))


def test_area_to_a_column_is_the_inverse_of_the_area_ratio() -> None:
    """Of one grid everywhere it is that of its unit cell."""
    for area in (area_at_inner_plane, area_along_base):
        assert area(0.5027, area_ratio(0.5027, 2.6522)) == pytest.approx(2.6522)


def test_a_plane_at_the_crest_edge_has_the_lengths_of_the_slope() -> None:
    """Of the final stage: 5 m from the axis, a slope of 8 m, columns 6 m beyond the edge."""
    edge = crest_edge_of_stage(b_K=10.0, n_S=2.0, H_GF=4.0, H_q=4.0)
    run = length_from_inner_plane(L_S=8.0, d_ip=distance_to_crest_edge(edge, edge))

    assert (edge, run) == (5.0, 8.0)
    assert field_beyond_inner_plane(10.0, 6.0, edge) == 6.0
    assert outer_end_of_columns(10.0, 6.0, edge, 8.0) == 11.0
    assert height_over_inner_plane(length_below_slope(run, 8.0), 8.0, d_io=18.0, L_So=8.0) == 1.0
    assert length_with_gain_from_inner_plane(6.0, run, 8.0, L_So=8.0, d_io=18.0) == block_length_with_gain(6.0, 8.0)


@pytest.mark.parametrize(
    ("place", "run", "height", "gains"),
    [(3.0, 10.0, 1.0, 6.0), (7.0, 6.0, 0.75, 2.0), (11.0, 2.0, 0.25, 0.0), (-8.0, 21.0, 0.75, 17.0),
     (-14.0, 27.0, 0.25, 20.0)],
)  # fmt: skip
def test_a_plane_elsewhere_has_the_full_height_below_the_crest_and_what_is_left_of_it_below_a_slope(
    place: float, run: float, height: float, gains: float
) -> None:  # fmt: skip
    """By hand, the same slope, the other one 12 m wide: evenly less below each; a gain counts from -11 m to 9 m."""
    found = length_from_inner_plane(8.0, distance_to_crest_edge(5.0, place))
    other = distance_from_other_toe(x_ip=place, b_K=10.0, n_So=3.0, H_GF=4.0)
    below = length_below_slope(found, 8.0)

    assert found == run
    assert height_over_inner_plane(below, 8.0, other, 12.0) == height
    assert height_over_inner_plane_before_berm(below, 8.0) == (1.0 if place < 5 else height)
    assert length_with_gain_from_inner_plane(30.0, found, 8.0, 12.0, other) == gains
    # Columns that end above mid-slope have none below mid-slope of the other side, either.
    assert length_with_gain_from_inner_plane(9.5, 13.868, 8.368, 8.368, 3.868) == pytest.approx(9.5 - 0.316)
    assert gain_at_inner_plane(found, 8.0, other, 12.0, 3.0) == (3.0 if -11 <= place <= 9 else 0.0)
    assert column_stress_over_inner_plane(height, 80.0) == pressure_over_inner_plane(height, 80.0) == 80.0 * height


def test_shares_of_strips_are_their_lengths_between_plane_and_end() -> None:
    """Three strips from -4 m on, the plane at 1 m, the end at 11 m: none, 3 m and 7 m of 10 m."""
    inner, outer = np.array([-4.0, 0.5, 4.0]), np.array([0.5, 4.0, 12.0])
    ratios, inside = np.array([0.1, 0.2, 0.15]), np.array([0.0, 1.0, 0.0])
    share = share_of_strip(x_oe=11.0, x_ip=1.0, x_s2=outer, x_s1=inner, i_st=inside)

    assert share.tolist() == pytest.approx([0, 0.3, 0.7])
    assert share_of_strip(x_oe=1.0, x_ip=1.0, x_s2=outer, x_s1=inner, i_st=inside).tolist() == inside.tolist()
    assert mean_ratio_in_wedge(share, ratios) == pytest.approx(0.3 * 0.2 + 0.7 * 0.15)
    assert counted_ratio_in_wedge(share, ratios) == mean_ratio_in_wedge(share, ratios)
    assert ratio_at_inner_plane(inside, ratios) == pytest.approx(0.2)
