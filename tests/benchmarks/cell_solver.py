"""Time of the cell solver per case, beside a bare Newton method and a loop over scipy's brentq.

Run: env -u OPENBLAS_CORETYPE -u OPENBLAS_L2_SIZE python -m tests.benchmarks.cell_solver
"""

# ruff: noqa: T201 - a script prints its table

import platform
from collections.abc import Callable
from time import process_time
from typing import Any

import numpy as np
from numpy.typing import NDArray

from calc.procedures.cell import BLOCK, solve_cell
from tests.procedures.chains import solver_inputs
from tests.procedures.one_case import stress_on_soil

CASES = 1_000_000
LOOPED = 2_000
REPEATS = 7


def cases(count: int, seed: int = 1) -> dict[str, Any]:
    """Usual inputs, drawn evenly; half of the sleeves have slack; the modulus depends on stress."""
    rng = np.random.default_rng(seed)
    stress = rng.uniform(5, 60, count)
    radius = rng.uniform(0.3, 0.5, count)
    sine = np.sin(np.radians(rng.uniform(30, 42, count)))
    return {
        "Dsigma_0": rng.uniform(20, 250, count),
        "a_E": rng.uniform(0.10, 0.20, count),
        "r_c": radius,
        "r_geo": radius + np.where(rng.random(count) < 0.5, 0.0, rng.uniform(0, 0.01, count)),
        "J": rng.uniform(500, 8000, count),
        "K_ac": (1 - sine) / (1 + sine),
        "K_0s": 1 - np.sin(np.radians(rng.uniform(15, 28, count))),
        "K_star": rng.uniform(0.6, 1.2, count),
        "sigma_v0s": stress,
        "sigma_v0c": stress * rng.uniform(1.2, 2.2, count),
        "p_1": stress,
        "E_ref": rng.uniform(300, 3000, count),
        "p_ref": np.full(count, 100.0),
        "m": rng.uniform(0.5, 1.0, count),
        "nu_s": rng.uniform(0.30, 0.40, count),
    }


def bare_newton(v: dict[str, NDArray[np.float64]]) -> NDArray[np.float64]:
    """Five Newton steps with a constant modulus and a taut sleeve: no bracket, no slack, no stop per lane."""
    a, nu, K_ac = v["a_E"], v["nu_s"], v["K_ac"]
    drive = K_ac * (v["Dsigma_0"] / a + v["sigma_v0c"]) - v["K_star"] * v["sigma_v0s"]
    relief = K_ac * (1 - a) / a + v["K_0s"]
    ring = v["E_ref"] * (1 / (1 - nu) + 1 / (1 + nu) / a) * (1 + nu) * (1 - 2 * nu) / (1 - nu) * a / (1 - a)
    held = ring + v["J"] / v["r_c"]
    heave = 2 * nu / (1 - nu) * a / (1 - a)
    x = 0.3 * v["Dsigma_0"]
    for _ in range(5):
        widening = (drive - relief * x) / held
        shrink = 1 / (1 + widening)
        residual = x / v["E_ref"] - heave * widening - 1 + shrink**2
        x = x - residual / (1 / v["E_ref"] + (heave + 2 * shrink**3) * relief / held)
    return x


def in_blocks(v: dict[str, NDArray[np.float64]]) -> None:
    """The bare method in the solver's blocks."""
    for start in range(0, CASES, BLOCK):
        bare_newton({name: value[start : start + BLOCK] for name, value in v.items()})


def looped(v: dict[str, NDArray[np.float64]]) -> None:
    """One call of brentq for each of the first cases."""
    for index in range(LOOPED):
        stress_on_soil({name: float(value[index]) for name, value in v.items()})


def nanoseconds(work: Callable[[], object], count: int, repeats: int) -> tuple[float, float]:
    """Best and median processor time per case."""
    times = []
    for _ in range(repeats):
        start = process_time()
        work()
        times.append((process_time() - start) / count * 1e9)
    return min(times), float(np.median(times))


def main() -> None:
    """Print the table."""
    values = cases(CASES)
    constant = values | {"m": np.zeros(CASES), "r_geo": values["r_c"]}
    solution = solve_cell(**solver_inputs(values))
    rows = [
        ("solver, modulus by stress, slack, bracket", lambda: solve_cell(**solver_inputs(values)), CASES, REPEATS),
        ("solver, constant modulus, no slack", lambda: solve_cell(**solver_inputs(constant)), CASES, REPEATS),
        ("bare Newton, constant modulus, blocked", lambda: in_blocks(constant), CASES, REPEATS),
        ("loop over brentq, modulus by stress", lambda: looped(values), LOOPED, 3),
    ]
    measured = [(name, *nanoseconds(work, count, repeats)) for name, work, count, repeats in rows]
    first = {name: value[:BLOCK] for name, value in constant.items()}
    apart = np.nanmax(np.abs(bare_newton(first) / solve_cell(**solver_inputs(first)).unknown - 1))
    print(f"{platform.platform()}, CPython {platform.python_version()}, numpy {np.__version__}")
    print(f"{CASES} cases, {solution.mobilised.mean():.1%} mobilised, at most {solution.iterations.max()} iterations")
    print(f"bare Newton and solver differ by at most {apart:.1e}\n")
    print("| method | ns per case, best | median | times the solver (best) |\n|---|---|---|---|")
    for name, best, median in measured:
        print(f"| {name} | {best:.0f} | {median:.0f} | {best / measured[0][1]:.2f} |")


if __name__ == "__main__":
    main()
