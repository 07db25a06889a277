"""The roots of the membrane: against scipy case by case, at their limits and in their errors."""

from typing import Any

import numpy as np
import pytest
from scipy.integrate import quad
from scipy.optimize import brentq

from calc.formulas import load_transfer as lt
from calc.formulas import membrane as mb
from calc.procedures import membrane as solver
from calc.procedures.failures import ProcedureError
from tests.references.reader import table

approx = pytest.approx
SHAFT = table("arching_common_case")["shaft"]


def ground(**changes: Any) -> dict[str, Any]:
    """A cell with 70 kPa, of which equal settlement would leave 25.4 kPa on the ground."""
    return {
        "sigma_E": 70.0, "sigma_sA": 26.2, "a_E": 0.16, "k_s": 80.0, "k_c": 960.0, "Ds_mob": 0.05, "J_q": 1500.0,
        "J_l": 900.0, "L_m": 1.2, "b_m": 0.8, "A_s": 3.36,
    } | changes  # fmt: skip


def difference(shape: str = "inverse", **changes: Any) -> Any:
    return solver.solve_compatibility(shape=shape, **ground(**changes)).unknown


def balance(Ds: float, v: dict[str, Any], shape: str) -> float:
    """The balance typed once more with plain numbers: load above less ground less membrane."""
    c_f, c_eps, eta = {"uniform": (8, 24, 2 / 3), "triangular": (6, 15, 5 / 8), "inverse": (12, 40, 3 / 4)}[shape]
    sag = Ds / eta
    soil = v["k_s"] * (v["sigma_E"] + v["a_E"] * v["k_c"] * Ds) / (v["a_E"] * v["k_c"] + (1 - v["a_E"]) * v["k_s"])
    strips = c_f**3 / c_eps * v["b_m"] * (sag / v["L_m"]) ** 3 * (v["J_q"] + v["J_l"])
    full = Ds >= v["Ds_mob"]
    above = v["sigma_sA"] if full else v["sigma_E"] - (v["sigma_E"] - v["sigma_sA"]) * Ds / v["Ds_mob"]
    return float(above - soil - strips / v["A_s"])


@pytest.mark.parametrize("K_p", [1.0, 1.5, 2.37, 3.69, 6.2])
def test_hemisphere_integral_agrees_with_scipy(K_p: float) -> None:
    expected, _ = quad(lambda t: (1 + t * t) ** (K_p - 1), 0, 1, epsrel=1e-13)

    assert solver.hemisphere_integral(K_p) == approx(expected, rel=1e-12)
    assert solver.hemisphere_integral(np.full((2, 3), K_p)).shape == (2, 3)


def parabola_tension(V: float, J_r: float) -> float:
    """Largest tension of a strip that hangs as a parabola from V (kN/m) at its edge: 6 T³ − 6 T V² − J V² = 0."""
    roots = np.roots([6.0, 0.0, -6 * V**2, -J_r * V**2])
    return float(roots[np.isreal(roots)].real.max())


@pytest.mark.parametrize(("V", "J_r"), [(2.5, 2000.0), (SHAFT["V"], SHAFT["J_r"])])
def test_membrane_under_uniform_load_agrees_with_a_parabola(V: float, J_r: float) -> None:
    """Largest tension: exact for a parabola there, of the mean strain here; they differ by less than the strain."""
    eps_m = mb.membrane_strain(2 * V * 0.8, 24.0, J_r, 0.8)
    membrane = mb.edge_tension(mb.horizontal_force(J_r, 0.8, eps_m), V * 0.8, 0.8)

    tension = parabola_tension(V, J_r)
    assert membrane == approx(tension, rel=tension / J_r)


def test_parabola_reproduces_the_common_case() -> None:
    """V = σ A/p_c = 34.96 kN/m, J 1000 kN/m: 65.74 kN/m, 6.6 %."""
    tension = parabola_tension(SHAFT["V"], SHAFT["J_r"])

    assert tension == approx(SHAFT["T"], abs=0.01)  # V is rounded
    assert tension / SHAFT["J_r"] == approx(SHAFT["strain"], abs=5e-4)


@pytest.mark.parametrize("shape", list(mb.SHAPES))
def test_supported_force_agrees_with_scipy_case_by_case(shape: str) -> None:
    rng = np.random.default_rng(3)
    loads, spans = rng.uniform(1, 80, 60), rng.uniform(0.5, 2.5, 60)
    stiff, soft = 10 ** rng.uniform(2.3, 4, 60), 10 ** rng.uniform(0, 4, 60)
    found = solver.solve_supported(shape, F_m=loads, L_m=spans, b_m=0.7, J_r=stiff, k_s=soft).unknown

    def gap(H_m: float, k: int) -> float:
        u_m = np.sqrt(soft[k] * 0.7 / H_m) * spans[k] / 2
        return float(H_m - stiff[k] * 0.7 * solver.strain_factor(shape, u_m) / 2 * (loads[k] / H_m) ** 2)

    expected = [brentq(gap, 1e-7, 1e4, args=(k,), xtol=1e-13, rtol=1e-14) for k in range(60)]
    assert found == approx(np.array(expected), rel=1e-9)


@pytest.mark.parametrize("shape", list(mb.SHAPES))
def test_supported_force_tends_to_the_free_one_and_is_monotonic_in_the_support(shape: str) -> None:
    support = np.array([1e-6, 1.0, 30.0, 1000.0, 1e5])
    found = solver.solve_supported(shape, F_m=40.0, L_m=1.2, b_m=0.8, J_r=1000.0, k_s=support).unknown
    free = 800.0 * mb.membrane_strain(40.0, mb.SHAPES[shape].c_eps, 1000.0, 0.8)

    assert found[0] == approx(free, rel=1e-8)
    assert (np.diff(found) < 0).all()
    assert solver.solve_supported(shape, F_m=0.0, L_m=1.2, b_m=0.8, J_r=1000.0, k_s=50.0).unknown == 0


