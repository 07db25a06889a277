"""Settlement at the end of the design life and residual settlement with the ground below the toes, all known."""

import numpy as np

from calc.chapters.bearing.below_in_time import settled_in_time
from calc.chapters.shared.frame import AS_GIVEN, LONG, at_labels, frame
from calc.chapters.shared.limits import best_estimate, optional_limit
from calc.chapters.shared.programme import OPEN_SECONDARY, SETTLES, opening, settled_load, steps_of
from calc.engine.sheet import Origin, Scope, Sheet, Value
from calc.engine.words import words_of
from calc.formulas import floating as fl
from calc.formulas.below_toe import life_with_ground_below, residual_settlement_below, residual_with_ground_below
from calc.inputs import Design, Section

say = words_of(__name__)

LIFE = ("settlement_life", say("life"))
REST = ("settlement_rest", say("rest"))
DRAINS = say("drains")
SLOW = say("slow")
TIMED = say("timed")
SOFT = say("soft")
SPREADS = say("spreads")
NOTHING = say("nothing")
IN_TIME = ("settlement_residual", "settlement_with_time", LIFE[0], REST[0])
BESIDE = "life_by_"
HAND_OVER = "hand_over"  # scope
BY_METHOD = (
    ("standard", "standard", "s_life", "s_res"), ("plastic", say("elastic-plastic-column"), "s_lifeEP", "s_resEP"),
)  # fmt: skip
"""Both methods of the soft ground, which stand in a table beside each other: ending of the scope, words, symbols."""


def settlement_life(sheet: Sheet, design: Design, section: Section, done: dict[str, Sheet]) -> None:
    """The larger of both methods for the soft ground and, below the toes, the larger of both spreads of the load."""
    rest = done["consolidation"].scopes.get("residual")
    below = sheet.scopes.get("below")
    if rest is None or below is None:
        why = say("settlement-life-why") if rest is None else say("settlement-life-why-2")
        for key, title in (LIFE, REST):
            sheet.not_verified(key, title, why)
        return
    deep = below["s_b"].largest()
    life = sheet.scope("life", say("scope-life-title"))
    life.take("s_lifeL", rest["s_lifeL"], note=SOFT)
    life.take("s_b", deep, note=SPREADS)
    life(life_with_ground_below)
    limits = design.basis.limits
    missing = ", ".join(f"layer.{layer.key}.C_alpha" for layer in section.soft_layers if layer.C_alpha is None)
    unknown = OPEN_SECONDARY.format(missing) if missing else ""
    path = "basis.limits.settlement_total"
    # The least favourable c_h decides; that as given stands beside it.
    optional_limit(life, design, LIFE, life["s_lifeb"], limits.settlement_total, symbol="s_lim", path=path,
                   missing=unknown, note=best_estimate(life["s_lifeb"]))  # fmt: skip
    left = sheet.scope("rest", say("scope-rest-title"))
    if section.columns.floating:
        sheet.limitation("secondary-below", say("limitation-secondary-below"), "project rule ◇",
                         turns=lambda verdict: verdict.key in IN_TIME)  # fmt: skip
    left.take("s_resL", rest["s_resL"], note=SOFT)
    left.take("s_b", deep, note=SPREADS)
    _residual(left, section, frame(design, section).stages, done)
    path = "basis.limits.settlement_residual"
    optional_limit(left, design, REST, left["s_resb"], limits.settlement_residual, symbol="s_rlim", path=path,
                   missing=unknown, note=best_estimate(left["s_resb"]))  # fmt: skip
    if limits.settlement_residual is not None and not missing and not section.columns.floating:
        _hand_over(sheet, done, limits.settlement_residual)
    for key, title, soft, residual in BY_METHOD:
        scope = sheet.scope(f"{BESIDE}{key}", title)
        scope.take("s_lifeL", rest[soft].at(scenario=AS_GIVEN))
        scope.take("s_resL", rest[residual].at(scenario=AS_GIVEN))
        scope.take("s_b", deep)
        scope.take("s_bre", left["s_bre"])
        scope(life_with_ground_below)
        scope(residual_with_ground_below)


def _hand_over(sheet: Sheet, done: dict[str, Sheet], limit: float) -> None:
    """When what is still to come keeps the limit, what counts of the ground below the toes included."""
    soft = done["consolidation"].scopes["residual"]["t_res"]
    sheet.axis("scenario", soft.labels("scenario"))
    scope = sheet.scope(HAND_OVER, say("scope-hand-over-title"), scenario=AS_GIVEN)
    scope.take("s_bre", sheet.scopes["rest"]["s_bre"])
    if "below_time" in sheet.scopes:  # what is left of it depends on the date itself
        day, why = np.full(len(soft.labels("scenario")), np.nan), say("hand-over-timed")
    else:
        left = limit - float(scope["s_bre"].array)
        kept = done["consolidation"].kept
        day = np.maximum(*(kept[method].earliest_hand_over(left) for method in ("ground", "plastic")))
        why = say("hand-over-never")
    scope.reading("t_resb", day, ["scenario"], title=say("reading-t-resb-title"), inputs=[scope["s_bre"], soft],
                  mask=np.isnan(day), reason=why, note=say("reading-t-resb-note"))  # fmt: skip


def _residual(scope: Scope, section: Section, stages: tuple[str, ...], done: dict[str, Sheet]) -> None:
    """What of the ground below the toes counts as residual: by rule, with the rule printed."""
    load = done["unit_cell"].scopes["settlement"]["Dsigma_0"]
    steps = [k for k in steps_of(section) if k not in opening(section)]
    last = stages[steps_of(section)[-1] + 1]
    weight = scope.sheet.scopes["below"]["Dsigma_wt"] if section.columns.floating else None
    value = at_labels(load, **SETTLES, stiffness=LONG, stage=last)
    _load(scope, "p_fin", value, (weight, last), say("take-p-fin-note"))
    drained = all(layer.drains for layer in section.layers_below)
    timed = not drained and all(layer.drains or layer.c_v is not None for layer in section.layers_below)
    if (drained or timed) and steps:
        handed = {**SETTLES, "load": settled_load(section)}
        value = at_labels(load, **handed, stiffness=LONG, stage=stages[steps[-1] + 1])
        note = say("take-p-bh-note", drains=DRAINS if drained else TIMED)
        _load(scope, "p_bh", value, (weight, stages[steps[-1] + 1]), note)
    else:
        scope.given("p_bh", 0.0, origin=Origin("project rule", text=NOTHING if drained or timed else SLOW))
    if timed and steps:
        settled_in_time(scope, section, stages[steps[-1] + 1], done)
    else:
        scope(residual_settlement_below)
    scope(residual_with_ground_below)


def _load(scope: Scope, name: str, load: Value, weight: tuple[Value | None, str], note: str) -> None:
    """The load at toe level; floating columns bring their excess weight, at this stage, from the beginning."""
    increment, stage = weight
    if increment is None:
        scope.take(name, load, note=note)
    else:
        scope(fl.load_at_toe_level, Dsigma_t=name, Dsigma_0=load, Dsigma_wt=at_labels(increment, stage=stage))
