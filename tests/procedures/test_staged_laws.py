"""Laws of staged filling, for drawn programmes and rates."""

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st
from numpy.typing import NDArray

from calc.formulas.consolidation import diameter_ratio, horizontal_rate, ideal_drainage_factor
from calc.procedures.consolidation_response import Response, combined_response, radial_response
from calc.procedures.failures import ProcedureError
from calc.procedures.staged_course import Programme, follow, walk

approx = pytest.approx

Floats = NDArray[np.float64]
TIMES = np.concatenate([[0.0], np.geomspace(0.01, 5000, 120)])
RATE = st.floats(1e-4, 0.2)
SHARE = st.floats(0.1, 0.9)


def response(radial: float, vertical: float) -> Response:
    return combined_response([radial, 2 * radial], [0.0, 0.4], [0.4, 1.0], vertical)


@st.composite
def programmes(draw: st.DrawFn) -> tuple[Programme, Floats]:
    """Up to five steps of loading with rests, some placed at once, and final values that never fall."""
    pieces = draw(st.lists(st.tuples(st.floats(0, 90), st.just(0.0) | st.floats(1e-3, 60)), min_size=1, max_size=5))
    begin, end, now = [], [], 0.0
    for rest, length in pieces:
        begin.append(now := now + rest)
        end.append(now := now + length)
    added = draw(st.lists(st.floats(0.01, 0.5), min_size=len(pieces), max_size=len(pieces)))
    return Programme(tuple(begin), tuple(end)), np.cumsum(added)[:, None] * np.array([1.0, 0.6])


@given(RATE, RATE, st.floats(-12, -6))
@settings(max_examples=60, deadline=None)
def test_load_placed_at_once_is_the_limit_of_a_short_ramp(radial: float, vertical: float, power: float) -> None:
    """A ramp of 1e-12 to 1e-6 days must lose no digits; the order of the ramp itself is what may be left."""
    ramp, times = 10.0**power, TIMES[1:]
    flow = response(radial, vertical)
    short = follow(Programme((0.0,), (ramp,)), flow, [[1.0, 1.0]], times).value()
    once = follow(Programme((0.0,), (0.0,)), flow, [[1.0, 1.0]], times).value()

    assert short == approx(once, abs=1e-10 + 1e3 * ramp)


@given(programmes(), RATE, RATE, SHARE)
@settings(max_examples=60, deadline=None)
def test_two_half_steps_equal_one(
    drawn: tuple[Programme, Floats], radial: float, vertical: float, share: float
) -> None:
    """The first step cut in time, its final values cut alike."""
    programme, final = drawn
    begin, end = programme.begin[0], programme.end[0]
    cut = begin + share * (end - begin)
    halves = Programme((begin, cut, *programme.begin[1:]), (cut, end, *programme.end[1:]))
    flow = response(radial, vertical)
    whole, parts = (
        follow(one, flow, values, TIMES).value()
        for one, values in ((programme, final), (halves, np.vstack([share * final[:1], final])))
    )

    assert parts == approx(whole, abs=1e-9)


@given(programmes(), RATE, RATE)
@settings(max_examples=60, deadline=None)
def test_settlement_is_monotonic_in_time_and_bounded_under_loading(
    drawn: tuple[Programme, Floats], radial: float, vertical: float
) -> None:
    programme, final = drawn
    course = follow(programme, response(radial, vertical), final, TIMES)

    assert (np.diff(course.value(), axis=0) >= -1e-8).all()
    assert (course.lag >= -1e-8).all()
    assert (course.value() <= final[-1] + 1e-9).all()


@given(programmes(), RATE, RATE, st.floats(1, 5))
@settings(max_examples=60, deadline=None)
def test_settlement_is_monotonic_in_the_rate(
    drawn: tuple[Programme, Floats], radial: float, vertical: float, factor: float
) -> None:
    programme, final = drawn
    slow, quick = (follow(programme, response(f * radial, vertical), final, TIMES).value() for f in (1.0, factor))

    assert (quick >= slow - 1e-9).all()


@given(programmes(), st.floats(1.2, 4.0), st.floats(1.01, 2.0))
@settings(max_examples=60, deadline=None)
def test_more_columns_are_never_slower(drawn: tuple[Programme, Floats], d_e: float, closer: float) -> None:
    """The same columns of 0.8 m at a larger and at a smaller diameter of the cell, the same final values."""
    programme, final = drawn
    wide = 0.8 * closer * d_e
    slow, quick = (
        radial_response(np.full(2, horizontal_rate(0.003, one, ideal_drainage_factor(diameter_ratio(one, 0.8)))))
        for one in (wide, 0.8 * d_e)
    )

    assert (quick.slowest > slow.slowest).all()
    courses = [follow(programme, one, final, TIMES) for one in (slow, quick)]
    assert (courses[1].degree_of_last_load() >= courses[0].degree_of_last_load() - 1e-12).all()


@given(programmes(), RATE, st.floats(-2, 2), st.floats(-2, 2))
@settings(max_examples=40, deadline=None)
def test_course_is_linear_in_the_final_values(
    drawn: tuple[Programme, Floats], radial: float, one: float, other: float
) -> None:
    programme, final = drawn
    flow = response(radial, 0.01)
    second = final[::-1] ** 2
    mixed = follow(programme, flow, one * final + other * second, TIMES).value()
    parts = one * follow(programme, flow, final, TIMES).value() + other * follow(programme, flow, second, TIMES).value()

    assert mixed == approx(parts, abs=1e-9)


def test_a_programme_walked_through_once_gives_the_same_at_any_times() -> None:
    """Asked as often as wanted, of one time or of many."""
    final = np.array([[0.1, 0.2], [0.3, 0.2], [0.25, 0.4]])
    programme, flow = Programme((0.0, 60.0, 200.0), (20.0, 60.0, 230.0)), response(0.01, 0.002)
    walked, whole = walk(programme, flow, final), follow(programme, flow, final, TIMES)

    assert (walked.at(TIMES).lag == whole.lag).all()
    for k in (3, 0, len(TIMES) - 1):
        assert walked.at([TIMES[k]]).value()[0] == approx(whole.value()[k], abs=1e-14)


def test_lag_after_the_last_step_is_that_of_the_course_and_has_no_value_before() -> None:
    flow = radial_response([[0.02, 0.03]])
    walked = walk(Programme((0.0, 40.0), (20.0, 60.0)), flow, [[[0.1, 0.2], [0.3, 0.5]]])
    dates = np.array([[60.0, 100.0]])

    lag, change = walked.lag_after(dates)

    course = walked.at([60.0, 100.0, 100.001])
    assert lag[0] == pytest.approx([course.lag[0, 0, 0], course.lag[0, 1, 1]], rel=1e-12)
    assert change[0, 1] == pytest.approx((course.lag[0, 2, 1] - course.lag[0, 1, 1]) / 0.001, rel=1e-4)
    with pytest.raises(ProcedureError, match="dates must not lie before the end of the last step"):
        walked.lag_after(dates - 1.0)
