"""What is different between two recorded runs: inputs, results beyond a tolerance, verdicts, steps to check again."""

from collections import Counter
from collections.abc import Iterator
from dataclasses import dataclass
from functools import cached_property
from itertools import product
from typing import Any, Literal

import numpy as np

from calc.archive.record.recorded import Placed, Recorded, RecordedStep, RecordedVerdict, Software, Typed

Kind = Literal["new", "gone", "changed"]
# Differences of numbers that should be zero are rounding: far below the last digit of anything that is printed.
ZERO = 1e-9
RESULTS_OF_TESTS = "file of results of tests"


@dataclass(frozen=True, slots=True)
class InputChange:
    """One value of the project file; None where it does not stand in that revision."""

    path: str
    before: Typed | None
    after: Typed | None


@dataclass(frozen=True, slots=True)
class StepChange:
    """One step that is new, gone, or has another fingerprint.

    `why` says which of equation, what it rests on, cases, numbers differ. `largest` is the largest difference over all
    cases that both have, relative to the larger of the two numbers; None where no number can be compared.
    """

    kind: Kind
    section: str
    chapter: str
    key: str
    number: str
    title: str
    why: tuple[str, ...]
    before: str
    after: str
    largest: float | None
    beyond: bool


@dataclass(frozen=True, slots=True)
class VerdictChange:
    """One verdict that is new, gone, turned to another state, or moved beyond the tolerance."""

    section: str
    chapter: str
    title: str
    before: RecordedVerdict | None
    after: RecordedVerdict | None

    @property
    def turned(self) -> bool:
        """Whether the state is another one, in words where both say it in words."""
        if self.before is None or self.after is None:
            return True
        both = bool(self.before.stamp and self.after.stamp)
        return self.before.state != self.after.state or (both and self.before.words != self.after.words)


@dataclass(frozen=True)
class Changes:
    """Everything that is different, in the order of the later revision."""

    tolerance: float
    inputs: tuple[InputChange, ...]
    steps: tuple[StepChange, ...]
    verdicts: tuple[VerdictChange, ...]
    outcomes: tuple[str, str]
    programs: tuple[Software, Software]
    step_counts: dict[tuple[str, str], int]

    @cached_property
    def results(self) -> tuple[StepChange, ...]:
        """Steps of both whose numbers differ beyond the tolerance, largest first."""
        changes = [step for step in self.steps if step.kind == "changed" and step.beyond]
        return tuple(sorted(changes, key=lambda change: -(change.largest if change.largest is not None else np.inf)))

    @cached_property
    def to_check(self) -> tuple[StepChange, ...]:
        """Steps that have to be checked again."""
        return tuple(step for step in self.steps if step.kind != "gone")

    @cached_property
    def turned(self) -> tuple[VerdictChange, ...]:
        """Verdicts with another state than before, new and gone ones among them."""
        return tuple(verdict for verdict in self.verdicts if verdict.turned)

    def count(self, kind: Kind) -> int:
        """How many steps are new, gone or changed."""
        return sum(step.kind == kind for step in self.steps)

    def chapters(self) -> list[tuple[str, str, int, int]]:
        """Section, chapter, steps to check again, all steps: of every chapter that has any to check."""
        counts = Counter((change.section, change.chapter) for change in self.to_check)
        return [(*place, counts[place], self.step_counts[place]) for place in self.step_counts if counts[place]]


def percent_text(share: float) -> str:
    """A relative difference in per cent."""
    return f"{100 * share:.3g} %"


def compare(before: Recorded, after: Recorded, tolerance: float) -> Changes:
    """Compare two runs; `tolerance` is the relative difference up to which a number counts as the same."""
    return Changes(
        tolerance=tolerance,
        inputs=(*_inputs(before.provenance, after.provenance), *_data(before, after)),
        steps=tuple(_steps(before.steps(), after.steps(), tolerance)),
        verdicts=tuple(_verdicts(before, after, tolerance)),
        outcomes=(before.outcome, after.outcome),
        programs=(before.software, after.software),
        step_counts={(section.key, check.title): len(check.steps) for section, check in after.chapters()},
    )


def _inputs(before: dict[str, Typed], after: dict[str, Typed]) -> Iterator[InputChange]:
    for path in dict.fromkeys((*after, *before)):
        old, new = before.get(path), after.get(path)
        if old is None or new is None or old.text != new.text or old.origin != new.origin:
            yield InputChange(path, old, new)


