"""Scopes: where symbols are given or derived once, in order, each with its record."""

from collections.abc import Callable, Sequence
from dataclasses import dataclass, field, replace
from typing import TYPE_CHECKING

import numpy as np
from numpy.typing import ArrayLike

from calc.engine.formula import Formula, FormulaError, Source
from calc.engine.sheet.evaluation import evaluate
from calc.engine.sheet.steps import Again, Input, Origin, Procedure, Step, Winner
from calc.engine.sheet.values import Array, Axis, Mask, SheetError, Value, largest_of, or_else, refuse_other_unit
from calc.engine.symbols import symbol

if TYPE_CHECKING:
    from calc.engine.sheet.sheet import Sheet

PROJECT_RULE = Source("project rule", "derived")


@dataclass
class Scope:
    """A named set of symbols. Reads fall through to the chapter, writes are local."""

    sheet: "Sheet"
    name: str = ""
    title: str = ""
    values: dict[str, Value] = field(default_factory=dict)

    def __getitem__(self, name: str) -> Value:
        """The value of a symbol, here or in the chapter."""
        if name in self.values:
            return self.values[name]
        if self.name and name in self.sheet.values:
            return self.sheet.values[name]
        message = f"{self.where}: the symbol {name!r} has no value yet"
        raise SheetError(message)

    def __contains__(self, name: str) -> bool:
        """Whether a symbol has a value here or in the chapter."""
        return name in self.values or (bool(self.name) and name in self.sheet.values)

    @property
    def where(self) -> str:
        """The key of the scope in records."""
        return f"{self.sheet.section}/{self.sheet.key}/{self.name or '-'}"

    def given(
        self,
        name: str,
        array: ArrayLike,
        axes: Sequence[str] = (),
        *,
        origin: Origin | Sequence[Origin],
        origin_axis: str = "",
        note: str = "",
    ) -> Value:
        """Give a symbol its value from outside the calculation, with the place it comes from."""
        origins = (origin,) if isinstance(origin, Origin) else tuple(origin)
        made = self._value(name, np.asarray(array, dtype=float), axes, exact=True)
        step = Step(
            made.step, "given", self.name, name, symbol(name).meaning, made,
            origins=origins, origin_axis=origin_axis, note=note,
        )  # fmt: skip
        return self._record(step)

    def take(self, name: str, value: Value, note: str = "", again: Again | None = None) -> Value:
        """Carry a value of an earlier chapter or another scope over under the symbol ``name``.

        ``again`` says which label of it was taken, where that hangs on numbers.
        """
        refuse_other_unit(self.where, name, value.symbol)
        key = f"{self.where}/{name}"
        made = replace(value, symbol=name, step=key, chosen=(), taken_at=value.taken_at + value.chosen, earlier=None,
                       takings=())  # fmt: skip
        origin = Origin("step", text=value.symbol, path=value.step)
        step = Step(
            key, "given", self.name, name, symbol(name).meaning, made,
            inputs={value.symbol: Input(value.symbol, value)}, origins=(origin,), note=note,
            again=again,
        )  # fmt: skip
        return self._record(step)

    def __call__(self, formula: Formula, **changes: str | Value) -> Value:
        """Apply a formula. ``K_a="K_ac"`` renames a symbol; ``F_G=value`` puts a value in its place."""
        change = changes.get(formula.symbol)
        result = change if isinstance(change, str) else formula.symbol
        where = self.where
        refuse_other_unit(where, formula.symbol, result)
        inputs = {name: self._input(name, changes.get(name, name)) for name in formula.arguments}
        stray = changes.keys() - inputs.keys() - ({formula.symbol} if isinstance(change, str) else set())
        if stray:
            message = f"{where}: {formula.id} has no symbols {sorted(stray)}"
            raise SheetError(message)
        made = evaluate(formula, result, inputs, where)
        title = formula.title if result == formula.symbol else _as_title(symbol(result).meaning)
        step = Step(made.step, "formula", self.name, result, title, made, inputs, formula, formula.source)
        return self._record(step)

    def reading(
        self,
        name: str,
        array: ArrayLike,
        axes: Sequence[str] = (),
        *,
        title: str,
        source: Source = PROJECT_RULE,
        inputs: Sequence[Value] = (),
        origins: Sequence[Origin] = (),
        mask: Mask | None = None,
        reason: str = "",
        note: str = "",
        moves: tuple[str, ...] = (),
        again: Again | None = None,
    ) -> Value:
        """Record a table look-up, a selection or an interpolation that is not an equation.

        It rests on ``inputs``, and on fields of the project file by ``origins``. Where it takes its inputs at another
        label of an axis than its own, as at the stage before, ``moves`` names the axis and ``note`` says which.
        ``again`` says how it follows from recorded values, of which ``inputs`` are those that are printed.
        """
        made = self._value(name, np.asarray(array, dtype=float), axes, mask=mask, reason=reason)
        read = _by_symbol(inputs)
        step = Step(
            made.step, "reading", self.name, name, title, made, read, source=source, origins=tuple(origins), note=note,
            moves=moves, again=again,
        )  # fmt: skip
        return self._record(step)

    def largest(
        self,
        name: str,
        values: Sequence[Value],
        *,
        title: str,
        preferred: Mask | None = None,
        mask: Mask | None = None,
        reason: str = "",
        by: Callable[..., Value] | None = None,
    ) -> Value:
        """The largest of several values with the same axes, lane by lane; the record keeps which one it was.

        Where ``preferred`` holds, the last of the values does not count. With either of it and ``mask``, ``by`` is the
        function of the values that says the same of other numbers.
        """
        arrays = np.array([np.where(value.valid, value.array, -np.inf) for value in values])
        rule = largest_of if preferred is None and mask is None else by
        again = Again(rule, tuple(values)) if rule else None
        if preferred is not None:
            arrays[-1][preferred] = -np.inf
        made = self.reading(
            name, arrays.max(axis=0), values[0].axis_names, inputs=values, mask=mask, reason=reason, title=title,
            again=again,
        )  # fmt: skip
        self.sheet.winners[made.step] = Winner(arrays.argmax(axis=0), tuple(value.step for value in values))
        return made

    def otherwise(self, name: str, value: Value, instead: Value | float, *, title: str, note: str) -> Value:
        """The value where it has a number, and a stated other value where it has none."""
        other = instead if isinstance(instead, Value) else Value(name, np.asarray(instead, dtype=float))
        again = Again(or_else, (value, other))
        made = again.value()
        inputs = [value, other] if isinstance(instead, Value) else [value]
        return self.reading(name, made.array, made.axis_names, title=title, inputs=inputs, note=note, again=again)

    def solved(
        self,
        name: str,
        array: ArrayLike,
        axes: Sequence[str],
        *,
        title: str,
        source: Source,
        inputs: Sequence[str | Value],
        procedure: Procedure,
        mask: Mask | None = None,
        reason: str = "",
        note: str = "",
        again: Again | None = None,
    ) -> Value:
        """Record the unknown that a procedure found; :meth:`confirm` must follow."""
        made = self._value(name, np.asarray(array, dtype=float), axes, mask=mask, reason=reason)
        read = _by_symbol([self[item] if isinstance(item, str) else item for item in inputs])
        step = Step(
            made.step, "procedure", self.name, name, title, made, read,
            source=source, note=note, procedure=procedure, again=again,
        )  # fmt: skip
        self.sheet.unconfirmed.add(step.key)
        return self._record(step)

    def confirm(self, name: str, *, tolerance: float) -> None:
        """Assert the residual of a procedure through the registered formula of its residual symbol."""
        key = f"{self.where}/{name}"
        matches = [(k, step) for k, step in enumerate(self.sheet.steps) if step.key == key]
        if not matches or matches[0][1].procedure is None:
            message = f"{key} is not the unknown of a procedure"
            raise SheetError(message)
        position, step = matches[0]
        procedure = matches[0][1].procedure
        residual = self[procedure.residual_symbol]
        if not self._relies_on(residual.step, key):
            message = f"{key}: the residual {residual.symbol} does not rest on it through formulas"
            raise SheetError(message)
        worst = float(np.max(np.abs(residual.array), where=residual.valid, initial=0.0))
        if not worst <= tolerance:
            message = f"{key}: the residual {residual.symbol} is {worst:.3g}, allowed {tolerance:.3g}"
            raise FormulaError(message)
        self.sheet.steps[position] = replace(step, procedure=replace(procedure, residual=worst))
        self.sheet.unconfirmed.discard(key)

    def _relies_on(self, key: str, wanted: str) -> bool:
        """Whether a step of this chapter goes back to another one; only formulas and values taken over lead on."""
        steps = {step.key: step for step in self.sheet.steps if step.kind in {"formula", "given"}}
        pending, seen = [key], {key}
        while pending:
            step = steps.get(pending.pop())
            before = {argument.value.step for argument in step.inputs.values()} if step else set[str]()
            pending.extend(before - seen)
            seen |= before
        return wanted in seen - {key}

    def _input(self, name: str, change: str | Value) -> Input:
        made = Input(change, self[change]) if isinstance(change, str) else Input(name, change)
        if made.value.symbol != name:
            refuse_other_unit(self.where, name, made.value.symbol)
        return made

    def _value(
        self, name: str, array: Array, axes: Sequence[str], *, mask: Mask | None = None, reason: str = "",
        exact: bool = False,
    ) -> Value:  # fmt: skip
        symbol(name)
        unknown = [axis for axis in axes if axis not in self.sheet.axes]
        if unknown:
            message = f"{self.where}: the chapter has no axis {unknown[0]!r} for {name}"
            raise SheetError(message)
        axes_of_value = tuple(Axis(axis, self.sheet.axes[axis]) for axis in axes)
        shape = tuple(len(axis.labels) for axis in axes_of_value)
        if array.shape != shape:
            message = f"{self.where}: {name} has shape {array.shape}, its axes {list(axes)} ask for {shape}"
            raise SheetError(message)
        masked = mask if mask is not None and mask.any() else None
        # A copy: what is recorded does not change with the caller's array, and a lane without number has none.
        kept = np.array(array) if masked is None else np.where(masked, np.nan, array)
        if not np.isfinite(kept if masked is None else kept[~masked]).all():
            message = f"{self.where}: {name} is not a finite number in every lane"
            raise FormulaError(message)
        return Value(
            name, kept, axes_of_value, f"{self.where}/{name}", masked, reason if masked is not None else "", exact
        )

    def _record(self, step: Step) -> Value:
        if step.symbol in self.values:
            message = f"{self.where}: the symbol {step.symbol!r} would get a second meaning"
            raise SheetError(message)
        self.values[step.symbol] = step.value
        self.sheet.steps.append(step)
        return step.value


def _by_symbol(values: Sequence[Value]) -> dict[str, Input]:
    """Inputs under their symbols, later ones of the same symbol under the key of their step."""
    read: dict[str, Input] = {}
    for value in values:
        read[value.step if value.symbol in read else value.symbol] = Input(value.symbol, value)
    return read


def _as_title(meaning: str) -> str:
    """What a renamed result is: a general formula does not say which of its uses this is."""
    return meaning[0].upper() + meaning[1:]
