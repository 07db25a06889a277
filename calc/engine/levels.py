"""Levels, heights and depths compared: a difference of no more than a millimetre is none.

0.40 m and 0.80 m of fill do not add up to the level 1.20 m in floating point, and nobody builds to a millimetre. A
height of 1e-16 m that counts as fill has no weight to hold it and a utilisation without end.
"""

from typing import overload

import numpy as np
from numpy.typing import NDArray

SAME = 1e-3  # m
ROUNDING = 1e-9  # m; a millimetre between two typed levels is a millimetre, whatever the last bit of its difference


@overload
def above(level: float, other: float) -> bool: ...
@overload
def above(level: NDArray[np.floating], other: float) -> NDArray[np.bool_]: ...
def above(level: float | NDArray[np.floating], other: float) -> bool | NDArray[np.bool_]:
    """Whether a level, height or depth in m is greater than another by more than a millimetre."""
    return level - other > SAME + ROUNDING


def same(level: float, other: float) -> bool:
    """Whether two levels, heights or depths in m differ by no more than a millimetre."""
    return not above(level, other) and not above(other, level)
