"""What statistics of readings need besides equations: Student's t, and how many readings are independent."""

from collections.abc import Sequence
from math import atan, cos, pi, sin, sqrt

import numpy as np

from calc.procedures.failures import ProcedureError

HALVINGS = 200


def student_t(probability: float, freedom: int) -> float:
    """The value below which Student's t lies with this probability, above one half.

    The distribution for whole degrees of freedom is a finite sum (Abramowitz & Stegun 1964, 26.7.3 and 26.7.4); its
    inverse is found by halving an interval until the bounds do not move.
    """
    if not 0.5 < probability < 1 or freedom < 1:
        message = f"Student's t: no value for a probability of {probability} and {freedom} degrees of freedom"
        raise ProcedureError(message)
    low, high = 0.0, 1.0
    while _distribution(high, freedom) < probability:
        high *= 2
    for _ in range(HALVINGS):
        middle = (low + high) / 2
        low, high = (middle, high) if _distribution(middle, freedom) < probability else (low, middle)
    return (low + high) / 2


def _distribution(t: float, freedom: int) -> float:
    angle = atan(t / sqrt(freedom))
    odd = freedom % 2
    term = cos(angle) if odd else 1.0
    total = 0.0
    for k in range(1 + odd, freedom, 2):
        total += term
        term *= cos(angle) ** 2 * k / (k + 1)
    part = 2 / pi * (angle + sin(angle) * total) if odd else sin(angle) * total
    return 0.5 + part / 2


def independent_readings(places: Sequence[str], depths: Sequence[float], theta: float) -> float:
    """How many independent readings tell as much of the mean as these, exponential correlation along each location.

    Readings at different locations count as independent of each other.
    """
    if theta <= 0 or not depths:
        message = "independent readings: depths and a scale of fluctuation above zero are needed"
        raise ProcedureError(message)
    z = np.asarray(depths)
    same = np.equal.outer(np.asarray(places), np.asarray(places))
    correlation = np.where(same, np.exp(-2 * np.abs(z[:, None] - z[None, :]) / theta), 0.0)
    return float(len(z) ** 2 / correlation.sum())
