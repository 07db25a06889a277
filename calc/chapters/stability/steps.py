"""Global stability: stress shares and shear parameters of the column field, slip surfaces of every stage.

The strengths stand in tables that any slip analysis can take over; the search of this chapter starts from the same
project values. ``T_stab`` over (factor set, stage) is the tension that it asks of the reinforcement.
"""

import numpy as np

from calc.chapters.shared.frame import (
    LONG,
    SHOULDER,
    chapter,
    frame,
    given_of_section,
    strength_of_sublayers,
)
from calc.chapters.shared.heads import falls
from calc.chapters.shared.least import print_least
from calc.chapters.shared.soft_ground import factors, gains, missing_strength, stress_share
from calc.chapters.shared.zones import below_crest, stretch_labels
from calc.chapters.stability.cut_columns import embedment
from calc.chapters.stability.shares import shares_of_zone
from calc.chapters.stability.slip import slip
from calc.engine.sheet import Again, Origin, Sheet, Value
from calc.engine.words import words_of
from calc.formulas.bearing import design_cohesion
from calc.formulas.column_field import design_friction_angle, design_strength_with_gain
from calc.formulas.ground import passive_coefficient
from calc.formulas.pore_pressure import permanent_load_without_fall
from calc.formulas.shear_parameters import (
    apparent_cohesion,
    averaged_apparent_cohesion,
    averaged_cohesion,
    averaged_friction_angle,
    basic_improvement_factor,
    cautious_load_share,
    column_load_share,
    column_stress,
    column_stress_share,
    mean_stress,
    mean_unit_weight,
    sleeve_support,
    soil_stress,
    split_friction_angle,
    weighted_cohesion,
    weighted_friction_angle,
)
from calc.inputs import Design, Section

say = words_of(__name__)

BARKSDALE = "Barksdale & Bachus (1983), FHWA/RD-83/026 ◦"


def stability(design: Design, section: Section, done: dict[str, Sheet]) -> Sheet:
    """Shear parameters by the strict split, by the averaged and the weighted forms; the hand-over table."""
    sheet = shear_parameters(design, section, done)
    if section.zone is not None:  # the slip surfaces of the section read these values
        shares_of_zone(sheet, section, done)
        if section.slip is not None and (section.columns.floating or section.zone.embedment is not None):
            embedment(sheet, section, done)
        return sheet
    key, title = "stability_inputs", say("verdicts")
    if missing := missing_strength(section):
        sheet.not_verified(key, title, say("verdicts-why", missing=missing))
    else:
        sheet.settled(key, title, say("settled-verdicts-why"))
    slip(sheet, design, section, done)
    _limits(sheet)
    return sheet


def shear_parameters(design: Design, section: Section, done: dict[str, Sheet]) -> Sheet:
    """The chapter as far as it goes without slip surfaces: stress shares and shear parameters."""
    sheet = chapter("stability", design, section)
    stress_share(sheet, section, done)
    sheet(column_stress_share)
    _strength(sheet, design, section, done)
    _strict_split(sheet)
    averaged = sheet.scope("averaged", say("scope-averaged-title"))
    averaged(averaged_friction_angle, phi_s="phi_sd")
    averaged(averaged_cohesion, c_s="c_sd")
    averaged(mean_unit_weight, gamma_m="gamma_mr", gamma="gamma_r", gamma_cd="gamma_cr")
    if not missing_strength(section):
        _undrained_soil(sheet, design, section, done)
    _load_weighting(sheet, done)
    if section.column_field and section.column_field.sleeve_cohesion:
        _sleeve(sheet, section, done)
        if falls(done["ground"]):
            sheet.limitation("sleeve-heads", say("limitation-sleeve-heads"), "project rule",
                             turns=lambda verdict: verdict.key.startswith(("global_stability", "slip")))  # fmt: skip
    return sheet


def _strength(sheet: Sheet, design: Design, section: Section, done: dict[str, Sheet]) -> None:
    """Design strengths of soil and column with the factors of every set; permanent load alone, which adds strength."""
    sheet.take("gamma_phi", done["basis"]["gamma_phi"])
    factors(sheet, design, section, (("gamma_c", "gamma_c"), ("gamma_cu", "gamma_cu")))
    for name in ("phi_s", "c_s", "gamma_r", "gamma_cr", "sigma_v0s", "sigma_v0c"):
        sheet.take(name, done["ground"][name])
    tension = done["unit_cell"].scopes["tension"]
    sheet.take("phi_c", tension["phi_c"])
    note, load = say("strength-note"), tension["Dsigma_G"]
    if section.embankment.is_cored:
        at_places = done["unit_cell"].scopes["settlement"]["Dsigma_G"].at(position=below_crest(section))
        note, load = say("least-note"), at_places.smallest("stage")
    if falls(done["ground"]):
        sheet(permanent_load_without_fall, Dsigma_G=load, p_W=done["ground"]["p_W"])
        sheet.take("Dsigma_G", sheet["Dsigma_Gn"], note=note)
    else:
        sheet.take("Dsigma_G", load, note=note)
    print_least(sheet, sheet(design_friction_angle, phi_d="phi_sd", phi="phi_s"), "layer")
    sheet(design_cohesion, c_d="c_sd", c="c_s")


