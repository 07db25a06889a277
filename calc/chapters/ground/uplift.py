"""Uplift of the soft layers by the aquifer, hydraulic failure by water that rises in soil or columns, steady flow."""

from itertools import pairwise
from typing import Any

import numpy as np

from calc.chapters.shared.frame import Frame, given_of_layers, given_of_section
from calc.chapters.shared.heads import BELOW, BOTTOM, HEADS, TOP, names_of_water, rise_of_head
from calc.engine.levels import above
from calc.engine.sheet import Origin, Scope, Sheet, Value, Verdict, number_text
from calc.engine.sheet.values import Mask
from calc.engine.words import words_of
from calc.formulas import uplift as up
from calc.formulas.pore_pressure import total_stress
from calc.inputs import Section
from calc.inputs.tables.uplift import Casing, Excavation, Uplift

say = words_of(__name__)

BASE, PIT, CASING, WATER = "uplift", "uplift_excavation", "uplift_casing", "casing_water"
SOIL_FLOW, PIT_FLOW, COLUMN_FLOW = "hydraulic_heave", "hydraulic_heave_excavation", "column_flow"
TITLES = {
    BASE: say("title-uplift"), SOIL_FLOW: say("title-flow"), COLUMN_FLOW: say("title-column-flow"),
    PIT: say("title-pit"), PIT_FLOW: say("title-pit-flow"), CASING: say("title-casing"), WATER: say("title-water"),
}  # fmt: skip
ON_EFFECTIVE_STRESS = ("toe_bearing", "ring_", "creep_strain", "settlement")  # beginnings of keys of verdicts
HELD_BESIDE = ("global_stability", "squeeze", "column_rows", "edge_bearing", "berm_", "lower_berm_", "step_")
DRAINED = "_drained"
AT_REST = 1e-6  # kPa above water at rest, and m of head lost per m, that are none
OTHER_FLOW = 0.1  # part of the head of the aquifer by which heads given may differ from steady flow


def uplift(sheet: Sheet, section: Section, shared: Frame) -> None:
    """State uplift and hydraulic failure where a head lies above water at rest."""
    if not section.has_heads:
        for key in (BASE, SOIL_FLOW):
            sheet.not_applicable(key, TITLES[key], say("no-head"))
        return
    uplift_inputs, over = section.uplift, _over(sheet, section)
    if not over.any() and (uplift_inputs is None or not (uplift_inputs.excavation or uplift_inputs.casing)):
        for key in (BASE, SOIL_FLOW):
            sheet.not_applicable(key, TITLES[key], say("no-head-above"))
    elif uplift_inputs is None:
        for key in (BASE, SOIL_FLOW, *([COLUMN_FLOW] if section.drains else [])):
            sheet.not_verified(key, TITLES[key], say("no-factors"))
    else:
        _verify_uplift(sheet, section, shared, uplift_inputs, over)
    _flow(sheet, section, shared)
    text = say("limitation-drain") if section.drains else say("limitation-plug")
    sheet.limitation("heads-bound", text, "project rule")


def _over(sheet: Sheet, section: Section) -> Mask:
    """Where the head below the bottom of a sublayer rises above that of water at rest, over (stage, layer)."""
    heads = sheet.scopes[HEADS]
    pressure, rest = (heads[name].at(point=BELOW).array for name in ("u_p", "u_hp"))
    mask: Mask = pressure + _rise(sheet, section) > rest + AT_REST
    return mask


def _rise(sheet: Sheet, section: Section) -> Any:
    """Pressure of the rise of the head in kPa, none where none is given."""
    return sheet["gamma_w"].array * (section.uplift.rise or 0.0) if section.uplift else 0.0


def _bottoms_lifted(sheet: Sheet, section: Section, shared: Frame) -> Mask:
    """Bottoms below which a pressure lifts what lies above, over (stage, layer).

    The base of the soft layers; above it the bottoms of layers with a head above water at rest below, its rise
    included, where it jumps or where the layer above loses no less of it per metre than that below: it is the tighter
    one, as over an aquifer. Elsewhere water passes: a head is seepage there, and a pit drains it.
    """
    heads = sheet.scopes[HEADS]
    top, bottom = (heads["h_p"].at(point=point).array for point in (TOP, BOTTOM))
    below, rest = (heads[name].at(point=BELOW).array for name in ("u_p", "u_hp"))
    lost = (bottom - top) / sheet["h"].array
    jumps = np.abs(below - heads["u_p"].at(point=BOTTOM).array) > AT_REST
    tighter = lost[:, :-1] >= lost[:, 1:] - AT_REST
    # A layer that is cut where its strength bends is one layer for water.
    ends = _boundaries(section, shared)
    mask: Mask = below + _rise(sheet, section) > rest + AT_REST
    mask[:, :-1] &= ends & (jumps[:, :-1] | tighter)
    mask[:, -1] = True
    return mask


