"""Settlement across the crest where layers change their thickness: difference from the axis, change of cross-fall."""

from calc.chapters.shared.frame import CENTRE, LONG, frame
from calc.chapters.shared.geometry import place_of
from calc.chapters.shared.limits import optional_limit
from calc.chapters.shared.positions import height_of_edge, lacks_positions, of_positions, origins_across
from calc.engine.sheet import Scope, Sheet, Value
from calc.engine.words import words_of
from calc.formulas.across import cross_fall_by_settlement, difference_across
from calc.inputs import Design, Section
from calc.inputs.tables.embankment import SIDES

say = words_of(__name__)

ACROSS_CREST = "across_crest"
ACROSS_PLASTIC = "across_crest_plastic"


def settlement_across(sheet: Sheet, design: Design, section: Section, done: dict[str, Sheet]) -> None:
    """Compare the final settlements at axis and crest edges, each with the ground that is there."""
    if not section.slopes:
        return
    key, title = "settlement_across", say("title")
    missing = lacks_positions(section, done)
    if missing:
        sheet.not_verified(key, title, missing)
        return
    fallen = bool(section.embankment.lower)
    scope = sheet.scope(ACROSS_CREST, say("scope-title"))
    effect = _differences(scope, sheet, section, done, ("settlement", "s"))
    scope.take("b_K", place_of(done["columns"], "b_K"))
    scope(cross_fall_by_settlement)
    final = {"stage": frame(design, section).persistent}
    limit = design.basis.limits.settlement_difference
    optional_limit(
        scope, design, (key, title), effect and effect.at(**final), limit, symbol="Ds_lim",
        path="basis.limits.settlement_difference", missing=say("falls") if fallen else "", note=say("primary-alone"),
    )  # fmt: skip
    plastic = sheet.scope(ACROSS_PLASTIC, say("scope-plastic-title"))
    effect = _differences(plastic, sheet, section, done, ("elastic_plastic", "s_EP"))
    if effect is not None and limit is not None:
        sheet.verdict(f"{key}_elastic_plastic", say("plastic-title"), effect=effect.at(**final),
                      resistance=scope["Ds_lim"], note=say("primary-alone"))  # fmt: skip


def _differences(
    scope: Scope, sheet: Sheet, section: Section, done: dict[str, Sheet], where: tuple[str, str]
) -> Value | None:
    """Settlement at axis and crest edges by one method; the difference only where the heights are alike.

    Where the crest falls the unit cell has the heights of its edges alone, and none for the axis between them.
    """
    method, symbol = where
    at = {"load": "G+Q", "stiffness": LONG}
    level = not section.embankment.lower
    if level:
        scope.take("s_cen", sheet.scopes[method][symbol].at(position=CENTRE, **at))
    known = {place.side: cell for place, cell in of_positions(section, done, "unit_cell").items() if not place.toe}
    for side in SIDES:
        there = known.get(side, sheet).scopes[method][symbol]
        value = there.at(position=height_of_edge(section, side), **at)
        name = f"s_e{side[0].upper()}"
        if side not in known:
            scope.take(name, value)
            continue
        # Lines lead to fields and lines of their own section: the position is named.
        scope.reading(
            name, value.array, value.axis_names, title=say("reading", side=side),
            note=say("note", key=known[side].section), origins=origins_across(section, side),
        )  # fmt: skip
    return scope(difference_across) if level else None
