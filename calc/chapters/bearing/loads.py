"""Pressure of a stage on the soft ground and its strength, each written out where a verdict needs it.

Every scope holds the whole chain at its own case: the givens stand once in the chapter, what follows from them in the
scope of the verdict.
"""

import numpy as np
from numpy.typing import NDArray

from calc.chapters.bearing.shaft_and_toe import soft_below
from calc.chapters.shared.earthquake import coefficient, shaken_stages, take_moved_weight
from calc.chapters.shared.frame import (
    GIVEN_RATIO,
    LONG,
    LOW,
    at_labels,
    given_of_section,
    origin_of,
    origins_of_layers,
)
from calc.chapters.shared.geometry import EDGE, PLACES, height_at_edge
from calc.chapters.shared.programme import SETTLES, steps_of
from calc.chapters.shared.rests import fill_placed, state_gains, without_plant
from calc.chapters.shared.soft_ground import Side, credited_gains, factors, gains, ratios, strength_line
from calc.chapters.shared.zones import heaviest, least_pressure, pressure_before, zones_of
from calc.engine.sheet import Again, Origin, RestsOn, Scope, Sheet, Value, stage_names
from calc.engine.sheet.values import spread, union_axes
from calc.engine.words import words_of
from calc.formulas.bearing import design_undrained_strength
from calc.formulas.column_field import (
    column_field_growth,
    design_strength_growth,
    design_strength_with_gain,
    equivalent_height,
    factored_unit_weight,
    top_strength_with_gain,
    traffic_of_stage,
)
from calc.formulas.earthquake import unit_weight_of_wedge
from calc.formulas.floating import soft_ground_to_firm_layer
from calc.formulas.loads import traffic_factor
from calc.formulas.shear_parameters import soil_stress_share
from calc.formulas.squeezing import column_field_strength
from calc.formulas.stage_pressure import (
    degree_while_placed,
    embankment_pressure,
    embankment_pressure_with_zones,
    pressure_being_placed,
    pressure_of_lift,
    pressure_of_lift_with_zones,
    pressure_of_plant,
    pressure_of_traffic,
    pressure_with_makeup,
    quasi_permanent_traffic,
    slowest_horizontal_time,
    soil_pressure_under_new_lift,
    soil_share_of_lift,
    soil_share_of_pressure,
)
from calc.inputs import Design, Section
from calc.procedures.failures import ProcedureError

say = words_of(__name__)

Floats = NDArray[np.float64]

NO_LOAD = say("no-fill")
SLOWEST = "slowest"  # scope of the times of all sublayers, which stands on no line
NO_LIFT = say("nothing-is-placed")
NO_PLANT = say("no-plant")


def actions(sheet: Sheet, section: Section, done: dict[str, Sheet]) -> None:
    """Factors on actions and the loads of every stage as they are given."""
    for name in ("gamma_G", "gamma_Q", "f_G", "gamma_QS"):
        sheet.take(name, done["basis"][name])
    cell = done["unit_cell"]
    height, platform = cell["H"], cell["p_P"]
    nothing = (height.array <= 0) & (platform.array <= 0)
    sheet.take("H", height.without(nothing, NO_LOAD, by=()))
    for name in ("gamma_E", "q", "psi_2", "p_P"):
        sheet.take(name, cell[name])
    zones = zones_of(done)
    if zones is not None:
        sheet.take("p_Z", zones["p_Z"])
        if section.embankment.is_cored:
            sheet.take("p_Zn", least_pressure(done))
        heaviest(sheet, done, "gamma_Ex")
    tension = cell.scopes["tension"]
    sheet.take("f_q", tension["f_q"].at(load="G+Q"))
    sheet.take("p_M", _makeup(tension), note=say("take-p-m-note"))
    ratios(sheet, section, done)
    _plant(sheet, section)
    _degree_while_placing(sheet, section, done)


