"""The standard cell in one scope: load, compensation fill, the unknown, the chain that confirms it, totals."""

from collections.abc import Callable

import numpy as np

from calc.chapters.shared.frame import MID, TOP
from calc.chapters.shared.standard_cell import (
    AS_THEY_ARE,
    CELL_INPUTS,
    Names,
    argument_changes,
    at_mid_depth,
    lined_up,
    share,
)
from calc.engine.formula import Source
from calc.engine.sheet import Again, Axis, Origin, Procedure, Scope, Value
from calc.engine.sheet.values import Array
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
from calc.formulas.unit_cell import mobilising_load, stress_ratio, total_settlement
from calc.formulas.zones import pressure_of_zones_at_position
from calc.inputs import Section
from calc.procedures import makeup
from calc.procedures.makeup import MakeupSolution, solve_cell_with_makeup

say = words_of(__name__)

UNSOLVED_INPUTS = tuple(name for name in CELL_INPUTS if name != "Dsigma_0")
MAKEUP_INPUTS = ("f_M", "gamma_E", "gamma_Esub", "d_w", "h")
LOADS_FILLED = ("f_G", "Dsigma_G", "f_q", "q")
MAKEUP_ALLOWED = 1e-7  # m
POINTS = (MID, TOP)
RULE = Source(
    "project rule: the method's own column carries load without settlement before its active state", "derived"
)


def load(scope: Scope) -> None:
    """Permanent load of the stage before compensation fill, and the load above which the column is active."""
    scope(fill_height_in_water)
    if "p_Z" in scope:
        if "p_Zh" in scope:
            scope(pressure_of_zones_at_position)
        elif "p_Zx" not in scope:  # zones that end within the bank: the place with the largest load
            scope.take("p_Zx", scope["p_Z"])
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
        scope(added_stress, **argument_changes(added_stress, names))
    share(scope, names)
    if section.makeup_fill:
        _settlement(scope)
        scope(makeup_gap)
        scope.confirm("s_M", tolerance=MAKEUP_ALLOWED)


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


def _fill_up(scope: Scope, names: Names) -> None:
    """Load and settlement that belong together: the fill grows by the settlement at its own position."""
    symbols = (*UNSOLVED_INPUTS, *MAKEUP_INPUTS, *LOADS_FILLED)
    values = tuple(at_mid_depth(scope[names.get(name, name)]) for name in symbols)
    cases, solution, h = _filled_up(*values)
    shape = tuple(len(axis.labels) for axis in cases)
    settled = np.broadcast_to(solution.s_M[..., 0], shape)
    procedure = Procedure(say("condition"), makeup.METHOD,
                          say("tolerance", tolerance=f"{makeup.TOLERANCE:.0e}"), int(solution.iterations.max()),
                          settled.size,
                          "s_dM")  # fmt: skip
    inputs = [names.get(name, name) for name in (*LOADS_FILLED, *MAKEUP_INPUTS, *UNSOLVED_INPUTS)]
    scope.solved("s_M", settled, [axis.name for axis in cases], title=say("solved-s-m-title"),
                 source=makeup_gap.source, inputs=inputs, procedure=procedure,
                 again=Again(settlement_filled_up, values))  # fmt: skip
    strain = np.where(solution.without.mobilised, solution.without.strain, 0.0)
    without = np.broadcast_to(total_settlement(sublayer_settlement(strain, h))[..., 0], shape)
    scope.reading("s_0", without, [axis.name for axis in cases], title=say("reading-s-0-title"),
                  source=makeup_gap.source, inputs=[scope["s_M"]])  # fmt: skip
    scope(makeup_pressure)
    scope(added_stress, **argument_changes(added_stress, names))


def settlement_filled_up(*values: Value) -> Value:
    """The settlement that is filled up in every case, of the values of its inputs at mid-depth."""
    cases, solution, _ = _filled_up(*values)
    settled = np.broadcast_to(solution.s_M[..., 0], tuple(len(axis.labels) for axis in cases))
    return Value("s_M", settled, cases)


def _filled_up(*values: Value) -> tuple[tuple[Axis, ...], MakeupSolution, Array]:
    """Cases and solution of the cell with compensation fill, and the thickness of the sublayers over their axes."""
    axes, lanes = lined_up((*UNSOLVED_INPUTS, *MAKEUP_INPUTS, *LOADS_FILLED), values)
    base = added_stress(**{name: lanes[name] for name in LOADS_FILLED}, p_M=0.0)
    solution = solve_cell_with_makeup(
        Dsigma_0=base, **{name: lanes[name] for name in (*UNSOLVED_INPUTS, *MAKEUP_INPUTS, "f_G")}
    )
    return axes[:-1], solution, lanes["h"]


def _settlement(scope: Scope) -> None:
    settled = scope.otherwise("s_i", scope["s_c"], 0.0, title=say("otherwise-s-i-title"), note=say("settlement-note"))
    scope(total_settlement, s_i=at_mid_depth(settled))
