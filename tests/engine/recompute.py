"""Does a printed line recompute to its printed result? Interval arithmetic over what the page shows.

Every number printed with decimals or an exponent stands for all numbers within half a unit of its last digit; an
integer is exact. Numbers known to be exact (typed inputs, numbers of the equation) may be named to sharpen the test.
"""

import re
from collections.abc import Callable, Collection, Mapping
from itertools import product
from math import asin, atan, cos, exp, floor, inf, log, log10, pi, radians, sqrt, tan
from typing import NamedTuple

from tests.engine.calculator import Item, LineError, read_line

NUMBER = re.compile(r"-?\d+(?:\.\d+)?(?:e-?\d+)?")
# What a result in a unit shown is multiplied by to be in the coherent one.
COHERENT = {
    "mm": 0.001,
    "mm/d": 0.001,
    "mm/s": 86.4,
    "%": 0.01,
    "years": 365.25,
    "m²/a": 1 / 365.25,
    "m/s": 86400.0,
    "1/s": 86400.0,
    "1/(cm·s)": 8640000.0,
    "mPa·s": 1 / 86400.0e6,
    "°": pi / 180,
}
# Rounding of the arithmetic itself, far below any printed digit.
NOISE = 1e-12


class Interval(NamedTuple):
    """All numbers from low to high."""

    low: float
    high: float

    def meets(self, other: "Interval") -> bool:
        room = NOISE * max(abs(end) for end in (*self, *other))
        return self.low <= other.high + room and other.low <= self.high + room


class NotDefinedError(ArithmeticError):
    """The printed digits leave open whether the operation has a value at all, such as a divisor that may be zero."""


def half_unit(text: str) -> float:
    """Half a unit of the last digit of a printed number; nothing for an integer."""
    digits, _, exponent = text.partition("e")
    decimals = len(digits.partition(".")[2])
    return 0.5 * 10.0 ** (int(exponent or 0) - decimals) if decimals or exponent else 0.0


def printed_interval(text: str, exact: Collection[str] = ()) -> Interval:
    """What a printed number may stand for."""
    half = 0.0 if text in exact else half_unit(text)
    return Interval(float(text) - half, float(text) + half)


def recomputes(numbers_line: str, result_text: str, exact: Collection[str] = ()) -> bool:
    """Whether a line with numbers can give its printed result.

    ``result_text`` is the result with its unit: ``12.34 kN/m``, ``29.256°`` or ``0.0123 m = 12.3 mm``; in the last form
    both have to fit. A line whose operations may have no value at the printed digits cannot be recomputed.
    Raises LineError for what is no line or no result.
    """
    result = result_interval(result_text)
    line = read_line(numbers_line)
    try:
        possible = all(may_hold(condition, exact) for condition in line.conditions)
        return possible and result is not None and interval_of(line.expression, exact).meets(result)
    except ArithmeticError:
        return False


def result_interval(text: str) -> Interval | None:
    """The coherent value of a printed result; None where its two forms contradict each other."""
    first, _, second = text.partition(" = ")
    value = _read_result(first)
    if not second:
        return value
    shown = _read_result(second)
    both = Interval(max(value.low, shown.low), min(value.high, shown.high))
    return both if value.meets(shown) else None


def _read_result(text: str) -> Interval:
    match = NUMBER.match(text)
    if match is None:
        message = f"not a printed result: {text!r}"
        raise LineError(message)
    number, unit = printed_interval(match[0]), text[match.end() :].strip()
    half = max(half_unit(match[0]), 0.5 * (half_unit(match[0]) == 0))  # a rounded result may print as an integer
    middle = (number.low + number.high) / 2
    factor = COHERENT.get(unit, 1.0)
    return Interval((middle - half) * factor, (middle + half) * factor)


def may_hold(condition: Item, exact: Collection[str] = ()) -> bool:
    """Whether a printed condition holds for some numbers behind the print."""
    left, right = (interval_of(part, exact) for part in condition.parts)
    if condition.sign in {"<", "≤"}:
        return left.low <= right.high
    return left.high >= right.low


def interval_of(item: Item, exact: Collection[str] = ()) -> Interval:
    """All values which the operations may have."""
    if item.sign == "number":
        return printed_interval(item.text, exact)
    if item.sign == "π":
        return Interval(pi, pi)
    return OPERATIONS[item.sign](*(interval_of(part, exact) for part in item.parts))


