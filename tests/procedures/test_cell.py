"""The solver of the cell: against the formulas, against scipy case by case, at its limits and in its errors."""

from math import log
from typing import Any

import numpy as np
import pytest
from numpy.typing import NDArray

from calc.formulas.unit_cell import mobilising_load
from calc.procedures import cell as solver
from calc.procedures.cell import BLOCK, solve_cell
from calc.procedures.failures import ProcedureError
from tests.procedures.chains import active, case_r1, solver_inputs, standard
from tests.procedures.one_case import stress_on_soil

approx = pytest.approx


def random_cases(count: int, seed: int = 5) -> dict[str, Any]:
    """Cases over the usual ranges and beyond them, some without solution, half of them with slack."""
    rng = np.random.default_rng(seed)
    radius = rng.uniform(0.25, 0.75, count)
    stress = rng.uniform(2, 80, count)
    return {
        "Dsigma_0": rng.uniform(1, 300, count),
        "a_E": rng.uniform(0.05, 0.35, count),
        "r_c": radius,
        "Dr_gap": np.where(rng.random(count) < 0.5, 0.0, rng.uniform(0, 0.03, count)),
        "J": np.where(rng.random(count) < 0.1, 0.0, rng.uniform(500, 10000, count)),
        "K_ac": (1 - np.sin(np.radians(rng.uniform(28, 45, count)))) / (1 + np.sin(np.radians(36))),
        "K_0s": rng.uniform(0.45, 0.8, count),
        "K_star": rng.uniform(0.45, 2.0, count),
        "sigma_v0s": stress,
        "sigma_v0c": stress * rng.uniform(0.5, 3.0, count),
        "p_1": stress + rng.uniform(0, 20, count),
        "E_ref": 10 ** rng.uniform(2, 4, count),
        "p_ref": np.full(count, 100.0),
        "m": rng.choice([0.0, 0.5, 0.8, 1.0], count),
        "nu_s": rng.uniform(0.2, 0.45, count),
        "h": np.ones(count),
    }


def with_radius(values: dict[str, Any]) -> dict[str, Any]:
    return values | {"r_geo": values["r_c"] + values["Dr_gap"]}


def one(values: dict[str, Any], index: int) -> dict[str, float]:
    return {name: float(value[index]) for name, value in values.items()}


def test_solution_satisfies_the_registered_formulas() -> None:
    """The equations are fused in the solver; this holds them to the printed ones."""
    values = with_radius(random_cases(20000))
    solution = solve_cell(**solver_inputs(values))
    lanes = {name: value[solution.mobilised] for name, value in values.items()}
    done = standard(lanes, solution.unknown[solution.mobilised])

    assert 0.6 < solution.mobilised.mean() < 0.99
    assert np.abs(done["s_gap"]).max() <= 1e-9
    assert np.abs(done["s_gap"] / done["s_c"]).max() <= 1e-8
    assert solution.strain[solution.mobilised] == approx(done["s_c"], rel=1e-8)
    assert 0.1 < (done["F_R"] > 0).mean() < 0.95


def test_solution_agrees_with_scipy_case_by_case() -> None:
    values = with_radius(random_cases(400, seed=9))
    solution = solve_cell(**solver_inputs(values))
    expected = [stress_on_soil(one(values, index)) for index in range(400)]

    assert [root is not None for root in expected] == solution.mobilised.tolist()
    roots = np.array([np.nan if root is None else root for root in expected])
    assert solution.unknown == approx(roots, rel=1e-9, nan_ok=True)
    assert 10 < sum(root is None for root in expected) < 200


