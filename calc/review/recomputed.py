"""Whether a printed result follows from the printed numbers of its line: the text is read and evaluated, no formula is.

Every number with decimals or an exponent stands for all numbers within half a unit of its last digit, a whole number
for itself. The expression then has a lowest and a highest value, and the printed result has to meet them.
"""

import ast
import math
import re
from collections.abc import Callable, Mapping
from itertools import product
from typing import NamedTuple

NOISE = 1e-12  # rounding of the arithmetic itself, far below any printed digit
_NUMBER = r"\d+(?:\.\d+)?(?:e-?\d+)?"
_RESULT = re.compile(rf"(-?{_NUMBER})(?:[ °%].*)?")
_SIGNS = {"·": "*", "−": "-", "^": "**", "≤": "<=", "≥": ">=", "π": "pi"}
_LOWERED = str.maketrans("⁻⁰¹²³⁴⁵⁶⁷⁸⁹", "-0123456789")


class Range(NamedTuple):
    """All numbers from low to high."""

    low: float
    high: float

    def meets(self, other: "Range") -> bool:
        """Whether the two have a number in common."""
        room = NOISE * max(abs(end) for end in (*self, *other))
        return self.low <= other.high + room and other.low <= self.high + room


def recomputes(numbers: str, *results: tuple[str, float]) -> bool:
    """Whether a line with numbers can give each printed form of its result, and its conditions can hold.

    A result is its text, and how many units of that text make one of the coherent unit of the equation.
    False where the line is in words, or where its digits leave open whether it has a value at all.
    """
    conditions, so, expression = numbers.rpartition(", so ")
    try:
        text = _python_text(expression)
        value = _value(text.source, text.tree)
        held = all(_may_hold(_python_text(condition)) for condition in conditions.split("; ")) if so else True
        return held and bool(results) and all(value.meets(_result(*result)) for result in results)
    except (ArithmeticError, ValueError, SyntaxError, RecursionError):
        return False


class _Text(NamedTuple):
    """A text as Python reads it: the digits of its numbers are kept."""

    source: str
    tree: ast.expr


def _python_text(text: str) -> _Text:
    """The text with its signs as Python writes them; an angle in degrees becomes a function of its number."""
    text = re.sub(r"·10([⁻⁰¹²³⁴-⁹]+)", lambda match: "e" + match[1].translate(_LOWERED), text)
    text = re.sub(rf"({_NUMBER})°", r"degrees(\1)", text)
    source = "".join(_SIGNS.get(sign, sign) for sign in text).strip()
    return _Text(source, ast.parse(source, mode="eval").body)


def _interval_of_print(digits: str) -> Range:
    """What a printed number may stand for."""
    amount, _, exponent = digits.partition("e")
    decimals = len(amount.partition(".")[2])
    half = 0.5 * 10.0 ** (int(exponent or 0) - decimals) if decimals or exponent else 0.0
    return Range(float(digits) - half, float(digits) + half)


def _result(text: str, units: float) -> Range:
    """The coherent values of a printed result; one that prints without decimals is rounded, too."""
    match = _RESULT.fullmatch(text.strip())
    if match is None:
        message = f"not a printed result: {text!r}"
        raise ValueError(message)
    low, high = _interval_of_print(match[1])
    middle, half = (low + high) / 2, (high - low) / 2 or 0.5
    return Range((middle - half) / units, (middle + half) / units)


def _may_hold(text: _Text) -> bool:
    """Whether a printed condition holds for some of the numbers behind the print."""
    match text.tree:
        case ast.Compare(left=left, ops=[sign], comparators=[right]):
            left_range, right_range = _value(text.source, left), _value(text.source, right)
            return (
                left_range.low <= right_range.high
                if isinstance(sign, ast.Lt | ast.LtE)
                else left_range.high >= right_range.low
            )
    message = f"not a condition: {text.source}"
    raise ValueError(message)


