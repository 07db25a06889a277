"""Columns: grid, unit cell area, area ratio, length and validity of the geometry."""

from math import degrees

from calc.chapters.shared.column_zones import record_zone
from calc.chapters.shared.frame import chapter, given_of_section
from calc.chapters.shared.geometry import record_places
from calc.chapters.shared.sleeve_radius import record_sleeve_radius
from calc.engine.sheet import Sheet, Verdict
from calc.engine.words import words_of
from calc.formulas.geometry import (
    area_ratio,
    column_area,
    column_length,
    column_radius,
    equivalent_diameter,
    sleeve_slack,
    soft_thickness,
    square_cell_area,
    triangular_cell_area,
)
from calc.inputs import Design, Section

say = words_of(__name__)

USUAL_RATIO = (0.10, 0.20)
USUAL_DIAMETER = {"displacement": (0.6, 0.8), "excavation": (0.8, 1.5)}  # m
LEAST_FRICTION = 30.0  # degrees
CELL_AREA = {"triangular": triangular_cell_area, "square": square_cell_area}
READ_DIAMETERS = "Raithel et al. (2000), GeoEng2000, Melbourne"
BESIDE_SHORT = (
    "ring_tension", "ring_strain", "toe_bearing", "tension_across", "strain_across", "creep_strain_across",
    "lap_across",
)  # fmt: skip
"""How keys of verdicts begin that the load beside a border to shorter columns would turn, besides that on creep."""
MEMORY = "EBGEO (2010), ch. 10 ◦"


def columns(design: Design, section: Section, done: dict[str, Sheet]) -> Sheet:
    """Grid, area ratio, length and slack of the sleeve, with what the method asks of them."""
    sheet = chapter("columns", design, section)
    chosen = section.columns
    given_of_section(sheet, "a_x", section, "columns.spacing", chosen.spacing)
    given_of_section(sheet, "d_c", section, "columns.diameter", chosen.diameter)
    for step in (column_radius, column_area, CELL_AREA[chosen.pattern], equivalent_diameter, area_ratio):
        sheet(step)
    sheet.take("h", done["ground"]["h"])
    sheet(soft_thickness)
    given_of_section(sheet, "t_emb", section, "columns.embedment", chosen.embedment)
    given_of_section(sheet, "t_up", section, "columns.upstand", chosen.upstand)
    sheet(column_length)
    record_sleeve_radius(sheet, section)
    if section.sleeve.installed_radius is not None:
        sheet(sleeve_slack)
    record_places(sheet, section, done["ground"]["z_g"])
    record_zone(sheet, section)
    _range(sheet, section)
    return sheet


def _range(sheet: Sheet, section: Section) -> None:
    """State what lies outside the usual range of the method, and whether the columns stand on a firm layer."""
    chosen, ratio = section.columns, float(sheet["a_E"].array)
    if chosen.zones:
        sheet.limitation("column-zones", say("limitation-zones"), "project rule ◇")
    if chosen.short:
        sheet.limitation("column-lengths", say("limitation-lengths"), "project rule ◇", turns=_beside_short)
    if not USUAL_RATIO[0] <= ratio <= USUAL_RATIO[1]:
        sheet.limitation("area-ratio", say("unusual-ratio", ratio=ratio), MEMORY)
    low, high = USUAL_DIAMETER[chosen.installation]
    if not low <= chosen.diameter <= high:
        text = say("unusual-diameter", installation=chosen.installation, low=low, high=high)
        sheet.limitation("diameter", text, READ_DIAMETERS)
    friction = degrees(chosen.fill.phi)
    if friction < LEAST_FRICTION:
        sheet.limitation("fill-friction", say("low-friction", friction=friction), MEMORY)
    title, firm = say("end-bearing-title"), section.bearing_layer
    if chosen.floating is not None:
        sheet.not_applicable("end-bearing", title, say("ends-in-soft-ground", source=chosen.floating.source))
        sheet.relies_on(say("rests-sleeve-title"), say("rests-sleeve-text"), say("rests-sleeve-proof"))
    elif firm.firm:
        sheet.accepted("end-bearing", title, f"{firm.name}: {firm.evidence}")
    else:
        sheet.not_verified("end-bearing", title, say("floating"))


def _beside_short(verdict: Verdict) -> bool:
    # The key of creep of the sleeve is the beginning of those of layers.
    return verdict.key == "creep_strain" or verdict.key.startswith(BESIDE_SHORT)
