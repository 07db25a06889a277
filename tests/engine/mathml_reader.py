"""A second reader of the printed equation: evaluates the MathML on the page, knowing nothing of the typesetter.

It reads only what a person sees: fractions, scripts, roots, brackets, a thin space or a dot for a product, a brace with
cases, sums over layers. Symbols are known by their printed form. Whatever it does not know, it refuses.
"""

from collections.abc import Callable, Mapping
from typing import Any
from xml.etree.ElementTree import Element, fromstring

import numpy as np

Values = Mapping[str, Any]

NAMESPACE = "{http://www.w3.org/1998/Math/MathML}"
FUNCTIONS: dict[str, Callable[..., Any]] = {
    "exp": np.exp,
    "ln": np.log,
    "sin": np.sin,
    "cos": np.cos,
    "tan": np.tan,
    "arcsin": np.arcsin,
    "arctan": np.arctan,
    "min": np.minimum,
    "max": np.maximum,
}
RELATIONS: dict[str, Callable[..., Any]] = {"<": np.less, "≤": np.less_equal, ">": np.greater, "≥": np.greater_equal}


class ReadingError(ValueError):
    """A print that this reader cannot understand."""


def printed_key(printed: str) -> str:
    """The printed form of the nomenclature without its braces: ``K^*_{0,s}`` is seen as ``K^*_0,s``."""
    return printed.replace("{", "").replace("}", "")


def read_equation(mathml: str, values: Values) -> tuple[str, Any]:
    """The symbol left of the equals sign, and the value of what stands right of it.

    ``values`` maps printed forms to numbers or arrays; the layer axis is the last one.
    """
    left, equals, *right = fromstring(mathml)  # noqa: S314 - the text is our own
    if kind(equals) != "mo" or equals.text != "=":
        message = "an equation is one symbol, an equals sign and the rest"
        raise ReadingError(message)
    return symbol_key(left), Row(right, values).whole()


def kind(element: Element) -> str:
    return element.tag.removeprefix(NAMESPACE)


def symbol_key(element: Element) -> str:
    """The symbol as it is seen: base, star after ``^``, index after ``_``."""
    texts = [part.text or "" for part in element]
    match kind(element), [kind(part) for part in element]:
        case "mi", []:
            return element.text or ""
        case "msub", ["mi", "mi"]:
            return f"{texts[0]}_{texts[1]}"
        case "msup", ["mi", "mo"]:
            return f"{texts[0]}^{texts[1]}"
        case "msubsup", ["mi", "mi", "mo"]:
            return f"{texts[0]}^{texts[2]}_{texts[1]}"
    message = f"not a symbol: {kind(element)} of {[kind(part) for part in element]}"
    raise ReadingError(message)


def is_sign(element: Element, text: str) -> bool:
    return kind(element) == "mo" and element.text == text


def bracketed(element: Element, opening: str, closing: str) -> list[Element] | None:
    """What stands between the brackets of a row, or None where the row has no such brackets."""
    parts = list(element)
    if kind(element) == "mrow" and len(parts) > 2 and is_sign(parts[0], opening) and is_sign(parts[-1], closing):
        return parts[1:-1]
    return None


