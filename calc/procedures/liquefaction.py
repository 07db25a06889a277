"""Blow count and cone resistance for clean sand at atmospheric pressure: the overburden factor depends on them."""

from collections.abc import Callable

import numpy as np
from numpy.typing import NDArray

from calc.procedures.failures import ProcedureError

Floats = NDArray[np.float64]
PROCEDURE = "resistance of clean sand at atmospheric pressure"
METHOD = "repeated substitution, from the reading itself"
TOLERANCE = 1e-9
MOST = 200


def clean_sand(resistance: Callable[[Floats], Floats], start: Floats) -> Floats:
    """Repeat ``resistance``, which gives it from the one tried, until no reading changes; shape of ``start``.

    ``ProcedureError`` where it does not come to rest.
    """
    tried = np.asarray(start, dtype=np.float64)
    for _ in range(MOST):
        result = np.asarray(resistance(tried), dtype=np.float64)
        if np.allclose(result, tried, rtol=TOLERANCE, atol=0.0):
            return result
        tried = (result + tried) / 2
    message = f"{PROCEDURE}: not at rest after {MOST} rounds"
    raise ProcedureError(message)
