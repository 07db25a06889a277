"""Factor for growing strength by the table of the program."""

import numpy as np
from numpy.typing import ArrayLike, NDArray

from calc.formulas.bearing import growing_strength_factor
from calc.procedures.growing_strength import bracket


def growth_factor(k_rho: ArrayLike) -> NDArray[np.float64]:
    """The printed formula between the two values of the table on both sides of each growth ratio."""
    return np.asarray(growing_strength_factor(k_rho=k_rho, **bracket(k_rho, np.ones(np.shape(k_rho), dtype=bool))))
