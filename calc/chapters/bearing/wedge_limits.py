"""What limits the extruding wedge: the range it was compared with, what it leaves out, the feet of the columns."""

from math import degrees

from calc.chapters.shared.soft_ground import Side
from calc.engine.sheet import Sheet, number_text
from calc.engine.words import words_of
from calc.inputs import Section

say = words_of(__name__)

STATES = (("squeeze_lift", "while a lift is placed"), ("squeeze", "at the end of a stage"))


def outside_range(sheet: Sheet, section: Section, side: Side) -> None:
    """Say beside the verdicts where the wedge is used outside what it was compared with limit analysis for."""
    highest = max(stage.fill_height for stage in section.stages)
    given = (
        (say("outside-range-given"), float(sheet["t_soft"].array), 3.0, 10.0, "m"),
        (say("outside-range-given-2"), side.slope * highest, 8.0, 18.0, "m"),
        (say("outside-range-given-3"), float(sheet["c_u0k"].array), 5.0, 15.0, "kN/m²"),
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
            say("limitation-squeeze-range", outside="; ".join(outside)),
            "fitted to limit analysis, project rule ▵",
            turns=[f"{key}{side.ending}" for key, _ in STATES],
        )


def limits(sheet: Sheet, section: Section, side: Side) -> None:
    """State what the wedge does not model, and why the embedment of the columns does not enter it."""
    sheet.limitation(
        "squeeze-field",
        say("limitation-squeeze-field"),
        "fitted to limit analysis, project rule ▵",
    )
    firm, fill = section.bearing_layer.phi, section.columns.fill.phi
    weaker = firm < fill
    words = say("limits-words")
    if weaker:
        words += say("limits-words-2", degrees=number_text(degrees(firm), 1), degrees_2=number_text(degrees(fill), 1))
    turns = [f"{key}{side.ending}" for key, _ in STATES] if weaker else []
    sheet.limitation("squeeze-embedment", words, "project rule ▵", turns=turns)
