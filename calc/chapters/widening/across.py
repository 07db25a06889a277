"""What the settlement does to the crest: its largest values, differences, cross-fall and grade, against the limits."""

from collections.abc import Sequence
from itertools import pairwise

import numpy as np

from calc.chapters.shared.frame import CENTRE, LONG, LOW, origin_of
from calc.chapters.shared.limits import optional_limit
from calc.chapters.widening.settlement import CELL, INDICES, MODULUS
from calc.chapters.widening.stress import HALF_SPACE, Position, shown
from calc.engine.sheet import Origin, Scope, Sheet, Value
from calc.engine.words import words_of
from calc.formulas import widening as wd
from calc.inputs import Design, Section
from calc.inputs.tables.widening import Widening, WideningLimits

say = words_of(__name__)

PROFILE = "profile"  # scope
UPPER, NONE, ALIKE = say("upper"), say("none"), say("alike")
RESIDUAL = ("widening_residual", say("residual-title"))
SETTLEMENT = ("widening_settlement", say("settlement-title"))
DIFFERENCE = ("widening_difference", say("difference-title"))
CROSS_FALL = ("widening_cross_fall", say("cross-fall-title"))
GRADE = ("widening_grade", say("grade-title"))
FEWEST = 3  # positions on the crest that a change of grade needs


def across(
    sheet: Sheet, design: Design, section: Section, given: Widening, positions: tuple[Position, ...],
    laws: Sequence[Scope], done: dict[str, Sheet],
) -> None:  # fmt: skip
    """The settlement at all positions, then what of it counts on the crest."""
    words = {INDICES: say("law-indices"), MODULUS: say("law-modulus")}
    states = (UPPER, NONE, ALIKE)
    labels = [say("combination", law=words[one.name], counted=counted) for one in laws for counted in states]
    sheet.axis("combination", labels)
    crest = [one for one in positions if one.crest]
    nearest = [one.label for one in crest if not one.columns] or [shown(positions)]
    scope = sheet.scope(PROFILE, say("scope-title"), position=nearest[-1])
    limits = given.limits or WideningLimits(source="-")
    _settlement(sheet, scope, design, positions, laws)
    _residual(scope, design, laws, [one for one in crest if not one.columns])
    profile = _profile(scope, section, given, positions, laws, done)
    on_crest = profile.at(position=[one.label for one in crest])
    _difference(scope, section, on_crest, limits)
    _slopes(sheet, scope, on_crest)
    limit = limits.cross_fall
    optional_limit(scope, section, CROSS_FALL, scope["i_Wx"], limit, symbol="i_Wlim", path="widening.limits.cross_fall")
    _bounded(scope, scope["i_Wx"])
    _grade(sheet, scope, section, crest, limits.grade)


def _settlement(
    sheet: Sheet, scope: Scope, design: Design, positions: tuple[Position, ...], laws: Sequence[Scope]
) -> None:  # fmt: skip
    """The largest settlement on the crest of all laws, and of both methods on columns."""
    bare, treated = ([one.label for one in positions if one.crest and one.columns is stand] for stand in (False, True))
    parts = [one["s_Wu"].at(position=bare, method=HALF_SPACE) for one in laws if bare]
    parts += [sheet.scopes[CELL]["s_Wc"].at(position=treated)] if treated else []
    largest = max(float(one.array.max()) for one in parts)
    inputs = [*(one["s_Wu"] for one in laws), sheet.scopes[CELL]["s_Wc"]]
    found = scope.reading("s_Wt", largest, title=say("largest-title"), inputs=inputs, note=say("largest-note"))
    limit = design.basis.limits.settlement_total
    optional_limit(scope, design, SETTLEMENT, found, limit, symbol="s_Wlim", path="basis.limits.settlement_total")


def _later(scope: Scope, done: dict[str, Sheet]) -> Value:
    """What of the settlement on columns comes after hand-over; all of it where no settlement in time is known."""
    known = done["consolidation"].scopes.get("residual")
    if known is None:
        return scope.given("r_Wc", 1.0, origin=Origin("project rule", text=say("no-time")))
    scope.take("s_hpm", known["s_hpm"].at(course=LOW))
    final = done["unit_cell"].scopes["settlement"]["s"]
    scope.take("s", final.at(stage=final.labels("stage")[-1], position=CENTRE, load="G+Q", stiffness=LONG))
    return scope(wd.share_after_hand_over)