def _degree_while_placing(sheet: Sheet, section: Section, done: dict[str, Sheet]) -> None:
    """Degree of consolidation under a lift itself by the time it lies; none without the chapter on consolidation."""
    time = done["consolidation"]
    if "transfer" not in time.scopes or "f_ch" not in time.values:
        sheet.given("U_L", 0.0, origin=Origin("project rule", text=say("placing-why")))
        return
    rule = Origin("project rule", text=say("rule"))
    values, origins = [0.0], [rule]
    for k, stage in enumerate(section.stages):
        values.append(stage.duration if k in steps_of(section) else 0.0)
        origins.append(origin_of(section, f"stage.{k}.duration") if k in steps_of(section) else rule)
    sheet.given("t_pl", values, ["stage"], origin=origins, origin_axis="stage")
    governing, loose = time.scopes["transfer"], time.scopes.get("transfer_slack")
    low = time["f_ch"].at(scenario=LOW)
    slowest = sheet.scope(SLOWEST, say("scope-slowest-title"))
    slowest.take("t_hms", governing["t_hm"])
    slowest.take("f_trs", governing["f_tr"])
    slowest.take("f_trl", loose["f_tr"] if loose else slowest["f_trs"])
    slowest.take("f_chl", low)
    times = slowest(slowest_horizontal_time).array
    place = int(slowest_place(times))
    for name, scope, symbol in (("t_hms", governing, "t_hm"), ("f_trs", governing, "f_tr"), ("f_trl", loose, "f_tr")):
        if scope is None:
            again = Again(while_taut, (sheet["f_trs"], _tension_of_steps(sheet, section, done)))
            sheet.take(name, sheet["f_trs"], note=say("take-placing-note"), again=again)
        else:
            value = scope[symbol]
            again = Again(of_slowest, (value, slowest["t_hL"]))
            sheet.take(name, value.at(layer=value.labels("layer")[place]), again=again)
    sheet.take("f_chl", low)
    sheet(slowest_horizontal_time)
    sheet(degree_while_placed)


def _tension_of_steps(sheet: Sheet, section: Section, done: dict[str, Sheet]) -> Value:
    """Ring tension of the sleeve under every step that consolidates; without any the column has another state."""
    tension = at_labels(done["unit_cell"].scopes["settlement"]["F_Ri"], **SETTLES, stiffness=LONG)
    return tension.at(stage=[sheet.axes["stage"][k + 1] for k in steps_of(section)])


def while_taut(factor: Value, tension: Value) -> Value:
    """The factor with the sleeve; ``ProcedureError`` where a sleeve has no tension, for which there is none."""
    if not (tension.valid & (np.nan_to_num(tension.array) > 0)).all():
        raise ProcedureError(say("sleeve-slackens"))
    return factor


def slowest_place(times: Floats) -> NDArray[np.int_]:
    """Place of the sublayer that drains most slowly, sublayers last.

    Layers often drain alike to the last bits: the first of them, so that no machine takes another one.
    """
    late: NDArray[np.int_] = np.argmax(times >= times.max(axis=-1, keepdims=True) * (1.0 - 1e-9), axis=-1)
    return late


def of_slowest(value: Value, times: Value) -> Value:
    """A value of the sublayer that drains most slowly."""
    axes = union_axes((value, times))
    shape = tuple(len(axis.labels) for axis in axes)
    rows, late = (np.broadcast_to(spread(quantity.array, quantity.axes, axes), shape) for quantity in (value, times))
    slowest = np.take_along_axis(rows, slowest_place(late)[..., None], axis=-1)[..., 0]
    return Value(value.symbol, slowest, axes[:-1])


def _plant(sheet: Sheet, section: Section) -> None:
    """Plant on the lift by stage; where none is given, the stages are named."""
    rule = Origin("project rule", text=NO_PLANT)
    values, origins = [0.0], [rule]
    for k, stage in enumerate(section.stages):
        values.append(stage.plant or 0.0)
        origins.append(rule if stage.plant is None else origin_of(section, f"stage.{k}.plant"))
    sheet.given("p_pl", values, ["stage"], origin=origins, origin_axis="stage")
    silent = without_plant(section)
    if silent:
        labels = [sheet.axes["stage"][k + 1] for k in silent]
        sheet.limitation(
            "lift-plant",
            say("limitation-lift-plant", names=stage_names(labels)),
            "project file",
            turns=RestsOn(lambda step: step.symbol == "p_pl", labels),
        )


def _makeup(tension: Scope) -> Value:
    """Compensation fill of the permanent and variable load; a section without it has the same nothing in every case."""
    filled = tension["p_M"]
    return filled.at(load="G+Q") if "load" in filled.axis_names else filled


def loaded_stages(sheet: Sheet) -> list[str]:
    """The stages in which fill or platform lies on the ground."""
    height = sheet["H"]
    return [label for label, valid in zip(height.labels("stage"), height.valid, strict=True) if valid]


def stages_at_rest(sheet: Sheet, section: Section) -> list[str]:
    """Those of them in which no earthquake acts: the bearing of the soft ground is verified in these alone."""
    shaken = shaken_stages(section, sheet.axes["stage"])
    return [label for label in loaded_stages(sheet) if label not in shaken]


