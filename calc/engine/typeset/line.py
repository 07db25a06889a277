"""The printed form on one line: with symbols for records, with numbers for the calculation step."""

from collections.abc import Callable, Mapping
from dataclasses import dataclass, replace
from re import fullmatch

from markupsafe import Markup, escape

from calc.engine.symbols import symbol
from calc.engine.typeset.amounts import RAISED, set_amount
from calc.engine.typeset.grammar import LAYER_SUMS, PRINTED_FUNCTIONS, RANK, Node, needs_brackets, rank

Leaf = Callable[[str, int | None], str]


def plain(tree: Node, names: Mapping[str, str] | None = None) -> str:
    """The expression on one line with printed symbols, for records, alternative texts and fingerprints."""
    renamed = names or {}
    return _Line(lambda name, _layer: symbol(renamed.get(name, name)).plain).write(tree)


@dataclass(frozen=True)
class Numbers:
    """What the line with numbers needs at one case: the text of every symbol, the layers, the branches taken.

    ``text(name, layer)`` gives the printed number of a symbol; ``layer`` is None outside sums.
    ``holds(condition, layer)`` says which branch of a ``where`` was taken. ``layers`` are the indices summed over,
    ``above`` those above the layer of the case.
    """

    text: Leaf
    holds: Callable[[Node, int | None], bool]
    layers: tuple[int, ...] = ()
    above: tuple[int, ...] = ()


def with_numbers(tree: Node, numbers: Numbers) -> str:
    """The expression on one line with numbers in place of symbols, as it can be typed into a calculator.

    A ``where`` prints the branch taken behind its condition: ``13.3 > 5, so 2000 / 0.41^2``.
    """
    return _Line(numbers.text, numbers, []).whole(tree)


def set_numbers(tree: Node, numbers: Numbers) -> Markup:
    """The same line as it is set beside its equation, with roots, raised exponents and a true minus."""
    return Markup(_SetLine(numbers.text, numbers, []).whole(tree))  # noqa: S704 - its leaves are escaped


@dataclass(frozen=True)
class _Line:
    """Writes an expression on one line; with numbers it also decides branches and expands sums."""

    leaf: Leaf
    numbers: Numbers | None = None
    conditions: list[str] | None = None
    layer: int | None = None

    def whole(self, tree: Node) -> str:
        text = self.write(tree)
        return f"{'; '.join(self.conditions)}, so {text}" if self.conditions else text

    def write(self, tree: Node) -> str:  # noqa: PLR0911 - one return for each kind of node
        match tree.kind:
            case "number":
                return tree.text
            case "pi":
                return "π"
            case "symbol":
                return self.leaf(tree.text, self.layer)
            case "neg":
                return "-" + self._in_brackets(tree.children[0], bracket=rank(tree.children[0]) <= RANK["neg"])
            case "binary":
                return self._binary(tree)
            case "function":
                return self._function(tree)
            case "comparison":
                return f"{self.write(tree.children[0])} {tree.text} {self.write(tree.children[1])}"
            case "where":
                return self._where(tree)
        return self._sum(tree)

    def _function(self, tree: Node) -> str:
        inner = ", ".join(self.write(child) for child in tree.children)
        return f"{PRINTED_FUNCTIONS.get(tree.text, tree.text)}({inner})"

    def _binary(self, tree: Node) -> str:
        left, right = tree.children
        first = self._in_brackets(left, bracket=needs_brackets(tree.text, left, right=False))
        second = self._in_brackets(right, bracket=needs_brackets(tree.text, right, right=True))
        if tree.text == "**":
            return f"{first}^{second}"
        return f"{first} {tree.text} {second}"

    def _in_brackets(self, tree: Node, *, bracket: bool) -> str:
        text = self.write(tree)
        # Branches and expanded sums may stand for additive expressions, whatever their own kind binds like.
        written_out = self.numbers is not None and (tree.kind == "where" or tree.kind in LAYER_SUMS)
        loose = written_out and not text.replace(".", "").isdigit()
        return f"({text})" if bracket or loose else text

    def _where(self, tree: Node) -> str:
        condition, yes, no = tree.children
        if self.numbers is None:
            return f"({self.write(yes)} if {self.write(condition)}, otherwise {self.write(no)})"
        taken = self.numbers.holds(condition, self.layer)
        text = self.write(condition if taken else _negation(condition))
        if self.conditions is not None and text not in self.conditions:
            self.conditions.append(text)
        return self.write(yes if taken else no)

    def _sum(self, tree: Node) -> str:
        inner = tree.children[0]
        if self.numbers is None:
            return f"Σ_{LAYER_SUMS[tree.kind]} {self._in_brackets(inner, bracket=rank(inner) < RANK['*'])}"
        layers = self.numbers.layers
        if tree.kind == "over_layers_above":
            # Inside another sum the layers above are those above its current layer, not above that of the case.
            layers = self.numbers.above if self.layer is None else layers[: layers.index(self.layer)]
        terms = []
        for layer in layers:
            text = replace(self, layer=layer).write(inner)
            terms.append(f"({text})" if rank(inner) < RANK["*"] else text)
        return " + ".join(terms) or "0"


