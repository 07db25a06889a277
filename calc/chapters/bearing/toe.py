"""Pressure of the columns on the bearing layer against EN 1997-1, Annex D."""

import numpy as np

from calc.chapters.shared.frame import FACTORED, MID, SHORT, at_labels, given_of_section
from calc.chapters.shared.heads import has_heads, stress_below_base
from calc.chapters.shared.soft_ground import factors
from calc.engine.sheet import Scope, Sheet, Value
from calc.engine.words import words_of
from calc.formulas.bearing import (
    cohesion_factor,
    cohesion_shape_factor,
    column_stress_from_actions,
    column_stress_from_effects,
    design_bearing_pressure,
    design_cohesion,
    design_column_stress,
    design_undrained_strength,
    drained_toe_resistance,
    overburden_factor,
    overburden_shape_factor,
    toe_overburden,
    toe_width,
    undrained_toe_resistance,
    weight_factor,
)
from calc.formulas.column_field import (
    buoyant_unit_weight,
    column_unit_weight_at_toe,
    design_friction_angle,
    whole_load_on_column,
)
from calc.formulas.pore_pressure import toe_overburden_with_head
from calc.inputs import Design, Section

say = words_of(__name__)

FROM_GROUND = ("p_0", "gamma_w", "gamma_cd", "gamma_cr", "d_s")
WHOLE_LOAD = say("whole-load")
# Verdicts on the final state whose effect grows where the water falls, because ground and fill lose buoyancy.
LOADED_BY_LOW_WATER = (
    "toe_bearing", "toe_bearing_undrained", "shaft_and_toe", "shaft_and_toe_undrained", "ring_tension",
    "ring_tension_iso", "ring_strain", "creep_strain", "sharing_length",
    "settlement_total", "settlement_elastic_plastic", "settlement_residual", "settlement_below_toe", "settlement_life",
    "settlement_rest",
)  # fmt: skip
ANNEX_D = "EN 1997-1:2004 + A1:2013, Annex D ◦"


def toe(sheet: Sheet, design: Design, section: Section, done: dict[str, Sheet]) -> None:
    """The largest stress that the cell gives the column, on the layer that its toe stands in."""
    scope = sheet.scope("toe", say("scope-toe-title"))
    pressure(scope, section, done)
    drained_resistance(scope, design, section, done)
    scope(design_bearing_pressure)
    sheet.verdict("toe_bearing", say("verdict-toe-bearing-title"), effect=scope["sigma_td"],
                  resistance=scope["sigma_Rd"])  # fmt: skip
    if section.bearing_layer.c_u is not None:
        _undrained_resistance(sheet, design, section, done)
    sheet.limitation("toe-annex-d", say("limitation-toe-annex-d"), ANNEX_D)
    if section.bearing_layer.c_u is None:
        sheet.limitation("toe-drained", say("limitation-toe-drained"), "project rule")
    sheet.limitation("toe-punching", say("limitation-toe-punching"), ANNEX_D)
    water_of_final_state(sheet, section)


def water_of_final_state(sheet: Sheet, section: Section) -> None:
    """Say where no persistent stage has the lowest or the highest water level."""
    settled = {stage.water for stage in section.stages if stage.situation == "persistent"}
    low, high = section.water[0].name, section.water[-1].name
    if low not in settled:
        text = say("limitation-toe-water-low", name=low)
        sheet.limitation(
            "toe-water-low", text, "project file", turns=lambda verdict: verdict.key in LOADED_BY_LOW_WATER
        )
    if high not in settled:
        sheet.limitation("toe-water-high", say("limitation-toe-water-high", name=high), "project file")