class Row:
    """One horizontal row of signs, read from left to right."""

    def __init__(self, parts: list[Element], values: Values) -> None:
        self.parts = parts
        self.values = values
        self.at = 0

    def whole(self) -> Any:
        value = self.sum()
        if self.at != len(self.parts):
            message = f"not understood: {kind(self.parts[self.at])} {self.parts[self.at].text!r}"
            raise ReadingError(message)
        return value

    def sees(self, text: str) -> bool:
        return self.at < len(self.parts) and is_sign(self.parts[self.at], text)

    def takes(self, text: str) -> bool:
        found = self.sees(text)
        self.at += found
        return found

    def sum(self) -> Any:
        value = -self.product() if self.takes("−") else self.product()
        while True:
            if self.takes("+"):
                value = value + self.product()
            elif self.takes("−"):
                value = value - self.product()
            else:
                return value

    def product(self) -> Any:
        value = self.factor()
        while self.sees("·") or self.has_space():
            self.at += 1
            if self.takes("/"):
                return value / self.divisor()
            value = value * self.factor()
        return value

    def has_space(self) -> bool:
        return self.at < len(self.parts) and kind(self.parts[self.at]) == "mspace"

    def divisor(self) -> Any:
        """What stands behind a solidus: one factor, so that nobody asks what is below it."""
        self.at += self.has_space()
        value = self.factor()
        if self.sees("·") or self.has_space():
            message = "a product behind a solidus, which may be read as below it"
            raise ReadingError(message)
        return value

    def factor(self) -> Any:
        if self.at >= len(self.parts):
            message = "the row ends where an operand must stand"
            raise ReadingError(message)
        element = self.parts[self.at]
        self.at += 1
        if kind(element) == "munder":
            return self.layer_sum(element)
        name = function_name(element)
        if name is not None:
            return self.function(element, name)
        return atom(element, self.values)

    def layer_sum(self, element: Element) -> Any:
        """A sum sign takes the whole product behind it."""
        sign, words = element
        operand = np.asarray(self.product())
        if not is_sign(sign, "∑"):
            message = "an unknown sign with words below"
            raise ReadingError(message)
        if words.text in {"layers", "readings", "strips"}:
            return operand.sum(axis=-1, keepdims=True)
        if words.text == "layers above":
            above = [operand[..., :k].sum(axis=-1) for k in range(operand.shape[-1])]
            return np.stack(above, axis=-1)
        message = f"a sum over {words.text!r}"
        raise ReadingError(message)

    def function(self, element: Element, name: str) -> Any:
        """A function name with its arguments in the brackets behind it; an exponent may stand at the name."""
        behind = self.parts[self.at] if self.at < len(self.parts) else element
        self.at += 1
        inner = bracketed(behind, "(", ")")
        if inner is None:
            message = f"{name} without brackets"
            raise ReadingError(message)
        given = [Row(part, self.values).whole() for part in split_at_commas(inner)]
        if name == "log10":
            return np.log10(*given)
        value = FUNCTIONS[name](*given)
        if kind(element) != "msup":
            return value
        exponent = element[1]
        if not (kind(exponent) == "mrow" and [kind(part) for part in exponent] == ["mn"]):
            message = f"{name} with an exponent that may be read as its inverse"
            raise ReadingError(message)
        return value ** atom(exponent, self.values)


def function_name(element: Element) -> str | None:
    """The function that an element names: sin, sin with an exponent, or log with its base."""
    parts = list(element)
    if kind(element) == "mi":
        return element.text if element.text in FUNCTIONS else None
    if kind(element) == "msub" and parts[0].text == "log" and kind(parts[1]) == "mn" and parts[1].text == "10":
        return "log10"
    if kind(element) == "msup" and kind(parts[0]) == "mi" and parts[0].text in FUNCTIONS:
        return parts[0].text
    return None


def split_at_commas(parts: list[Element]) -> list[list[Element]]:
    rows: list[list[Element]] = [[]]
    for part in parts:
        if is_sign(part, ","):
            rows.append([])
        else:
            rows[-1].append(part)
    return rows


def atom(element: Element, values: Values) -> Any:
    """The value of one element that stands for itself."""
    parts = list(element)
    match kind(element):
        case "mn":
            return float(element.text or "")
        case "mfrac":
            return atom(parts[0], values) / atom(parts[1], values)
        case "msqrt":
            return np.sqrt(Row(parts, values).whole())
        case "msup" if kind(parts[1]) != "mo":
            return atom(parts[0], values) ** atom(parts[1], values)
        case "mrow":
            return row(element, values)
    return leaf(symbol_key(element), values)


def leaf(key: str, values: Values) -> Any:
    """The number that a symbol stands for."""
    if key == "π":
        return 3.141592653589793
    if key not in values:
        message = f"the symbol {key!r} has no value"
        raise ReadingError(message)
    return values[key]


def row(element: Element, values: Values) -> Any:
    """A row: in brackets, between bars, behind a brace, or without a sign around it."""
    inside = bracketed(element, "(", ")")
    if inside is not None:
        return Row(inside, values).whole()
    inside = bracketed(element, "|", "|")
    if inside is not None:
        return np.abs(Row(inside, values).whole())
    parts = list(element)
    if parts and is_sign(parts[0], "{"):
        return cases(parts, values)
    return Row(parts, values).whole()


def cases(parts: list[Element], values: Values) -> Any:
    """A brace of lines: values, each with its condition, and the last one otherwise; the first that holds counts."""
    _, table = parts
    *lines, (no, otherwise) = table
    if [part.text for part in otherwise] != ["otherwise"]:
        message = "the last line of a brace must say otherwise"
        raise ReadingError(message)
    value = Row(list(no), values).whole()
    for yes, (word, *condition) in reversed(lines):
        if word.text != "if ":
            message = "the lines of a brace before the last must say if"
            raise ReadingError(message)
        at = next(k for k, part in enumerate(condition) if kind(part) == "mo" and part.text in RELATIONS)
        relation = RELATIONS[condition[at].text or ""]
        holds = relation(Row(condition[:at], values).whole(), Row(condition[at + 1 :], values).whole())
        value = np.where(holds, Row(list(yes), values).whole(), value)
    return value
