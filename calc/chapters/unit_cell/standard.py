"""The standard cell in one scope: load, compensation fill, the unknown, the chain that confirms it, totals."""

from collections.abc import Callable, Mapping

import numpy as np

from calc.chapters.shared.frame import MID, TOP
from calc.engine.formula import Formula, Source
from calc.engine.sheet import Axis, Origin, Procedure, Scope, Value
from calc.engine.sheet.values import Array, spread, union_axes
from calc.engine.words import words_of
from calc.formulas.elastic_plastic_cell import sublayer_settlement
from calc.formulas.loads import (
    added_stress,
    fill_height_in_water,
    makeup_gap,
    makeup_pressure,
    permanent_load,
    permanent_load_with_zones,
)
from calc.formulas.unit_cell import (
    column_horizontal_stress,
    column_settlement,
    column_stress_increment,
    column_widening,
    free_widening,
    logarithmic_mean_stress,
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
    soil_horizontal_stress,
    soil_settlement,
    stress_after_loading,
    stress_difference,
    stress_ratio,
    total_settlement,
    widening_from_stress_difference,
)
from calc.formulas.zones import pressure_of_zones_at_position
from calc.inputs import Section
from calc.procedures import cell, makeup
from calc.procedures.cell import solve_cell
from calc.procedures.makeup import solve_cell_with_makeup

say = words_of(__name__)

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
    column_stress_increment, stress_after_loading, logarithmic_mean_stress, oedometer_modulus, ring_modulus,
    ring_stiffness, column_horizontal_stress, soil_horizontal_stress, free_widening, sleeve_stiffness,
    column_widening, sleeve_widening, ring_tension, ring_strain, sleeve_pressure, stress_difference,
    widening_from_stress_difference, soil_settlement, column_settlement, settlement_gap,
)  # fmt: skip
POINTS = (MID, TOP)
Names = Mapping[str, str]  # symbols that stand in the place of those of the method
AS_THEY_ARE: Names = {}
RULE = Source(
    "project rule: the method's own column carries load without settlement before its active state", "derived"
)


def load(scope: Scope) -> None:
    """Permanent load of the stage before compensation fill, and the load above which the column is active."""
    scope(fill_height_in_water)
    if "p_Z" in scope:
        scope(pressure_of_zones_at_position)
        scope(permanent_load_with_zones)
    else:
        scope(permanent_load)
    scope(mobilising_load)


def solve(scope: Scope, section: Section, settle: Callable[[Scope], None] | None = None) -> None:
    """Find the stress on the soil, confirm it through the formulas, and sum up the sublayers.

    ``settle`` brings the settlement of the sublayers where it is not that of the cell over their whole thickness.
    """
    balance(scope, section)
    if settle is not None:
        settle(scope)
        scope(total_settlement)
    elif not section.makeup_fill:
        _settlement(scope)
    note = say("solve-note")
    scope.otherwise("F_Ri", scope["F_R"], 0.0, title=say("otherwise-f-ri-title"), note=note)
    scope.otherwise("eps_Ri", scope["eps_R"], 0.0, title=say("otherwise-eps-ri-title"), note=note)
    scope(stress_ratio)
    _say_not_mobilised(scope)


def balance(scope: Scope, section: Section, names: Names = AS_THEY_ARE) -> None:
    """Load with its compensation fill, stress on the soil, and the chain of formulas that confirms both.

    ``names`` are the symbols that stand in the place of those of the method. Where the cell is solved at two points of
    a sublayer, its settlement is that at mid-depth.
    """
    if section.makeup_fill:
        _fill_up(scope, names)
    else:
        scope.given("p_M", 0.0, origin=Origin("project rule", text=say("rule")))
        scope(added_stress, **_argument_changes(added_stress, names))
    share(scope, names)
    if section.makeup_fill:
        _settlement(scope)
        scope(makeup_gap)
        scope.confirm("s_M", tolerance=MAKEUP_ALLOWED)


