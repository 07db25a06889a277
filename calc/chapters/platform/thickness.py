"""Required thickness: punching, load spread, least thickness; with a geosynthetic twice; the range of punching."""

from calc.chapters.platform.track_loads import factor
from calc.chapters.shared.frame import given_of_section
from calc.engine.sheet import Scope, Sheet, Value, Verdict, number_text
from calc.engine.sheet.values import Array
from calc.engine.words import words_of
from calc.factors.tracked_plant import TRACKED_PLANT as PUBLISHED
from calc.formulas.working_platform import (
    design_platform_pressure,
    least_thickness,
    mohr_angle_of_wall,
    passive_coefficient_of_annex_c,
    punching_coefficient_of_annex_c,
    punching_shape_factor,
    required_thickness,
    sides_of_spread,
    spread_lack,
    spread_linear,
    spread_square,
    thickness_by_punching,
    thickness_by_spread,
    thickness_with_and_without,
    thickness_with_geosynthetic,
)
from calc.inputs import Section
from calc.inputs.tables.rig import Rig

say = words_of(__name__)

KEY = "platform_thickness"


def thickness(sheet: Sheet, section: Section, rig: Rig) -> None:
    """The larger thickness of both methods against that of the platform."""
    strength = sheet["c_u"].array
    spread, punching = _by_spread(sheet, section, rig), _by_punching(sheet, section, rig)
    _least(sheet, section, rig)
    scope = sheet.scope("thickness", say("title"))
    required = scope(required_thickness, D_spr=spread, D_pun=punching, D_least=sheet.scopes["least"]["D_least"])
    made = sheet.verdict(KEY, say("title"), effect=required, resistance=sheet["t_P"])
    if rig.mats is not None:
        _width_of_least(sheet, rig, float(required.array.max()))
    _range(sheet, rig, strength)
    withhold_below_range(sheet, scope, rig, made)


def withhold_below_range(sheet: Sheet, scope: Scope, rig: Rig, made: Verdict) -> None:
    """On ground below the range of the published method a pass is none: the platform has to be proven."""
    if made.state == "pass" and rig.proof is None and (sheet["c_u"].array < PUBLISHED.least_strength).any():
        sheet.leads[scope.name] = dict(made.case)
        value, least = number_text(made.utilisation or 0.0, 2), PUBLISHED.least_strength
        sheet.withhold(made, say("alone", value=value, least=least))


def _range(sheet: Sheet, rig: Rig, strength: Array) -> None:
    """Where the published method does not hold, something else has to prove the platform."""
    least, most = PUBLISHED.least_strength, PUBLISHED.most_strength
    below = [label for label, number in zip(sheet.axes["ground"], strength, strict=True) if number < least]
    title = say("proof-title")
    if not below:
        sheet.not_applicable("platform_proof", title, say("proof-none", least=least))
    elif rig.proof is None:
        sheet.not_verified("platform_proof", title, say("proof-missing", below=", ".join(below), least=least))
    else:
        sheet.accepted("platform_proof", title, rig.proof)
    if (strength > most).any():
        sheet.limitation("platform-stiff-ground", say("limitation-stiff-ground", most=most), PUBLISHED.source)


def _by_spread(sheet: Sheet, section: Section, rig: Rig) -> Value:
    """The second method, for every strength."""
    scope = sheet.scope("spread", say("spread"))
    sheet(sides_of_spread)
    given_of_section(sheet, "tan_beta", section, "platform.rig.spread.value", rig.spread.value)
    for step in (spread_square, spread_linear, spread_lack, thickness_by_spread):
        scope(step)
    return scope["D_spr"]


def _least(sheet: Sheet, section: Section, rig: Rig) -> None:
    scope = sheet.scope("least", say("least"))
    given_of_section(scope, "D_abs", section, "platform.rig.least.thickness", rig.least.thickness)
    given_of_section(scope, "f_WD", section, "platform.rig.least.over_track_width", rig.least.over_track_width)
    scope(least_thickness)
    if rig.mats is not None:
        scope(least_thickness, D_least="D_leastW", W_tr="W_lo")


def _width_of_least(sheet: Sheet, rig: Rig, required: float) -> None:
    """The rule for the least thickness names the track; what it would ask for by the width of the mats."""
    least = sheet.scopes["least"]
    wide, by_area, thick = (float(value.array) for value in (least["D_leastW"], least["D_least"], sheet["t_P"]))
    turned = wide > thick >= required
    sheet.limitation("platform-least", say("limitation-least", wide=wide, own=by_area), rig.least.source,
                     turns=[KEY] if turned else [])  # fmt: skip


def _by_punching(sheet: Sheet, section: Section, rig: Rig) -> Value:
    """The first method; with a geosynthetic the platform alone at low factors besides.

    Below its range it is evaluated all the same, because it can only ask for more; what it verifies is nothing there.
    """
    scope = sheet.scope("punching", say("punching"))
    given_of_section(scope, "K_pt", section, "platform.rig.punching.value", rig.punching.value)
    scope(punching_shape_factor)
    if rig.geosynthetic is None:
        by_punching = scope(thickness_by_punching, gamma_P="gamma_Pr")
        _by_annex_c(sheet, by_punching, "q_op")
        return by_punching
    factor(scope, section, rig, "f_low", "standing_low", "extracting_low")
    scope(design_platform_pressure, q_op="q_low", f_op="f_low")
    given_of_section(scope, "T_geo", section, "platform.rig.geosynthetic.strength", rig.geosynthetic.strength)
    scope(thickness_with_geosynthetic, gamma_P="gamma_Pr")
    bare = scope(thickness_by_punching, q_op="q_low", gamma_P="gamma_Pr")
    sheet.limitation("platform-geosynthetic", say("limitation-geosynthetic"), "project rule")
    _by_annex_c(sheet, bare, "q_low")
    return scope(thickness_with_and_without)


def _by_annex_c(sheet: Sheet, value: Value, pressure: str) -> None:
    """The same thickness with the earth pressure of the standard, which is printed beside the value that is given."""
    scope = sheet.scope("annex_c", say("annex-c"))
    for step in (mohr_angle_of_wall, passive_coefficient_of_annex_c, punching_coefficient_of_annex_c):
        scope(step)
    punching = sheet.scopes["punching"]
    scope.take("s_pun", punching["s_pun"])
    other = scope(thickness_by_punching, D_pun="D_punE", q_op=punching[pressure], K_pt="K_ptE", gamma_P="gamma_Pr")
    largest, own = float(other.array.max()), float(value.array.max())
    if largest > own:
        turned = largest > float(sheet["t_P"].array) >= own
        sheet.limitation(
            "platform-earth-pressure",
            say("limitation-earth-pressure", own=own, other=largest),
            "EN 1997-1:2004, Annex C ◦",
            turns=[KEY] if turned else [],
        )
