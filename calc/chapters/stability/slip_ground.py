"""Weights, strengths and places of the slip model, recorded once: soils, fill of a state, gain, layers across."""

from collections.abc import Sequence
from functools import partial
from math import inf

import numpy as np
from numpy.typing import NDArray

from calc.chapters.shared.column_zones import zone_sheets
from calc.chapters.shared.earthquake import coefficient
from calc.chapters.shared.frame import Frame, given_of_section, origin_of, origins_of_layers, tops_of_layers
from calc.chapters.shared.geometry import PLACES, place_of
from calc.chapters.shared.sloping_layers import ACROSS
from calc.chapters.shared.soft_ground import SOFT_LAYERS
from calc.chapters.shared.strips import take_strips
from calc.chapters.shared.zones import least_pressure, zones_of
from calc.engine.formula import Formula
from calc.engine.levels import above
from calc.engine.sheet import Again, Axis, Origin, Scope, Sheet, Value
from calc.engine.words import words_of
from calc.formulas import slip_ground as sg
from calc.formulas import traffic as tr
from calc.formulas.bearing import design_cohesion, design_undrained_strength
from calc.formulas.column_field import design_friction_angle, design_strength_growth, design_strength_with_gain
from calc.inputs import Section
from calc.inputs.tables.embankment import Zone

say = words_of(__name__)

BELOW_TOES = 3.0  # m of bearing layer below the toes that surfaces may enter, at least
FILL, PLATFORM, FIRM, COLUMN = "embankment", "platform", "bearing_layer", "columns.fill"
SOILS, STRIP, LOADS, NO_HEIGHT = "slip_soils", "slip_places", "slip_strips", say("no-height")


def is_for_record(name: str) -> bool:
    """Whether a scope holds values of the slip model or settings of the search, which print in no line."""
    made_of = ("slip_soils", "slip_places", "slip_strips", "slip_fill", "slip_gain", "slip_tie", "slip_search")
    return name.startswith(made_of)


def soils_of(section: Section) -> dict[str, str]:
    """The soils of the model by the path of their fields, and the path of their strength."""
    layers = {f"layer.{layer.key}": f"layer.{layer.key}" for layer in section.layers}
    fill = {FILL: FILL} | ({PLATFORM: FILL} if section.platform else {})
    fill |= {path: path for path in zone_paths(section)}
    return fill | layers | {FIRM: FIRM, COLUMN: COLUMN}


def zone_paths(section: Section) -> dict[str, Zone]:
    """The zones of the fill by the path of their fields."""
    return {f"embankment.zone.{k}": zone for k, zone in section.embankment.zones}


def zones_across(section: Section) -> dict[str, Zone]:
    """Those of them that lie across the whole width of the bank, by the same paths."""
    ends = section.embankment.ends
    return {path: zone for path, zone in zone_paths(section).items() if ends(zone) == (-inf, inf)}


def record_ground(sheet: Sheet, section: Section, shared: Frame, done: dict[str, Sheet]) -> None:
    """Record the soils of the slip model and its places, which all states share."""
    soils = soils_of(section)
    sheet.axis("soil", list(soils))
    scope = sheet.scope(SOILS, say("scope-soils-title"))
    dry = {FILL, PLATFORM, *zone_paths(section)}
    below_water = {path: "gamma" if path in dry else "gamma_sat" for path in soils}
    _give_soil_field(scope, section, "gamma", [(path, "gamma") for path in soils])
    _give_soil_field(scope, section, "gamma_r", list(below_water.items()), note=say("given-gamma-r-note"))
    _give_soil_field(scope, section, "phi", [(path, "phi") for path in soils.values()])
    # The fill of the columns has no cohesion of its own: that of its sleeve is counted apart.
    _give_soil_field(scope, section, "c", [(path, "" if path == COLUMN else "c") for path in soils.values()])
    scope(sg.weight_in_slip_analysis)
    scope(sg.weight_in_slip_analysis, gamma_dw="gamma_drw", gamma="gamma_r")
    for name in ("z_g", "gamma_w"):
        scope.take(name, done["ground"][name])
    scope(sg.weight_in_slip_analysis, gamma_dw="gamma_wd", gamma="gamma_w")
    scope(design_friction_angle)
    scope(design_cohesion)
    _give_undrained_strength(scope, section, soils, tops_of_layers(section, shared, done["ground"]), done)
    if section.slopes:
        _tops_at_toes(scope, section, soils, done["columns"])
    scope(design_undrained_strength, c_ud="c_utd", c_u="c_ut")
    scope(design_strength_growth, rho_ud="rho_utd", rho_uk="rho_ut")
    _places(sheet, section, done)


