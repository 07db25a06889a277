"""Concentric arches: both stress fields integrated numerically, equilibrium, limits at the singular values."""

from collections.abc import Callable
from math import log, pi, sqrt
from types import SimpleNamespace

import pytest
from scipy.integrate import dblquad, quad

from calc.formulas import arching_concentric as concentric
from tests.formulas.arching_case import by_concentric, by_domes, by_shells

approx = pytest.approx


def hemisphere_stress(case: SimpleNamespace) -> Callable[[float], float]:
    """Tangential stress at the base by the source's P and Q, with radii in metres."""
    power, height = 2 * case.K_p - 2, min(case.H, case.s_d / 2)
    Q = case.K_p * case.gamma_E / (2 * case.K_p - 3)
    P = case.gamma_E * case.K_p * height**-power * (case.H - height * power / (2 * case.K_p - 3))
    return lambda r: P * r**power + Q * r


@pytest.mark.parametrize("phi", [20.0, 27.5, 35.0, 42.5])
def test_load_of_hemispheres_agrees_with_integration_over_the_square(phi: float) -> None:
    found = by_concentric(phi=phi, q=0.0)
    stress, half = hemisphere_stress(found), found.L_m / 2
    eighth, _ = dblquad(lambda y, x: stress(sqrt(x * x + y * y)), 0.0, half, 0.0, lambda x: x, epsrel=1e-10)

    assert found.F_sqr == approx(8 * eighth, rel=1e-7)


@pytest.mark.parametrize("phi", [16.0, 25.0, 35.0])
def test_load_of_arches_agrees_with_integration_over_the_strip(phi: float) -> None:
    """The source's P and Q of the plane arches, with the passed-on pressure as added height of fill."""
    found = by_concentric(phi=phi, q=0.0)
    K, height = found.K_p, found.s_q / 2
    added = found.H + found.p_tr / found.gamma_E
    P = found.gamma_E * K * height ** (1 - K) * (added - height * (K - 1) / (K - 2))
    half, _ = quad(lambda r: P * r ** (K - 1) + K * found.gamma_E / (K - 2) * r, 0.0, found.L_m / 2, epsrel=1e-11)

    assert found.F_str == approx(2 * found.a_q * half, rel=1e-9)


def test_hemispheres_carry_the_pressure_on_the_outermost_one_to_the_base() -> None:
    """Vertical equilibrium of a half sphere without weight: pressure on the sphere times its circle is the load on
    the base by the tangential stress; by the radial stress it would be K_p times too small."""
    K_p, outer = 3.0, 1.4

    def tangential(r: float) -> float:
        return float(K_p * 100.0 * (r / outer) ** (2 * K_p - 2))

    base, _ = quad(lambda r: 2 * pi * r * tangential(r), 0.0, outer)

    assert base == approx(pi * outer**2 * 100.0, rel=1e-10)


def test_concentric_arches_lie_between_the_other_models_in_the_common_case() -> None:
    """Published comparisons are not at hand: common practice expects the models to be near each other here."""
    found = by_concentric()
    beside = concentric.mean_pressure_below_arches(found.F_sqr, found.F_str, found.A_s)

    assert by_shells().sigma_sA < beside < by_domes().sigma_sA
    assert found.E_A == approx(0.7097, abs=5e-5)
    assert found.F_sqr / found.K_p == approx(3.798, abs=5e-4)  # what the radial stress would give


def test_concentric_arches_balance_the_load_of_the_cell() -> None:
    found = by_concentric()
    beside = concentric.mean_pressure_below_arches(found.F_sqr, found.F_str, found.A_s)

    assert found.F_sqr + 2 * found.F_str + found.F_head == approx(280.0, rel=1e-12)
    assert beside * found.A_s + found.F_head == approx(280.0, rel=1e-12)
    passed = found.p_tr * 2 * found.L_m * found.a_q
    assert found.F_sqr + passed == approx(found.sigma_E * found.L_m**2, rel=1e-12)


@pytest.mark.parametrize(("singular", "name"), [(1.5, "g_3"), (2.0, "g_2")])
def test_concentric_arches_have_no_step_where_a_quotient_is_singular(singular: float, name: str) -> None:
    at, near = by_concentric(K_p=singular), by_concentric(K_p=singular + 2e-6)

    assert getattr(at, name) == approx(getattr(near, name), rel=1e-5)
    assert at.E_A == approx(near.E_A, rel=1e-5)


def test_limit_of_the_hemispheres_agrees_with_integration_over_the_square() -> None:
    """At K_p = 1.5 the field is σ = γ K_p (H r/H_g − r − r ln(r/H_g)), the limit of the source's two terms."""
    found = by_concentric(K_p=1.5, q=0.0)
    g, half = found.H_g3, found.L_m / 2

    def stress(y: float, x: float) -> float:
        r = sqrt(x * x + y * y) or 1e-300
        return float(found.gamma_E * 1.5 * (found.H * r / g - r - r * log(r / g)))

    eighth, _ = dblquad(stress, 0.0, half, 0.0, lambda x: x, epsrel=1e-10)
    assert found.F_sqr == approx(8 * eighth, rel=1e-7)


def test_hemispheres_need_fill_above_the_square_they_cover() -> None:
    assert concentric.hemispheres_height(1.2) == approx(sqrt(2 * 0.6**2), rel=1e-12)
