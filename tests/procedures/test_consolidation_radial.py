"""Radial flow with several exponentials: integral, limits, laws, staged filling with them, refused inputs."""

from typing import Any

import numpy as np
import pytest
from scipy.optimize import brentq
from scipy.special import j0, j1, y0, y1

from calc.formulas.consolidation import horizontal_rate
from calc.procedures.consolidation_radial import RadialModes, drainage_factor, radial_modes
from calc.procedures.consolidation_response import combined_response
from calc.procedures.failures import ProcedureError
from calc.procedures.staged_course import Programme, follow

approx = pytest.approx
N_D = np.array([1.8, 2.3, 3.0, 5.0])
FACTORS = np.array([0.8, 1.0, 2.0, 5.0, 10.0])[:, None]


def left(modes: RadialModes, t: float) -> Any:
    return (modes.shares * np.exp(-modes.rates * t)).sum(axis=0)


def usual(f_tr: Any = FACTORS, **others: Any) -> RadialModes:
    return radial_modes(**{"c_hs": 0.005, "d_e": 2.0, "n_d": N_D, "f_tr": f_tr, **others})


def test_integral_over_time_is_that_of_the_closed_form() -> None:
    """Both forms lose the same water in the same mean time, with a smeared zone and well resistance too."""
    modes = usual(s_sm=1.5, r_ks=3.0, mu_wr=0.1)
    factor = drainage_factor(n_d=N_D, s_sm=1.5, r_ks=3.0) + 0.1

    assert (modes.shares / modes.rates).sum(axis=0) == approx(1 / (horizontal_rate(0.005, 2.0, factor) * FACTORS))
    assert modes.shares.sum(axis=0) == approx(np.ones((5, 4)))


def test_division_of_the_ring_needs_little_correction(monkeypatch: pytest.MonkeyPatch) -> None:
    import calc.procedures.consolidation_radial as radial

    coarse = usual(s_sm=1.5, r_ks=3.0)
    monkeypatch.setattr(radial, "VOLUMES", 240)
    fine = usual(s_sm=1.5, r_ks=3.0)

    for t in (20.0, 60.0, 200.0):
        assert left(coarse, t) == approx(left(fine, t), abs=1e-3)


def test_smear_and_resistance_at_the_wall_leave_one_exponential() -> None:
    """What holds the water back sits at the wall, so the pressure in the ring is even: the closed form is exact."""
    modes = usual(f_tr=1.0, mu_wr=500.0)
    factor = drainage_factor(n_d=N_D, s_sm=1.0, r_ks=1.0) + 500.0

    assert modes.shares[0] == approx(np.ones(4), abs=1e-3)
    assert modes.rates[0] == approx(horizontal_rate(0.005, 2.0, factor), rel=1e-3)


@pytest.mark.parametrize("f", [0.3, 0.9999, 1.0001, 3.0, 40.0])
def test_exponentials_are_those_of_the_whole_matrix(f: float) -> None:
    """A second way: the ring's matrix with the term of the mean in it, all its eigenvalues at once."""
    import calc.procedures.consolidation_radial as radial

    n, s, ratio = 2.5, 1.4, 3.0
    poles, weights = radial._drained_ring(n, s, ratio, 0.1, radial.VOLUMES)
    root = np.sqrt(weights)  # in the frame of the ring's own modes the matrix is diagonal, and the mean this vector
    spread = np.eye(radial.VOLUMES) + (np.sqrt(f) - 1) * np.outer(root, root)
    rates, vectors = np.linalg.eigh(spread @ np.diag(poles) @ spread)
    shares = (root @ vectors) ** 2
    slow, last = slice(radial.KEPT - 1), slice(radial.KEPT - 1, None)

    found, parts = radial._exponentials(poles[None], weights[None], np.array([f]))

    assert found[0, slow] == approx(rates[slow], rel=1e-10)
    assert parts[0, slow] == approx(shares[slow], rel=1e-10)
    assert parts[0, -1] == approx(shares[last].sum(), rel=1e-9)
    assert found[0, -1] == approx(shares[last].sum() / (shares / rates)[last].sum(), rel=1e-7)


