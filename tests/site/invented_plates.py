"""A plate at the axis of a section with invented readings, and what its back-analysis finds."""

from functools import cache

import numpy as np

from calc.site.observed.course_grid import CourseGrid, grid_of
from calc.site.observed.series import Series
from calc.site.observed.settlement_analysis import Analysis, analyse
from tests.site.invented_readings import built, series, true_settlement


def plate(key: str, last: float, *, every: float = 3.0, scatter: float = 0.0005, name: str = "SP-1") -> Series:
    """A plate at the axis, read from the start to a day."""
    days = np.arange(0.0, last + 0.01, every)
    noise = np.random.default_rng(4).normal(0, scatter, len(days)) if scatter else 0.0
    return series(key, name, "settlement", days, true_settlement(key, 0.0, days) + noise)


@cache
def grid(key: str, last: int) -> CourseGrid:
    """The courses of the axis of a section at every day up to the last reading."""
    course = built(key, last)
    return grid_of(course, course.known, np.arange(0.0, last + 1.0).tolist())


def analysed(last: int, one: Series | None = None, key: str = "A") -> Analysis:
    return analyse(built(key, last), grid(key, last), plate(key, float(last)) if one is None else one)
