"""A second way beside the course: the first step alone, as one load of one age, with one rate of horizontal flow."""

import numpy as np

from calc.chapters.consolidation.drainage import slowest_sublayer
from calc.chapters.shared.frame import Frame, given_of_section, origin_of
from calc.chapters.shared.programme import PROGRAMME, steps_of
from calc.engine.sheet import Scope, Sheet, stage_name
from calc.engine.words import words_of
from calc.formulas import consolidation as co
from calc.formulas import staged
from calc.inputs import Section
from calc.procedures.ground_in_time import GroundInTime

say = words_of(__name__)

SCOPE = "by_hand"


def by_hand(sheet: Sheet, section: Section, shared: Frame, ground: GroundInTime, done: dict[str, Sheet]) -> None:
    """Degree of every sublayer before the second step, or at handing over, by closed forms beside the procedure."""
    steps = steps_of(section)
    first = section.stages[steps[0]]
    label = f"start of {stage_name(shared.stages[steps[1] + 1])}" if len(steps) > 1 else "hand-over"
    scope = sheet.scope(SCOPE, say("by-hand-title", label=label), layer=slowest_sublayer(section, shared))
    given_of_section(scope, "t_b1", section, f"stage.{steps[0]}.start", first.start)
    scope.take("t_en", done["basis"].scopes[PROGRAMME]["t_es"].at(stage=shared.stages[steps[0] + 1]))
    scope(staged.middle_of_filling)
    path = f"stage.{steps[1]}.start" if len(steps) > 1 else "consolidation.hand_over"
    date = section.stages[steps[1]].start if len(steps) > 1 else ground.hand_over
    scope.given("t", date, origin=origin_of(section, path))
    scope(staged.time_since_filling, t_L="t_a")
    _degrees(scope, sheet)
    law = ground.settled[0]
    settlement = ground.settlement_at([date]).value()[0, 0]
    if len(steps) == 1:
        law = ground.settled[-1]
    scope.reading("U_z", np.divide(settlement, law, out=np.zeros_like(settlement), where=law > 0), ["layer"],
                  title=say("reading-u-z-title"), mask=law <= 0, reason=say("no-settlement"),
                  inputs=[sheet.scopes["transfer"]["t_hm"]], note=say("reading-u-z-note"))  # fmt: skip


def _degrees(scope: Scope, sheet: Sheet) -> None:
    """Horizontal flow with the load transfer that governs, vertical flow where it is counted."""
    flow, transfer = sheet.scopes["drainage"], sheet.scopes["transfer"]
    for name, value in (("c_hm", transfer["c_hm"]), ("d_e", flow["d_e"]), ("F_dr", flow["F_dr"])):
        scope.take(name, value)
    scope(co.horizontal_time_factor, c_hs="c_hm", t="t_a")
    scope(co.horizontal_degree)
    if "vertical" not in sheet.scopes:
        return
    vertical = sheet.scopes["vertical"]
    for name in ("c_vs", "H_dr"):
        scope.take(name, vertical[name])
    scope(co.vertical_time_factor, t="t_a")
    scope(staged.approximate_vertical_degree)
    scope(co.combined_degree, U_v="U_va")
