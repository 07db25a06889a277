"""A formula applied to values: aligned by axis name, evaluated with plain arrays, refused when not finite."""

from collections.abc import Mapping, Sequence
from functools import reduce

import numpy as np

from calc.engine.formula import Formula, FormulaError
from calc.engine.sheet.steps import Input
from calc.engine.sheet.values import SUMMED, Axis, Mask, SheetError, Value, spread, union_axes
from calc.engine.typeset import SUM_AXES, Node

FULL_SUMS = SUM_AXES.keys() - {"over_layers_above"}  # those that take their axis away


def evaluate(formula: Formula, result: str, inputs: Mapping[str, Input], where: str) -> Value:
    """The value of a formula's result over the union of its inputs' axes, less one that is summed over.

    ``FormulaError`` where a lane that has a number has no finite one.
    """
    made = evaluate_as_it_is(formula, result, inputs, where)
    _refuse_not_finite(formula, made, inputs)
    return made


def evaluate_as_it_is(formula: Formula, result: str, inputs: Mapping[str, Input], where: str) -> Value:
    """The same with whatever number the formula gives."""
    values = [argument.value for argument in inputs.values()]
    axes = union_axes(values)
    summed = [axis.name for axis in axes if axis.name in SUMMED]
    if len(summed) > 1:
        message = f"{where}: {formula.id} has {' and '.join(f'{name}s' for name in summed)}, a sum could be over either"
        raise SheetError(message)
    kept = axes
    if formula.summed_axes:
        over = summed[0] if summed else ""
        layered = frozenset(name for name, argument in inputs.items() if over in argument.value.axis_names)
        if not _sums_have_layers(formula.tree, layered, over):
            wanted = formula.summed_axes[-1]
            message = f"{where}: {formula.id} sums over {wanted}s something that has no {wanted} axis"
            raise SheetError(message)
        kept = axes if _keeps_layers(formula.tree, layered) else axes[:-1]
    arrays = {name: spread(argument.value.array, argument.value.axes, axes) for name, argument in inputs.items()}
    array = np.asarray(formula(**arrays), dtype=float)
    if kept is not axes:
        array = array[..., 0]
    shape = tuple(len(axis.labels) for axis in kept)
    if array.shape != shape or array.base is not None or any(array is one for one in arrays.values()):
        array = np.array(np.broadcast_to(array, shape))
    lacking = {name: argument.value for name, argument in inputs.items() if argument.value.lacks}
    if not lacking:
        return Value(result, array, kept, f"{where}/{result}")
    mask = _mask(formula, lacking, axes, kept)
    array[mask] = np.nan
    return Value(result, array, kept, f"{where}/{result}", mask, reason_of([*lacking.values()]))


def reason_of(values: Sequence[Value]) -> str:
    """What a lane without number means, taken from the first input that lacks one."""
    return next((value.reason for value in values if value.lacks), "")


def _keeps_layers(tree: Node, layered: frozenset[str]) -> bool:
    """Whether the result still has a layer axis: a full sum takes it away, a sum of the layers above does not."""
    if tree.kind in FULL_SUMS:
        return False
    if tree.kind in {"symbol", "over_layers_above"}:
        return tree.kind != "symbol" or tree.text in layered
    return any(_keeps_layers(child, layered) for child in tree.children)


def _sums_have_layers(tree: Node, layered: frozenset[str], over: str) -> bool:
    """Whether every sum runs over something that has its axis, which is the last one of the inputs."""
    if tree.kind in SUM_AXES and (over not in SUM_AXES[tree.kind] or not _keeps_layers(tree.children[0], layered)):
        return False
    return all(_sums_have_layers(child, layered, over) for child in tree.children)


def _mask(formula: Formula, lacking: Mapping[str, Value], axes: tuple[Axis, ...], kept: tuple[Axis, ...]) -> Mask:
    """Lanes whose inputs have no number have none themselves; a sum lacks one if any of its layers does."""
    masks = {name: spread(~value.valid, value.axes, axes) for name, value in lacking.items()}
    # Without a sum any argument will do: a formula uses all of them.
    plain = not formula.summed_axes
    mask = reduce(np.logical_or, masks.values()) if plain else _lacking(formula.tree, masks, len(axes))
    if kept is not axes:
        mask = mask[..., 0]
    return np.array(np.broadcast_to(mask, tuple(len(axis.labels) for axis in kept)))


def _lacking(tree: Node, masks: Mapping[str, Mask], dimensions: int) -> Mask:
    """Where an expression has no number, because a symbol in it or in a layer summed over has none."""
    lacking = np.zeros((1,) * dimensions, dtype=bool)
    if tree.kind == "symbol":
        return masks.get(tree.text, lacking)
    for child in tree.children:
        lacking = lacking | _lacking(child, masks, dimensions)
    if tree.kind in FULL_SUMS:
        return np.asarray(lacking.any(axis=-1, keepdims=True))
    if tree.kind == "over_layers_above":
        through = np.logical_or.accumulate(lacking, axis=-1)
        return np.concatenate([np.zeros_like(through[..., :1]), through[..., :-1]], axis=-1)
    return lacking


def _refuse_not_finite(formula: Formula, made: Value, inputs: Mapping[str, Input]) -> None:
    finite = np.isfinite(made.array)
    if finite.all():
        return
    bad = ~finite & made.valid
    if not bad.any():
        return
    case = made.case_at(int(np.argmax(bad)))
    amounts = []
    for argument in inputs.values():
        at = {axis.name: case.get(axis.name, axis.labels[0]) for axis in argument.value.axes}
        amounts.append(f"{argument.symbol} = {argument.value.number(at)}")
    message = f"{formula.id} gave no finite {made.symbol} at {case or 'its only case'} with {', '.join(amounts)}"
    raise FormulaError(message)
