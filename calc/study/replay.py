"""Utilisations of verdicts for many sets of inputs, by evaluating the recorded steps of a finished run again.

The record of a run is the calculation: a verdict goes back through formulas, selections and procedures to fields of the
project file. With other numbers in some of these the same steps are evaluated again, all samples at once, and nothing
is written a second time. What the record does not hold (a division into sublayers, a search, a branch on a number) is
refused where it would matter. The steps and their cases are those of the design run: a branch that numbers far from it
would take is seen by running the chain there (`confirm`). Slip searches are left out: their surfaces move with the
inputs, and the record has only what they found.
"""

from collections.abc import Callable, Mapping, Sequence
from functools import lru_cache, partial
from math import prod

import numpy as np
from numpy.typing import NDArray

from calc.chain import CalculationError, Run, SectionRun
from calc.engine.sheet import Axis, Input, Sheet, SheetError, Value, Verdict
from calc.engine.sheet.evaluation import evaluate_as_it_is
from calc.engine.sheet.steps import Step
from calc.engine.sheet.values import spread, union_axes
from calc.engine.typeset import LAYERED
from calc.inputs import Design, Section
from calc.procedures.memory import keep_memory
from calc.procedures.workers import Workers
from calc.study.changed import number_at, with_numbers
from calc.study.chapters import chapters
from calc.study.replay_plan import (
    Labels,
    Plan,
    UnfollowedError,
    narrowed,
    plan_of,
    read,
    substituted,
    whole_of,
)

Floats = NDArray[np.float64]

LANES = 400_000  # numbers of the largest step that are held at once
SAME = 1e-10  # relative difference of a utilisation from that of the whole chain
NUDGE, APART = 0.01, 0.0007  # changes at which the construction confirms the record, different for every input


