"""Lateral thrust of the embankment at its crest edges, tension from spreading, sliding of the side slopes.

Later chapters take from the sheet itself: ``T_spr``, the tension of the reinforcement from spreading over (factor set,
stage), of the side where it is larger. It holds the thrust over the whole height down to the ground, wherever the layer
lies, less what the soft ground carries, and, where the reinforcement holds the ground back at its top, that shear with
the factor of permanent load. ``H_th`` is the height of fill that thrusts, ``gamma_Em`` and ``gamma_El`` the unit
weights for what thrusts and for what holds. ``T_hs`` of each side is the thrust that the ground does not hold where
slope and reinforcement slide together.

What is given stands once in the chapter. Every scope holds the chain of its own verdict at its own governing case.
"""

import numpy as np

from calc.chapters.shared.earthquake import take_moved_weight
from calc.chapters.shared.edges import low_edges, stages_with_fill
from calc.chapters.shared.frame import CENTRE, LONG, chapter, given_of_section, origin_of
from calc.chapters.shared.geometry import place_of, record_edges
from calc.chapters.shared.soft_ground import Side, factors, sides, stress_ratio
from calc.chapters.shared.zones import friction_of_fill
from calc.chapters.thrust.sides import below, fill_between, heights, low_edge, scope_of_side, sliding, spreading
from calc.engine.levels import above
from calc.engine.sheet import Scope, Sheet, Value, stage_names
from calc.engine.words import words_of
from calc.formulas.column_field import height_above_reinforcement
from calc.formulas.thrust import (
    heavier_unit_weight,
    height_above_ground,
    height_that_thrusts,
    lighter_unit_weight,
    tension_of_larger_side,
)
from calc.inputs import Design, Section

say = words_of(__name__)

ACROSS = ("across", "both")
SIDES = {"_left": "T_sprl", "_right": "T_sprr"}


def thrust(design: Design, section: Section, done: dict[str, Sheet]) -> Sheet:
    """Spreading tension of the larger side, sliding on and below the reinforcement, for every stage and factor set."""
    sheet = chapter("thrust", design, section)
    _actions(sheet, design, section, done)
    _levels(sheet, section, done)
    _height(sheet, section, done)
    _weights(sheet, section, done)
    record_edges(sheet, section, done)
    for side in sides(section):
        heights(sheet, section, side)
    scopes = [spreading(sheet, section, done, side) for side in sides(section)]
    _hand_over(sheet, scopes)
    for side in sides(section):
        _sliding_of_side(sheet, section, done, side)
    _limits(sheet, section)
    return sheet


def _actions(sheet: Sheet, design: Design, section: Section, done: dict[str, Sheet]) -> None:
    """Factors, height of fill, traffic and friction as they are given."""
    for name in ("gamma_G", "gamma_Q", "f_G", "gamma_phi"):
        sheet.take(name, done["basis"][name])
    factors(sheet, design, section, (("gamma_Gf", "gamma_G_fav"), ("gamma_Rh", "gamma_R_h")))
    cell = done["unit_cell"]
    for name in ("H", "gamma_E", "q"):
        sheet.take(name, cell[name])
    sheet.take("f_q", cell.scopes["tension"]["f_q"].at(load="G+Q"))
    friction_of_fill(sheet, section)
    sheet.take("phi_ck", cell["phi_ck"])
    stress_ratio(sheet, section, done)


def _levels(sheet: Sheet, section: Section, done: dict[str, Sheet]) -> None:
    """Ground, top of the platform and lowest reinforcement across: the fill thrusts down to the ground."""
    given_of_section(sheet, "z_g", section, "ground_level", section.ground_level)
    sheet.take("z_P", place_of(done["columns"], "z_P"))
    across = [k for k, layer in enumerate(section.reinforcement) if layer.direction in ACROSS]
    if across:
        lowest = min(across, key=lambda k: section.reinforcement[k].level)
        path = f"reinforcement.{lowest}.level"
        given_of_section(sheet, "z_R", section, path, section.reinforcement[lowest].level)
    else:
        note = say("levels-note")
        sheet.given("z_R", section.ground_level, origin=origin_of(section, "ground_level"), note=note)
    sheet(height_above_reinforcement)
    sheet(height_above_ground)


