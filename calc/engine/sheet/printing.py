"""Numbers as they are printed: decimals of the nomenclature, lines with numbers at one case, cases in words."""

import operator
from collections.abc import Callable, Iterable, Mapping
from math import pi
from re import IGNORECASE, match, sub
from typing import Self

import numpy as np

from calc.engine.sheet.steps import Input, Step
from calc.engine.sheet.values import AXIS_ORDER, SUMMED, Value
from calc.engine.symbols import INTO_COHERENT, SHIFTED, symbol
from calc.engine.typeset import LAYERED, Node, Numbers, plain, set_minus, with_numbers

Case = Mapping[str, str]

AXIS_WORDS = {
    "sample": "sample",
    "factor_set": "factor set",
    "stage": "stage",
    "ratio": "stress ratio",
    "position": "position",
    "place": "place",
    "load": "load",
    "combination": "combination",
    "stiffness": "stiffness",
    "scenario": "cₕ",
    "date": "date",
    "trigger": "trigger",
    "point": "point",
    "operation": "operation",
    "ground": "ground",
    "soil": "soil",
    "strip": "strip",
    "reading": "reading",
    "neighbour": "neighbour",
    "piles": "piles",
    "exceeded": "exceeded in",
    "zone": "zone",
    "mat": "layer",
    "stratum": "layer",
    "below": "layer",
    "grading": "soil",
    "layer": "layer",
    "method": "method",
    "transition": "transition",
    "border": "border",
    "grid": "grid",
    "plane": "inner plane",
}
LEAST_TYPED, MOST_TYPED = 1e-4, 1e6  # between which a typed number is written without a power of ten
_COMPARE = {"<": operator.lt, "≤": operator.le, ">": operator.gt, "≥": operator.ge}
_BINARY = {"+": operator.add, "-": operator.sub, "*": operator.mul, "/": operator.truediv, "**": operator.pow}


def number_text(number: float, decimals: int, *, exact: bool = False) -> str:
    """A number with fixed decimals (negative: significant digits); exact ones with as many as were typed."""
    if decimals < 0 and not (exact and LEAST_TYPED <= abs(number) < MOST_TYPED):
        text = f"{number + 0.0:.{-decimals - 1}e}"  # adding zero takes the sign off a negative zero
        if exact:
            text = np.format_float_scientific(float(f"{number + 0.0:.12g}"), trim="-", exp_digits=2)
        return text.replace("e-0", "e-").replace("e+0", "e").replace("e+", "e")
    if exact:
        shortest = np.format_float_positional(float(f"{number:.12g}"), trim="-")
        decimals = len(shortest.partition(".")[2])
    text = f"{number:.{decimals}f}"
    return text[1:] if text.startswith("-") and float(text) == 0 else text


def value_text(value: Value, case: Case, name: str = "", *, unit: bool = False) -> str:
    """The value at a case in the unit shown, or in words where there is no number."""
    quantity = symbol(name or value.symbol)
    number = value.number(case)
    if number is None:
        return value.reason
    text = number_text(number * quantity.factor, quantity.decimals, exact=value.exact)
    if not unit or not quantity.unit_text:
        return text
    return text + ("" if quantity.unit_text == "°" else " ") + quantity.unit_text


def coherent_text(value: Value, case: Case, name: str) -> str:
    """The value at a case in a line with numbers: coherent units, angles in degrees, negative ones in brackets.

    Where another unit is shown, the value stands as it is shown with its conversion, in brackets. A computed one whose
    point alone moves stands without: its line prints it in both units.
    """
    quantity = symbol(name)
    number = value.number(case)
    if number is None:
        return f"({value.reason})"
    if quantity.shown == "deg":
        text = number_text(number * quantity.factor, quantity.decimals, exact=value.exact) + "°"
    elif quantity.shown == quantity.unit or number == 0 or (quantity.shown in SHIFTED and not value.exact):
        text = number_text(number, quantity.coherent_decimals, exact=value.exact)
    else:
        shown = number_text(number * quantity.factor, quantity.decimals, exact=value.exact)
        return f"({shown}{INTO_COHERENT[quantity.unit, quantity.shown]})"
    return f"({text})" if text.startswith("-") else text


