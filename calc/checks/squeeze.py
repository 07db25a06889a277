"""Lateral squeezing of the soft ground under a side slope: early, under a new lift, at the end of a stage."""

from calc.checks.bearing_loads import as_placed, end_of_stage, field_strength, loaded, strength, under_new_lift
from calc.checks.bearing_soft import least_table, state_early
from calc.checks.frame import given_of_section
from calc.checks.rests import FHWA_LOW
from calc.checks.sketch_squeeze import draw_block
from calc.checks.squeeze_ground import Side, counted, slope
from calc.formulas.squeezing import (
    base_strength,
    block_length_beyond_field,
    block_length_in_field,
    block_length_with_gain,
    block_resistance,
    critical_thickness,
    critical_thickness_of_two_grounds,
    fhwa_resistance,
    mean_block_strength,
    mean_gain,
    mean_strength_along_top,
    outer_growth,
    outer_strength,
    resistance_of_two_grounds,
    slope_length,
    squeezing_safety,
    squeezing_screen,
    strength_along_base,
    strength_along_top,
)
from calc.inputs import Section
from calc.sheet import Scope, Sheet, Value, number_text

FIELD = "engineering reading; no published rule for encased columns was found"
FHWA = "FHWA-NHI-06-088 (2006), FHWA-NHI-07-092 (2008) ◦"


def squeeze(sheet: Sheet, section: Section, done: dict[str, Sheet], side: Side) -> None:
    """The block under the slope, driven by the soil's share, in every stage with fill and in three states of it."""
    if side.extent is None:
        why = (
            f"The extent of the columns beyond the shoulder is not given: {side.extent_path}. Strength gained in the "
            "column field and the stress share of the soil hold only as far as the columns reach."
        )
        for key, title in (("squeeze_lift", "while a lift is placed"), ("squeeze", "at the end of a stage")):
            sheet.not_verified(f"{key}{side.ending}", f"Lateral squeezing {title}, {side.words}", why)
        return
    untreated = _untreated(sheet, section, side)
    early = _early(sheet, section, side)
    lift = _lift(sheet, section, done, side)
    end = _end(sheet, section, side)
    columns = {
        "3 cᵤ over the load": untreated["F_scr"], "untreated": untreated["F_sq"], "n = 1, no gain": early["F_sq"],
        "while the lift is placed": lift["F_sq"], "end of the stage": end["F_sq"], "end, FHWA form": end["F_sqF"],
    }  # fmt: skip
    note = (
        "Pressure that squeezes over pressure that acts, both with their partial factors: 1 is needed. Least over the "
        "factor sets. Below 1 in the first column squeezing is possible and the block decides. Untreated: no columns, "
        "no gain of strength. n = 1, no gain: the column field before any consolidation. Verified are the lift being "
        "placed and the end of the stage, both by the block."
    )
    title = f"Safety against squeezing, {side.words}"
    sheet.tables.append(least_table(sheet, f"squeeze{side.ending}", title, loaded(sheet), columns, note))
    draw_block(sheet, side)
    _limits(sheet, side, early["F_sq"], end)


def _untreated(sheet: Sheet, section: Section, side: Side) -> Scope:
    """The same ground without columns, under the whole pressure."""
    scope = sheet.scope(f"untreated{side.ending}", f"Squeezing without columns and without gain, {side.words}")
    as_placed(scope)
    top = strength(scope, gain=False)
    slope(scope, section, side)
    scope(slope_length, H="H_q")
    scope(squeezing_screen, c_u=top)
    scope(squeezing_safety, F_sq="F_scr", p_Rsq="p_scr", p_sE="p_E0")
    ground = {"c_u0": top, "rho_u": "rho_ud"}
    scope(critical_thickness, **ground)
    scope(mean_block_strength, **ground)
    scope(base_strength, **ground)
    scope(block_resistance, c_u0=top)
    scope(squeezing_safety, p_sE="p_E0")
    return scope


def _early(sheet: Sheet, section: Section, side: Side) -> Scope:
    title = f"Squeezing before consolidation: stress ratio 1, no gain of strength, {side.words}"
    scope = sheet.scope(f"squeeze_early{side.ending}", title)
    as_placed(scope)
    _block(scope, section, side, gain=False)
    scope(squeezing_safety, p_sE="p_E0")
    return scope