def test_a_search_that_is_broken_off_is_an_error_and_no_rate(monkeypatch: pytest.MonkeyPatch) -> None:
    import calc.procedures.consolidation_radial as radial

    monkeypatch.setattr(radial, "STEPS", 2)

    with pytest.raises(ProcedureError, match=r"^radial consolidation, .*: a rate is not found in 2 steps$"):
        usual(f_tr=3.0)


@pytest.mark.parametrize("f", [1.0, 2.0, 8.0])
def test_rates_agree_with_the_roots_of_the_bessel_functions(f: float) -> None:
    """The ring u̇ = ∇²u + (1 − 1/f)·dū/dt solved in closed form; f = 1 is the drain at free strain of Barron (1948)."""
    n = 2.5

    def gap(k: float) -> float:
        pressure = j0(k) * y1(k * n) - y0(k) * j1(k * n)
        slope = -k * (j1(k) * y1(k * n) - y1(k) * j1(k * n))
        return float(pressure + (f - 1) * 2 * slope / (k**2 * (n**2 - 1)))

    tried = np.linspace(0.05, 9, 4000)
    signs = np.array([gap(k) for k in tried])
    roots = [brentq(gap, tried[i], tried[i + 1]) for i in np.flatnonzero(signs[1:] * signs[:-1] < 0)]
    modes = radial_modes(c_hs=1.0, d_e=2 * n, n_d=n, f_tr=f)

    assert modes.rates[:3] == approx(np.array(roots[:3]) ** 2, rel=4e-3)


@pytest.mark.parametrize("t", [5.0, 20.0, 100.0])
def test_course_is_monotonic_in_the_factor_the_cell_and_the_smear(t: float) -> None:
    """More load taken over or closer columns never slow it, more smear never quickens it; from a third on."""
    by_factor = [left(usual(f_tr=f), t)[1] for f in (1.0, 1.5, 2.5)]
    by_cell = [left(radial_modes(c_hs=0.005, d_e=0.8 * n, n_d=n), t) for n in (1.8, 2.3, 3.0, 5.0)]
    by_smear = [left(usual(f_tr=1.0, s_sm=1.5, r_ks=k), t)[1] for k in (1.0, 2.0, 5.0)]

    assert (np.diff(by_factor) < 0).all()
    assert (np.diff(by_cell) > 0).all()
    assert (np.diff(by_smear) > 0).all()


def test_staged_filling_with_exponentials_agrees_with_the_sum_of_their_courses() -> None:
    """The course is linear in the response: each exponential alone, by its share; with vertical flow too."""
    programme = Programme((0.0, 40.0, 90.0), (20.0, 40.0, 120.0))
    modes = radial_modes(c_hs=[0.005, 0.003], d_e=2.0, n_d=2.3, f_tr=np.array([1.0, 3.0, 8.0])[:, None])
    final = np.array([[0.1, 0.2], [0.2, 0.3], [0.35, 0.5]])
    several = np.stack([final, 2 * final**2])[:, None]
    times = np.linspace(0, 400, 41)
    zeta = ([0.0, 0.4], [0.4, 1.0])
    found = follow(programme, combined_response(modes, *zeta, 1e-3), several, times)
    parts = sum(
        share[:, None] * follow(programme, combined_response(rate, *zeta, 1e-3), several, times).lag
        for rate, share in zip(modes.rates, modes.shares, strict=True)
    )

    assert found.lag.shape == (2, 3, 41, 2)
    assert found.lag == approx(parts, abs=1e-12)


@pytest.mark.parametrize(
    ("given", "words"),
    [
        ({"c_hs": 0.0}, "c_hs must be greater than 0"),
        ({"d_e": -1.0}, "d_e must be greater than 0"),
        ({"f_tr": np.nan}, "f_tr must be greater than 0"),
        ({"mu_wr": -0.1}, "mu_wr must be 0 or greater"),
        ({"n_d": 1.0}, "n_d must be greater than 1"),
        ({"s_sm": 2.0}, "must end inside the cell"),
    ],
)
def test_impossible_cells_are_refused(given: dict[str, Any], words: str) -> None:
    with pytest.raises(ProcedureError, match=words):
        usual(**{"f_tr": 1.0, **given})
