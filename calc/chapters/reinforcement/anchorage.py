"""Laps of the sheets, and anchorage of the layers across beyond the outermost columns."""

import numpy as np

from calc.chapters.reinforcement.layer_resistance import Member
from calc.chapters.shared.edges import stages_with_fill
from calc.chapters.shared.frame import given_of_section, origin_of
from calc.chapters.shared.geometry import EDGE, at_edge
from calc.chapters.shared.missing import not_given
from calc.chapters.shared.soft_ground import Side, sides, slope
from calc.engine.levels import above
from calc.engine.sheet import Origin, Scope, Sheet, Value, number_text
from calc.engine.sheet.values import Mask
from calc.engine.words import words_of
from calc.formulas.column_field import height_above_reinforcement
from calc.formulas.earthquake import favourable_weight_under_shaking
from calc.formulas.loads import factored_friction_angle
from calc.formulas.mat import (
    cover_at_end,
    cover_at_outermost_columns,
    cover_of_fold_back,
    covered_length,
    end_from_toe,
    favourable_unit_weight,
    fill_from_toe_to_end,
    fill_from_toe_to_inner_end,
    fill_from_toe_to_inner_end_below_falling_crest,
    height_of_fold,
    mean_cover_along_fold,
    tension_to_anchor,
    total_anchorage,
)
from calc.formulas.reinforcement import (
    anchorage_length,
    anchorage_on_the_layer,
    anchorage_pressure,
    anchorage_resistance,
    fold_back_length,
    interface_friction,
    lap_length,
    length_clear_of_fold,
    length_of_anchorage,
    mean_cover,
    pull_out_friction,
    straight_resistance_under_fold,
)
from calc.inputs import Section
from calc.inputs.tables.sleeve import Anchorage, Factor, Overlap
from calc.procedures.cover import least_mean_weight

say = words_of(__name__)

LEAST_SCALE = 0.6  # scale factor of pull-out, least of geosynthetics
LEAST_LENGTH = 0.9  # m, 3 ft
NO_COVER = say("no-fill-over-it")


def lap(sheet: Sheet, section: Section, member: Member) -> None:
    """The lap of two sheets hands the tension over by friction; without one the kind of joint is stated."""
    key = f"lap_{member.words}{member.ending}"
    title = say("lap-title", member_words=member.words, name=member.layer.name)
    overlap = member.layer.overlap
    if overlap is not None:
        _lap(sheet, section, member, overlap, key)
    elif member.layer.joint is not None:
        sheet.accepted(key, title, say("joined", joint=member.layer.joint))
    else:
        sheet.not_verified(key, title, say("lap-why", name=member.layer.name))


def _lap(sheet: Sheet, section: Section, member: Member, overlap: Overlap, key: str) -> None:
    scope = sheet.scope(key, say("scope-lap-title", name=member.layer.name, member_words=member.words))
    path = f"{member.path}.overlap"
    scope.take("T_rd", sheet.scopes[member.scope]["T_rd"])
    _height(scope, section, member, section.embankment.lower)
    filled = scope["H_R"]
    scope.take("h_an", filled.without(~above(filled.array, 0.0), NO_COVER))
    _unit_weight(scope, filled)
    scope(anchorage_pressure, gamma_E=_weight_on_layer(scope))
    given_of_section(scope, "alpha_f", section, f"{path}.interaction", overlap.interaction)
    _factor(scope, section, "f_ms", f"{path}.f_ms", overlap.f_ms)
    _factor(scope, section, "f_pull", f"{path}.f_po", overlap.f_po)
    scope(interface_friction, phi="phi_E")
    scope(lap_length)
    length = given_of_section(scope, "L_lapg", section, f"{path}.length", overlap.length)
    title = say("lap-title-2", member_words=member.words, name=member.layer.name)
    sheet.verdict(key, title, effect=scope["L_lap"], resistance=length)


def _factor(scope: Scope, section: Section, name: str, path: str, factor: Factor) -> None:
    scope.given(name, factor.value, origin=origin_of(section, f"{path}.value"), note=factor.source)


