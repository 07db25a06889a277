"""Widths of the columns of a table of words, so that its rows take few lines."""

from collections.abc import Sequence
from itertools import permutations

import numpy as np
from numpy.typing import NDArray

Floats = NDArray[np.float64]
STEP = 1.5  # mm
MOVES = (1, 2, 3, 5, 8, 12, 18)  # steps by which room goes from one column to another


def balanced_widths(cells: Sequence[Sequence[float]], words: Sequence[float], whole: float) -> tuple[float, ...]:
    """The widths of columns: of each at least its longest word, then where room saves most lines.

    `cells` are the widths of the texts on one line, by row; all in mm.
    """
    texts, least = np.array(cells, dtype=float), np.array(words, dtype=float)
    widths = least.copy()
    each = STEP * np.eye(len(words))
    while widths.sum() + STEP <= whole:
        widths += each[_best(texts, widths + each)]
    # A line is often saved by several steps at once, none of which saves one alone.
    moves = np.array([k * (each[i] - each[j]) for i, j in permutations(range(len(words)), 2) for k in MOVES])
    while len(moves):
        trials = widths + moves
        trials = trials[(trials >= least - 1e-9).all(axis=1)]
        if not len(trials):
            break
        trial = trials[_best(texts, trials)]
        if _heights(texts, trial[None])[0] >= _heights(texts, widths[None])[0] - 1e-9:
            break
        widths = trial
    return tuple(map(float, widths))


def _best(texts: Floats, trials: Floats) -> int:
    return int(np.argmin(_heights(texts, trials)))


def _heights(texts: Floats, trials: Floats) -> Floats:
    """Lines of all rows for each trial; of equal ones the least where texts are spread most evenly."""
    shares = texts / trials[:, None, :]
    heights: Floats = (np.ceil(1.04 * shares.max(axis=2)) + 0.02 * (shares**2).sum(axis=2)).sum(axis=1)
    return heights
