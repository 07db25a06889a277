"""Membrane between column heads: closed forms against direct numerical integration, limits, laws."""

from typing import Any

import numpy as np
import pytest
from numpy.typing import NDArray
from scipy.integrate import quad, solve_bvp

from calc.formulas import membrane as mb
from calc.procedures.membrane import strain_factor
from tests.references.reader import table

approx = pytest.approx
MEMBRANE = table("arching_common_case")["membrane"]
SPAN, LOAD, FORCE = 1.2, 40.0, 45.0


def load(shape: str, x: Any, span: float = SPAN, total: float = LOAD) -> Any:
    """Load per length at a distance from mid-span; every shape sums up to the total."""
    far = np.abs(x) / (span / 2)
    return total / span * {"uniform": 1 + 0 * far, "triangular": 2 * (1 - far), "inverse": 2 * far}[shape]


def integrated(shape: str, support: float = 0.0) -> tuple[float, float, float, float]:
    """Half the mean of the square of the slope, sag, end slope and mean sag by solving H z″ − k z + q = 0 on half the
    span with scipy; ``support`` is k."""
    grid = np.linspace(0, SPAN / 2, 41)

    def slope(x: NDArray[Any], y: NDArray[Any]) -> NDArray[Any]:
        return np.vstack([y[1], (support * y[0] - load(shape, x)) / FORCE])

    def ends(mid: NDArray[Any], edge: NDArray[Any]) -> NDArray[Any]:
        return np.array([mid[1], edge[0]])

    path = solve_bvp(slope, ends, grid, np.zeros((2, grid.size)), tol=1e-10, max_nodes=20000)
    assert path.success
    strain, _ = quad(lambda x: float(path.sol(x)[1]) ** 2 / 2, 0, SPAN / 2, epsrel=1e-9)
    mean, _ = quad(lambda x: float(path.sol(x)[0]), 0, SPAN / 2, epsrel=1e-9)
    return strain / (SPAN / 2), float(path.sol(0)[0]), -float(path.sol(SPAN / 2)[1]), mean / (SPAN / 2)


@pytest.mark.parametrize("key", list(mb.SHAPES))
def test_coefficients_of_each_shape_agree_with_numerical_integration(key: str) -> None:
    form = mb.SHAPES[key]
    strain, sag, end, mean = integrated(key)
    stiffness = FORCE / strain / 0.8  # the stiffness at which the force of the integration is in equilibrium

    found = mb.membrane_strain(F_m=LOAD, c_eps=form.c_eps, J_r=stiffness, b_m=0.8)
    assert found == approx(strain, rel=1e-6)
    assert mb.horizontal_force(J_r=stiffness, b_m=0.8, eps_m=found) == approx(FORCE, rel=1e-6)
    assert mb.membrane_sag(LOAD, SPAN, form.c_f, FORCE) == approx(sag, rel=1e-6)
    assert mb.edge_force(LOAD) == approx(FORCE * end, rel=1e-6)
    assert form.eta_f == approx(mean / sag, rel=1e-6)


@pytest.mark.parametrize("key", list(mb.SHAPES))
@pytest.mark.parametrize("support", [5.0, 300.0, 20000.0])
def test_supported_strip_agrees_with_numerical_integration(key: str, support: float) -> None:
    """Subgrade per length of 5, 300 and 20000 kPa: hardly felt, felt, and carrying nearly all."""
    strain, _, end, _ = integrated(key, support)
    u_m = mb.support_length_ratio(k_s=support / 0.8, b_m=0.8, H_m=FORCE, L_m=SPAN)
    t_m, t_mh = mb.half_span_tangent(u_m), mb.quarter_span_tangent(u_m)
    edge = {
        "uniform": mb.uniform_edge_force(F_m=LOAD, t_m=t_m, u_m=u_m),
        "triangular": mb.triangular_edge_force(F_m=LOAD, t_m=t_m, t_mh=t_mh, u_m=u_m),
        "inverse": mb.inverse_edge_force(F_m=LOAD, t_m=t_m, u_m=u_m, t_mh=t_mh),
    }[key]

    assert mb.supported_strain(strain_factor(key, u_m), LOAD, FORCE) == approx(strain, rel=1e-5)
    assert edge == approx(FORCE * end, rel=1e-5)