def printed_numbers(step: Step, case: Case, *, write: Callable[[Node, Numbers], str] = with_numbers) -> str:
    """The right side of a step with numbers in place of symbols, at one case, as it is typed or set."""
    if step.formula is None:
        return ""
    summed, layers = _summed_labels(step)
    layered = next((name for name in LAYERED if name in step.value.axis_names), None)
    index = step.value.labels(layered).index(case[layered]) if layered else 0

    def at(layer: int | None) -> Case:
        return case if layer is None else {**case, summed: layers[layer]}

    numbers = Numbers(
        text=lambda name, layer: coherent_text(step.inputs[name].value, at(layer), step.inputs[name].symbol),
        holds=lambda condition, layer: _holds(condition, step.inputs, at(layer)),
        layers=tuple(range(len(layers))),
        above=tuple(range(index)),
    )
    return write(step.formula.tree, numbers)


def printed_result(step: Step, case: Case) -> str:
    """The result at a case with its unit; a second form follows where the unit shown is not the coherent one."""
    quantity = symbol(step.symbol)
    shown = value_text(step.value, case, step.symbol, unit=True)
    number = step.value.number(case)
    if number is None or quantity.shown in {quantity.unit, "deg"}:
        return shown
    coherent = number_text(number, quantity.coherent_decimals, exact=step.value.exact)
    return f"{coherent} {quantity.coherent_unit_text}".strip() + f" = {shown}"


def printed_expression(step: Step) -> str:
    """The equation of a step as one line of text, with the symbols it prints."""
    if step.formula is None:
        return ""
    return f"{symbol(step.symbol).plain} = {plain(step.formula.tree, step.names)}"


class Expression(str):
    """The equation of a step as one line of text, with the step from which it can be drawn."""

    __slots__ = ("step",)
    step: Step

    def __new__(cls, step: Step) -> Self:
        """Write the equation of a step that has a formula."""
        made = super().__new__(cls, printed_expression(step))
        made.step = step
        return made


def label_words(axis: str, label: str) -> str:
    """One label with the word of its axis, which is said once: stage “High water”, but “Stage 2”."""
    word = AXIS_WORDS[axis]
    text = stage_name(label) if axis == "stage" and not label.isdigit() else set_minus(label)
    if axis == "date":  # of a stage, without the number at the head of its label
        text = sub(r"^((?:start|end) of )\d+ (?=.)", r"\1", text)
    text = sub(rf"^\d+ (?={word}\b)", "", text, flags=IGNORECASE)  # a layer of reinforcement named “Layer 1”
    return text if match(rf"{word}\b", text.strip("“"), IGNORECASE) else f"{word} {text}"


def stage_name(label: str) -> str:
    """A stage by its name in quotes, without the number at the head of its label."""
    number, _, name = label.partition(" ")
    return f"“{name if number.isdigit() and name else label}”"


def stage_names(labels: Iterable[str]) -> str:
    """Some stages by their names."""
    return ", ".join(stage_name(label) for label in labels)


def case_parts(case: Case) -> list[str]:
    """The labels of a case in words, axes in canonical order."""
    return [label_words(name, case[name]) for name in AXIS_ORDER if name in case]


def case_words(case: Case) -> str:
    """A case in words."""
    return ", ".join(case_parts(case))


def _summed_labels(step: Step) -> tuple[str, tuple[str, ...]]:
    """The axis that a sum of the step runs over, with its labels."""
    for argument in step.inputs.values():
        for name in SUMMED:
            if name in argument.value.axis_names:
                return name, argument.value.labels(name)
    return "layer", ()


def _holds(condition: Node, inputs: Mapping[str, Input], case: Case) -> bool:
    """Which branch the numbers of this case take."""
    left, right = (_evaluate(child, inputs, case) for child in condition.children)
    return bool(_COMPARE[condition.text](left, right))


def _evaluate(tree: Node, inputs: Mapping[str, Input], case: Case) -> float:
    """A side of a condition at one case; the grammar lets no sum and no further condition into it."""
    if tree.kind == "symbol":
        number = inputs[tree.text].value.number(case)
        return float("nan") if number is None else number
    if tree.kind == "number":
        return float(tree.text)
    parts = [_evaluate(child, inputs, case) for child in tree.children]
    match tree.kind:
        case "pi":
            return pi
        case "neg":
            return -parts[0]
        case "binary":
            return float(_BINARY[tree.text](*parts))
    return float(getattr(np, tree.text)(*parts))