def _height(sheet: Sheet, section: Section, done: dict[str, Sheet]) -> None:
    """Compensation fill keeps the crest at its level while the reinforcement settles: the fill above it grows."""
    if not section.makeup_fill:
        note = say("height-note-2")
        sheet.take("H_th", sheet["H_G"], note=note)
        return
    settlement = done["unit_cell"].scopes["settlement"]["s"]
    s = settlement.at(position=CENTRE, load="G+Q", stiffness=LONG)
    note = say("height-note")
    sheet.take("s_th", s, note=note)
    sheet(height_that_thrusts, s="s_th")
    still = (s.array <= 0) & above(sheet["H_G"].array, 0.0)
    stages = [
        label
        for label, is_still in zip(s.labels("stage"), still, strict=True)
        if is_still and label != s.labels("stage")[0]
    ]
    if stages:
        sheet.limitation(
            "thrust-settlement",
            say("limitation-thrust-settlement", stages=stage_names(stages)),
            "project rule ◇",
        )


def _weights(sheet: Sheet, section: Section, done: dict[str, Sheet]) -> None:
    """Fill alone, or fill and working platform; the heaviest of all is what an earthquake moves."""
    _fill_and_platform(sheet, section, done)
    if section.earthquake is not None:
        take_moved_weight(sheet, section, done)
        sheet.limitation("thrust-earthquake", say("limitation-thrust-earthquake"), "project rule ◇")


def _fill_and_platform(sheet: Sheet, section: Section, done: dict[str, Sheet]) -> None:
    if section.platform is None:
        for name in ("gamma_Em", "gamma_El"):
            sheet.take(name, sheet["gamma_E"], note=say("take-weights-note"))
        return
    sheet.take("gamma_P", done["unit_cell"]["gamma_P"])
    sheet(heavier_unit_weight)
    sheet(lighter_unit_weight)
    sheet.limitation(
        "thrust-platform",
        say("limitation-thrust-platform"),
        "project rule ◇",
    )


def _hand_over(sheet: Sheet, scopes: list[Scope]) -> None:
    """The tension that later chapters take; sides that are alike have it in their own scope."""
    tension: Value = scopes[0]["T_spr"]
    if len(scopes) > 1:
        larger = sheet.scope("larger_side", say("scope-larger-side-title"))
        for scope, name in zip(scopes, SIDES.values(), strict=True):
            larger.take(name, scope["T_spr"])
        tension = larger(tension_of_larger_side)
        print_at_largest(larger, tension)
    sheet.values["T_spr"] = tension
    for scope in scopes:
        print_at_largest(scope, scope["T_spr"])


def print_at_largest(scope: Scope, value: Value) -> None:
    """The scope prints at the case where a value is largest, whatever another verdict asks for."""
    lane = int(np.argmax(np.where(value.valid, value.array, -np.inf)))
    scope.sheet.leads[scope.name] = value.case_at(lane)


def _sliding_of_side(sheet: Sheet, section: Section, done: dict[str, Sheet], side: Side) -> None:
    across = [k for k, layer in enumerate(section.reinforcement) if layer.direction in ACROSS]
    if not across:
        why = say("sliding-why")
        sheet.not_verified(f"sliding{side.ending}", say("open-sliding-title", side_words=side.words), why)
        return
    least = min(across, key=lambda k: section.reinforcement[k].interaction)
    height, stages = scope_of_side(sheet, side)["H_R"], sheet.axes["stage"][1:]
    low = [label for label in low_edges(section, height) if label in stages]
    bank = [label for label in stages_with_fill(height) if label in stages and label not in low]
    sliding(sheet, section, done, side, least, bank)
    if low:
        low_edge(sheet, section, done, side, least, low)
    unheld = below(sheet, section, done, side)
    # The chapter on the reinforcement verifies the stages that follow the columns.
    print_at_largest(unheld, unheld["T_hs"].at(stage=bank))
    if above(float(sheet["z_R"].array), section.ground_level):
        fill_between(sheet, side, bank)


def _limits(sheet: Sheet, section: Section) -> None:
    if section.embankment.berms:
        sheet.limitation("thrust-berm", say("limitation-thrust-berm"), "project rule ◇")
    sheet.limitation(
        "thrust-active",
        say("limitation-thrust-active"),
        "EBGEO (2010), ch. 4 ◦",
    )