@pytest.mark.parametrize(
    ("factor", "coefficient"),
    [(mb.uniform_strain_factor, 24), (mb.triangular_strain_factor, 15), (mb.inverse_strain_factor, 40)],
)
def test_strain_on_soft_ground_tends_to_that_of_the_free_strip(factor: Any, coefficient: float) -> None:
    u_m = np.array([1e-9, 1e-4])
    given = {"u_m": u_m, "t_m": mb.half_span_tangent(u_m), "t_mh": mb.quarter_span_tangent(u_m)}
    found = factor(**{name: given[name] for name in factor.arguments})

    assert found == approx(np.full(2, 2 / coefficient), rel=1e-7)


@pytest.mark.parametrize("key", list(mb.SHAPES))
def test_series_and_closed_form_of_the_strain_meet(key: str) -> None:
    """At the change from one to the other neither has lost more than a millionth."""
    below, above = strain_factor(key, 0.1 - 1e-12), strain_factor(key, 0.1 + 1e-12)

    assert above == approx(below, rel=1e-8)


@pytest.mark.parametrize("key", list(mb.SHAPES))
def test_strain_factor_is_monotonic_in_the_support(key: str) -> None:
    factors = strain_factor(key, np.geomspace(0.01, 80, 60))

    assert (np.diff(factors) < 0).all()
    assert (factors > 0).all()


def test_tangents_are_those_of_numpy() -> None:
    u_m = np.array([0.01, 1.0, 30.0])

    assert mb.half_span_tangent(u_m) == approx(np.tanh(u_m), rel=1e-12)
    assert mb.quarter_span_tangent(u_m) == approx(np.tanh(u_m / 2), rel=1e-12)


def test_membrane_of_the_common_case_reproduces_its_values() -> None:
    F_m, b_m, J_r = MEMBRANE["F_m"], MEMBRANE["b_m"], MEMBRANE["J_r"]
    eps_m = mb.membrane_strain(F_m, mb.SHAPES["triangular"].c_eps, J_r, b_m)
    H_m = mb.horizontal_force(J_r, b_m, eps_m)
    T_m = mb.edge_tension(H_m, mb.edge_force(F_m), b_m)

    assert H_m == approx(MEMBRANE["H_m"], abs=0.05)
    assert H_m / b_m == approx(MEMBRANE["H_per_width"], abs=0.05)
    assert T_m * b_m == approx(MEMBRANE["T_edge"], abs=0.05)
    assert T_m == approx(MEMBRANE["T_per_width"], abs=0.06)  # printed from rounded 48.7 kN
    assert T_m / J_r == approx(MEMBRANE["eps_me"], abs=5e-4)


@pytest.mark.parametrize("key", list(mb.SHAPES))
def test_load_and_sag_lead_back_to_each_other(key: str) -> None:
    form, J_r, b_m = mb.SHAPES[key], 1200.0, 0.7
    eps_m = mb.membrane_strain(LOAD, form.c_eps, J_r, b_m)
    f_m = mb.membrane_sag(LOAD, SPAN, form.c_f, mb.horizontal_force(J_r, b_m, eps_m))

    assert mb.load_at_sag(form.c_f, form.c_eps, J_r, b_m, f_m, SPAN) == approx(LOAD, rel=1e-12)
    assert mb.strain_at_sag(form.c_f, form.c_eps, f_m, SPAN) == approx(eps_m, rel=1e-12)


def test_a_stiffer_membrane_sags_less_and_pulls_more_without_bound() -> None:
    """J → ∞: the sag goes to zero with J to the power −1/3, the force grows with J to the power 1/3."""
    strains = [mb.membrane_strain(LOAD, 24.0, J, 0.8) for J in (1e3, 1e6, 1e9)]
    forces = [mb.horizontal_force(J, 0.8, eps) for J, eps in zip((1e3, 1e6, 1e9), strains, strict=True)]

    assert forces[1] / forces[0] == approx(10.0, rel=1e-12)
    assert forces[2] / forces[1] == approx(10.0, rel=1e-12)
    assert strains[2] / strains[0] == approx(1e-4, rel=1e-12)


def test_force_gap_is_force_less_that_of_the_strain() -> None:
    assert mb.force_gap(H_m=16.0, J_r=1000.0, b_m=0.8, eps_m=0.02) == approx(0.0, abs=1e-12)
