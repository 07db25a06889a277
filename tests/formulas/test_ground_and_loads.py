"""Geometry of the grid, initial state of the ground, and the load on the cell."""

from math import pi, radians, tan

import numpy as np
import pytest

from calc.formulas import geometry, ground, loads

approx = pytest.approx


def test_equivalent_diameter_matches_the_textbook_factors() -> None:
    """Common practice rounds to 1.05 (triangular) and 1.13 (square) times the spacing; exactly 1.0501 and 1.1284."""
    assert geometry.equivalent_diameter(geometry.triangular_cell_area(1.0)) == approx(1.0501, abs=5e-5)
    assert geometry.equivalent_diameter(geometry.square_cell_area(1.0)) == approx(1.1284, abs=5e-5)


@pytest.mark.parametrize(("a_x", "a_E"), [(2.409, 0.10), (1.967, 0.15), (1.704, 0.20)])
def test_area_ratio_reproduces_the_spacings_of_usual_columns(a_x: float, a_E: float) -> None:
    """Triangular grid, diameter 0.8 m; the spacings are printed to 1 mm, so the ratio holds to 1 in 1000."""
    A_E = geometry.triangular_cell_area(a_x)
    ratio = geometry.area_ratio(geometry.column_area(0.8), A_E)

    assert ratio == approx(a_E, rel=1e-3)
    assert ratio == approx((0.8 / geometry.equivalent_diameter(A_E)) ** 2, rel=1e-12)


def test_column_is_as_long_as_its_three_parts() -> None:
    assert geometry.column_length(t_soft=8.0, t_emb=0.5, t_up=0.2) == approx(8.7, rel=1e-15)
    assert geometry.column_area(0.8) == approx(pi * geometry.column_radius(0.8) ** 2, rel=1e-15)


def test_slack_is_what_the_sleeve_is_larger() -> None:
    assert geometry.sleeve_slack(geometry.installed_sleeve_radius(0.4, 0.01), 0.4) == approx(0.01, rel=1e-12)


def test_at_rest_coefficient_reproduces_the_value_of_the_base_case() -> None:
    assert ground.at_rest_coefficient(radians(20)) == approx(0.6579799, abs=5e-8)


def test_active_coefficient_reproduces_the_values_of_the_verification_tables() -> None:
    """0.3009826 at 32.5 degrees; the others from the table for ordinary columns in the same source."""
    degrees = [32.5, 35, 37.5, 40, 42.5, 45]
    expected = [0.3009826, 0.270990, 0.243192, 0.217443, 0.193609, 0.171573]

    assert ground.active_coefficient(np.radians(degrees)) == approx(np.array(expected), abs=5e-7)


def test_passive_coefficient_is_the_inverse_of_the_active_one() -> None:
    phi = np.radians([20, 30, 40])

    assert ground.passive_coefficient(phi) * ground.active_coefficient(phi) == approx(np.ones(3), rel=1e-12)
    assert ground.passive_coefficient(phi) == approx(np.tan(pi / 4 + phi / 2) ** 2, rel=1e-12)


def stresses(water: float, gamma: list[float], saturated: list[float], h: list[float], p_0: float) -> np.ndarray:
    thickness = np.array(h)
    z = np.cumsum(thickness) - thickness / 2
    gamma_eff = ground.effective_unit_weight(z, water, np.array(gamma), np.array(saturated), 9.81)
    return np.asarray(ground.initial_vertical_stress(p_0, ground.sublayer_weight(gamma_eff, thickness)))


def test_initial_stress_agrees_with_total_stress_less_pore_pressure() -> None:
    """Three layers, water at 1 m on a layer boundary: total stress and hydrostatic pressure, taken separately."""
    found = stresses(1.0, [17.0, 15.0, 14.0], [18.0, 15.5, 14.5], [1.0, 2.0, 3.0], 5.0)
    total = np.array([5 + 8.5, 5 + 17 + 15.5, 5 + 17 + 31 + 14.5 * 1.5])

    assert found == approx(total - 9.81 * np.maximum(np.array([0.5, 2.0, 4.5]) - 1.0, 0), rel=1e-12)


def test_initial_stress_does_not_depend_on_how_layers_are_divided() -> None:
    coarse = stresses(0.0, [15.0], [15.0], [4.0], 3.0)
    fine = stresses(0.0, [15.0] * 4, [15.0] * 4, [1.0] * 4, 3.0)

    assert coarse[0] == approx(fine.mean(), rel=1e-12)


def test_friction_is_factored_on_its_tangent() -> None:
    assert tan(loads.factored_friction_angle(radians(32.5), 1.25)) == approx(tan(radians(32.5)) / 1.25, rel=1e-12)
    assert loads.factored_friction_angle(radians(32.5), 1.0) == approx(radians(32.5), rel=1e-12)


@pytest.mark.parametrize(
    ("d_w", "t_P", "H_w"),
    [(1.0, 0.0, 0.0), (0.0, 0.0, 0.0), (-0.5, 0.0, 0.5), (-0.5, 0.8, 0.0), (-1.0, 0.8, 0.2), (-9.0, 0.8, 3.0)],
)
def test_fill_stands_in_water_that_is_above_its_platform(d_w: float, t_P: float, H_w: float) -> None:
    assert loads.fill_height_in_water(d_w=d_w, t_P=t_P, f_H=0.5, H=6.0) == approx(H_w, abs=1e-15)