def _give_soil_field(
    scope: Scope, section: Section, name: str, fields: Sequence[tuple[str, str]], note: str = ""
) -> None:
    """Give a symbol a field of every soil; 0 by rule where no field is named."""
    none = Origin("project rule", text=say("no-cohesion"))
    values = [_field(section, path, attribute) if attribute else 0.0 for path, attribute in fields]
    origins = [origin_of(section, f"{path}.{attribute}") if attribute else none for path, attribute in fields]
    scope.given(name, values, ["soil"], origin=origins, origin_axis="soil", note=note)


def _field(section: Section, path: str, attribute: str) -> float:
    layers = {f"layer.{layer.key}": layer for layer in section.layers}
    known = {FILL: section.embankment, PLATFORM: section.platform, FIRM: section.bearing_layer}
    others = {COLUMN: section.columns.fill} | zone_paths(section)
    return float(getattr((known | others | layers)[path], attribute))


def _give_undrained_strength(
    scope: Scope, section: Section, soils: dict[str, str], tops: Sequence[float], done: dict[str, Sheet]
) -> None:
    """Undrained strength and level of the soft layers at their tops; the other soils have none."""
    soft = {f"layer.{layer.key}": (layer.c_u or 0.0, layer.c_u_growth or 0.0) for layer in section.layers}
    floating = section.columns.floating
    if floating is not None:  # the soft ground at the toes and below them
        soft[FIRM] = (floating.c_u, 0.0)
    origins_of_floating = {"c_u": [origin_of(section, "columns.floating.c_u")] if floating else [], "c_u_growth": []}
    other = np.array([path not in soft for path in soils])

    def read(
        name: str, title: str, values: Sequence[float], inputs: Sequence[Value] = (), origins: Sequence[Origin] = (),
        again: Again | None = None,
    ) -> None:  # fmt: skip
        numbers = np.zeros(len(soils))
        numbers[~other] = values
        scope.reading(name, numbers, ["soil"], title=title, mask=other, reason=say("not-soft"), inputs=inputs,
                      origins=origins, again=again)  # fmt: skip

    strata = done["bearing"].scopes[SOFT_LAYERS]

    for k, (name, title, field) in enumerate((
        ("c_ut", say("reading-c-ut-title"), "c_u"), ("rho_ut", say("reading-rho-ut-title"), "c_u_growth"),
    )):  # fmt: skip
        read(name, title, [strength[k] for strength in soft.values()],
             origins=[*origins_of_layers(section, field), *origins_of_floating[field]],
             again=Again(partial(of_soils, soils=tuple(soils), other=other), (strata[name],)))  # fmt: skip
    bottom = [sum(layer.thickness for layer in section.layers)] if floating else []
    read("d_lt", say("reading-d-lt-title"), [*tops, *bottom], [done["ground"]["d_st"]])
    scope(sg.level_of_layer_top)


def of_soils(value: Value, *, soils: tuple[str, ...], other: NDArray[np.bool_]) -> Value:
    """A value of the soft layers over all soils of the model, of which the others have none."""
    array = np.zeros((*value.array.shape[:-1], len(soils)))
    array[..., ~other] = value.array
    return Value(value.symbol, array, (*value.axes[:-1], Axis("soil", soils)), mask=np.broadcast_to(other, array.shape))


def _tops_at_toes(scope: Scope, section: Section, soils: dict[str, str], columns: Sheet) -> None:
    """Levels of the tops of the soft layers at both toes of the bank, where they change their thickness."""
    across = columns.scopes[ACROSS]
    soft = [f"layer.{layer.key}" for layer in section.layers]
    other = np.array([path not in soft for path in soils])
    for end in "lr":
        name, numbers = f"d_lt{end}", np.zeros(len(soils))
        numbers[~other] = across[name].array
        scope.reading(name, numbers, ["soil"], title=say("reading-d-lt-title"), mask=other, reason=say("not-soft"),
                      inputs=[across[name]])  # fmt: skip
        scope(sg.level_of_layer_top, z_lt=f"z_lt{end}", d_lt=name)


