"""A reader of the line with numbers, as a pocket calculator would take it; it knows nothing of the typesetter."""

import re
from collections.abc import Callable, Mapping
from dataclasses import dataclass
from typing import Any

import numpy as np

TOKEN = re.compile(r"\s*(?:(\d+(?:\.\d+)?(?:e-?\d+)?)|([a-z]+(?:10)?)|(.))")
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
        self.tokens = [match.groups() for match in TOKEN.finditer(text.rstrip())]
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
        return (self.tokens[self.at][2] or "") if self.at < len(self.tokens) else ""

    def _takes(self, sign: str) -> bool:
        found = self._sign() == sign
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
        base = self._atom()
        if not self._takes("^"):
            return base
        power = Item("^", (base, self._atom()))
        if self._sign() == "^":  # calculators do not agree on which of the two comes first
            raise self._error()
        return power

    def _atom(self) -> Item:
        if self.at >= len(self.tokens):
            raise self._error()
        number, name, sign = self.tokens[self.at]
        self.at += 1
        if number:
            item = Item("number", text=number)
            return Item("°", (item,)) if self._takes("°") else item
        if name in FUNCTIONS:
            return self._function(name)
        if sign == "π":
            return Item("π")
        if sign == "(":
            item = self._sum()
            if self._takes(")"):
                return item
        raise self._error()

    def _function(self, name: str) -> Item:
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
