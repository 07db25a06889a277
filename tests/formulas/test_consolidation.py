"""Drainage factors, degrees, load transfer and secondary compression: printed example, tables, integral, limits."""

from math import exp, pi

import numpy as np
import pytest
from scipy.integrate import quad

from calc.formulas import consolidation as co
from calc.formulas.seepage import mean_well_resistance
from tests.formulas.hansbo import well_resistance

approx = pytest.approx

# Calculated from the expression of Barron; verification values.
IDEAL = {
    2: 0.2367, 2.5: 0.3808, 3: 0.5137, 4: 0.7443, 5: 0.9365, 7: 1.2416, 10: 1.5783, 15: 1.9713, 20: 2.2539,
    25: 2.4744, 50: 3.1637, 100: 3.8557,
}  # fmt: skip
# Calculated: factor by the diameter ratio, for stress ratios of 1 to 6.
TRANSFER = {
    2: (1.333, 1.667, 2.000, 2.333, 2.667, 3.000),
    2.5: (1.190, 1.381, 1.571, 1.762, 1.952, 2.143),
    3: (1.125, 1.250, 1.375, 1.500, 1.625, 1.750),
    3.5: (1.089, 1.178, 1.267, 1.356, 1.444, 1.533),
    4: (1.067, 1.133, 1.200, 1.267, 1.333, 1.400),
}


def complete(n_d: float, s_sm: float = 1.0, r_ks: float = 1.0, mu_wr: float = 0.0) -> float:
    parts = (co.logarithmic_part(n_d, s_sm, r_ks), co.undisturbed_part(n_d, s_sm), co.smeared_part(n_d, s_sm, r_ks))
    return float(co.drainage_factor(*parts, mu_wr))


@pytest.mark.parametrize(("n_d", "expected"), IDEAL.items())
def test_ideal_drainage_factor_reproduces_the_table(n_d: float, expected: float) -> None:
    assert co.ideal_drainage_factor(n_d) == approx(expected, abs=5.1e-5)


def test_horizontal_drainage_matches_port_works_design_manual_part_3_d2() -> None:
    """Port Works Design Manual Part 3 (2002), App. D2, p. 108: T_h 0.63, n 23.7, F 2.42. Its U_h 0.875 is calculated.

    Triangular grid at 1.5 m (D = 1.05 S, 1.58 m), band drain 100 mm by 5 mm (66.8 mm), c_h 1.5 m²/year, 1.05 years.
    """
    d_e, d_w = 1.05 * 1.5, 2 * (0.100 + 0.005) / pi
    n_d = co.diameter_ratio(d_e, d_w)
    T_h = co.horizontal_time_factor(1.5, 1.05, d_e)

    assert d_e == approx(1.58, abs=0.006)
    assert d_w == approx(0.0668, abs=5.1e-5)
    assert n_d == approx(23.7, rel=6e-3)  # printed from rounded diameters
    assert T_h == approx(0.63, abs=0.006)
    assert co.ideal_drainage_factor(n_d) == approx(2.42, abs=0.006)
    assert co.horizontal_degree(0.63, 2.42) == approx(0.875, abs=5.1e-4)


@pytest.mark.parametrize("n_d", [1.8, 2.2, 3.2, 8.0, 25.0])
@pytest.mark.parametrize(("s_sm", "r_ks"), [(1.0, 1.0), (1.0, 4.0), (1.5, 1.0), (1.4, 3.0), (1.7, 5.0)])
def test_complete_drainage_factor_is_the_integral_over_both_rings(n_d: float, s_sm: float, r_ks: float) -> None:
    """Equal settlement: F = ∫ κ(ρ) (n² − ρ²)²/ρ dρ / (n² (n² − 1)), from the mean of the pressure over the ring."""

    def ring(low: float, high: float) -> float:
        return float(quad(lambda x: (n_d**2 - x**2) ** 2 / x, low, high)[0])

    expected = (r_ks * ring(1, s_sm) + ring(s_sm, n_d)) / (n_d**2 * (n_d**2 - 1))

    assert complete(n_d, s_sm, r_ks) == approx(expected, rel=1e-9)


@pytest.mark.parametrize("n_d", [1.5, 2.2, 3.2, 10.0, 100.0])
def test_complete_drainage_factor_without_disturbance_is_the_ideal_one(n_d: float) -> None:
    assert complete(n_d) == approx(float(co.ideal_drainage_factor(n_d)), rel=1e-12)
    assert complete(n_d, s_sm=1.0, r_ks=7.0) == approx(complete(n_d), rel=1e-12)


def test_complete_drainage_factor_tends_to_the_short_form_of_slender_drains() -> None:
    """Hansbo (1981): ln(n/s) + κ ln s − 3/4 + 2/3 π l² k/q, which is far off for columns."""
    n_d, s_sm, r_ks = 1e4, 2.0, 3.0
    mean = mean_well_resistance(10.0, 1e-4, 2.0, 1 / n_d**2)
    short = np.log(n_d / s_sm) + r_ks * np.log(s_sm) - 0.75 + 2 / 3 * pi * 10.0**2 * 1e-4 / 2.0

    assert complete(n_d, s_sm, r_ks, mean) == approx(short, rel=1e-7)
    assert np.log(3.0) - 0.75 < 0.7 * complete(3.0)
    assert np.log(10.0) - 0.75 > 0.98 * complete(10.0)


