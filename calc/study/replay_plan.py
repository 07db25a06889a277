"""Which recorded steps have to be evaluated again when some inputs change, at which labels, and what stands in the way.

A step is **followed** where it goes back to an input that changes. What it reads of a step that is not followed is a
constant of the finished run.
"""

from collections.abc import Iterable, Iterator, Mapping, Sequence
from dataclasses import dataclass, field
from functools import cache

import numpy as np

from calc.engine.formula import Formula
from calc.engine.sheet import Sheet, Value
from calc.engine.sheet.steps import Step, Verdict
from calc.engine.sheet.values import Axis, Mask, Taking, spread
from calc.engine.typeset import LAYERED, kinds_in

Labels = dict[str, tuple[str, ...]]
"""Labels by axis."""


class UnfollowedError(LookupError):
    """An input whose influence on a verdict the record does not hold, with the verdict and why."""


@dataclass(frozen=True)
class Route:
    """How a step reads a value of a followed one: what is done to it in order, and the labels it needs before each.

    ``labels`` are those of the value read.
    """

    takings: tuple[tuple[Labels, Taking], ...]
    labels: Labels


@dataclass
class Plan:
    """What is evaluated again, in the order of the record.

    ``steps`` are those followed by key, ``reads`` the values that each reads, by the names of its formula or in
    order, ``routes`` how a value of a followed step is read, ``needed`` the labels at which each is evaluated,
    ``descents`` all steps that a verdict goes back to, ``paths`` the inputs that reach a step.
    """

    verdicts: Mapping[str, Verdict]
    steps: dict[str, Step] = field(default_factory=dict)
    paths: dict[str, frozenset[str]] = field(default_factory=dict)
    reads: dict[str, dict[str, Value]] = field(default_factory=dict)
    routes: dict[tuple[str, str], Route] = field(default_factory=dict)
    needed: dict[str, Labels] = field(default_factory=dict)
    descents: dict[str, tuple[str, ...]] = field(default_factory=dict)


def plan_of(
    sheets: Sequence[Sheet], verdicts: Mapping[str, Verdict], inputs: Sequence[str], only: Mapping[str, Labels]
) -> Plan:
    """The plan for some verdicts with a number and some inputs; ``only`` restricts the cases of a verdict.

    ``UnfollowedError`` names what cannot be followed.
    """
    plan = Plan(verdicts)
    every = {step.key: step for sheet in sheets for step in sheet.steps}
    for name, verdict in verdicts.items():
        plan.descents[name] = _follow(plan, every, name, verdict, frozenset(inputs))
    plan.steps = {key: plan.steps[key] for key in every if key in plan.steps}
    for name, verdict in verdicts.items():
        assert verdict.sides is not None  # noqa: S101 - asked by the caller
        plan.reads[name] = {"effect": verdict.sides[0], "resistance": verdict.sides[1]}
        own = {axis.name: axis.labels for side in verdict.sides for axis in side.axes}
        plan.needed[name] = {axis: _restricted(axis, labels, only.get(name, {})) for axis, labels in own.items()}
        _need(plan, name, plan.needed[name], ())
    for key, step in reversed(plan.steps.items()):
        _need(plan, key, plan.needed[key], whole_of(step))
    return plan


def _restricted(axis: str, labels: tuple[str, ...], only: Labels) -> tuple[str, ...]:
    kept = tuple(label for label in labels if label in only.get(axis, labels))
    if not kept:
        message = f"the axis {axis} has none of the labels {list(only[axis])}; it has {list(labels)}"
        raise UnfollowedError(message)
    return kept


def whole_of(step: Step) -> tuple[str, ...]:
    """The axes of its result along which a step needs all labels of what it reads."""
    if step.again is not None:
        return step.again.whole
    return () if step.formula is None else _whole_of_formula(step.formula)


@cache
def _whole_of_formula(formula: Formula) -> tuple[str, ...]:
    return LAYERED if "over_layers_above" in kinds_in(formula.tree) else ()


def reads_of(step: Step) -> dict[str, Value]:
    """The values that a step follows from: by the arguments of its formula, else in order."""
    if step.again is not None:
        return {str(k): value for k, value in enumerate(step.again.inputs)}
    return {name: argument.value for name, argument in step.inputs.items()}


