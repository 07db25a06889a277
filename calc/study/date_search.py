"""Earliest dates, stage by stage: the shortest programme of stages whose conditions only gain by waiting.

Dates lie on full steps from the start of the first stage. A check of a date depends on this date and on those before
it. Two laws are asked of it: waiting longer never spoils it, and neither does an earlier date of a stage before.

Then the earliest dates found one after the other are the earliest of all programmes, date by date. Let s be any
programme that satisfies everything and e the one found here, with e_j ≤ s_j for all j before k. The checks of date k
hold at s_k after s_1 … s_(k−1), so by the second law they hold at s_k after e_1 … e_(k−1), and s_k is not before the
earliest date that order and waits leave after e_(k−1). As e_k is the least step at which all this holds, e_k ≤ s_k.
So no programme hands over earlier, and by the first law e_k is found by halving.
"""

from collections.abc import Callable, Sequence
from dataclasses import dataclass
from functools import cache
from math import ceil, floor, inf

Dates = tuple[float, ...]
ORDER, WAIT, FIRST, OPENING = "stage before it", "least wait", "first stage", "hand-over"
# Dates are sums of typed durations: a millionth of a step is not a step.
ROUNDING = 1e-6
DECIMALS = 9
PARTS = 8


@dataclass(frozen=True, slots=True)
class Condition:
    """What is asked at a date and what is there, both in the unit shown; ``most`` where it is an upper limit.

    ``low`` is what is there with c_h at the lower end of its range, where that is not what is searched with.
    """

    kind: str
    title: str
    reached: float
    needed: float
    unit: str = ""
    decimals: int = 2
    most: bool = False
    low: float | None = None

    @property
    def margin(self) -> float:
        """What is there beyond what is asked for; negative where it falls short."""
        return self.needed - self.reached if self.most else self.reached - self.needed

    @property
    def holds(self) -> bool:
        """Whether the condition is met."""
        return self.margin >= 0


Check = Callable[[Dates], Condition]
"""The condition at the last of the dates, after those before it (day)."""


@dataclass(frozen=True, slots=True)
class Order:
    """How the dates follow one another: the time each stage takes, and the least wait after it (day).

    The date after the last stage is the hand-over. The last stage starts on ``last_from`` at the earliest (day);
    ``why`` says what that is for. The last ``opening`` stages go with the hand-over: the last of them starts on its
    day, those before follow one another up to it.
    """

    durations: Dates
    waits: Dates
    last_from: float = -inf
    why: str = ""
    opening: int = 0


@dataclass(frozen=True, slots=True)
class Grid:
    """Dates that can be: full steps from the first start (day) up to the latest date (day)."""

    first: float
    step: float
    latest: float

    @property
    def last(self) -> int:
        """Number of the latest step."""
        return floor((self.latest - self.first) / self.step + ROUNDING)

    def number(self, date: float) -> int:
        """Number of the first step that is not before a date."""
        return ceil((date - self.first) / self.step - ROUNDING)

    def date(self, number: int) -> float:
        """The date of a step, as it would be typed."""
        return round(self.first + number * self.step, DECIMALS)


@dataclass(frozen=True, slots=True)
class Dated:
    """A date found: what keeps it from being a step earlier, and its conditions there."""

    date: float
    earliest: float
    governs: str
    conditions: tuple[Condition, ...]


@dataclass(frozen=True, slots=True)
class Stuck:
    """The place whose check holds at no date up to the latest, the dates before it, and the condition at the latest.

    Without a condition the stages before leave no room before the latest date. ``opening`` gives the dates that go with
    a hand-over (day): the check is one of them.
    """

    place: int
    stage_dates: tuple[Dated, ...]
    latest: float
    check: Check | None = None
    condition: Condition | None = None
    opening: Callable[[float], Dates] | None = None

    def dates(self, date: float) -> Dates:
        """The dates before the place and one for it; where it goes with the hand-over, that is what ``date`` is of."""
        before = tuple(stage_date.date for stage_date in self.stage_dates)
        return (*before, date) if self.opening is None else (*before, *self.opening(date))[: self.place + 1]


