"""Spread of the gap between the two methods of the cell over the usual inputs: 1 - s/s_EP, standard against plastic.

Run: python -m tests.benchmarks.method_gap
"""

# ruff: noqa: T201 - a script prints its tables

from typing import Any

import numpy as np
from numpy.typing import NDArray

from calc.formulas.elastic_plastic_cell import method_gap
from calc.formulas.ground import active_coefficient, passive_coefficient
from calc.procedures.cell import solve_cell
from tests.procedures.chains import case_r1, elastic_plastic, solver_inputs

STATED_J = [0.0, 1000.0, 2000.0, 4000.0, 8000.0]
STATED_GAP = [0.01, 0.05, 0.10, 0.18, 0.32]
PERCENTILES = [0, 5, 25, 50, 75, 95, 100]


def usual_inputs(count: int, J: Any, psi: Any, seed: int = 2024) -> dict[str, Any]:
    """Inputs drawn evenly and independently over their usual ranges; modulus constant, sleeve without slack."""
    rng = np.random.default_rng(seed)
    phi = np.radians(rng.uniform(30, 40, count))
    stress = rng.uniform(10, 60, count)
    return case_r1(
        a_E=rng.uniform(0.10, 0.20, count), E_ref=rng.uniform(500, 3000, count), K_ac=active_coefficient(phi),
        K_pc=passive_coefficient(phi), Dsigma_0=rng.uniform(50, 200, count), E_c=rng.uniform(20e3, 80e3, count),
        nu_s=rng.uniform(0.30, 0.40, count), K_0s=1 - np.sin(np.radians(rng.uniform(15, 28, count))),
        K_star=rng.uniform(0.7, 1.2, count), sigma_v0s=stress, sigma_v0c=stress * rng.uniform(1.2, 2.2, count),
        nu_c=0.3, psi_c=np.radians(psi), J=J,
    )  # fmt: skip


def gaps(inputs: dict[str, Any]) -> tuple[NDArray[np.float64], NDArray[np.float64]]:
    """The gap of every mobilised case, and the stiffness ratio of wall and column that it follows."""
    soil = {"E_oed": inputs["E_ref"], "sigma_r0": inputs["K_star"] * inputs["sigma_v0s"]}
    solution = solve_cell(**solver_inputs(inputs))
    plastic = elastic_plastic(inputs | soil)
    gap = method_gap(s=solution.strain, s_EP=plastic["eps_EP"])
    return gap[solution.mobilised], np.asarray(plastic["kappa"] * plastic["delta_c"])[solution.mobilised]


def _row(name: str, values: NDArray[np.float64]) -> str:
    return f"| {name} | " + " | ".join(f"{value:+.3f}" for value in np.percentile(values, PERCENTILES)) + " |"


def main(count: int = 100_000) -> None:
    """Print the tables."""
    rng = np.random.default_rng(7)
    head = (
        "| J kN/m | "
        + " | ".join(f"{percentile} %" for percentile in PERCENTILES)
        + " |\n|"
        + "---|" * (len(PERCENTILES) + 1)
    )
    for title, psi in (("psi = 0", 0.0), ("psi 0 to 8 degrees", rng.uniform(0, 8, count))):
        print(f"\n1 - s/s_EP, {title}\n\n{head}")
        for J in (0.0, 500.0, 1000.0, 2000.0, 3000.0, 4000.0, 6000.0, 8000.0):
            print(_row(f"{J:.0f}", gaps(usual_inputs(count, J, psi))[0]))
        J_any = rng.uniform(0, 8000, count)
        inputs = usual_inputs(count, J_any, psi)
        gap, ratio = gaps(inputs)
        kept = J_any[solve_cell(**solver_inputs(inputs)).mobilised]
        print(_row("0 to 8000, less stated", gap - np.interp(kept, STATED_J, STATED_GAP)))
        print(f"\nby kappa delta_c, {title}\n\n{head.replace('J kN/m', 'kappa delta_c')}")
        for low, high in ((0, 0.05), (0.05, 0.1), (0.1, 0.2), (0.2, 0.3), (0.3, 0.5), (0.5, 0.8), (0.8, 1.5)):
            chosen = (ratio >= low) & (ratio < high)
            print(_row(f"{low} to {high}", gap[chosen]))
        print(_row("gap less x/(1+x)", gap - ratio / (1 + ratio)))


if __name__ == "__main__":
    main()
