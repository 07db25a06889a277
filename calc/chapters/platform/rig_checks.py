"""Both tracks together, the column heads under the rig, the edge of the platform."""

import numpy as np

from calc.chapters.platform.thickness import withhold_below_range
from calc.chapters.platform.track_loads import AFTER
from calc.chapters.shared.column_zones import largest_of_grids, zone_sheets
from calc.chapters.shared.frame import given_of_section
from calc.engine.levels import above
from calc.engine.sheet import Sheet
from calc.engine.words import words_of
from calc.formulas.ground import active_coefficient
from calc.formulas.loads import factored_friction_angle
from calc.formulas.working_platform import (
    bearing_under_both_tracks,
    design_friction_of_edge,
    design_platform_pressure,
    factor_on_rig,
    length_under_both_tracks,
    pressure_at_base,
    pressure_of_both_tracks,
    ring_tension_at_head,
    slope_of_edge,
    stress_on_head,
    width_under_both_tracks,
)
from calc.inputs import Section
from calc.inputs.tables.rig import Rig

say = words_of(__name__)


def pair(sheet: Sheet, rig: Rig) -> None:
    """Tracks closer than twice the loaded width and the thickness act on the ground together."""
    title = say("pair")
    wide = float(sheet["W_lo"].array)
    thick = float(sheet["t_P"].array)
    if not above(2 * wide + thick, rig.track_distance - wide):
        sheet.not_applicable("platform_pair", title, say("pair-apart"))
        return
    scope = sheet.scope("pair", title)
    steps = (width_under_both_tracks, length_under_both_tracks, pressure_of_both_tracks, bearing_under_both_tracks)
    for step in steps:
        scope(step)
    made = sheet.verdict("platform_pair", title, effect=scope["p_pair"], resistance=scope["q_pair"])
    withhold_below_range(sheet, scope, rig, made)


def heads(sheet: Sheet, section: Section, done: dict[str, Sheet]) -> None:
    """The sleeve at a head that takes the whole load of its cell, the widest, while the rig passes over it."""
    zones = zone_sheets(section, done)
    title = say("heads")
    scope = sheet.scope("heads", title)
    built = sheet.axes["stage"][0]
    for name in ("gamma_G", "f_G", "gamma_Q", "gamma_QS", "gamma_phi"):
        scope.take(name, done["basis"][name].at(stage=built))
    scope(factor_on_rig)
    scope(design_platform_pressure, q_op="q_hd", f_op="f_hd")
    scope(pressure_at_base, q_op="q_hd")
    largest_of_grids(scope, "A_E", done["columns"]["A_E"], [zone.done["columns"]["A_E"] for zone in zones])
    for name in ("A_c", "r_geo"):
        scope.take(name, done["columns"][name])
    scope(stress_on_head)
    scope.take("phi_ck", done["unit_cell"]["phi_ck"])
    scope(factored_friction_angle)
    scope(active_coefficient, K_a="K_ac", phi="phi_c")
    scope(ring_tension_at_head)
    sleeve = done["sleeve"]
    resistances = [sleeve.scopes[name][symbol] for name, symbol in (("factors", "R_Bd"), ("iso20432", "R_TD"))
             if name in sleeve.scopes]  # fmt: skip
    weakest = min(resistances, key=lambda value: float(np.min(value.at(stage=built).array)))
    scope.take("R_Bd", weakest.at(stage=built), note=say("heads-note"))
    sheet.verdict("platform_heads", title, effect=scope["F_hd"], resistance=scope["R_Bd"], note=AFTER)


def edge(sheet: Sheet, section: Section, rig: Rig, done: dict[str, Sheet]) -> None:
    """Distance of what the tracks load from the edge, and the slope of the edge itself."""
    title, far = say("edge"), sheet["a_lo"]
    if float(sheet["t_P"].array) <= float(far.array):  # as the formulas that count the outer face
        sheet.verdict("platform_edge", title, effect=sheet["t_P"], resistance=far)
    elif rig.edge_proof is not None:
        sheet.accepted("platform_edge", title, rig.edge_proof)
    else:
        sheet.not_verified("platform_edge", title, say("edge-near"))
    scope = sheet.scope("edge", say("edge-slope"))
    given_of_section(scope, "n_edge", section, "platform.rig.edge_slope", rig.edge_slope)
    scope(slope_of_edge)
    scope.take("gamma_phi", done["basis"]["gamma_phi"].at(stage=sheet.axes["stage"][0]))
    scope(design_friction_of_edge)
    sheet.verdict("platform_edge_slope", say("edge-slope"), effect=scope["t_edge"], resistance=scope["t_phi"])
