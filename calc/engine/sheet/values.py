"""Values with named axes, and how they are brought into line for a formula."""

from collections.abc import Callable, Iterable, Mapping, Sequence
from dataclasses import dataclass, replace
from functools import cached_property
from typing import Any, Literal, NamedTuple, TypeVar

import numpy as np
from numpy.typing import NDArray

from calc.engine.symbols import symbol
from calc.engine.typeset import LAYERED

Scalar = TypeVar("Scalar", bound=np.generic)
Array = NDArray[np.float64]
Mask = NDArray[np.bool_]

# Formulas sum over the last axis of their inputs: over layers, readings or load strips, which never stand side by side.
AXIS_ORDER = (
    "sample",  # of a study; no chapter has it
    "factor_set", "stage", "ratio", "position", "place", "load", "combination", "stiffness", "scenario", "date",
    "trigger", "point", "operation", "ground", "soil", "neighbour", "piles", "exceeded", "method", "transition",
    "border", "grid", "plane", "strip", "grading", "reading", *LAYERED,
)  # fmt: skip
# Names that axes had in records of earlier programs: fingerprints keep them and records are compared by them, so that
# no mark of a review is lost by a word.
FORMER_AXES = {
    "factor_set": "variant", "scenario": "course", **dict.fromkeys(("grading", *LAYERED), "layer"),
}  # fmt: skip
SUMMED = ("strip", "reading", *LAYERED)
PLACE_OF_AXIS = {name: place for place, name in enumerate(AXIS_ORDER)}


class SheetError(ValueError):
    """A chapter that is put together wrongly: missing symbol, second meaning, axes that do not fit."""


class Axis(NamedTuple):
    """One named axis and its labels."""

    name: str
    labels: tuple[str, ...]


class Taking(NamedTuple):
    """One thing done to the value of a step: labels selected, numbers shifted or reduced, lanes left out.

    ``labels`` are those selected by :meth:`Value.at`, or the axes that a reduction keeps; ``first`` stands at the
    first label of :meth:`Value.before`. ``lacking`` tells of numbers which lanes :meth:`Value.without` leaves out;
    where an array said it, ``lanes`` over ``axes`` hold as long as the steps ``by`` keep their numbers, and for the
    numbers of this run alone where ``by`` is None.
    """

    kind: Literal["at", "before", "largest", "smallest", "without"]
    axis: str = ""
    labels: str | tuple[str, ...] = ()
    first: float = 0.0
    lacking: Callable[[Array], Mask] | None = None
    lanes: Mask | None = None
    axes: tuple[Axis, ...] = ()
    by: tuple[str, ...] | None = None
    reason: str = ""


