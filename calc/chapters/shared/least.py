"""Where a scope prints the case that counts, of values of which the least counts."""

import numpy as np

from calc.engine.sheet import Scope, Value


def print_least(scope: Scope, value: Value, *axes: str) -> None:
    """Let a scope print at the labels of the least number of a value; on the axes named, whatever governs."""
    least = value.case_at(int(np.argmin(np.where(value.valid, value.array, np.inf))))
    scope.sheet.leads[scope.name].update({axis: least[axis] for axis in axes if axis in least})