def test_mean_over_the_depth_of_the_well_resistance_is_the_mean_well_resistance() -> None:
    mean, _ = quad(lambda z: well_resistance(z, 8.0, 2e-4, 3.0, 2.5) / 8.0, 0.0, 8.0)

    assert mean == approx(mean_well_resistance(8.0, 2e-4, 3.0, 1 / 2.5**2), rel=1e-10)


def test_horizontal_degree_falls_in_smear_and_well_resistance() -> None:
    factors = [complete(2.5), complete(2.5, 1.3, 2.0), complete(2.5, 1.3, 4.0), complete(2.5, 1.3, 4.0, 0.1)]
    degrees = [co.horizontal_degree(0.1, factor) for factor in factors]

    assert (np.diff(degrees) < 0).all()


def test_combined_degree_reproduces_two_drains_of_a_text_book() -> None:
    """H 6 m drained at both faces, c 0.36 m²/month, 9 months, d_e 3 m, r_w 0.1 m: 92.26 %, print 92.4 % (memory)."""
    T_v = co.vertical_time_factor(0.36, 9.0, co.vertical_path(6.0, 2))
    T_h = co.horizontal_time_factor(0.36, 9.0, 3.0)
    U_h = co.horizontal_degree(T_h, co.ideal_drainage_factor(co.diameter_ratio(3.0, 0.2)))

    assert (T_v, T_h) == (approx(0.36), approx(0.36))
    assert U_h == approx(0.768, abs=5e-4)
    assert co.combined_degree(0.6665, U_h) == approx(0.9226, abs=1e-4)


def test_rates_are_the_time_factors_per_day() -> None:
    t, c, d_e, F, path = 37.0, 0.004, 2.1, 0.4, 3.5
    U_h = co.horizontal_degree(co.horizontal_time_factor(c, t, d_e), F)

    assert U_h == approx(1 - exp(-co.horizontal_rate(c, d_e, F) * t), rel=1e-12)
    assert co.vertical_time_factor(c, t, path) == approx(c * t / path**2, rel=1e-12)


@pytest.mark.parametrize(("n_d", "row"), TRANSFER.items())
def test_transfer_factor_reproduces_the_table(n_d: float, row: tuple[float, ...]) -> None:
    for n, expected in enumerate(row, start=1):
        assert co.transfer_factor(n, n_d) == approx(expected, abs=5.1e-4)
        assert co.modified_coefficient(co.transfer_factor(n, n_d), 0.01) == approx(0.01 * expected, abs=5.1e-6)


def test_secondary_settlement_reproduces_the_calculated_value() -> None:
    """C_α/C_c 0.05, C_c 1.2, e_0 2.4, 8 m, 1 to 50 years: 0.240 m; calculated, no published example."""
    C_aeps = co.secondary_strain_coefficient(0.05 * 1.2, 2.4)

    assert co.secondary_settlement(C_aeps, 8.0, 50 * 365.25, 365.25) == approx(0.240, abs=5e-4)


def test_secondary_settlement_begins_at_the_end_of_primary_consolidation() -> None:
    assert co.secondary_settlement(0.02, 8.0, np.array([0.0, 100.0, 365.0]), 365.0) == approx(0.0)
    assert co.secondary_settlement(0.02, 8.0, 3650.0, 365.0) == approx(0.16)


def test_time_of_ninety_percent_is_that_of_the_degree() -> None:
    T_h = co.horizontal_time_factor(0.004, co.time_of_ninety_percent(co.horizontal_rate(0.004, 2.1, 0.4)), 2.1)

    assert co.horizontal_degree(T_h, 0.4) == approx(0.9, rel=1e-12)


def test_modulus_ratio_is_that_of_the_confined_moduli() -> None:
    """E 40 MPa, nu 0.3: confined modulus E (1 - nu) / ((1 + nu)(1 - 2 nu)) = 53.8 MPa."""
    lame, shear = 40e3 * 0.3 / (1.3 * 0.4), 40e3 / 2.6

    assert co.modulus_ratio(lame, shear, 467.0) == approx(53_846 / 467, rel=1e-4)


def test_coefficient_by_permeability_by_hand() -> None:
    """1e-9 m/s, 1000 kPa, 9.81 kN/m³: 1.019e-7 m²/s, which is 3.2 m²/a."""
    found = co.coefficient_by_permeability(k_vs=1e-9 * 86_400, E_oed=1000.0, gamma_w=9.81)

    assert found * 365.25 == pytest.approx(3.217, abs=0.001)
    assert co.ratio_of_coefficients(c_vs=2 * found, c_vk=found) == pytest.approx(2.0)