def _boundaries(section: Section, shared: Frame) -> Mask:
    """Whether a sublayer and that below it lie in two layers as typed."""
    typed = [section.layers[k].of for k in shared.sublayers.layer]
    return np.array([upper != lower for upper, lower in pairwise(typed)], dtype=bool)


def _tighter(section: Section, shared: Frame) -> tuple[Mask, Mask]:
    """Boundaries where the layer above is the tighter one by the permeabilities, and those where one is not given."""
    permeability = np.array([section.layers[k].k or np.nan for k in shared.sublayers.layer])
    ends = _boundaries(section, shared)
    return ends & (permeability[:-1] < permeability[1:]), ends & np.isnan(permeability[:-1] + permeability[1:])


def _verify_uplift(sheet: Sheet, section: Section, shared: Frame, uplift_inputs: Uplift, over: Mask) -> None:
    scope = sheet.scope(BASE, TITLES[BASE])
    heads = sheet.scopes[HEADS]
    for name, symbol in (("u_p", "u_B"), ("u_hp", "u_Bh")):
        scope.take(symbol, heads[name].at(point=BELOW))
    rule = Origin("project rule", text=say("rule-own-weight"))
    scope.given("p_0", 0.0, origin=rule)
    for name in ("p_fw", "w_t"):
        scope.take(name, heads[name])
    scope(total_stress, sigma_tp="sigma_B", s_p=heads["s_p"].at(point=BELOW))
    rise_of_head(scope, section)
    lifted = _bottoms_lifted(sheet, section, shared)
    scope.reading("i_sb", lifted.astype(float), ["stage", "layer"], title=say("reading-lifted-title"),
                  inputs=[heads["h_p"], heads["u_hp"], sheet["h"], scope["Dh_r"]],
                  note=say("reading-lifted-note"))  # fmt: skip
    for name, field in (("gamma_ud", "gamma_dst"), ("gamma_us", "gamma_stb")):
        given_of_section(scope, name, section, f"uplift.{field}", getattr(uplift_inputs, field))
    nothing = Origin("project rule", text=say("rule-no-resistance"))
    scope.given("R_ud", 0.0, origin=nothing)
    scope(up.lifting_pressure)
    scope(up.weight_against_uplift)
    if over.any():
        effect = scope["V_dst"].without(~(over & lifted), say("not-lifted"))
        sheet.verdict(BASE, TITLES[BASE], effect=effect, resistance=scope["G_stb"], note=uplift_inputs.source)
        _through_soil(sheet, section, uplift_inputs, over)
        _through_columns(sheet, section, uplift_inputs)
    else:
        for key in (BASE, SOIL_FLOW):
            sheet.not_applicable(key, TITLES[key], say("no-head-above"))
    _state_rise(sheet, uplift_inputs)
    if uplift_inputs.excavation is not None:
        _pit(sheet, section, shared, uplift_inputs, lifted)
    if uplift_inputs.casing is not None:
        _casing(sheet, section, uplift_inputs, uplift_inputs.casing)
    elif over[:, -1].any():
        sheet.not_verified(WATER, TITLES[WATER], say("no-casing"))


def _state_rise(sheet: Sheet, uplift_inputs: Uplift) -> None:
    """Say that other chapters have the heads without the rise, and which verdicts it could turn.

    Resistance and effect each change by no more than the share of the effective stress that is lost at the base.
    """
    if uplift_inputs.rise is None:
        return
    base = sheet.scopes[BASE]
    left = (base["sigma_B"].array - base["u_B"].array)[:, -1].min()
    share = float(base["gamma_uq"].array * sheet["gamma_w"].array * uplift_inputs.rise / left)
    reserve = max(1 - share, 0.0) ** 2
    text = say("limitation-rise", rise=number_text(uplift_inputs.rise, 2), share=number_text(100 * share, 1))

    def turned(verdict: Verdict) -> bool:
        rests = verdict.key.startswith(ON_EFFECTIVE_STRESS) or DRAINED in verdict.key
        return rests and verdict.utilisation is not None and verdict.utilisation > reserve

    sheet.limitation("uplift-rise", text, "project rule", turns=turned)


