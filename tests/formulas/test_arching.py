"""Arching above the column heads: verification values, equilibrium by numerical integration, limits, laws."""

from collections.abc import Callable
from itertools import pairwise
from math import exp, log, pi, radians, sqrt, tan
from types import SimpleNamespace
from typing import Any

import pytest
from scipy.integrate import solve_ivp

from calc.formulas import arching_coefficient as coefficient
from calc.formulas import arching_domes as domes
from calc.formulas import arching_shaft as shaft
from calc.formulas import arching_shells as shells
from calc.formulas import load_transfer as lt
from tests.formulas.arching_case import VALUES, by_concentric, by_domes, by_shaft, by_shells, common, follow

approx = pytest.approx


def test_domes_reproduce_the_common_case() -> None:
    """B and C of the source, singular on their own at K_p = 1.5, regrouped here into omega_d: A − AB + C stays."""
    found, expected = by_domes(), VALUES["domes"]
    A, B, C = expected["A_dome"], expected["B"], expected["C"]
    regrouped = A + (2 * found.K_p - 2) * found.omega_d * found.s_q / (sqrt(2) * found.H)

    assert found.A_dome == approx(A, abs=5e-6)
    assert regrouped == approx(A - A * B + C, abs=2e-5)  # three rounded values
    assert found.beta_A == approx(expected["beta_A"], abs=5e-5)
    assert found.E_1 == approx(expected["E_1"], abs=5e-5)
    assert found.E_2 == approx(expected["E_2"], abs=5e-5)
    assert found.E_A == found.E_1
    assert found.sigma_sA == approx(expected["sigma_sA"], abs=5e-3)


def test_dome_agrees_with_its_equilibrium_integrated_numerically() -> None:
    """Radial equilibrium at the crown, dσ/dr = 2 (K_p − 1) σ/r − γ, from the top of the dome to its inner face."""
    found = by_domes(q=0.0)
    outer, inner = found.s_q / sqrt(2), found.L_m / sqrt(2)
    path = solve_ivp(
        lambda r, sigma: 2 * (found.K_p - 1) * sigma / r - found.gamma_E,
        (outer, inner), [found.gamma_E * (found.H - outer)], rtol=1e-11, atol=1e-11,
    )  # fmt: skip
    beside = path.y[0, -1] + found.gamma_E * inner

    assert found.sigma_sA == approx(beside, rel=1e-8)
    assert domes.dome_height(found.s_q) == approx(outer, rel=1e-12)


def test_domes_have_no_step_where_the_quotient_is_singular() -> None:
    near, at = by_domes(K_p=1.5 + 2e-6), by_domes(K_p=1.5)

    assert at.sigma_sA == approx(near.sigma_sA, rel=1e-5)
    assert at.omega_d == approx(-0.6 * log(0.6), rel=1e-12)


def test_column_head_of_the_domes_carries_what_the_area_beside_it_does_not() -> None:
    found = by_domes()

    assert found.F_head + found.sigma_sA * found.A_s == approx(280.0, rel=1e-12)
    assert found.F_head == approx(found.E_A * 280.0, rel=1e-12)


def test_vaults_yield_little_load_to_a_point_and_all_to_a_head_as_wide_as_the_grid() -> None:
    assert domes.vault_ratio(K_p=3.0, delta_a=0.0) == 0.0
    assert domes.head_efficacy(domes.vault_ratio(K_p=3.0, delta_a=1 - 1e-4)) > 0.999


def test_shells_reproduce_the_common_case() -> None:
    found, expected = by_shells(), VALUES["shells"]

    for name in ("lambda_1", "lambda_2", "chi", "h_g"):
        assert getattr(found, name) == approx(expected[name], abs=5e-5), name
    assert found.sigma_sA == approx(expected["sigma_sA"], abs=5e-3)
    A_c = pi * found.d_c**2 / 4
    assert shells.pressure_on_head(found.sigma_E, found.sigma_sA, 4.0, A_c) == approx(expected["sigma_cA"], abs=0.05)
    A_L = shells.strip_area(found.s_q, found.s_q, found.d_c)
    assert A_L == approx(expected["A_L"], abs=5e-4)
    assert shells.strip_load_of_area(A_L, found.sigma_sA) == approx(expected["F_m"], abs=5e-3)
    assert shells.strip_width(found.d_c) == approx(0.8, rel=1e-12)


