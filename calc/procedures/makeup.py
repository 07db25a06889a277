"""Compensation fill: the settlement that the cell gives is filled up again and loads the cell.

The load of each case grows with its own total settlement; the pair is found by the secant method over the cases, each
step being one solution of every sublayer.
"""

# ruff: noqa: N803 - arguments carry the printed symbols

from collections.abc import Callable
from dataclasses import dataclass

import numpy as np
from numpy.typing import ArrayLike, NDArray

from calc.formulas.loads import makeup_pressure
from calc.procedures.cell import CellSolution, Floats, solve_cell
from calc.procedures.failures import ProcedureError

PROCEDURE = "compensation fill"
METHOD = "secant method on the total settlement"
TOLERANCE = 1e-9  # change of the settlement in one more pass, relative
MOST_ITERATIONS = 40  # five are usual; a case that needs more gains load about as fast as it settles
STEEPEST_GROWTH = 0.95  # settlement gained per settlement filled up, above which the secant is not trusted


@dataclass(frozen=True)
class MakeupSolution:
    """Load and solution of the cell that belong together.

    ``s_M`` (m, settlement filled up), ``p_M`` (kPa, without factor) and ``Dsigma_0`` (kPa, with ``f_G`` times ``p_M``)
    have the shape of the cases with a last axis of length 1;
    ``without`` is the solution with no such fill, ``cell`` the one with it; ``residual`` is the settlement (m) that
    one more pass would add.
    """

    cell: CellSolution
    without: CellSolution
    Dsigma_0: Floats
    p_M: Floats
    s_M: Floats
    residual: Floats
    iterations: NDArray[np.int64]


def solve_cell_with_makeup(
    *,
    Dsigma_0: ArrayLike,
    f_G: ArrayLike,
    f_M: ArrayLike,
    gamma_E: ArrayLike,
    gamma_Esub: ArrayLike,
    d_w: ArrayLike,
    h: ArrayLike,
    **cell: ArrayLike,
) -> MakeupSolution:
    """Solve the cell with the load ``Dsigma_0`` (before compensation fill) plus the fill that replaces the settlement.

    The layer axis is last; loads, ``f_G`` (factor on permanent load at its source), ``f_M`` (share of the settlement
    that is filled up), unit weights and the depth of the water ``d_w`` have length 1 on it. ``cell`` are the other
    inputs of :func:`solve_cell`. A sublayer that is not mobilised adds no settlement. ``ProcedureError`` where no
    equilibrium is reached.
    """
    factor, share = np.asarray(f_G, dtype=np.float64), np.asarray(f_M, dtype=np.float64)

    def pressure(settlement: Floats) -> tuple[Floats, Floats]:
        replaced = np.asarray(share * settlement)
        return replaced, makeup_pressure(gamma_E=gamma_E, s_M=replaced, d_w=d_w, gamma_Esub=gamma_Esub)

    # With no settlement yet: the load as given, spread over every case that its factors and the water bring in.
    base = np.asarray(np.asarray(Dsigma_0, dtype=np.float64) + factor * pressure(np.zeros(1))[1])
    without = solve_cell(Dsigma_0=base, **cell)

    def settlement_of(settlement: Floats) -> Floats:
        replaced, added = pressure(settlement)
        load = np.asarray(base + factor * added)
        last[:] = [(solve_cell(Dsigma_0=load, **cell), load, added, replaced)]
        return _total(last[0][0], h)

    last: list[tuple[CellSolution, Floats, Floats, Floats]] = []
    _, residual, iterations = _fixed_point(settlement_of, _total(without, h))
    [(solution, load, added, replaced)] = last  # of the last pass, which began with the settlement that was found
    return MakeupSolution(solution, without, load, added, replaced, residual, iterations)


def _total(solution: CellSolution, h: ArrayLike) -> Floats:
    """Settlement over the sublayers; the layer axis stays with length 1."""
    strain = np.where(solution.mobilised, solution.strain, 0.0)
    return np.asarray(np.sum(strain * np.asarray(h), axis=-1, keepdims=True))


def _fixed_point(settlement_of: Callable[[Floats], Floats], start: Floats) -> tuple[Floats, Floats, NDArray[np.int64]]:
    """Settlement that gives itself again, case by case, from the settlement without compensation fill."""
    before, gap_before = np.zeros_like(start), start
    now = start
    iterations = np.zeros(start.shape, dtype=np.int64)
    for _ in range(MOST_ITERATIONS):
        gap = settlement_of(now) - now
        is_open = ~(np.abs(gap) <= TOLERANCE * now)
        if not is_open.any():
            return now, gap, iterations
        iterations += is_open
        before, gap_before, now = now, gap, np.where(is_open, now + _step(before, gap_before, now, gap), now)
    message = (
        f"{PROCEDURE}: {int(is_open.sum())} of {is_open.size} cases found no equilibrium in {MOST_ITERATIONS} "
        f"iterations; one more pass would still move {np.abs(gap).max():.3g} m"
    )
    raise ProcedureError(message)


def _step(before: Floats, gap_before: Floats, now: Floats, gap: Floats) -> Floats:
    """Secant step; a plain pass where the secant says nothing or promises more than the fill can give."""
    with np.errstate(all="ignore"):
        growth = 1 + (gap - gap_before) / (now - before)
    trusted = (growth >= 0) & (growth < STEEPEST_GROWTH)
    return np.asarray(gap / (1 - np.where(trusted, growth, 0.0)))