def _seepage_factors(scope: Scope, section: Section, uplift_inputs: Uplift) -> None:
    """Factors of hydraulic failure, and the rise of the head, which seepage follows too."""
    for name, field in (("gamma_Sd", "gamma_S_dst"), ("gamma_Ss", "gamma_S_stb")):
        given_of_section(scope, name, section, f"uplift.{field}", getattr(uplift_inputs, field))
    for name in ("gamma_uq", "Dh_r"):
        scope.take(name, scope.sheet.scopes[BASE][name])


def _through_soil(sheet: Sheet, section: Section, uplift_inputs: Uplift, over: Mask) -> None:
    """Hydraulic failure of the soft layers from the ground level down to every bottom."""
    title = TITLES[SOIL_FLOW]
    if uplift_inputs.seals:
        sheet.not_applicable(SOIL_FLOW, title, say("sealed"))
        return
    scope = sheet.scope(SOIL_FLOW, title)
    _seepage_factors(scope, section, uplift_inputs)
    base, heads = sheet.scopes[BASE], sheet.scopes[HEADS]
    for name in ("sigma_B", "u_Bh", "i_sb"):
        scope.take(name, base[name])
    scope.take("d_B", heads["d_B"])
    scope(up.part_of_rise, z_p=heads["z_p"].at(point=BELOW))
    scope(up.seepage_force, u_B=base["u_B"].without(~over, say("at-rest")))
    scope(up.submerged_weight)
    sheet.verdict(SOIL_FLOW, title, effect=scope["S_dst"], resistance=scope["G_sub"], note=uplift_inputs.source)


def _through_columns(sheet: Sheet, section: Section, uplift_inputs: Uplift) -> None:
    """Hydraulic failure of the column fill where no plug closes it."""
    title = TITLES[COLUMN_FLOW]
    if not section.drains:
        sheet.not_applicable(COLUMN_FLOW, title, say("closed"))
        return
    scope = sheet.scope(COLUMN_FLOW, title)
    _seepage_factors(scope, section, uplift_inputs)
    for name in ("i_col", "d_B"):
        scope.take(name, sheet.scopes[HEADS][name])
    scope(up.seepage_force_in_column)
    scope(up.submerged_weight_of_column)
    sheet.verdict(COLUMN_FLOW, title, effect=scope["j_col"], resistance=scope["g_col"], note=uplift_inputs.source)


def _compare_states(sheet: Sheet, section: Section, key: str, effect: Value, resistance: Value, *, only: str | None,
              note: str) -> None:  # fmt: skip
    """Compare in every state of the water, or in the one that alone can hold meanwhile; say what others would do."""
    skip = _spread(~_states(section, only), effect)
    sheet.verdict(key, TITLES[key], effect=effect.without(skip, say("other-state")), resistance=resistance, note=note)
    out = _spread(_states(section, None) & ~_states(section, only), effect)
    worst = np.where(out & effect.valid, effect.array / resistance.array, 0.0)
    if worst.max() > 1.0:
        stage = sheet.axes["stage"][int(np.unravel_index(worst.argmax(), worst.shape)[0])]
        text = say("limitation-state", title=TITLES[key], only=only, stage=stage, ratio=number_text(worst.max(), 3))
        sheet.limitation(f"{key}-state", text, "project file", turns=(key,))


def _states(section: Section, only: str | None) -> Mask:
    """The first stage of every water level, or of the only one: no column stands yet, only the water differs."""
    names = names_of_water(section)
    return np.array([name not in names[:k] and only in {None, name} for k, name in enumerate(names)])


def _spread(mask: Mask, value: Value) -> Mask:
    """A mask over the stages for every case of a value."""
    return np.broadcast_to(mask.reshape(-1, *[1] * (value.array.ndim - 1)), value.array.shape)