@dataclass(frozen=True, eq=False)
class Value:
    """Numbers of one symbol over named axes, in coherent units.

    ``array`` has one dimension for each axis. ``mask`` marks the lanes without a number and ``reason`` says in words
    what that means. ``exact`` numbers print as they were typed. ``chosen`` are selections made by :meth:`at`;
    ``taken_at`` those made before the value was carried over under its present symbol. ``earlier`` is the axis along
    which every lane holds the number of the label before its own (:meth:`before`). ``takings`` are all that was done
    to the value of ``step`` since it was recorded, in order.
    """

    symbol: str
    array: Array
    axes: tuple[Axis, ...] = ()
    step: str = ""
    mask: Mask | None = None
    reason: str = ""
    exact: bool = False
    chosen: tuple[tuple[str, str], ...] = ()
    taken_at: tuple[tuple[str, str], ...] = ()
    earlier: Axis | None = None
    takings: tuple[Taking, ...] = ()

    @property
    def axis_names(self) -> tuple[str, ...]:
        """The names of the axes in order."""
        return tuple(axis.name for axis in self.axes)

    def labels(self, name: str) -> tuple[str, ...]:
        """The labels of one axis."""
        for axis in self.axes:
            if axis.name == name:
                return axis.labels
        message = f"{self.symbol} has no axis {name!r}"
        raise SheetError(message)

    def at(self, **wanted: str | Sequence[str]) -> "Value":
        """The value at one label of an axis (the axis goes) or at several (the axis keeps those)."""
        value = self
        for name, labels in wanted.items():
            value = value._take(name, labels)
        return value

    def _take(self, name: str, labels: str | Sequence[str]) -> "Value":
        labels_of_axis = self.labels(name)
        position = self.axis_names.index(name)
        chosen_labels = (labels,) if isinstance(labels, str) else tuple(labels)
        missing = [label for label in chosen_labels if label not in labels_of_axis]
        if missing:
            message = f"{self.symbol} has no {name} {missing}; it has {list(labels_of_axis)}"
            raise SheetError(message)
        index = [labels_of_axis.index(label) for label in chosen_labels]
        takings = (*self.takings, Taking("at", name, labels if isinstance(labels, str) else chosen_labels))
        array, mask = self.array.take(index, axis=position), None
        if self.mask is not None:
            mask = self.mask.take(index, axis=position)
        axes = list(self.axes)
        if not isinstance(labels, str):
            axes[position] = Axis(name, chosen_labels)
            return replace(self, array=array, mask=mask, axes=tuple(axes), takings=takings)
        del axes[position]
        return replace(
            self,
            array=array.squeeze(position),
            mask=None if mask is None else mask.squeeze(position),
            axes=tuple(axes),
            chosen=(*self.chosen, (name, labels)),
            takings=takings,
        )

    def before(self, name: str, first: float) -> "Value":
        """The value one label earlier on an axis, lane by lane; ``first`` stands at the first label.

        To be asked of the whole axis, before any of its labels are selected: what is before is what stands before here.
        """
        labels = self.labels(name)
        position = self.axis_names.index(name)
        array = np.roll(self.array, 1, axis=position)
        start: tuple[slice | int, ...] = (*(slice(None),) * position, 0)
        array[start] = first
        mask = None
        if self.mask is not None:
            mask = np.roll(self.mask, 1, axis=position)
            mask[start] = False
        takings = (*self.takings, Taking("before", name, labels, first))
        return replace(self, array=array, mask=mask, earlier=Axis(name, labels), takings=takings)

    def read_at(self, case: Mapping[str, str]) -> dict[str, str] | None:
        """The case at which the value's own step holds what stands here at a case; None before the first label."""
        there = {**case, **dict(self.chosen)}
        if self.earlier is not None and self.earlier.name in there:
            position = self.earlier.labels.index(there[self.earlier.name])
            if not position:
                return None
            there[self.earlier.name] = self.earlier.labels[position - 1]
        return there

    def largest(self, *kept: str) -> "Value":
        """The largest number over all axes but these; a lane has none where none of its cases has one."""
        return self._extreme(kept, 1.0)

    def smallest(self, *kept: str) -> "Value":
        """The smallest number over all axes but these; a lane has none where none of its cases has one."""
        return self._extreme(kept, -1.0)

    def _extreme(self, kept: tuple[str, ...], sign: float) -> "Value":
        over = tuple(k for k, axis in enumerate(self.axes) if axis.name not in kept)
        mask = np.asarray(~self.valid.any(axis=over))
        array = sign * np.where(self.valid, sign * self.array, -np.inf).max(axis=over)
        return replace(
            self,
            array=np.where(mask, np.nan, array),
            axes=tuple(axis for axis in self.axes if axis.name in kept),
            mask=mask if mask.any() else None,
            takings=(*self.takings, Taking("largest" if sign > 0 else "smallest", labels=kept)),
        )

    def lanes(self, **at: str) -> Any:
        """The array as nested lists in the order of the axes, at one label of some; None where a lane has no number."""
        where = tuple(axis.labels.index(at[axis.name]) if axis.name in at else slice(None) for axis in self.axes)
        lanes = np.asarray(self.array[where])
        if self.mask is not None and (lacking := self.mask[where]).any():
            lanes = lanes.astype(object)
            lanes[lacking] = None
        return lanes.tolist()

    def index(self, case: Mapping[str, str]) -> tuple[int, ...]:
        """Where a case lies in the array; the case may name more axes than the value has."""
        return tuple(axis.labels.index(case[axis.name]) for axis in self.axes)

    def number(self, case: Mapping[str, str]) -> float | None:
        """The number at a case; None where the lane has no number."""
        where = self.index(case)
        if self.mask is not None and self.mask[where]:
            return None
        return float(self.array[where])

    def case_at(self, flat_index: int) -> dict[str, str]:
        """The case of one lane, given by its flat index."""
        where = np.unravel_index(flat_index, self.array.shape)
        return {axis.name: axis.labels[int(k)] for axis, k in zip(self.axes, where, strict=True)}

    def without(
        self, mask: Mask | Callable[[Array], Mask], reason: str, *, by: "Sequence[Value] | None" = None
    ) -> "Value":
        """The value with some lanes left out, for a formula that has no meaning there.

        A function tells of the numbers which lanes these are, so that it can be asked again of other numbers. Where an
        array says it, ``by`` are the values that decide it, none where only what the project file asks for does.
        """
        if callable(mask):
            taking, left_out = Taking("without", lacking=mask, reason=reason), mask(self.array) & self.valid
        else:
            steps = None if by is None else tuple(value.step for value in by)
            taking, left_out = Taking("without", lanes=mask, axes=self.axes, by=steps, reason=reason), mask
        takings = (*self.takings, taking)
        if not left_out.any():
            return replace(self, takings=takings)
        joined = left_out | ~self.valid
        array = np.where(joined, np.nan, self.array)
        return replace(self, array=array, mask=joined, reason=reason, takings=takings)

    @cached_property
    def lacks(self) -> bool:
        """Whether any lane has no number."""
        return self.mask is not None and bool(self.mask.any())

    @property
    def valid(self) -> Mask:
        """The lanes which have a number."""
        return np.ones(self.array.shape, dtype=bool) if self.mask is None else ~self.mask


