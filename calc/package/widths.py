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
    each = STEP * np.eye(len(words))
    stepwise = least.copy()
    while stepwise.sum() + STEP <= whole:
        stepwise += each[_best(texts, stepwise + each)]
    # A line is often saved by several steps at once, none of which saves one alone.
    free = round((stepwise.sum() - least.sum()) / STEP)
    trials = np.array([_exchanged(texts, start, least) for start in (stepwise, *(least + free * each))])
    return tuple(map(float, trials[_best(texts, trials)]))


def _exchanged(texts: Floats, widths: Floats, least: Floats) -> Floats:
    """The widths with room moved from one column to another as long as that makes rows lower."""
    each = STEP * np.eye(len(least))
    moves = [k * (each[i] - each[j]) for i, j in permutations(range(len(least)), 2) for k in MOVES]
    while moves:
        trials = np.vstack([widths, widths + moves])
        trials = trials[(trials >= least - 1e-9).all(axis=1)]
        trial = trials[_best(texts, trials)]
        if _heights(texts, trial[None])[0] >= _heights(texts, widths[None])[0] - 1e-9:
            break
        widths = trial
    return widths


def _best(texts: Floats, trials: Floats) -> int:
    return int(np.argmin(_heights(texts, trials)))


def _heights(texts: Floats, trials: Floats) -> Floats:
    """Lines of all rows for each trial; of equal ones the least where texts are spread most evenly."""
    shares = texts / trials[:, None, :]
    heights: Floats = (np.ceil(1.04 * shares.max(axis=2)) + 0.02 * (shares**2).sum(axis=2)).sum(axis=1)
    return heights
