"""The course of the design for many factors on c_h, so that readings can be fitted and forecasts read off."""

from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from calc.chapters.monitoring.expected import Known
from calc.procedures.observation import MARGIN, OWN, Shape, course_at
from calc.site.observed.design_course import DesignCourse

Floats = NDArray[np.float64]

FACTORS: Floats = np.geomspace(0.1, 10.0, 47)
"""Factors on c_h that are looked at; what lies at their ends is no result."""
WIDE: Floats = np.exp(np.log(FACTORS[0]) + np.log(FACTORS[1] / FACTORS[0]) * np.arange(-MARGIN, len(FACTORS) + MARGIN))
"""The same with a margin at both ends, for the parts of a course with factors of their own."""
HORIZON = 10 * 365.25  # day after the last fill up to which a hand-over is looked for
DATES = 40


def factor_apart(places: int) -> float:
    """The ratio of two factors that lie so many places apart."""
    return float((FACTORS[1] / FACTORS[0]) ** places)


@dataclass(frozen=True)
class CourseGrid:
    """Settlements (m) for every factor of ``WIDE`` at some days, and what is left at hand-overs at some dates.

    ``settled`` has the shape (factors, days), ``left`` (factors, dates). ``final`` is what the load placed by the last
    reading settles in the end (m), with the secondary compression that has come by then; ``below`` is what is counted
    of the ground below the toes after hand-over (m).
    """

    days: Floats
    settled: Floats
    dates: Floats
    left: Floats
    final: float
    below: float

    def at(self, days: Floats, rates: Floats, shape: Shape = OWN) -> Floats:
        """Settlements (m) for factors on c_h at days of the grid, (factors, days)."""
        settlements, _ = course_at(np.log(FACTORS), shape.of(self.of(days)), np.log(rates))
        return settlements

    def of(self, days: Floats) -> Floats:
        """Settlements (m) for every factor at days of the grid."""
        return self.settled[:, np.searchsorted(self.days, days)]

    def left_at(self, rates: Floats, shape: Shape = OWN) -> Floats:
        """Settlement (m) after a hand-over at the dates, (factors, dates), without the ground below the toes."""
        settlements, _ = course_at(np.log(FACTORS), shape.of(self.left), np.log(rates))
        return settlements


def grid_of(course: DesignCourse, known: Known, days: Sequence[float]) -> CourseGrid:
    """The courses of a place at days that are asked for; hand-over and end of the design life are added."""
    many = course.with_factors(known, WIDE.tolist())
    at = np.unique([*days, course.last, course.calendar.hand_over, course.calendar.end_of_life])
    first = max(many.ground.end_of_fill, course.last)
    dates = first + np.concatenate([[0.0], np.geomspace(1.0, HORIZON, DATES)])
    bearing = course.done["bearing"].scopes
    rest = bearing.get("rest")
    below = float(rest["s_b" if "below_time" in bearing else "s_bre"].array) if rest else 0.0
    reached, final = known.settled_of_load([course.last])
    # What secondary compression, creep and the ground below the toes have brought is no part of a degree.
    whole = float(known.settlement_at([course.last])[0, 0] - reached[0, 0] + final[0, 0])
    return CourseGrid(at, many.settlement_at(at), dates, many.ground.residual_at(dates), whole, below)
