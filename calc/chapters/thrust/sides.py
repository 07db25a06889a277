"""One side slope: tension from spreading, sliding on the reinforcement, sliding in the top of the ground below it."""

from calc.chapters.shared.column_zones import take_ratio
from calc.chapters.shared.earthquake import inertia_of_slope, thrust_coefficient
from calc.chapters.shared.frame import given_of_section
from calc.chapters.shared.geometry import EDGE
from calc.chapters.shared.soft_ground import Side, missing_strength, slope
from calc.chapters.shared.strips import pushing_load, strips_of
from calc.chapters.shared.zones import take_zones, zones_of
from calc.engine.formula import Formula
from calc.engine.levels import above
from calc.engine.sheet import Origin, Scope, Sheet, Verdict
from calc.engine.sheet.values import Array, Mask
from calc.engine.words import words_of
from calc.formulas.column_field import (
    design_friction_angle,
    equivalent_height,
    factored_unit_weight,
    favourable_slope_weight,
    height_above_reinforcement,
    spreading_tension_with_ground,
    traffic_of_stage,
)
from calc.formulas.earthquake import slope_weight_under_shaking
from calc.formulas.squeezing import (
    column_field_strength,
    slope_length,
)
from calc.formulas.thrust import (
    design_sliding_resistance,
    design_squeezing_tension,
    design_thrust,
    fill_thrust,
    ground_resistance_to_sliding,
    ground_thrust_share,
    height_above_ground,
    height_that_thrusts,
    required_sliding_friction,
    resistance_below_reinforcement,
    sliding_friction,
    sliding_resistance,
    slope_weight,
    squeezing_tension,
    thrust_below_reinforcement,
    thrust_not_held_below,
    traffic_thrust,
)
from calc.formulas.zones import (
    holding_unit_weight,
    level_of_thrust,
    thickness_that_holds,
    thrusting_unit_weight,
    zone_middle,
    zone_thickness_above,
)
from calc.inputs import Section

say = words_of(__name__)

NO_FILL = say("no-fill-above-this-level")
LOW_EDGE = say("low-edge")
BETWEEN = say("between")


OVER_GROUND = ("H_th", "H_G")
OF_AN_EDGE = ("H", "H_R", "H_G", "H_th", "beta_C")


def _weight_symbol(
    scope: Scope, done: dict[str, Sheet], height: str, step: Formula, plain: str, side: Side | None = None
) -> str:  # fmt: skip
    """Symbol of the unit weight of a fill without zones that thrusts, or of a slope that weighs, as much as this.

    ``side`` is that of the slope whose weight holds; without one the fill thrusts.
    """
    zones = zones_of(done)
    if zones is None:
        return plain
    if "t_zo" not in scope.values:
        take_zones(scope, done)
        over_ground = height in OVER_GROUND
        if over_ground:
            scope(level_of_thrust)
        else:
            scope.take("z_o", scope["z_R"])
        scope.take("H_o", scope["H_G" if over_ground else "H_R"])
        scope(zone_thickness_above)
        scope(zone_middle)
    if "h_zbE" not in zones:
        scope(step, gamma_E=plain, H=height)
    elif side is None:
        scope.take("h_zbE", zones["h_zbE"])
        scope(zone_thickness_above, t_zo="t_zk", h_zb="h_zbE")
        scope(zone_middle, h_zm="h_zmk", h_zb="h_zbE")
        scope(step, gamma_E=plain, H=height, t_zo="t_zk", h_zm="h_zmk")
    else:
        scope.take("i_zS", zones[f"i_zS{side.end}"])
        scope(thickness_that_holds)
        scope(step, gamma_E=plain, H=height, t_zo="t_zs")
    return step.symbol


def heights(sheet: Sheet, section: Section, side: Side) -> None:
    """Heights of fill at the crest edge of one side; nothing where the crest is level: they are those of the sheet."""
    scope = scope_of_side(sheet, side)
    if scope is sheet:
        return
    scope(height_above_reinforcement)
    scope(height_above_ground)
    if section.makeup_fill:
        scope(height_that_thrusts, s="s_th")
    else:
        scope.take("H_th", scope["H_G"])


def scope_of_side(sheet: Sheet, side: Side) -> Scope | Sheet:
    """Where the heights of a side stand."""
    return sheet.scopes.get(f"{EDGE}{side.ending}", sheet)


def not_above_ground(height: Array) -> Mask:
    """Where a height is none."""
    return ~above(height, 0.0)


def _side(sheet: Sheet, name: str, title: str, side: Side, holds: str = "") -> Scope:
    """A scope of one side with its heights; that by which its slope holds has no number where no fill lies."""
    scope, edge = sheet.scope(f"{name}{side.ending}", title), scope_of_side(sheet, side)
    for symbol in OF_AN_EDGE if edge is not sheet else ():
        value = edge[symbol]
        scope.take(symbol, value.without(not_above_ground, NO_FILL) if symbol == holds else value)
    return scope


