"""The closed grammar of formulas, and its three printed forms: MathML, plain text, and the line with numbers."""

from calc.engine.typeset.amounts import set_amount, set_minus, set_quantity, write_numbers
from calc.engine.typeset.grammar import LAYER_SUMS, LAYERED, SUM_AXES, GrammarError, Node, kinds_in, names_in, parse
from calc.engine.typeset.line import Numbers, plain, set_numbers, with_numbers
from calc.engine.typeset.mathml import equation, is_level, symbol_mathml

__all__ = [
    "LAYERED",
    "LAYER_SUMS",
    "SUM_AXES",
    "GrammarError",
    "Node",
    "Numbers",
    "equation",
    "is_level",
    "kinds_in",
    "names_in",
    "parse",
    "plain",
    "set_amount",
    "set_minus",
    "set_numbers",
    "set_quantity",
    "symbol_mathml",
    "with_numbers",
    "write_numbers",
]
