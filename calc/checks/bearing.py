"""Bearing layer under the toes, soft ground between and beyond the columns, lateral squeezing, edge of the columns.

Later chapters take from the sheet itself: ``c_u0e`` (design strength at the top without gain), ``c_u0g`` (with gain,
without a partial factor) and ``p_E`` (design pressure of the embankment), all over (variant, stage) where they vary.
"""

from calc.checks.bearing_edge import edge
from calc.checks.bearing_soft import between_columns, strength_and_pressure
from calc.checks.bearing_toe import toe
from calc.checks.below_toe import below_toe
from calc.checks.frame import chapter
from calc.checks.sketch_bearing import toe_sketch
from calc.checks.sketch_squeeze import squeeze_sketch
from calc.checks.squeeze import squeeze
from calc.checks.squeeze_ground import factors, missing_strength, sides, stage_loads, stress_share
from calc.inputs import Design, Section
from calc.sheet import Sheet

OPEN = (
    ("soft_bearing", "Soft ground between the columns, undrained"),
    ("squeeze", "Lateral squeezing under the side slope"),
    ("column_rows", "Column rows beyond the shoulder against squeezing"),
    ("edge_bearing", "Soft ground beyond the outermost columns, undrained"),
)
FRESH_LOAD = "Squeezing and soft ground under make-up fill and under the lift being placed"
FRESH_LOAD_WHY = (
    "The pressure on the soft ground leaves out the make-up fill, and the stress ratio and the gain of strength of a "
    "stage are applied to its whole fill, the lift just placed included. A pass of squeezing or soft ground says "
    "nothing of these loads; the values at n = 1 hold the gain of strength and are not those before consolidation."
)


def bearing(design: Design, section: Section, done: dict[str, Sheet]) -> Sheet:
    """Toe pressure, soft ground and squeezing in every stage and factor set; settlement below the toes."""
    sheet = chapter("bearing", design, section)
    stage_loads(sheet, done)
    stress_share(sheet, section, done)
    factors(sheet, design, section, (("gamma_Rv", "gamma_R_v"),))
    toe(sheet, design, section, done)
    sheet.figures.append(toe_sketch(section))
    missing = missing_strength(section)
    if missing:
        for key, title in OPEN:
            sheet.not_verified(key, title, f"The undrained strength is not given: {missing}.")
    else:
        sheet.figures.append(squeeze_sketch(section))
        strength_and_pressure(sheet, design, section, done)
        between_columns(sheet, section)
        sheet.not_verified("soft_ground_loads", FRESH_LOAD, FRESH_LOAD_WHY)
        for side in sides(section):
            squeeze(sheet, section, side)
        for side in sides(section):
            edge(sheet, section, side)
    below_toe(sheet, design, section, done)
    return sheet