def _value(source: str, item: ast.expr) -> Range:
    """The lowest and the highest value of an expression; numbers are read from the text itself."""
    match item:
        case ast.Constant():
            return _interval_of_print(ast.get_source_segment(source, item) or "")
        case ast.Name(id="pi"):
            return Range(math.pi, math.pi)
        case ast.UnaryOp(op=ast.USub(), operand=operand):
            low, high = _value(source, operand)
            return Range(-high, -low)
        case ast.BinOp(left=left, op=sign, right=right) if type(sign) in _BINARY:
            return _BINARY[type(sign)](_value(source, left), _value(source, right))
        case ast.Call(func=ast.Name(id=name), args=given, keywords=[]) if name in _FUNCTIONS:
            return _FUNCTIONS[name](*(_value(source, argument) for argument in given))
    message = f"not an operation of a calculator: {source}"
    raise ValueError(message)


def _corners(function: Callable[[float, float], float]) -> Callable[[Range, Range], Range]:
    """An operation of two numbers that is monotonic in each, whatever the other."""

    def span(left: Range, right: Range) -> Range:
        corners = [function(a, b) for a, b in product(left, right)]
        return Range(min(corners), max(corners))

    return span


def _rising(function: Callable[[float], float], low: float = -math.inf, high: float = math.inf) -> Callable[..., Range]:
    """A function that rises from `low` to `high`; an end that only rounding has put outside is drawn back."""

    def span(interval: Range) -> Range:
        if interval.high < low or interval.low > high:
            message = f"no value at {interval}"
            raise ArithmeticError(message)
        return Range(function(max(interval.low, low)), function(min(interval.high, high)))

    return span


def _quotient(dividend: Range, divisor: Range) -> Range:
    if divisor.low <= 0 <= divisor.high:
        message = f"divided by {divisor}"
        raise ArithmeticError(message)
    return _corners(lambda a, b: a / b)(dividend, divisor)


def _power(base: Range, exponent: Range) -> Range:
    """Corners for a positive base; a whole exponent for any other, where an even one is least at zero."""
    if base.low > 0 or (base.low == 0 and exponent.low > 0):
        return _corners(lambda a, b: a**b)(base, exponent)
    n = int(exponent.low)
    if not exponent.low == exponent.high == n or (n <= 0 <= base.high):
        message = f"{base} to the power of {exponent}"
        raise ArithmeticError(message)
    ends = [end**n for end in base]
    return Range(0.0 if n % 2 == 0 and base.high >= 0 else min(ends), max(ends))


def _cosine(interval: Range) -> Range:
    """Between the ends, and 1 or -1 where a crest or a trough lies between them."""
    ends = (math.cos(interval.low), math.cos(interval.high))
    return Range(-1.0 if _passes(interval, math.pi) else min(ends), 1.0 if _passes(interval, 0.0) else max(ends))


def _sine(interval: Range) -> Range:
    return _cosine(Range(interval.low - math.pi / 2, interval.high - math.pi / 2))


def _passes(interval: Range, first: float, period: float = 2 * math.pi) -> bool:
    """Whether an angle of a periodic row lies within a range."""
    return (
        math.floor((interval.high - first) / period) > math.floor((interval.low - first) / period)
        or interval.low == first
    )


def _tangent(interval: Range) -> Range:
    if _passes(interval, math.pi / 2, math.pi):
        message = f"the tangent of {interval}"
        raise ArithmeticError(message)
    return Range(math.tan(interval.low), math.tan(interval.high))


def _magnitude(interval: Range) -> Range:
    ends = (abs(interval.low), abs(interval.high))
    return Range(0.0 if interval.low <= 0 <= interval.high else min(ends), max(ends))


_BINARY: Mapping[type[ast.operator], Callable[[Range, Range], Range]] = {
    ast.Add: lambda a, b: Range(a.low + b.low, a.high + b.high),
    ast.Sub: lambda a, b: Range(a.low - b.high, a.high - b.low),
    ast.Mult: _corners(lambda a, b: a * b),
    ast.Div: _quotient,
    ast.Pow: _power,
}
_FUNCTIONS: Mapping[str, Callable[..., Range]] = {
    "degrees": _rising(math.radians), "sqrt": _rising(math.sqrt, low=0.0), "exp": _rising(math.exp),
    "ln": _rising(math.log), "log10": _rising(math.log10), "sin": _sine, "cos": _cosine, "tan": _tangent,
    "arcsin": _rising(math.asin, low=-1.0, high=1.0), "arctan": _rising(math.atan), "abs": _magnitude,
    "min": lambda a, b: Range(min(a.low, b.low), min(a.high, b.high)),
    "max": lambda a, b: Range(max(a.low, b.low), max(a.high, b.high)),
}  # fmt: skip
