"""What the settlement does to the crest: its largest values, differences, cross-fall and grade, against the limits."""

from collections.abc import Mapping, Sequence

import numpy as np
from numpy.typing import NDArray

from calc.chapters.shared.frame import CENTRE, LONG, LOW, given_of_section, origin_of
from calc.chapters.shared.limits import optional_limit
from calc.chapters.widening.settlement import CELL, INDICES, MODULUS, PLASTIC
from calc.chapters.widening.stress import HALF_SPACE, Position
from calc.engine.levels import above
from calc.engine.sheet import Origin, Scope, Sheet, Value
from calc.engine.symbols import symbol
from calc.engine.words import words_of
from calc.formulas import widening as wd
from calc.inputs import Design, Section
from calc.inputs.tables.widening import Widening, WideningLimits

say = words_of(__name__)

PROFILE = "profile"  # scope
COUNTED = (say("upper"), say("none"))  # of the settlement on columns
RESIDUAL = ("widening_residual", say("residual-title"))
SETTLEMENT = ("widening_settlement", say("settlement-title"))
DIFFERENCE = ("widening_difference", say("difference-title"))
CROSS_FALL = ("widening_cross_fall", say("cross-fall-title"))
GRADE = ("widening_grade", say("grade-title"))
HAIR = 1e-9  # m
Floats = NDArray[np.float64]


def across(
    sheet: Sheet, design: Design, section: Section, widening: Widening, positions: tuple[Position, ...],
    laws: Sequence[Scope], done: dict[str, Sheet],
) -> None:  # fmt: skip
    """The settlement at all positions, then what of it counts on the crest."""
    words = {INDICES: say("law-indices"), MODULUS: say("law-modulus")}
    labels = [say("combination", law=words[law.name], counted=counted) for law in laws for counted in COUNTED]
    sheet.axis("combination", labels)
    crest = [position for position in positions if position.crest]
    beside = next(position.label for position in positions if position.step and not position.columns)
    scope = sheet.scope(PROFILE, say("scope-title"), position=beside)
    limits = widening.limits or WideningLimits(source="-")
    _settlement(sheet, scope, design, positions, laws)
    _residual(scope, design, section, laws, [position for position in crest if not position.columns], done)
    _profile(scope, section, widening, positions, laws, done)
    _difference(scope, section, [position.label for position in crest], limits)
    _slopes(scope, section, crest, limits)


def _settlement(
    sheet: Sheet, scope: Scope, design: Design, positions: tuple[Position, ...], laws: Sequence[Scope]
) -> None:  # fmt: skip
    """The largest settlement on the crest of all laws, and of both cells on columns under both stresses."""
    bare, treated = (
        [position.label for position in positions if position.crest and position.columns is stand]
        for stand in (False, True)
    )
    parts = [law["s_Wu"].at(position=bare, method=HALF_SPACE) for law in laws if bare]
    cells = [sheet.scopes[CELL]["s_Wc"], sheet.scopes[PLASTIC]["s_EP"]]
    parts += [cell.at(position=treated) for cell in cells]
    largest = max(float(part.array.max()) for part in parts)
    inputs = [*(law["s_Wu"] for law in laws), *cells]
    settlement = scope.reading("s_Wt", largest, title=say("largest-title"), inputs=inputs, note=say("largest-note"))
    limit = design.basis.limits.settlement_total
    optional_limit(scope, design, SETTLEMENT, settlement, limit, symbol="s_Wlim", path="basis.limits.settlement_total")


def _later(scope: Scope, done: dict[str, Sheet]) -> Value:
    """What of the settlement on columns comes after hand-over; all of it where no settlement in time is known."""
    known = done["consolidation"].scopes.get("residual")
    if known is None:
        return scope.given("r_Wc", 1.0, origin=Origin("project rule", text=say("no-time")))
    scope.take("s_hpm", known["s_hpm"].at(scenario=LOW))
    final = done["unit_cell"].scopes["settlement"]["s"]
    scope.take("s", final.at(stage=final.labels("stage")[-1], position=CENTRE, load="G+Q", stiffness=LONG))
    return scope(wd.share_after_hand_over)


def _profile(
    scope: Scope, section: Section, widening: Widening, positions: tuple[Position, ...], laws: Sequence[Scope],
    done: dict[str, Sheet],
) -> None:  # fmt: skip
    """The cell by both methods where columns stand, elsewhere every law in the half-space, with what bounds them."""
    later = _later(scope, done)
    places = [origin_of(section, f"widening.columns_{side}") for side, x in widening.innermost.items() if x is not None]
    scope.reading("i_Wc", [float(position.columns) for position in positions], ["position"], title=say("stand-title"),
                  inputs=[scope.sheet["x_W"]], origins=places)  # fmt: skip
    scope.reading("k_W", [float(later.array), 0.0] * len(laws), ["combination"], title=say("share-title"),
                  inputs=[later], note=say("share-note"))  # fmt: skip
    scope.take("s_Wc", scope.sheet.scopes[CELL]["s_Wc"])
    settlements = [law["s_Wu"].at(method=HALF_SPACE) for law in laws]
    values = np.stack([value.array for value in settlements for _ in COUNTED], axis=1)
    scope.reading("s_Wl", values, ["position", "combination"],
                  title=say("law-title"), inputs=settlements)  # fmt: skip
    scope(wd.largest_after_hand_over)
    scope(wd.smallest_after_hand_over)


