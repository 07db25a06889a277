"""Distributions of inputs: closed forms against integration and against other closed forms."""

import numpy as np
import pytest

from calc.formulas.characteristic import variance_reduction
from calc.formulas.reliability import (
    averaged_variation,
    correlation_of_averages,
    correlation_over_depth,
    covariance_of_averages,
    failure_probability,
    inner_part_of_averages,
    lognormal_spread,
    normal_correlation,
)

approx = pytest.approx


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


def test_correlation_over_depth_falls_to_a_share_e_at_half_the_scale_of_fluctuation() -> None:
    assert correlation_over_depth(0.0, 0.6) == 1.0
    assert correlation_over_depth(0.3, 0.6) == approx(np.exp(-1))


@pytest.mark.parametrize("apart", [0.0, 0.3, 0.8, 2.0])
def test_covariance_of_averages_is_the_integral_of_the_correlation(apart: float) -> None:
    """Over two heights that are the same, overlap, touch and lie apart, by the midpoint rule."""
    points = (np.arange(1000) + 0.5) / 1000 * 0.8
    mean = correlation_over_depth(np.abs(points[:, None] - points[None, :] - apart), 0.6).mean()

    found = covariance_of_averages(apart, 0.6, 0.8, inner_part_of_averages(apart, 0.6, 0.8))

    assert found == approx(mean, abs=1e-5)
    reduction = variance_reduction(0.6, 0.8)
    assert correlation_of_averages(found, reduction) == approx(mean / reduction, abs=1e-5)
    if apart == 0:
        assert found == approx(reduction)
