"""Distributions of inputs: moments and fractiles against closed forms, correlation, averages."""

import numpy as np
import pytest
from scipy import stats

from calc.formulas.characteristic import variance_reduction
from calc.formulas.reliability import normal_correlation
from calc.inputs.tables.vary import Vary
from calc.inputs.tables.vary_rules import correlation_matrix
from calc.study.vary.marginals import marginal
from tests.study.vary.known_states import standard, together, varied

SCORES = np.array([-4.0, -1.0, 0.0, 1.0, 4.0])


@pytest.mark.parametrize(
    ("given", "law"),
    [
        ({"distribution": "normal", "mean": 15, "sd": 3}, stats.norm(15, 3)),
        ({"distribution": "lognormal", "mean": 15, "cov": 0.2},
         stats.lognorm(np.sqrt(np.log(1.04)), scale=15 / np.sqrt(1.04))),
        ({"distribution": "truncated normal", "mean": 15, "sd": 3, "least": 10, "most": 18},
         stats.truncnorm(-5 / 3, 1, 15, 3)),
        ({"distribution": "uniform", "least": 2, "most": 6}, stats.uniform(2, 4)),
        ({"distribution": "triangular", "least": 2, "mode": 3, "most": 6}, stats.triang(0.25, 2, 4)),
        ({"distribution": "pert", "least": 2, "mode": 3, "most": 6}, stats.beta(2, 4, 2, 4)),
    ],
)  # fmt: skip
def test_a_distribution_has_the_moments_and_fractiles_of_its_law(given: dict[str, object], law: object) -> None:
    one = marginal(varied(path="x", **given))

    assert one.at(SCORES) == pytest.approx(law.ppf(stats.norm.cdf(SCORES)), rel=1e-6)  # type: ignore[attr-defined]
    assert one.moments() == pytest.approx((law.mean(), law.std()))  # type: ignore[attr-defined]


def test_the_mean_of_a_pert_distribution_counts_the_mode_four_times() -> None:
    one = marginal(varied(path="x", distribution="pert", least=1, mode=2, most=9))

    assert one.moments()[0] == pytest.approx((1 + 4 * 2 + 9) / 6)


def test_the_upper_tail_keeps_its_digits() -> None:
    one = marginal(varied(path="x", distribution="uniform", least=0, most=1))

    assert 1.0 - float(one.at(np.array([7.0]))[0]) == pytest.approx(stats.norm.sf(7.0), rel=1e-3)


def test_data_are_met_at_their_plotting_positions_and_never_exceeded() -> None:
    one = marginal(varied(path="x", distribution="data", file="x.csv", column="x"), np.array([3.0, 1.0, 2.0, 7.0]))

    assert one.at(stats.norm.ppf([0.125, 0.375, 0.625, 0.875])) == pytest.approx([1.0, 2.0, 3.0, 7.0])
    assert one.at(np.array([-6.0, 6.0])) == pytest.approx([1.0, 7.0])
    assert one.moments() == pytest.approx((3.25, np.std([1, 2, 3, 7], ddof=1)))
    assert len(one.data_hash) == 64


def test_an_average_varies_less_by_the_closed_form() -> None:
    given = {"mean": 15, "cov": 0.3, "correlation_length": "0.5 m", "averaging_length": "2 m"}
    gamma = np.sqrt(variance_reduction(0.5, 2.0))

    for kind in ("normal", "lognormal"):
        mean, deviation = marginal(varied(path="x", distribution=kind, **given)).moments()
        assert (mean, deviation) == pytest.approx((15.0, 0.3 * 15.0 * gamma))


def test_inputs_have_the_rank_correlation_that_is_given() -> None:
    inputs = [varied(path="a", distribution="lognormal", mean=10, cov=0.5),
              varied(path="b", distribution="uniform", least=0, most=1)]  # fmt: skip
    vary = Vary.model_validate({
        "input": [
            {"path": "a", "distribution": "lognormal", "mean": 10, "cov": 0.5, "source": "x"},
            {"path": "b", "distribution": "uniform", "least": 0, "most": 1, "source": "x"},
        ],
        "correlation": [{"between": ["a", "b"], "rank": 0.7, "source": "x"}],
        "limit_state": [{"verdict": "x/y"}],
    })  # fmt: skip
    matrix = correlation_matrix(vary, normal_correlation)
    joined = together(inputs, correlation=float(matrix[0, 1]), fixed=3.0)
    values = joined.values(np.random.default_rng(1).standard_normal((40_000, 2)))

    assert matrix[0, 1] == matrix[1, 0] == normal_correlation(0.7)
    assert matrix == pytest.approx(correlation_matrix(vary), rel=1e-15)
    assert stats.spearmanr(values["a"], values["b"]).statistic == pytest.approx(0.7, abs=0.01)
    assert set(values["fixed"]) == {3.0}


def test_points_of_normal_inputs_are_their_own_scores() -> None:
    points = np.random.default_rng(2).standard_normal((5, 2))

    assert together(standard("a", "b")).values(points)["b"] == pytest.approx(points[:, 1])
