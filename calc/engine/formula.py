"""Formulas: numpy functions whose own source is the printed equation.

A formula is a docstring of one sentence and one ``return``. Its syntax tree is read once at import and refused there
when it leaves the closed grammar of :mod:`calc.engine.typeset` or uses a symbol that the nomenclature does not know.
"""

import ast
from collections.abc import Callable
from dataclasses import dataclass
from functools import cached_property
from hashlib import sha256
from inspect import getsource
from textwrap import dedent
from typing import Any, Literal

import numpy as np

from calc.engine.symbols import NomenclatureError, symbol
from calc.engine.typeset import SUM_AXES, Node, kinds_in, names_in, parse, plain

# inspected: seen in the source that is cited; confirmed: seen in a second document, which is cited with it;
# not inspected: seen in neither, to be confirmed by whoever relies on it.
Evidence = Literal["inspected", "confirmed", "not inspected", "derived"]

EVIDENCE_MARKS = {"inspected": "", "confirmed": "◐", "not inspected": "◦", "derived": "◇"}


class FormulaError(ArithmeticError):
    """A formula that cannot be printed, or that gave no finite number."""


@dataclass(frozen=True)
class Source:
    """Where an equation or a value comes from, and how it was known to this project."""

    citation: str
    evidence: Evidence

    @property
    def mark(self) -> str:
        """The margin mark of the evidence."""
        return EVIDENCE_MARKS[self.evidence]


def over_layers(x: Any) -> Any:
    """Sum over the layer axis, which is always the last; the axis stays with length 1."""
    return np.sum(x, axis=-1, keepdims=True)


def over_readings(x: Any) -> Any:
    """Sum over the axis of readings, the last one where it stands; the axis stays with length 1."""
    return np.sum(x, axis=-1, keepdims=True)


def over_strips(x: Any) -> Any:
    """Sum over the axis of load strips, the last one where it stands; the axis stays with length 1."""
    return np.sum(x, axis=-1, keepdims=True)


def over_layers_above(x: Any) -> Any:
    """Sum over all layers above each layer, itself excluded; the layer axis is always the last."""
    through = np.roll(np.cumsum(x, axis=-1), 1, axis=-1)
    # Shifted and not a difference: a heavy layer would wipe out the digits of those above it.
    return np.where(np.arange(np.shape(x)[-1]) > 0, through, 0)


@dataclass(frozen=True, eq=False)
class Formula:
    """One printed equation: result symbol, arguments, source, and the function that is evaluated."""

    symbol: str
    function: Callable[..., Any]
    arguments: tuple[str, ...]
    tree: Node
    title: str
    source: Source
    clause: str

    def __call__(self, *positional: Any, **named: Any) -> Any:
        """Evaluate with plain arrays in coherent units; branches of a ``where`` not taken raise no warning."""
        with np.errstate(all="ignore"):
            return self.function(*positional, **named)

    def __str__(self) -> str:
        """The name under which the formula is known to records and tests."""
        return self.id

    @cached_property
    def id(self) -> str:
        """Module and function, for records."""
        return f"{self.function.__module__.rpartition('.')[2]}.{self.function.__name__}"

    @cached_property
    def summed_axes(self) -> tuple[str, ...]:
        """Axes of which its sums run over one; empty where it has no sum."""
        return next((SUM_AXES[kind] for kind in kinds_in(self.tree) if kind in SUM_AXES), ())

    @cached_property
    def hash(self) -> str:
        """Fingerprint of the equation: changes when the evaluated expression changes."""
        return sha256(f"{self.symbol} = {plain(self.tree)}".encode()).hexdigest()[:16]


REGISTRY: list[Formula] = []


def formula(result: str, *, source: Source, clause: str = "") -> Callable[[Callable[..., Any]], Formula]:
    """Register the decorated function as the equation of the symbol ``result``.

    ``clause`` is the number of the equation or clause in the source, printed in the margin.
    """

    def register(function: Callable[..., Any]) -> Formula:
        definition = _definition(function)
        arguments = tuple(argument.arg for argument in definition.args.args)
        tree = parse(_returned_expression(definition), arguments, definition.name)
        _refuse_symbols(definition.name, result, arguments, tree)
        title = (function.__doc__ or "").strip().splitlines()[0].rstrip(".")
        made = Formula(result, function, arguments, tree, title, source, clause)
        REGISTRY.append(made)
        return made

    return register


def _definition(function: Callable[..., Any]) -> ast.FunctionDef:
    """The function as it is written; what would make it compute something else than it prints is refused."""
    definition = ast.parse(dedent(getsource(function))).body[0]
    if not isinstance(definition, ast.FunctionDef):
        message = f"{function.__name__} is not a function"
        raise FormulaError(message)
    if len(definition.decorator_list) > 1:
        message = f"{definition.name} has a second decorator, which could change what is computed"
        raise FormulaError(message)
    arguments = definition.args
    if arguments.posonlyargs or arguments.kwonlyargs or arguments.vararg or arguments.kwarg or arguments.defaults:
        message = f"{definition.name} must have plain arguments without defaults"
        raise FormulaError(message)
    return definition


def _refuse_symbols(name: str, result: str, arguments: tuple[str, ...], tree: Node) -> None:
    try:
        for letter in (result, *arguments):
            symbol(letter)
    except NomenclatureError as error:
        message = f"{name}: {error}"
        raise FormulaError(message) from None
    unused = set(arguments) - names_in(tree)
    if unused:
        message = f"{name} does not use its arguments {sorted(unused)}"
        raise FormulaError(message)
    if result in arguments:
        message = f"{name} takes its own result {result!r} as an argument"
        raise FormulaError(message)


def _returned_expression(definition: ast.FunctionDef) -> ast.expr:
    """The one returned expression; a docstring before it is required and nothing else is allowed."""
    body = definition.body
    has_docstring = (
        isinstance(body[0], ast.Expr)
        and isinstance(body[0].value, ast.Constant)
        and isinstance(body[0].value.value, str)
    )
    returned = body[-1]
    if not has_docstring or len(body) != 2 or not isinstance(returned, ast.Return) or returned.value is None:
        message = f"{definition.name} must be a docstring and one return"
        raise FormulaError(message)
    return returned.value
