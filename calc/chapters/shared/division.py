"""Whether results still rest on the division of the ground into sublayers."""

import numpy as np

from calc.chapters.shared.frame import FACTORED, G_Q, G
from calc.engine.sheet import Scope, Sheet, Value
from calc.engine.words import words_of
from calc.formulas.sleeve import design_ring_tension, larger_ring_tension

say = words_of(__name__)

MOST_CHANGE = 0.02
SETTLEMENT, TENSION = "sublayers-settlement", "sublayers-tension"


def state_change(sheet: Sheet, key: str, what: str, change: Value, verdicts: tuple[str, ...] = ()) -> None:
    """Say where halving the sublayers still changes a result by more than is accepted; beside what it would turn."""
    loaded = change.at(stage=sheet.axes["stage"][1:])
    worst = float(np.max(loaded.array, where=loaded.valid, initial=0.0))
    if worst > MOST_CHANGE:
        sheet.limitation(
            key,
            say("limitation-state-change", what=what, worst=100 * worst, most_change=100 * MOST_CHANGE),
            "project rule",
            turns=lambda verdict: (
                verdict.key in verdicts and (verdict.utilisation or 0.0) * (1 + worst) > verdict.limit
            ),
        )


def relies_on_division(done: dict[str, Sheet]) -> bool:
    """Whether a chapter has stated that halving its sublayers changes too much."""
    return any(limitation.key in {SETTLEMENT, TENSION} for sheet in done.values() for limitation in sheet.limitations)


def design_tension(scope: Scope, ring: Scope, basis: Sheet) -> Value:
    """Design ring tension: the larger of factored effects and factored actions, over the axes of the cell."""
    tension = ring["F_Ri"]
    for name, combination in (("F_G", G), ("F_GQ", G_Q), ("F_Ra", FACTORED)):
        scope.take(name, tension.at(combination=combination))
    for name in ("gamma_G", "gamma_Q"):
        scope.take(name, basis[name])
    scope(design_ring_tension, F_Rd="F_Re")
    return scope(larger_ring_tension)
