"""Thrust, inertia and infinite slope under a pseudo-static earthquake."""

from math import atan, cos, radians, sin, tan

import numpy as np
import pytest

from calc.formulas import earthquake as eq
from calc.formulas import traffic as tr
from calc.formulas.ground import active_coefficient

approx = pytest.approx


def coefficient(phi: float, k_h: float, f_v: float) -> float:
    theta = eq.slope_of_inertia(k_h=k_h, f_vu=f_v)
    return float(eq.active_coefficient_under_shaking(phi=phi, theta_u=theta))


@pytest.mark.parametrize(("k_v", "expected"), [(-0.12, 0.485618), (0.12, 0.540706)])
def test_active_coefficient_reproduces_the_values_of_the_methods_file(k_v: float, expected: float) -> None:
    """φ 30°, k_h 0.24, k_v upward positive. The first is that of a public test of an engineering library, too."""
    assert coefficient(radians(30), 0.24, 1 - k_v) == approx(expected, abs=1e-6)


@pytest.mark.parametrize(("k_h", "k_v", "expected"), [(0.0, 0.0, 91.047), (0.06, 0.03, 98.823), (0.06, -0.03, 104.252),
                                                      (0.12, 0.06, 107.903), (0.12, -0.06, 118.528)])  # fmt: skip
def test_thrust_reproduces_a_bank_with_its_traffic(k_h: float, k_v: float, expected: float) -> None:
    """Verification values, calculated once: H 5 m, γ 19, q 13, φ 32.5°."""
    phi, f_v = radians(32.5), 1 - k_v

    assert f_v * coefficient(phi, k_h, f_v) * (0.5 * 19 * 5**2 + 13 * 5) == approx(expected, abs=5e-4)


@pytest.mark.parametrize(("k_h", "k_v"), [(0.05, 0.02), (0.1, -0.05), (0.2, 0.1)])
def test_active_coefficient_is_the_largest_thrust_of_all_trial_wedges(k_h: float, k_v: float) -> None:
    """A second method: P = max over ω of (1 − k_v) W tan(ω − φ) + k_h W, W = ½ γ H² cot ω."""
    phi, f_v = radians(32.5), 1 - k_v
    omega = np.linspace(radians(5), radians(89), 400_001)
    wedges = (f_v * np.tan(omega - phi) + k_h) / np.tan(omega)

    assert f_v * coefficient(phi, k_h, f_v) == approx(float(wedges.max()), rel=1e-8)


def test_active_coefficient_without_an_earthquake_is_that_of_rankine() -> None:
    phi = np.radians([20.0, 32.5, 45.0])
    found = eq.active_coefficient_under_shaking(phi=phi, theta_u=0.0)

    assert found == approx(active_coefficient(phi=phi), rel=1e-12)


def test_the_worse_direction_counts_for_the_thrust() -> None:
    """By the sign of the difference: downward in usual ground, upward where the fill is near to flowing."""
    assert float(eq.worse_active_coefficient(f_vu=0.9, K_Eu=0.5, f_vd=1.1, K_Ed=0.4)) == approx(0.45)
    assert float(eq.worse_active_coefficient(f_vu=0.9, K_Eu=0.4, f_vd=1.1, K_Ed=0.4)) == approx(0.44)


@pytest.mark.parametrize(("k_h", "expected"), [(0.0, 1.27414), (0.05, 1.12935), (0.10, 1.00869)])
def test_infinite_slope_reproduces_the_values_of_the_methods_file(k_h: float, expected: float) -> None:
    found = eq.face_safety_under_shaking(n_S=2.0, phi=radians(32.5), f_vu=1.0, k_h=k_h)

    assert float(found) == approx(expected, abs=1e-5)


def test_infinite_slope_is_weaker_with_the_inertia_upward() -> None:
    """Equilibrium along and across the slope, written out with forces."""
    phi, beta, k_h = radians(32.5), atan(0.5), 0.08
    for f_v in (0.96, 1.04):
        normal, along = f_v * cos(beta) - k_h * sin(beta), f_v * sin(beta) + k_h * cos(beta)
        found = eq.face_safety_under_shaking(n_S=2.0, phi=phi, f_vu=f_v, k_h=k_h)
        assert float(found) == approx(tan(phi) * normal / along)
    up, down = (eq.face_safety_under_shaking(n_S=2.0, phi=phi, f_vu=f_v, k_h=k_h) for f_v in (0.96, 1.04))
    assert up < down


def test_coefficients_reproduce_the_values_of_the_methods_file() -> None:
    """a_g 0.10, S 1.35, half of the peak; k_v half or a third of k_h."""
    k_h = eq.horizontal_coefficient(i_E=1.0, r_h=0.5, a_gE=0.10, S_gr=1.35)

    assert float(k_h) == approx(0.0675)
    assert float(eq.vertical_coefficient(r_v=0.5, k_h=k_h)) == approx(0.03375)
    assert float(eq.vertical_coefficient(r_v=0.33, k_h=k_h)) == approx(0.02228, abs=1e-5)
    assert float(eq.horizontal_coefficient(i_E=0.0, r_h=0.5, a_gE=0.10, S_gr=1.35)) == 0
    assert float(eq.weight_factor_upward(k_v=0.25)) == 0.75
    assert float(eq.weight_factor_downward(k_v=0.25)) == 1.25


