"""A reader of the line with numbers, typed for a pocket calculator or set as on a page.

It knows nothing of the typesetter. Of the page it takes roots, raised whole numbers, bars, a true minus, a dot for a
product; of an exponent in small signs that it stands in brackets behind ``^``.
"""

import re
from collections.abc import Callable, Mapping
from dataclasses import dataclass
from html import unescape
from typing import Any

import numpy as np

TOKEN = re.compile(
    r"\s*(?:(?P<number>\d+(?:\.\d+)?(?:e-?\d+|·10[⁻⁰¹²³⁴-⁹]+)?)"
    r"|(?P<name>log₁₀|[a-z]+(?:10)?)|(?P<raised>[⁻⁰¹²³⁴-⁹]+)|(?P<sign>.))"
)
LOWERED = str.maketrans("⁻⁰¹²³⁴⁵⁶⁷⁸⁹", "-0123456789")
SIGNS = {"−": "-", "·": "*"}
RELATIONS = ("<", "≤", ">", "≥")
FUNCTIONS: dict[str, tuple[int, Callable[..., Any]]] = {
    "sqrt": (1, np.sqrt),
    "exp": (1, np.exp),
    "ln": (1, np.log),
    "log10": (1, np.log10),
    "sin": (1, np.sin),
    "cos": (1, np.cos),
    "tan": (1, np.tan),
    "arcsin": (1, np.arcsin),
    "arctan": (1, np.arctan),
    "abs": (1, np.abs),
    "min": (2, np.minimum),
    "max": (2, np.maximum),
}
NAMES = {**{name: name for name in FUNCTIONS}, "log₁₀": "log10"}


class LineError(ValueError):
    """A line that a calculator would not take."""


@dataclass(frozen=True)
class Item:
    """One operation of the line: a number as typed, a sign or a function, with what it works on."""

    sign: str
    parts: tuple["Item", ...] = ()
    text: str = ""


@dataclass(frozen=True)
class Line:
    """The conditions printed before ``so``, and the expression."""

    conditions: tuple[Item, ...]
    expression: Item


def read_line(text: str) -> Line:
    """The line as operations: ``13.3 > 5, so 2000 / 0.41^2`` has one condition."""
    before, so, after = text.rpartition(", so ")
    conditions = [_Reader(part).comparison() for part in before.split("; ")] if so else []
    return Line(tuple(conditions), _Reader(after).expression())


class _Reader:
    def __init__(self, text: str) -> None:
        self.tokens = [match.groups("") for match in TOKEN.finditer(text.rstrip())]
        self.signs = [SIGNS.get(sign, sign) for *_, sign in self.tokens] + [""]
        self.text = text
        self.at = 0

    def comparison(self) -> Item:
        left = self._sum()
        sign = self._sign()
        if sign not in RELATIONS:
            raise self._error()
        self.at += 1
        return Item(sign, (left, self._end(self._sum())))

    def expression(self) -> Item:
        return self._end(self._sum())

    def _end(self, item: Item) -> Item:
        if self.at != len(self.tokens):
            raise self._error()
        return item

    def _error(self) -> LineError:
        return LineError(f"not understood from part {self.at + 1} on: {self.text}")

    def _sign(self) -> str:
        return self.signs[self.at]

    def _raised(self) -> Item | None:
        """A raised whole number, where one stands."""
        if self.at >= len(self.tokens) or not self.tokens[self.at][2]:
            return None
        raised = self.tokens[self.at][2].translate(LOWERED)
        self.at += 1
        if not re.fullmatch(r"-?\d+", raised):
            raise self._error()
        number = Item("number", text=raised.removeprefix("-"))
        return Item("neg", (number,)) if raised.startswith("-") else number

    def _takes(self, sign: str) -> bool:
        found = self.signs[self.at] == sign
        self.at += found
        return found

    def _sum(self) -> Item:
        item = Item("neg", (self._product(),)) if self._takes("-") else self._product()
        while (sign := self._sign()) and sign in "+-":
            self.at += 1
            item = Item(sign, (item, self._product()))
        return item

    def _product(self) -> Item:
        item = self._power()
        while (sign := self._sign()) and sign in "*/":
            self.at += 1
            item = Item(sign, (item, self._power()))
        return item

    def _power(self) -> Item:
        root = self._sign() == "√"
        base = self._atom()
        exponent = self._raised()
        if exponent is None and self._takes("^"):
            exponent = self._atom()
        if exponent is None:
            return base
        # Calculators do not agree on which of two exponents comes first, nor readers on root or exponent.
        if root or self._sign() == "^" or self._raised():
            raise self._error()
        return Item("^", (base, exponent))

    def _atom(self) -> Item:
        if self.at >= len(self.tokens):
            raise self._error()
        number, name, _, _ = self.tokens[self.at]
        sign = self._sign()
        self.at += 1
        if number:
            digits, ten, exponent = number.partition("·10")
            item = Item("number", text=f"{digits}e{exponent.translate(LOWERED)}" if ten else digits)
            return Item("°", (item,)) if self._takes("°") else item
        if name in NAMES:
            return self._function(NAMES[name])
        match sign:
            case "π":
                return Item("π")
            case "√" if self._sign() == "(" or self._at_number() or self._sign() == "π":
                return Item("sqrt", (self._atom(),))
            case "|":
                return Item("abs", (self._closed("|"),))
            case "(":
                return self._closed(")")
        raise self._error()

    def _at_number(self) -> bool:
        return self.at < len(self.tokens) and bool(self.tokens[self.at][0])

    def _closed(self, sign: str) -> Item:
        """A sum up to a sign that closes it."""
        item = self._sum()
        if not self._takes(sign):
            raise self._error()
        return item

    def _function(self, name: str) -> Item:
        exponent = self._raised() if name in {"sin", "cos", "tan"} else None
        if exponent is not None and exponent.sign == "neg":  # reads as the inverse function
            raise self._error()
        item = self._called(name)
        return Item("^", (item, exponent)) if exponent else item

    def _called(self, name: str) -> Item:
        if not self._takes("("):
            raise self._error()
        parts = [self._sum()]
        while self._takes(","):
            parts.append(self._sum())
        if not self._takes(")") or len(parts) != FUNCTIONS[name][0]:
            raise self._error()
        return Item(name, tuple(parts))


ARITHMETIC: Mapping[str, Callable[..., Any]] = {
    "+": np.add,
    "-": np.subtract,
    "*": np.multiply,
    "/": np.divide,
    "^": np.power,
    "neg": np.negative,
    "°": np.radians,
    "<": np.less,
    "≤": np.less_equal,
    ">": np.greater,
    "≥": np.greater_equal,
    **{name: function for name, (_, function) in FUNCTIONS.items()},
}


def calculate(item: Item) -> Any:
    """The value of the operations, with numpy's own meaning of a value that is not finite."""
    if item.sign == "number":
        return np.float64(item.text)
    if item.sign == "π":
        return np.float64(3.141592653589793)
    return ARITHMETIC[item.sign](*(calculate(part) for part in item.parts))


def calculated(text: str) -> float:
    """The value of a line whose conditions hold."""
    line = read_line(text)
    with np.errstate(all="ignore"):
        broken = [condition for condition in line.conditions if not calculate(condition)]
        if broken:
            message = f"a printed condition does not hold: {text}"
            raise LineError(message)
        return float(calculate(line.expression))


def seen_text(markup: str) -> str:
    """A line of a page with its small raised signs as this reader takes them."""
    return unescape(markup.replace("<sup>", "^(").replace("</sup>", ")"))
