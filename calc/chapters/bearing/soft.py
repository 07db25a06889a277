"""Undrained bearing of the soft ground between the columns: early, under a new lift, at the end of a stage."""

from collections.abc import Sequence
from functools import partial

from calc.chapters.bearing.loads import (
    as_placed,
    end_of_stage,
    height,
    loaded_stages,
    stages_at_rest,
    strength,
    under_new_lift,
)
from calc.chapters.shared.frame import GIVEN_RATIO, at_labels, given_of_section
from calc.chapters.shared.geometry import place_of
from calc.chapters.shared.mats import ACROSS
from calc.chapters.shared.ratio_limits import unproven
from calc.chapters.shared.soft_ground import without_idle_ratio
from calc.engine.sheet import Again, Origin, Scope, Sheet, Value, number_text, stage_names
from calc.engine.words import words_of
from calc.formulas.bearing import (
    design_soft_ground_pressure,
    design_undrained_strength,
    growing_strength_factor,
    soft_ground_safety,
    strength_growth_ratio,
    strip_bearing_pressure,
    strip_bearing_pressure_of_thin_layer,
    strip_bearing_pressure_with_growing_strength,
    thin_layer_factor,
)
from calc.formulas.below_toe import loaded_width
from calc.formulas.column_field import design_strength_with_gain, larger_bearing_pressure
from calc.formulas.stage_pressure import (
    height_below_reinforcement,
    pressure_before_reinforcement,
    pressure_of_plant,
    undrained_stress_ratio,
)
from calc.inputs import Section
from calc.procedures.growing_strength import bracket

say = words_of(__name__)

LOWEST = "lowest_layer"
ALONE = {"squeeze_lift": "soft_lift", "squeeze": "soft"}
"""The scope of the soil alone beside a state of lateral extrusion."""
SETTLES = {"squeeze_lift": "soft_bearing_lift", "squeeze": "soft_bearing"}
"""The verdict on the soil alone that settles a state of lateral extrusion."""


def between_columns(sheet: Sheet, section: Section, done: dict[str, Sheet]) -> dict[str, list[str]]:
    """The soil's share against what the ground bears without columns; the stages that this leaves open, by state."""
    early = sheet.scope("soft_early", say("scope-soft-early-title"))
    as_placed(early)
    _bears(early, gain=False)
    early(soft_ground_safety, p_sE="p_E0")
    lift = sheet.scope("soft_lift", say("scope-soft-lift-title"))
    new = under_new_lift(lift, section, done)
    lift.take("nu_c", done["unit_cell"]["nu_c"])
    lift(undrained_stress_ratio)
    _bears(lift, gain=True)
    lift(soft_ground_safety, p_sE="p_sL")
    end = sheet.scope("soft", say("scope-soft-title"))
    share = end_of_stage(end)
    _bears(end, gain=True)
    end(soft_ground_safety)
    if section.columns.floating is None:  # below floating columns no stage has more
        state_early(sheet, "soft-early", say("early-what"), early["F_so"], list(SETTLES.values()))
    sheet.limitation("new-lift", say("limitation-new-lift"), "project rule")
    above = unproven(done)
    return {
        "squeeze_lift": _verdict_on_soil_alone(
            sheet, section, lift, new, above, "soft_bearing_lift", say("between-columns")
        ),
        "squeeze": _verdict_on_soil_alone(sheet, section, end, share, above, "soft_bearing", say("between-columns-2")),
    }


def _verdict_on_soil_alone(
    sheet: Sheet, section: Section, scope: Scope, load: Value, above: str, key: str, when: str
) -> list[str]:
    """The verdict on the soil alone: a pass settles it, a fail decides nothing. The stages left open."""
    title = say("alone-title", when=when)
    if above:
        sheet.not_verified(key, title, above)
        return loaded_stages(sheet)
    filled = stages_at_rest(sheet, section)
    made = sheet.verdict(
        key, title, effect=without_idle_ratio(sheet, load).at(stage=filled), resistance=scope["q_ud"].at(stage=filled)
    )
    assert made.utilisations is not None  # noqa: S101 - it has just been made
    rated = made.utilisations.largest("stage")
    known = [label for label, valid in zip(filled, rated.valid, strict=True) if valid]
    over = [label for label in known if float(rated.at(stage=label).array) > 1]
    if over:
        words = say("alone-words", value=number_text(made.utilisation or 0.0, 3), over=stage_names(over))
        sheet.leads[scope.name] = dict(made.case)
        if section.widening is not None:
            sheet.withhold(made, say("alone-why-widened", words=words))
        elif section.slip is None:
            why = say("alone-why-left-out", words=words) if section.slip_left_out else say("alone-why", words=words)
            # What it lacks stays with it: without circles a search for a programme has to reach a pass here.
            sheet.withhold(made, why)
        else:
            sheet.verdicts.pop()
            why = say("alone-why-2", words=words)
            sheet.not_verified(key, title, why, required=False, informs=True)
    # A gain ends at mid-slope, a stress field of the soil alone does not: with a gain it settles nothing beyond itself.
    gain = at_labels(sheet["Dc_u"], ratio=GIVEN_RATIO)
    left = [label for label in known if label in over or float(gain.at(stage=label).array) > 0]
    # The soil alone has no inertia: with an earthquake at the end of a stage the wedge decides.
    shaken = [label for label in loaded_stages(sheet) if label not in filled] if key == "soft_bearing" else []
    return [label for label in loaded_stages(sheet) if label in left or label in shaken]