def _profile(
    scope: Scope, section: Section, given: Widening, positions: tuple[Position, ...], laws: Sequence[Scope],
    done: dict[str, Sheet],
) -> Value:  # fmt: skip
    """The cell by both methods where columns stand, elsewhere every law in the half-space, in three states."""
    stand = np.array([one.columns for one in positions])[:, None]
    found = [one["s_Wu"].at(method=HALF_SPACE) for one in laws]
    later = _later(scope, done)
    cell, share = scope.sheet.scopes[CELL]["s_Wc"], float(later.array)
    states = ((share, 1.0), (0.0, 1.0), (share, share))
    parts = [np.where(stand, on * cell.array, off * one.array[:, None]) for one in found for on, off in states]
    places = [origin_of(section, f"widening.columns_{side}") for side, x in given.innermost.items() if x is not None]
    return scope.reading("s_WC", np.stack(parts, axis=1), ["position", "combination", "method"],
                         title=say("profile-title"), inputs=[*found, cell, later], origins=places,
                         note=say("profile-note"))  # fmt: skip


def _residual(scope: Scope, design: Design, laws: Sequence[Scope], bare: Sequence[Position]) -> None:
    """All that settles without columns comes after hand-over at most: a pass proves, more does not."""
    never = "" if bare else say("all-on-columns")
    effect = None
    if bare:
        labels = [one.label for one in bare]
        parts = [one["s_Wu"].at(position=labels, method=HALF_SPACE) for one in laws]
        largest = max(float(one.array.max()) for one in parts)
        inputs = [one["s_Wu"] for one in laws]
        effect = scope.reading("s_Wres", largest, title=say("bare-title"), inputs=inputs, note=say("bare-note"))
    limit = design.basis.limits.settlement_residual
    optional_limit(scope, design, RESIDUAL, effect, limit, symbol="s_Wrlim", path="basis.limits.settlement_residual",
                   never=never)  # fmt: skip
    made = scope.sheet.verdicts[-1]
    if made.state == "fail":
        scope.sheet.withhold(made, say("residual-open"))


def _difference(scope: Scope, section: Section, on_crest: Value, limits: WideningLimits) -> None:
    scope.reading("s_Wx", on_crest.array.max(axis=0), ["combination", "method"], title=say("most-title"),
                  inputs=[scope["s_WC"]])  # fmt: skip
    scope.reading("s_Wn", on_crest.array.min(axis=0), ["combination", "method"], title=say("smallest-title"),
                  inputs=[scope["s_WC"]])  # fmt: skip
    found = scope(wd.difference_across_crest)
    path = "widening.limits.difference"
    optional_limit(scope, section, DIFFERENCE, found, limits.difference, symbol="Ds_Wlim", path=path)
    _bounded(scope, found)


def _slopes(sheet: Sheet, scope: Scope, on_crest: Value) -> None:
    """Settlement of every two neighbours on the crest, and the slope between them."""
    labels = on_crest.labels("position")
    pairs = [say("pair", left=left, right=right) for left, right in pairwise(labels)]
    sheet.axis("transition", pairs)
    places = sheet["x_W"].at(position=labels)
    ends = (("a", slice(None, -1), say("left-title")), ("b", slice(1, None), say("right-title")))
    for end, part, title in ends:
        scope.reading(f"x_W{end}", places.array[part], ["transition"], title=title, inputs=[sheet["x_W"]])
        scope.reading(f"s_W{end}", np.moveaxis(on_crest.array[part], 0, -1), ["combination", "method", "transition"],
                      title=title, inputs=[scope["s_WC"]])  # fmt: skip
    for step in (wd.distance_of_positions, wd.slope_by_settlement, wd.change_of_cross_fall):
        scope(step)


def _grade(
    sheet: Sheet, scope: Scope, section: Section, crest: Sequence[Position], limit: float | None
) -> None:  # fmt: skip
    """The change of the slope at every position between two others."""
    effect, never = None, say("few") if len(crest) < FEWEST else ""
    if not never:
        sheet.axis("point", [one.label for one in crest[1:-1]])
        slope = np.moveaxis(scope["i_W"].array, -1, 1)
        for name, part, title in (("i_Wl", slice(None, -1), say("before")), ("i_Wr", slice(1, None), say("after"))):
            scope.reading(name, slope[:, part], ["combination", "point", "method"], title=title, inputs=[scope["i_W"]])
        effect = scope(wd.change_of_grade)
    optional_limit(scope, section, GRADE, effect, limit, symbol="Di_Wlim", path="widening.limits.grade", never=never)
    if effect is not None:
        _bounded(scope, effect)


def _bounded(scope: Scope, effect: Value) -> None:
    """What exceeds its limit fails where the least state does as well, and is open where a bound alone does.

    Ground without columns has at least the residual share of that on columns left; without a settlement in time that
    share is not known, and nothing is certain to come after hand-over.
    """
    made, labels = scope.sheet.verdicts[-1], effect.labels("combination")
    if made.state != "fail":
        return
    least = effect.at(combination=[one for one in labels if one.endswith(ALIKE)]).array.max()
    if "s_hpm" not in scope or least <= made.limit * (made.resistance or 0.0):
        scope.sheet.withhold(made, say("bound"))