def _inertia(sheet: Sheet, section: Section, done: dict[str, Sheet]) -> None:
    """What the inertia of a wedge goes back to; nothing without an earthquake."""
    if section.earthquake is None:
        return
    for name in ("k_h", "f_vd"):
        sheet.take(name, coefficient(done, name))
    take_moved_weight(sheet, section, done)
    weights = [layer.gamma_sat for layer in section.layers]
    sheet.reading("gamma_sx", max(weights), title=say("reading-gamma-sx-title"),
                  origins=origins_of_layers(section, "gamma_sat"),
                  again=Again(largest_of_all, (done["ground"]["gamma_r"],)))  # fmt: skip
    sheet(unit_weight_of_wedge, a_E=done["columns"]["a_E"], gamma_cr=done["ground"]["gamma_cr"])
    sheet.limitation("bearing-earthquake", say("limitation-bearing-earthquake"), "project rule ◇")


def largest_of_all(value: Value) -> Value:
    """The largest number of all cases."""
    return value.largest("sample")


def ground(sheet: Sheet, design: Design, section: Section, done: dict[str, Sheet]) -> None:
    """Strength of the ground as a line, its gain and its factors; what the chapter on thrust takes from here."""
    _thickness(sheet, section, done)
    factors(sheet, design, section, (("gamma_cu", "gamma_cu"),))
    strength_line(sheet, section)
    gains(sheet, section, done)
    sheet(top_strength_with_gain, Dc_u=at_labels(sheet["Dc_u"], ratio=GIVEN_RATIO))
    sheet(design_undrained_strength, c_ud="c_u0e", c_u="c_u0k")
    _top_shear(sheet, section)
    sheet.given("q_out", 0.0, origin=Origin("project rule", text=say("rule-q-out")))
    for name, path, value in (
        ("b_K", "crest_width", section.embankment.crest_width),
        ("n_L", "slope_left", section.embankment.slope_left),
        ("n_R", "slope_right", section.embankment.slope_right),
        ("H_F", "height", section.embankment.height),
    ):
        given_of_section(sheet, name, section, f"embankment.{path}", value)
    if section.embankment.lower:
        known, places = sheet["H"], done["columns"].scopes[PLACES]
        sheet.take("H_n", places["H_n"].without(~known.valid, NO_LOAD, by=()))
        sheet.take("H_Fn", places["H_Fn"])
    _inertia(sheet, section, done)
    _proofs(sheet, section, done)


def _thickness(sheet: Sheet, section: Section, done: dict[str, Sheet]) -> None:
    """Thickness of the soft ground down to firm ground, below floating columns too."""
    if section.columns.floating is None:
        sheet.take("t_soft", done["columns"]["t_soft"])
        return
    sheet.take("t_sc", done["columns"]["t_soft"])
    soft_below(sheet, section)
    sheet(soft_ground_to_firm_layer)


def _proofs(sheet: Sheet, section: Section, done: dict[str, Sheet]) -> None:
    """Say what proves the gain of strength, and what the stress ratio; what hangs on both stands beside its verdict."""
    credited = credited_gains(section, done)
    state_gains(sheet, section, credited)
    if any(gain > 0 for gain in credited):
        sheet.limitation("strength-gain", say("limitation-strength-gain"), "project file")
    if section.columns.floating is None:
        sheet.limitation("stress-ratio-proof", say("limitation-stress-ratio-proof"), "project rule")


def _top_shear(sheet: Sheet, section: Section) -> None:
    """Share of the strength that acts at the top of the ground: held back by the reinforcement, or driven outward."""
    field = section.column_field
    if field and field.hold_top:
        given_of_section(sheet, "alpha_t", section, "field.hold_top", field.hold_top)
    elif field and field.thrust_in_ground:
        why = say("top-shear-why")
        sheet.given("alpha_t", -field.thrust_in_ground, origin=Origin("project rule", text=why))
    else:
        why = say("top-shear-why-2")
        sheet.given("alpha_t", 0.0, origin=Origin("project rule", text=why))


def height(scope: Scope, *, heavy: bool = False) -> None:
    """Height of fill and platform with the factor at the source; ``heavy`` takes the largest unit weight of zones."""
    if heavy and "gamma_Ex" in scope:
        scope(factored_unit_weight, gamma_E="gamma_Ex")
    else:
        scope(factored_unit_weight)
    scope(equivalent_height)


