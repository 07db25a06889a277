"""Bearing resistance under the toe and of the soft ground: published factors, independent ways, and laws."""

from math import pi, radians, sin, tan
from types import SimpleNamespace

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from calc.formulas import bearing, geometry, ground
from calc.formulas.loads import factored_friction_angle
from tests.references.reader import rows

approx = pytest.approx


@pytest.mark.parametrize("row", rows("bearing_factors"), ids=lambda row: f"phi={row.phi}")
def test_factors_match_vesic_1973_table_1_and_tables_to_en_1997_1(row: SimpleNamespace) -> None:
    """Vesić (1973), Table 1, for N_q and N_c; guides to EN 1997-1:2004, Annex D, for N_gamma; typed from memory."""
    phi = np.radians(row.phi)
    N_q = bearing.overburden_factor(phi)

    assert N_q == approx(row.N_q, abs=0.01)
    assert bearing.cohesion_factor(N_q, phi) == approx(row.N_c, abs=0.01)
    assert bearing.weight_factor(N_q, phi) == approx(row.N_gamma, abs=0.01)


def test_undrained_factor_matches_prandtl_1920() -> None:
    """Prandtl (1920): 2 + π, 5.14, for a strip on a frictionless soil (from memory)."""
    assert bearing.strip_bearing_pressure(c_u=1.0, q_out=0.0) == approx(5.14, abs=0.005)
    assert bearing.cohesion_factor(N_q=1.0, phi=np.float64(0.0)) == approx(pi + 2, rel=1e-12)


@given(st.floats(5.0, 45.0))
def test_factors_agree_with_slip_lines_integrated_over_the_fan(degrees: float) -> None:
    """Weightless soil: d sigma = 2 sigma tan(phi) d psi over a quarter turn (Kötter 1903), by Runge and Kutta, between
    the passive state under the overburden and the active one under the load; sigma is the mean stress."""
    phi, steps = radians(degrees), 200
    sigma, step = 1 / (1 - sin(phi)), pi / 2 / steps
    for _ in range(steps):
        slope = [2 * tan(phi) * sigma]
        slope += [2 * tan(phi) * (sigma + step / 2 * slope[0])]
        slope += [2 * tan(phi) * (sigma + step / 2 * slope[1])]
        slope += [2 * tan(phi) * (sigma + step * slope[2])]
        sigma += step / 6 * (slope[0] + 2 * slope[1] + 2 * slope[2] + slope[3])

    assert bearing.overburden_factor(phi) == approx(sigma * (1 + sin(phi)), rel=1e-7)


@given(st.floats(1.0, 45.0))
def test_cohesion_acts_like_a_pressure_all_round(degrees: float) -> None:
    """Caquot (1934): c cot(phi) added to load and overburden of a soil without cohesion gives the same limit."""
    phi, c, overburden = np.radians(degrees), 10.0, 60.0
    N_q = bearing.overburden_factor(phi)
    added = c / np.tan(phi)
    with_cohesion = c * bearing.cohesion_factor(N_q, phi) + overburden * N_q

    assert with_cohesion == approx((overburden + added) * N_q - added, rel=1e-9)


def test_factors_go_to_those_of_a_frictionless_soil() -> None:
    phi = np.float64(1e-5)
    N_q = bearing.overburden_factor(phi)
    zeta_q = bearing.overburden_shape_factor(phi)

    assert N_q == approx(1.0, abs=1e-4)
    assert bearing.cohesion_factor(N_q, phi) == approx(pi + 2, rel=1e-4)
    assert bearing.weight_factor(N_q, phi) == approx(0.0, abs=1e-8)
    assert bearing.cohesion_shape_factor(zeta_q, N_q) == approx(1 + 1 / (pi + 2), rel=1e-4)
    assert bearing.cohesion_shape_factor(1.0, np.float64(1.0)) == 1 + 1 / (pi + 2)
    assert bearing.cohesion_shape_factor(1.0, np.float64(1.0)) == approx(1.2, abs=0.006)  # the undrained shape factor


def test_cohesion_shape_factor_holds_for_small_friction_angles() -> None:
    """Half a degree: overburden factor 1.046; the shape factors keep the cohesion term a part of the same limit."""
    phi = np.radians(0.5)
    N_q, zeta_q = bearing.overburden_factor(phi), bearing.overburden_shape_factor(phi)
    zeta_c = bearing.cohesion_shape_factor(zeta_q, N_q)

    assert 1.04 < N_q < 1.05
    assert zeta_c * (N_q - 1) == approx(zeta_q * N_q - 1, rel=1e-9)
    assert zeta_c != approx(1 + 1 / (pi + 2), rel=1e-4)