def test_fill_in_water_weighs_its_buoyant_weight() -> None:
    assert loads.permanent_load(19.0, 1.0, 4.0, 1.5, 10.0, 7.0, 2.0) == approx(19 * 2.5 + 10 * 1.5 + 9, rel=1e-15)


@pytest.mark.parametrize(("s_M", "d_w", "p_M"), [(0.2, 0.5, 3.8), (0.8, 0.5, 12.5), (0.8, 0.0, 8.0), (0.8, -1.0, 8.0)])
def test_makeup_fill_is_buoyant_below_the_water(s_M: float, d_w: float, p_M: float) -> None:
    assert loads.makeup_pressure(gamma_E=19.0, s_M=s_M, d_w=d_w, gamma_Esub=10.0) == approx(p_M, rel=1e-12)


def test_added_stress_is_the_sum_of_its_parts() -> None:
    load = loads.added_stress(f_G=1.1, Dsigma_G=76.0, p_M=5.0, f_q=loads.traffic_factor(1.3, 0.5), q=20.0)

    assert load == approx(1.1 * 81 + 13, rel=1e-15)
    assert loads.platform_pressure(gamma_P=20.0, t_P=0.5) == 10.0


def test_water_above_the_ground_has_a_negative_depth() -> None:
    assert loads.water_depth(z_g=2.0, z_w=2.5) == -0.5


def test_makeup_gap_closes_when_the_filled_share_is_filled() -> None:
    assert loads.makeup_gap(f_M=0.5, s=0.4, s_M=0.2) == 0


def test_soft_thickness_is_the_sum_of_its_sublayers() -> None:
    assert geometry.soft_thickness(np.array([1.0, 0.5, 2.0])) == approx(3.5, rel=1e-15)


def test_platform_loads_the_cell_only_where_it_is_part_of_the_load() -> None:
    assert loads.platform_load(i_P=1.0, gamma_P=18.5, t_P=0.8) == approx(14.8, rel=1e-15)
    assert loads.platform_load(i_P=0.0, gamma_P=18.5, t_P=0.8) == 0


@pytest.mark.parametrize(("d_w", "d_s", "p_W"), [(0.5, 0.5, 0.0), (2.0, 0.5, 1.5 * 9.81), (-1.0, -1.0, 0.0)])
def test_low_water_adds_load_and_high_water_takes_stress(d_w: float, d_s: float, p_W: float) -> None:
    """A fall of the water by 1.5 m loses 1.5 m of buoyancy; a rise lowers the effective stress instead."""
    assert ground.governing_water_depth(d_w=d_w, d_w0=0.5) == approx(d_s, rel=1e-15)
    assert ground.drawdown_load(gamma_w=9.81, d_w=d_w, d_w0=0.5) == approx(p_W, rel=1e-12, abs=1e-15)


@pytest.mark.parametrize("before", [-1.0, -0.3, 0.0, 0.5])
@pytest.mark.parametrize("after", [-0.5, 0.0, 0.4, 2.0])
def test_fall_of_water_gains_the_effective_stress_of_total_less_pore_pressure(before: float, after: float) -> None:
    """Saturated soil throughout: σ′ = γ_r·z + γ_w·(free water) − γ_w·(z − d_w), at a depth below both levels.

    A free level that is drawn down to the ground was counted as γ_w times its fall, 9.81 kPa for 1 m too much.
    """

    def effective(d_w: float, z: float = 5.0) -> float:
        return 20.0 * z + 9.81 * max(-d_w, 0.0) - 9.81 * (z - d_w)

    gained = max(effective(after) - effective(before), 0.0)
    assert ground.drawdown_load(gamma_w=9.81, d_w=after, d_w0=before) == approx(gained, abs=1e-12)


def test_depths_of_sublayers_follow_from_their_thicknesses() -> None:
    """0.5 m on 0.25 m on 1.0 m."""
    thick = np.array([0.5, 0.25, 1.0])
    tops = ground.depth_of_sublayer_top(thick)

    assert tops == approx([0.0, 0.5, 0.75])
    assert ground.depth_of_sublayer_middle(tops, thick) == approx([0.25, 0.625, 1.25])


def test_strength_within_layers_of_different_growth_by_hand() -> None:
    """2 m with 10 kPa that does not grow on 3 m with 12 kPa that grows by 1.5 kPa/m: 12.75 kPa at 2.5 m, 16.5 below."""
    thick = np.array([2.0, 3.0])
    tops = ground.depth_of_layer_top(thick)

    assert tops == approx([0.0, 2.0])
    assert ground.depth_of_layer_bottom(tops, thick) == approx([2.0, 5.0])
    assert ground.strength_at_depth(12.0, 1.5, 2.5, 2.0) == approx(12.75)
    assert ground.strength_at_bottom(np.array([10.0, 12.0]), np.array([0.0, 1.5]), thick) == approx([10.0, 16.5])
    assert ground.strength_at_depth(12.0, 1.5, 5.0, 2.0) == ground.strength_at_bottom(12.0, 1.5, 3.0)
