"""Column plan: values calculated by hand from the plane geometry, and laws of the interpolation."""

from math import pi

import numpy as np
from hypothesis import given
from hypothesis import strategies as st
from pytest import approx  # noqa: PT013 - as everywhere here

from calc.formulas.column_plan import (
    bearing_level_between,
    layout_ratio,
    length_between_levels,
    longer_than_design,
    plan_fill,
    plan_plugs,
    plan_sleeves,
    ratio_at_offset,
    ratio_difference,
    ratio_of_cell,
    shorter_than_design,
    sounding_weight,
    spacing_at_offset,
)


def test_spacing_in_a_curve_is_that_of_the_arc_through_the_column() -> None:
    """On a right bend of 100 m, 10 m out to the left is an arc of 110 m radius: a tenth more."""
    assert spacing_at_offset(a_s=2.0, kap=1 / 100, u_x=-10.0) == approx(2.0 * 110 / 100)
    assert spacing_at_offset(a_s=2.0, kap=0.0, u_x=-10.0) == 2.0


def test_area_ratios_are_the_column_over_its_cell() -> None:
    assert ratio_at_offset(A_c=0.5, a_u=2.0, e_w=1.25) == approx(0.2)
    assert ratio_of_cell(A_c=0.5, A_u=2.5) == approx(0.2)
    assert layout_ratio(N_p=100, A_c=0.5, A_lay=250.0) == approx(0.2)


def test_a_cell_between_the_design_and_the_spread_grid_differs_from_neither() -> None:
    differences = ratio_difference(a_Eu=np.array([0.18, 0.20, 0.21, 0.242]), a_E=0.2, a_Eg=0.22)

    assert differences == approx([0.1, 0.0, 0.0, 0.1])


def test_quantities_are_those_of_one_column_times_their_number_where_all_are_alike() -> None:
    area, count, length = pi * 0.16, 12, 7.0

    assert length_between_levels(z_H=0.4, z_toe=-6.6) == approx(length)
    assert plan_sleeves(l_p=count * length, N_p=count, l_top=0.6, l_toe=0.4) == approx(count * (length + 1.0))
    assert plan_fill(A_c=area, l_p=count * length, N_p=count, L_pl=1.0) == approx(count * area * (length - 1.0))
    assert plan_plugs(A_c=area, N_p=count, L_pl=1.0) == approx(count * area)


def test_lengths_against_the_design_are_differences_of_the_bearing_layer_and_never_negative() -> None:
    deeper, higher = np.array([-6.5, -5.2]), -6.0

    assert longer_than_design(z_firm=higher, z_fi=deeper) == approx([0.5, 0.0])
    assert shorter_than_design(z_firm=higher, z_fh=deeper) == approx([0.0, 0.8])


def test_inverse_distances_reproduce_values_calculated_by_hand() -> None:
    """Distances of 1, 2 and 4 m: weights 1, 1/4 and 1/16, so (−6 − 7/4 − 8/16) / (21/16)."""
    weights = sounding_weight(d_i=np.array([1.0, 2.0, 4.0]))

    assert weights == approx([1, 0.25, 0.0625])
    assert bearing_level_between(w_b=weights, z_i=np.array([-6.0, -7.0, -8.0])) == approx(-8.25 * 16 / 21)


@given(st.lists(st.tuples(st.floats(0.1, 500), st.floats(-20, 0)), min_size=1, max_size=8))
def test_an_interpolated_level_lies_between_the_points_and_scales_with_no_distance(
    points: list[tuple[float, float]],
) -> None:
    distance, level = (np.array(one) for one in zip(*points, strict=True))

    found, doubled = (
        bearing_level_between(w_b=sounding_weight(d_i=factor * distance), z_i=level)[0] for factor in (1, 2)
    )

    assert level.min() - 1e-9 <= found <= level.max() + 1e-9
    assert doubled == approx(found, abs=1e-9)
