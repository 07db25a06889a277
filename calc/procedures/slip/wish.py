"""What is asked of slip lines."""

from dataclasses import dataclass
from math import inf

from calc.procedures.slip import solve
from calc.procedures.slip.model import Form, Method, Range


@dataclass(frozen=True)
class Wish:
    """What is asked of every slip line."""

    method: Method
    form: Form = "A"
    slices: int = 50
    entry: Range = (-inf, inf)
    exit: Range = (-inf, inf)
    min_depth: float = 0.0
    below: float = inf
    tolerance: float = solve.TOLERANCE