def test_factors_are_monotonic_in_the_friction_angle() -> None:
    phi = np.radians(np.arange(0.0, 46.0))
    N_q = bearing.overburden_factor(phi)
    zeta_q = bearing.overburden_shape_factor(phi)

    for one in (N_q, bearing.cohesion_factor(N_q, phi), bearing.weight_factor(N_q, phi), zeta_q):
        assert (np.diff(one) > 0).all()
    assert (np.diff(bearing.cohesion_shape_factor(zeta_q, N_q)) > 0).all()


def test_shape_factors_at_thirty_degrees_follow_from_the_table() -> None:
    """s_q is 1.5 exactly; s_c with N_q 18.40 of the table is (1.5 x 18.40 - 1) / 17.40, which is 1.5287."""
    N_q = bearing.overburden_factor(radians(30))

    assert bearing.overburden_shape_factor(radians(30)) == approx(1.5, rel=1e-12)
    assert bearing.cohesion_shape_factor(1.5, N_q) == approx(26.60 / 17.40, abs=1e-4)


def drained(**change: float) -> float:
    """Resistance of a toe of 0.8 m in a bearing layer of 30 degrees."""
    given_ = {"c": 0.0, "phi": radians(30), "sigma_v0t": 60.0, "gamma_b": 10.0, "d_c": 0.8} | change
    phi = np.float64(given_["phi"])
    N_q, zeta_q = bearing.overburden_factor(phi), bearing.overburden_shape_factor(phi)
    return float(
        bearing.drained_toe_resistance(
            given_["c"],
            bearing.cohesion_factor(N_q, phi),
            bearing.cohesion_shape_factor(zeta_q, N_q),
            given_["sigma_v0t"],
            N_q,
            zeta_q,
            given_["gamma_b"],
            bearing.toe_width(geometry.column_area(given_["d_c"])),
            bearing.weight_factor(N_q, phi),
        )
    )


def test_drained_resistance_is_the_sum_of_the_terms_of_the_tables() -> None:
    """18.40, 30.14 and 20.09 from the tables; shape factors 1.5, 1.5287 and 0.7; 5 kPa cohesion."""
    width = 0.8 * (pi / 4) ** 0.5
    expected = 5 * 30.14 * 1.5287 + 60 * 18.40 * 1.5 + 0.5 * 10 * width * 20.09 * 0.7

    assert drained(c=5.0) == approx(expected, rel=3e-4)


def test_drained_resistance_goes_to_the_undrained_form_without_friction() -> None:
    """Frictionless: 1.1945 (2 + π) c + overburden, the undrained form but for its rounded shape factor."""
    without = drained(phi=1e-6, c=20.0)

    assert without == approx((pi + 3) * 20.0 + 60.0, rel=1e-4)
    assert bearing.undrained_toe_resistance(20.0, 60.0) == approx(without, rel=0.005)


def test_undrained_resistance_matches_skempton_1951_for_a_circle_at_the_surface() -> None:
    """Skempton (1951), N_c = 6.2 for a circle at the surface, from memory, printed with one decimal; the standard's
    1.2 (2 + π) is 6.17."""
    assert bearing.undrained_toe_resistance(1.0, 0.0) == approx(6.2, abs=0.05)


@pytest.mark.parametrize("name", ["c", "phi", "sigma_v0t", "gamma_b", "d_c"])
def test_drained_resistance_is_monotonic_in_each_input(name: str) -> None:
    start = {"c": 0.0, "phi": radians(20), "sigma_v0t": 60.0, "gamma_b": 10.0, "d_c": 0.8}[name]
    step = {"c": 5.0, "phi": radians(5), "sigma_v0t": 10.0, "gamma_b": 2.0, "d_c": 0.2}[name]
    series = [drained(**{name: start + i * step}) for i in range(4)]

    assert (np.diff(series) > 0).all()


def test_equal_square_brings_the_weight_term_nearer_to_that_of_a_circle() -> None:
    """Terzaghi (1943) has 0.3 γ d N_γ for a circle, from memory; 0.35 times the diameter would be 0.35."""
    width = float(bearing.toe_width(geometry.column_area(1.0)))

    assert width**2 == approx(pi / 4, rel=1e-12)
    assert 0.3 < 0.5 * 0.7 * width < (0.3 + 0.35) / 2


def test_overburden_at_the_toe_is_the_stress_below_the_lowest_sublayer() -> None:
    """The same stress as at the middle of a sublayer of no thickness there."""
    w, p_0 = np.array([12.0, 20.0, 18.0]), 5.0
    at_toe = bearing.toe_overburden(p_0, w, gamma_b=10.0, t_emb=0.5)
    below = ground.initial_vertical_stress(p_0, np.array([12.0, 20.0, 18.0, 5.0, 0.0]))

    assert at_toe == approx(below[-1:], rel=1e-12)


