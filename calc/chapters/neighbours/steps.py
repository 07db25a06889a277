"""Neighbours: what the embankment and its installation bring upon them, screened against what their owners allow."""

from calc.chapters.neighbours.displacement import displacement
from calc.chapters.neighbours.pressure import pressure
from calc.chapters.neighbours.vibration import vibration
from calc.chapters.shared.column_zones import outermost_grid
from calc.chapters.shared.frame import chapter, given_of_section, origin_of
from calc.chapters.shared.geometry import PLACES, outer_toe
from calc.chapters.shared.missing import not_given
from calc.engine.sheet import Sheet
from calc.engine.words import words_of
from calc.formulas.installation import columns_from_left_toe, columns_from_right_toe, distance_from_columns
from calc.inputs import Design, Section
from calc.inputs.tables.neighbours import InstallationRules, Neighbours

say = words_of(__name__)

SCREEN = "project rule"


def neighbours(design: Design, section: Section, done: dict[str, Sheet]) -> Sheet:
    """Pressure on piles, heave, lateral displacement and vibration, site rules, and who answers for what remains."""
    sheet = chapter("neighbours", design, section)
    structures = section.neighbours
    if structures is None:
        sheet.not_applicable("neighbours", say("none-title"), say("none-why"))
        return sheet
    sheet.axis("neighbour", [neighbour.name for neighbour in structures.neighbours])
    _distances(sheet, section, structures, done)
    pressure(sheet, section, structures, done)
    displacement(sheet, section, structures, done)
    vibration(sheet, section, structures)
    _site_rules(sheet, structures.site or InstallationRules())
    sheet.limitation("neighbour-screen", say("limitation-screen"), SCREEN)
    for neighbour in structures.neighbours:
        proof = f"{neighbour.analysis}; {neighbour.acceptance}" if neighbour.acceptance else say("rests-proof")
        sheet.relies_on(say("rests-title"), say("rests-text", name=neighbour.name, owner=neighbour.owner), proof)
    return sheet


def _distances(sheet: Sheet, section: Section, structures: Neighbours, done: dict[str, Sheet]) -> None:
    """Every neighbour from the outermost columns of its side, which reach to the side slope where no field is given."""
    places, field = done["columns"].scopes[PLACES], section.column_field
    for toe, edge, side in (("x_tl", "x_cl", "left"), ("x_tr", "x_cr", "right")):
        sheet.take(toe, places[outer_toe(places, side[0])])
        if getattr(field, f"beyond_{side}", None) is None:
            sheet.take(edge, places[toe], note=say("no-field"))
        else:
            sheet.take(edge, places[edge])
    inward = {"left": sheet(columns_from_left_toe), "right": sheet(columns_from_right_toe)}
    every = range(len(structures.neighbours))
    sheet.given(
        "l_toN", [neighbour.distance for neighbour in structures.neighbours], ["neighbour"], origin_axis="neighbour",
        origin=[origin_of(section, f"neighbours.neighbour.{k}.distance") for k in every],
    )  # fmt: skip
    sheet.reading(
        "l_tc",
        [float(inward[neighbour.side].array) for neighbour in structures.neighbours],
        ["neighbour"],
        title=say("side-title"),
        inputs=list(inward.values()),
        origins=[origin_of(section, f"neighbours.neighbour.{k}.side") for k in every],
    )
    sheet(distance_from_columns)
    if section.columns.zones:
        outermost = [outermost_grid(section, done, end)[1] for end in "lr"]
        sheet.take("a_x", max(outermost, key=lambda value: float(value.array)), note=say("outermost"))
    else:
        given_of_section(sheet, "a_x", section, "columns.spacing", section.columns.spacing)


def _site_rules(sheet: Sheet, site: InstallationRules) -> None:
    """What the site does while columns are driven; each has to be laid down."""
    title = say("site-title")
    missing = [say("missing-site", what=item.description.rstrip(".").lower(), field=name)
               for name, item in InstallationRules.model_fields.items()
               if getattr(site, name) is None and item.description]  # fmt: skip
    if missing:
        sheet.not_verified("neighbour_site", title, not_given("; ".join(missing)))
    else:
        sheet.accepted("neighbour_site", title, say("site-given"))
