"""The closed grammar of formulas, and its three printed forms: MathML, plain text, and the line with numbers.

The grammar is a whitelist. It knows numbers, declared symbols, π, ``+ - * / **``, unary minus, one comparison (as the
condition of a ``where``), a short list of functions, and sums over layers. Anything else is refused at import.
"""

import ast
from collections.abc import Callable, Mapping
from dataclasses import dataclass
from html import escape

from calc.nomenclature import Symbol, symbol


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
LAYER_SUMS = {"over_layers": "layers", "over_layers_above": "layers above"}
PRINTED_FUNCTIONS = {"log": "ln", "log10": "log10", "minimum": "min", "maximum": "max", "absolute": "abs"}

_OPERATORS: dict[type[ast.operator], str] = {ast.Add: "+", ast.Sub: "-", ast.Mult: "*", ast.Div: "/", ast.Pow: "**"}
_COMPARISONS: dict[type[ast.cmpop], str] = {ast.Lt: "<", ast.LtE: "≤", ast.Gt: ">", ast.GtE: "≥"}
_RANK = {"+": 1, "-": 1, "*": 2, "/": 2, "neg": 2, "**": 4}
_ATOM = 9


def parse(expression: ast.expr, arguments: tuple[str, ...], where: str) -> Node:
    """The expression as nodes of the grammar; ``where`` names the function in the error."""

    def refuse(item: ast.AST, why: str) -> GrammarError:
        return GrammarError(f"{where}: {why} at line {getattr(item, 'lineno', '?')}: {ast.unparse(item)}")

    def walk(item: ast.expr) -> Node:
        match item:
            case ast.Constant(value=bool()):
                raise refuse(item, "a truth value")
            case ast.Constant(value=int() | float() as number):
                return Node("number", repr(number))
            case ast.Name(id=name) if name in arguments:
                return Node("symbol", name)
            case ast.Name(id="pi"):
                return Node("pi")
            case ast.UnaryOp(op=ast.USub(), operand=operand):
                return Node("neg", "neg", (walk(operand),))
            case ast.BinOp(left=left, op=operator, right=right) if type(operator) in _OPERATORS:
                return Node("binary", _OPERATORS[type(operator)], (walk(left), walk(right)))
            case ast.Call(func=ast.Name(id=name), args=given, keywords=[]):
                return call(item, name, given)
        raise refuse(item, "not in the grammar")

    def call(item: ast.Call, name: str, given: list[ast.expr]) -> Node:
        if name in LAYER_SUMS and len(given) == 1:
            return Node(name, name, (walk(given[0]),))
        if name == "where" and len(given) == 3:  # noqa: PLR2004 - condition and two branches
            return Node("where", "where", (comparison(given[0]), walk(given[1]), walk(given[2])))
        if FUNCTIONS.get(name) == len(given):
            return Node("function", name, tuple(walk(one) for one in given))
        raise refuse(item, "unknown function or wrong number of arguments")

    def comparison(item: ast.expr) -> Node:
        match item:
            case ast.Compare(left=left, ops=[operator], comparators=[right]) if type(operator) in _COMPARISONS:
                return Node("comparison", _COMPARISONS[type(operator)], (walk(left), walk(right)))
        raise refuse(item, "the condition must be one comparison")

    return walk(expression)


def names_in(tree: Node) -> set[str]:
    """Every symbol the expression reads."""
    own = {tree.text} if tree.kind == "symbol" else set()
    return own.union(*(names_in(child) for child in tree.children))


def _rank(tree: Node) -> int:
    """How tightly a node binds when it is written on one line."""
    if tree.kind in LAYER_SUMS:
        return 2
    return _RANK.get(tree.text, _ATOM) if tree.kind in {"binary", "neg"} else _ATOM


def needs_brackets(parent: str, child: Node, *, right: bool) -> bool:
    """Whether an operand needs brackets under its operator when written on one line."""
    rank, own = _rank(child), _RANK[parent]
    if parent == "**":
        return rank < _ATOM
    if child.kind == "neg":
        return right or own > 1
    return rank < own or (right and rank == own and parent != "+")


# --- one line of text -------------------------------------------------------------------------------------------------

Leaf = Callable[[str, int | None], str]


def plain(tree: Node, names: Mapping[str, str] | None = None) -> str:
    """The expression on one line with printed symbols, for records, alternative texts and fingerprints."""
    renamed = names or {}
    return _Line(lambda name, _layer: symbol(renamed.get(name, name)).plain).write(tree)


@dataclass(frozen=True)
class Numbers:
    """What the line with numbers needs at one case: the text of every symbol, the layers, the branches taken.

    ``text(name, layer)`` gives the printed number of a symbol; ``layer`` is None outside sums.
    ``holds(condition)`` says which branch of a ``where`` was taken. ``layers`` are the indices summed over,
    ``above`` those above the layer of the case.
    """

    text: Leaf
    holds: Callable[[Node], bool]
    layers: tuple[int, ...] = ()
    above: tuple[int, ...] = ()


