"""What the residual settlement depends on beside the ground: date of traffic, ages, reduction, compensation fill."""

from itertools import pairwise

import numpy as np

from calc.chapters.consolidation.residual import RESIDUAL, WITH_TIME, governing_course
from calc.chapters.shared.frame import AS_GIVEN, Frame
from calc.chapters.shared.programme import END_OF_LIFE, HAND_OVER, steps_of
from calc.engine.levels import above
from calc.engine.sheet import Sheet, Turning, number_text, stage_name
from calc.engine.words import words_of
from calc.formulas.consolidation import secondary_settlement
from calc.inputs import Section
from calc.inputs.tables.consolidation import Consolidation
from calc.procedures.ground_in_time import GroundInTime

say = words_of(__name__)


def early_traffic(sheet: Sheet, section: Section, shared: Frame, given: Consolidation) -> None:
    """Say where traffic settles the ground before hand-over."""
    steps = [(shared.stages[k + 1], section.stages[k]) for k in steps_of(section)]
    early = [
        f"{stage_name(label)} (day {one.start:g})"
        for label, one in steps
        if one.traffic and one.start < given.hand_over
    ]
    counted = say("early-traffic-counted")
    if given.early_traffic:
        counted = say("early-traffic-counted-2", early_traffic=given.early_traffic)
    if early:
        sheet.limitation(
            "early-traffic",
            say("limitation-early-traffic", hand_over=given.hand_over, early=", ".join(early), counted=counted),
        )


def risen_water(sheet: Sheet, section: Section, shared: Frame) -> None:
    """Say where settlement of a stage comes from its water level: each stage starts from a ground of its own."""
    level = {one.name: one.level for one in section.water}
    steps = steps_of(section)
    risen = [
        stage_name(shared.stages[k + 1])
        for before, k in pairwise(steps)
        if above(level[section.stages[k].water], level[section.stages[before].water])
    ]
    if risen:
        sheet.limitation("risen-water", say("limitation-risen-water", stages=", ".join(risen)))


AFTER_HAND_OVER = (RESIDUAL[0], "settlement_rest")
WHOLE_LIFE = (WITH_TIME[0], "settlement_life")


def _exceeds(later: float, whole: float = 0.0) -> Turning:
    """The verdicts on settlement in time that would exceed their limits by this much more in m.

    ``later`` comes on top of what follows hand-over, ``whole`` of what comes until the end of the design life, here
    and in the chapter that adds the ground below the toes.
    """
    more = dict.fromkeys(AFTER_HAND_OVER, later) | dict.fromkeys(WHOLE_LIFE, whole)
    return lambda one: (
        more.get(one.key, 0.0) > 0 and (one.effect or 0.0) + more[one.key] > one.limit * (one.resistance or 0.0)
    )


def other_secondary(sheet: Sheet, section: Section, ground: GroundInTime) -> None:
    """Say what other rules for secondary compression would give, and what compensation fill leaves out."""
    if "secondary" not in sheet.scopes:
        return
    left = float(sheet.scopes["residual"]["s_resL"].at(course=AS_GIVEN).array)
    own = _later(sheet)
    at = np.array([ground.hand_over, ground.end_of_life]) - ground.end_of_fill
    if at[0] > 0:
        parts = float(secondary_settlement(ground.secondary, 1.0, at[1], at[0]).sum())
        sheet.limitation(
            "secondary-age",
            say("limitation-secondary-age", mm=_mm(left - own + parts), mm_2=_mm(left)),
            turns=_exceeds(parts - own),
        )
    factor = float(sheet.scopes["secondary"]["f_sec"].array)
    if factor < 1:
        sheet.limitation(
            "secondary-reduced",
            say("limitation-secondary-reduced", factor=number_text(factor, 2), mm=_mm(left - own + own / factor)),
            "Pugh, discussion on Sexton et al. (2017), Ground Improvement 174(1), 59",
            turns=_exceeds(own / factor - own, _whole(sheet) * (1 / factor - 1)),
        )
    if section.makeup_fill:
        sheet.limitation("secondary-makeup", say("limitation-secondary-makeup", mm=_mm(own)))


def _later(sheet: Sheet) -> float:
    """Secondary settlement between handing over and the end of the design life, in m."""
    found = governing_course(sheet)["s_sect"].at(course=AS_GIVEN)
    return float(found.at(date=END_OF_LIFE).array - found.at(date=HAND_OVER).array)


def _whole(sheet: Sheet) -> float:
    """Secondary settlement until the end of the design life, in m."""
    return float(governing_course(sheet)["s_sect"].at(course=AS_GIVEN, date=END_OF_LIFE).array)


def _mm(value: float) -> str:
    return number_text(1000 * value, 0)
