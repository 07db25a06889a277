"""What the residual settlement depends on beside the ground: date of traffic, ages, reduction, compensation fill."""

from itertools import pairwise

from calc.chapters.consolidation.residual import RESIDUAL, WITH_TIME, governing_course
from calc.chapters.shared.frame import AS_GIVEN, Frame, given_of_section
from calc.chapters.shared.heads import BELOW, HEADS, falls, has_heads
from calc.chapters.shared.programme import END_OF_LIFE, HAND_OVER, last_fill, steps_of
from calc.engine.levels import above
from calc.engine.sheet import Scope, Sheet, Turning, Value, number_text, stage_name
from calc.engine.words import words_of
from calc.formulas import staged
from calc.formulas.consolidation import secondary_settlement
from calc.formulas.sleeve import end_of_construction
from calc.inputs import Section
from calc.inputs.tables.consolidation import Consolidation
from calc.procedures.ground_in_time import GroundInTime

say = words_of(__name__)


def early_traffic(sheet: Sheet, section: Section, shared: Frame, consolidation: Consolidation) -> None:
    """Say where traffic settles the ground before hand-over."""
    steps = [(shared.stages[k + 1], section.stages[k]) for k in steps_of(section)]
    early = [
        say("stage-day", stage=stage_name(label), day=f"{stage.start:g}")
        for label, stage in steps
        if stage.traffic and stage.start < consolidation.hand_over
    ]
    counted = say("early-traffic-counted")
    if consolidation.early_traffic:
        counted = say("early-traffic-counted-2", early_traffic=consolidation.early_traffic)
    if early:
        sheet.limitation(
            "early-traffic",
            say("limitation-early-traffic", hand_over=consolidation.hand_over, early=", ".join(early), counted=counted),
        )


def risen_water(sheet: Sheet, section: Section, shared: Frame, ground: Sheet) -> None:
    """Say where settlement of a stage comes from its water level: each stage starts from a ground of its own."""
    level = {water.name: water.level for water in section.water}
    steps = steps_of(section)
    risen = [
        stage_name(shared.stages[k + 1])
        for before, k in pairwise(steps)
        if above(level[section.stages[k].water], level[section.stages[before].water])
        or _risen_heads(ground, shared.stages[before + 1], shared.stages[k + 1])
    ]
    if risen:
        sheet.limitation("risen-water", say("limitation-risen-water", stages=", ".join(risen)))


def falling_heads(sheet: Sheet, ground: Sheet) -> None:
    """Say what rests on the cell under the load of heads that fall, where less load would be worse."""
    if falls(ground):
        keys = {"degree_before", "ratio_before", "strength_gain"}
        sheet.limitation(
            "heads-rates", say("limitation-heads-rates"), "project rule", turns=lambda verdict: verdict.key in keys
        )


def _risen_heads(ground: Sheet, before: str, after: str) -> bool:
    """Whether heads over depth rise from one stage to another."""
    if not has_heads(ground):
        return False
    pressure = ground.scopes[HEADS]["u_p"].at(point=BELOW)
    return bool((pressure.at(stage=after).array > pressure.at(stage=before).array + 1e-6).any())


OTHER = "secondary_"  # scopes of other rules for secondary compression, which stand on no line
AFTER_HAND_OVER = (RESIDUAL[0], "settlement_rest")
WHOLE_LIFE = (WITH_TIME[0], "settlement_life")


def _exceeds(later: float, whole: float = 0.0) -> Turning:
    """The verdicts on settlement in time that would exceed their limits by this much more in m.

    ``later`` comes on top of what follows hand-over, ``whole`` of what comes until the end of the design life, here
    and in the chapter that adds the ground below the toes.
    """
    more = dict.fromkeys(AFTER_HAND_OVER, later) | dict.fromkeys(WHOLE_LIFE, whole)
    return lambda verdict: (
        more.get(verdict.key, 0.0) > 0
        and (verdict.effect or 0.0) + more[verdict.key] > verdict.limit * (verdict.resistance or 0.0)
    )


def other_secondary(sheet: Sheet, section: Section, ground: GroundInTime) -> None:
    """Say what other rules for secondary compression would give, and what compensation fill leaves out."""
    if "secondary" not in sheet.scopes:
        return
    left = sheet.scopes["residual"]["s_resL"].at(scenario=AS_GIVEN)
    if ground.hand_over > ground.end_of_fill:
        scope = _residual_and_secondary(sheet, "end", say("scope-end-title"), left)
        _from_end_of_filling(scope, section)
        sheet.limitation(
            "secondary-age",
            say("limitation-secondary-age", mm=_mm(scope["s_reso"]), mm_2=_mm(left)),
            turns=_exceeds(float(scope["Ds_seco"].array)),
        )
    factor = sheet.scopes["secondary"]["f_sec"]
    if float(factor.array) < 1:
        scope = _residual_and_secondary(sheet, "unreduced", say("scope-unreduced-title"), left)
        scope.take("f_sec", factor)
        for step in (staged.unreduced_secondary, staged.more_secondary, staged.residual_by_other_rule):
            scope(step)
        scope(staged.more_secondary_of_life, s_sece=_secondary(sheet).at(date=END_OF_LIFE))
        sheet.limitation(
            "secondary-reduced",
            say(
                "limitation-secondary-reduced",
                factor=number_text(float(factor.array), 2),
                mm=_mm(scope["s_reso"]),
                more=_mm(scope["Ds_secw"]),
            ),
            "Pugh, discussion on Sexton et al. (2017), Ground Improvement 174(1), 59",
            turns=_exceeds(float(scope["Ds_seco"].array), float(scope["Ds_secw"].array)),
        )
    if section.makeup_fill:
        without = _residual_and_secondary(sheet, "makeup", say("scope-makeup-title"), left)["s_secl"]
        sheet.limitation("secondary-makeup", say("limitation-secondary-makeup", mm=_mm(without)))


def _secondary(sheet: Sheet) -> Value:
    """Secondary settlement at every date by the method that governs, c_h as given."""
    return governing_course(sheet)["s_sect"].at(scenario=AS_GIVEN)


def _residual_and_secondary(sheet: Sheet, name: str, title: str, left: Value) -> Scope:
    """A scope with the residual settlement, and the secondary settlement after hand-over as it is counted."""
    scope, secondary = sheet.scope(f"{OTHER}{name}", title), _secondary(sheet)
    scope.take("s_resL", left)
    scope(staged.later_secondary, s_sece=secondary.at(date=END_OF_LIFE), s_sech=secondary.at(date=HAND_OVER))
    return scope


def _from_end_of_filling(scope: Scope, section: Section) -> None:
    """Secondary settlement after hand-over where its time begins at the end of the filling."""
    known, time = scope.sheet.scopes["secondary"], scope.sheet.scopes["course"]["t"]
    last = steps_of(section)[last_fill(section)]
    path = f"stage.{last}"
    given_of_section(scope, "t_0", section, f"{path}.start", section.stages[last].start)
    given_of_section(scope, "t_f", section, f"{path}.duration", section.stages[last].duration)
    scope(end_of_construction, t="t_en")
    scope(staged.time_since_end_of_filling, t=time.at(date=END_OF_LIFE))
    scope(staged.time_since_end_of_filling, t_L="t_p", t=time.at(date=HAND_OVER))
    scope.take("h", known["h"])
    scope(secondary_settlement, C_aeps=known["C_aepr"])
    for step in (staged.secondary_of_layers, staged.more_secondary, staged.residual_by_other_rule):
        scope(step)


def _mm(value: Value) -> str:
    return number_text(1000 * float(value.array), 0)
