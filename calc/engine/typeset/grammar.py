"""The closed grammar of formulas, read from the syntax tree of a Python expression.

The grammar is a whitelist. It knows numbers, declared symbols, π, ``+ - * / **``, unary minus, one comparison (as the
condition of a ``where``), a short list of functions, and sums over layers, readings or strips. All else is refused.
"""

import ast
from dataclasses import dataclass
from math import isfinite


class GrammarError(SyntaxError):
    """An expression that the grammar of printed formulas does not know."""


@dataclass(frozen=True)
class Node:
    """One node of an expression: its kind, its text (number, name, operator or function) and its children."""

    kind: str
    text: str = ""
    children: tuple["Node", ...] = ()


FUNCTIONS = {
    "sqrt": 1,
    "exp": 1,
    "log": 1,
    "log10": 1,
    "sin": 1,
    "cos": 1,
    "tan": 1,
    "arcsin": 1,
    "arctan": 1,
    "minimum": 2,
    "maximum": 2,
    "absolute": 1,
}
LAYER_SUMS = {
    "over_layers": "layers", "over_layers_above": "layers above", "over_readings": "readings", "over_strips": "strips",
}  # fmt: skip
# Whatever lies in layers is summed over alike: zones of the fill, mats, strata, sublayers below the toes and above.
LAYERED = ("zone", "mat", "stratum", "below", "layer")
SUM_AXES = {
    "over_layers": LAYERED, "over_layers_above": LAYERED, "over_readings": ("reading",), "over_strips": ("strip",),
}  # fmt: skip
PRINTED_FUNCTIONS = {"log": "ln", "log10": "log10", "minimum": "min", "maximum": "max", "absolute": "abs"}

_OPERATORS: dict[type[ast.operator], str] = {ast.Add: "+", ast.Sub: "-", ast.Mult: "*", ast.Div: "/", ast.Pow: "**"}
_COMPARISONS: dict[type[ast.cmpop], str] = {ast.Lt: "<", ast.LtE: "≤", ast.Gt: ">", ast.GtE: "≥"}
RANK = {"+": 1, "-": 1, "sum": 2, "*": 3, "/": 3, "neg": 3, "**": 4}
ATOM = 9


def parse(expression: ast.expr, arguments: tuple[str, ...], where: str) -> Node:
    """The expression as nodes of the grammar; ``where`` names the function in the error."""
    return _Parser(arguments, where).walk(expression)


@dataclass(frozen=True)
class _Parser:
    """Reads Python's syntax tree and refuses what the grammar does not know."""

    arguments: tuple[str, ...]
    where: str

    def refuse(self, item: ast.AST, why: str) -> GrammarError:
        return GrammarError(f"{self.where}: {why} at line {getattr(item, 'lineno', '?')}: {ast.unparse(item)}")

    def walk(self, item: ast.expr) -> Node:
        match item:
            case ast.Constant():
                return self.number(item)
            case ast.Name(id=name) if name in self.arguments:
                return Node("symbol", name)
            case ast.Name(id="pi"):
                return Node("pi")
            case ast.UnaryOp(op=ast.USub(), operand=operand):
                return Node("neg", "neg", (self.walk(operand),))
            case ast.BinOp(left=left, op=operator, right=right) if type(operator) in _OPERATORS:
                return Node("binary", _OPERATORS[type(operator)], (self.walk(left), self.walk(right)))
            case ast.Call(func=ast.Name(id=name), args=given, keywords=[]):
                return self.call(item, name, given)
        raise self.refuse(item, "not in the grammar")

    def number(self, item: ast.Constant) -> Node:
        value = item.value
        if isinstance(value, bool):
            raise self.refuse(item, "a truth value")
        if not isinstance(value, int | float) or not isfinite(value):
            raise self.refuse(item, "not a finite real number")
        return Node("number", repr(value))

    def call(self, item: ast.Call, name: str, arguments: list[ast.expr]) -> Node:
        if name in LAYER_SUMS and len(arguments) == 1:
            return Node(name, name, (self.walk(arguments[0]),))
        if name == "where" and len(arguments) == 3:
            return Node(
                "where", "where", (self.comparison(arguments[0]), self.walk(arguments[1]), self.walk(arguments[2]))
            )
        if FUNCTIONS.get(name) == len(arguments):
            return Node("function", name, tuple(self.walk(argument) for argument in arguments))
        raise self.refuse(item, "unknown function or wrong number of arguments")

    def comparison(self, item: ast.expr) -> Node:
        match item:
            case ast.Compare(left=left, ops=[operator], comparators=[right]) if type(operator) in _COMPARISONS:
                made = Node("comparison", _COMPARISONS[type(operator)], (self.walk(left), self.walk(right)))
                if kinds_in(made) & {"where", *LAYER_SUMS}:
                    raise self.refuse(item, "a condition holds no sum and no further condition")
                return made
        raise self.refuse(item, "the condition must be one comparison")


def kinds_in(tree: Node) -> set[str]:
    """Every kind of node in the expression."""
    return {tree.kind}.union(*(kinds_in(child) for child in tree.children))


def names_in(tree: Node) -> set[str]:
    """Every symbol the expression reads."""
    names = {tree.text} if tree.kind == "symbol" else set()
    return names.union(*(names_in(child) for child in tree.children))


def rank(tree: Node) -> int:
    """How tightly a node binds when it is written on one line."""
    if tree.kind in LAYER_SUMS:
        return RANK["sum"]
    return RANK.get(tree.text, ATOM) if tree.kind in {"binary", "neg"} else ATOM


def needs_brackets(parent: str, child: Node, *, right: bool) -> bool:
    """Whether an operand needs brackets under its operator when written on one line."""
    inner, outer = rank(child), RANK[parent]
    if parent == "**":
        return inner < ATOM
    if child.kind == "neg":
        return right or outer > 1
    # Behind an operator, a sum that begins with a minus would print two signs in a row.
    return inner < outer or (right and inner == outer and (parent != "+" or _begins_with_minus(child)))


def _begins_with_minus(tree: Node) -> bool:
    while rank(tree) == RANK["+"]:
        tree = tree.children[0]
    return tree.kind == "neg"


def is_fraction(tree: Node) -> bool:
    """A quotient: a fraction in two dimensions, which needs no brackets there."""
    return tree.kind == "binary" and tree.text == "/"
