"""Widths of the columns of a table of words, so that its rows take few lines."""

from collections.abc import Sequence
from math import ceil

STEP = 1.5  # mm


def balanced_widths(cells: Sequence[Sequence[float]], words: Sequence[float], whole: float) -> tuple[float, ...]:
    """The widths of columns: of each at least its longest word, then where room saves most lines.

    `cells` are the widths of the texts on one line, by row; all in mm.
    """
    widths = list(words)
    while sum(widths) + STEP <= whole:
        wider = [[width + STEP * (place == k) for place, width in enumerate(widths)] for k in range(len(widths))]
        widths = min(wider, key=lambda trial: _height(cells, trial))
    return tuple(widths)


def _height(cells: Sequence[Sequence[float]], widths: Sequence[float]) -> float:
    """Lines of all rows; of equal ones the least where texts are spread most evenly."""
    shares = [[text / width for text, width in zip(row, widths, strict=True)] for row in cells]
    return sum(ceil(1.04 * max(row)) + 0.02 * sum(length * length for length in row) for row in shares)
