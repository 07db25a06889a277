"""Reinforcement of an area laid out: the area of every layer by the formulas of the package, over the plan's length."""

from calc.chapters.construction.quantities import ROLLS, reinforcement_laid, widths
from calc.chapters.shared.frame import given_of_section
from calc.chapters.shared.geometry import given_or_none
from calc.engine.sheet import Sheet
from calc.engine.words import words_of
from calc.formulas.places import platform_level
from calc.site.plan.column_layout import Area

say = words_of(__name__)

WIDTHS, REINFORCEMENT = "widths", "reinforcement"


def reinforcement(sheet: Sheet, area: Area) -> None:
    """Area of every layer of reinforcement with the overlaps of its rolls; a limitation says what is missing."""
    section = area.section
    counted = section.construction.quantities if section.construction else None
    if not section.reinforcement or counted is None:
        return  # without quantities the sheet says so of all allowances
    missing = [f"construction.quantities.{name}" for name in ROLLS if getattr(counted, name) is None]
    if section.widening is not None or missing:
        why = say("widened") if section.widening is not None else say("missing", fields=", ".join(missing))
        sheet.limitation("reinforcement", why)
        return
    scope = sheet.scope(WIDTHS, say("widths"))
    scope.reading("L_sec", area.ends - area.begins, title=say("reading-L_sec"))
    widths(scope, section)
    given_of_section(scope, "z_g", section, "ground_level", section.ground_level)
    thickness = section.platform.thickness if section.platform else None
    given_or_none(scope, section, "t_P", "platform.thickness", thickness, say("no-platform"))
    reinforcement_laid(sheet, section, counted, scope(platform_level), scope)
