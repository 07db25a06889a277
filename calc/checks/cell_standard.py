"""The standard cell in one scope: load, make-up fill, the unknown, the chain that confirms it, totals."""

from collections.abc import Mapping

import numpy as np

from calc.formula import Source
from calc.formulas.elastic_plastic_cell import sublayer_settlement
from calc.formulas.loads import added_stress, fill_height_in_water, makeup_gap, makeup_pressure, permanent_load
from calc.formulas.unit_cell import (
    column_pressure,
    column_settlement,
    column_stress,
    column_widening,
    free_widening,
    mean_stress,
    mobilising_load,
    oedometer_modulus,
    ring_modulus,
    ring_stiffness,
    ring_strain,
    ring_tension,
    settlement_gap,
    sleeve_pressure,
    sleeve_stiffness,
    sleeve_widening,
    soil_pressure,
    soil_settlement,
    stress_after_loading,
    stress_difference,
    stress_ratio,
    total_settlement,
    widening_from_stress_difference,
)
from calc.inputs import Section
from calc.procedures import cell, makeup
from calc.procedures.cell import CellSolution, solve_cell
from calc.procedures.makeup import solve_cell_with_makeup
from calc.sheet import Axis, Origin, Procedure, Scope, Value
from calc.sheet.values import Array, spread, union_axes

CELL_INPUTS = (
    "Dsigma_0", "a_E", "r_c", "r_geo", "J", "K_ac", "K_0s", "K_star", "sigma_v0s", "sigma_v0c", "p_1", "E_ref",
    "p_ref", "m", "nu_s",
)  # fmt: skip
UNSOLVED_INPUTS = tuple(name for name in CELL_INPUTS if name != "Dsigma_0")
MAKEUP_INPUTS = ("f_M", "gamma_E", "gamma_Esub", "d_w", "h")
NOT_MOBILISED = "not mobilised"
GAP_ALLOWED = 1e-9  # m
MAKEUP_ALLOWED = 1e-7  # m
CHAIN = (
    column_stress, stress_after_loading, mean_stress, oedometer_modulus, ring_modulus, ring_stiffness, column_pressure,
    soil_pressure, free_widening, sleeve_stiffness, column_widening, sleeve_widening, ring_tension, ring_strain,
    sleeve_pressure, stress_difference, widening_from_stress_difference, soil_settlement, column_settlement,
    settlement_gap,
)  # fmt: skip
RULE = Source(
    "project rule: the method's own column carries load without settlement before its active state", "derived"
)


def load(scope: Scope) -> None:
    """Permanent load of the stage before make-up fill, and the load above which the column is active."""
    scope(fill_height_in_water)
    scope(permanent_load)
    scope(mobilising_load)


def solve(scope: Scope, section: Section) -> None:
    """Find the stress on the soil, confirm it through the formulas, and sum up the sublayers."""
    if section.makeup_fill:
        _solve_with_makeup(scope)
    else:
        origin = Origin("project rule", text="no make-up fill is asked for")
        scope.given("p_M", 0.0, origin=origin)
        scope(added_stress)
        axes, lanes = lined_up(scope, CELL_INPUTS)
        _record_cell(scope, axes, solve_cell(**lanes))
    for step in CHAIN:
        scope(step)
    scope.confirm("Dsigma_vs", tolerance=GAP_ALLOWED)
    _totals(scope)
    if section.makeup_fill:
        scope(makeup_gap)
        scope.confirm("s_M", tolerance=MAKEUP_ALLOWED)
    _say_not_mobilised(scope)


def _say_not_mobilised(scope: Scope) -> None:
    """State where a stage with fill leaves a sleeve without tension; stage 0 has its own words in chapter sleeve."""
    unknown = scope["Dsigma_vs"].at(stage=scope.sheet.axes["stage"][1:])
    count, total = int((~unknown.valid).sum()), unknown.array.size
    if not count:
        return
    scope.sheet.limitation(
        f"not-mobilised-{scope.name}",
        f"{scope.title}: in {count} of {total} cases of sublayer, stage and load the load does not bring the column to "
        "its active state: the sleeve is not mobilised, has no ring tension, and the standard method gives no "
        "settlement there; the elastic, plastic column beside it shows the settlement that remains.",
    )