def _strict_split(sheet: Sheet) -> None:
    """Soil and column side by side, each with its own stress; no excess pore pressure."""
    scope = sheet.scope("split", say("strict-split-drained"))
    why = say("split-why")
    scope.given("Du_s", 0.0, origin=Origin("project rule", text=why))
    scope(soil_stress, Dsigma_0="Dsigma_G")
    scope(column_stress, Dsigma_0="Dsigma_G")
    scope(mean_stress)
    scope(split_friction_angle, phi_s="phi_sd")


def _undrained_soil(sheet: Sheet, design: Design, section: Section, done: dict[str, Sheet]) -> None:
    """Undrained soil: its strength on its own area, friction in the columns alone."""
    scope = sheet.scope("undrained", say("scope-undrained-title"))
    strength_of_sublayers(scope, section, frame(design, section), done["ground"])
    gains(scope, section, done)
    print_least(scope, scope(design_strength_with_gain), "layer")
    scope(averaged_cohesion, c_avg="c_avgu", c_s="c_ud")
    scope.given("phi_s", 0.0, origin=Origin("project rule", text=say("rule-phi-s")))
    scope(averaged_friction_angle, phi_avg="phi_avgu")


def _load_weighting(sheet: Sheet, done: dict[str, Sheet]) -> None:
    """Weighted by the load share of the cell, which is high, and by the cautious share of ordinary columns."""
    cell = done["unit_cell"].scopes["tension"]
    scope = sheet.scope("weighted", say("scope-weighted-title"))
    load = cell["Dsigma_0"].at(load="G")
    scope.take("Dsigma_vc", cell["Dsigma_vc"].at(load="G"))
    scope.take("Dsigma_0", load.without(load.array <= 0, say("no-load")))
    scope(column_load_share)
    scope(weighted_friction_angle, phi_s="phi_sd")
    scope(weighted_cohesion, c_s="c_sd")
    other = sheet.scope("weighted_cautious", say("scope-weighted-cautious-title"))
    other.take("K_ac", cell["K_ac"])
    other(basic_improvement_factor)
    other(cautious_load_share)
    other(weighted_friction_angle, phi_m="phi_mr", omega="m_cr", phi_s="phi_sd")
    other(weighted_cohesion, c_m="c_mr", omega="m_cr", c_s="c_sd")


def _sleeve(sheet: Sheet, section: Section, done: dict[str, Sheet]) -> None:
    """Apparent cohesion from the least ring tension: permanent load, long-term stiffness, no compensation fill."""
    scope = sheet.scope("sleeve", say("scope-sleeve-title"))
    tension = _least_tension(section, done["unit_cell"].scopes["settlement"]["F_Ri"].at(load="G", stiffness=LONG))
    scope.take("F_R", tension, note=say("take-f-r-note"))
    given_of_section(scope, "d_c", section, "columns.diameter", section.columns.diameter)
    scope(sleeve_support)
    scope(passive_coefficient, K_p="K_pc", phi="phi_c")
    scope(apparent_cohesion, K_p="K_pc")
    scope(averaged_apparent_cohesion)
    strength = scope["c_r"]
    print_least(scope, strength, "layer")
    again = Again(least_of_sublayers, (strength,), whole=("layer",))
    scope.reading("c_rl", again.value().array, strength.axis_names[:-1], title=say("reading-c-rl-title"),
                  inputs=[strength], again=again)  # fmt: skip
    scope(design_cohesion, c_d="c_rd", c="c_rl")
    sheet.limitation(
        "sleeve-cohesion",
        say("limitation-sleeve-cohesion"),
        "Bathurst & Karpurapu (1993), Rajagopal et al. (1999) ◇",
    )


def least_of_sublayers(value: Value) -> Value:
    """The least over all sublayers; 0 where one has no number."""
    return Value("c_rl", np.where(value.valid, value.array, 0.0).min(axis=-1), value.axes[:-1])


def _least_tension(section: Section, tension: Value) -> Value:
    """That of the crest edge, where nothing is filled up; between ends of zones the least of all places as well."""
    if not section.embankment.is_cored:
        return tension.at(position=SHOULDER)
    places = [SHOULDER, *stretch_labels(section)]
    return tension.at(position=places).smallest("stage", "layer")


def _limits(sheet: Sheet) -> None:
    sheet.limitation(
        "split",
        say("limitation-split"),
        "project rule",
    )
    sheet.limitation(
        "averaged-weighted",
        say("limitation-averaged-weighted"),
        f"{BARKSDALE}; EBGEO (2010), ch. 10 ◦; Priebe (1995) ◦",
    )
