"""The case at which each scope of each chapter prints.

A verdict fixes the case of everything it rests on, through all earlier chapters: a page never mixes cases. Verdicts
that govern in one sublayer decide first, those with the largest utilisation before others. An axis that they leave open
takes the label that the chapter prints at already, else that of the largest magnitude. A verdict without utilisation
says nothing of safety: it fixes the case of its own scope, and of nothing that it rests on.
"""

from collections import deque
from collections.abc import Sequence

import numpy as np

from calc.engine.sheet.sheet import Sheet
from calc.engine.sheet.steps import Cases, Step, Verdict
from calc.engine.sheet.values import Value
from calc.engine.typeset import LAYERED


def settle_cases(sheets: Sequence[Sheet]) -> Cases:
    """The printing case of every scope of one section, keyed by chapter and scope (``""`` is the chapter itself)."""
    return settle(sheets)[0]


def settle(sheets: Sequence[Sheet]) -> tuple[Cases, dict[tuple[str, str], float]]:
    """The printing cases, and beside them the utilisation over its limit of the verdict which led to each of them.

    A scope that no verdict with a number rests on has no entry in the second.
    """
    walk = _Walk(sheets)
    verdicts = [verdict for sheet in sheets for verdict in sheet.verdicts]
    for verdict in sorted(
        verdicts,
        key=lambda candidate: (
            set(LAYERED).isdisjoint(candidate.case),
            -(candidate.utilisation or 0.0) / candidate.limit,
        ),
    ):
        walk.follow(verdict)
    walk.ratio = None
    for sheet in sheets:
        for step in sheet.steps:
            walk.visit(step.key, {})
    return walk.cases, walk.led


class _Walk:
    """Follows steps back to what they rest on, fixing cases on the way."""

    def __init__(self, sheets: Sequence[Sheet]) -> None:
        self.steps: dict[str, tuple[str, Step]] = {
            step.key: (sheet.key, step) for sheet in sheets for step in sheet.steps
        }
        self.leads = {(sheet.key, scope): lead for sheet in sheets for scope, lead in sheet.leads.items()}
        self.cases: Cases = {(sheet.key, scope): {} for sheet in sheets for scope in ("", *sheet.scopes)}
        self.seen: set[str] = set()
        self.led: dict[tuple[str, str], float] = {}
        self.ratio: float | None = None

    def follow(self, verdict: Verdict) -> None:
        self.ratio = None if verdict.utilisation is None else verdict.utilisation / verdict.limit
        for key, case in (
            (verdict.step, verdict.effect_case),
            (verdict.resistance_step, verdict.resistance_case),
        ):
            if key and verdict.utilisation is not None:
                self.visit(key, dict(case))
            elif key in self.steps:
                self.fill(key, dict(case))

    def fill(self, key: str, labels: dict[str, str]) -> dict[str, str]:
        """The case of the scope of a step, with a label for every axis of the step."""
        sheet, step = self.steps[key]
        scope = (sheet, step.scope)
        if self.ratio is not None:
            self.led.setdefault(scope, self.ratio)
        fill_case(step.value, self.cases[scope], {**self.cases[sheet, ""], **labels, **self.leads.get(scope, {})})
        return self.cases[scope]

    def visit(self, key: str, wanted: dict[str, str]) -> None:
        pending = deque([(key, wanted)])
        while pending:
            at, labels = pending.popleft()
            if self._is_known(at):
                continue
            self.seen.add(at)
            case = {**labels, **self.fill(at, labels)}
            for argument in self.steps[at][1].inputs.values():
                # Most have been seen by now: their cases are not asked for.
                if not self._is_known(argument.value.step) and (there := argument.value.read_at(case)) is not None:
                    pending.append((argument.value.step, there))

    def _is_known(self, key: str) -> bool:
        """Whether a step has its case, or is of another section."""
        return key in self.seen or key not in self.steps


def fill_case(value: Value, case: dict[str, str], wanted: dict[str, str]) -> None:
    """Give a case a label on every axis of a value: the wanted one, else that of the largest magnitude."""
    missing = [axis for axis in value.axes if axis.name not in case]
    for axis in missing:
        if wanted.get(axis.name) in axis.labels:
            case[axis.name] = wanted[axis.name]
    if all(axis.name in case for axis in missing):
        return
    at: tuple[int | slice, ...] = tuple(
        axis.labels.index(case[axis.name]) if case.get(axis.name) in axis.labels else slice(None) for axis in value.axes
    )
    part = np.where(value.valid, np.abs(value.array), -1.0)[at]
    free = [axis for axis in value.axes if case.get(axis.name) not in axis.labels]
    where = np.unravel_index(int(np.argmax(part)), part.shape)
    for axis, k in zip(free, where, strict=True):
        case.setdefault(axis.name, axis.labels[int(k)])


def read_elsewhere(sheet: Sheet, scope: str, cases: Cases) -> list[tuple[Step, dict[str, str]]]:
    """Steps of the chapter itself that a scope reads at a case at which they are not printed, with that case."""
    case_of_scope, chapter = cases[sheet.key, scope], cases[sheet.key, ""]
    elsewhere: dict[str, tuple[Step, dict[str, str]]] = {}
    outer = {step.key: step for step in sheet.page.lines if not step.scope}
    for step in sheet.page.lines:
        if step.scope != scope or not scope:
            continue
        for argument in step.inputs.values():
            read = outer.get(argument.value.step)
            # A value of a selected case, or of the label before, says itself where it was read.
            if read is None or read.key in elsewhere or argument.value.chosen or argument.value.earlier:
                continue
            at = {**chapter, **case_of_scope}
            if read.value.number(at) != read.value.number(chapter):
                elsewhere[read.key] = (read, at)
    return list(elsewhere.values())
