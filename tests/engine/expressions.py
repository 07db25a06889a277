"""Random expressions of the grammar as Python source, their value by Python itself, and their printed lines."""

import ast
import math
from collections.abc import Callable, Mapping
from functools import lru_cache
from random import Random
from types import CodeType
from typing import Any

import numpy as np

import calc.formulas  # noqa: F401 - declares the symbols
from calc.engine.formula import over_layers, over_layers_above, over_readings, over_strips
from calc.engine.typeset import Node, Numbers, parse, with_numbers
from tests.engine.mathml_reader import printed_key, read_equation

# Symbols of every printed form: bare, index, mark, mark and index, prime, and two letters.
PLAIN = ("a_x", "d_c", "K_star", "p_m", "phi_s", "Dsigma_0", "F_GQ", "RF_CR")
LAYERED = ("h", "w", "s_i", "nu_s")
NAMES = (*PLAIN, *LAYERED)
ONE_ARGUMENT = ("sqrt", "exp", "log", "log10", "sin", "cos", "tan", "arcsin", "arctan", "absolute")
TWO_ARGUMENTS = ("minimum", "maximum")
OPERATORS = ("+", "-", "*", "/", "**")
NUMPY: dict[str, Any] = {
    **{name: getattr(np, name) for name in (*ONE_ARGUMENT, *TWO_ARGUMENTS, "where")},
    "pi": math.pi,
    "over_layers": over_layers,
    "over_layers_above": over_layers_above,
    "over_readings": over_readings,
    "over_strips": over_strips,
}
LAYER_COUNT = 3
CHOICES = {
    "operator": OPERATORS,
    "function": ONE_ARGUMENT,
    "choice": TWO_ARGUMENTS,
    "relation": ("<", "<=", ">", ">="),
    "total": ("over_layers", "over_layers_above", "over_readings"),
    "layered": LAYERED,
}


def written(random: Random, depth: int) -> str:
    """An expression as Python source; a condition holds no further condition and no sum."""
    forms = {
        "{leaf}": 8,
        "({one}) {operator} ({other})": 58,
        "-({one})": 8,
        "{function}({one})": 10,
        "{choice}({one}, {other})": 4,
        "where({left} {relation} {right}, {one}, {other})": 6,
        "{total}({layered} * ({one}))": 6,
    }
    (form,) = random.choices(list(forms), list(forms.values()))
    return leaf(random) if depth == 0 else form.format_map(Parts(random, depth))


class Parts(dict[str, str]):
    """The parts of a form, each written when the form asks for it."""

    def __init__(self, random: Random, depth: int) -> None:
        super().__init__()
        self.random = random
        self.depth = depth

    def __missing__(self, part: str) -> str:
        if part in {"one", "other"}:
            return written(self.random, self.depth - 1)
        if part in {"left", "right"}:
            return side(self.random)
        return leaf(self.random) if part == "leaf" else self.random.choice(CHOICES[part])


def side(random: Random) -> str:
    """A side of a condition: arithmetic of leaves, perhaps a function of them."""
    inner = f"({leaf(random)}) {random.choice(OPERATORS[:4])} ({leaf(random)})"
    return random.choice((leaf(random), inner, f"-({inner})", f"tan({leaf(random)})"))


def leaf(random: Random) -> str:
    return random.choice((*NAMES, *NAMES, "2", "0.5", "3", "pi"))


def tree_of(source: str) -> Node:
    """The expression as the engine reads it."""
    return parse(ast.parse(source, mode="eval").body, NAMES, "random")


def python_value(source: str, values: Mapping[str, Any]) -> Any:
    """The value by Python and numpy, straight from the source."""
    with np.errstate(all="ignore"):
        return eval(_compiled(source), {"__builtins__": {}}, {**NUMPY, **values})  # noqa: S307 - of `written` above


@lru_cache(maxsize=64)
def _compiled(source: str) -> CodeType:
    return compile(source, "<written>", "eval")


def drawn_values(random: Random, count: int) -> dict[str, Any]:
    """Arrays (count, 1), and (count, layers) for the layered symbols; about one in six numbers is negative."""

    def number() -> float:
        return round(random.uniform(0.2, 2.0), 3) * random.choice((1, 1, 1, 1, 1, -1))

    sizes = {name: LAYER_COUNT if name in LAYERED else 1 for name in NAMES}
    return {name: np.array([[number() for _ in range(size)] for _ in range(count)]) for name, size in sizes.items()}


def seen(values: Mapping[str, Any]) -> dict[str, Any]:
    """The values by the printed form of their symbols."""
    from calc.engine.symbols import symbol

    return {printed_key(symbol(name).printed): array for name, array in values.items()}


def mathml_value(mathml: str, values: Mapping[str, Any]) -> Any:
    """The value of the printed equation by the second reader."""
    with np.errstate(all="ignore"):
        return read_equation(mathml, seen(values))[1]


def line_at(
    source: str,
    tree: Node,
    values: Mapping[str, Any],
    row: int,
    lane: int,
    *,
    decimals: int | None = None,
    write: Callable[[Node, Numbers], str] = with_numbers,
) -> str:
    """The line with numbers of one row of the values, for one layer; with all their decimals or with a few."""

    def number(name: str, layer: int | None) -> float:
        one = values[name][row]
        return float(one[(lane if layer is None else layer) if one.size > 1 else 0])

    def text(name: str, layer: int | None) -> str:
        exact = abs(number(name, layer))
        typed = np.format_float_positional(exact, trim="-") if decimals is None else f"{exact:.{decimals}f}"
        return f"(-{typed})" if number(name, layer) < 0 else typed

    def holds(condition: Node, layer: int | None) -> bool:
        at = {name: number(name, layer) for name in NAMES}
        return bool(python_value(conditions[condition], at))

    conditions = _conditions(source)
    return write(tree, Numbers(text, holds, tuple(range(LAYER_COUNT)), tuple(range(lane))))


@lru_cache(maxsize=8192)  # the rows of an expression follow each other, and it is written in two ways
def _conditions(source: str) -> dict[Node, str]:
    return {tree_of_condition(one): one for one in conditions_of(source)}


def conditions_of(source: str) -> list[str]:
    return [ast.unparse(item) for item in ast.walk(ast.parse(source)) if isinstance(item, ast.Compare)]


def tree_of_condition(source: str) -> Node:
    return tree_of(f"where({source}, 1, 2)").children[0]
