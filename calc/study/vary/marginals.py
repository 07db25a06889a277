"""Distributions of inputs as functions of normal scores, joined by a Gaussian copula."""

import math
from collections.abc import Callable, Mapping, Sequence
from dataclasses import dataclass
from hashlib import sha256
from typing import Any

import numpy as np
from numpy.typing import NDArray
from scipy import stats
from scipy.special import ndtr

from calc.formulas.characteristic import variance_reduction
from calc.formulas.reliability import lognormal_spread
from calc.inputs.tables.vary import DATA, LOGNORMAL, NORMAL, TRIANGULAR, TRUNCATED, UNIFORM, VariedInput
from calc.inputs.tables.vary_rules import number_of, spread_of

Floats = NDArray[np.float64]

PERT_WEIGHT = 4.0  # of the most likely value: the mean is (least + 4 mode + most) / 6


@dataclass(frozen=True, slots=True)
class Marginal:
    """The distribution of one input, after averaging where the project asks for it.

    `law` is frozen, with ``ppf`` and ``isf``; `reduction` is the factor Γ on the standard deviation.
    """

    path: str
    kind: str
    law: Any
    reduction: float = 1.0

    @property
    def data_hash(self) -> str:
        """Hash of the data of the distribution; empty without data."""
        return sha256(self.law.values.tobytes()).hexdigest() if self.kind == DATA else ""

    def at(self, score: Floats) -> Floats:
        """Values at normal scores; the upper tail from its own end, so that it keeps its digits."""
        if self.kind in {NORMAL, LOGNORMAL}:
            mean, spread = self.law.mean, self.law.spread
            values: Floats = mean + spread * score
            return np.asarray(np.exp(values)) if self.kind == LOGNORMAL else values
        upper = score > 0
        tail = ndtr(-np.abs(score))
        found: Floats = np.where(upper, self.law.isf(tail), self.law.ppf(tail))
        return found

    def moments(self) -> tuple[float, float]:
        """Mean and standard deviation."""
        if self.kind == LOGNORMAL:
            mean, spread = self.law.mean, self.law.spread
            variance = np.expm1(spread**2)
            middle = float(np.exp(mean + spread**2 / 2))
            return middle, middle * float(np.sqrt(variance))
        if self.kind == NORMAL:
            return self.law.mean, self.law.spread
        return float(self.law.mean()), float(self.law.std())


@dataclass(frozen=True, slots=True)
class Score:
    """Mean and standard deviation of the normal variable that an input or its logarithm is."""

    mean: float
    spread: float


class Observed:
    """The distribution of data: straight lines between the plotting positions (i - 0.5)/n, ending at the extremes."""

    def __init__(self, values: Floats) -> None:
        self.values = np.sort(values)
        self.positions = (np.arange(values.size) + 0.5) / values.size

    def ppf(self, probability: Floats) -> Floats:
        """Value that is not reached with a probability."""
        found: Floats = np.interp(probability, self.positions, self.values)
        return found

    def isf(self, probability: Floats) -> Floats:
        """Value that is exceeded with a probability."""
        return self.ppf(1.0 - probability)

    def mean(self) -> float:
        """Mean of the data."""
        return float(self.values.mean())

    def std(self) -> float:
        """Standard deviation of the data, of a sample."""
        return float(self.values.std(ddof=1))


def marginal(one: VariedInput, data: Floats | None = None) -> Marginal:
    """The distribution of a varied input; `data` are those of its file in the units inside."""
    assert one.distribution is not None  # noqa: S101 - asked for inputs with distributions only
    if one.distribution == DATA:
        assert data is not None  # noqa: S101 - read before
        return Marginal(one.path, DATA, Observed(data))
    if one.distribution in {NORMAL, LOGNORMAL}:
        mean, reduction = number_of(one.mean), 1.0
        if one.averaging_length is not None:
            lengths = number_of(one.correlation_length), number_of(one.averaging_length)
            reduction = float(np.sqrt(variance_reduction(*lengths)))
        spread = reduction * spread_of(one)
        if one.distribution == NORMAL:
            return Marginal(one.path, NORMAL, Score(mean, spread), reduction)
        log_spread = float(lognormal_spread(spread / mean))
        return Marginal(one.path, LOGNORMAL, Score(math.log(mean) - log_spread**2 / 2, log_spread), reduction)
    return Marginal(one.path, one.distribution, _bounded(one))


def _bounded(one: VariedInput) -> Any:
    least, mode, most = (number_of(getattr(one, name)) for name in ("least", "mode", "most"))
    width = most - least
    if one.distribution == TRUNCATED:
        mean, sd = number_of(one.mean), spread_of(one)
        return stats.truncnorm((least - mean) / sd, (most - mean) / sd, mean, sd)
    if one.distribution == UNIFORM:
        return stats.uniform(least, width)
    if one.distribution == TRIANGULAR:
        return stats.triang((mode - least) / width, least, width)
    shapes = (1 + PERT_WEIGHT * (mode - least) / width, 1 + PERT_WEIGHT * (most - mode) / width)
    return stats.beta(*shapes, least, width)


@dataclass(frozen=True, slots=True)
class Joint:
    """Inputs with distributions as functions of independent standard normal variables.

    `lower` is the lower triangle of the matrix of correlations of their normal scores, ``lower @ lower.T``.
    """

    marginals: tuple[Marginal, ...]
    lower: Floats
    fixed: Mapping[str, float]

    @property
    def size(self) -> int:
        """How many inputs have distributions."""
        return len(self.marginals)

    @property
    def rows(self) -> int:
        """The fewest data that one of the distributions is made of; 0 where none is of data."""
        return min((one.law.values.size for one in self.marginals if one.kind == DATA), default=0)

    def scores(self, u: Floats) -> Floats:
        """Correlated normal scores of points (n, size)."""
        # Row by row through einsum and not through a library of matrices: the last digits hang on no number of threads.
        found: Floats = np.einsum("nj,ij->ni", u, self.lower, optimize=False)
        return found

    def values(self, u: Floats) -> dict[str, Floats]:
        """Values of all inputs at points (n, size), those without distributions at their fixed value."""
        scores = self.scores(u)
        given = {path: np.full(len(u), value) for path, value in self.fixed.items()}
        return given | {one.path: one.at(scores[:, k]) for k, one in enumerate(self.marginals)}


def joint(marginals: Sequence[Marginal], correlations: Floats, fixed: Mapping[str, float]) -> Joint:
    """Join distributions; `fixed` are the values of all other inputs that are varied."""
    return Joint(tuple(marginals), np.asarray(np.linalg.cholesky(correlations), np.float64), dict(fixed))


Model = Callable[[Mapping[str, Floats]], Mapping[str, Floats]]
"""Utilisations by verdict, arrays of n, of values of inputs by path, arrays of n."""