def push(scope: Scope, section: Section, done: dict[str, Sheet], side: Side, height: str = "H_th") -> None:
    """The thrust at the crest edge with its factors, from what is given; down to the ground unless said otherwise."""
    scope(factored_unit_weight, gamma_E=_weight_symbol(scope, done, height, thrusting_unit_weight, "gamma_Em"))
    strips = strips_of(done)
    if strips is None:
        scope(traffic_of_stage)
    scope(design_friction_angle, phi_d="phi_E", phi="phi_Ek")
    thrust_coefficient(scope, section, done)
    if strips is not None:
        scope(
            traffic_of_stage, q=pushing_load(scope, section, strips, side.pushed_side, height, K_a="K_aE", phi="phi_E")
        )
    scope(fill_thrust, K_a="K_aE", gamma_E="gamma_Ed", H=height)
    scope(traffic_thrust, K_a="K_aE", q="q_st", H=height)
    scope(design_thrust)


def spreading(sheet: Sheet, section: Section, done: dict[str, Sheet], side: Side) -> Scope:
    """Tension of one side: the thrust less the share of the ground, with the shear that holds the ground back."""
    scope = _side(sheet, "slope", say("slope-title", side_words=side.words), side)
    push(scope, section, done, side)
    slope(scope, section, side)
    drives = inertia_of_slope(scope, section, "H_G")
    share_of_ground(scope, section, done, drives)
    _held_ground(scope, section, done, side)
    scope(design_squeezing_tension)
    scope(spreading_tension_with_ground, E_ad=drives, T_sq="T_sqd")
    return scope


def share_of_ground(scope: Scope, section: Section, done: dict[str, Sheet], drives: str) -> None:
    """Thrust that the ground carries at its top, if the project asks for it and its strength is known."""
    share, missing = section.column_field and section.column_field.thrust_in_ground, missing_strength(section)
    if not share or missing:
        words = say("no-strength", missing=missing) if share else say("share-of-ground-words")
        scope.given("E_g", 0.0, origin=Origin("project rule", text=say("none-counted", words=words)))
        return
    given_of_section(scope, "alpha_g", section, "field.thrust_in_ground", share)
    scope(slope_length)
    scope.take("c_u0e", done["bearing"]["c_u0e"], note=say("take-c-u0e-note"))
    take_ratio(scope, section, done, largest=True)
    scope(column_field_strength, c_uf="c_u0f", c_u="c_u0e")
    scope(ground_thrust_share, E_ad=drives, c_u0="c_u0f")


def _held_ground(scope: Scope, section: Section, done: dict[str, Sheet], side: Side) -> None:
    """Shear of the ground that the reinforcement holds back at its top."""
    share, missing = section.column_field and section.column_field.hold_top, missing_strength(section)
    if not share or missing:
        words = say("no-strength", missing=missing) if share else say("held-ground-words")
        scope.given("T_sq", 0.0, origin=Origin("project rule", text=say("none-counted", words=words)))
        if share:
            why = say("held-ground-why", missing=missing)
            scope.sheet.not_verified(f"tension_at_top{side.ending}", say("open-tension-at-top-title"), why)
        return
    given_of_section(scope, "alpha_t", section, "field.hold_top", share)
    scope.take("c_u0g", done["bearing"]["c_u0g"], note=say("take-c-u0g-note"))
    # As long as the block that squeezing counts this shear for: platform and fill.
    scope.take("p_P", done["unit_cell"]["p_P"])
    scope(equivalent_height)
    scope(slope_length, L_S="L_Sq", H="H_q")
    scope(squeezing_tension, c_u0="c_u0g", L_S="L_Sq")


def _weight(scope: Scope, section: Section, done: dict[str, Sheet], side: Side, height: str) -> None:
    """Weight of the side slope, which holds it: without compensation fill, by the lighter unit weight."""
    slope(scope, section, side)
    known = scope[height]
    if height not in scope.values:
        scope.take(height, known.without(not_above_ground, NO_FILL))
    scope(slope_weight, gamma_E=_weight_symbol(scope, done, height, holding_unit_weight, "gamma_El", side), H=height)
    scope(favourable_slope_weight)


def sliding(sheet: Sheet, section: Section, done: dict[str, Sheet], side: Side, layer: int, bank: list[str]) -> None:
    """The side slope slides outward on the reinforcement; only friction under its own weight holds it."""
    title = say("sliding-title", side_words=side.words)
    scope = _side(sheet, "sliding", title, side, "H_R")
    _weight(scope, section, done, side, "H_R")
    if section.makeup_fill:
        scope(height_that_thrusts, H_th="H_tR", H_G="H_R", s="s_th")
        push(scope, section, done, side, "H_tR")
    else:
        push(scope, section, done, side, "H_R")
    drives, weight = _friction(scope, section, layer)
    scope(required_sliding_friction, E_ad=drives, W_S=weight)
    scope(sliding_friction, phi="phi_E")
    _settle(scope, f"sliding{side.ending}", title, bank, drives)


