"""What limits the extruding wedge: the range it was compared with, what it leaves out, the feet of the columns."""

from math import degrees

from calc.checks.squeeze_ground import Side
from calc.inputs import Section
from calc.sheet import Sheet, number_text

STATES = (("squeeze_lift", "while a lift is placed"), ("squeeze", "at the end of a stage"))


def outside_range(sheet: Sheet, section: Section, side: Side) -> None:
    """Say beside the verdicts where the wedge is used outside what it was compared with limit analysis for."""
    highest = max(stage.fill_height for stage in section.stages)
    given = (
        ("thickness of the soft ground", float(sheet["t_soft"].array), 3.0, 10.0, "m"),
        ("run of the slope", side.slope * highest, 8.0, 18.0, "m"),
        ("undrained strength at the top", float(sheet["c_u0k"].array), 5.0, 15.0, "kN/m²"),
        ("area ratio", float(sheet["a_E"].array), 0.10, 0.20, ""),
    )
    outside = [
        f"{words} {number_text(value, 2)} {unit}".rstrip() + f" for {low:g} to {high:g}"
        for words, value, low, high, unit in given
        if not low <= value <= high
    ]
    if outside:
        sheet.limitation(
            f"squeeze-range{side.ending}",
            "The extruding wedge was compared with limit analysis in a range that this design leaves: "
            f"{'; '.join(outside)}.",
            "fitted to limit analysis, project rule ▵",
            turns=[f"{key}{side.ending}" for key, _ in STATES],
        )


def limits(sheet: Sheet, section: Section, side: Side) -> None:
    """State what the wedge does not model, and why the embedment of the columns does not enter it."""
    sheet.limitation(
        "squeeze-field",
        "The wedge with columns is compared with plane limit analysis of one soft layer over a firm base. Not "
        "modelled: soil that flows between the columns, three dimensions, progressive bending, softening, a crust, "
        "several layers of contrast, columns that do not stand in the firm layer.",
        "fitted to limit analysis, project rule ▵",
    )
    firm, fill = section.bearing_layer.phi, section.columns.fill.phi
    weaker = firm < fill
    words = (
        "The length by which the columns are embedded does not enter the wedge: the limit analysis has none, and the "
        "foot of a column on the firm layer passes the shear on by friction, under a normal force that grows with "
        "depth."
    )
    if weaker:
        words += (
            f" Here the firm layer has less friction ({number_text(degrees(firm), 1)}°) than the fill of the columns "
            f"({number_text(degrees(fill), 1)}°): the embedment must hold the rest, which is not part of the wedge."
        )
    turns = [f"{key}{side.ending}" for key, _ in STATES] if weaker else []
    sheet.limitation("squeeze-embedment", words, "project rule ▵", turns=turns)
