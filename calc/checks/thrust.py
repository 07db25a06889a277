"""Lateral thrust of the embankment at its shoulders, tension from spreading, sliding of the side slopes.

Later chapters take from the sheet itself: ``T_spr``, the tension of the reinforcement from spreading over (variant,
stage), of the side where it is larger. It holds the thrust that the soft ground does not carry and, where the
reinforcement holds the ground back at its top, that shear. ``E_ad`` is the thrust alone.
"""

import numpy as np

from calc.checks.frame import chapter, given_of_section, origin_of
from calc.checks.sketch_thrust import thrust_sketch
from calc.checks.squeeze_ground import Side, factors, missing_strength, sides, slope, stage_loads
from calc.checks.tables import envelope_table
from calc.formulas.column_field import (
    design_friction_angle,
    favourable_slope_weight,
    height_above_reinforcement,
    spreading_tension_with_ground,
)
from calc.formulas.ground import active_coefficient
from calc.formulas.squeezing import column_field_strength, slope_length
from calc.formulas.thrust import (
    design_sliding_resistance,
    design_thrust,
    fill_thrust,
    ground_thrust_share,
    sliding_resistance,
    slope_weight,
    squeezing_tension,
    traffic_thrust,
)
from calc.inputs import Design, Section
from calc.sheet import Origin, Scope, Sheet

ACROSS = ("across", "both")


def thrust(design: Design, section: Section, done: dict[str, Sheet]) -> Sheet:
    """Thrust, spreading tension of the larger side, and sliding on the reinforcement for every stage and factor set."""
    sheet = chapter("thrust", design, section)
    stage_loads(sheet, done)
    _levels(sheet, section)
    _thrust(sheet, section)
    factors(sheet, design, section, (("gamma_Gf", "gamma_G_fav"), ("gamma_Rh", "gamma_R_h")))
    scopes = [_side(sheet, section, done, side) for side in sides(section)]
    _larger_side(sheet, scopes)
    for scope, side in zip(scopes, sides(section), strict=True):
        _sliding(sheet, section, scope, side)
    sheet.figures.append(thrust_sketch(section))
    sheet.tables.append(
        envelope_table("spreading-stages", "Tension of the reinforcement from spreading by stage and factor set",
                       sheet["T_spr"], "stage", "variant", note="Larger of the two sides, per metre of embankment.")
    )  # fmt: skip
    _limits(sheet, section)
    return sheet


def _levels(sheet: Sheet, section: Section) -> None:
    """Level above which the fill thrusts: the lowest reinforcement across, or the ground."""
    if section.platform is None:
        given_of_section(sheet, "z_P", section, "ground_level", section.ground_level)
    else:
        level = section.ground_level + section.platform.thickness
        sheet.reading("z_P", level, title="Ground level and thickness of the working platform")
    across = [k for k, layer in enumerate(section.reinforcement) if layer.direction in ACROSS]
    if across:
        lowest = min(across, key=lambda k: section.reinforcement[k].level)
        path = f"reinforcement.{lowest}.level"
        given_of_section(sheet, "z_R", section, path, section.reinforcement[lowest].level)
    else:
        note = "no layer of reinforcement across the embankment is given"
        sheet.given("z_R", section.ground_level, origin=origin_of(section, "ground_level"), note=note)
    sheet(height_above_reinforcement)


def _thrust(sheet: Sheet, section: Section) -> None:
    given_of_section(sheet, "phi_Ek", section, "embankment.phi", section.embankment.phi)
    sheet(design_friction_angle, phi_d="phi_E", phi="phi_Ek")
    sheet(active_coefficient, K_a="K_aE", phi="phi_E")
    sheet(fill_thrust, K_a="K_aE", gamma_E="gamma_Ed", H="H_R")
    sheet(traffic_thrust, K_a="K_aE", q="q_st", H="H_R")
    sheet(design_thrust)