def _solve_with_makeup(scope: Scope) -> None:
    """Load and settlement that belong together: the fill grows by the settlement at its own position."""
    names = ("f_G", "Dsigma_G", "f_q", "q")
    axes, lanes = lined_up(scope, (*UNSOLVED_INPUTS, *MAKEUP_INPUTS, *names))
    base = added_stress(**{name: lanes[name] for name in names}, p_M=0.0)
    found = solve_cell_with_makeup(
        Dsigma_0=base,
        **{name: lanes[name] for name in (*UNSOLVED_INPUTS, *MAKEUP_INPUTS, "f_G")},
    )
    cases = axes[:-1]
    shape = tuple(len(axis.labels) for axis in cases)
    settled = np.broadcast_to(found.s_M[..., 0], shape)
    procedure = Procedure(
        "{f_M} · {s} − {s_M} = 0, each {s} being a solution of the cell", makeup.METHOD, f"{makeup.TOLERANCE:.0e} of s",
        int(found.iterations.max()), settled.size, "s_dM",
    )  # fmt: skip
    inputs = (*names, *MAKEUP_INPUTS, *UNSOLVED_INPUTS)
    scope.solved("s_M", settled, [axis.name for axis in cases], title="Settlement replaced by make-up fill",
                 source=makeup_gap.source, inputs=inputs, procedure=procedure)  # fmt: skip
    strain = np.where(found.without.mobilised, found.without.strain, 0.0)
    without = np.broadcast_to(total_settlement(sublayer_settlement(strain, lanes["h"]))[..., 0], shape)
    scope.reading("s_0", without, [axis.name for axis in cases],
                  title="Settlement without make-up fill, by the same procedure", source=makeup_gap.source,
                  inputs=[scope["s_M"]])  # fmt: skip
    scope(makeup_pressure)
    scope(added_stress)
    _record_cell(scope, union_axes([scope[name] for name in CELL_INPUTS]), found.cell)


def _record_cell(scope: Scope, axes: tuple[Axis, ...], found: CellSolution) -> None:
    shape = tuple(len(axis.labels) for axis in axes)
    unknown = np.broadcast_to(found.unknown, shape)
    mobilised = np.broadcast_to(found.mobilised, shape)
    procedure = Procedure(
        "{s_s} − {s_c} = 0 in every sublayer, by the lines that follow", cell.METHOD,
        f"{cell.TOLERANCE:.0e} of the strain", int(found.iterations.max()), unknown.size, "s_gap",
    )  # fmt: skip
    scope.solved(
        "Dsigma_vs", np.where(mobilised, unknown, np.nan), [axis.name for axis in axes],
        title="Added stress on the soil at which soil and column settle alike", source=settlement_gap.source,
        inputs=CELL_INPUTS, procedure=procedure, mask=~mobilised, reason=NOT_MOBILISED,
    )  # fmt: skip


def _totals(scope: Scope) -> None:
    note = "where the sleeve is not mobilised the method's column does not settle"
    scope.otherwise("s_i", scope["s_c"], 0.0, title="Settlement of the sublayer", note=note)
    scope(total_settlement)
    note = "where the sleeve is not mobilised it carries no tension"
    scope.otherwise("F_Ri", scope["F_R"], 0.0, title="Ring tension in the sublayer", note=note)
    scope.otherwise("eps_Ri", scope["eps_R"], 0.0, title="Ring strain in the sublayer", note=note)
    scope(stress_ratio)


def lined_up(scope: Scope, names: tuple[str, ...]) -> tuple[tuple[Axis, ...], Mapping[str, Array]]:
    """Plain arrays of some symbols brought into line, with their axes."""
    values: list[Value] = [scope[name] for name in names]
    axes = union_axes(values)
    arrays = {name: np.asarray(spread(one.array, one.axes, axes)) for name, one in zip(names, values, strict=True)}
    return axes, arrays
