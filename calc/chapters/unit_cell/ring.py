"""Ring tension at mid-depth and top of every sublayer, from factored effects and from factored actions."""

import numpy as np

from calc.chapters.shared.division import design_tension
from calc.chapters.shared.frame import CENTRE, COMBINATIONS, FACTORED, G_Q, LONG, MID, SHORT, Frame, G
from calc.chapters.shared.standard_cell import share
from calc.chapters.unit_cell.standard import POINTS, balance
from calc.engine.sheet import Again, Origin, Scope, Sheet, Value
from calc.engine.sheet.values import spread, union_axes
from calc.engine.words import words_of
from calc.formulas.ground import active_coefficient, stress_before_loading
from calc.formulas.ring_tension import (
    evaluation_depth,
    friction_angle_of_combination,
    head_zone_depth,
    initial_stress_at_depth,
    permanent_factor_of_combination,
    traffic_factor_of_combination,
)
from calc.formulas.unit_cell import mobilising_load
from calc.inputs import Section

say = words_of(__name__)

HEAD_ZONE = say("head-zone")
HEAD_ZONE_SHARE = 1.02
SAME_DEPTH = 1e-9  # m
AT_POINT = {
    "f_G": "f_Gr", "f_q": "f_qr", "sigma_v0s": "sigma_v0sz", "sigma_v0c": "sigma_v0cz", "p_1": "p_1z",
}  # fmt: skip


def ring(sheet: Sheet, section: Section, shared: Frame, tension: Scope, done: dict[str, Sheet]) -> Scope:
    """Solve the cell at both points of every sublayer for every combination of actions.

    Axes are factor set, stage, combination, stiffness (with such fill only), point and layer. ``F_Ri`` has no number in
    the head zone.
    """
    scope = sheet.scope("ring", say("scope-ring-title"))
    _where(scope, done)
    _actions(scope, sheet, section, tension, done["basis"])
    scope(mobilising_load, sigma_v0s="sigma_v0sz", sigma_v0c="sigma_v0cz")
    balance(scope, section, AT_POINT)
    _count_below_head(scope, "F_Ri", "F_R", say("ring"))
    _say_head_zone(sheet, scope["F_R"], scope["F_Ri"])
    sheet.leads["ring"] = {"combination": _governing_combination(scope, section, shared, done["basis"])}
    return scope


def strain(sheet: Sheet, settlement: Scope, done: dict[str, Sheet]) -> Scope:
    """Solve the cell at the same points under the quasi-permanent load at the centre, with every stiffness.

    Axes are stage, stiffness, point and layer. ``eps_Ri`` has no number in the head zone.
    """
    scope = sheet.scope("strain", say("strain-title"), stiffness=LONG)
    _where(scope, done)
    scope.take("K_ac", settlement["K_ac"])
    scope.take("Dsigma_0", settlement["Dsigma_0"].at(position=CENTRE, load="G+Q"))
    share(scope, AT_POINT)
    _count_below_head(scope, "eps_Ri", "eps_R", say("strain"))
    return scope


def _count_below_head(scope: Scope, name: str, symbol: str, title: str) -> None:
    """The value of every point below the head zone, 0 where the sleeve is not mobilised."""
    again = Again(below_head, (scope[symbol], scope["z_F"], scope["z_h"]))
    made = again.value()
    scope.reading(name, made.array, made.axis_names, title=title, inputs=again.inputs[:2], mask=made.mask,
                  reason=HEAD_ZONE, note=say("reading-counted-note"), again=again)  # fmt: skip


def below_head(value: Value, depth: Value, head: Value) -> Value:
    """A value at points at some depth: none above the depth of the head zone, 0 where it has none itself below."""
    axes = union_axes((value, depth, head))
    shape = tuple(len(axis.labels) for axis in axes)
    z, z_h = (spread(each.array, each.axes, axes) for each in (depth, head))
    numbers = spread(np.where(value.valid, value.array, 0.0), value.axes, axes)
    shallow = np.broadcast_to(~(z >= z_h - SAME_DEPTH), shape)
    return Value(value.symbol, np.broadcast_to(numbers, shape), axes, mask=shallow, reason=HEAD_ZONE)


def _say_head_zone(sheet: Sheet, value: Value, counted: Value) -> None:
    """State what the cell would give where it does not count."""
    inside = value.valid & ~counted.valid
    most, edge = float(np.max(value.array, where=inside, initial=0.0)), float(np.nanmax(counted.array))
    if most > HEAD_ZONE_SHARE * edge:
        sheet.limitation("head-zone", say("limitation-head-zone", most=most, edge=edge), "project rule")


def _where(scope: Scope, done: dict[str, Sheet]) -> None:
    """The points with their initial stresses."""
    for name in ("d_c", "t_up"):
        scope.take(name, done["columns"][name])
    for name in ("gamma_eff", "gamma_ceff", "p_c"):
        scope.take(name, done["ground"][name])
    scope(head_zone_depth)
    rule = Origin("project rule", text=say("rule"))
    scope.given("i_T", [float(point != MID) for point in POINTS], ["point"], origin=rule)
    scope(evaluation_depth)
    scope(initial_stress_at_depth, sigma_v0z="sigma_v0sz", sigma_v0="sigma_v0s")
    scope(initial_stress_at_depth, sigma_v0z="sigma_v0cz", sigma_v0="sigma_v0c", gamma_eff="gamma_ceff")
    scope(stress_before_loading, p_1="p_1z", sigma_v0s="sigma_v0sz")


def _actions(scope: Scope, sheet: Sheet, section: Section, tension: Scope, basis: Sheet) -> None:
    """Factors, friction of the fill and stiffness of the sleeve of every combination."""
    for name in ("f_G", "gamma_QS", "gamma_G", "gamma_Q"):
        scope.take(name, basis[name])
    for name in ("phi_c", "Dsigma_G"):
        scope.take(name, tension[name])
    rule = Origin("project rule", text=say("rule-2"))
    scope.given("i_F", [float(combination == FACTORED) for combination in COMBINATIONS], ["combination"], origin=rule)
    traffic = sheet["i_Q"].at(load="G+Q").array
    acts = np.outer(traffic, [float(combination != G) for combination in COMBINATIONS])
    rule = Origin("project rule", text=say("rule-3"))
    scope.given("i_Qr", acts, ["stage", "combination"], origin=rule)
    for step in (permanent_factor_of_combination, traffic_factor_of_combination, friction_angle_of_combination):
        scope(step)
    scope(active_coefficient, K_a="K_ac", phi="phi_cr")
    if section.makeup_fill:
        scope.take("f_M", tension["f_M"])
    else:
        scope.take("J", sheet["J"].at(stiffness=SHORT), note=say("take-j-note"))


def _governing_combination(scope: Scope, section: Section, shared: Frame, basis: Sheet) -> str:
    """The combination that gives the design ring tension where the sleeve is utilised most."""
    scratch = Sheet(section=scope.sheet.section, key=scope.sheet.key)
    design = design_tension(scratch, scope, basis)
    gamma = [getattr(section.sleeve.gamma_M, situation) for situation in shared.situations]
    at_stage = [len(gamma) if axis.name == "stage" else 1 for axis in design.axes]
    utilised = np.where(design.valid, design.array * np.reshape(gamma, at_stage), -1.0)
    lane = np.unravel_index(int(np.argmax(utilised)), utilised.shape)
    return FACTORED if scratch["F_Ra"].array[lane] > scratch["F_Re"].array[lane] else G_Q
