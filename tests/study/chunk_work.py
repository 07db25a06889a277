"""Work for engines that any process can import, a process of a cluster as well."""

import os
import signal
from pathlib import Path

import numpy as np

TASKS = [(seed, 1000) for seed in range(40)]
Part = tuple[float, float]


def moments(task: tuple[int, int]) -> Part:
    """Sum and sum of squares of numbers that hang on the task alone."""
    seed, count = task
    drawn = np.random.default_rng(seed).lognormal(size=count)
    return float(drawn.sum()), float((drawn**2).sum())


def moments_or_end(task: tuple[int, int, str]) -> Part:
    """The same, but whoever is the first to be asked for a seed that has a file ends as if it had been killed."""
    seed, count, mark = task
    if mark:
        try:
            Path(mark).unlink()
        except FileNotFoundError:
            return moments((seed, count))
        os.kill(os.getpid(), signal.SIGKILL)
    return moments((seed, count))


def always_ends(task: int) -> int:
    """End whoever has the task 3 in hand."""
    if task == 3:
        os.kill(os.getpid(), signal.SIGKILL)
    return task


def divide(task: int) -> int:
    """Have no result for 0."""
    return 1 // task
