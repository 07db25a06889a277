"""The search for the earliest dates: laws of halving, and agreement with every programme of a small grid."""

from collections.abc import Callable, Iterator, Sequence
from itertools import product
from math import exp, inf

import pytest
from hypothesis import given
from hypothesis import strategies as st

from calc.study.date_search import (
    FIRST,
    OPENING,
    ORDER,
    WAIT,
    Check,
    Condition,
    Dated,
    Dates,
    Grid,
    Order,
    Stuck,
    first_holding,
    least_number,
)
from calc.study.date_search import earliest_dates as search

LOADS = (10.0, 20.0, 15.0)


def consolidated(rate: float, durations: Dates, dates: Dates) -> float:
    """Stress gained at the last of the dates under the loads before it, each placed evenly over its duration."""
    *starts, at = dates
    total = 0.0
    for load, start, duration in zip(LOADS, starts, durations, strict=False):
        mean = (exp(rate * duration) - 1) / (rate * duration) if duration else 1.0
        total += load * (1 - exp(-rate * (at - start)) * mean)
    return total


def gain(rate: float, durations: Dates, needed: float) -> Check:
    def check(dates: Dates) -> Condition:
        return Condition("gain", "Gain", 0.25 * consolidated(rate, durations, dates), needed, "kPa")

    return check


def residual(rate: float, durations: Dates, limit: float) -> Check:
    """What is still to come, with a part that no waiting takes away."""

    def check(dates: Dates) -> Condition:
        left = 0.01 + 0.02 * (sum(LOADS) - consolidated(rate, durations, dates))
        return Condition("residual", "Residual settlement", left, limit, "m", most=True)

    return check


def conditions(rate: float, durations: Dates, needed: Dates, limit: float) -> Callable[[int], Sequence[Check]]:
    by_place = [[], *([gain(rate, durations, one)] for one in needed), [residual(rate, durations, limit)]]
    return lambda place: by_place[place]


def programmes(order: Order, grid: Grid) -> Iterator[Dates]:
    """Every programme of the grid that keeps order and waits, written without the search."""
    steps = [grid.date(number) for number in range(grid.last + 1)]
    for later in product(steps, repeat=len(order.durations)):
        dates = (grid.first, *later)
        stages = range(1, len(dates))
        kept = all(
            dates[k] >= dates[k - 1] + order.durations[k - 1] + order.waits[k - 1] - 1e-9
            and (dates[k] > dates[k - 1] or k == len(dates) - 1)
            for k in stages
        )
        if kept:
            yield dates


def all_hold(checks: Callable[[int], Sequence[Check]], dates: Dates) -> bool:
    return all(check(dates[: place + 1]).holds for place in range(len(dates)) for check in checks(place))


@given(
    rate=st.floats(0.003, 0.2),
    durations=st.tuples(*[st.sampled_from([0.0, 3.0, 7.0])] * 3),
    waits=st.tuples(*[st.sampled_from([0.0, 4.0])] * 3),
    needed=st.tuples(st.floats(0, 2.5), st.floats(0, 7)),
    limit=st.floats(0.01, 0.9),
)
def test_dates_are_the_earliest_of_all_programmes_of_a_grid(
    rate: float, durations: Dates, waits: Dates, needed: Dates, limit: float
) -> None:
    """Every programme is tried: no date of any that holds is earlier than the one found, so none is shorter."""
    order, grid = Order(durations, waits), Grid(2.0, 7.0, 92.0)
    checks = conditions(rate, durations, needed, limit)
    good = [dates for dates in programmes(order, grid) if all_hold(checks, dates)]

    found = search(order, grid, checks)

    if isinstance(found, Stuck):
        assert good == []
    else:
        assert tuple(one.date for one in found) == tuple(min(column) for column in zip(*good, strict=True))