def test_shells_agree_with_the_grouping_of_the_source() -> None:
    """The powers of the source have a dimension; here they are powers of ratios."""
    found = by_shells()
    low, high = found.lambda_1 + found.h_g**2 * found.lambda_2, found.lambda_1 + found.h_g**2 * found.lambda_2 / 4
    grouped = found.lambda_1**found.chi * (found.gamma_E + found.q / found.H) * (
        found.H * low**-found.chi + found.h_g * (high**-found.chi - low**-found.chi)
    )  # fmt: skip

    assert found.sigma_sA == approx(grouped, rel=1e-12)


def test_shells_balance_the_load_of_the_cell() -> None:
    """Two strip areas and the head fill a square cell, and their pressures its load."""
    found = by_shells()
    A_c = pi * found.d_c**2 / 4
    head = shells.pressure_on_head(found.sigma_E, found.sigma_sA, 4.0, A_c)

    assert 2 * shells.strip_area(found.s_q, found.s_q, found.d_c) + A_c == approx(4.0, rel=1e-12)
    assert head * A_c + found.sigma_sA * (4.0 - A_c) == approx(280.0, rel=1e-12)


def test_shells_without_friction_do_not_arch() -> None:
    assert by_shells(K_p=1.0).sigma_sA == approx(70.0, rel=1e-12)


def test_strip_areas_of_a_rectangular_grid_fill_the_cell() -> None:
    both = shells.strip_area(2.0, 1.5, 0.8) + shells.strip_area(1.5, 2.0, 0.8)

    assert both + pi * 0.8**2 / 4 == approx(3.0, rel=1e-12)


def test_ratios_of_the_limits_of_use() -> None:
    assert shells.diameter_over_spacing(0.8, 2.0) == 0.4
    assert shells.height_over_clear_distance(3.0, 2.0, 0.8) == approx(2.5, rel=1e-12)
    assert lt.subgrade_ratio(k_c=7500.0, k_s=100.0) == 75.0
    assert {limit.symbol for limit in shells.USE_LIMITS} == {"r_ds", "r_hs", "L_m", "r_k"}
    assert all(limit.source.evidence == "not inspected" for limit in shells.USE_LIMITS)
    assert shells.CLEAR_DISTANCE_UNDER_HEAVY_LOAD.bound < 3.0


def test_friction_on_vertical_faces_reproduces_the_common_case() -> None:
    found, expected = by_shaft(), VALUES["shaft"]

    assert found.chi_T / found.H == approx(expected["alpha"], abs=5e-5)
    assert found.sigma_sA == approx(expected["sigma_sA"], abs=5e-3)


def test_friction_on_vertical_faces_agrees_with_its_equilibrium_integrated_numerically() -> None:
    """dσ/dz = γ − (U K tan φ / A) σ from the surface load down."""
    found = by_shaft()
    alpha = 4 * 0.8 * 0.75 * tan(radians(35)) / 3.36
    path = solve_ivp(lambda _, sigma: 20.0 - alpha * sigma, (0, 3.0), [10.0], rtol=1e-11, atol=1e-11)

    assert found.sigma_sA == approx(path.y[0, -1], rel=1e-9)


def test_vertical_faces_without_friction_carry_nothing() -> None:
    assert by_shaft(phi=0.0).sigma_sA == 70.0
    assert by_shaft(phi=1e-4).sigma_sA == approx(70.0, rel=1e-4)


def coefficient_case() -> SimpleNamespace:
    case = common()
    case.sigma_E = lt.mean_pressure(f_G=1.3, gamma_E=20.0, H=3.0, f_q=1.3, q=10.0)
    steps = (
        coefficient.coefficient_of_yielding_columns,
        coefficient.head_pressure_ratio,
        coefficient.line_load_by_coefficient,
        coefficient.least_line_load,
        coefficient.governing_line_load,
    )
    return follow(case, *steps, f_G=1.3)


@pytest.mark.parametrize("row", VALUES["coefficient"]["row"], ids=lambda row: str(row["columns"]))
def test_arching_coefficient_reproduces_the_common_case(row: dict[str, Any]) -> None:
    found = coefficient_case()
    tension = [coefficient.tension_at_strain(found.W_T, 2.0, 0.8, strain) for strain in (0.05, 0.03)]

    assert found.C_c == approx(row["C_c"], abs=5e-5)
    assert found.mu_p == approx(row["mu_p"], abs=5e-4)
    assert found.W_T == approx(row["W_T"], abs=5e-3)
    assert tension == approx([row["T_5"], row["T_3"]], abs=0.05)


