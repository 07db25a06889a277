"""The line of the plan: from points or a file, and the places of many columns along it at once."""

from collections.abc import Sequence
from math import pi

import numpy as np
from numpy.typing import NDArray

from calc.inputs import Design, InputError, InputErrors
from calc.inputs.tables.plan import Plan
from calc.inputs.tables.plan_line import Element, elements_of
from calc.inputs.tables.plan_rules import broken_span, intersections
from calc.site.plan.axis_file import line_of_file

Array = NDArray[np.float64]


def axis_of(design: Design, plan: Plan) -> tuple[Element, ...]:
    """Straights and arcs of the line; raises ``InputErrors`` with all that is wrong in its file."""
    if plan.line.file is None:
        return elements_of(intersections(plan), plan.line.begins)
    path = design.source.parent / plan.line.file
    elements = line_of_file(path, plan.line.begins)
    values = [{"key": section.key, "chainage": section.chainage, "embankment": section.embankment,
               "column_field": section.column_field} for section in design.stated]  # fmt: skip
    wrong = list(broken_span(plan, elements, values))
    if wrong:
        raise InputErrors(area_error(design, k, ".section", f"{must} in {path.name}", f'"{plan.area[k].section}"')
                          for k, must in wrong)  # fmt: skip
    return elements


def area_error(design: Design, k: int, field: str, must: str, got: str) -> InputError:
    """What is wrong with an area of the plan, at its line of the project file."""
    place = design.provenance[f"plan.area.{k}.section"]
    return InputError(str(design.source), place.line or 1, place.column or 1, f"plan.area[{k + 1}]{field}", must, got)


def places(elements: Sequence[Element], chainage: Array, offset: Array) -> tuple[Array, Array]:
    """Easting and northing in m of columns at chainages and offsets (to the right positive) in m."""
    starts = np.array([element.chainage for element in elements])
    which = np.clip(np.searchsorted(starts, chainage, side="right") - 1, 0, len(elements) - 1)
    length, e, n, bearing, bend = (
        np.array([getattr(element, name) for element in elements])[which]
        for name in ("chainage", "easting", "northing", "bearing", "curvature")
    )
    along = chainage - length
    half = bend * along / 2
    chord, middle = along * np.sinc(half / pi), bearing + half
    end = bearing + bend * along
    return e + chord * np.sin(middle) + offset * np.cos(end), n + chord * np.cos(middle) - offset * np.sin(end)


def curvatures(elements: Sequence[Element], chainage: Array) -> Array:
    """Curvature of the line at chainages, 1/m, positive to the right."""
    starts = np.array([element.chainage for element in elements])
    which = np.clip(np.searchsorted(starts, chainage, side="right") - 1, 0, len(elements) - 1)
    return np.array([element.curvature for element in elements])[which]