def _weight_on_layer(scope: Scope, weight: str = "gamma_Ef") -> str:
    """Symbol of the unit weight that presses on a layer: an earthquake lifts it."""
    if "f_vu" not in scope:
        return weight
    lifted = "gamma_EfE" if weight == "gamma_Ef" else "gamma_EuE"
    if lifted not in scope:
        scope(favourable_weight_under_shaking, gamma_EfE=lifted, gamma_Ef=weight)
    return lifted


def _height(scope: Scope, section: Section, member: Member, side: str) -> None:
    """Height of fill above the layer, at the crest edge of a side where the crest falls."""
    at_edge(scope, f"_{side}")
    given_of_section(scope, "z_R", section, f"{member.path}.level", member.layer.level)
    scope(height_above_reinforcement)


def anchorage(sheet: Sheet, section: Section, member: Member) -> None:
    """Friction on both faces beyond the outermost columns and of the part folded back, for each side."""
    for side in sides(section):
        key = f"anchorage{member.ending}{side.ending}"
        title = say("anchorage-title", side_words=side.words, name=member.layer.name)
        ends = member.layer.anchorage
        missing = []
        if ends is None:
            missing.append(say("no-anchorage", name=member.layer.name))
        if side.extent is None:
            missing.append(say("no-extent", path=side.extent_path))
        if ends is None or side.extent is None:
            sheet.not_verified(key, title, not_given("; ".join(missing)))
        else:
            _anchorage(sheet, section, member, side, ends, key)


def _anchorage(sheet: Sheet, section: Section, member: Member, side: Side, ends: Anchorage, key: str) -> None:
    title = say("anchorage-title", side_words=side.words, name=member.layer.name)
    scope = sheet.scope(key, title)
    path = f"{member.path}.anchorage"
    scope.take("T_rd", sheet.scopes[member.scope]["T_rd"])
    _cover(scope, section, member, side, ends)
    _friction(scope, section, member, ends)
    lying = _fold_back(scope, section, member, ends, side)
    if lying:
        scope(length_clear_of_fold)
        scope(straight_resistance_under_fold)
    else:
        scope(anchorage_resistance, L_b="L_be")
    for name, field in (("f_n", "f_n"), ("f_pull", "f_po")):
        _factor(scope, section, name, f"{path}.{field}", getattr(ends, field))
    scope(tension_to_anchor)
    scope(total_anchorage)
    filled = stages_with_fill(scope["H_R"])
    resistance = scope["R_anc"].at(stage=filled)
    covers = [scope[name].at(stage=filled).array for name in ("h_1", "h_u") if name in scope]
    if not np.logical_or.reduce([above(cover, 0.0) for cover in covers]).all():
        sheet.not_verified(key, title, say("anchorage-why"))
        return
    effect = scope["T_anc"].at(stage=filled)
    note = "" if ends.scale is not None else _without_scale(effect, resistance)
    made = sheet.verdict(key, title, effect=effect, resistance=resistance, note=note)
    _least(sheet, scope, member, side)
    _lengths_required(scope, lying)
    _doubtful_fold(sheet, scope, section, member, side, key)
    if ends.scale is None:
        sheet.limitation(
            f"pull-out-scale{member.ending}",
            say("limitation-pull-out-scale", name=member.layer.name),
            "UFC 3-220-10 (2022), eq. 7-4 ◦",
            turns=[key] if (made.utilisation or 0.0) > LEAST_SCALE * made.limit else [],
        )


def _without_scale(effect: Value, resistance: Value) -> str:
    """What a scale factor of the pull-out would do to the verdict, where none is given."""
    ratio = float(np.max((effect.array / resistance.array)[effect.valid]))
    words = say("without-scale-words")
    return say("without-scale", words=words, ratio=number_text(ratio, 2)) if ratio < 1 else f"{words}."