def _lift(sheet: Sheet, section: Section, done: dict[str, Sheet], side: Side) -> Scope:
    scope = sheet.scope(f"squeeze_lift{side.ending}", f"Squeezing while a lift is placed, {side.words}")
    under_new_lift(scope, section, done)
    _block(scope, section, side, gain=True)
    scope(squeezing_safety, p_sE="p_sL")
    _verify(scope, "squeeze_lift", "while a lift is placed", "p_sL", side)
    return scope


def _end(sheet: Sheet, section: Section, side: Side) -> Scope:
    scope = sheet.scope(f"squeeze{side.ending}", f"Squeezing at the end of a stage, {side.words}")
    end_of_stage(scope)
    _block(scope, section, side, gain=True)
    scope(squeezing_safety)
    _verify(scope, "squeeze", "at the end of a stage", "p_sE", side)
    scope(mean_strength_along_top)
    scope(fhwa_resistance, p_Rsq="p_RsqF", c_u="c_uS", D_sq="t_soft")
    scope(squeezing_safety, F_sq="F_sqF", p_Rsq="p_RsqF")
    return scope


def _verify(scope: Scope, key: str, when: str, effect: str, side: Side) -> None:
    filled = loaded(scope.sheet)
    scope.sheet.verdict(
        f"{key}{side.ending}", f"Lateral squeezing {when}, {side.words}",
        effect=counted(scope.sheet, scope[effect]).at(stage=filled), resistance=scope["p_Rsq"].at(stage=filled),
    )  # fmt: skip


def _block(scope: Scope, section: Section, side: Side, *, gain: bool) -> None:
    """Resistance of the block: ground of the column field as far as the columns reach, other ground beyond them."""
    slope(scope, section, side)
    given_of_section(scope, "b_g", section, side.extent_path, side.extent or 0.0)
    scope(slope_length, H="H_q")
    scope(block_length_in_field)
    scope(block_length_beyond_field)
    if gain:
        scope(block_length_with_gain)
        scope(mean_gain)
    field_strength(scope, gain=gain)
    for step in (outer_strength, outer_growth, strength_along_top):
        scope(step)
    scope(critical_thickness_of_two_grounds)
    inner, outer = {"c_u0": "c_u0f", "rho_u": "rho_uf"}, {"c_u0": "c_u0x", "rho_u": "rho_ux"}
    scope(mean_block_strength, c_um="c_umf", **inner)
    scope(mean_block_strength, c_um="c_umx", **outer)
    scope(base_strength, c_ub="c_ubf", **inner)
    scope(base_strength, c_ub="c_ube", c_u0="c_u0e", rho_u="rho_ud")
    scope(strength_along_base)
    scope(resistance_of_two_grounds)


def _limits(sheet: Sheet, side: Side, early: Value, end: Scope) -> None:
    sheet.limitation(
        "squeeze-field",
        "Against squeezing the ground in the column field has its strength on its own share of the area, though it is "
        "driven by the stress on the soil over the whole area; the columns' own shear resistance is not counted. Gain "
        "of strength and stress share hold within the field only; beyond it the block has the strength of untreated "
        "ground. The gain counts up to the middle of the slope, as a mean over the block.",
        FIELD,
    )
    sheet.limitation(
        "squeeze-fhwa",
        "The FHWA form counts full shear at the top of the soft ground, which the reinforcement would have to carry, "
        "and one strength over the whole thickness, here the mean along the top of the block; it is printed beside "
        "the block for comparison.",
        FHWA,
    )
    filled = loaded(sheet)
    least = {name: [float(end[name].at(stage=one).array.min()) for one in filled] for name in ("F_sq", "F_sqF")}
    apart = [one for one, block, form in zip(filled, least["F_sq"], least["F_sqF"], strict=True) if form < 1 <= block]
    if apart:
        sheet.limitation(
            f"squeeze-fhwa-low{side.ending}",
            f"The FHWA form is below 1 where the block is not ({side.words}, {', '.join(apart)}). The difference is "
            "expected: the form takes the strength at the top over the whole thickness where it grows with depth, "
            "which costs more than the full shear at the top brings. The block, which counts the growth, decides.",
            FHWA,
        )
        words = f"{side.words}, stage {', '.join(apart)}: least {number_text(min(least['F_sqF']), 2)} by the FHWA form"
        sheet.rests_on(FHWA_LOW, words, "readings of lateral movement at the toe")
    state_early(
        sheet, f"squeeze-early{side.ending}", f"the ground under the slope would be squeezed out ({side.words})", early
    )
