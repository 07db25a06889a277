"""Compensation fill: load and settlement that belong together."""

from typing import Any

import numpy as np
import pytest
from scipy.optimize import brentq

from calc.procedures import makeup
from calc.procedures.cell import solve_cell
from calc.procedures.failures import ProcedureError
from calc.procedures.makeup import solve_cell_with_makeup
from tests.procedures.chains import case_r1, solver_inputs

approx = pytest.approx


def soft_ground(**changes: Any) -> dict[str, Any]:
    """The ten sublayers of the verification values; everything but the load."""
    z = np.arange(10) + 0.5
    base = {"J": 2500.0, "sigma_v0s": 10 + 4 * z, "sigma_v0c": 10 + 9 * z, "E_ref": 600.0, "m": 1.0}
    cell = solver_inputs(case_r1(**(base | changes)))
    del cell["Dsigma_0"]
    return cell


def solved(load: Any, **changes: Any) -> makeup.MakeupSolution:
    fill: dict[str, Any] = {"f_G": 1.0, "f_M": 1.0, "gamma_E": 19.0, "gamma_Esub": 10.0, "d_w": 0.3, "h": 1.0}
    fill |= {name: changes.pop(name) for name in list(changes) if name in fill}
    return solve_cell_with_makeup(Dsigma_0=load, **fill, **soft_ground(**changes))


def settlement(load: float) -> float:
    solution = solve_cell(Dsigma_0=load, **soft_ground())
    return float(np.where(solution.mobilised, solution.strain, 0.0).sum())


@pytest.mark.parametrize("load", [5.0, 20.0, 100.0, 250.0])
@pytest.mark.parametrize("d_w", [-1.0, 0.0, 0.3, 5.0])
def test_settlement_agrees_with_scipy_case_by_case(load: float, d_w: float) -> None:
    def again(s: float) -> float:
        above = max(d_w, 0.0)
        return settlement(load + 19.0 * min(s, above) + 10.0 * max(s - above, 0.0)) - s

    expected = brentq(again, 0.0, 5.0, xtol=1e-14)
    found = solved(np.array([load]), d_w=d_w)

    assert found.s_M == approx(expected, rel=1e-8, abs=1e-13)
    assert np.abs(found.residual).max() <= 1e-9 * found.s_M.max()


def test_load_and_solution_belong_together() -> None:
    loads = np.array([20.0, 100.0, 200.0])[:, None]
    found = solved(loads, f_G=1.1)
    total = found.cell.strain.sum(axis=-1, keepdims=True)

    assert found.Dsigma_0 == approx(loads + 1.1 * found.p_M, rel=1e-12)
    assert total == approx(found.s_M, rel=1e-8)
    assert (found.without.strain.sum(axis=-1) < total[:, 0]).all()
    assert found.cell.unknown.shape == (3, 10)
    assert found.s_M.shape == (3, 1)


def test_share_of_nothing_leaves_the_load_as_it_is() -> None:
    found = solved(np.array([[100.0], [100.0]]), f_M=np.array([[1.0], [0.0]]))

    assert found.Dsigma_0[1] == 100.0
    assert found.s_M[1] == 0
    assert found.p_M[1] == 0
    assert found.cell.strain[1] == approx(found.without.strain[1], rel=1e-15)
    assert found.without.strain[1].sum() * 1000 == approx(486.630, abs=5e-4)


def test_thinner_sublayers_settle_in_proportion() -> None:
    thick, thin = solved(np.array([100.0]), f_M=0.0), solved(np.array([100.0]), f_M=0.0, h=0.25)
    filled = solved(np.array([100.0]), h=0.25)

    assert thin.cell.strain == approx(thick.cell.strain, rel=1e-15)
    assert filled.s_M == approx((filled.cell.strain * 0.25).sum(), rel=1e-8)
    assert thin.cell.strain.sum() / 4 < filled.s_M[0] < thick.cell.strain.sum()


def test_secant_needs_few_passes() -> None:
    assert solved(np.array([20.0, 100.0, 250.0])[:, None]).iterations.max() <= 4


def test_half_the_settlement_filled_lies_between_none_and_all() -> None:
    found = solved(np.array([100.0])[:, None], f_M=np.array([0.0, 0.5, 1.0])[:, None])

    assert (np.diff(found.cell.strain.sum(axis=-1)) > 0).all()
    assert found.s_M[1] == approx(found.cell.strain[1].sum() / 2, rel=1e-8)


def test_unmobilised_ground_asks_for_no_fill() -> None:
    found = solved(np.array([0.1]))

    assert not found.cell.mobilised.any()
    assert found.s_M == 0
    assert found.Dsigma_0 == approx(0.1, rel=1e-15)


def test_result_is_continuous_where_the_water_is_reached() -> None:
    """At a settlement equal to the depth of the water both branches of the load agree."""
    depth = float(solved(np.array([100.0]), d_w=9.0).s_M[0])
    near = [float(solved(np.array([100.0]), d_w=depth * (1 + step)).s_M[0]) for step in (-1e-6, 1e-6)]

    assert near == approx([depth, depth], rel=1e-6)


def test_cases_without_equilibrium_in_time_are_an_error_with_their_number(monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr(makeup, "MOST_ITERATIONS", 1)

    with pytest.raises(
        ProcedureError, match=r"compensation fill: 1 of 2 cases found no equilibrium in 1 iterations; one"
    ):
        solved(np.array([0.1, 100.0])[:, None])


def test_steep_growth_still_finds_its_equilibrium() -> None:
    """Constant, very soft modulus: each metre filled settles most of another metre."""
    found = solved(np.array([20.0]), gamma_E=180.0, gamma_Esub=180.0, m=0.0, E_ref=600.0, J=0.0)
    once = float(found.without.strain.sum())

    assert found.s_M[0] > 1.3 * once
    assert found.cell.strain.sum() == approx(found.s_M[0], rel=1e-8)