def earliest_dates(order: Order, grid: Grid, checks: Callable[[int], Sequence[Check]]) -> tuple[Dated, ...] | Stuck:
    """The earliest dates of all stages and of the hand-over, or the first place that has none.

    ``checks`` gives what has to hold at a place, the cheap ones first: 0 is the first stage, whose start is given, and
    the number of stages is the hand-over.
    """
    stage_dates: list[Dated] = []
    low, governs = 0, FIRST
    for place in range(len(order.durations) - order.opening + (order.opening == 0)):
        if place:
            low, governs = _first_step(order, grid, stage_dates[-1].date, place)
        before = tuple(stage_date.date for stage_date in stage_dates)
        if low > grid.last:
            return Stuck(place, tuple(stage_dates), grid.latest)
        number, latest = low, grid.last if place else 0
        for check in checks(place):
            least = first_holding(number, latest, _at(check, before, grid))
            if least is None:
                at = (*before, grid.date(latest))
                return Stuck(place, tuple(stage_dates), at[-1], check, check(at))
            if least > number:
                number, governs = least, check((*before, grid.date(least))).kind
        dates = (*before, grid.date(number))
        stage_dates.append(Dated(dates[-1], grid.date(low), governs, tuple(check(dates) for check in checks(place))))
    return _with_hand_over(order, grid, checks, tuple(stage_dates)) if order.opening else tuple(stage_dates)


def _with_hand_over(
    order: Order, grid: Grid, checks: Callable[[int], Sequence[Check]], stage_dates: tuple[Dated, ...]
) -> tuple[Dated, ...] | Stuck:  # fmt: skip
    """The dates found and those that go with the hand-over, at the earliest hand-over at which all of them hold."""
    first, count = len(stage_dates), len(order.durations)
    before = tuple(stage_date.date for stage_date in stage_dates)

    def opening(date: float) -> Dates:
        dates = [date, date]
        for place in range(count - 2, first - 1, -1):
            steps = max(1, ceil(order.durations[place] / grid.step - ROUNDING))
            dates.insert(0, round(dates[0] - steps * grid.step, DECIMALS))
        return tuple(dates)

    soonest, governs = _first_step(order, grid, stage_dates[-1].date, first)
    low = soonest + round((opening(grid.date(soonest))[-1] - opening(grid.date(soonest))[0]) / grid.step)
    if low > grid.last:
        return Stuck(first, stage_dates, grid.latest)
    number = low
    for place in range(first, count + 1):
        for check in checks(place):

            def at(number: int, check: Check = check, place: int = place) -> Condition:
                return check((*before, *opening(grid.date(number)))[: place + 1])

            least = first_holding(number, grid.last, lambda number, at=at: at(number).holds)  # type: ignore[misc]
            if least is None:
                return Stuck(place, stage_dates, grid.latest, check, at(grid.last), opening)
            if least > number:
                number, governs = least, at(least).kind
    dates = (*before, *opening(grid.date(number)))
    shift = (number - low) * grid.step
    made = [
        Dated(dates[place], round(dates[place] - shift, DECIMALS), OPENING if place < count else governs,
              tuple(check(dates[: place + 1]) for check in checks(place)))
        for place in range(first, count + 1)
    ]  # fmt: skip
    return (*stage_dates, *made)


def _at(check: Check, before: Dates, grid: Grid) -> Callable[[int], bool]:
    """Whether a check holds at a step after the dates before."""
    return lambda number: check((*before, grid.date(number))).holds


def _first_step(order: Order, grid: Grid, before: float, place: int) -> tuple[int, str]:
    """The first step that order and waits allow, and which of them it is."""
    end = before + order.durations[place - 1]
    waited = grid.number(end + order.waits[place - 1])
    # Two stages never start on one day; the hand-over may be on the day of the last.
    ordered = max(grid.number(end), grid.number(before) + (place < len(order.durations)))
    soonest, governs = max(waited, ordered), WAIT if waited > ordered else ORDER
    if place == len(order.durations) - 1 and order.last_from > grid.date(soonest):
        return grid.number(order.last_from), order.why
    return soonest, governs


def first_holding(low: int, high: int, holds: Callable[[int], bool]) -> int | None:
    """The least number from ``low`` to ``high`` that holds, by halving; None where not even the highest does.

    Once it holds it must hold for every higher number.
    """
    if holds(low):
        return low
    if high <= low or not holds(high):
        return None
    while high - low > 1:
        middle = (low + high) // 2
        low, high = (low, middle) if holds(middle) else (middle, high)
    return high


def least_number(value: Callable[[int], float], low: int, high: int) -> int:
    """The number from ``low`` to ``high`` with the least value, of one that falls and then rises.

    Eight parts at first, then smaller ones on both sides of the least.
    """
    known = cache(value)
    step = max(1, (high - low) // PARTS)
    best: int = min((*range(low, high + 1, step), high), key=known)
    while step > 1:
        step = (step + 1) // 2
        best = min((max(low, best - step), best, min(high, best + step)), key=known)
    return best