def test_a_case_without_solution_has_none_anywhere_and_one_with_has_only_one() -> None:
    """By signs on a fine grid of stresses on the soil, as far as the column keeps a radius: the gap is zero nowhere in
    the cases without solution, and rises through zero once in the others."""
    values = with_radius(random_cases(200, seed=13))
    solution = solve_cell(**solver_inputs(values))
    columns = {name: np.asarray(value)[:, None] for name, value in values.items()}
    highest = columns["Dsigma_0"] / (1 - columns["a_E"])
    done = standard(columns, np.linspace(1e-6, 1.0, 400) * highest)
    possible = done["Dr_c"] > -columns["r_c"]
    signs = np.where(possible, np.sign(done["s_gap"]), 1.0)

    assert (signs[~solution.mobilised] > 0).all()
    assert ((np.diff(signs, axis=1) > 0).sum(axis=1) == solution.mobilised).all()
    assert (np.diff(signs, axis=1) >= 0).all()
    assert 10 < (~solution.mobilised).sum() < 100


def test_mobilised_is_exactly_beyond_the_mobilising_load() -> None:
    values = case_r1(sigma_v0c=30.0)
    threshold = mobilising_load(values["a_E"], 1.0, 30.0, values["K_ac"], 30.0)
    loads = threshold * np.array([1 - 1e-9, 1.0, 1 + 1e-9])
    solution = solve_cell(**solver_inputs(values | {"Dsigma_0": loads}))

    assert solution.mobilised.tolist() == [False, False, True]
    assert np.isnan(solution.unknown[:2]).all()
    assert 0 < solution.unknown[2] < 1e-6
    assert solution.converged.tolist() == [False, False, True]
    assert solution.iterations[:2].tolist() == [0, 0]


def test_residual_has_opposite_signs_at_the_ends_of_the_bracket() -> None:
    """No stress on the soil, and the stress at which the soil alone holds the column: drive over relief, closed."""
    values = with_radius(random_cases(2000))
    flat = {name: np.asarray(value) for name, value in solver_inputs(values).items()}
    lanes = solver._lanes(**flat)
    mobilised = lanes.drive > 0
    lanes = lanes.at(mobilised)
    highest = lanes.drive / lanes.relief

    assert (solver._state(lanes, highest * 1e-12).residual < 0).all()
    assert (solver._state(lanes, highest).residual > 0).all()


@pytest.mark.parametrize("m", [0.0, 0.5, 1.0])
@pytest.mark.parametrize("gap_m", [0.0, 0.004, 0.03])
def test_slope_agrees_with_a_difference_quotient(m: float, gap_m: float) -> None:
    lanes = solver._lanes(**{name: np.asarray(v) for name, v in solver_inputs(case_r1(m=m, Dr_gap=gap_m)).items()})
    x = np.array([1.0, 10.0, 40.0, 80.0])
    state = solver._state(lanes, x)
    residual, slope = state.residual, solver._slope(lanes, x, state)

    ahead, behind = (solver._state(lanes, x * (1 + step)).residual for step in (1e-5, -1e-5))
    assert slope == approx((ahead - behind) / (2e-5 * x), rel=1e-5)
    assert (np.diff(residual) > 0).all()


def test_cases_broadcast_and_keep_their_shape() -> None:
    values = case_r1(Dsigma_0=np.array([100.0, 150.0])[:, None, None], J=np.array([1000.0, 2000.0])[:, None])
    values = values | {"sigma_v0s": np.array([30.0, 40.0, 60.0])}
    solution = solve_cell(**solver_inputs(values))

    assert solution.unknown.shape == (2, 2, 3)
    assert solution.unknown[1, 1, 0] == approx(58.0587, abs=5e-5)
    assert solve_cell(**solver_inputs(case_r1())).unknown.shape == ()


def test_result_of_a_lane_does_not_depend_on_its_neighbours() -> None:
    """Not in a bit: whatever the block, whether others start again, and whether its inputs are spread over the axes."""
    values = solver_inputs(with_radius(random_cases(2 * BLOCK + 17)))
    together = solve_cell(**values)
    alone = solve_cell(**{name: value[BLOCK - 20 : BLOCK + 80] for name, value in values.items()})
    one_by_one = [solve_cell(**{name: value[k : k + 1] for name, value in values.items()}) for k in range(40)]

    assert 3 < together.iterations[BLOCK - 20 : BLOCK + 80].max()
    for name in ("unknown", "strain", "residual", "iterations"):
        assert np.array_equal(getattr(together, name)[BLOCK - 20 : BLOCK + 80], getattr(alone, name), equal_nan=True)
        single = [getattr(one, name)[0] for one in one_by_one]
        assert np.array_equal(getattr(together, name)[:40], single, equal_nan=True)