def with_numbers(tree: Node, numbers: Numbers) -> str:
    """The expression on one line with numbers in place of symbols, as it can be typed into a calculator.

    A ``where`` prints the branch taken behind its condition: ``13.3 > 5, so 2000 / 0.41^2``.
    """
    conditions: list[str] = []
    line = _Line(numbers.text, numbers, conditions)
    text = line.write(tree)
    return "; ".join([*conditions, text]) if not conditions else f"{'; '.join(conditions)}, so {text}"


@dataclass(frozen=True)
class _Line:
    """Writes an expression on one line; with numbers it also decides branches and expands sums."""

    leaf: Leaf
    numbers: Numbers | None = None
    conditions: list[str] | None = None
    layer: int | None = None

    def write(self, tree: Node) -> str:
        match tree.kind:
            case "number":
                return tree.text
            case "pi":
                return "π"
            case "symbol":
                return self.leaf(tree.text, self.layer)
            case "neg":
                return "-" + self._bracketed(tree.children[0], bracket=_rank(tree.children[0]) <= _RANK["neg"])
            case "binary":
                return self._binary(tree)
            case "function":
                inner = ", ".join(self.write(child) for child in tree.children)
                return f"{PRINTED_FUNCTIONS.get(tree.text, tree.text)}({inner})"
            case "comparison":
                return f"{self.write(tree.children[0])} {tree.text} {self.write(tree.children[1])}"
            case "where":
                return self._where(tree)
        return self._sum(tree)

    def _binary(self, tree: Node) -> str:
        left, right = tree.children
        first = self._bracketed(left, bracket=needs_brackets(tree.text, left, right=False))
        second = self._bracketed(right, bracket=needs_brackets(tree.text, right, right=True))
        if tree.text == "**":
            return f"{first}^{second}"
        return f"{first} {tree.text} {second}"

    def _bracketed(self, tree: Node, *, bracket: bool) -> str:
        text = self.write(tree)
        # Branches and expanded sums may stand for additive expressions, whatever their own kind binds like.
        loose = self.numbers is not None and (tree.kind == "where" or tree.kind in LAYER_SUMS)
        return f"({text})" if bracket or loose else text

    def _where(self, tree: Node) -> str:
        condition, yes, no = tree.children
        if self.numbers is None:
            return f"({self.write(yes)} if {self.write(condition)}, otherwise {self.write(no)})"
        taken = self.numbers.holds(condition)
        text = self.write(condition if taken else _negated(condition))
        if self.conditions is not None and text not in self.conditions:
            self.conditions.append(text)
        return self.write(yes if taken else no)

    def _sum(self, tree: Node) -> str:
        inner = tree.children[0]
        if self.numbers is None:
            return f"Σ_{LAYER_SUMS[tree.kind]} {self._bracketed(inner, bracket=_rank(inner) < _RANK['*'])}"
        layers = self.numbers.layers if tree.kind == "over_layers" else self.numbers.above
        terms = []
        for layer in layers:
            text = _Line(self.leaf, self.numbers, self.conditions, layer).write(inner)
            terms.append(f"({text})" if _rank(inner) < _RANK["*"] else text)
        return " + ".join(terms) or "0"


_OPPOSITE = {"<": "≥", "≥": "<", ">": "≤", "≤": ">"}


def _negated(condition: Node) -> Node:
    """The opposite comparison, so that the printed condition is one that holds."""
    return Node("comparison", _OPPOSITE[condition.text], condition.children)


# --- MathML -----------------------------------------------------------------------------------------------------------

_THIN = '<mspace width="0.17em"/>'
_DOT = "<mo>·</mo>"
_FUNCTION_NAMES = {**PRINTED_FUNCTIONS, "log10": "<msub><mi>log</mi><mn>10</mn></msub>"}


def symbol_mathml(one: Symbol) -> str:
    """A symbol as MathML: base, mark as superscript, index as subscript."""
    base, mark, index = one.parts
    body = f"<mi>{escape(base)}</mi>"
    if mark and index:
        return f"<msubsup>{body}<mi>{escape(index)}</mi><mo>{escape(mark)}</mo></msubsup>"
    if mark:
        return f"<msup>{body}<mo>{escape(mark)}</mo></msup>"
    return f"<msub>{body}<mi>{escape(index)}</mi></msub>" if index else body


