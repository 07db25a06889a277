"""Distributions of inputs: closed forms against integration and against other closed forms."""

import numpy as np
import pytest

from calc.formulas.reliability import (
    averaged_variation,
    failure_probability,
    lognormal_spread,
    normal_correlation,
    variance_reduction,
)

approx = pytest.approx


@pytest.mark.parametrize("ratio", [0.1, 1.0, 3.0, 20.0])
def test_variance_of_an_average_is_the_mean_correlation_of_all_pairs_of_points(ratio: float) -> None:
    """The double integral of the correlation function over the height, by the rule of midpoints."""
    height, scale, count = 2.0, 2.0 / ratio, 2000
    depths = (np.arange(count) + 0.5) * height / count
    correlation = np.exp(-2 * np.abs(depths[:, None] - depths) / scale)

    assert variance_reduction(height, scale) == approx(correlation.mean(), rel=1e-4)


def test_variance_of_an_average_tends_to_scale_over_length() -> None:
    assert variance_reduction(1000.0, 1.0) == approx(1 / 1000, rel=1e-3)


def test_variance_of_a_short_average_is_that_at_a_point() -> None:
    assert variance_reduction(0.01, 10.0) == approx(1.0, abs=1e-3)


def test_spread_of_the_logarithm_gives_back_the_coefficient_of_variation() -> None:
    assert np.sqrt(np.exp(lognormal_spread(0.3) ** 2) - 1) == approx(0.3)


def test_average_of_a_quarter_of_the_variance_varies_half_as_much() -> None:
    assert averaged_variation(0.3, 0.25) == approx(0.15)


def test_normal_scores_of_a_rank_correlation_have_that_rank_correlation() -> None:
    """By a sample: a law of the Gaussian copula, 6/π asin(ρ/2)."""
    from scipy import stats

    rho = normal_correlation(0.6)
    u = np.random.default_rng(1).standard_normal((2, 100_000))
    second = rho * u[0] + np.sqrt(1 - rho**2) * u[1]

    assert stats.spearmanr(u[0], second).statistic == approx(0.6, abs=0.01)
    assert normal_correlation(1.0) == approx(1.0)


def test_probability_is_the_share_that_fails() -> None:
    assert failure_probability(25, 1000) == 0.025
