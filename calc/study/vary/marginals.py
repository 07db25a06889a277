"""Distributions of inputs as functions of normal scores, joined by a Gaussian copula."""

import math
from collections.abc import Callable, Mapping, Sequence
from dataclasses import dataclass, field
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
from calc.study.vary.depth_fields import DepthField

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
        quantiles: Floats = np.where(upper, self.law.isf(tail), self.law.ppf(tail))
        return quantiles

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
        quantiles: Floats = np.interp(probability, self.positions, self.values)
        return quantiles

    def isf(self, probability: Floats) -> Floats:
        """Value that is exceeded with a probability."""
        return self.ppf(1.0 - probability)

    def mean(self) -> float:
        """Mean of the data."""
        return float(self.values.mean())

    def std(self) -> float:
        """Standard deviation of the data, of a sample."""
        return float(self.values.std(ddof=1))


def marginal(varied: VariedInput, data: Floats | None = None) -> Marginal:
    """The distribution of a varied input; `data` are those of its file in the units inside."""
    assert varied.distribution is not None  # noqa: S101 - asked for inputs with distributions only
    if varied.distribution == DATA:
        assert data is not None  # noqa: S101 - read before
        return Marginal(varied.path, DATA, Observed(data))
    if varied.distribution in {NORMAL, LOGNORMAL}:
        mean, reduction = number_of(varied.mean), 1.0
        if varied.averaging_length is not None:
            lengths = number_of(varied.correlation_length), number_of(varied.averaging_length)
            reduction = float(np.sqrt(variance_reduction(*lengths)))
        spread = reduction * spread_of(varied)
        if varied.distribution == NORMAL:
            return Marginal(varied.path, NORMAL, Score(mean, spread), reduction)
        log_spread = float(lognormal_spread(spread / mean))
        return Marginal(varied.path, LOGNORMAL, Score(math.log(mean) - log_spread**2 / 2, log_spread), reduction)
    return Marginal(varied.path, varied.distribution, _bounded_distribution(varied))


def _bounded_distribution(varied: VariedInput) -> Any:
    least, mode, most = (number_of(getattr(varied, name)) for name in ("least", "mode", "most"))
    width = most - least
    if varied.distribution == TRUNCATED:
        mean, sd = number_of(varied.mean), spread_of(varied)
        return stats.truncnorm((least - mean) / sd, (most - mean) / sd, mean, sd)
    if varied.distribution == UNIFORM:
        return stats.uniform(least, width)
    if varied.distribution == TRIANGULAR:
        return stats.triang((mode - least) / width, least, width)
    shapes = (1 + PERT_WEIGHT * (mode - least) / width, 1 + PERT_WEIGHT * (most - mode) / width)
    return stats.beta(*shapes, least, width)


@dataclass(frozen=True, slots=True)
class Joint:
    """Inputs with distributions as functions of independent standard normal variables.

    `lower` has a row for the normal score of each value, that of a field in every sublayer, and a column for each
    variable; without fields it is the lower triangle of the matrix of correlations, ``lower @ lower.T``. `owners` are
    the inputs that the variables belong to, where none are correlated.
    """

    marginals: tuple[Marginal, ...]
    lower: Floats
    fixed: Mapping[str, float]
    fields: Mapping[str, DepthField] = field(default_factory=dict)
    owners: tuple[str, ...] = ()

    @property
    def size(self) -> int:
        """How many independent variables there are: the inputs with distributions, sublayers of fields one by one."""
        return int(self.lower.shape[1])

    @property
    def rows(self) -> int:
        """The fewest data that one of the distributions is made of; 0 where none is of data."""
        return min(
            (distribution.law.values.size for distribution in self.marginals if distribution.kind == DATA), default=0
        )

    @property
    def places(self) -> dict[str, slice]:
        """Which scores are those of an input."""
        slices, start = dict[str, slice](), 0
        for distribution in self.marginals:
            count = len(self.fields[distribution.path].parts) if distribution.path in self.fields else 1
            slices[distribution.path] = slice(start, start + count)
            start += count
        return slices

    def scores(self, u: Floats) -> Floats:
        """Correlated normal scores of points (n, size), a column for each value."""
        # Row by row through einsum and not through a library of matrices: the last digits hang on no number of threads.
        correlated: Floats = np.einsum("nj,ij->ni", u, self.lower, optimize=False)
        return correlated

    def values(self, u: Floats) -> dict[str, Floats]:
        """Values of all inputs at points (n, size), those without distributions at their fixed value."""
        scores, places = self.scores(u), self.places
        by_path = {path: np.full(len(u), value) for path, value in self.fixed.items()}
        for distribution in self.marginals:
            first = places[distribution.path].start
            if distribution.path not in self.fields:
                by_path[distribution.path] = distribution.at(scores[:, first])
                continue
            parts = self.fields[distribution.path]
            by_path |= {
                part: distribution.at(scores[:, first + k]) + parts.shifts[k] for k, part in enumerate(parts.parts)
            }
        return by_path


def joint(
    marginals: Sequence[Marginal], correlations: Floats, fixed: Mapping[str, float], fields: Sequence[DepthField] = ()
) -> Joint:  # fmt: skip
    """Join distributions; `fixed` are the values of all other inputs that are varied.

    Fields that are correlated lie in the same sublayers: the correlation of two values is that of their inputs times
    that of their depths. The variables are in the order of their share in the variance of their own input, so that the
    first ones, which a sequence of few points fills best, carry most.
    """
    lower = np.asarray(np.linalg.cholesky(correlations), np.float64)
    by_path = {depth_field.path: depth_field for depth_field in fields}
    modes = [
        by_path[distribution.path].modes() if distribution.path in by_path else (np.ones(1), np.ones((1, 1)))
        for distribution in marginals
    ]
    blocks = [
        [share * shape if share else np.zeros((len(shape), len(other)))
         for share, (_, other) in zip(row, modes, strict=True)]
        for row, (_, shape) in zip(lower, modes, strict=True)
    ]  # fmt: skip
    shares = np.concatenate([[], *(variances / len(variances) for variances, _ in modes)])
    owners = [
        distribution.path for distribution, (variances, _) in zip(marginals, modes, strict=True) for _ in variances
    ]
    order = np.argsort(-shares, kind="stable")
    whole = np.block(blocks)[:, order] if blocks else lower
    return Joint(tuple(marginals), whole, dict(fixed), by_path, tuple(owners[k] for k in order))


Model = Callable[[Mapping[str, Floats]], Mapping[str, Floats]]
"""Utilisations by verdict, arrays of n, of values of inputs by path, arrays of n; of a field by the paths of its
sublayers, or by its own where it moves as a whole."""
