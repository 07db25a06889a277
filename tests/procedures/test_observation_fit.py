"""Equal steps, parallel lines, and the fit of a course: what it finds, and whether its confidence holds."""

from dataclasses import replace
from itertools import pairwise

import numpy as np
import pytest
from numpy.typing import NDArray

from calc.procedures.failures import ProcedureError
from calc.procedures.observation import (
    MOST_STEPS,
    course_at,
    equal_steps,
    fit_course,
    parallel_slope,
)

approx = pytest.approx
Floats = NDArray[np.float64]

FACTORS = np.geomspace(0.1, 10.0, 47)
DAYS = np.arange(5.0, 201.0, 5.0)
HISTORIES, SEED = 1000, 11


def course(factors: Floats, days: Floats = DAYS) -> Floats:
    """Two loads on invented ground: radial flow by a factor, and vertical flow beside it."""
    rate = 0.02 * np.asarray(factors)[:, None] + 0.004

    def one(start: float, final: float) -> Floats:
        return np.asarray(final * (1 - np.exp(-rate * np.clip(days - start, 0, None))))

    return one(0.0, 0.12) + one(60.0, 0.08)


def test_readings_at_equal_intervals_are_steps_as_they_are() -> None:
    days = np.arange(0.0, 100.0, 20.0)
    found = equal_steps(days, days**0.5)

    assert found is not None
    assert (found.step, found.interpolated) == (20.0, False)
    assert (found.values == days**0.5).all()


def test_uneven_or_many_readings_are_interpolated_and_end_at_the_last() -> None:
    days = np.arange(0.0, 80.5, 80.0 / (MOST_STEPS + 1))
    found = equal_steps(days, 2 * days)

    assert found is not None
    assert found.interpolated
    assert found.step == approx(10.0)
    assert found.days[-1] == days[-1]
    assert found.values == approx(2 * found.days)
    assert all(b - a == approx(found.step) for a, b in pairwise(found.days))


@pytest.mark.parametrize("days", [[0.0, 5.0], [3.0, 3.0, 3.0], []])
def test_fewer_than_three_readings_or_no_time_make_no_steps(days: list[float]) -> None:
    assert equal_steps(np.array(days), np.array(days)) is None


def test_a_step_longer_than_half_the_time_makes_none() -> None:
    assert equal_steps(np.array([0.0, 4.0, 10.0]), np.array([0.0, 1.0, 2.0]), step=6.0) is None


def test_lines_under_two_loads_are_parallel() -> None:
    """An exponential of one rate under either load: the slope is that of both, whatever they start from."""
    days = np.arange(0.0, 60.0, 10.0)
    periods = []
    for start, final in ((0.0, 0.2), (0.15, 0.35)):
        steps = equal_steps(days, final - (final - start) * np.exp(-0.03 * days))
        assert steps is not None
        periods.append(steps)

    assert parallel_slope(periods)[2] == approx(np.exp(-0.3), rel=1e-9)


def test_readings_that_do_not_move_have_no_common_slope() -> None:
    steps = equal_steps(np.arange(5.0), np.ones(5))

    assert steps is not None
    assert np.isnan(parallel_slope([steps])[2])


def test_fit_finds_the_factors_of_readings_without_scatter() -> None:
    found = fit_course(FACTORS, course(FACTORS), 0.93 * course(np.array([1.37])))

    assert found.rate[0] == approx(1.37, rel=2e-3)
    assert found.scale[0] == approx(0.93, rel=1e-4)
    assert not found.bounded[0]


def test_course_between_factors_is_near_the_true_one() -> None:
    found, slope = course_at(np.log(FACTORS), course(FACTORS), np.log([0.77]))

    assert found == approx(course(np.array([0.77])), abs=1e-5)
    near = (course(np.array([0.7701])) - course(np.array([0.7699]))) / np.log(0.7701 / 0.7699)
    assert slope == approx(near, abs=2e-4)


@pytest.mark.parametrize(("scatter", "rate", "scale"), [(0.001, 1.4, 0.9), (0.003, 0.6, 1.1), (0.002, 2.5, 1.0)])
def test_stated_confidence_holds_in_1000_histories(scatter: float, rate: float, scale: float) -> None:
    """95 % is stated: of both factors and of a forecast it holds in 90 to 99 % of the histories."""
    draw = np.random.default_rng(SEED)
    readings = scale * course(np.array([rate])) + draw.normal(0, scatter, (HISTORIES, len(DAYS)))
    found = fit_course(FACTORS, course(FACTORS), readings)
    errors = found.quantile * np.sqrt(found.covariance[:, [0, 1], [0, 1]])
    rates = np.abs(np.log(found.rate / rate)) <= errors[:, 0]
    scales = np.abs(found.scale / scale - 1) <= errors[:, 1]
    later = np.array([300.0])
    true = scale * course(np.array([rate]), later)[0, 0]
    held = 0
    for history in range(HISTORIES):
        factors, parts = found.ellipse(history)
        values = parts * course(factors, later)[:, 0]
        held += bool(values.min() <= true <= values.max())

    assert not found.bounded.any()
    for share in (rates.mean(), scales.mean(), held / HISTORIES):
        assert 0.90 <= share <= 0.99


def test_dependent_residuals_widen_the_range() -> None:
    """Scatter of which each part hangs on the one before: without the factor the range would hold far less often."""
    draw = np.random.default_rng(SEED)
    noise = draw.normal(0, 0.002, (400, len(DAYS)))
    for k in range(1, len(DAYS)):
        noise[:, k] = 0.6 * noise[:, k - 1] + 0.8 * noise[:, k]
    found = fit_course(FACTORS, course(FACTORS), 0.9 * course(np.array([1.4])) + noise)
    bound = found.quantile * np.sqrt(found.covariance[:, 1, 1])
    off = np.abs(found.scale / 0.9 - 1)

    assert found.lag.mean() == approx(0.56, abs=0.03)  # the fit takes a part of it
    assert (off <= bound).mean() >= 0.9
    assert (off <= bound / np.sqrt((1 + found.lag) / (1 - found.lag))).mean() < 0.85


def test_readings_that_tell_nothing_have_a_range_without_end() -> None:
    """A covariance of which the exponential overflows; no warning, and an end that is infinite."""
    found = fit_course(FACTORS, course(FACTORS), course(np.array([1.0])))
    rates, scales = replace(found, covariance=np.array([[[1e8, 0.0], [0.0, 1e8]]])).ellipse()

    assert (rates.max(), scales.max()) == (np.inf, np.inf)
    assert rates.min() == 0.0


def test_factors_that_readings_cannot_tell_apart_are_no_result() -> None:
    """Courses that differ by a factor on all values: c_h and settlement say the same."""
    found = fit_course(FACTORS, FACTORS[:, None] ** 0.3 * DAYS, np.sqrt(DAYS)[None])

    assert not found.converged[0]


def test_a_factor_outside_those_looked_at_is_said() -> None:
    assert fit_course(FACTORS, course(FACTORS), course(np.array([40.0]))).bounded[0]


def test_too_few_readings_or_a_course_of_nothing_are_refused() -> None:
    with pytest.raises(ProcedureError, match=r"at least 5 readings .* \(got 4\)"):
        fit_course(FACTORS, course(FACTORS)[:, :4], np.ones((1, 4)))
    with pytest.raises(ProcedureError, match="fit of a course"):
        fit_course(FACTORS, np.zeros((47, 6)), np.ones((1, 6)))
