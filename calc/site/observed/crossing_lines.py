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
    for crossing in crossed:
        other = farthest.get(crossing.number)
        if crossing.recipe and (other is None or _beyond(crossing) > _beyond(other)):
            farthest[crossing.number] = crossing
    for number, crossing in sorted(farthest.items()):
        title = say("title", number=number, quantity=crossing.trigger.quantity, kind=crossing.kind,
                    series=crossing.series,
                    date=calendar_day(course.design, crossing.day))  # fmt: skip
        scope = sheet.scope(f"T{number}", title)
        for name, value in crossing.parts.items():
            scope.reading(name, value, title=symbol(name).meaning)
        for formula, names in crossing.recipe:
            scope(formula, **names)
    return sheet


def _beyond(crossing: Crossing) -> tuple[bool, float]:
    """Whether more than outliers crossed, and by how much."""
    return not crossing.outlier, abs(crossing.worst - crossing.level)