def equation(result: str, tree: Node, names: Mapping[str, str] | None = None) -> str:
    """The whole equation ``result = expression`` as a MathML element."""
    renamed = names or {}
    left = symbol_mathml(symbol(renamed.get(result, result)))
    right = _Math(renamed).write(tree)
    return f'<math xmlns="http://www.w3.org/1998/Math/MathML" display="block">{left}<mo>=</mo>{right}</math>'


@dataclass(frozen=True)
class _Math:
    """Writes an expression as flat MathML: a row of its own only around brackets, fractions and scripts."""

    names: Mapping[str, str]

    def write(self, tree: Node) -> str:
        match tree.kind:
            case "number":
                return f"<mn>{tree.text}</mn>"
            case "pi":
                return "<mi>π</mi>"
            case "symbol":
                return symbol_mathml(symbol(self.names.get(tree.text, tree.text)))
            case "neg":
                inner = tree.children[0]
                return "<mo>−</mo>" + self._operand(inner, bracket=_rank(inner) <= _RANK["neg"] and not _fraction(inner))
            case "binary":
                return self._binary(tree)
            case "function":
                return self._function(tree)
            case "comparison":
                return f"{self.write(tree.children[0])}<mo>{escape(tree.text)}</mo>{self.write(tree.children[1])}"
            case "where":
                return self._where(tree)
        inner = tree.children[0]
        operand = self._operand(inner, bracket=_rank(inner) < _RANK["*"])
        return f"<munder><mo>∑</mo><mtext>{LAYER_SUMS[tree.kind]}</mtext></munder>{operand}"

    def _binary(self, tree: Node) -> str:
        left, right = tree.children
        if tree.text == "/":
            return f"<mfrac><mrow>{self.write(left)}</mrow><mrow>{self.write(right)}</mrow></mfrac>"
        if tree.text == "**":
            return self._power(left, right)
        first = self._operand(left, bracket=needs_brackets(tree.text, left, right=False) and not _fraction(left))
        second = self._operand(right, bracket=needs_brackets(tree.text, right, right=True) and not _fraction(right))
        if tree.text == "*":
            return first + self._times(left, right) + second
        return f"{first}<mo>{'−' if tree.text == '-' else '+'}</mo>{second}"

    def _times(self, left: Node, right: Node) -> str:
        """A dot where two numbers, a number's follower or a bracket would be misread; otherwise a thin space."""
        opens = needs_brackets("*", right, right=True) or right.kind in {"number", "where", "function", *LAYER_SUMS}
        return _DOT if opens or left.kind == "where" or _first_is_number(right) or _fraction(left) else _THIN

    def _power(self, base: Node, exponent: Node) -> str:
        script = f"<mrow>{self.write(exponent)}</mrow>"
        if base.kind == "function" and base.text in {"sin", "cos", "tan"}:
            inner = "".join(self.write(child) for child in base.children)
            return f"<msup><mi>{base.text}</mi>{script}</msup><mrow><mo>(</mo>{inner}<mo>)</mo></mrow>"
        return f"<msup><mrow>{self._operand(base, bracket=needs_brackets('**', base, right=False))}</mrow>{script}</msup>"

    def _function(self, tree: Node) -> str:
        inner = "<mo>,</mo>".join(self.write(child) for child in tree.children)
        if tree.text == "sqrt":
            return f"<msqrt><mrow>{inner}</mrow></msqrt>"
        if tree.text == "absolute":
            return f"<mrow><mo>|</mo>{inner}<mo>|</mo></mrow>"
        name = _FUNCTION_NAMES.get(tree.text, tree.text)
        head = name if name.startswith("<") else f"<mi>{name}</mi>"
        return f"{head}<mrow><mo>(</mo>{inner}<mo>)</mo></mrow>"

    def _operand(self, tree: Node, *, bracket: bool) -> str:
        text = self.write(tree)
        # The power of a function writes its exponent before the bracket; a where inside a product needs its own.
        return f"<mrow><mo>(</mo>{text}<mo>)</mo></mrow>" if bracket or tree.kind == "where" else text

    def _where(self, tree: Node) -> str:
        condition, yes, no = tree.children
        rows = (
            f"<mtr><mtd>{self.write(yes)}</mtd><mtd><mtext>if </mtext>{self.write(condition)}</mtd></mtr>"
            f"<mtr><mtd>{self.write(no)}</mtd><mtd><mtext>otherwise</mtext></mtd></mtr>"
        )
        return f"<mrow><mo>{{</mo><mtable>{rows}</mtable></mrow>"


def _fraction(tree: Node) -> bool:
    """A fraction needs no brackets in two dimensions."""
    return tree.kind == "binary" and tree.text == "/"


def _first_is_number(tree: Node) -> bool:
    """Whether the operand, written out, begins with a digit."""
    while tree.kind == "binary" and tree.text in {"*", "**"}:
        tree = tree.children[0]
    return tree.kind == "number"