def _places(sheet: Sheet, section: Section, done: dict[str, Sheet]) -> None:
    """Places that the slip model adds to those of the cross-section; none before fill or platform lies."""
    scope = sheet.scope(STRIP, say("scope-places-title"))
    for name in ("x_tl", "x_tr", "x_el", "x_er", "x_cl", "x_cr", "z_toe", "H"):
        scope.take(name, place_of(done["columns"], name))
    _height(scope, done)
    _edges(scope, section, done)
    if section.columns.floating is None:
        scope.given("t_bel", BELOW_TOES, origin=Origin("project rule", text=say("rule-t-bel")))
    else:
        given_of_section(scope, "t_bel", section, "columns.floating.soft_below", section.columns.floating.soft_below)
    steps = [sg.bottom_of_surfaces, sg.left_end_of_gain, sg.right_end_of_gain]
    if section.slopes:
        scope.take("z_ton", done["columns"].scopes[ACROSS]["z_ton"])
    elif deepest := _deepest_toes(section, done):
        scope.take("z_ton", deepest)
    for step in steps + ([sg.left_face_at_platform, sg.right_face_at_platform] if section.platform else []):
        lowest = {"z_toe": "z_ton"} if "z_ton" in scope and step is sg.bottom_of_surfaces else {}
        scope(step, **own_edge(step, section), **lowest)
    scope.take("z_w", done["ground"]["z_w"])
    _action(scope, section, done)


def _deepest_toes(section: Section, done: dict[str, Sheet]) -> Value | None:
    """The level of the toes of the zone whose columns reach deepest; None where none reaches deeper than the rest."""
    own = place_of(done["columns"], "z_toe")
    every = [own, *(place_of(zone.done["columns"], "z_toe") for zone in zone_sheets(section, done))]
    deepest = min(every, key=lambda value: float(value.array))
    return None if deepest is own else deepest


def _action(scope: Scope, section: Section, done: dict[str, Sheet]) -> None:
    """Give what the table [slip] says of water, tension crack and earthquake."""
    slip = section.slip
    assert slip is not None  # noqa: S101 - asked before
    seepage = slip.water_mode == "seepage"
    given_of_section(scope, "i_see", section, "slip.water_mode", float(seepage))
    if slip.crack is not None:
        given_of_section(scope, "d_crk", section, "slip.crack.depth", slip.crack.depth)
        given_of_section(scope, "h_crk", section, "slip.crack.water", slip.crack.water)
    if section.earthquake is not None:
        for name in ("k_h", "k_v"):
            scope.take(name, coefficient(done, name))


def record_fill(
    sheet: Sheet, section: Section, done: dict[str, Sheet], ending: str, makeup: Value, plant: Value | None = None
) -> None:  # fmt: skip
    """Record the fill of a state with its compensation fill, and the load on its crest."""
    scope = sheet.scope(f"slip_fill{ending}", say("scope-fill-title"))
    scope.take("p_M", makeup)
    _height(scope, done)
    fills = [FILL, *([PLATFORM] if section.platform else []), *zone_paths(section)]
    scope(sg.weight_with_compensation_fill, gamma=sheet.scopes[SOILS]["gamma"].at(soil=fills))
    scope(sg.weight_in_slip_analysis, gamma="gamma_ME")
    cell = done["unit_cell"]
    for name in ("gamma_E", "H", "gamma_P", "t_P"):
        scope.take(name, cell[name])
    zones = zones_of(done)
    if zones is None:
        scope(sg.lasting_pressure)
    else:
        scope.take("p_Z", least_pressure(done))
        scope(sg.lasting_pressure_with_zones)
    pressure = scope["p_last"]
    scope(sg.lasting_share, p_last=pressure.without(not_above_zero, NO_HEIGHT))
    scope.take("i_Q", cell["i_Q"].at(load="G+Q"))
    if plant is not None:
        scope.take("q_pl", plant)
    else:
        scope.given("q_pl", 0.0, origin=Origin("project rule", text=say("rule-q-pl")))
    scope(sg.load_on_crest)


def not_above_zero(numbers: NDArray[np.float64]) -> NDArray[np.bool_]:
    """Where nothing lies."""
    return ~(numbers > 0)


def record_strips(sheet: Sheet, strips: Scope, done: dict[str, Sheet]) -> None:
    """Record place and load of the strips on the crest, in the stages with traffic."""
    scope = sheet.scope(LOADS, say("scope-strips-title"))
    take_strips(scope, strips, ("x_ld", "b_ld", "Phi_0", "p_ld"))
    scope.take("i_Q", done["unit_cell"]["i_Q"].at(load="G+Q"))
    for step in (tr.left_edge_of_strip, tr.right_edge_of_strip, tr.strip_in_slip_analysis, tr.strip_of_stage):
        scope(step)


def record_gain(sheet: Sheet, ending: str, gain: Value) -> None:
    """Record the strength at the tops of the layers with the gain of a state."""
    scope = sheet.scope(f"slip_gain{ending}", say("scope-gain-title"))
    scope.take("Dc_u", gain)
    scope(design_strength_with_gain, c_ud="c_utg", c_u=sheet.scopes[SOILS]["c_ut"])


