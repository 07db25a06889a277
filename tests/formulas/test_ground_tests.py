"""Vane, cone and oedometer: values computed once from the stated equations, numpy beside the fit, and laws."""

from typing import Any

import numpy as np
import pytest

from calc.formulas import ground_tests as gt

approx = pytest.approx


@pytest.mark.parametrize(
    ("I_P", "mu"), [(0.20, 0.9974), (0.30, 0.9024), (0.50, 0.7826), (0.80, 0.6723), (1.20, 0.5772)]
)
def test_vane_correction_by_plasticity_reproduces_V2_1(I_P: float, mu: float) -> None:
    assert gt.vane_correction_by_plasticity(I_P) == approx(mu, abs=5e-5)
    assert gt.corrected_vane_strength(mu, 20.0) == approx(20 * mu)


@pytest.mark.parametrize(("w_L", "mu"), [(0.6, 0.8608), (1.0, 0.6840), (2.0, 0.5007)])
def test_vane_correction_by_liquid_limit_reproduces_V2_1(w_L: float, mu: float) -> None:
    assert gt.vane_correction_by_liquid_limit(w_L) == approx(mu, abs=5e-5)


def test_cone_reproduces_V2_2() -> None:
    q_t = gt.corrected_cone_resistance(q_cc=320.0, u_2=180.0, a_n=0.75)
    q_net = gt.net_cone_resistance(q_t, sigma_vi=95.0)

    assert (q_t, q_net) == (approx(365.0), approx(270.0))
    assert gt.pore_pressure_ratio(180.0, 65.0, q_net) == approx(0.4259, abs=5e-5)
    assert [gt.strength_by_cone(q_net, N) for N in (12.0, 15.0, 18.0)] == approx([22.5, 18.0, 15.0])
    assert gt.strength_by_excess_pressure(180.0, 65.0, 8.0) == approx(14.375)
    assert gt.preconsolidation_by_cone(0.33, q_net) == approx(89.1)


def fit(stress: Any, strain: Any, p_ref: float = 100.0) -> tuple[float, float]:
    """Modulus at the reference stress and exponent by the formulas."""
    stress, strain = np.asarray(stress, dtype=float), np.asarray(strain, dtype=float)
    E = gt.modulus_of_increment(stress[:-1], stress[1:], strain[:-1], strain[1:])
    x = gt.logarithm_of_mean_stress(gt.mean_stress_of_increment(stress[:-1], stress[1:]), p_ref)
    y = gt.logarithm_of_modulus(E, p_ref)
    n = float(len(x))
    x_m, y_m = gt.mean_logarithm_of_stress(x, n), gt.mean_logarithm_of_modulus(y, n)
    m = gt.fitted_exponent(x, x_m, y, y_m)
    assert np.polyfit(x, y, 1) == approx([float(m[0]), float((y_m - m * x_m)[0])], rel=1e-10)
    return float(gt.fitted_modulus(p_ref, y_m, m, x_m)[0]), float(m[0])


STRESS = np.array([12.5, 25.0, 50.0, 100.0, 200.0])


def test_fit_over_the_logarithmic_mean_reproduces_V2_6() -> None:
    """Strains of an exact law with E 600 kPa and m 0.9, strains in per cent as they are tabled."""
    strain = np.array([0.0, 9.7164, 20.1300, 31.2913, 43.2535]) / 100

    E_ref, m_ref = fit(STRESS, strain)
    assert E_ref == approx(601.08, abs=0.01)
    assert m_ref == approx(0.9000, abs=5e-5)
    # The same with the arithmetic mean of the stresses, for which the modulus is not defined here.
    x = np.log((STRESS[1:] + STRESS[:-1]) / 2 / 100)
    m, c = np.polyfit(x, np.log(np.diff(STRESS) / np.diff(strain)), 1)
    assert (np.exp(c), m) == (approx(580.37, abs=0.01), approx(0.9000, abs=5e-5))


def test_fit_reproduces_V2_7() -> None:
    strain = np.array([0.0, 3.4, 7.9, 13.2, 18.6]) / 100
    E = gt.modulus_of_increment(STRESS[:-1], STRESS[1:], strain[:-1], strain[1:])

    assert E == approx([367.65, 555.56, 943.40, 1851.9], abs=0.05)
    E_ref, m = fit(STRESS, strain)
    assert E_ref == approx(1303.3, abs=0.05)
    assert m == approx(0.77617, abs=5e-6)


def test_a_compression_index_is_the_law_with_exponent_one() -> None:
    """E_ref = ln 10 (1 + e_0) p_ref / C_c: 652.40 kPa for C_c 1.2 and e_0 2.4 (V2.7)."""
    strain = 1.2 / 3.4 * np.log10(STRESS / STRESS[0])

    E_ref, m = fit(STRESS, strain)
    assert E_ref == approx(652.40, abs=0.005)
    assert m == approx(1.0, abs=1e-9)


def test_mean_stress_lies_between_the_ends_and_below_their_arithmetic_mean() -> None:
    p = gt.mean_stress_of_increment(25.0, 50.0)

    assert 25.0 < p < 37.5
    assert gt.mean_stress_of_increment(25.0, 25.0001) == approx(25.0, abs=1e-3)


def test_strain_follows_from_the_void_ratio_by_the_height_of_the_solids() -> None:
    """A specimen of 20 mm with e 1.5 has 8 mm of solids; at e 1.0 it is 16 mm high: 20 %."""
    assert gt.strain_by_void_ratio(1.5, 1.0) == approx((20 - 16) / 20)
    assert gt.strain_by_void_ratio(1.5, 1.5) == 0


def test_compressibility_gives_the_modulus_of_the_height_at_the_start_of_the_increment() -> None:
    """m_v by its definition, 16 to 14 mm of 20 mm at 50 kPa: 1/m_v is 400 kPa, 16/20 of the other."""
    m_v = (16 - 14) / 16 / 50
    by_strain = gt.modulus_of_increment(50.0, 100.0, (20 - 16) / 20, (20 - 14) / 20)

    assert gt.modulus_by_compressibility(m_v) == approx(400.0)
    assert by_strain == approx(500.0)
    assert gt.modulus_by_compressibility(m_v) == approx(by_strain * 16 / 20)


def test_a_fit_by_compressibility_is_above_that_by_strain_at_a_stress_below_its_increments() -> None:
    """Each modulus is lower, the later the more: the line turns about its increments (strains of a soft clay)."""
    stress, strain = np.array([200.0, 400.0, 800.0]), np.array([0.10, 0.18, 0.25])
    x = np.log(gt.mean_stress_of_increment(stress[:-1], stress[1:]) / 100)
    y = np.log(gt.modulus_of_increment(stress[:-1], stress[1:], strain[:-1], strain[1:]) / 100)
    by_m_v = y + np.log(1 - strain[:-1])
    fits = [100 * np.exp(np.polynomial.Polynomial.fit(x, each, 1)(np.array([0.0, x.mean()]))) for each in (y, by_m_v)]

    assert fits[1][0] / fits[0][0] == approx(1.038, abs=0.0005)
    assert fits[1][1] < 0.87 * fits[0][1]
