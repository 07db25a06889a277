"""Design points against exact ones, subset simulation against closed forms."""

from collections.abc import Callable

import numpy as np
import pytest
from numpy.typing import NDArray
from scipy import stats

from calc.study.vary import design_points
from calc.study.vary.design_points import (
    Counted,
    NoDesignPointError,
    NoEstimateError,
    _refuse_other_points,
    design_point,
    subset,
)
from calc.study.vary.in_chunks import NoNumberError
from tests.study.vary.known_states import ratio, together, varied

Floats = NDArray[np.float64]
ORIGIN = [np.zeros(2)]
NONE_WITHIN = 0.3  # a variation three of which do not reach 0


def plane(index: float) -> Callable[[Floats], Floats]:
    return lambda u: index - 0.6 * u[:, 0] - 0.8 * u[:, 1]


def test_the_design_point_of_a_plane_is_exact() -> None:
    found = design_point(plane(3.0), 2, ORIGIN)

    assert found.index == pytest.approx(3.0, abs=1e-6)
    assert found.u == pytest.approx([1.8, 2.4], abs=1e-5)
    assert found.calls > 0


def test_the_index_is_negative_where_the_means_fail() -> None:
    assert design_point(plane(-1.5), 2, ORIGIN).index == pytest.approx(-1.5, abs=1e-6)


@pytest.mark.parametrize("correlation", [0.0, 0.6, -0.4])
def test_a_quotient_of_lognormal_variables_has_its_index_in_closed_form(correlation: float) -> None:
    """ln(b) - ln(a) is normal: β is the mean of it over its standard deviation."""
    inputs = [varied(path="a", distribution="lognormal", mean=60, cov=0.25),
              varied(path="b", distribution="lognormal", mean=150, cov=0.15)]  # fmt: skip
    both = together(inputs, correlation)
    (mean_a, spread_a), (mean_b, spread_b) = ((one.law.mean, one.law.spread) for one in both.marginals)
    variance = spread_a**2 + spread_b**2 - 2 * correlation * spread_a * spread_b

    found = design_point(lambda u: 1 - ratio(both.values(u))["ratio"], 2, ORIGIN)

    assert found.index == pytest.approx((mean_b - mean_a) / np.sqrt(variance), abs=1e-4)


def test_the_nearer_of_two_design_points_is_found_from_another_start() -> None:
    def two(u: Floats) -> Floats:
        return np.asarray(np.where(u[:, 0] > -0.5, 4.0 - u[:, 0], 2.5 + u[:, 0]))

    alone = design_point(two, 2, ORIGIN)
    both = design_point(two, 2, [np.zeros(2), np.array([-2.0, 0.5])])

    assert alone.index == pytest.approx(4.0, abs=1e-4)
    assert both.index == pytest.approx(2.5, abs=1e-4)


@pytest.mark.parametrize(
    ("state", "reason"),
    [
        (lambda u: np.full(len(u), 0.5), "did not reach g = 0|not end at a point|not the nearest"),
        (lambda u: 1.0 + u[:, 0] ** 2, "did not reach g = 0|not end at a point"),
        (lambda u: np.where(u[:, 0] > 0.5, np.nan, 2.0 - u[:, 0]), "inputs without a solution"),
    ],
)
def test_a_search_without_an_end_says_why(state: Callable[[Floats], Floats], reason: str) -> None:
    with pytest.raises(NoDesignPointError, match=reason):
        design_point(state, 2, [np.array([0.1, 0.2])])


@pytest.mark.parametrize("error", [KeyboardInterrupt(), NoNumberError("no number at a = 1"), RuntimeError("lost")])
@pytest.mark.parametrize("call", [1, 3])
@pytest.mark.parametrize("search", [lambda state: design_point(state, 2, ORIGIN), lambda state: subset(state, 2, 1)])
def test_an_error_of_the_limit_state_is_no_answer_of_a_search(
    search: Callable[[Callable[[Floats], Floats]], object], call: int, error: BaseException
) -> None:
    """The library makes one of its own of it, which would be read as a probability that is not reached."""
    calls = [0]

    def broken(u: Floats) -> Floats:
        calls[0] += 1
        if calls[0] == call:
            raise error
        return plane(4.0)(u)

    with pytest.raises(type(error)) as raised:
        search(broken)
    assert raised.value is error
    assert calls == [call]


def test_an_error_of_the_library_that_speaks_of_no_probability_stays_one(monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr(design_points, "TOO_SMALL", "said otherwise")

    with pytest.raises(RuntimeError, match="Probability estimate too small"):
        subset(plane(9.0), 2, 1)


@pytest.mark.parametrize(
    ("point", "reason"),
    [([5.0, 0.0], "the point reached is not the nearest one"), ([1.7, 2.4], "the search did not reach g = 0")],
)
def test_a_point_that_is_none_of_the_surface_or_not_the_nearest_is_refused(point: list[float], reason: str) -> None:
    with pytest.raises(NoDesignPointError, match=reason):
        _refuse_other_points(Counted(plane(3.0)), np.array(point))


@pytest.mark.parametrize(
    ("state", "exact"),
    [(plane(4.0), stats.norm.sf(4.0)), (lambda u: 18.0 - u[:, 0] ** 2 - u[:, 1] ** 2, np.exp(-9))],
)
def test_subset_simulation_meets_a_small_probability(state: Callable[[Floats], Floats], exact: float) -> None:
    """The variation is small enough that no probability of 0, nor one of twice the exact, lies within the bounds."""
    found = subset(state, 2, 3)

    assert found.value == pytest.approx(exact, rel=3 * found.variation)
    assert 0.1 < found.variation < NONE_WITHIN
    assert subset(state, 2, 3) == found


def test_subset_simulation_counts_what_has_no_solution_as_failure() -> None:
    found = subset(lambda u: np.where(u[:, 0] > 3.0, -np.inf, 4.0 - u[:, 0]), 2, 1)

    assert found.value == pytest.approx(stats.norm.sf(3.0), rel=3 * found.variation)
    assert found.variation < NONE_WITHIN


@pytest.mark.parametrize(
    ("state", "reason"),
    [(plane(9.0), "a probability below 1e-12"), (lambda u: np.full(len(u), 0.5), "come no nearer to the limit state")],
)
def test_subset_simulation_says_what_it_does_not_reach(state: Callable[[Floats], Floats], reason: str) -> None:
    with pytest.raises(NoEstimateError, match=reason):
        subset(state, 2, 1)