def low_edge(
    sheet: Sheet, section: Section, done: dict[str, Sheet], side: Side, layer: int, low: list[str]
) -> None:  # fmt: skip
    """The edge of the platform or of a first lift slides on the reinforcement: the same, of a step that is not made up.

    Thrust and weight are those of the step as it is built: what its settlement takes is made up, if at all, with the
    slope and not behind it alone.
    """
    key = f"low_edge{side.ending}"
    title = say("low-edge-title", side_words=side.words)
    scope = _side(sheet, "low_edge", title, side, "H_R")
    _weight(scope, section, done, side, "H_R")
    push(scope, section, done, side, "H_R")
    drives, _ = _friction(scope, section, layer)
    _settle(scope, key, title, low, drives, note=LOW_EDGE)


def _friction(scope: Scope, section: Section, layer: int) -> tuple[str, str]:
    """Resistance by friction under the slope; the symbols of what drives it and of the weight that holds it."""
    drives, weight = inertia_of_slope(scope, section, "H_R"), "W_Sd"
    if section.earthquake is not None:
        weight = scope(slope_weight_under_shaking).symbol
    path = f"reinforcement.{layer}.interaction"
    given_of_section(scope, "alpha_i", section, path, section.reinforcement[layer].interaction)
    scope(sliding_resistance, W_S=weight, phi="phi_E")
    scope(design_sliding_resistance)
    return drives, weight


def fill_between(sheet: Sheet, side: Side, bank: list[str]) -> None:
    """The fill between ground and reinforcement slides out below the reinforcement, which lies above the ground."""
    key = f"fill_between{side.ending}"
    title = say("fill-between-title", side_words=side.words)
    scope = sheet.scope(key, title)
    on, below_it = (sheet.scopes[f"{name}{side.ending}"] for name in ("sliding", "sliding_below"))
    drives = "E_adE" if "E_adE" in on else "E_ad"
    scope.take("E_ad", below_it[drives])
    scope.take("E_aR", on[drives])
    effect = scope(thrust_below_reinforcement)
    scope.take("R_hd", on["R_hd"], note=say("take-r-hd-note"))
    scope.take("R_hgd", below_it["R_hgd"])
    held = scope(resistance_below_reinforcement)
    verdict = sheet.verdict(key, title, effect=effect.at(stage=bank), resistance=held.at(stage=bank), note=BETWEEN)
    sheet.leads[key] = dict(verdict.case)


def below(sheet: Sheet, section: Section, done: dict[str, Sheet], side: Side) -> Scope:
    """Slope and reinforcement slide together in the top of the ground: the thrust that is left to the reinforcement.

    The chapter on the reinforcement verifies it against the strength that each layer has left.
    """
    title = say("below-title", side_words=side.words)
    scope = _side(sheet, "sliding_below", title, side, "H_G")
    push(scope, section, done, side)
    _weight(scope, section, done, side, "H_G")
    scope(slope_length, L_S="L_R", H="H_G")
    _strengths(scope, section, done)
    take_ratio(scope, section, done, largest=True)
    scope(ground_resistance_to_sliding, c_u0="c_u0e", L_S="L_R")
    scope(design_sliding_resistance, R_hd="R_hgd", R_h="R_hg")
    scope(thrust_not_held_below, E_ad=inertia_of_slope(scope, section, "H_G"))
    return scope


def _strengths(scope: Scope, section: Section, done: dict[str, Sheet]) -> None:
    """Strength of the soil without gain; none where it is unknown or where its shear acts outward."""
    field, missing = section.column_field, missing_strength(section)
    if missing:
        rule = say("strengths-rule", missing=missing)
    elif field is not None and field.hold_top:
        rule = say("strengths-rule-2")
    else:
        scope.take("c_u0e", done["bearing"]["c_u0e"], note=say("take-c-u0e-note"))
        return
    scope.given("c_u0e", 0.0, origin=Origin("project rule", text=rule))


def _settle(scope: Scope, key: str, title: str, stages: list[str], drives: str, note: str = "") -> Verdict:
    """Compare thrust and resistance; the chain prints at the case that governs here."""
    effect, held = scope[drives].at(stage=stages), scope["R_hd"].at(stage=stages)
    verdict = scope.sheet.verdict(key, title, effect=effect, resistance=held, note=note)
    scope.sheet.leads[scope.name] = dict(verdict.case)
    return verdict