def test_a_condition_that_governs_fails_one_step_earlier() -> None:
    order, grid = Order((7.0, 7.0, 7.0), (0.0, 0.0, 0.0)), Grid(0.0, 1.0, 4000.0)
    checks = conditions(0.01, order.durations, (1.5, 5.0), 0.15)

    found = search(order, grid, checks)

    assert not isinstance(found, Stuck)
    dates = tuple(one.date for one in found)
    assert [one.governs for one in found] == [FIRST, "gain", "gain", "residual"]
    for place in (1, 2, 3):
        [check] = checks(place)
        assert check(dates[: place + 1]).holds
        assert not check((*dates[:place], dates[place] - 1)).holds
        assert found[place].conditions == (check(dates[: place + 1]),)


def test_waits_and_order_govern_where_nothing_else_does() -> None:
    order = Order((14.0, 0.0, 0.0, 3.0), (10.0, 0.0, 9.0, 0.0))

    found = search(order, Grid(5.0, 7.0, 100.0), lambda _place: [])

    assert not isinstance(found, Stuck)
    assert [(one.date, one.governs) for one in found] == [(5, FIRST), (33, WAIT), (40, ORDER), (54, WAIT), (61, ORDER)]


def test_hand_over_may_be_on_the_day_of_a_stage_that_takes_no_time() -> None:
    found = search(Order((5.0, 0.0), (0.0, 0.0)), Grid(0.0, 1.0, 30.0), lambda _place: [])

    assert not isinstance(found, Stuck)
    assert [one.date for one in found] == [0, 5, 5]


def test_a_rounded_sum_of_days_is_not_a_step_later() -> None:
    tenth = Grid(0.0, 0.1, 1.0)

    assert tenth.number(0.1 + 0.2) == 3
    assert tenth.last == 10


def test_what_no_wait_satisfies_is_named_with_what_is_missing() -> None:
    order, grid = Order((7.0, 7.0, 7.0), (0.0, 0.0, 0.0)), Grid(0.0, 1.0, 4000.0)
    checks = conditions(0.01, order.durations, (1.0, 8.0), 0.1)  # 8 kPa of at most 7.5 kPa

    found = search(order, grid, checks)

    assert isinstance(found, Stuck)
    assert (found.place, len(found.stage_dates), found.latest) == (2, 2, 4000.0)
    assert found.check is checks(2)[0]
    assert found.condition is not None
    assert found.condition.margin == pytest.approx(7.5 - 8.0)


def test_a_first_stage_does_not_wait() -> None:
    never = Condition("gain", "Gain", 0.0, 1.0)

    found = search(Order((7.0,), (0.0,)), Grid(3.0, 1.0, 50.0), lambda place: [lambda _dates: never] * (place == 0))

    assert found == Stuck(0, (), 3.0, found.check if isinstance(found, Stuck) else None, never)


def test_no_room_before_the_latest_date_is_said_without_a_condition() -> None:
    found = search(Order((20.0, 20.0), (0.0, 0.0)), Grid(0.0, 1.0, 30.0), lambda _place: [])

    assert found == Stuck(2, (Dated(0.0, 0.0, FIRST, ()), Dated(20.0, 20.0, ORDER, ())), 30.0)


@given(st.integers(-50, 50), st.integers(0, 200), st.integers(-60, 300))
def test_halving_finds_the_first_number_that_holds(low: int, more: int, first: int) -> None:
    high = low + more
    expected = max(low, first) if first <= high else None

    assert first_holding(low, high, lambda number: number >= first) == expected


def test_halving_asks_no_more_often_than_it_must() -> None:
    asked: list[int] = []

    def holds(number: int) -> bool:
        asked.append(number)
        return number >= 777

    assert first_holding(0, 1 << 12, holds) == 777
    assert len(asked) <= 2 + 12


def test_margins_count_from_the_side_of_the_limit() -> None:
    assert Condition("gain", "Gain", 3.0, 2.0).margin == 1.0
    assert Condition("residual", "Residual settlement", 3.0, 2.0, most=True).margin == -1.0
    assert not Condition("gain", "Gain", float("nan"), 2.0).holds


