"""Tensile stiffness of the sleeve at any time, from values given at some times."""

from collections.abc import Sequence
from typing import NamedTuple

import numpy as np
from numpy.typing import ArrayLike, NDArray

from calc.formulas.sleeve import stiffness_at_time
from calc.procedures.failures import refuse_where

Floats = NDArray[np.float64]

METHOD = "linear in the logarithm of time between the given values"


class Stiffness(NamedTuple):
    """Stiffness (kN/m) in the shape of the times, and where a time lies outside those given: there the nearest."""

    J: Floats
    outside: NDArray[np.bool_]


def stiffness_in_time(times: ArrayLike, points: Sequence[tuple[float, float]]) -> Stiffness:
    """Stiffness at times (day) from ``given``: pairs of time (day) and stiffness (kN/m), at least two, times rising.

    ``ProcedureError`` for times of 0 and less, and for values that do not rise in time or would stiffen with it.
    """
    at = np.asarray(times, dtype=np.float64)
    dates, values = np.array([date for date, _ in points]), np.array([value for _, value in points])
    wrong = {
        "at least two values are needed": dates.size < 2,
        "times must be greater than 0": (dates <= 0).any() or not (at > 0).all(),
        "given times must rise": (np.diff(dates) <= 0).any(),
        "the stiffness must be greater than 0 and must not grow": (values <= 0).any() or (np.diff(values) > 0).any(),
    }
    refuse_where("stiffness of the sleeve in time", wrong)
    inside = np.clip(at, dates[0], dates[-1])
    later = np.clip(np.searchsorted(dates, inside), 1, dates.size - 1)
    return Stiffness(
        np.asarray(stiffness_at_time(values[later - 1], values[later], inside, dates[later - 1], dates[later])),
        np.asarray((at < dates[0]) | (at > dates[-1])),
    )
