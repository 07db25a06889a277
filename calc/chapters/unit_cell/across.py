"""Settlement across the crest where layers change their thickness: difference from the axis, change of cross-fall."""

from calc.chapters.shared.frame import CENTRE, LONG, frame
from calc.chapters.shared.geometry import place_of
from calc.chapters.shared.limits import optional_limit
from calc.chapters.shared.positions import height_of_edge, lacks_positions, of_positions, origins_across
from calc.engine.sheet import Sheet
from calc.engine.words import words_of
from calc.formulas.across import cross_fall_by_settlement, difference_across
from calc.inputs import Design, Section
from calc.inputs.tables.positions import SIDES

say = words_of(__name__)

ACROSS_CREST = "across_crest"


def settlement_across(sheet: Sheet, design: Design, section: Section, done: dict[str, Sheet]) -> None:
    """Compare the final settlements at axis and crest edges, each with the ground that is there."""
    if not section.slopes:
        return
    key, title = "settlement_across", say("title")
    missing = lacks_positions(section, done)
    if missing:
        sheet.not_verified(key, title, missing)
        return
    scope = sheet.scope(ACROSS_CREST, say("scope-title"))
    at = {"load": "G+Q", "stiffness": LONG}
    scope.take("s_cen", sheet.scopes["settlement"]["s"].at(position=CENTRE, **at))
    known = {place.side: one for place, one in of_positions(section, done, "unit_cell").items() if not place.toe}
    for side in SIDES:
        there = known.get(side, sheet).scopes["settlement"]["s"]
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
    scope.take("b_K", place_of(done["columns"], "b_K"))
    scope(cross_fall_by_settlement)
    scope(difference_across)
    final = scope["Ds_ax"].at(stage=frame(design, section).persistent)
    optional_limit(
        scope, design, (key, title), final, design.basis.limits.settlement_difference, symbol="Ds_lim",
        path="basis.limits.settlement_difference",
    )  # fmt: skip