def _height(scope: Scope, done: dict[str, Sheet]) -> None:
    """Take the height over the ground, without a number where nothing lies."""
    height = place_of(done["columns"], "H_st")
    scope.take("H_st", height.without(~above(height.array, 0.0), NO_HEIGHT))


def _edges(scope: Scope, section: Section, done: dict[str, Sheet]) -> None:
    """Take the heights at both crest edges where they differ, without a number where nothing lies."""
    places, known = done["columns"].scopes[PLACES], scope["H_st"]
    for end in "lr" if section.embankment.lower else "":
        scope.take(f"H_{end}", places[f"H_{end}"])
        scope.take(f"H_st{end}", places[f"H_st{end}"].without(~known.valid, NO_HEIGHT))


def own_edge(step: Formula, section: Section) -> dict[str, str]:
    """The symbols of the heights at the own crest edge, where both differ, by the last letter of what a step gives."""
    end = step.symbol[-1]
    names = {"H": f"H_{end}", "H_st": f"H_st{end}"} if section.embankment.lower else {}
    return {name: symbol for name, symbol in names.items() if name in step.arguments}


def record_tie(sheet: Sheet, section: Section, place: int) -> None:
    """Record ends and friction of a layer across; what is folded back at its ends is left out, on the safe side."""
    layer, path = section.reinforcement[place], f"reinforcement.{place}"
    scope, places = sheet.scope(f"slip_tie_{place}", say("scope-tie-title", name=layer.name)), sheet.scopes[STRIP]
    given_of_section(scope, "z_rk", section, f"{path}.level", layer.level)
    for name in ("x_tl", "x_tr", "x_el", "x_er", "x_cl", "x_cr", "H_st", "H_stl", "H_str"):
        if name in places.values:
            scope.take(name, places[name])
    scope.take("z_g", sheet.scopes[SOILS]["z_g"])
    given_of_section(scope, "alpha_f", section, f"{path}.interaction", layer.interaction)
    # Wherever the layer lies: the fill or the zone with the least friction.
    friction = {FILL: section.embankment.phi} | {path: zone.phi for path, zone in zone_paths(section).items()}
    weakest = min(friction, key=lambda path: friction[path])
    scope(sg.friction_at_layer, phi_d=sheet.scopes[SOILS]["phi_d"].at(soil=weakest))
    _pull_out(scope, section, place)
    for step in (sg.layer_over_ground, sg.left_face_at_layer, sg.right_face_at_layer, sg.left_end_of_layer,
                 sg.right_end_of_layer):  # fmt: skip
        scope(step, **own_edge(step, section))


def _pull_out(scope: Scope, section: Section, place: int) -> None:
    """Length beyond the columns, friction on both faces and its divisor; without an anchorage that of the fill."""
    anchorage, path = section.reinforcement[place].anchorage, f"reinforcement.{place}.anchorage"
    if anchorage is None:
        rule = Origin("project rule", text=say("no-anchorage"))
        scope.given("L_b", 0.0, origin=rule)
        scope.given("f_tie", 1.0, origin=rule)
        scope.take("mu_po", scope["mu_sl"])
        scope.take("mu_pob", scope["mu_sl"])
        return
    given_of_section(scope, "L_b", section, f"{path}.length", anchorage.length)
    given_of_section(scope, "alpha_fb", section, f"{path}.interaction_below", anchorage.interaction_below)
    given_of_section(scope, "phi_bk", section, f"{path}.friction_below", anchorage.friction_below)
    scope(design_friction_angle, phi_d="phi_bd", phi="phi_bk")
    scope(sg.friction_at_layer, mu_sl="mu_slb", alpha_f="alpha_fb", phi_d="phi_bd")
    for name, field in (("f_n", "f_n"), ("f_pull", "f_po"), ("f_ms", "f_ms")):
        factor = getattr(anchorage, field)
        origin = origin_of(section, f"{path}.{field}.value")
        scope.given(name, factor.value, origin=origin, note=factor.source)
    scope(sg.pull_out_divisor)
    if anchorage.scale is None:
        scope.take("mu_po", scope["mu_sl"])
        scope.take("mu_pob", scope["mu_slb"])
        return
    origin = origin_of(section, f"{path}.scale.value")
    scope.given("alpha_sc", anchorage.scale.value, origin=origin, note=anchorage.scale.source)
    scope(sg.pull_out_friction_of_layer)
    scope(sg.pull_out_friction_of_layer, mu_po="mu_pob", mu_sl="mu_slb")
