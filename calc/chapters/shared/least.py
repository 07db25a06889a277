"""Where a scope prints the case that counts, of values whose largest magnitude does not."""

import numpy as np

from calc.engine.sheet import Scope, Value


def print_least(scope: Scope, value: Value, *axes: str) -> None:
    """Let a scope print at the labels of the least number of a value; on the axes named, whatever governs."""
    _lead(scope, value, int(np.argmin(np.where(value.valid, value.array, np.inf))), axes)


def print_largest(scope: Scope, value: Value, *axes: str) -> None:
    """The same at the labels of the largest number."""
    _lead(scope, value, int(np.argmax(np.where(value.valid, value.array, -np.inf))), axes)


def _lead(scope: Scope, value: Value, lane: int, axes: tuple[str, ...]) -> None:
    case = value.case_at(lane)
    lead = scope.sheet.leads.setdefault(scope.name, {})
    lead.update({axis: case[axis] for axis in axes if axis in case})