def _below_lowest(sheet: Sheet, section: Section, done: dict[str, Sheet]) -> Value:
    """Height of what is placed below the lowest reinforcement across, the platform where none lies there."""
    scope = sheet.scope(LOWEST, say("scope-lowest-title"))
    across = [k for k, mat in enumerate(section.reinforcement) if mat.direction in ACROSS]
    if across:
        lowest = min(across, key=lambda k: section.reinforcement[k].level)
        level = section.reinforcement[lowest].level
        given_of_section(scope, "z_R", section, f"reinforcement.{lowest}.level", level)
        scope.take("z_g", done["ground"]["z_g"])
        return scope(height_below_reinforcement)
    if section.platform and section.platform.role == "load":
        return scope.take("h_l", place_of(done["columns"], "t_P"), note=say("take-h-l-note"))
    return scope.given("h_l", 0.0, origin=Origin("project rule", text=say("rule-h-l")))


def before_reinforcement(sheet: Sheet, section: Section, done: dict[str, Sheet]) -> None:
    """The soil alone under what lies below the lowest reinforcement and under plant on it: no columns, no gain."""
    key, title = "platform_bearing", say("before-reinforcement")
    below, first = _below_lowest(sheet, section, done), loaded_stages(sheet)[0]
    plant = float(sheet["p_pl"].at(stage=first).array)
    if below.array <= 0 and not plant:
        sheet.not_applicable(key, title, say("settled-before-reinforcement-why"))
        return
    scope = sheet.scope("platform", title, stage=first)
    height(scope, heavy=True)
    why = say("before-reinforcement-why")
    scope.take("h_l", below, note=why)
    scope(pressure_of_plant)
    scope(pressure_before_reinforcement)
    _bears(scope, gain=False)
    sheet.verdict(key, title, effect=scope["p_0l"].at(stage=first), resistance=scope["q_ud"].at(stage=first))


def state_early(sheet: Sheet, key: str, what: str, safety: Value, turns: Sequence[str]) -> None:
    """Name the stages that rely on stress ratio and gain of strength given for them, beside the verdicts on them."""
    stages = [label for label in loaded_stages(sheet) if safety.at(stage=label).array.min() < 1]
    if not stages:
        return
    least = min(float(safety.at(stage=label).array.min()) for label in stages)
    sheet.limitation(
        key,
        say("limitation-state-early", what=what, stages=stage_names(stages), least=least),
        "project rule",
        turns=turns,
    )


def _bears(scope: Scope, *, gain: bool) -> None:
    """Pressure of growing strength, or of the least strength, with limited thickness where the top is held."""
    top = strength(scope, gain=gain)
    # The narrower strip bears less where strength grows with depth or the top is held.
    narrow = {"H": "H_n", "H_F": "H_Fn"} if "H_n" in scope else {}
    least = "c_umd" if gain else "c_ume"
    if gain:
        scope(design_strength_with_gain, c_ud=least, c_u="c_umk")
    else:
        scope(design_undrained_strength, c_ud=least, c_u="c_umk")
    scope(loaded_width, **narrow)
    growing(scope, "B_t", top, "q_ug")
    if scope["alpha_t"].array == 1:
        scope(thin_layer_factor, B="B_t")
        scope(strip_bearing_pressure_of_thin_layer, q_u="q_ut", c_u=least)
    else:
        scope(strip_bearing_pressure, q_u="q_ut", c_u=least)
    scope(larger_bearing_pressure)
    scope(design_soft_ground_pressure)


def growing(scope: Scope, width: str, top: str, result: str) -> None:
    """Bearing pressure of a strip on ground whose strength grows with depth."""
    scope(strength_growth_ratio, rho_u="rho_ud", B=width, c_u0=top)
    ratio = scope["k_rho"]
    for name, title in TABLE_VALUES.items():
        again = Again(partial(of_table, name=name), (ratio,))
        scope.reading(name, again.value().array, ratio.axis_names, title=title, inputs=[ratio],
                      again=again)  # fmt: skip
    scope(growing_strength_factor)
    scope(strip_bearing_pressure_with_growing_strength, q_u=result, c_u0=top, rho_u="rho_ud", B=width)


def of_table(ratio: Value, *, name: str) -> Value:
    """A value of the table between which the ratio of strength increase lies, by its symbol."""
    return Value(name, bracket(ratio.array, ratio.valid)[name], ratio.axes)


TABLE_VALUES = {
    "k_r1": say("table-values"),
    "k_r2": say("table-values-2"),
    "F_r1": say("table-values-3"),
    "F_r2": say("table-values-4"),
}
