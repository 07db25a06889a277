"""The lengths in which sleeves are made: with the least waste for a given number of lengths, found exactly."""

from dataclasses import dataclass
from math import ceil

import numpy as np
from numpy.typing import NDArray

Array = NDArray[np.float64]
SAME = 1e-6  # of a step


@dataclass(frozen=True)
class Classes:
    """Lengths of the classes in m, rising, and the class of every sleeve."""

    lengths: tuple[float, ...]
    of: NDArray[np.int64]

    @property
    def counts(self) -> tuple[int, ...]:
        """Sleeves of each class."""
        return tuple(np.bincount(self.of, minlength=len(self.lengths)).tolist())

    @property
    def metres(self) -> float:
        """Length of all sleeves as they are made, m."""
        return sum(length * count for length, count in zip(self.lengths, self.counts, strict=True))


def length_classes(needed: Array, classes: int, step: float) -> Classes:
    """Divide sleeves of lengths that are needed (m) into at most so many classes of whole multiples of a step.

    A class is as long as its longest sleeve, rounded up. In the order of length a best division cuts into runs: the
    programme finds, for every length and number of classes, the best last run, which is exact.
    """
    steps = np.array([ceil(length / step - SAME) for length in needed], dtype=np.int64)
    values, counts = np.unique(steps, return_counts=True)
    count = len(values)
    before = np.concatenate([[0], np.cumsum(counts)])
    # Total length with the first j values in k classes; the last class holds the values from i to j.
    best = np.full((min(classes, count) + 1, count + 1), np.inf)
    last = np.zeros(best.shape, dtype=np.int64)
    best[0, 0] = 0.0
    for k in range(1, len(best)):
        for j in range(1, count + 1):
            total = best[k - 1, :j] + values[j - 1] * (before[j] - before[:j])
            last[k, j] = int(np.argmin(total))
            best[k, j] = total[last[k, j]]
    ends, j = [], count
    for k in range(int(np.argmin(best[:, count])), 0, -1):
        ends.append(int(values[j - 1]))
        j = int(last[k, j])
    ends.reverse()
    return Classes(tuple(round(end * step, 6) for end in ends), np.searchsorted(np.array(ends), steps))