def union_axes(values: Iterable[Value]) -> tuple[Axis, ...]:
    """All axes of some values in canonical order; shared axes must have the same labels."""
    by_name: dict[str, tuple[tuple[str, ...], str]] = {}
    most: tuple[Axis, ...] = ()
    for value in values:
        if value.axes is most:
            continue
        most = max(most, value.axes, key=len)
        for axis in value.axes:
            known = by_name.setdefault(axis.name, (axis.labels, value.symbol))
            if known[0] is not axis.labels and known[0] != axis.labels:
                message = (
                    f"the axis {axis.name!r} of {value.symbol} has labels {list(axis.labels)},"
                    f" that of {known[1]} has {list(known[0])}"
                )
                raise SheetError(message)
    names = sorted(by_name, key=PLACE_OF_AXIS.__getitem__)
    return most if [axis.name for axis in most] == names else tuple(Axis(name, by_name[name][0]) for name in names)


def spread(array: NDArray[Scalar], axes: tuple[Axis, ...], wanted: tuple[Axis, ...]) -> NDArray[Scalar]:
    """The array with its axes in the wanted order, and length-1 dimensions for the axes that it does not have."""
    if axes == wanted:
        return array
    if not axes:
        return array.reshape((1,) * len(wanted))
    names = [axis.name for axis in axes]
    sizes = dict(zip(names, array.shape, strict=True))
    shape = [sizes.get(axis.name, 1) for axis in wanted]
    order = [names.index(axis.name) for axis in wanted if axis.name in sizes]
    return (array if order == [*range(len(names))] else array.transpose(order)).reshape(shape)


def or_else(value: Value, other: Value) -> Value:
    """The value where it has a number, and another one where it has none."""
    axes = union_axes((value, other))
    array = np.where(spread(value.valid, value.axes, axes), spread(value.array, value.axes, axes),
                     spread(other.array, other.axes, axes))  # fmt: skip
    return Value(value.symbol, array, axes)


def largest_of(*values: Value) -> Value:
    """The largest of several values, lane by lane; all of them must have the lanes that have a number."""
    axes = union_axes(values)
    arrays = [spread(np.where(value.valid, value.array, -np.inf), value.axes, axes) for value in values]
    return Value(values[0].symbol, np.max(np.stack(np.broadcast_arrays(*arrays)), axis=0), axes)


def largest_with_first(*values: Value) -> Value:
    """The largest of several values, lane by lane; none where the first has none."""
    largest, first = largest_of(*values), values[0]
    none = np.broadcast_to(spread(~first.valid, first.axes, largest.axes), largest.array.shape)
    return largest.without(none, first.reason)


def refuse_other_unit(where: str, name: str, other: str) -> None:
    """Refuse that one symbol takes the place of another with a different unit inside."""
    if name != other and symbol(name).unit != symbol(other).unit:
        message = f"{where}: {other} in {symbol(other).unit} cannot stand for {name} in {symbol(name).unit}"
        raise SheetError(message)
