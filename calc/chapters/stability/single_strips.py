"""Slip surfaces with one strip of traffic load alone: the others may hold the slope where they lie behind it."""

from dataclasses import replace

import numpy as np

from calc.chapters.shared.soft_ground import Side
from calc.chapters.stability.slip_cases import Searches
from calc.chapters.stability.slip_ground import LOADS
from calc.chapters.stability.stage_model import Case
from calc.chapters.stability.states import State
from calc.engine.levels import above
from calc.engine.sheet import Scope
from calc.engine.words import words_of
from calc.formulas.slip import BISHOP
from calc.procedures.stage_search import Found

say = words_of(__name__)

IDLE = say("no-fill-or-no-traffic")


def one_strip(
    searches: Searches, scope: Scope, side: Side, state: State, bishop: Found, named: tuple[str, str]
) -> None:  # fmt: skip
    """The least factor with the strip nearest to the crest edge and what it overlaps, in the stages with traffic."""
    if len(searches.strips) < 2:
        return
    idle = ~(scope.sheet.scopes[LOADS]["i_Q"].array > 0) | np.isnan(bishop.array(lambda result: result.factor))
    if idle.all():
        return
    key, title = named
    alone = _outermost(searches, scope.sheet.scopes[LOADS], side)
    if len(alone) == len(searches.strips):
        return

    def loaded_alone(case: Case) -> Case | None:
        return replace(case, strips=alone) if case.stage.traffic else None

    answers = searches.ask(side, state, "bishop", change=loaded_alone, at=bishop, near=True)
    factor = answers.array(lambda result: result.factor)
    factor[idle] = np.nan
    empty = np.isnan(factor)
    title = say("title", title=title)
    rests = [scope["F_Bi"], *searches.relies_on(state, scope)]
    scope.reading("F_B1", factor, ["factor_set", "stage"], title=title, source=BISHOP, inputs=rests, mask=empty,
                  reason=IDLE, note=say("reading-f-b1-note"))  # fmt: skip
    stages = searches.stages_evaluated(factor)
    needed, safety = (value.at(stage=stages) for value in (scope.sheet["gamma_Re"], scope["F_B1"]))
    scope.sheet.verdict(f"{key}_one_strip", title, effect=needed.without(~safety.valid, IDLE), resistance=safety)


def _outermost(searches: Searches, loads: Scope, side: Side) -> tuple[str, ...]:
    """The strip whose axis is nearest to the crest edge, and what it stands on or what stands on it.

    A strip with a length stands on a lane that may be several joined ones, with another axis.
    """
    places, half = loads["x_ld"].array, loads["b_ld"].array / 2
    first = int(places.argmin() if side.end == "l" else places.argmax())
    return tuple(
        name for name, x, reach in zip(searches.strips, places, half, strict=True)
        if above(reach + half[first], abs(x - places[first]))
    )  # fmt: skip
