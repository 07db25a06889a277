"""Every number of a verdict stands on the line that it cites, also where the scope of that line prints another case.

One scope prints at one case, and serves several verdicts. A verdict whose number its line prints at another case cites
a line of its own, in a scope named after the verdict, that reads the number at the case of the verdict.
"""

from collections.abc import Mapping, Sequence
from dataclasses import replace
from typing import TYPE_CHECKING

import numpy as np

from calc.engine.sheet.cases import settle_cases
from calc.engine.sheet.steps import Step, Verdict
from calc.engine.sheet.values import SheetError, Value

if TYPE_CHECKING:
    from calc.engine.sheet.sheet import Sheet

GOVERNING = "governing case"


def settle_cited(sheets: Sequence["Sheet"]) -> None:
    """Record a line for every number that a verdict of a section cites and that its own line prints otherwise.

    The keys of verdicts and of steps recorded before stay. ``SheetError`` where a number stands nowhere on its line.
    """
    cases = settle_cases(sheets)
    lines = {step.key: (step, cases[sheet.key, step.scope]) for sheet in sheets for step in sheet.steps}

    def cite(sheet: "Sheet", verdict: Verdict, key: str, number: float | None, case: Mapping[str, str]) -> str:
        if not key or number is None:
            return key
        step, printed = lines[key]
        if step.value.number(printed) == number:
            return key
        return _record(sheet, verdict, step, _value_at_case(verdict, step, case, number))

    for sheet in sheets:
        sheet.verdicts[:] = [
            replace(
                verdict,
                step=cite(sheet, verdict, verdict.step, verdict.effect, verdict.effect_case),
                resistance_step=cite(
                    sheet, verdict, verdict.resistance_step, verdict.resistance, verdict.resistance_case
                ),
            )
            for verdict in sheet.verdicts
        ]


def _record(sheet: "Sheet", verdict: Verdict, step: Step, read: Value) -> str:
    """Record a number in the scope of the verdict; the key of the line."""
    name = f"cited_{verdict.key}"
    if name in sheet.scopes and step.symbol in sheet.scopes[name].values:
        name += "_resistance"
    scope = sheet.scopes.get(name) or sheet.scope(name, verdict.title)
    title = f"{step.title[0].upper()}{step.title[1:]}, {GOVERNING}"
    return scope.reading(step.symbol, read.array, title=title, inputs=[read]).step


def _value_at_case(verdict: Verdict, step: Step, case: Mapping[str, str], number: float) -> Value:
    """The value of a step at the case of a verdict; on an axis that the verdict does not name, where the number is."""
    value = step.value
    known = {axis.name: case[axis.name] for axis in value.axes if case.get(axis.name) in axis.labels}
    at_case = value.at(**known)
    if at_case.axes:
        at_case = at_case.at(**at_case.case_at(int(np.argmax(at_case.valid & (at_case.array == number)))))
    if at_case.number({}) != number:
        message = f"the verdict {verdict.key!r} cites {step.key}, where its number {number} is not"
        raise SheetError(message)
    return at_case