def share(scope: Scope, names: Names = AS_THEY_ARE) -> None:
    """Stress on the soil under a known load, and the chain of formulas that confirms it."""
    axes, lanes = lined_up(scope, CELL_INPUTS, names, points=True)
    found = solve_cell(**lanes)
    shape = tuple(len(axis.labels) for axis in axes)
    unknown = np.broadcast_to(found.unknown, shape)
    mobilised = np.broadcast_to(found.mobilised, shape)
    procedure = Procedure("{s_s} − {s_c} = 0 in every sublayer, by the lines that follow", cell.METHOD,
                          f"{cell.TOLERANCE:.0e} of the strain", int(found.iterations.max()), unknown.size,
                          "s_gap")  # fmt: skip
    scope.solved("Dsigma_vs", np.where(mobilised, unknown, np.nan), [axis.name for axis in axes],
                 title=say("solved-dsigma-vs-title"), source=settlement_gap.source,
                 inputs=[names.get(name, name) for name in CELL_INPUTS], procedure=procedure, mask=~mobilised,
                 reason=NOT_MOBILISED)  # fmt: skip
    for step in CHAIN:
        scope(step, **_argument_changes(step, names))
    scope.confirm("Dsigma_vs", tolerance=GAP_ALLOWED)


def _say_not_mobilised(scope: Scope) -> None:
    """State where a stage with fill leaves a sleeve without tension; stage 0 has its own words in chapter sleeve."""
    unknown = scope["Dsigma_vs"].at(stage=scope.sheet.axes["stage"][1:])
    count, total = int((~unknown.valid).sum()), unknown.array.size
    if not count:
        return
    scope.sheet.limitation(
        f"not-mobilised-{scope.name}",
        say("limitation-not-mobilised", scope_title=scope.title, count=count, total=total),
    )


def _argument_changes(step: Formula, names: Names) -> dict[str, str | Value]:
    return {one: names[one] for one in step.arguments if one in names}


def _fill_up(scope: Scope, names: Names) -> None:
    """Load and settlement that belong together: the fill grows by the settlement at its own position."""
    loads = ("f_G", "Dsigma_G", "f_q", "q")
    axes, lanes = lined_up(scope, (*UNSOLVED_INPUTS, *MAKEUP_INPUTS, *loads), names)
    base = added_stress(**{name: lanes[name] for name in loads}, p_M=0.0)
    found = solve_cell_with_makeup(
        Dsigma_0=base, **{name: lanes[name] for name in (*UNSOLVED_INPUTS, *MAKEUP_INPUTS, "f_G")}
    )
    cases = axes[:-1]
    shape = tuple(len(axis.labels) for axis in cases)
    settled = np.broadcast_to(found.s_M[..., 0], shape)
    procedure = Procedure("{f_M} · {s} − {s_M} = 0, each {s} being a solution of the cell", makeup.METHOD,
                          f"{makeup.TOLERANCE:.0e} of s", int(found.iterations.max()), settled.size,
                          "s_dM")  # fmt: skip
    inputs = [names.get(name, name) for name in (*loads, *MAKEUP_INPUTS, *UNSOLVED_INPUTS)]
    scope.solved("s_M", settled, [axis.name for axis in cases], title=say("solved-s-m-title"),
                 source=makeup_gap.source, inputs=inputs, procedure=procedure)  # fmt: skip
    strain = np.where(found.without.mobilised, found.without.strain, 0.0)
    without = np.broadcast_to(total_settlement(sublayer_settlement(strain, lanes["h"]))[..., 0], shape)
    scope.reading("s_0", without, [axis.name for axis in cases], title=say("reading-s-0-title"),
                  source=makeup_gap.source, inputs=[scope["s_M"]])  # fmt: skip
    scope(makeup_pressure)
    scope(added_stress, **_argument_changes(added_stress, names))


def _settlement(scope: Scope) -> None:
    settled = scope.otherwise("s_i", scope["s_c"], 0.0, title=say("otherwise-s-i-title"), note=say("settlement-note"))
    scope(total_settlement, s_i=at_mid_depth(settled))


def at_mid_depth(value: Value) -> Value:
    """The value at mid-depth of the sublayers, where it has other points."""
    return value.at(point=MID) if "point" in value.axis_names else value


def lined_up(
    scope: Scope, symbols: tuple[str, ...], names: Names = AS_THEY_ARE, *, points: bool = False
) -> tuple[tuple[Axis, ...], Mapping[str, Array]]:
    """Plain arrays of some symbols brought into line, with their axes; at mid-depth unless all points are wanted."""
    values = [scope[names.get(name, name)] for name in symbols]
    if not points:
        values = [at_mid_depth(one) for one in values]
    axes = union_axes(values)
    arrays = {name: np.asarray(spread(one.array, one.axes, axes)) for name, one in zip(symbols, values, strict=True)}
    return axes, arrays
