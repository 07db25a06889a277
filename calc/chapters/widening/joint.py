"""The joint of the new mats with the old bank: length that hands the tension of the layer over by friction."""

from calc.chapters.shared.edges import stages_with_fill
from calc.chapters.shared.frame import given_of_section, origin_of
from calc.chapters.shared.mats import layers_in
from calc.chapters.shared.missing import not_given
from calc.engine.levels import above
from calc.engine.sheet import Origin, Sheet
from calc.engine.words import words_of
from calc.formulas import widening as wd
from calc.formulas.column_field import design_friction_angle, height_above_reinforcement
from calc.formulas.reinforcement import anchorage_length, anchorage_pressure, interface_friction
from calc.inputs import Section
from calc.inputs.tables.widening import Widening

say = words_of(__name__)

JOINT = "joint"
FROM_MATS = ("z_P", "H", "phi_E", "gamma_Ef", "gamma_Gf")


def joint(sheet: Sheet, section: Section, widening: Widening, done: dict[str, Sheet]) -> None:
    """Compare the length of the joint with the one that anchors the tension there."""
    key, title = "mat_joint", say("title")
    layers, given_joint = layers_in(section, "across"), widening.joint
    if not layers:
        sheet.not_applicable(key, title, say("no-layer"))
        return
    if given_joint is None:
        sheet.not_verified(key, title, not_given(say("missing")))
        return
    place, (index, layer) = next((k, entry) for k, entry in enumerate(layers, 1) if entry[1].name == given_joint.layer)
    ending = "" if len(layers) == 1 else f"_{place}"
    mats = done["reinforcement"]
    scope = sheet.scope(JOINT, title)
    scope.take("T_rd", mats.scopes[f"across{ending}_strength"]["T_rd"])
    for name in FROM_MATS:
        scope.take(name, mats[name])
    given_of_section(scope, "z_R", section, f"reinforcement.{index}.level", layer.level)
    scope(height_above_reinforcement)
    given_of_section(scope, "h_J", section, "widening.joint.cover", given_joint.cover)
    cover = scope(wd.cover_over_joint)
    scope.take("gamma_O", sheet["gamma_O"])
    scope(wd.lighter_of_old_and_new)
    scope.take("h_an", cover.without(~above(cover.array, 0.0), say("no-cover")))
    scope(anchorage_pressure, gamma_E="gamma_J")
    given_of_section(scope, "alpha_f", section, "widening.joint.interaction", given_joint.interaction)
    for name, field in (("f_n", given_joint.f_n), ("f_pull", given_joint.f_po), ("f_ms", given_joint.f_ms)):
        path = {"f_pull": "f_po"}.get(name, name)
        scope.given(name, field.value, origin=origin_of(section, f"widening.joint.{path}.value"), note=field.source)
    scope(interface_friction, mu_i="mu_1", phi="phi_E")
    if given_joint.phi is None:
        scope.given("mu_2", 0.0, origin=Origin("project rule", text=say("one-face")))
    else:
        given_of_section(scope, "phi_Ok", section, "widening.joint.phi", given_joint.phi)
        scope.take("gamma_phi", mats["gamma_phi"])
        scope(design_friction_angle, phi_d="phi_O", phi="phi_Ok")
        scope(interface_friction, mu_i="mu_2", phi="phi_O")
    needed = scope(anchorage_length, L_breq="L_Jreq")
    length = given_of_section(scope, "L_Jg", section, "widening.joint.length", given_joint.length)
    filled = stages_with_fill(scope["H_R"])
    sheet.verdict(key, title, effect=needed.at(stage=filled), resistance=length)