def as_placed(scope: Scope, *, heavy: bool = False) -> None:
    """Pressure of fill, platform and traffic of the stage, before compensation fill.

    ``heavy`` takes the largest unit weight of zones, for a pressure that is left of a part of the height.
    """
    height(scope, heavy=heavy)
    scope(traffic_of_stage)
    if "p_Z" in scope and not heavy:
        scope(embankment_pressure_with_zones, gamma_E="gamma_Ed", H="H_q", q="q_st")
    else:
        scope(embankment_pressure, gamma_E="gamma_Ed", H="H_q", q="q_st")


def end_of_stage(scope: Scope, ratio: str = "n_st") -> Value:
    """What the soft ground carries at the end of the stage: compensation fill included, stress ratio of this stage."""
    as_placed(scope)
    scope(pressure_with_makeup)
    scope(soil_stress_share, n_st=ratio)
    scope(quasi_permanent_traffic)
    return scope(soil_share_of_pressure)


def under_new_lift(
    scope: Scope, section: Section, done: dict[str, Sheet], side: Side | None = None, ratio: str = "n_st"
) -> Value:  # fmt: skip
    """What it carries while a lift is placed: the stage before by its own stress ratio, of the lift what is left.

    Of a side where one is given, else of the whole width.
    """
    new = [False, *fill_placed(section)]
    for k, stage in enumerate(section.stages, start=1):
        new[k] = new[k] or bool(stage.plant)
    edge = scope.sheet.scopes.get(f"{EDGE}{side.ending}") if side else None
    scope.take("H", (edge or scope)["H"].without(~np.array(new), NO_LIFT, by=()))
    if edge:
        scope.take("beta_C", edge["beta_C"])
    height(scope)
    scope(traffic_of_stage)
    cell = done["unit_cell"]
    makeup, traffic = _makeup(cell.scopes["tension"]), cell["i_Q"].at(load="G+Q")
    for name, value, first in (
        ("H_b", height_at_edge(done["columns"], side.end) if side and edge else cell["H"], 0.0),
        ("p_Pb", cell["p_P"], 0.0),
        ("p_Mb", makeup, 0.0),
        ("i_Qb", traffic, 0.0),
        ("n_stb", scope[ratio], 1.0),
    ):
        scope.take(name, value.before("stage", first) if "stage" in value.axis_names else value)
    scope(equivalent_height, H_q="H_qb", H="H_b", p_P="p_Pb")
    scope(traffic_factor, f_q="f_qb", i_Q="i_Qb")
    load = scope["q"]  # of strips it is what the fill of a stage leaves at the column heads
    before = load.before("stage", 0.0) if "stage" in load.axis_names else load
    scope(traffic_of_stage, q_st="q_stb", f_q="f_qb", q=before)
    scope(quasi_permanent_traffic, q_qp="q_qb", q_st="q_stb")
    zones = zones_of(done)
    if zones is None:
        scope(embankment_pressure, p_E0="p_E0b", gamma_E="gamma_Ed", H="H_qb", q="q_qb")
    else:
        scope.take("p_Zb", pressure_before(done))
        scope(embankment_pressure_with_zones, p_E0="p_E0b", gamma_E="gamma_Ed", H="H_qb", q="q_qb", p_Z="p_Zb")
    scope(pressure_with_makeup, p_E="p_Eb", p_E0="p_E0b", p_M="p_Mb")
    scope(soil_stress_share, mu_s="mu_sb", n_st="n_stb")
    scope(soil_stress_share, n_st=ratio)
    scope(soil_share_of_lift)
    scope(pressure_of_lift if zones is None else pressure_of_lift_with_zones, gamma_E="gamma_Ed")
    scope(pressure_of_traffic)
    scope(pressure_of_plant)
    scope(pressure_being_placed)
    return scope(soil_pressure_under_new_lift)


def strength(scope: Scope, *, gain: bool, amount: str = "Dc_u") -> str:
    """Design strength of the soil at the top, with or without the gain of the stage, and its growth; its symbol."""
    scope(design_strength_growth)
    if gain:
        scope(design_strength_with_gain, c_ud="c_u0d", c_u="c_u0k", Dc_u=amount)
        return "c_u0d"
    scope(design_undrained_strength, c_ud="c_u0e", c_u="c_u0k")
    return "c_u0e"


def field_strength(scope: Scope, ratio: str = "a_E") -> None:
    """The same on the area of the soil alone with the mean of the gain, and beyond the columns without gain."""
    scope(column_field_strength, c_uf="c_u0f", c_u=strength(scope, gain=True, amount="Dc_m"), a_E=ratio)
    scope(column_field_growth, rho_u="rho_ud", a_E=ratio)
    scope(design_undrained_strength, c_ud="c_u0e", c_u="c_u0k")