@given(low=st.integers(-20, 20), more=st.integers(0, 400), place=st.integers(-30, 450), left=st.floats(0.1, 9))
def test_least_number_is_the_least_of_what_falls_and_rises(low: int, more: int, place: int, left: float) -> None:
    def value(number: int) -> float:
        return left * max(place - number, 0) + float(max(number - place, 0) ** 1.5)

    assert least_number(value, low, low + more) == min(max(place, low), low + more)


def test_least_number_stays_at_the_first_where_nothing_is_better() -> None:
    assert least_number(lambda number: 5.0 if number == 3 else inf, 3, 90) == 3


def test_the_last_stage_may_be_asked_to_wait() -> None:
    durations = (7.0, 7.0, 0.0)
    order = Order(durations, (0.0, 0.0, 0.0), 33.3, "creep")

    found = search(order, Grid(0.0, 1.0, 90.0), lambda _place: [])

    assert not isinstance(found, Stuck)
    assert [(one.date, one.governs) for one in found][2:] == [(34, "creep"), (34, ORDER)]
    again = search(Order(durations, (0.0, 0.0, 0.0), 10.0, "creep"), Grid(0.0, 1.0, 90.0), lambda _place: [])
    assert not isinstance(again, Stuck)
    assert [(one.date, one.governs) for one in again][2:] == [(14, ORDER), (14, ORDER)]


@given(
    rate=st.floats(0.003, 0.2),
    durations=st.tuples(st.sampled_from([3.0, 7.0]), st.sampled_from([0.0, 7.0])),
    needed=st.tuples(st.floats(0, 2.5), st.floats(0, 7)),
    limit=st.floats(0.01, 0.9),
)
def test_a_last_stage_that_goes_with_the_hand_over_is_the_earliest_of_all_programmes_of_a_grid(
    rate: float, durations: Dates, needed: Dates, limit: float
) -> None:
    """Every programme with the last stage on the day of the hand-over is tried."""
    order, grid = Order((*durations, 0.0), (0.0, 0.0, 0.0), opening=1), Grid(2.0, 7.0, 92.0)
    checks = conditions(rate, order.durations, needed, limit)
    good = [dates for dates in programmes(order, grid) if dates[2] == dates[3] and all_hold(checks, dates)]

    found = search(order, grid, checks)

    if isinstance(found, Stuck):
        assert good == []
    else:
        assert tuple(one.date for one in found) == tuple(min(column) for column in zip(*good, strict=True))
        assert found[2].governs == OPENING


def test_stages_that_go_with_the_hand_over_follow_one_another_up_to_it() -> None:
    order = Order((14.0, 0.0, 0.0), (0.0, 0.0, 0.0), opening=2)

    found = search(order, Grid(0.0, 1.0, 90.0), lambda _place: [])

    assert not isinstance(found, Stuck)
    assert [(one.date, one.governs) for one in found] == [(0, FIRST), (14, OPENING), (15, OPENING), (15, ORDER)]


def test_no_hand_over_is_named_with_the_dates_that_go_with_it() -> None:
    order, grid = Order((14.0, 0.0, 0.0), (0.0, 0.0, 0.0), opening=2), Grid(0.0, 1.0, 90.0)
    never = Condition("residual", "Residual settlement", 2.0, 1.0, most=True)
    asked: list[Dates] = []

    def check(dates: Dates) -> Condition:
        asked.append(dates)
        return never

    found = search(order, grid, lambda place: [check] * (place == 3))
    early = search(order, Grid(0.0, 1.0, 10.0), lambda _place: [])
    narrow = search(order, Grid(0.0, 1.0, 14.0), lambda _place: [])

    assert isinstance(found, Stuck)
    assert (found.place, found.latest, found.condition) == (3, 90.0, never)
    assert found.dates(90.0) == (0.0, 89.0, 90.0, 90.0)
    assert asked[-1] == found.dates(90.0)
    assert isinstance(early, Stuck)
    assert early.check is None
    assert isinstance(narrow, Stuck)
    assert narrow.check is None
