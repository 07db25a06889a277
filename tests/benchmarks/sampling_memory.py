"""Memory and time of one replicate, and of shares of variance, of ever more points of 40 inputs.

    python -m tests.benchmarks.sampling_memory

A process of its own for each row; the limit state is a sum, so that what is held is the sampling's own.
"""

# ruff: noqa: T201 - a script prints its table

import resource
import subprocess
import sys
from collections.abc import Mapping
from pathlib import Path
from time import process_time

import numpy as np
from numpy.typing import NDArray

from calc.inputs.tables.vary import LOGNORMAL
from calc.study.engines import Here
from calc.study.vary.indices import sobol
from calc.study.vary.marginals import Joint, Marginal, Score, joint
from calc.study.vary.sampling import Question, replicate

ROOT = Path(__file__).parents[2]
INPUTS = 40
ROWS = ("replicate", 12), ("replicate", 16), ("replicate", 18), ("replicate", 20), ("shares", 12), ("shares", 20)


def mean_of(values: Mapping[str, NDArray[np.float64]]) -> dict[str, NDArray[np.float64]]:
    """The limit state."""
    return {"mean": sum(values.values(), np.zeros(1)) / INPUTS}


def inputs() -> Joint:
    """So many lognormal inputs."""
    return joint([Marginal(str(k), LOGNORMAL, Score(0.0, 0.2)) for k in range(INPUTS)], np.eye(INPUTS), {})


def measure(what: str, power: int) -> None:
    """Print a row."""
    begun = process_time()
    if what == "shares":
        sobol(mean_of, inputs(), 2**power, 1, Here())
    else:
        replicate(Question(mean_of, inputs(), 1, 2**power, ("mean",)), 0)
    peak = resource.getrusage(resource.RUSAGE_SELF).ru_maxrss / 1024
    print(f"| {what} | 2^{power} | {peak:.0f} | {process_time() - begun:.1f} |", flush=True)


if __name__ == "__main__":
    if len(sys.argv) > 1:
        measure(sys.argv[1], int(sys.argv[2]))
    else:
        print("| what | points | peak, MB | processor time, s |\n|---|---|---|---|", flush=True)
        for what, power in ROWS:
            subprocess.run(
                [sys.executable, "-m", "tests.benchmarks.sampling_memory", what, str(power)], cwd=ROOT, check=True
            )