def pressure(scope: Scope, section: Section, done: dict[str, Sheet]) -> None:
    """Design stress of the column on its toe; of a floating column the largest along it, which its shaft shares."""
    for name in FROM_GROUND:
        scope.take(name, done["ground"][name])
    for name in ("t_soft", "t_emb", "A_c"):
        scope.take(name, done["columns"][name])
    given_of_section(scope, "gamma_br", section, "bearing_layer.gamma_sat", section.bearing_layer.gamma_sat)
    scope(buoyant_unit_weight)
    _overburden(scope, done["ground"])
    tension = done["unit_cell"].scopes["tension"]
    floating = section.columns.floating is not None
    loads = (("G", "sigma_cwG", "Dsigma_vcG"), ("G+Q", "sigma_cw", "Dsigma_vcGQ"))
    for load, whole, name in loads:
        instead = scope(whole_load_on_column, sigma_cw=whole, Dsigma_0=tension["Dsigma_0"].at(load=load))
        along = tension["Dsigma_vc"].at(load=load)
        title = say("otherwise-largest-title", load=load) if floating else say("otherwise-pressure-title", load=load)
        scope.otherwise(name, most_loaded(along) if floating else at_toe(along), instead, title=title, note=WHOLE_LOAD)
    scope(column_stress_from_effects)
    factored = {"combination": FACTORED, "stiffness": SHORT, "point": MID}
    ring = done["unit_cell"].scopes["ring"]
    instead = scope(whole_load_on_column, sigma_cw="sigma_cwA", Dsigma_0=at_labels(ring["Dsigma_0"], **factored))
    along = at_labels(ring["Dsigma_vc"], **factored)
    title = say("otherwise-largest-vca-title") if floating else say("otherwise-dsigma-vca-title")
    scope.otherwise("Dsigma_vcA", most_loaded(along) if floating else at_toe(along), instead, title=title,
                    note=WHOLE_LOAD)  # fmt: skip
    scope(column_stress_from_actions)
    scope(design_column_stress)


def at_toe(value: Value) -> Value:
    """The value in the lowest sublayer."""
    return value.at(layer=value.labels("layer")[-1])


def most_loaded(value: Value) -> Value:
    """The largest over the sublayers; no number where one of them has none, whose column carries the whole load."""
    largest = value.largest(*(name for name in value.axis_names if name != "layer"))
    return largest.without(np.asarray(~value.valid.all(axis=value.axis_names.index("layer"))), value.reason)


def _overburden(scope: Scope, ground: Sheet) -> None:
    """Initial stress of soil and column at toe level; the bearing layer has the head of the aquifer."""
    if has_heads(ground):
        scope(toe_overburden_with_head, sigma_iB=stress_below_base(ground))
        scope(column_unit_weight_at_toe)
        scope(toe_overburden_with_head, sigma_v0t="sigma_v0ct", sigma_iB=stress_below_base(ground, "sigma_icp"),
              gamma_b="gamma_ct")  # fmt: skip
        return
    scope(toe_overburden, w=ground["w"])
    scope(column_unit_weight_at_toe)
    scope(toe_overburden, sigma_v0t="sigma_v0ct", w=ground["w_c"], gamma_b="gamma_ct")


def drained_resistance(
    scope: Scope, design: Design, section: Section, done: dict[str, Sheet], name: str = "sigma_R"
) -> None:
    """Ultimate pressure under the toe by Annex D, with design strengths."""
    layer = section.bearing_layer
    given_of_section(scope, "phi", section, "bearing_layer.phi", layer.phi)
    given_of_section(scope, "c", section, "bearing_layer.c", layer.c)
    scope.take("gamma_phi", done["basis"]["gamma_phi"])
    factors(scope, design, section, (("gamma_c", "gamma_c"),))
    scope(design_friction_angle)
    scope(design_cohesion)
    scope(toe_width)
    for step in (overburden_factor, weight_factor, overburden_shape_factor, cohesion_factor):
        scope(step, **({"phi": "phi_d"} if "phi" in step.arguments else {}))
    scope(cohesion_shape_factor)
    scope(drained_toe_resistance, c="c_d", sigma_R=name)


def _undrained_resistance(sheet: Sheet, design: Design, section: Section, done: dict[str, Sheet]) -> None:
    """The same pressure, written out again at the case at which the undrained resistance governs."""
    scope = sheet.scope("toe_undrained", say("scope-toe-undrained-title"))
    pressure(scope, section, done)
    given_of_section(scope, "c_u", section, "bearing_layer.c_u", section.bearing_layer.c_u or 0.0)
    factors(scope, design, section, (("gamma_cu", "gamma_cu"),))
    scope(design_undrained_strength)
    scope(undrained_toe_resistance, c_u="c_ud")
    scope(design_bearing_pressure)
    sheet.verdict("toe_bearing_undrained", say("verdict-toe-bearing-undrained-title"), effect=scope["sigma_td"],
                  resistance=scope["sigma_Rd"])  # fmt: skip