def _follow(
    plan: Plan, every: Mapping[str, Step], name: str, verdict: Verdict, inputs: frozenset[str]
) -> tuple[str, ...]:
    """Add the steps that a verdict goes back to and that go back to an input; all that it goes back to."""
    assert verdict.sides is not None  # noqa: S101 - asked by the caller
    reached = _descent(every, [side.step for side in verdict.sides], name)
    descent = tuple(key for key in every if key in reached)
    for key in descent:
        step = every[key]
        reads = reads_of(step)
        own = inputs & {origin.path for origin in step.origins if origin.kind != "step"}
        before = frozenset[str]().union(*(plan.paths.get(value.step, frozenset()) for value in reads.values()))
        if not own and not before:
            continue
        _refuse_unknown(step, own | before, reads, plan, name)
        plan.steps[key], plan.paths[key], plan.reads[key] = step, own | before, reads
    return descent


def _descent(every: Mapping[str, Step], keys: Iterable[str], name: str) -> set[str]:
    pending, seen = list(keys), set[str]()
    while pending:
        key = pending.pop()
        if key in seen or not key:
            continue
        if key not in every:
            message = f"{name} reads {key} of another section, zone or position, which is not evaluated again"
            raise UnfollowedError(message)
        seen.add(key)
        pending += [value.step for value in reads_of(every[key]).values()]
    return seen


def _refuse_unknown(step: Step, paths: frozenset[str], reads: Mapping[str, Value], plan: Plan, name: str) -> None:
    """Refuse a step of which the record does not say how it follows, or which lanes of a value it leaves out."""
    which = ", ".join(sorted(paths))
    if step.kind in {"reading", "procedure"} and step.again is None:
        message = f"{which} cannot be followed to {name}: the record does not say how {step.key} follows from it"
        raise UnfollowedError(message)
    for value in reads.values():
        if value.step in plan.paths and any(_unsaid(taking, plan) for taking in value.takings):
            message = (f"{which} cannot be followed to {name}: the record does not say which cases of {value.step} "
                       f"{step.key} leaves out")  # fmt: skip
            raise UnfollowedError(message)


def _unsaid(taking: Taking, plan: Plan) -> bool:
    """Whether the record does not say which lanes are left out where numbers are other ones."""
    if taking.kind != "without" or taking.lacking:
        return False
    return taking.by is None or any(step in plan.paths for step in taking.by)


def _need(plan: Plan, key: str, labels: Labels, whole: tuple[str, ...]) -> None:
    """Note how a step evaluated at some labels reads the followed ones, and which of their labels it needs."""
    for name, value in plan.reads[key].items():
        if value.step not in plan.steps:
            continue
        wanted = {
            axis.name: axis.labels if axis.name in whole else labels.get(axis.name, axis.labels) for axis in value.axes
        }
        wanted = {axis.name: tuple(label for label in axis.labels if label in wanted[axis.name]) for axis in value.axes}
        route = _route(plan.steps[value.step].value.axes, value.takings, wanted)
        plan.routes[key, name] = route
        first = route.takings[0][0] if route.takings else route.labels
        _widen(plan.needed.setdefault(value.step, {}), plan.steps[value.step].value.axes, first)


def _widen(needed: Labels, axes: tuple[Axis, ...], labels: Labels) -> None:
    for axis in axes:
        both = {*needed.get(axis.name, ()), *labels[axis.name]}
        needed[axis.name] = tuple(label for label in axis.labels if label in both)


def _route(axes: tuple[Axis, ...], takings: tuple[Taking, ...], wanted: Labels) -> Route:
    """From the labels wanted of a value back to those that each thing done to it needs."""
    before = list(_labels_before(axes, takings))
    route = list[tuple[Labels, Taking]]()
    labels = wanted
    for all_labels, taking in reversed(list(zip(before, takings, strict=True))):
        labels = {axis: labels.get(axis, known) for axis, known in all_labels.items()}
        if taking.kind == "at" and isinstance(taking.labels, str):
            labels[taking.axis] = (taking.labels,)
        if taking.kind == "before":
            known = all_labels[taking.axis]
            places = {known.index(label) for label in labels[taking.axis]}
            labels[taking.axis] = tuple(label for k, label in enumerate(known) if k in places or k + 1 in places)
        route.append((labels, taking))
    return Route(tuple(reversed(route)), wanted)


