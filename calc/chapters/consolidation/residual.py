"""Residual settlement and that at the end of the design life: two methods of the unit cell, the larger one counts.

The soft ground alone: the ground below the toes is added in the chapter on bearing, where it is known.
"""

import numpy as np
from numpy.typing import NDArray

from calc.chapters.consolidation.course import BY_PLASTIC, BY_STANDARD
from calc.chapters.consolidation.ground_again import GroundAgain
from calc.chapters.shared.frame import AS_GIVEN, LOW
from calc.chapters.shared.limits import best_estimate, optional_limit
from calc.chapters.shared.programme import END_OF_LIFE, HAND_OVER, OPEN_SECONDARY
from calc.engine.sheet import Axis, Scope, Sheet, number_text
from calc.engine.words import words_of
from calc.formulas import staged
from calc.inputs import Design
from calc.procedures.ground_in_time import GroundInTime

say = words_of(__name__)

Floats = NDArray[np.float64]
RESIDUAL = ("settlement_residual", say("residual"))
WITH_TIME = ("settlement_with_time", say("with-time"))
PARTS = ("s_pt", "s_sect", "s_cr")  # primary and secondary compression, creep of the sleeve


def residual(
    sheet: Sheet, design: Design, ground: GroundAgain, plastic: GroundAgain, missing: str, *, floating: bool
) -> None:
    """Residual settlement and that at the end of the design life by both methods, the larger against its limit."""
    other = sheet.scope("residual_plastic", say("scope-residual-plastic-title"), scenario=AS_GIVEN)
    _by_method(sheet, other, BY_PLASTIC.scope, plastic)
    scope = sheet.scope("residual", say("residual-settlement"), scenario=AS_GIVEN)
    _by_method(sheet, scope, BY_STANDARD.scope, ground)
    scope.take("s_lifeEP", other["s_life"])
    scope.take("s_resEP", other["s_res"])
    scope(staged.larger_life)
    scope(staged.larger_residual)
    limits = design.basis.limits
    # The least favourable c_h decides; that as given stands beside it.
    unknown = OPEN_SECONDARY.format(missing) if missing else ""
    for named, effect, symbol, field in (
        (RESIDUAL, scope["s_resL"], "s_rlim", "settlement_residual"),
        (WITH_TIME, scope["s_lifeL"], "s_lim", "settlement_total"),
    ):
        optional_limit(scope, design, named, effect, getattr(limits, field), symbol=symbol,
                       path=f"basis.limits.{field}", missing=unknown, note=best_estimate(effect))  # fmt: skip
    if limits.settlement_residual is not None and not missing:
        _hand_over(sheet, scope, (ground.ground, plastic.ground), limits.settlement_residual, floating=floating)


def governing_course(sheet: Sheet) -> Scope:
    """The course of the method whose residual settlement is the larger one, c_h as given."""
    scope = sheet.scopes["residual"]
    standard, plastic = (float(scope[name].at(scenario=AS_GIVEN).array) for name in ("s_res", "s_resEP"))
    return sheet.scopes[BY_PLASTIC.scope if plastic > standard else BY_STANDARD.scope]


def _by_method(sheet: Sheet, scope: Scope, course: str, again: GroundAgain) -> None:
    known = sheet.scopes[course]
    scope.take("s_hand", known["s_t"].at(date=HAND_OVER))
    parts = {name: known[name].at(date=END_OF_LIFE) for name in PARTS if "date" in known[name].axis_names}
    scope(staged.settlement_in_time, s_t="s_life", **{name: known[name] for name in PARTS} | parts)
    primary = known["s_pt"].at(date=HAND_OVER)
    axes = [Axis("scenario", sheet.axes["scenario"])]
    scope.reading("s_hpm", _handed_over(again.ground), ["scenario"], inputs=[primary],
                  title=say("reading-s-hpm-title"), note=say("reading-s-hpm-note"),
                  again=again.reading("s_hpm", axes, _handed_over))  # fmt: skip
    scope(staged.settlement_from_traffic, s_pt=primary)
    scope(staged.residual_settlement)


def _handed_over(ground: GroundInTime) -> Floats:
    """Primary settlement that counts as settled at the hand-over, by scenario."""
    return ground.handed_over_at([ground.hand_over])[:, 0]


def _hand_over(sheet: Sheet, scope: Scope, grounds: tuple[GroundInTime, ...], limit: float, *, floating: bool) -> None:
    """How the date of handing over depends on c_h; none below floating columns, where deeper ground settles as well."""
    if floating:
        hand_over, why, note = np.full(scope["s_resL"].array.shape, np.nan), say("floating"), ""
    else:
        hand_over = np.maximum(*(ground.earliest_hand_over(limit) for ground in grounds))
        why, note = say("not-reached"), say("reading-t-res-note")
    scope.reading("t_res", hand_over, ["scenario"], title=say("reading-t-res-title"), inputs=[scope["s_resL"]],
                  mask=np.isnan(hand_over), reason=why, note=note)  # fmt: skip
    worst = scope["s_resL"].number({"scenario": LOW}) or 0.0
    if worst > limit:
        day = scope["t_res"].number({"scenario": LOW})
        if day is not None:
            until = say("hand-over-until", ceil=number_text(np.ceil(day), 0))
        else:
            until = say("floating-until") if floating else say("hand-over-until-2")
        sheet.limitation(
            "residual-low",
            say(
                "limitation-residual-low",
                worst=number_text(1000 * worst, 0),
                limit=number_text(1000 * limit, 0),
                until=until,
            ),
        )