def _side(sheet: Sheet, section: Section, done: dict[str, Sheet], side: Side) -> Scope:
    """Spreading tension of one side: the thrust less the share of the ground, with the shear that holds the ground."""
    scope = sheet.scope(f"slope{side.ending}", f"Spreading and sliding, {side.words}")
    slope(scope, section, side)
    scope(slope_length)
    field = section.column_field
    shares = (field.thrust_in_ground or 0.0, field.hold_top or 0.0) if field else (0.0, 0.0)
    known = not missing_strength(section)
    names = (("alpha_g", "E_g", "thrust_in_ground"), ("alpha_t", "T_sq", "hold_top"))
    for (share, force, key), value in zip(names, shares, strict=True):
        if value and known:
            given_of_section(scope, share, section, f"field.{key}", value)
        else:
            words = f"field.{key} is not given or 0" if not value else f"{missing_strength(section)} is not given"
            scope.given(force, 0.0, origin=Origin("project rule", text=f"none counted: {words}"))
    if shares[0] and known:
        scope.take("a_E", done["columns"]["a_E"])
        scope.take("c_u0e", done["bearing"]["c_u0e"], note="without a gain of strength")
        scope(column_field_strength, c_uf="c_u0f", c_u="c_u0e")
        scope(ground_thrust_share, c_u0="c_u0f")
    if shares[1] and known:
        scope.take("c_u0g", done["bearing"]["c_u0g"], note="not divided by a factor: the strength pulls here")
        scope(squeezing_tension, c_u0="c_u0g")
    if shares[1] and not known:
        why = f"{missing_strength(section)} is not given, so the shear that field.hold_top asks for is unknown."
        sheet.not_verified(f"tension_at_top{side.ending}", "Shear held back by the reinforcement", why)
    scope(spreading_tension_with_ground)
    return scope


def _larger_side(sheet: Sheet, scopes: list[Scope]) -> None:
    values = [scope["T_spr"] for scope in scopes]
    if len(values) == 1:
        sheet.take("T_spr", values[0])
        return
    larger = np.maximum(values[0].array, values[1].array)
    axes = values[0].axis_names
    sheet.reading("T_spr", larger, axes, title="Tension from spreading, the larger of the two sides", inputs=values)


def _sliding(sheet: Sheet, section: Section, scope: Scope, side: Side) -> None:
    """The side slope slides outward on the reinforcement; only friction under its own weight holds it."""
    key, title = f"sliding{side.ending}", f"Sliding of the side slope on the reinforcement, {side.words}"
    across = [k for k, layer in enumerate(section.reinforcement) if layer.direction in ACROSS]
    if not across:
        why = "No layer in [[reinforcement]] has the direction across or both."
        sheet.not_verified(key, title, why)
        return
    least = min(across, key=lambda k: section.reinforcement[k].interaction)
    path = f"reinforcement.{least}.interaction"
    given_of_section(scope, "alpha_i", section, path, section.reinforcement[least].interaction)
    scope(slope_weight, H="H_R")
    scope(favourable_slope_weight)
    scope(sliding_resistance, W_S="W_Sd", phi="phi_E")
    scope(design_sliding_resistance)
    height = sheet["H_R"]
    filled = [label for label, one in zip(height.labels("stage"), height.array, strict=True) if one > 0]
    effect, resistance = sheet["E_ad"].at(stage=filled), scope["R_hd"].at(stage=filled)
    sheet.verdict(key, title, effect=effect, resistance=resistance)


def _limits(sheet: Sheet, section: Section) -> None:
    sheet.limitation(
        "thrust-active",
        "The thrust is that of the active state on a smooth vertical plane at the shoulder; earth pressure at rest and "
        "pressure from compaction are not counted.",
        "EBGEO (2010), ch. 4 ◦",
    )
    if section.platform is not None and section.platform.gamma > section.embankment.gamma:
        sheet.limitation(
            "thrust-platform",
            "The working platform is heavier than the fill; above the reinforcement it is taken with the unit weight "
            "of the fill.",
            "project rule",
        )
    if section.embankment.c > 0:
        sheet.limitation(
            "thrust-cohesion",
            "The cohesion of the fill is not counted: it could only lessen the thrust.",
            "project rule",
        )
