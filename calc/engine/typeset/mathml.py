"""The printed form in two dimensions: MathML, for pages, browsers and word processors."""

from collections.abc import Mapping
from dataclasses import dataclass
from html import escape

from calc.engine.symbols import Symbol, symbol
from calc.engine.typeset.grammar import (
    LAYER_SUMS,
    PRINTED_FUNCTIONS,
    RANK,
    Node,
    is_fraction,
    kinds_in,
    needs_brackets,
    rank,
)

_THIN = '<mspace width="0.17em"/>'
_DOT = "<mo>·</mo>"
_FUNCTION_NAMES = {**PRINTED_FUNCTIONS, "log10": "<msub><mi>log</mi><mn>10</mn></msub>"}


def symbol_mathml(quantity: Symbol) -> str:
    """A symbol as MathML: base, mark as superscript, index as subscript."""
    base, mark, index = quantity.parts
    body = f"<mi>{escape(base)}</mi>"
    if mark and index:
        return f"<msubsup>{body}<mi>{escape(index)}</mi><mo>{escape(mark)}</mo></msubsup>"
    if mark:
        return f"<msup>{body}<mo>{escape(mark)}</mo></msup>"
    return f"<msub>{body}<mi>{escape(index)}</mi></msub>" if index else body


def equation(result: str, tree: Node, names: Mapping[str, str] | None = None, *, level: bool = False) -> str:
    """The whole equation ``result = expression`` as a MathML element.

    A ``level`` one has a solidus in place of every bar, which halves its height, where it `is_level`.
    """
    renamed = names or {}
    left = symbol_mathml(symbol(renamed.get(result, result)))
    right = _Math(renamed, level and is_level(tree)).write(tree)
    return f'<math xmlns="http://www.w3.org/1998/Math/MathML" display="block">{left}<mo>=</mo>{right}</math>'


def is_level(tree: Node) -> bool:
    """Whether an expression has quotients, and none that would be misread or stay high on one line.

    None is a factor, and none has another one or cases in it; a sum over layers is high itself.
    """
    quotients = _quotients(tree)
    parts = [part for quotient in quotients for part in quotient.children]
    alone = not any(_quotients(part) or "where" in kinds_in(part) for part in parts)
    return bool(quotients) and alone and not kinds_in(tree) & set(LAYER_SUMS) and not _has_quotient_as_factor(tree)


def _quotients(tree: Node) -> list[Node]:
    within = [quotient for child in tree.children for quotient in _quotients(child)]
    return [tree, *within] if is_fraction(tree) else within


def _has_quotient_as_factor(tree: Node) -> bool:
    is_product = tree.kind == "binary" and tree.text in {"*", "**"}
    return (is_product and any(map(is_fraction, tree.children))) or any(map(_has_quotient_as_factor, tree.children))


@dataclass(frozen=True)
class _Math:
    """Writes an expression as flat MathML: a row of its own only around brackets, fractions and scripts."""

    names: Mapping[str, str]
    level: bool = False

    def write(self, tree: Node) -> str:  # noqa: PLR0911 - one return for each kind of node
        match tree.kind:
            case "number":
                return _number(tree.text)
            case "pi":
                return "<mi>π</mi>"
            case "symbol":
                return symbol_mathml(symbol(self.names.get(tree.text, tree.text)))
            case "neg":
                inner = tree.children[0]
                return "<mo>−</mo>" + self._operand(
                    inner, bracket=rank(inner) <= RANK["neg"] and not is_fraction(inner)
                )
            case "binary":
                return self._binary(tree)
            case "function":
                return self._function(tree)
            case "comparison":
                return f"{self.write(tree.children[0])}<mo>{escape(tree.text)}</mo>{self.write(tree.children[1])}"
            case "where":
                return self._where(tree)
        inner = tree.children[0]
        operand = self._operand(inner, bracket=rank(inner) < RANK["*"])
        return f"<munder><mo>∑</mo><mtext>{LAYER_SUMS[tree.kind]}</mtext></munder>{operand}"

    def _binary(self, tree: Node) -> str:
        left, right = tree.children
        if tree.text == "/" and self.level:
            over = self._operand(left, bracket=needs_brackets("/", left, right=False))
            return (
                f"{over}{_THIN}<mo>/</mo>{_THIN}{self._operand(right, bracket=needs_brackets('/', right, right=True))}"
            )
        if tree.text == "/":
            return f"<mfrac><mrow>{self.write(left)}</mrow><mrow>{self.write(right)}</mrow></mfrac>"
        if tree.text == "**":
            return self._power(left, right)
        first = self._operand(left, bracket=needs_brackets(tree.text, left, right=False) and not is_fraction(left))
        second = self._operand(right, bracket=needs_brackets(tree.text, right, right=True) and not is_fraction(right))
        if tree.text == "*":
            return first + self._times(left, right) + second
        return f"{first}<mo>{'−' if tree.text == '-' else '+'}</mo>{second}"

    def _times(self, left: Node, right: Node) -> str:
        """A dot where two numbers, a number's follower or a bracket would be misread; otherwise a thin space."""
        opens = needs_brackets("*", right, right=True) or right.kind in {"number", "where", "function", *LAYER_SUMS}
        return _DOT if opens or left.kind == "where" or _first_is_number(right) or is_fraction(left) else _THIN

    def _power(self, base: Node, exponent: Node) -> str:
        script = f"<mrow>{self.write(exponent)}</mrow>"
        # Only a number may stand at the name: sin with the exponent -1 there would read as the arc sine.
        if base.kind == "function" and base.text in {"sin", "cos", "tan"} and exponent.kind == "number":
            inner = "".join(self.write(child) for child in base.children)
            return f"<msup><mi>{base.text}</mi>{script}</msup><mrow><mo>(</mo>{inner}<mo>)</mo></mrow>"
        return (
            f"<msup><mrow>{self._operand(base, bracket=needs_brackets('**', base, right=False))}</mrow>{script}</msup>"
        )

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
        rows, no = "", tree
        # Case under case in one brace, down to the last one.
        while no.kind == "where":
            condition, yes, no = no.children
            rows += f"<mtr><mtd>{self.write(yes)}</mtd><mtd><mtext>if </mtext>{self.write(condition)}</mtd></mtr>"
        rows += f"<mtr><mtd>{self.write(no)}</mtd><mtd><mtext>otherwise</mtext></mtd></mtr>"
        return f"<mrow><mo>{{</mo><mtable>{rows}</mtable></mrow>"


def _number(text: str) -> str:
    """A number; one that Python writes with an exponent as a power of ten."""
    digits, _, exponent = text.partition("e")
    if not exponent:
        return f"<mn>{text}</mn>"
    sign = "<mo>−</mo>" if exponent.startswith("-") else ""
    power = f"<msup><mrow><mn>10</mn></mrow><mrow>{sign}<mn>{exponent.lstrip('+-0')}</mn></mrow></msup>"
    return power if digits == "1" else f"<mrow><mo>(</mo><mn>{digits}</mn>{_DOT}{power}<mo>)</mo></mrow>"


def _first_is_number(tree: Node) -> bool:
    """Whether the operand, written out, begins with a digit."""
    while tree.kind == "binary" and tree.text in {"*", "**"}:
        tree = tree.children[0]
    return tree.kind == "number"