def _pit(sheet: Sheet, section: Section, shared: Frame, uplift_inputs: Uplift, lifted: Mask) -> None:
    """Uplift of every layer that is left below a pit, and hydraulic failure where water flows through them.

    A pit takes the water above a layer: what it lies on presses on a tighter one with water at rest, too.
    """
    pit = uplift_inputs.excavation
    assert pit is not None  # noqa: S101 - asked before
    scope = sheet.scope(PIT, TITLES[PIT])
    base, heads = sheet.scopes[BASE], sheet.scopes[HEADS]
    for name in ("sigma_B", "gamma_us", "R_ud"):
        scope.take(name, base[name])
    for name in ("gamma_t", "p_fw"):
        scope.take(name, heads[name])
    for name, field in (("d_x", "depth"), ("d_xw", "water_depth")):
        given_of_section(scope, name, section, f"uplift.excavation.{field}", getattr(pit, field))
    for step in (up.thickness_dug_out, up.weight_dug_out, up.stress_below_pit):
        scope(step)
    scope(up.weight_against_uplift, sigma_B="sigma_x")
    depth = heads["z_p"].at(point=BELOW)
    tighter, unknown = _tighter(section, shared)
    lifted = lifted.copy()
    lifted[:, :-1] |= tighter
    left = lifted & above(depth.array, pit.depth)
    doubt = ~lifted & above(depth.array, pit.depth)
    doubt[:, :-1] &= unknown
    # Where the pit lies no field says: at the toe it takes ground that holds the bank.
    sheet.limitation("pit-beside-bank", say("limitation-pit", depth=number_text(pit.depth, 2)), pit.source,
                     turns=lambda verdict: verdict.key.startswith(HELD_BESIDE))  # fmt: skip
    _state_uncounted_layer(sheet, section, pit, doubt, base["V_dst"].array, scope["G_stb"].array)
    note = say("pit-note", factors=uplift_inputs.source, source=pit.source)
    lift = scope.take("V_dst", base["V_dst"].without(~left, say("not-lifted")))
    _compare_states(sheet, section, PIT, lift, scope["G_stb"], only=pit.water, note=note)
    if uplift_inputs.seals:
        return
    flow = sheet.scope(PIT_FLOW, TITLES[PIT_FLOW])
    _seepage_factors(flow, section, uplift_inputs)
    for name in ("sigma_x", "d_xw"):
        flow.take(name, scope[name])
    for name in ("i_sb", "u_B"):
        flow.take(name, base[name])
    flow.take("d_B", heads["d_B"])
    flow(up.pressure_at_rest_below_pit, z_p=depth)
    flow(up.part_of_rise, z_p=depth)
    flow(up.seepage_force, u_B=base["u_B"].without(~left, say("not-lifted")))
    flow(up.submerged_weight, sigma_B="sigma_x")
    _compare_states(sheet, section, PIT_FLOW, flow["S_dst"], flow["G_sub"], only=pit.water, note=note)


def _state_uncounted_layer(sheet: Sheet, section: Section, pit: Excavation, doubt: Mask, lift: Any, held: Any) -> None:
    """Say which layer would not stand below a pit if it were tighter than that below, where no permeability tells."""
    state = _spread(_states(section, pit.water), sheet.scopes[BASE]["u_B"])
    over = sheet.scopes[BASE]["u_B"].array > sheet["gamma_w"].array * (
        sheet.scopes[HEADS]["z_p"].at(point=BELOW).array - pit.water_depth
    )
    worst = np.divide(lift, held, out=np.zeros(over.shape), where=doubt & over & state)
    if worst.max() > 1.0:
        layer = sheet.axes["layer"][int(np.unravel_index(worst.argmax(), worst.shape)[1])]
        text = say("limitation-not-counted", layer=layer, ratio=number_text(float(worst.max()), 3))
        sheet.limitation("pit-not-counted", text, "project rule", turns=(PIT,))


