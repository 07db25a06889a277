"""Bearing layer under the toes, soft ground between and beyond the columns, lateral extrusion, edge of the columns.

Later chapters take from the sheet itself: ``c_u0e`` (design strength at the top without gain) and ``c_u0g`` (with gain,
without a partial factor), both over (factor set, stage) where they vary.
"""

from calc.chapters.bearing.below_toe import below_toe
from calc.chapters.bearing.berm import berm
from calc.chapters.bearing.edge import edge
from calc.chapters.bearing.light_zones import light_zones
from calc.chapters.bearing.loads import actions, ground
from calc.chapters.bearing.settlement_life import settlement_life
from calc.chapters.bearing.shaft_and_toe import shaft_and_toe
from calc.chapters.bearing.soft import before_reinforcement, between_columns
from calc.chapters.bearing.toe import toe
from calc.chapters.bearing.wedge import squeeze
from calc.chapters.shared.column_zones import zone_sheets
from calc.chapters.shared.frame import chapter
from calc.chapters.shared.geometry import record_edges
from calc.chapters.shared.soft_ground import factors, missing_strength, sides
from calc.engine.sheet import Sheet
from calc.engine.words import words_of
from calc.inputs import Design, Section

say = words_of(__name__)

OPEN = (
    ("soft_bearing_lift", say("open")),
    ("soft_bearing", say("open-2")),
    ("platform_bearing", say("open-3")),
    ("squeeze_lift", say("open-4")),
    ("squeeze", say("open-5")),
    ("column_rows", say("open-6")),
    ("edge_bearing", say("open-7")),
)


def bearing(design: Design, section: Section, done: dict[str, Sheet]) -> Sheet:
    """Base pressure, soft ground and extrusion in every stage and factor set; settlement below the toes."""
    sheet = chapter("bearing", design, section)
    actions(sheet, section, done)
    factors(sheet, design, section, (("gamma_Rv", "gamma_R_v"), ("gamma_Re", "gamma_R_e")))
    if section.columns.floating is None:
        toe(sheet, design, section, done)
    else:
        shaft_and_toe(sheet, design, section, done)
    missing = missing_strength(section)
    if section.zone is not None:
        if not missing:  # as if its grid were everywhere; the wedge and the edges are the section's
            ground(sheet, design, section, done)
            sheet.kept["left"] = between_columns(sheet, section, done)
    elif missing:
        for key, title in OPEN:
            sheet.not_verified(key, title, say("open-bearing-why", missing=missing))
        if section.embankment.berms:
            sheet.not_verified("berm_bearing", say("open-8"), say("open-bearing-why", missing=missing))
            sheet.not_verified("berm_extrusion", say("open-9"), say("open-bearing-why", missing=missing))
    else:
        ground(sheet, design, section, done)
        record_edges(sheet, section, done)
        left = _left_open(sheet, between_columns(sheet, section, done), section, done)
        before_reinforcement(sheet, section, done)
        for side in sides(section):
            squeeze(sheet, section, done, side, left)
        for side in sides(section):
            edge(sheet, section, done, side)
            berm(sheet, section, done, side)
    below_toe(sheet, design, section, done)
    settlement_life(sheet, design, section, done)
    light_zones(sheet, section, done)
    return sheet


def _left_open(
    sheet: Sheet, open_stages: dict[str, list[str]], section: Section, done: dict[str, Sheet]
) -> dict[str, list[str]]:  # fmt: skip
    """The stages that the soil alone leaves open with any of the grids, by state."""
    every = [open_stages, *(zone.done["bearing"].kept["left"] for zone in zone_sheets(section, done))]
    return {
        key: [label for label in sheet.axes["stage"] if any(label in stages[key] for stages in every)]
        for key in open_stages
    }  # fmt: skip
