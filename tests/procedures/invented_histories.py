"""Histories of settlement of ground that is not that of the design: layers with factors of their own on c_h."""

from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from calc.procedures.observation import MARGIN, admitted_shapes

Floats = NDArray[np.float64]

FACTORS = np.geomspace(0.1, 10.0, 47)
WIDE = np.exp(np.log(0.1) + np.log(FACTORS[1] / FACTORS[0]) * np.arange(-MARGIN, len(FACTORS) + MARGIN))
DAYS = np.arange(5.0, 201.0, 5.0)
SEED = 11
FINAL = 0.2  # m under both loads
LATE = np.array([4000.0])
TRUE_SHAPES = {
    "design": ((1.0, 1.0),),
    "two layers, 3 times apart": ((0.5, 0.5), (0.5, 1.5)),
    "two layers, 4 times apart": ((0.5, 0.5), (0.5, 2.0)),
    "two layers, 6 times apart": ((0.5, 0.3), (0.5, 1.7)),
    "two layers, a quarter slow": ((0.25, 0.3), (0.75, 1.7)),
    "two layers, 20 times apart": ((0.5, 0.2), (0.5, 4.0)),
    "three layers, 10 times apart": ((0.33, 0.3), (0.33, 1.0), (0.34, 3.0)),
}
"""Shares of the settlement and the factors on their c_h: the design's own shape, and others."""
CASES = tuple((end, scatter) for end in (160.0, 200.0) for scatter in (0.0005, 0.002))
"""Last day read, and scatter (m): a quarter of a percent and one percent of the settlement."""


def course(factors: Floats, days: Floats = DAYS) -> Floats:
    """Two loads on invented ground: radial flow by a factor, and vertical flow beside it."""
    rate = 0.02 * np.asarray(factors)[:, None] + 0.004

    def one(start: float, final: float) -> Floats:
        return np.asarray(final * (1 - np.exp(-rate * np.clip(days - start, 0, None))))

    return one(0.0, 0.12) + one(60.0, 0.08)


def true_course(name: str, days: Floats) -> Floats:
    """What the ground of a name settles."""
    return np.asarray(sum(share * course(np.array([factor]), days)[0] for share, factor in TRUE_SHAPES[name]))


@dataclass(frozen=True)
class Ranges:
    """Of the histories of one ground: share refused, share of the others in whose range the final settlement lies.

    ``lower`` is the median of the lower ends of their degrees, ``degree`` the true one.
    """

    refused: float
    holds: float
    lower: float
    degree: float


def ranges_of(name: str, end: float, scatter: float, histories: int) -> Ranges:
    """What the back-analysis makes of histories read up to a day; no result where all are refused."""
    days = np.arange(5.0, end + 1.0, 5.0)
    true, final = true_course(name, days), float(true_course(name, LATE)[0])
    readings = true + np.random.default_rng(SEED).normal(0, scatter, (histories, len(days)))
    found = [shapes for shapes in admitted_shapes(FACTORS, course(WIDE, days), readings) if not shapes[0].at_the_end]
    scales = [FINAL * np.concatenate([one.scales for one in shapes]) for shapes in found]
    held = [bool(own.min() <= final <= own.max()) for own in scales]
    lower = [float(true[-1] / own.max()) for own in scales]
    none = float("nan")
    return Ranges(1 - len(found) / histories, float(np.mean(held)) if held else none,
                  float(np.median(lower)) if lower else none, float(true[-1] / final))  # fmt: skip
