"""The one error of the numerical methods."""

from collections.abc import Mapping
from typing import Any

import numpy as np


class ProcedureError(ArithmeticError):
    """A numerical method that was given impossible values, or that did not reach its solution."""


def refuse_where(procedure: str, wrong: Mapping[str, Any]) -> None:
    """Stop with all requirements that are not met, each with the flag or the array of flags that tells it."""
    if unmet := [requirement for requirement, flags in wrong.items() if np.any(flags)]:
        message = f"{procedure}: {'; '.join(unmet)}"
        raise ProcedureError(message)