def _labels_before(axes: tuple[Axis, ...], takings: tuple[Taking, ...]) -> Iterator[Labels]:
    """All labels of a value before each thing that was done to it."""
    labels: Labels = {axis.name: axis.labels for axis in axes}
    for taking in takings:
        yield dict(labels)
        if taking.kind == "at":
            labels[taking.axis] = (taking.labels,) if isinstance(taking.labels, str) else taking.labels
            if isinstance(taking.labels, str):
                del labels[taking.axis]
        elif taking.kind in {"largest", "smallest"}:
            labels = {axis: known for axis, known in labels.items() if axis in taking.labels}


def read(value: Value, route: Route) -> Value:
    """A value of a followed step as another step reads it: narrowed to the labels needed, and what was done to it."""
    for labels, taking in route.takings:
        value = _done(narrowed(value, labels), taking)
    return narrowed(value, route.labels)


def _done(value: Value, taking: Taking) -> Value:
    if taking.kind == "at":
        labels = taking.labels
        if isinstance(labels, tuple):
            labels = tuple(label for label in labels if label in value.labels(taking.axis))
        return value.at(**{taking.axis: labels})
    if taking.kind == "before":
        return _before(value, taking)
    if taking.kind == "without":
        return value.without(taking.lacking or _lanes_left_out(value, taking), taking.reason)
    reduce = value.largest if taking.kind == "largest" else value.smallest
    return reduce("sample", *taking.labels)


def _lanes_left_out(value: Value, taking: Taking) -> Mask:
    """The lanes that an array left out, of the labels that are left."""
    assert taking.lanes is not None  # noqa: S101 - of a function or an array
    shape = tuple(len(axis.labels) for axis in taking.axes)
    lanes = Value(value.symbol, np.broadcast_to(taking.lanes, shape).astype(float), taking.axes)
    kept = narrowed(lanes, {axis.name: axis.labels for axis in value.axes})
    axes = tuple(axis for axis in value.axes if axis in kept.axes)
    wanted = np.broadcast_to(spread(kept.array, axes, value.axes), value.array.shape)
    return np.asarray(wanted > 0)


def _before(value: Value, taking: Taking) -> Value:
    """The value one label of the finished run earlier, of the labels that are left of it."""
    known, labels = value.labels(taking.axis), taking.labels
    assert isinstance(labels, tuple)  # noqa: S101 - all labels of the axis
    place = value.axis_names.index(taking.axis)
    earlier = [labels[max(labels.index(label) - 1, 0)] for label in known]
    # A label whose forerunner is not needed is none that is read: it holds its own number.
    index = [known.index(label) if label in known else k for k, label in enumerate(earlier)]
    array = value.array.take(index, axis=place)
    mask = None if value.mask is None else value.mask.take(index, axis=place)
    for k, label in enumerate(known):
        if label == labels[0]:
            at: tuple[slice | int, ...] = (*(slice(None),) * place, k)
            array[at] = taking.first
            if mask is not None:
                mask[at] = False
    return Value(value.symbol, array, value.axes, value.step, mask, value.reason)


def narrowed(value: Value, labels: Labels) -> Value:
    """A value at some labels of those of its axes that are named."""
    fewer = {axis.name: labels[axis.name] for axis in value.axes if labels.get(axis.name, axis.labels) != axis.labels}
    return value.at(**fewer) if fewer else value


def substituted(step: Step, labels: Labels, paths: Iterable[str], values: Mapping[str, Value]) -> Value:
    """A given at some labels, with the numbers of every sample in the lanes that come from an input."""
    value = narrowed(step.value, labels)
    samples = next(iter(values.values())).axes[0]
    axes = (samples, *value.axes)
    shape = tuple(len(axis.labels) for axis in axes)
    array = np.array(np.broadcast_to(value.array, shape))
    for path in paths:
        lanes = _lanes(step, value, path)
        column = values[path].array.reshape((-1,) + (1,) * value.array.ndim)
        array = np.where(lanes, column, array)
    return Value(
        value.symbol, array, axes, step.key, None if value.mask is None else np.broadcast_to(value.mask, shape)
    )


def _lanes(step: Step, value: Value, path: str) -> np.ndarray:
    """The lanes of a given that come from a field."""
    if not step.origin_axis:
        return np.ones(value.array.shape, dtype=bool)
    labels = step.value.labels(step.origin_axis)
    named = {label for label, origin in zip(labels, step.origins, strict=True) if origin.path == path}
    place = value.axis_names.index(step.origin_axis)
    there = np.array([label in named for label in value.labels(step.origin_axis)])
    at = tuple(-1 if k == place else 1 for k in range(value.array.ndim))
    return np.broadcast_to(there.reshape(at), value.array.shape)