@pytest.mark.parametrize("shape", list(mb.SHAPES))
def test_difference_agrees_with_scipy_case_by_case(shape: str) -> None:
    rng = np.random.default_rng(11)
    changes = [{"sigma_sA": rng.uniform(28, 60), "k_s": 10 ** rng.uniform(1, 2.3), "Ds_mob": rng.choice([0.02, 0.1]),
                "J_q": rng.choice([0.0, 2000.0])} for _ in range(40)]  # fmt: skip
    cases = [ground(**change) for change in changes]
    stacked = {name: np.array([case[name] for case in cases]) for name in cases[0]}
    found = solver.solve_compatibility(shape=shape, **stacked).unknown
    highest = [case["sigma_E"] / case["k_s"] - case["sigma_E"] / case["k_c"] for case in cases]
    expected = [brentq(balance, 0, high, args=(case, shape), xtol=1e-15, rtol=1e-14)
                for case, high in zip(cases, highest, strict=True)]  # fmt: skip

    assert found == approx(np.array(expected), rel=1e-8)


def test_load_of_the_cell_is_carried_at_the_difference_found() -> None:
    """Column, ground and nothing else below the reinforcement; arching, membrane and ground above it."""
    v = ground()
    Ds = float(difference())
    soil = lt.soil_pressure(v["k_s"], v["a_E"], v["k_c"], Ds, v["sigma_E"])
    column = lt.column_pressure(v["sigma_E"], v["a_E"], soil)

    assert v["a_E"] * column + (1 - v["a_E"]) * soil == approx(v["sigma_E"], rel=1e-12)
    assert balance(Ds, v, "inverse") == approx(0.0, abs=1e-8)


def test_equal_settlement_is_the_limit_of_rigid_arching() -> None:
    """Full arching at once, leaving less than equal settlement asks for: no difference and no membrane."""
    assert difference(sigma_sA=15.0, Ds_mob=0.0) == 0.0
    assert difference(sigma_sA=15.0, Ds_mob=1e-9) < 1e-9


def test_full_arching_is_the_limit_without_ground() -> None:
    """k → 0: the membrane carries all that arching leaves."""
    v = ground(k_s=1e-7, J_q=2000.0, J_l=2000.0)
    Ds = float(difference(**{name: v[name] for name in ("k_s", "J_q", "J_l")}))
    form = mb.SHAPES["inverse"]
    F_m = mb.load_at_sag(form.c_f, form.c_eps, 2000.0, 0.8, lt.sag_at_difference(Ds, form.eta_f), 1.2)

    assert F_m == approx(lt.strip_load(sigma_sA=26.2, A_s=3.36), rel=1e-6)


def test_flexible_load_is_the_limit_without_arching_and_membrane() -> None:
    assert difference(sigma_sA=70.0, J_q=0.0, J_l=0.0) == approx(70 / 80 - 70 / 960, rel=1e-9)


def test_difference_is_monotonic_in_stiffness_arching_and_ground() -> None:
    stiffer = difference(J_q=np.geomspace(10, 1e8, 8))
    weaker = difference(sigma_sA=np.array([26.0, 35.0, 50.0, 70.0]))
    slower = difference(Ds_mob=np.array([0.0, 0.02, 0.1, 0.5]))
    firmer = difference(k_s=np.array([20.0, 80.0, 300.0, 960.0]))

    assert (np.diff(stiffer) < 0).all()
    assert stiffer[-1] < 0.1 * stiffer[0]  # J → ∞: no difference
    assert (np.diff(weaker) > 0).all()
    assert (np.diff(slower) > 0).all()
    assert (np.diff(firmer) < 0).all()
    assert firmer[-1] == 0.0


def test_no_load_gives_no_difference() -> None:
    assert difference(sigma_E=0.0, sigma_sA=0.0) == 0.0


WRONG = [
    ({"k_s": 0.0}, r"k_s must be greater than 0 \(got 0\)"),
    ({"J_q": -1.0}, r"J_q must be 0 or greater \(got -1\)"),
    ({"a_E": 1.0}, "a_E must be less than 1"),
    ({"sigma_sA": 71.0}, "arching must not raise the pressure"),
    ({"k_c": 79.0}, "the column must be at least as stiff"),
    ({"sigma_E": np.nan}, "sigma_E must be finite"),
]


@pytest.mark.parametrize(("changes", "words"), WRONG, ids=[next(iter(one[0])) for one in WRONG])
def test_impossible_values_are_refused(changes: dict[str, Any], words: str) -> None:
    with pytest.raises(ProcedureError, match=words):
        difference(**changes)


def test_unknown_shape_is_refused() -> None:
    with pytest.raises(ProcedureError, match=r"uniform, triangular, inverse \(got 'round'\)"):
        difference(shape="round")
    with pytest.raises(ProcedureError, match="shape of the load"):
        solver.solve_supported("round", F_m=1.0, L_m=1.0, b_m=1.0, J_r=1.0, k_s=1.0)


def test_free_strip_is_refused_where_the_ground_must_support() -> None:
    with pytest.raises(ProcedureError, match="k_s must be greater than 0"):
        solver.solve_supported("uniform", F_m=1.0, L_m=1.0, b_m=1.0, J_r=1.0, k_s=0.0)


def test_missed_root_is_an_error_and_no_number(monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr(solver, "HALVINGS", 3)

    with pytest.raises(ProcedureError, match="supported membrane: 1 of 1 cases found no root in 3 halvings"):
        solver.solve_supported("uniform", F_m=60.0, L_m=1.2, b_m=0.8, J_r=1000.0, k_s=80.0)