class Replay:
    """Utilisations (effect over resistance) of some verdicts of a section for any numbers in some of its inputs.

    ``verdicts`` are keys as in docs/verdicts.md, "sleeve/ring_tension"; ``inputs`` paths of the project file, as
    "layer.peat.E_oed_ref", in coherent units (kN, m, kPa, rad, day). ``only`` restricts the cases of a verdict to some
    labels of its axes; without it all cases of the run are evaluated and the largest utilisation counts. ``ranges``
    are the least and the most of inputs at which the chain is run as well, one by one: between numbers that were not
    looked at, a branch of the chapters (the heavier of two fills) may turn without a step that says so. ``chain`` gives
    the sheets of a design and section up to a chapter, by default those of the chain without slip surfaces.

    Where a replay of the same verdicts and inputs of this run is ``confirmed``, the chain is not run for it again.

    ``followed`` has the inputs that reach each verdict, ``limits`` the utilisation that each verdict allows.
    ``UnfollowedError`` names an input that reaches a verdict otherwise than the record says, and why.
    """

    def __init__(
        self,
        run: Run,
        design: Design,
        section_key: str,
        verdicts: Sequence[str],
        inputs: Sequence[str],
        only: Mapping[str, Labels] | None = None,
        ranges: Mapping[str, tuple[float, float]] | None = None,
        chain: "Chain | None" = None,
        *,
        confirmed: bool = False,
    ) -> None:
        self.design = design
        self._chain = chain or _without_slip
        self.part = _part(run, section_key)
        self.inputs = tuple(inputs)
        self.base = {path: number_at(design, self.part.section, path) for path in inputs}
        self.verdicts = {name: _verdict(self.part, name) for name in verdicts}
        self.plan = plan_of(self.part.sheets, self.verdicts, self.inputs, only or {})
        self.followed = {name: self._reaching(name) for name in verdicts}
        self.limits = {name: verdict.limit for name, verdict in self.verdicts.items()}
        self.reasons: dict[int, str] = {}
        self._constants = {name: self._restricted_ratio(name, verdict) for name, verdict in self.verdicts.items()}
        self._last = _last_readers(self.plan)
        sizes = [
            prod(len(self.plan.needed[key][axis.name]) for axis in step.value.axes)
            for key, step in self.plan.steps.items()
        ]
        self._rows = max(1, LANES // max([1, *sizes]))
        self._refuse_derived()
        if not confirmed:
            self._refuse_unrecorded()
        for path, ends in (ranges or {}).items():
            for end in ends:
                self._compare({**self.base, path: end}, (path,))

    def __call__(self, values: Mapping[str, Floats], workers: int | None = None) -> dict[str, Floats]:
        """The utilisation of every verdict by sample; values of an input that is not named stay those of the design.

        A sample for which the calculation has no solution has infinity, and `reasons` says why by its place. The
        numbers are the same for any number of ``workers``, forked processes; None works here.
        """
        columns = self._columns(values)
        count = len(next(iter(columns.values())))
        starts = range(0, count, self._rows)
        work = partial(self._chunk, columns)
        made = self._by_workers(work, starts, workers) if workers and workers > 1 else {}
        self.reasons = {}
        by_verdict = {name: np.empty(count) for name in self.verdicts}
        for place, start in enumerate(starts):
            utilisations, reasons = made[place] if place in made else work(start)
            for name, array in utilisations.items():
                by_verdict[name][start : start + self._rows] = array
            self.reasons |= {start + row: why for row, why in reasons.items()}
        return by_verdict

    def confirm(self, values: Mapping[str, float]) -> None:
        """Run the chapters of the chain with these numbers and compare every utilisation.

        ``UnfollowedError`` names the verdict and the first step that differs.
        """
        self._compare({**self.base, **values}, self.inputs)

    def _columns(self, values: Mapping[str, Floats]) -> dict[str, Floats]:
        unknown = sorted(set(values) - set(self.inputs))
        sizes = {np.shape(array) for array in values.values()}
        if unknown or len(sizes) != 1 or len(next(iter(sizes))) != 1:
            message = (f"values must be arrays of one length for some of {list(self.inputs)} "
                       f"(got {sorted(values)} with shapes {sorted(sizes)})")  # fmt: skip
            raise ValueError(message)
        return {path: np.asarray(array, dtype=np.float64) for path, array in values.items()}

    def _by_workers(self, work: "partial[Chunk]", starts: Sequence[int], workers: int) -> "dict[int, Chunk]":
        others = Workers(workers)
        try:
            return others.work_out(work, starts, lambda: None)
        finally:
            others.end()

    def _chunk(self, columns: Mapping[str, Floats], start: int) -> "Chunk":
        keep_memory()
        rows = {path: array[start : start + self._rows] for path, array in columns.items()}
        return self._solved(rows)

    def _solved(self, rows: Mapping[str, Floats]) -> "Chunk":
        """Some samples at once; halved where a procedure has no solution, down to the samples that have none."""
        count = len(next(iter(rows.values())))
        try:
            return self._evaluated(rows, count)
        except (ArithmeticError, SheetError) as error:
            if count == 1:
                return {name: np.array([np.inf]) for name in self.verdicts}, {0: str(error)}
        half = count // 2
        first = self._solved({path: array[:half] for path, array in rows.items()})
        second = self._solved({path: array[half:] for path, array in rows.items()})
        joined = {name: np.concatenate([first[0][name], second[0][name]]) for name in self.verdicts}
        return joined, {**first[1], **{half + row: why for row, why in second[1].items()}}

    def _evaluated(self, rows: Mapping[str, Floats], count: int) -> "Chunk":
        samples = Axis("sample", _labels(count))
        columns = {path: Value("sample", array, (samples,)) for path, array in rows.items()}
        columns |= {path: Value("sample", np.full(count, self.base[path]), (samples,))
                    for path in self.inputs if path not in columns}  # fmt: skip
        evaluated: dict[str, Value] = {}
        reasons: dict[int, str] = {}
        for key, step in self.plan.steps.items():
            evaluated[key] = self._step(key, step, columns, evaluated)
            _note_lost(reasons, evaluated[key], f"{key} is no finite number")
            for done in self._last.get(key, ()):
                del evaluated[done]
        utilisations = {}
        for name, verdict in self.verdicts.items():
            if not self.followed[name]:
                utilisations[name] = np.full(count, self._constants[name])
                continue
            sides = [self._read(name, side, value, evaluated, self.plan_labels(name), ())
                     for side, value in zip(("effect", "resistance"), _sides(verdict), strict=True)]  # fmt: skip
            ratio = _ratio(*sides)
            utilisations[name] = np.broadcast_to(ratio, (count,)).copy()
            for row in np.flatnonzero(~np.isfinite(utilisations[name])):
                reasons.setdefault(int(row), f"{name}: no case has an effect and a positive resistance")
        for array in utilisations.values():
            array[list(reasons)] = np.inf
        return utilisations, reasons

    def plan_labels(self, name: str) -> Labels:
        """The cases of a verdict that are evaluated."""
        return self.plan.needed[name]

    def _step(self, key: str, step: Step, columns: Mapping[str, Value], evaluated: Mapping[str, Value]) -> Value:
        labels = self.plan.needed[key]
        reads = {
            name: self._read(key, name, value, evaluated, labels, whole_of(step))
            for name, value in self.plan.reads[key].items()
        }
        if step.again is not None:
            made = step.again.function(*reads.values())
        elif step.formula is not None:
            inputs = {name: Input(step.inputs[name].symbol, value) for name, value in reads.items()}
            made = evaluate_as_it_is(step.formula, step.symbol, inputs, key)
        elif reads:
            (made,) = reads.values()
        else:
            paths = [path for path in self.inputs if any(origin.path == path for origin in step.origins)]
            made = substituted(step, labels, paths, columns)
        return Value(step.symbol, made.array, made.axes, key, made.mask, made.reason)

    def _read(
        self, key: str, name: str, value: Value, evaluated: Mapping[str, Value], labels: Labels, whole: tuple[str, ...]
    ) -> Value:  # fmt: skip
        if value.step in self.plan.steps:
            return read(evaluated[value.step], self.plan.routes[key, name])
        return narrowed(value, {axis: kept for axis, kept in labels.items() if axis not in whole})

    def _reaching(self, name: str) -> tuple[str, ...]:
        reached = frozenset[str]().union(
            *(self.plan.paths.get(side.step, frozenset()) for side in _sides(self.verdicts[name]))
        )
        return tuple(path for path in self.inputs if path in reached)

    def _refuse_derived(self) -> None:
        """A given that is not the number of its field but made of it cannot be replaced by a number of the field."""
        for key, step in self.plan.steps.items():
            if step.kind != "given" or step.inputs:
                continue
            for path in self.plan.paths[key]:
                kept = substituted(step, {}, [path], {path: Value("sample", np.array([self.base[path]]), (_ONE,))})
                if not np.array_equal(kept.array[0], step.value.array, equal_nan=True):
                    message = f"{path} cannot be followed: the record does not say how {key} is made of it"
                    raise UnfollowedError(message)

    def _refuse_unrecorded(self) -> None:
        """Run the chain with all inputs changed a little, up and down; an input that differs by itself is named."""
        for sign in (1.0, -1.0):
            numbers = {path: _nudged_number(self.base[path], sign, k) for k, path in enumerate(self.inputs)}
            try:
                self._compare(numbers, self.inputs)
            except UnfollowedError:
                for path in self.inputs:
                    self._compare({**self.base, path: numbers[path]}, (path,))
                raise

    def _compare(self, numbers: Mapping[str, float], changed: Sequence[str]) -> None:
        which = ", ".join(changed)
        rooms = [sheet.key for sheet in self.part.sheets]
        last = max((name.partition("/")[0] for name in self.verdicts), key=rooms.index)
        try:
            sheets = self._chain(*with_numbers(self.design, self.part.section, numbers), last)
        except CalculationError as error:
            message = f"{which} cannot be followed: {error}"
            raise UnfollowedError(message) from None
        steps = {step.key: step for sheet in sheets.values() for step in sheet.steps}
        own = self._solved({path: np.array([number]) for path, number in numbers.items()})[0]
        for name in self.verdicts:
            self._refuse_other_constants(name, which, changed, steps)
            room, _, key = name.partition("/")
            there = next((verdict for verdict in sheets[room].verdicts if verdict.key == key), None)
            expected = None if there is None or there.sides is None else self._restricted_ratio(name, there)
            if expected is None or not abs(own[name][0] - expected) <= SAME * max(abs(expected), SAME):
                message = (f"{which} cannot be followed to {name}: the chain finds {expected}, the record "
                           f"{own[name][0]}")  # fmt: skip
                raise UnfollowedError(message)

    def _restricted_ratio(self, name: str, verdict: Verdict) -> float:
        return float(np.max(_ratio(*(narrowed(side, self.plan_labels(name)) for side in _sides(verdict)))))

    def _refuse_other_constants(
        self, name: str, which: str, changed: Sequence[str], steps: Mapping[str, Step]
    ) -> None:  # fmt: skip
        """Refuse a step that is no constant although the record says so, the first one in the order of the chain."""
        before = {step.key: step for sheet in self.part.sheets for step in sheet.steps}
        for key in self.plan.descents[name]:
            if not self.plan.paths.get(key, frozenset()).isdisjoint(changed) and key in steps:
                continue
            known, there = before[key].value, steps.get(key)
            if there is None or there.value.axes != known.axes or not np.allclose(
                there.value.array, known.array, rtol=SAME, atol=0.0, equal_nan=True
            ):  # fmt: skip
                message = (f"{which} cannot be followed to {name}: {key} changes with it by a way that the record does "
                           "not hold")  # fmt: skip
                raise UnfollowedError(message)


Chunk = tuple[dict[str, Floats], dict[int, str]]
Chain = Callable[[Design, Section, str], Mapping[str, Sheet]]
_ONE = Axis("sample", ("0",))


def _without_slip(design: Design, section: Section, until: str) -> Mapping[str, Sheet]:
    return chapters(design, section.without_slip(), until=until)


def governing(verdict: Verdict) -> Labels:
    """The governing case of a verdict for ``only``: all sublayers, of every other axis the label that governs."""
    return {axis: (label,) for axis, label in verdict.case.items() if axis not in LAYERED}


def _part(run: Run, section_key: str) -> SectionRun:
    part = next((part for part in run.sections if part.section.key == section_key), None)
    if part is None:
        message = f"the run has no section {section_key} (it has {[part.section.key for part in run.sections]})"
        raise UnfollowedError(message)
    if part.section.embankment.is_cored:
        message = f"section {section_key} has zones of the fill that end within the bank, which are not evaluated again"
        raise UnfollowedError(message)
    if part.section.by_zones() or part.section.slopes or part.section.zone or part.section.position:
        message = f"section {section_key} reads zones of its columns or positions across, which are not evaluated again"
        raise UnfollowedError(message)
    return part


def _verdict(part: SectionRun, name: str) -> Verdict:
    room, _, key = name.partition("/")
    sheets: dict[str, Sheet] = {sheet.key: sheet for sheet in part.sheets}
    named = [verdict for verdict in sheets[room].verdicts if verdict.key == key] if room in sheets else []
    if not named or named[0].utilisation is None or named[0].sides is None:
        why = named[0].note if named else "it is no verdict of this run"
        message = f"{name} has no utilisation in section {part.section.key}: {why}"
        raise UnfollowedError(message)
    return named[0]


def _sides(verdict: Verdict) -> tuple[Value, Value]:
    assert verdict.sides is not None  # noqa: S101 - verdicts without are refused
    return verdict.sides


def _ratio(effect: Value, resistance: Value) -> Floats:
    """The largest utilisation over all cases by sample; minus infinity without a case, NaN where a resistance fails."""
    axes = union_axes((effect, resistance))
    load, strength = (spread(side.array, side.axes, axes) for side in (effect, resistance))
    valid = np.broadcast_to(spread(effect.valid, effect.axes, axes), np.broadcast_shapes(load.shape, strength.shape))
    with np.errstate(all="ignore"):
        ratio = np.where(valid, np.where(strength > 0, load / strength, np.nan), -np.inf)
    over = tuple(range(1, ratio.ndim)) if axes and axes[0].name == "sample" else None
    return np.asarray(ratio.max(axis=over))


def _last_readers(plan: Plan) -> dict[str, list[str]]:
    """By step the followed ones that nothing reads after it; a verdict reads to the end."""
    last: dict[str, str] = {}
    for key in plan.steps:
        for value in plan.reads[key].values():
            if value.step in plan.steps:
                last[value.step] = key
    kept = {side.step for verdict in plan.verdicts.values() for side in _sides(verdict)}
    done: dict[str, list[str]] = {}
    for step, reader in last.items():
        if step not in kept:
            done.setdefault(reader, []).append(step)
    return done


@lru_cache(8)
def _labels(count: int) -> tuple[str, ...]:
    return tuple(str(k) for k in range(count))


def _note_lost(reasons: dict[int, str], value: Value, why: str) -> None:
    """Note the samples in which a lane that has a number has no finite one."""
    finite = np.isfinite(value.array)
    if finite.all():
        return
    lost = ~finite & value.valid
    if lost.any() and value.axes and value.axes[0].name == "sample":
        for row in np.flatnonzero(lost.reshape(len(lost), -1).any(axis=1)):
            reasons.setdefault(int(row), why)


def _nudged_number(number: float, sign: float, place: int) -> float:
    return number * (1 + sign * (NUDGE + APART * place)) if number else (NUDGE if sign > 0 else 0.0)