def test_arching_coefficient_exceeds_equilibrium_by_a_known_ratio() -> None:
    """Below the height of full arching the pressure beside the heads balances the cell, and the strips of a cell get
    2s/(s + a) of its load: the excess that Van Eekelen et al. (2011) describe."""
    s, a, H, sigma_E = 2.0, 0.8, 1.5, 30.0
    mu_p = coefficient.head_pressure_ratio(coefficient.coefficient_of_yielding_columns(H, a), a, H)
    W_A = coefficient.line_load_by_coefficient(H, s, a, 1.0, 20.0, sigma_E, mu_p)
    left = sigma_E * (s**2 - a**2 * mu_p)

    assert 2 * W_A * (s - a) == approx(left * 2 * s / (s + a), rel=1e-12)


def test_arching_coefficient_leaves_nothing_below_strong_arching_but_the_least_load() -> None:
    W_A = coefficient.line_load_by_coefficient(3.0, 2.0, 0.8, 1.0, 20.0, 60.0, 2.0**2 / 0.8**2)
    W_min = coefficient.least_line_load(s_q=2.0, sigma_E=60.0)

    assert W_A == 0.0
    assert coefficient.governing_line_load(W_A=W_A, W_min=W_min) == approx(0.15 * 2.0 * 60.0, rel=1e-12)


def test_line_load_spreads_what_a_strip_carries_over_its_clear_span() -> None:
    """26.21 kPa on 3.36 m² rest on the two strips of a cell: 44.03 kN each, over 1.2 m."""
    F_m = lt.strip_load(sigma_sA=26.21, A_s=3.36)

    assert F_m == approx(44.03, abs=5e-3)
    assert lt.line_load(F_m, L_m=1.2) == approx(44.0328 / 1.2, rel=1e-9)


@pytest.mark.parametrize("model", [by_domes, by_shells, by_concentric, by_shaft])
def test_pressure_beside_the_heads_is_monotonic_in_friction_and_stays_below_the_mean(model: Callable[..., Any]) -> None:
    pressures = [float(model(phi=phi).sigma_sA) if model is not by_concentric else
                 70.0 * (1 - float(model(phi=phi).E_A)) for phi in (20.0, 25.0, 30.0, 35.0, 40.0)]  # fmt: skip

    assert all(after < before for before, after in pairwise(pressures))
    assert pressures[0] < 70.0


@pytest.mark.parametrize("model", [by_domes, by_shells, by_shaft])
def test_pressure_beside_the_heads_tends_to_no_load_as_the_heads_close_the_grid(model: Callable[..., Any]) -> None:
    """s → a: no clear span is left, and less of the load stays beside the heads."""
    left = [float(model(a_q=a).sigma_sA * (4 - a**2)) for a in (0.8, 1.2, 1.6, 1.9)]

    assert all(after < before for before, after in pairwise(left))
    assert left[-1] < 0.05 * 280.0


def test_a_thin_fill_does_not_arch() -> None:
    """H → 0 with a surface load: friction on vertical faces and shells both leave the mean pressure."""
    assert by_shaft(H=1e-9).sigma_sA == approx(10.0, rel=1e-6)
    assert by_shells(H=1e-9).sigma_sA == approx(10.0, rel=1e-6)


def test_shaft_share_falls_with_the_exponential_of_the_height() -> None:
    chi_T = 1.7

    assert shaft.pressure_beside_shaft(chi_T, 0.0, 20.0, 3.0, 1.0, 10.0) == approx(10 * exp(-1.7), rel=1e-12)


@pytest.mark.parametrize(("H", "pressure"), [(1.67, 33.4 + 7.0), (1.69, 33.6)])
def test_fill_above_the_height_of_full_arching_does_not_count(H: float, pressure: float) -> None:
    """1.4 (s − a) = 1.68 m of fill at 20 kN/m3; below that height the whole fill and the surface load."""
    W_A = coefficient.line_load_by_coefficient(H, 2.0, 0.8, 1.0, 20.0, 20.0 * H + 7.0, 2.0)

    assert W_A == approx(2.0 * pressure / 3.36 * (4 - 0.64 * 2.0), rel=1e-12)


@pytest.mark.parametrize("model", [by_domes, by_shells, by_concentric, by_shaft])
def test_pressure_is_unchanged_when_lengths_grow_and_unit_weight_falls_alike(model: Callable[..., Any]) -> None:
    """Powers of a spacing of 2 m and its doubles are the same number; at 3 m they are not."""
    base, scaled = model(), model(s_q=3.0, a_q=1.2, H=4.5, gamma_E=20 / 1.5)

    assert scaled.F_cell == approx(280.0 * 1.5**2, rel=1e-12)
    assert scaled.A_s == approx(3.36 * 1.5**2, rel=1e-12)
    if model is by_concentric:
        assert scaled.E_A == approx(base.E_A, rel=1e-12)
    else:
        assert scaled.sigma_sA == approx(base.sigma_sA, rel=1e-12)