def test_stress_of_the_column_is_initial_and_added_stress_with_their_factors() -> None:
    assert bearing.column_stress_from_effects(1.35, 80.0, 300.0, 1.5, 400.0) == approx(
        663.0, rel=1e-12
    )  # 1.35 · 380 + 1.5 · 100
    assert bearing.column_stress_from_effects(1.0, 80.0, 300.0, 1.0, 400.0) == 480.0
    assert bearing.column_stress_from_actions(1.35, 80.0, 570.0) == approx(1.35 * 80 + 570, rel=1e-12)
    assert bearing.design_column_stress(663.0, 678.0) == bearing.design_column_stress(678.0, 663.0) == 678.0


def test_resistance_factor_divides_the_resistance() -> None:
    """Table A.5, set R2: 1.4 (EN 1997-1:2004, from memory)."""
    assert bearing.design_bearing_pressure(700.0, 1.4) == approx(500.0, rel=1e-12)
    assert bearing.design_soft_ground_pressure(70.0, 1.4) == approx(50.0, rel=1e-12)


def test_factor_on_the_tangent_takes_more_than_the_resistance_factor_at_large_angles() -> None:
    """1.25 on tan 35 degrees (29.26 degrees are left) against 1.4 on the resistance."""
    phi_d = factored_friction_angle(phi_ck=radians(35), gamma_phi=1.25)

    assert np.degrees(phi_d) == approx(29.26, abs=0.005)
    assert bearing.overburden_factor(phi_d) < bearing.overburden_factor(radians(35)) / 1.4


@pytest.mark.parametrize("row", rows("bearing_thin_layer"), ids=lambda row: f"B/t={row.ratio}")
def test_thin_layer_factor_matches_mandel_salencon_1972(row: SimpleNamespace) -> None:
    """Typed from memory; the line is stated to hold within 2 %."""
    assert bearing.thin_layer_factor(B=row.ratio * 5.0, t_soft=5.0) == approx(row.N_c, rel=0.02)


def test_thick_layer_has_the_value_of_prandtl() -> None:
    N_ct = bearing.thin_layer_factor(B=10.0, t_soft=np.array([5.1, 10.0, 1e6]))

    assert N_ct == approx(np.full(3, pi + 2), rel=1e-12)
    assert bearing.strip_bearing_pressure_of_thin_layer(N_ct[0], 12.0, 3.0) == approx(
        bearing.strip_bearing_pressure(12.0, 3.0), rel=1e-12
    )


def test_thin_layer_factor_is_monotonic_in_the_thickness() -> None:
    """The thinner the layer, the more it bears."""
    assert (np.diff(bearing.thin_layer_factor(20.0, np.array([2.0, 3.0, 5.0, 8.0]))) < 0).all()


def test_growing_strength_without_growth_is_the_value_of_prandtl() -> None:
    assert bearing.strip_bearing_pressure_with_growing_strength(1.0, 12.0, 0.0, 20.0, 3.0) == approx(
        bearing.strip_bearing_pressure(12.0, 3.0), rel=1e-12
    )
    assert bearing.strength_growth_ratio(rho_u=1.2, B=20.0, c_u0=6.0) == approx(4.0, rel=1e-12)


def test_growing_strength_reproduces_the_value_of_the_method_of_characteristics() -> None:
    """Growth ratio 4, smooth strip: factor 1.273 computed once, so 1.273 (5.1416 + 1) strengths at the top."""
    found = bearing.strip_bearing_pressure_with_growing_strength(1.273, 6.0, 1.2, 20.0, 0.0)

    assert found / 6.0 == approx(1.273 * 6.1416, abs=1e-3)


def test_soft_ground_bears_at_least_the_sum_of_block_ends_of_the_squeezing_rule() -> None:
    """Two independent mechanisms on uniform ground: 5.14 strengths for the strip, 4 for the end faces of the wedge."""
    from calc.formulas.extrusion import resistance_beyond_columns

    assert bearing.strip_bearing_pressure(12.0, 0.0) > resistance_beyond_columns(
        12.0, 12.0, 1.0, 0.0, 12.0, 1.0, 1e9, 1.0
    )


def test_factor_between_two_table_values_is_linear() -> None:
    """Halfway and a fifth of the way, by hand; at the ends the table itself."""
    assert bearing.growing_strength_factor(1.109, 1.181, 1.5, 1.0, 2.0) == approx(1.145, rel=1e-12)
    assert bearing.growing_strength_factor(1.0, 1.109, 0.2, 0.0, 1.0) == approx(1.0218, rel=1e-12)
    assert bearing.growing_strength_factor(1.109, 1.181, 2.0, 1.0, 2.0) == approx(1.181, rel=1e-12)


def test_safety_of_the_soft_ground_is_one_where_the_verdict_is_just_fulfilled() -> None:
    assert bearing.soft_ground_safety(90.0, 90.0) == 1.0
    assert bearing.soft_ground_safety(90.0, 60.0) == approx(1.5, rel=1e-12)