def _least(sheet: Sheet, scope: Scope, member: Member, side: Side) -> None:
    """The length that anchors in the final state is not too short for friction to be relied on."""
    rule = Origin("project rule", text="3 ft, UFC 3-220-10 (2022), ch. 7 ◦")
    least = scope.given("L_ancmin", LEAST_LENGTH, origin=rule)
    straight = scope["L_be"].at(stage=sheet.axes["stage"][-1])
    if "L_ug" in scope:
        there = scope(length_of_anchorage, L_be=straight)
    else:
        there = scope.take("L_anc", straight, note=say("take-l-anc-note"))
    title = say("least-title", side_words=side.words, name=member.layer.name)
    sheet.verdict(f"anchorage_length{member.ending}{side.ending}", title, effect=least, resistance=there)


def _cover(scope: Scope, section: Section, member: Member, side: Side, ends: Anchorage) -> None:
    """Cover from the outermost columns outward below the slope."""
    _height(scope, section, member, side.ending[1:])
    scope.take("H_RF", scope["H_R"].at(stage=scope.sheet.axes["stage"][-1]))
    slope(scope, section, side)
    given_of_section(scope, "b_g", section, side.extent_path, side.extent or 0.0)
    given_of_section(scope, "L_b", section, f"{member.path}.anchorage.length", ends.length)
    for step in (cover_at_outermost_columns, covered_length, cover_at_end, mean_cover):
        scope(step)
    _unit_weight(scope, scope["h_1"])
    scope(anchorage_pressure, gamma_E=_weight_on_layer(scope))


def _unit_weight(scope: Scope, cover: Value) -> None:
    """Favourable unit weight of a fill that has zones, of those that lie over the layer within its cover."""
    if "gamma_z" not in scope:
        return
    weights, weight, base = scope["gamma_z"], scope["gamma_El"], float(scope["z_P"].array) - float(scope["z_R"].array)
    low, high = scope["h_zb"], scope["h_zt"]
    least = least_mean_weight(cover.array, float(weight.array), weights.array, base + low.array, base + high.array)
    inputs = [weight, weights, low, high, scope["z_P"], scope["z_R"], cover]
    scope.reading("gamma_Ec", least, cover.axis_names, title=say("mean-weight"), inputs=inputs)
    scope(favourable_unit_weight, gamma_E="gamma_Ec")


def _friction(scope: Scope, section: Section, member: Member, ends: Anchorage) -> None:
    """Design friction above the layer with the fill, below it with the soil there."""
    path = f"{member.path}.anchorage"
    given_of_section(scope, "alpha_f", section, f"{member.path}.interaction", member.layer.interaction)
    given_of_section(scope, "alpha_fb", section, f"{path}.interaction_below", ends.interaction_below)
    given_of_section(scope, "phi_bk", section, f"{path}.friction_below", ends.friction_below)
    scope(factored_friction_angle, phi_c="phi_b", phi_ck="phi_bk")
    _factor(scope, section, "f_ms", f"{path}.f_ms", ends.f_ms)
    friction = interface_friction
    if ends.scale is not None:
        origin = origin_of(section, f"{path}.scale.value")
        scope.given("alpha_sc", ends.scale.value, origin=origin, note=ends.scale.source)
        friction = pull_out_friction
    scope(friction, mu_i="mu_1", phi="phi_E")
    scope(friction, mu_i="mu_2", alpha_f="alpha_fb", phi="phi_b")


