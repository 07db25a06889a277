"""What statistics of readings need besides equations: Student's t, independence of readings, curvature."""

from collections.abc import Sequence
from dataclasses import dataclass
from functools import cache
from math import atan, cos, pi, sin, sqrt

import numpy as np

from calc.procedures.failures import ProcedureError

FEWEST_OF_CURVE, DEPTHS_OF_CURVE = 5, 4
LEAST_SCATTER = 1e-9  # of the largest reading; less is none


@cache
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
    while low < (middle := (low + high) / 2) < high:
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


@dataclass(frozen=True, slots=True)
class Parabola:
    """A parabola through readings: values and their standard errors at some depths, and its curvature over its own."""

    values: tuple[float, ...]
    errors: tuple[float, ...]
    significance: float


def parabola(depths: Sequence[float], readings: Sequence[float], at: Sequence[float]) -> Parabola | None:
    """Least squares of a parabola over the depth; None where the depths or the scatter do not determine it."""
    z, x, there = np.asarray(depths), np.asarray(readings), np.asarray(at)
    if len(z) < FEWEST_OF_CURVE or len(set(depths)) < DEPTHS_OF_CURVE:
        return None
    middle = z.mean()
    terms, wanted = (np.vander(depth - middle, 3) for depth in (z, there))
    inverse = np.linalg.inv(terms.T @ terms)
    coefficients = inverse @ (terms.T @ x)
    scatter = float(np.sum((x - terms @ coefficients) ** 2)) / (len(z) - 3)
    if scatter <= (LEAST_SCATTER * float(np.abs(x).max())) ** 2:
        return None
    errors = np.sqrt(scatter * np.einsum("ij,jk,ik->i", wanted, inverse, wanted))
    significance = abs(float(coefficients[0])) / sqrt(scatter * float(inverse[0, 0]))
    return Parabola(tuple((wanted @ coefficients).tolist()), tuple(errors.tolist()), significance)
