"""The stiffness of the sleeve over time, and what has been solved with other stiffnesses brought to it."""

from dataclasses import dataclass

import numpy as np
from numpy.typing import ArrayLike, NDArray

Floats = NDArray[np.float64]

APART = 0.01  # of the range of stiffness: solutions nearer than this are joined by straight lines


@dataclass(frozen=True)
class Stiffness:
    """Stiffness ``values`` (kN/m) at ``times`` (day), straight in the logarithm of time between them.

    The cell is solved with the first value, with ``at_end``, that at the end of the works, and with the last value.
    """

    times: tuple[float, ...]
    values: tuple[float, ...]
    at_end: float

    @property
    def cell_values(self) -> tuple[float, float, float]:
        """The stiffnesses that the cell is solved with."""
        return self.values[0], self.at_end, self.values[-1]

    def at(self, days: ArrayLike) -> Floats:
        """Stiffness (kN/m) at days; the nearest given value before the first time and after the last."""
        known = np.log(np.maximum(np.asarray(days, dtype=np.float64), self.times[0]))
        return np.asarray(np.interp(known, np.log(self.times), self.values))

    def weights(self, J: ArrayLike) -> Floats:  # noqa: N803 - the printed symbol
        """Weights of the three solutions, shape (3, ...), that make what belongs to a stiffness between them.

        A parabola through the three, which cuts the corners less than straight lines; straight lines where two of the
        solutions are too near to one another for it.
        """
        first, middle, last = self.cell_values
        at = np.clip(np.asarray(J, dtype=np.float64), last, first)
        if min(first - middle, middle - last) > APART * (first - last):
            return np.stack([
                (at - middle) * (at - last) / ((first - middle) * (first - last)),
                (at - first) * (at - last) / ((middle - first) * (middle - last)),
                (at - first) * (at - middle) / ((last - first) * (last - middle)),
            ])  # fmt: skip
        early = _share(np.maximum(at - middle, 0.0), first - middle)
        late = _share(np.maximum(middle - at, 0.0), middle - last)
        return np.stack([early, 1 - early - late, late])

    def creep_share(self, days: ArrayLike, begin: float, end: float) -> Floats:
        """Share of the creep from one day to another that has come at days: 0 before the first, 1 from the last on."""
        at = np.asarray(days, dtype=np.float64)
        lost, whole = self.at(begin) - self.at(at), float(self.at(begin) - self.at(end))
        return np.where(at >= end, 1.0, np.clip(_share(lost, whole), 0.0, 1.0))


def _share(part: Floats, whole: float) -> Floats:
    return part / whole if whole > 0 else np.zeros_like(part)
