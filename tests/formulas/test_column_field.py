"""Loads of a stage, strength of the column field and its edge: hand calculations, equilibrium and laws."""

from math import pi

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from calc.formulas import bearing, squeezing, thrust
from calc.formulas import column_field as cf

approx = pytest.approx
heights = st.floats(0.5, 12.0)


def test_loads_of_a_stage_are_factored_at_the_source() -> None:
    """Hand calculation: a set with 1.1 on permanent and 1.3 on variable actions at the source."""
    assert cf.factored_unit_weight(1.1, 19.0) == approx(20.9)
    assert cf.traffic_of_stage(1.3, 20.0) == approx(26.0)
    assert cf.traffic_of_stage(0.0, 20.0) == 0.0


@given(heights, st.floats(0.0, 30.0), st.floats(15.0, 22.0))
def test_equivalent_height_weighs_as_much_as_fill_and_platform(H: float, p_P: float, gamma_E: float) -> None:
    assert gamma_E * cf.equivalent_height(H, p_P, gamma_E) == approx(gamma_E * H + p_P, rel=1e-12)


def test_design_strength_with_gain_by_hand() -> None:
    """(15 + 9) / 1.4 = 17.143 kPa; the factor of EN 1997-1, Table A.4 (read), on the sum; growth 1.2 / 1.4."""
    assert cf.design_strength_with_gain(15.0, 9.0, 1.4) == approx(17.143, abs=5e-4)
    assert cf.top_strength_with_gain(15.0, 9.0) == approx(24.0)
    assert cf.design_strength_growth(1.2, 1.4) == approx(0.85714, abs=5e-6)


@given(st.floats(0.05, 0.4), st.floats(5.0, 30.0), st.floats(0.0, 3.0), st.floats(0.0, 10.0))
def test_growth_over_the_field_keeps_the_share_of_the_soil_at_every_depth(
    a: float, c: float, r: float, z: float
) -> None:
    """The mean strength over the area is that of the soil on its share of the area."""
    found = squeezing.column_field_strength(a, c) + cf.column_field_growth(a, r) * z

    assert found == approx((1 - a) * (c + r * z), rel=1e-12)


def test_column_that_carries_all_is_in_equilibrium_with_its_cell() -> None:
    """Force on the column over force on the cell: 0.5027 m2 of 3.126 m2 under 120 kPa, by hand 746.3 kPa."""
    assert cf.whole_load_on_column(120.0, 0.5027 / 3.126) * 0.5027 == approx(120.0 * 3.126, rel=1e-12)
    assert cf.whole_load_on_column(120.0, 0.5027 / 3.126) == approx(746.2, abs=0.1)


def test_bearing_layer_weighs_less_by_the_water() -> None:
    assert cf.buoyant_unit_weight(20.5, 9.81) == approx(10.69)


def test_larger_of_two_estimates() -> None:
    assert cf.larger_bearing_pressure(np.array([80.0, 90.0]), np.array([85.0, 70.0])) == approx([85.0, 90.0])
    assert cf.larger_settlement_below_toe(np.array([0.02, 0.03]), np.array([0.025, 0.01])) == approx([0.025, 0.03])


@given(heights, st.floats(0.1, 30.0), st.floats(1.0, 4.0))
def test_slope_falls_from_the_shoulder_to_nothing_at_its_toe(H: float, b: float, n: float) -> None:
    height = cf.height_at_outermost_columns(H, b, n)

    assert 0 <= height < H
    assert cf.width_beyond_columns(n, height, 0.0) == approx(max(n * H - b, 0.0), abs=1e-9)
    assert cf.edge_pressure(1.35, 19.0, height, 0.0) == approx(1.35 * 19 * height)


def test_edge_of_the_columns_by_hand() -> None:
    """Fill 6 m, slope 1:2, columns to 8 m beyond the crest edge: 2 m stand there, 1.35 · 19 · 2 = 51.3 kPa; strength 10
    kPa bears (2 + π) · 10 = 51.42 kPa."""
    height = cf.height_at_outermost_columns(6.0, 8.0, 2.0)

    assert height == approx(2.0)
    assert cf.edge_pressure(1.35, 19.0, height, 0.0) == approx(51.3)
    assert bearing.strip_bearing_pressure(10.0, 0.0) == approx((pi + 2) * 10)


def test_crest_of_a_low_stage_reaches_beyond_the_columns_by_hand() -> None:
    """Final fill 6 m, slope 1:3, columns to 15 m beyond its crest edge, 3 m short of the toe: the crest edge of 0.8 m
    of fill lies 3 · 5.2 = 15.6 m out, 0.6 m beyond the columns, with 10 kPa of traffic and 5 kPa of plant on it."""
    width = cf.crest_beyond_columns(3.0, 6.0, 0.8, 15.0)
    load = cf.crest_pressure_beyond_columns(1.3, 10.0, 6.5)

    assert width == approx(0.6)
    assert cf.crest_beyond_columns(3.0, 6.0, 1.0, 15.0) == approx(0.0, abs=1e-12)
    assert cf.width_beyond_columns(3.0, 0.8, width) == approx(3.0)
    assert cf.edge_pressure(1.0, 18.5, 0.8, load) == approx(14.8 + 19.5)


@given(heights, st.floats(1.0, 4.0), st.floats(0.4, 0.7))
def test_field_for_vertical_load_and_the_rest_make_the_slope(H: float, n: float, phi: float) -> None:
    outside = thrust.distance_without_columns(H, n, phi)

    assert cf.field_width_for_vertical_load(n * H, outside) + outside == approx(n * H, rel=1e-12)


def test_height_above_the_reinforcement_by_hand() -> None:
    """Platform from 0.40 m to 1.20 m, reinforcement at 0.70 m, fill 5 m: 5.50 m stand above it; none below a layer."""
    assert cf.height_above_reinforcement(5.0, 1.2, 0.7) == approx(5.5)
    assert cf.height_above_reinforcement(0.0, 1.2, 1.5) == 0.0


def test_favourable_weight_by_hand() -> None:
    assert cf.favourable_slope_weight(0.9, 574.75) == approx(517.275)


@given(st.floats(10.0, 300.0), st.floats(0.0, 1.0), st.floats(0.0, 80.0))
def test_tension_holds_the_slope_and_the_top_of_the_ground(E: float, share: float, shear: float) -> None:
    """Forces outward on the reinforcement: thrust and shear of the ground; inward: what the ground takes, tension."""
    tension = cf.spreading_tension_with_ground(E, share * E, shear)

    assert tension + share * E == approx(E + shear, rel=1e-12)


def test_design_friction_angle_reproduces_the_verification_value() -> None:
    """tan 32.5 degrees over 1.25: 27.006 degrees; computed once."""
    assert np.degrees(cf.design_friction_angle(np.radians(32.5), 1.25)) == approx(27.006, abs=5e-4)


def test_column_fill_at_the_toe_is_dry_only_above_the_water() -> None:
    found = cf.column_unit_weight_at_toe(6.5, np.array([0.7, 6.5, 9.0]), 18.0, 20.0, 9.81)

    assert found == approx([10.19, 10.19, 18.0])