def _data(before: Recorded, after: Recorded) -> Iterator[InputChange]:
    """The file of results of tests: its name is a field, what it holds is told by its hash."""
    if before.data_sha256 != after.data_sha256:
        old, new = (
            Typed(text=f"SHA-256 {record.data_sha256}", line=None, origin="file") if record.data_sha256 else None
            for record in (before, after)
        )
        yield InputChange(RESULTS_OF_TESTS, old, new)


def _steps(before: dict[str, Placed], after: dict[str, Placed], tolerance: float) -> Iterator[StepChange]:
    for key, now in after.items():
        old = before.get(key)
        if old is None:
            yield _change("new", now, (), "", _result(now.step), None, True)
        elif old.step.fingerprint != now.step.fingerprint:
            largest = _largest(old.step, now.step)
            beyond = largest is None or largest > tolerance or old.step.axes != now.step.axes
            yield _change(
                "changed", now, _why(old.step, now.step), _result(old.step), _result(now.step), largest, beyond
            )
    for key, old in before.items():
        if key not in after:
            yield _change("gone", old, (), _result(old.step), "", None, True)


def _change(
    kind: Kind, placed: Placed, why: tuple[str, ...], before: str, after: str, largest: float | None, beyond: bool
) -> StepChange:
    step = placed.step
    number = step.number or "in a table"
    return StepChange(
        kind, placed.section, placed.chapter, step.key, number, step.title, why, before, after, largest, beyond
    )


def _result(step: RecordedStep) -> str:
    return step.shown.get(step.symbol, "")


def _why(old: RecordedStep, new: RecordedStep) -> tuple[str, ...]:
    facts = {
        "equation": (old.formula, new.formula),
        "what it rests on": (old.inputs, new.inputs),
        "cases": (old.axes, new.axes),
        "numbers": (old.result.value, new.result.value),
    }
    return tuple(word for word, (first, second) in facts.items() if first != second) or ("numbers of its inputs",)


def _largest(old: RecordedStep, new: RecordedStep) -> float | None:
    """The largest relative difference over the cases that both have; None where a number stands against none."""
    first, second = old.result.value, new.result.value
    if old.axes != new.axes:
        cases = _by_case(old), _by_case(new)
        shared = [case for case in cases[1] if case in cases[0]]
        first, second = [cases[0][case] for case in shared], [cases[1][case] for case in shared]
    try:
        first_values, second_values = np.array(first, dtype=float), np.array(second, dtype=float)
    except (TypeError, ValueError):
        return 0.0 if first == second else None
    if first_values.shape != second_values.shape or (np.isnan(first_values) != np.isnan(second_values)).any():
        return None
    gap, size = np.abs(first_values - second_values), np.maximum(np.abs(first_values), np.abs(second_values))
    relative = np.where(gap > ZERO, gap / np.where(size > 0, size, 1.0), 0.0)
    return float(np.nanmax(relative, initial=0.0))


def _by_case(step: RecordedStep) -> dict[frozenset[tuple[str, str]], Any]:
    """Every number under its case, whatever the order of the axes; nothing where the lists do not fit the axes."""
    by_case: dict[frozenset[tuple[str, str]], Any] = {}
    for place in product(*(range(len(axis.labels)) for axis in step.axes)):
        value = step.result.value
        for index in place:
            if not isinstance(value, list) or index >= len(value):
                return {}
            value = value[index]
        labels = zip(step.axes, place, strict=True)
        by_case[frozenset((axis.name, axis.labels[index]) for axis, index in labels)] = value
    return by_case


def _verdicts(before: Recorded, after: Recorded, tolerance: float) -> Iterator[VerdictChange]:
    old, new = _by_key(before), _by_key(after)
    for key in dict.fromkeys((*new, *old)):
        chapter = (new.get(key) or old[key])[0]
        first, second = (verdicts[key][1] if key in verdicts else None for verdicts in (old, new))
        change = VerdictChange(key[0], chapter, (second or first).title, first, second)  # type: ignore[union-attr]
        if change.turned or _differs(first, second, tolerance):
            yield change


def _by_key(recorded: Recorded) -> dict[tuple[str, str, str], tuple[str, RecordedVerdict]]:
    return {
        (section.key, check.key, verdict.key): (check.title, verdict)
        for section, check in recorded.chapters()
        for verdict in check.verdicts
    }


def _differs(first: RecordedVerdict | None, second: RecordedVerdict | None, tolerance: float) -> bool:
    before, after = (None if verdict is None else verdict.utilisation for verdict in (first, second))
    if before is None or after is None:
        return before is not after
    return abs(before - after) > max(ZERO, tolerance * max(abs(before), abs(after)))