@pytest.mark.parametrize(("left", "expected"), [(1.0, 62.779), (0.8, 51.663)])
def test_wedge_reproduces_its_inertia_as_a_pressure(left: float, expected: float) -> None:
    """Verification values: resistance 73.92 kPa, of it 55.583 in terms of c_u (4·10 and 0.85·10·11/6); γ 15, L 11 m."""
    of_strength = 4 * 10 + 0.85 * 10 * 11 / 6
    resistance = left * of_strength + 73.92 - of_strength
    inertia = eq.inertia_of_wedge(k_h=0.0675, gamma_bl=15.0, L_S=11.0)

    assert resistance - float(inertia) == approx(expected, abs=0.005)
    assert float(eq.driving_pressure_with_inertia(f_vd=1.0, p_sE=40.0, p_kh=inertia)) == approx(40 + 11.1375)
    assert float(eq.driving_pressure_with_inertia(f_vd=1.03375, p_sE=40.0, p_kh=inertia)) == approx(41.35 + 11.1375)


@pytest.mark.parametrize("share", [0.0, 0.5, 1.0])
def test_inertia_downward_covers_the_inertia_upward_of_wedge_and_columns(share: float) -> None:
    """Both directions written out: upward, weights and the shear of the columns count 1 - k_v times.

    At the limit that is stated, p_kh = (1 - k_v) p_s, both are equal where all of the resistance is shear of columns;
    above it the inertia upward governs.
    """
    p_s, k_v = 30.0, 0.1

    def utilisations(p_kh: float) -> tuple[float, float]:
        down = float(eq.driving_pressure_with_inertia(f_vd=1 + k_v, p_sE=p_s, p_kh=p_kh))
        return down, ((1 - k_v) * p_s + p_kh) / (1 - share + share * (1 - k_v))

    for p_kh in (0.0, 10.0, 26.9):
        down, up = utilisations(p_kh)
        assert down > up
    down, up = utilisations(27.0)
    assert down == approx(up) if share == 1 else down > up
    down, up = utilisations(28.0)
    assert (down < up) == (share == 1)


def test_mean_weight_of_the_wedge_lies_between_soil_and_column() -> None:
    assert float(eq.unit_weight_of_wedge(a_E=0.0, gamma_sx=15.0, gamma_cr=20.0)) == 15
    assert float(eq.unit_weight_of_wedge(a_E=0.2, gamma_sx=15.0, gamma_cr=20.0)) == approx(16)


def test_cyclic_loss_divides_the_strength_further_in_seismic_stages_alone() -> None:
    left = eq.strength_left_in_stage(i_E=np.array([0.0, 1.0]), delta_E=0.8)

    assert left == approx([1.0, 0.8])
    assert eq.strength_divisor_under_shaking(gamma_cus=1.4, delta_cu=left) == approx([1.4, 1.75])


def test_inertia_of_the_slope_is_added_to_the_thrust_and_lifts_its_weight() -> None:
    inertia = eq.inertia_of_slope(k_h=0.05, W_SE=200.0)

    assert float(inertia) == approx(10)
    assert float(eq.thrust_with_inertia(E_ad=90.0, H_SE=inertia)) == approx(100)
    assert float(eq.slope_weight_under_shaking(f_vu=0.95, W_Sd=200.0)) == approx(190)
    assert float(eq.favourable_weight_under_shaking(f_vu=0.95, gamma_Ef=20.0)) == approx(19)


def strip_thrust(H: float, depth: float, e: float, b: float, phi: float, k_h: float, f_v: float) -> float:
    theta = eq.slope_of_inertia(k_h=k_h, f_vu=f_v)
    wedge = tr.wedge_of_strip_under_shaking(H, depth, e, b, phi, theta)
    return float(tr.thrust_of_strip_under_shaking(1.0, 50.0, H, depth, wedge, e, phi, f_v, k_h))


@pytest.mark.parametrize(("k_h", "k_v"), [(0.0675, 0.03375), (0.0675, -0.03375), (0.2, 0.1), (0.3, -0.15)])
@pytest.mark.parametrize(("e", "b"), [(0.0, 12.0), (0.5, 3.0), (2.0, 3.0), (6.0, 2.5)])
def test_thrust_of_a_strip_is_that_of_the_worst_trial_wedge_under_shaking(
    e: float, b: float, k_h: float, k_v: float
) -> None:  # fmt: skip
    """Weight and inertia of the part of the strip on the wedge, 0.7 m below the crest of 5 m.

    The trials miss a peak by 1e-5.
    """
    phi, f_v, below = radians(32.5), 1 - k_v, 5.0 - 0.7
    omega = np.linspace(radians(5), radians(89.9), 400_001)
    loaded = 50.0 * np.clip(below / np.tan(omega) - e, 0, b)

    assert strip_thrust(5.0, 0.7, e, b, phi, k_h, f_v) == approx(
        (loaded * (f_v * np.tan(omega - phi) + k_h)).max(), rel=1e-5
    )


def test_earthquake_of_nothing_gives_the_thrust_of_a_strip_at_rest() -> None:
    rest = tr.thrust_of_strip(1.0, 50.0, 5.0, 0.7, tr.wedge_of_strip(5.0, 0.7, 1.0, 3.0, 0.5), 1.0, 0.5)

    assert strip_thrust(5.0, 0.7, 1.0, 3.0, 0.5, 0.0, 1.0) == approx(float(rest), rel=1e-12)
    assert strip_thrust(0.5, 0.7, 1.0, 3.0, 0.5, 0.1, 1.0) == 0.0


def test_larger_thrust_of_both_directions_counts() -> None:
    assert tr.worse_thrust_of_strip(12.0, 13.0) == 13.0
    assert tr.worse_thrust_of_strip(12.0, 11.0) == 12.0
