"""The standard cell under a known load: the stress on the soil, and the chain of formulas that confirms it."""

from collections.abc import Mapping, Sequence

import numpy as np

from calc.chapters.shared.frame import MID
from calc.engine.formula import Formula
from calc.engine.sheet import Again, Axis, Procedure, Scope, Value
from calc.engine.sheet.values import Array, spread, union_axes
from calc.engine.words import words_of
from calc.formulas.unit_cell import (
    column_horizontal_stress,
    column_settlement,
    column_stress_increment,
    column_widening,
    free_widening,
    logarithmic_mean_stress,
    oedometer_modulus,
    ring_modulus,
    ring_stiffness,
    ring_strain,
    ring_tension,
    settlement_gap,
    sleeve_pressure,
    sleeve_stiffness,
    sleeve_widening,
    soil_horizontal_stress,
    soil_settlement,
    stress_after_loading,
    stress_difference,
    widening_from_stress_difference,
)
from calc.procedures import cell
from calc.procedures.cell import CellSolution, solve_cell

say = words_of(__name__)

CELL_INPUTS = (
    "Dsigma_0", "a_E", "r_c", "r_geo", "J", "K_ac", "K_0s", "K_star", "sigma_v0s", "sigma_v0c", "p_1", "E_ref",
    "p_ref", "m", "nu_s",
)  # fmt: skip
NOT_MOBILISED = say("not-mobilised")
GAP_ALLOWED = 1e-9  # m
CHAIN = (
    column_stress_increment, stress_after_loading, logarithmic_mean_stress, oedometer_modulus, ring_modulus,
    ring_stiffness, column_horizontal_stress, soil_horizontal_stress, free_widening, sleeve_stiffness,
    column_widening, sleeve_widening, ring_tension, ring_strain, sleeve_pressure, stress_difference,
    widening_from_stress_difference, soil_settlement, column_settlement, settlement_gap,
)  # fmt: skip
Names = Mapping[str, str]  # symbols that stand in the place of those of the method
AS_THEY_ARE: Names = {}


def share(scope: Scope, names: Names = AS_THEY_ARE) -> None:
    """Stress on the soil under a known load, and the chain of formulas that confirms it."""
    values = tuple(scope[names.get(name, name)] for name in CELL_INPUTS)
    axes, solution = _solution(*values)
    shape = tuple(len(axis.labels) for axis in axes)
    unknown = np.broadcast_to(solution.unknown, shape)
    mobilised = np.broadcast_to(solution.mobilised, shape)
    procedure = Procedure(say("condition"), cell.METHOD,
                          say("tolerance", tolerance=f"{cell.TOLERANCE:.0e}"), int(solution.iterations.max()),
                          unknown.size,
                          "s_gap")  # fmt: skip
    scope.solved("Dsigma_vs", np.where(mobilised, unknown, np.nan), [axis.name for axis in axes],
                 title=say("solved-dsigma-vs-title"), source=settlement_gap.source,
                 inputs=[names.get(name, name) for name in CELL_INPUTS], procedure=procedure, mask=~mobilised,
                 reason=NOT_MOBILISED, again=Again(stress_on_soil, values))  # fmt: skip
    for step in CHAIN:
        scope(step, **argument_changes(step, names))
    scope.confirm("Dsigma_vs", tolerance=GAP_ALLOWED)


def stress_on_soil(*values: Value) -> Value:
    """The stress on the soil of every lane, of the values of `CELL_INPUTS`; none where the column is not mobilised."""
    axes, solution = _solution(*values)
    shape = tuple(len(axis.labels) for axis in axes)
    mask = np.broadcast_to(~solution.mobilised, shape)
    return Value("Dsigma_vs", np.broadcast_to(solution.unknown, shape), axes, mask=mask, reason=NOT_MOBILISED)


def _solution(*values: Value) -> tuple[tuple[Axis, ...], CellSolution]:
    axes, lanes = lined_up(CELL_INPUTS, values)
    return axes, solve_cell(**lanes)


def lined_up(symbols: Sequence[str], values: Sequence[Value]) -> tuple[tuple[Axis, ...], Mapping[str, Array]]:
    """Plain arrays of some values by symbols, brought into line, with their axes."""
    axes = union_axes(values)
    arrays = {
        name: np.asarray(spread(value.array, value.axes, axes)) for name, value in zip(symbols, values, strict=True)
    }
    return axes, arrays


def at_mid_depth(value: Value) -> Value:
    """The value at mid-depth of the sublayers, where it has other points."""
    return value.at(point=MID) if "point" in value.axis_names else value


def argument_changes(step: Formula, names: Names) -> dict[str, str | Value]:
    """The arguments of a formula that other symbols stand in the place of."""
    return {argument: names[argument] for argument in step.arguments if argument in names}
