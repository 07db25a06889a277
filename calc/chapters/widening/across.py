"""What the settlement does to the crest: its largest values, differences, cross-fall and grade, against the limits."""

from collections.abc import Sequence
from itertools import pairwise

import numpy as np

from calc.chapters.shared.limits import optional_limit
from calc.chapters.widening.settlement import CELL, INDICES, MODULUS
from calc.chapters.widening.stress import HALF_SPACE, METHODS, Position
from calc.engine.sheet import Scope, Sheet, Value
from calc.engine.words import words_of
from calc.formulas import widening as wd
from calc.inputs import Design, Section
from calc.inputs.tables.widening import Widening, WideningLimits

say = words_of(__name__)

PROFILE = "profile"  # scope
ALL, LATER = say("all"), say("later")
COUNTED = (ALL, LATER)
RESIDUAL = ("widening_residual", say("residual-title"))
SETTLEMENT = ("widening_settlement", say("settlement-title"))
DIFFERENCE = ("widening_difference", say("difference-title"))
CROSS_FALL = ("widening_cross_fall", say("cross-fall-title"))
GRADE = ("widening_grade", say("grade-title"))
FEWEST = 3  # positions on the crest that a change of grade needs


def across(
    sheet: Sheet, design: Design, section: Section, given: Widening, positions: tuple[Position, ...],
    laws: Sequence[Scope],
) -> None:  # fmt: skip
    """The settlement at all positions, then what of it counts on the crest."""
    words = {INDICES: say("law-indices"), MODULUS: say("law-modulus")}
    labels = [say("combination", law=words[one.name], counted=counted) for one in laws for counted in COUNTED]
    sheet.axis("combination", labels)
    scope = sheet.scope(PROFILE, say("scope-title"))
    profile = _profile(sheet, scope, positions, laws)
    crest = [one for one in positions if one.crest]
    limits = given.limits or WideningLimits(source="-")
    on_crest = profile.at(position=[one.label for one in crest])
    _settlement(scope, design, on_crest)
    _residual(scope, design, profile, [one for one in crest if not one.columns])
    _difference(scope, section, on_crest, limits)
    _slopes(sheet, scope, on_crest)
    limit = limits.cross_fall
    optional_limit(scope, section, CROSS_FALL, scope["i_Wx"], limit, symbol="i_Wlim", path="widening.limits.cross_fall")
    _grade(sheet, scope, section, crest, limits.grade)


def _profile(sheet: Sheet, scope: Scope, positions: tuple[Position, ...], laws: Sequence[Scope]) -> Value:
    """The cell by both methods where columns stand, elsewhere every law in the half-space.

    What settles on columns counts whole or not at all.
    """
    stand = np.array([one.columns for one in positions])[:, None]
    found = [one["s_Wu"].at(method=HALF_SPACE) for one in laws]
    cell = sheet.scopes[CELL]["s_Wc"] if CELL in sheet.scopes else None
    treated = np.zeros((len(positions), len(METHODS))) if cell is None else cell.array
    parts = [np.where(stand, counted * treated, one.array[:, None]) for one in found for counted in (1.0, 0.0)]
    inputs = [*found, *([] if cell is None else [cell])]
    return scope.reading("s_WC", np.stack(parts, axis=1), ["position", "combination", "method"],
                         title=say("profile-title"), inputs=inputs, note=say("profile-note"))  # fmt: skip


def _settlement(scope: Scope, design: Design, on_crest: Value) -> None:
    largest = scope.reading("s_Wx", on_crest.array.max(axis=0), ["combination", "method"], title=say("largest-title"),
                            inputs=[on_crest])  # fmt: skip
    limit = design.basis.limits.settlement_total
    optional_limit(scope, design, SETTLEMENT, largest, limit, symbol="s_Wlim", path="basis.limits.settlement_total")


def _residual(scope: Scope, design: Design, profile: Value, bare: Sequence[Position]) -> None:
    """All that settles without columns comes after hand-over at most: a pass proves, more does not."""
    never = "" if bare else say("all-on-columns")
    effect = None
    if bare:
        part = profile.at(position=[one.label for one in bare])
        effect = scope.reading("s_Wres", part.array.max(axis=0), ["combination", "method"], title=say("bare-title"),
                               inputs=[part])  # fmt: skip
    limit = design.basis.limits.settlement_residual
    optional_limit(scope, design, RESIDUAL, effect, limit, symbol="s_Wrlim", path="basis.limits.settlement_residual",
                   never=never)  # fmt: skip
    made = scope.sheet.verdicts[-1]
    if made.state == "fail":
        scope.sheet.withhold(made, say("residual-open"))


def _difference(scope: Scope, section: Section, on_crest: Value, limits: WideningLimits) -> None:
    scope.reading("s_Wn", on_crest.array.min(axis=0), ["combination", "method"], title=say("smallest-title"),
                  inputs=[on_crest])  # fmt: skip
    found = scope(wd.difference_across_crest)
    path = "widening.limits.difference"
    optional_limit(scope, section, DIFFERENCE, found, limits.difference, symbol="Ds_Wlim", path=path)


def _slopes(sheet: Sheet, scope: Scope, on_crest: Value) -> None:
    """Settlement of every two neighbours on the crest, and the slope between them."""
    labels = on_crest.labels("position")
    pairs = [say("pair", left=left, right=right) for left, right in pairwise(labels)]
    sheet.axis("transition", pairs)
    places = sheet["x_W"].at(position=labels)
    ends = (("a", slice(None, -1), say("left-title")), ("b", slice(1, None), say("right-title")))
    for end, part, title in ends:
        scope.reading(f"x_W{end}", places.array[part], ["transition"], title=title, inputs=[places])
        scope.reading(f"s_W{end}", np.moveaxis(on_crest.array[part], 0, -1), ["combination", "method", "transition"],
                      title=title, inputs=[on_crest])  # fmt: skip
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
