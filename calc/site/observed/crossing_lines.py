"""The lines by which readings give the value that crossed a trigger: rates, ratios, ring tension, degrees."""

from collections.abc import Sequence

from calc.engine.sheet import Sheet
from calc.engine.symbols import symbol
from calc.engine.words import words_of
from calc.site.observed.crossings import Crossing
from calc.site.observed.design_course import DesignCourse
from calc.site.observed.works_dates import calendar_day

say = words_of(__name__)

KEY = "triggers"


def crossing_sheet(course: DesignCourse, crossed: Sequence[Crossing]) -> Sheet:
    """Of every trigger of a computed quantity the crossing that goes farthest beyond its level, a scope each.

    One by more than outliers goes before one by outliers alone. Quantities that are read as they are have no line.
    """
    sheet = Sheet(section=course.section.key, key=KEY)
    farthest: dict[int, Crossing] = {}
    for one in crossed:
        other = farthest.get(one.number)
        if one.recipe and (other is None or _beyond(one) > _beyond(other)):
            farthest[one.number] = one
    for number, one in sorted(farthest.items()):
        title = say("title", number=number, quantity=one.trigger.quantity, kind=one.kind, series=one.series,
                    date=calendar_day(course.design, one.day))  # fmt: skip
        scope = sheet.scope(f"T{number}", title)
        for name, value in one.parts.items():
            scope.reading(name, value, title=symbol(name).meaning)
        for formula, names in one.recipe:
            scope(formula, **names)
    return sheet


def _beyond(one: Crossing) -> tuple[bool, float]:
    """Whether more than outliers crossed, and by how much."""
    return not one.outlier, abs(one.worst - one.level)