class _SetLine(_Line):
    """Writes the line with numbers as it is set; an exponent that is no whole number stands in ``<sup>``."""

    def write(self, tree: Node) -> str:
        match tree.kind:
            case "number":
                return set_amount(tree.text).removeprefix("1·")
            case "symbol":
                return str(escape(set_amount(super().write(tree))))
            case "neg":
                return "−" + super().write(tree).removeprefix("-")
            case "comparison":
                left, right = (self._alone(child) for child in tree.children)
                return f"{left} {escape(tree.text)} {right}"
        return super().write(tree)

    def _binary(self, tree: Node) -> str:
        left, right = tree.children
        if tree.text == "**":
            return self._power(left, right)
        first = self._in_brackets(left, bracket=needs_brackets(tree.text, left, right=False))
        second = self._in_brackets(right, bracket=needs_brackets(tree.text, right, right=True))
        if tree.text == "/" and right.kind in LEAVES and not is_single(second):
            second = f"({second})"
        return f"{first} {_SIGNS[tree.text]} {second}"

    def _power(self, base: Node, exponent: Node) -> str:
        whole = exponent.kind == "number" and exponent.text.isdigit()
        raised = exponent.text.translate(RAISED) if whole else f"<sup>{self.write(exponent)}</sup>"
        if whole and base.kind == "function" and base.text in {"sin", "cos", "tan"}:
            return base.text + raised + self.write(base).removeprefix(base.text)
        text = self._in_brackets(base, bracket=needs_brackets("**", base, right=False))
        loose = base.kind == "function" and base.text != "absolute"
        return f"({text}){raised}" if loose or (base.kind in LEAVES and not is_single(text)) else text + raised

    def _function(self, tree: Node) -> str:
        parts = [self._alone(child) for child in tree.children]
        match tree.text:
            case "sqrt":
                return f"√{parts[0]}" if fullmatch(r"[\d.]+|π", parts[0]) else f"√({parts[0]})"
            case "absolute":
                return f"|{parts[0]}|"
        name = PRINTED_FUNCTIONS.get(tree.text, tree.text).replace("10", "₁₀")
        return f"{name}({', '.join(parts)})"

    def _alone(self, tree: Node) -> str:
        """What stands alone within brackets, or beside a relation, needs none around a number."""
        text = self.write(tree)
        return text[1:-1] if tree.kind == "symbol" and fullmatch(r"\([−\d].*\)", text) else text


LEAVES = {"number", "symbol"}
_SIGNS = {"+": "+", "-": "−", "*": "·", "/": "/"}


def is_single(text: str) -> bool:
    """Whether a number binds as one sign: not one times a power of ten or a factor, unless in brackets."""
    return fullmatch(r"[\d.]+|π|\(.*\)", text) is not None


_OPPOSITE = {"<": "≥", "≥": "<", ">": "≤", "≤": ">"}


def _negation(condition: Node) -> Node:
    """The opposite comparison, so that the printed condition is one that holds."""
    return Node("comparison", _OPPOSITE[condition.text], condition.children)