def corners(function: Callable[[float, float], float]) -> Callable[[Interval, Interval], Interval]:
    """An operation of two numbers which is monotonic in each, whatever the other."""

    def spanned(interval: Interval, other: Interval) -> Interval:
        found = [function(a, b) for a, b in product(interval, other)]
        return Interval(min(found), max(found))

    return spanned


def rising(
    function: Callable[[float], float], lowest: float = -inf, highest: float = inf
) -> Callable[[Interval], Interval]:
    """A function that rises; an end which only rounding has put outside of its range is drawn back."""

    def spanned(interval: Interval) -> Interval:
        if interval.high < lowest or interval.low > highest:
            message = f"{function.__name__} of {interval}"
            raise NotDefinedError(message)
        return Interval(function(max(interval.low, lowest)), function(min(interval.high, highest)))

    return spanned


def logarithm(function: Callable[[float], float]) -> Callable[[Interval], Interval]:
    def spanned(interval: Interval) -> Interval:
        if interval.low <= 0:
            message = f"the logarithm of {interval}"
            raise NotDefinedError(message)
        return Interval(function(interval.low), function(interval.high))

    return spanned


def quotient(interval: Interval, other: Interval) -> Interval:
    if other.low <= 0 <= other.high:
        message = f"divided by {other}"
        raise NotDefinedError(message)
    return corners(lambda a, b: a / b)(interval, other)


def power(base: Interval, exponent: Interval) -> Interval:
    """Corners for a positive base; a whole exponent for any other, where an even one has its least value at zero."""
    whole = exponent.low == exponent.high == floor(exponent.low)
    if base.low > 0 or (base.low == 0 and exponent.low > 0):
        return corners(lambda a, b: a**b)(base, exponent)
    if not whole or (exponent.low <= 0 and base.high >= 0):
        message = f"{base} to the power of {exponent}"
        raise NotDefinedError(message)
    n = int(exponent.low)
    ends = [end**n for end in base]
    least = 0.0 if n % 2 == 0 and base.low <= 0 <= base.high else min(ends)
    return Interval(least, max(ends))


def wave(crest: float) -> Callable[[Interval], Interval]:
    """A sine whose crest lies at an angle: sine has it at π/2, cosine at 0."""

    def spanned(interval: Interval) -> Interval:
        ends = [cos(interval.low - crest), cos(interval.high - crest)]
        high = 1.0 if _passes(interval, crest, 2 * pi) else max(ends)
        low = -1.0 if _passes(interval, crest + pi, 2 * pi) else min(ends)
        return Interval(low, high)

    return spanned


def _passes(interval: Interval, first: float, period: float) -> bool:
    """Whether an angle of a periodic row lies within the interval."""
    return floor((interval.high - first) / period) > floor((interval.low - first) / period) or interval.low == first


def tangent(interval: Interval) -> Interval:
    if _passes(interval, pi / 2, pi):
        message = f"the tangent of {interval}"
        raise NotDefinedError(message)
    return Interval(tan(interval.low), tan(interval.high))


def magnitude(interval: Interval) -> Interval:
    least = 0.0 if interval.low <= 0 <= interval.high else min(abs(interval.low), abs(interval.high))
    return Interval(least, max(abs(interval.low), abs(interval.high)))


OPERATIONS: Mapping[str, Callable[..., Interval]] = {
    "+": lambda a, b: Interval(a.low + b.low, a.high + b.high),
    "-": lambda a, b: Interval(a.low - b.high, a.high - b.low),
    "*": corners(lambda a, b: a * b),
    "/": quotient,
    "^": power,
    "neg": lambda a: Interval(-a.high, -a.low),
    "°": rising(radians),
    "sqrt": rising(sqrt, lowest=0.0),
    "exp": rising(exp),
    "ln": logarithm(log),
    "log10": logarithm(log10),
    "sin": wave(pi / 2),
    "cos": wave(0.0),
    "tan": tangent,
    "arcsin": rising(asin, lowest=-1.0, highest=1.0),
    "arctan": rising(atan),
    "abs": magnitude,
    "min": lambda a, b: Interval(min(a.low, b.low), min(a.high, b.high)),
    "max": lambda a, b: Interval(max(a.low, b.low), max(a.high, b.high)),
}