def _residual(
    scope: Scope, design: Design, section: Section, laws: Sequence[Scope], bare: Sequence[Position],
    done: dict[str, Sheet],
) -> None:  # fmt: skip
    """At most all that settles without columns comes after hand-over, and creep: a pass proves, more does not."""
    never, effect = "" if bare else say("all-on-columns"), None
    creeps = any(layer.C_alpha is not None for layer in section.soft_layers)
    creep = done["consolidation"].scopes.get("secondary_end")
    if bare:
        labels = [position.label for position in bare]
        parts = [law["s_Wu"].at(position=labels, method=HALF_SPACE) for law in laws]
        largest = max(float(part.array.max()) for part in parts)
        inputs = [law["s_Wu"] for law in laws]
        name = "s_Wpr" if creeps and creep else "s_Wres"
        effect = scope.reading(name, largest, title=say("bare-title"), inputs=inputs, note=say("bare-note"))
        if creeps and creep:
            factor = done["consolidation"].scopes["secondary"]["f_sec"]
            effect = scope(wd.residual_without_columns, s_seco=creep["s_seco"], f_sec=factor)
    limit = design.basis.limits.settlement_residual
    optional_limit(scope, design, RESIDUAL, effect, limit, symbol="s_Wrlim", path="basis.limits.settlement_residual",
                   never=never)  # fmt: skip
    made = scope.sheet.verdicts[-1]
    if made.state == "fail":
        scope.sheet.withhold(made, say("residual-open"))
    elif made.state == "pass" and creeps and not creep:
        scope.sheet.withhold(made, say("residual-creeps"))


def _difference(scope: Scope, section: Section, crest: Sequence[str], limits: WideningLimits) -> None:
    most, least = (scope[name].at(position=crest) for name in ("s_WC", "s_WCn"))
    scope.reading("s_Wx", most.array.max(axis=0), ["combination", "method"], title=say("most-title"),
                  inputs=[scope["s_WC"]])  # fmt: skip
    scope.reading("s_Wn", least.array.min(axis=0), ["combination", "method"], title=say("smallest-title"),
                  inputs=[scope["s_WCn"]])  # fmt: skip
    difference = scope(wd.difference_across_crest)
    path = "widening.limits.difference"
    optional_limit(scope, section, DIFFERENCE, difference, limits.difference, symbol="Ds_Wlim", path=path)
    _open_where_bounded(scope)


def _slopes(scope: Scope, section: Section, crest: Sequence[Position], limits: WideningLimits) -> None:
    """The largest slope over every base length that begins or ends at a position, and the change between two."""
    path = "widening.limits"
    base = None if limits.base is None else given_of_section(scope, "L_WB", section, f"{path}.base", limits.base)
    made: dict[str, Value | None] = {"i_Wx": None, "Di_W": None}
    if base is not None:
        # A step has two positions at one place: a hair apart they are a profile that every place is in once.
        places = np.array([position.x for position in crest]) + HAIR * np.arange(len(crest))
        length, named = float(base.array), [*zip([position.label for position in crest], places.tolist(), strict=True)]
        inside = [(say("rightwards", label=label), x) for label, x in named if not above(x + length, places[-1])]
        inside += [
            (say("leftwards", label=label), x - length) for label, x in named if not above(places[0], x - length)
        ]
        ends = {"a": 0.0, "b": length}
        made["i_Wx"] = _ends(scope, crest, places, "transition", inside, ends)(wd.largest_cross_fall)
        spots = [(say("spot-at", label=label), x) for label, x in named]
        spots += [(say("spot-left", label=label), x - length) for label, x in named]
        spots += [(say("spot-right", label=label), x + length) for label, x in named]
        inside = [
            (label, x) for label, x in spots if not above(places[0], x - length) and not above(x + length, places[-1])
        ]
        ends = {"l": -length, "m": 0.0, "r": length}
        made["Di_W"] = _ends(scope, crest, places, "point", inside, ends)(wd.largest_change_of_grade)
    for verdict, effect, limit, name, key in (
        (CROSS_FALL, made["i_Wx"], limits.cross_fall, "i_Wlim", "cross_fall"),
        (GRADE, made["Di_W"], limits.grade, "Di_Wlim", "grade"),
    ):
        optional_limit(scope, section, verdict, effect, limit, symbol=name, path=f"{path}.{key}")
        _open_where_bounded(scope)


def _ends(
    scope: Scope, crest: Sequence[Position], places: Floats, axis: str, spots: Sequence[tuple[str, float]],
    ends: Mapping[str, float],
) -> Scope:  # fmt: skip
    """Both bounds at places a base length apart, straight between the positions."""
    scope.sheet.axis(axis, [label for label, _ in spots])
    labels, x = [position.label for position in crest], np.array([place for _, place in spots])
    for bound, name in (("x", "s_WC"), ("n", "s_WCn")):
        profile = scope[name].at(position=labels).array
        for end, away in ends.items():
            lanes = np.moveaxis(profile, 0, -1).reshape(-1, len(labels))
            settlements = np.array([np.interp(x + away, places, lane) for lane in lanes])
            by_axis = settlements.reshape(*profile.shape[1:], -1)
            counted = symbol(f"s_W{end}{bound}")
            title = say("end-title", counted=counted.meaning[:1].upper() + counted.meaning[1:])
            scope.reading(counted.name, by_axis, ["combination", "method", axis],
                          title=title, inputs=[scope[name], scope.sheet["x_W"]])  # fmt: skip
    return scope


def _open_where_bounded(scope: Scope) -> None:
    """What exceeds its limit is open: the effect is a bound of what can be."""
    made = scope.sheet.verdicts[-1]
    if made.state == "fail":
        scope.sheet.withhold(made, say("bound"))
