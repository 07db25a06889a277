"""Settlement of one section at hand-over and from then on, by both methods, with the ground below the toes."""

from collections.abc import Sequence

import numpy as np

from calc.chapters.shared.frame import LONG, SCENARIOS, at_labels, chapter
from calc.chapters.shared.missing import quoted_names
from calc.chapters.shared.programme import END_OF_LIFE, HAND_OVER, SETTLES, calendar, steps_of
from calc.engine.levels import above
from calc.engine.sheet import Scope, Sheet
from calc.engine.symbols import YEAR
from calc.engine.words import words_of
from calc.formulas.alignment import hand_over_with_ground_below, later_with_ground_below
from calc.formulas.monitoring import settlement_below_by_now
from calc.inputs import Design, Section
from calc.procedures.ground_in_time import Floats, GroundInTime

say = words_of(__name__)

METHODS = (("residual", "ground", say("standard")), ("residual_plastic", "plastic", say("plastic")))
"""Scope of the residual settlement, course of the settlement that is kept, and words, of each method."""
LATER = (1, 3, 10, 30)  # years after hand-over
HAND, AFTER = "hand_over", "later"  # scopes of the settlements
TAKEN_AWAY = "taken_away"  # kept: what the factor on secondary compression takes away, in m, by scope
BELOW = "below"  # kept: settlement of the ground below the toes, in m, by date
GRADIENT_HAND, GRADIENT_LATER = "gradient_hand_over", "gradient_later"  # and of the gradients
Sheets = dict[str, Sheet]


def settlements(design: Design, section: Section, done: Sheets) -> tuple[Sheet, str]:
    """A sheet with the settlements of a section in the scopes `HAND` and `AFTER`, or what is missing for them."""
    sheet = chapter("alignment", design, section)
    why = missing(done) or _of_two_grids(section) or _beside_old_bank(section)
    if why:
        return sheet, why
    years = [year for year in LATER if year * YEAR < design.basis.design_life]
    sheet.axis("scenario", SCENARIOS)
    sheet.axis("method", [words for _, _, words in METHODS])
    sheet.axis("date", [*(say("years", years=year, s="s" if year > 1 else "") for year in years), END_OF_LIFE])
    below = done["bearing"].scopes["rest"]
    known = [done["consolidation"].scopes[name] for name, _, _ in METHODS]
    scope = sheet.scope(HAND, say("hand-over"))
    scope.reading("s_hand", np.stack([part["s_hand"].array for part in known], axis=-1), ["scenario", "method"],
                  title=say("reading-s-hand"), inputs=[part["s_hand"] for part in known])  # fmt: skip
    for name in ("s_b", "s_bre"):
        scope.take(name, below[name])
    scope(hand_over_with_ground_below)
    scope = sheet.scope(AFTER, say("later"))
    kept = [done["consolidation"].kept[name] for _, name, _ in METHODS]
    days = calendar(done).hand_over + YEAR * np.array(years)
    values = [_later(own, ground, days) for own, ground in zip(known, kept, strict=True)]
    scope.reading("s_fs", np.stack(values, axis=-1), ["scenario", "date", "method"], title=say("reading-s-fs"),
                  inputs=[part["s_res"] for part in known], note=say("note-s-fs"))  # fmt: skip
    scope.take("s_bre", below["s_bre"])
    scope(later_with_ground_below)
    sheet.kept[BELOW] = _below(sheet.scopes[HAND], section, done)
    sheet.kept[TAKEN_AWAY] = dict(zip((HAND, AFTER), _taken_away(done, kept, days), strict=True))
    return sheet, ""


def missing(done: Sheets) -> str:
    """What a section lacks for its settlement in time; empty where it has all."""
    if "secondary" not in done["consolidation"].scopes or "residual" not in done["consolidation"].scopes:
        return say("no-course")
    return "" if "rest" in done["bearing"].scopes else say("no-ground-below")


def _of_two_grids(section: Section) -> str:
    """Why there is no one settlement below the crest, in words: a zone of the columns reaches there."""
    half = section.embankment.crest_width / 2
    below = [
        zone.key for _, zone in section.columns.zones
        if any(above(half, low) and above(high, -half) for low, high in zone.strips)
    ]  # fmt: skip
    return say("two-grids", key=section.of, zones=quoted_names(below)) if below else ""


def _beside_old_bank(section: Section) -> str:
    """Why there is no one settlement below a crest that an old bank carries in part, in words."""
    return say("old-bank", key=section.key) if section.widening else ""


def _later(known: Scope, ground: GroundInTime, days: Floats) -> Floats:
    """Settlement from hand-over to some days and, as recorded, to the end of the design life, (scenarios, dates)."""
    settled = ground.settlement_at(days).total().value()[..., 0] + ground.creep_at(days)
    settled = settled + ground.secondary_at(days).sum(axis=-1)
    since = settled - (known["s_hand"].array - known["s_traf"].array)[:, None]
    return np.concatenate([since, known["s_res"].array[:, None]], axis=-1)


def _below(scope: Scope, section: Section, done: Sheets) -> dict[str, float]:
    """What of the ground below the toes is not residual has settled by hand-over and before follows the load placed."""
    cell = done["unit_cell"].scopes["settlement"]["Dsigma_0"]
    load = {f"end of {stage}": float(at_labels(cell, **SETTLES, stiffness=LONG, stage=stage).array)
            for stage in (cell.labels("stage")[k + 1] for k in steps_of(section))}  # fmt: skip
    whole, rest = (float(scope[name].array) for name in ("s_b", "s_bre"))
    by_now, last = whole - rest, [*load.values()][-1]
    by_date = {date: float(settlement_below_by_now(by_now, placed, last)) for date, placed in load.items()}
    return {**by_date, HAND_OVER: by_now, END_OF_LIFE: whole}


def _taken_away(done: Sheets, kept: Sequence[GroundInTime], days: Floats) -> tuple[Floats, Floats]:
    """Secondary settlement that the factor takes away: (scenarios, methods) by hand-over, with dates from then on."""
    known = done["consolidation"].scopes
    dates = [calendar(done).hand_over, *days, calendar(done).end_of_life]
    share = 1 / float(known["secondary"]["f_sec"].array) - 1
    whole = share * np.stack([ground.secondary_at(np.array(dates)).sum(axis=-1) for ground in kept], axis=-1)
    return whole[:, 0], whole[:, 1:] - whole[:, :1]
