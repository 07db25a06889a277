"""Bearing layer under the toes, soft ground between and beyond the columns, lateral extrusion, edge of the columns.

Later chapters take from the sheet itself: ``c_u0e`` (design strength at the top without gain) and ``c_u0g`` (with gain,
without a partial factor), both over (variant, stage) where they vary.
"""

from calc.checks.bearing_edge import edge
from calc.checks.bearing_loads import actions, ground
from calc.checks.bearing_soft import before_reinforcement, between_columns
from calc.checks.bearing_toe import toe
from calc.checks.below_toe import below_toe
from calc.checks.frame import chapter
from calc.checks.settlement_life import settlement_life
from calc.checks.sketch_bearing import toe_sketch
from calc.checks.sketch_squeeze import edge_sketch
from calc.checks.squeeze import squeeze
from calc.checks.squeeze_ground import factors, missing_strength, sides
from calc.inputs import Design, Section
from calc.sheet import Sheet

OPEN = (
    ("soft_bearing_lift", "Soft ground between the columns while a lift is placed, undrained, without the columns"),
    ("soft_bearing", "Soft ground between the columns at the end of a stage, undrained, without the columns"),
    ("platform_bearing", "Soft ground under what is placed before the reinforcement, undrained"),
    ("squeeze_lift", "Lateral extrusion while a lift is placed"),
    ("squeeze", "Lateral extrusion at the end of a stage"),
    ("column_rows", "Lateral extrusion beyond the outermost columns"),
    ("edge_bearing", "Soft ground beyond the outermost columns, undrained"),
)


def bearing(design: Design, section: Section, done: dict[str, Sheet]) -> Sheet:
    """Base pressure, soft ground and extrusion in every stage and factor set; settlement below the toes."""
    sheet = chapter("bearing", design, section)
    actions(sheet, section, done)
    factors(sheet, design, section, (("gamma_Rv", "gamma_R_v"), ("gamma_Re", "gamma_R_e")))
    toe(sheet, design, section, done)
    sheet.figures.append(toe_sketch(section))
    missing = missing_strength(section)
    if missing:
        for key, title in OPEN:
            sheet.not_verified(key, title, f"The undrained strength is not given: {missing}.")
    else:
        sheet.figures.append(edge_sketch())
        ground(sheet, design, section, done)
        left = between_columns(sheet, section, done)
        before_reinforcement(sheet, section)
        for side in sides(section):
            squeeze(sheet, section, done, side, left)
        for side in sides(section):
            edge(sheet, section, done, side)
    below_toe(sheet, design, section, done)
    settlement_life(sheet, design, section, done)
    return sheet