def _fold_back(scope: Scope, section: Section, member: Member, ends: Anchorage, side: Side) -> bool:
    """What is wrapped back lies in the fill with both faces, the bend neglected; whether it lies on the layer."""
    path = f"{member.path}.anchorage"
    if ends.fold_back is None or ends.fold_back_cover is None:
        scope.given("R_u", 0.0, origin=Origin("project rule", text=say("rule-r-u")))
        return False
    given_of_section(scope, "h_uF", section, f"{path}.fold_back_cover", ends.fold_back_cover)
    given_of_section(scope, "L_ug", section, f"{path}.fold_back", ends.fold_back)
    inner, lower = fill_from_toe_to_inner_end, section.embankment.lower
    if lower and not side.ending.endswith(lower):
        scope.take("beta_o", scope.sheet.scopes[f"{EDGE}_{lower}"]["beta_C"], note=say("take-beta-o-note"))
        inner = fill_from_toe_to_inner_end_below_falling_crest
    for step in (end_from_toe, fill_from_toe_to_end, inner, mean_cover_along_fold):
        scope(step)
    final = scope["h_m"].at(stage=scope.sheet.axes["stage"][-1])
    scope.take("h_mF", final)
    scope(height_of_fold)
    scope(cover_of_fold_back)
    lying = not above(float(final.array), ends.fold_back_cover)
    if lying:
        scope.given("mu_f", 0.0, origin=Origin("project rule", text=say("rule-mu-f")))
    else:
        scope.take("mu_f", scope["mu_1"], note=say("take-mu-f-note"))
    weight = "gamma_Ef"
    if "gamma_z" in scope:  # which zones lie over the wrap-back depends on its height: the lightest counts
        weight = scope(favourable_unit_weight, gamma_Ef="gamma_Eu", gamma_E="gamma_Ea").symbol
    scope(anchorage_pressure, sigma_b="sigma_u", gamma_E=_weight_on_layer(scope, weight), h_an="h_u")
    scope(anchorage_resistance, R_b="R_u", sigma_b="sigma_u", mu_2="mu_f", L_b="L_ug")
    return lying


def _doubtful_fold(sheet: Sheet, scope: Scope, section: Section, member: Member, side: Side, key: str) -> None:
    """A cover that the bank does not have, or fill below the wrap-back too thin to place, turns the anchorage."""
    if "h_f" not in scope:
        return
    cover, height = (float(scope[name].array) for name in ("h_uF", "h_f"))
    possible = float(scope["h_mF"].array)
    name, words = member.layer.name, side.words
    if above(cover, possible):
        cover_text, there = number_text(cover, 2), number_text(possible, 2)
        text = say("limitation-fold-back", name=name, side_words=words, fold_back_cover=cover_text, possible=there)
        sheet.limitation(f"fold-back-{key}", text, "project file", turns=[key])
    lift = section.first_lift
    if height and (lift is None or above(lift.thickness, height)):
        ratio = _ratio_on_the_layer(scope)
        between, without = number_text(height, 3), number_text(ratio, 2)
        text = say("limitation-thin-fold", name=name, side_words=words, height=between, ratio=without)
        sheet.limitation(f"thin-fold-{key}", text, "project rule", turns=[key] if ratio > 1 else [])


def _ratio_on_the_layer(scope: Scope) -> float:
    """The utilisation of the anchorage if the wrap-back lay on the layer, largest of all cases."""
    weight = _weight_on_layer(scope, "gamma_Eu" if "gamma_Eu" in scope else "gamma_Ef")
    scope(anchorage_pressure, sigma_b="sigma_u0", gamma_E=weight, h_an="h_m")
    scope(length_clear_of_fold)
    on_layer = scope(anchorage_on_the_layer)
    filled = stages_with_fill(scope["H_R"])
    effect, resistance = (value.at(stage=filled) for value in (scope["T_anc"], on_layer))
    return float(np.max((effect.array / resistance.array)[effect.valid & resistance.valid]))


def _lengths_required(scope: Scope, lying: bool) -> None:
    """Lengths at which the tension is just anchored, for judgement; below a wrap-back the lower face does it alone."""
    straight = scope["sigma_b"]
    upper = "mu_f" if lying else "mu_1"
    scope(anchorage_length, sigma_b=straight.without(_bare(scope["h_an"], straight), NO_COVER), mu_1=upper)
    if "sigma_u" in scope:
        folded = scope["sigma_u"]
        scope(fold_back_length, sigma_u=folded.without(_bare(scope["h_u"], folded), NO_COVER), mu_2="mu_f")


def _bare(cover: Value, pressure: Value) -> Mask:
    """The cases of a pressure in which no fill lies over the layer."""
    return np.broadcast_to(~above(cover.array, 0.0), pressure.array.shape)