@pytest.mark.parametrize("shape", [(2, 3, BLOCK // 4), (3, 2, BLOCK + 5), (2, 3, 0)])
def test_axes_along_which_inputs_do_not_change_make_no_difference(shape: tuple[int, ...]) -> None:
    """More lanes than one block holds along all axes, along the last one alone, and none."""
    lasts = solver_inputs(with_radius(random_cases(shape[2])))
    loads = np.array([[40.0, 90.0, 160.0], [10.0, 60.0, 250.0]])[:, : shape[1], None]
    firsts = np.array([900.0, 3000.0, 5000.0])[: shape[0], None, None]
    inputs = lasts | {"J": firsts, "Dsigma_0": np.resize(loads, (1, shape[1], 1)), "E_ref": np.array([1500.0])}
    compact = solve_cell(**inputs)
    spread = solve_cell(**{name: np.array(np.broadcast_to(value, shape)) for name, value in inputs.items()})

    assert compact.unknown.shape == shape
    assert np.array_equal(compact.unknown, spread.unknown, equal_nan=True)
    assert np.array_equal(compact.mobilised, spread.mobilised)


def extremes() -> dict[str, NDArray[np.float64]]:
    """Corners far outside the method's range: the bracket must hold them all the same."""
    axes = np.meshgrid(
        [0.02, 0.5, 0.9], [0.0, 10.0, 1e6], [0.0, 0.001, 0.05], [1e1, 1e3, 1e6], [0.0, 0.3, 1.0], [0.0, 0.3, 0.495],
        [1.0, 100.0, 3000.0], [0.05, 20.0],
    )  # fmt: skip
    names = ("a_E", "J", "Dr_gap", "E_ref", "m", "nu_s", "Dsigma_0", "p_1")
    return dict(zip(names, (axis.ravel() for axis in axes), strict=True))


def test_far_corners_converge_and_satisfy_the_formulas() -> None:
    corners = extremes()
    spread = {name: np.broadcast_to(value, corners["J"].shape) for name, value in case_r1(**corners).items()}
    spread = with_radius({**spread, "sigma_v0s": corners["p_1"]})
    solution = solve_cell(**solver_inputs(spread))
    lanes = {name: value[solution.mobilised] for name, value in spread.items()}
    done = standard(lanes, solution.unknown[solution.mobilised])

    assert solution.converged.tolist() == solution.mobilised.tolist()
    assert (done["Dr_c"] > 0).all()
    # The printed form of U5 is a small difference of large stresses here, 0.00006 of 1820 kPa: six digits are left.
    assert (np.abs(done["s_gap"]) <= 2e-6 * done["s_c"] + 1e-14).all()


def test_usual_cases_need_few_iterations() -> None:
    solution = solve_cell(**solver_inputs(with_radius(random_cases(20000))))

    assert solution.iterations.max() <= 10
    assert solution.iterations[solution.mobilised].mean() < 4


def test_constant_modulus_needs_no_stress_before_loading() -> None:
    """A sublayer at ground level without overburden: the modulus does not look at the stress."""
    done = solve_cell(**solver_inputs(case_r1(sigma_v0s=0.0)))

    assert done.unknown == approx(stress_on_soil(case_r1(sigma_v0s=0.0, p_1=1.0)), rel=1e-9)


def test_logarithmic_law_is_solved_exactly() -> None:
    """m = 1 without cohesion: the soil strain is (p_ref/E_ref) ln(p_2/p_1), less the heave."""
    values = case_r1(m=1.0, E_ref=500.0)
    x = float(solve_cell(**solver_inputs(values)).unknown)
    done = standard(values, x)

    heave = 2 * 0.4 / 0.6 * 0.15 / 0.85 * done["Dr_c"] / 0.4
    assert done["s_s"] == approx(100 / 500 * log(1 + x / 30) - heave, rel=1e-12)


@pytest.mark.parametrize(
    ("change", "words"),
    [
        ({"a_E": 1.2}, r"unit cell: a_E must be greater than 0 and less than 1 \(got 1.2\)"),
        ({"nu_s": 0.5}, r"nu_s must be 0 or greater and less than 0.5 \(got 0.5\)"),
        ({"m": 1.1}, r"m must be between 0 and 1 \(got 1.1\)"),
        ({"J": np.array([100.0, -1.0])}, r"J must be 0 or greater \(got -1\)"),
        ({"E_ref": np.nan}, r"E_ref must be finite \(got nan\)"),
        ({"p_1": np.inf}, r"p_1 must be finite \(got inf\)"),
        ({"r_geo": 0.39}, r"r_geo must not be less than r_c"),
        ({"m": 1.0, "p_1": 0.0}, r"p_1 must be greater than 0 where the modulus depends on stress"),
        ({"E_ref": 0.0, "p_ref": 0.0}, r"E_ref must be greater than 0 .*"),
    ],
)
def test_impossible_values_are_refused_by_name(change: dict[str, Any], words: str) -> None:
    with pytest.raises(ProcedureError, match=words):
        solve_cell(**solver_inputs(case_r1(**change)))


@pytest.mark.parametrize(
    ("name", "refused", "accepted"),
    [
        ("a_E", [0.0, 1.0, -0.1], [0.01, 0.99]),
        ("r_c", [0.0], [0.01]),
        ("J", [-1e-9], [0.0]),
        ("K_ac", [0.0], [1e-3]),
        ("K_0s", [0.0], [1e-3]),
        ("K_star", [-1e-9], [0.0]),
        ("sigma_v0s", [-1e-9], [0.0]),
        ("sigma_v0c", [-1e-9], [0.0]),
        ("E_ref", [0.0], [1e-3]),
        ("p_ref", [0.0], [1e-3]),
        ("m", [-1e-9, 1 + 1e-9], [0.0, 1.0]),
        ("nu_s", [-1e-9, 0.5], [0.0, 0.499]),
    ],
)
def test_ranges_end_where_their_words_say(name: str, refused: list[float], accepted: list[float]) -> None:
    inputs = solver_inputs(case_r1(m=1.0))
    for value in accepted:
        solve_cell(**inputs | {"r_geo": 0.5, name: value})
    for value in refused:
        with pytest.raises(ProcedureError, match=f"{name} must be .* \\(got {value:g}\\)"):
            solve_cell(**inputs | {name: value})


def test_lanes_that_do_not_converge_are_an_error_with_their_number(monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr(solver, "_quick", lambda _lanes, start: start)
    monkeypatch.setattr(solver, "MOST_ITERATIONS", 1)
    values = case_r1(Dsigma_0=np.array([5.0, 100.0, 150.0]), m=1.0, Dr_gap=0.01, sigma_v0c=30.0)

    with pytest.raises(ProcedureError, match=r"unit cell: 2 of 3 cases did not converge in 1 iterations; worst"):
        solve_cell(**solver_inputs(values))


def test_bisection_alone_reaches_the_same_solution(monkeypatch: pytest.MonkeyPatch) -> None:
    values = solver_inputs(case_r1(m=1.0, Dr_gap=0.005, K_ac=active(35)))
    expected = solve_cell(**values).unknown
    monkeypatch.setattr(solver, "_quick", lambda _lanes, start: start)
    monkeypatch.setattr(solver, "BISECTING_FROM", 0)

    assert solve_cell(**values).iterations > 25
    assert solve_cell(**values).unknown == approx(expected, rel=1e-9)