def _casing(sheet: Sheet, section: Section, uplift_inputs: Uplift, casing: Casing) -> None:
    """The water that keeps an open casing at rest over the aquifer, and uplift of the soil left in it meanwhile."""
    _balance(sheet, section, casing)
    level = number_text(casing.water_level, 2)
    if not casing.soil:
        sheet.not_applicable(CASING, TITLES[CASING], say("no-soil"))
        sheet.relies_on(say("rests-title"), say("rests-text", level=level), say("rests-proof"))
        return
    scope, base, last = sheet.scope(CASING, TITLES[CASING]), sheet.scopes[BASE], section.layers[-1]
    scope.take("V_dst", base["V_dst"].at(layer=sheet.axes["layer"][-1]))
    scope.take("h_cw", sheet.scopes[WATER]["h_cw"])
    given_of_section(scope, "t_cas", section, "uplift.casing.soil", casing.soil)
    given_of_section(scope, "gamma_cas", section, f"layer.{last.key}.gamma_sat", last.gamma_sat)
    if casing.adhesion:
        symbols = (("alpha_pl", "adhesion"), ("c_upl", "strength"), ("gamma_cpl", "gamma_cu"))
        for name, field in symbols:
            given_of_section(scope, name, section, f"uplift.casing.{field}", getattr(casing, field))
        given_of_section(scope, "d_c", section, "columns.diameter", section.columns.diameter)
        scope(up.adhesion_in_casing)
    else:
        scope.given("f_pl", 0.0, origin=Origin("project rule", text=say("no-adhesion")))
    scope.take("gamma_us", base["gamma_us"])
    for step in (up.least_soil, up.water_over_soil, up.resistance_in_casing, up.stress_in_casing,
                 up.weight_against_uplift):  # fmt: skip
        scope(step)
    lift, held, states = scope["V_dst"], scope["G_stb"], _states(section, casing.water)
    least = number_text(float(scope["t_rq"].array[states].max()), 3)
    note = say("casing-note", factors=uplift_inputs.source, source=casing.source, least=least)
    _compare_states(sheet, section, CASING, lift, held, only=casing.water, note=note)
    if casing.adhesion:
        ratio = lift.array / (held.array - scope["R_ud"].array)
        _without_adhesion(sheet, casing, float(ratio[states].max()))
    soil = number_text(casing.soil, 2)
    sheet.relies_on(say("rests-title"), say("rests-text-soil", level=level, soil=soil), say("rests-proof"))


def _balance(sheet: Sheet, section: Section, casing: Casing) -> None:
    """Water in a casing that is open to the aquifer stands no lower than its head."""
    scope, base, heads = sheet.scope(WATER, TITLES[WATER]), sheet.scopes[BASE], sheet.scopes[HEADS]
    scope.take("u_B", base["u_B"].at(layer=sheet.axes["layer"][-1]))
    for name in ("gamma_uq", "Dh_r"):
        scope.take(name, base[name])
    scope.take("d_B", heads["d_B"])
    given_of_section(scope, "z_cw", section, "uplift.casing.water_level", casing.water_level)
    for step in (up.level_at_rest, up.least_water_level, up.water_over_base):
        scope(step)
    least = float(scope["z_rq"].array[_states(section, casing.water)].max())
    margin = number_text(casing.water_level - least, 2)
    note = say("water-note", source=casing.source, margin=margin)
    _compare_states(sheet, section, WATER, scope["h_rq"], scope["h_cw"], only=casing.water, note=note)


def _without_adhesion(sheet: Sheet, casing: Casing, ratio: float) -> None:
    """Adhesion of soil that driving disturbs carries the verdict where weight alone would not."""
    text = say("limitation-adhesion", source=casing.source, ratio=number_text(ratio, 3))
    sheet.limitation("casing-adhesion", text, "project rule", turns=(CASING,) if ratio > 1.0 else ())


def _flow(sheet: Sheet, section: Section, shared: Frame) -> None:
    """Gradients and losses by steady vertical flow where every soft layer has a permeability."""
    heads = sheet.scopes[HEADS]
    if any(layer.k is None for layer in section.layers):
        sheet.limitation("heads-flow", say("limitation-no-k"), "project rule")
        return
    scope = sheet.scope("flow", say("scope-flow-title"))
    scope.take("h_a", heads["h_a"])
    given_of_layers(scope, "k_vs", section, shared.sublayers, "k")
    for step in (up.head_of_aquifer, up.saturated_thickness, up.steady_flow, up.gradient_in_layer, up.loss_in_layer,
                 up.level_by_flow, up.critical_gradient):  # fmt: skip
        scope(step)
    gradient = scope["i_l"]
    scope(up.safety_against_flow, i_l=gradient.without(~(gradient.array > 0), say("no-rise")))
    _compare(sheet, heads, scope)


def _compare(sheet: Sheet, heads: Scope, scope: Scope) -> None:
    """Say where the heads given are not those of steady flow by the permeabilities given."""
    linear, flow, total = heads["h_p"].at(point=BOTTOM), scope["h_fl"], scope["Dh_a"]
    off = np.abs(linear.array - flow.array)
    worst = np.unravel_index(int(np.argmax(off)), off.shape)
    size = float(np.max(np.abs(total.array)))
    if off[worst] > OTHER_FLOW * size:
        most, layer = number_text(float(off[worst]), 2), linear.labels("layer")[worst[-1]]
        text = say("limitation-other-flow", most=most, layer=layer)
        sheet.limitation("heads-other-flow", text, "project rule")
