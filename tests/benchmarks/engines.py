"""Two processes against one, what handing out a chunk costs, and what it weighs.

Run: python -m tests.benchmarks.engines [CASES [CHUNK]]: solves so many unit cells in chunks, by each engine;
with --waiting: chunks that only wait, by many workers of a local cluster.
"""

# ruff: noqa: T201 - a script prints its table

import pickle
import platform
import resource
import sys
from functools import cache, partial
from statistics import median
from time import perf_counter, sleep
from typing import Any

import numpy as np

from calc.procedures.cell import solve_cell
from calc.study.engines import Engine, engine, in_order
from tests.benchmarks.cell_solver import cases
from tests.procedures.chains import solver_inputs

CASES, CHUNK = 8_000_000, 250_000
EMPTY, TURNS = 400, 8
ROUNDS = 3


@cache
def inputs(count: int) -> dict[str, Any]:
    """The same cases for every chunk, so that drawing them is no part of the work."""
    return solver_inputs(cases(count))


def strain(count: int, _task: int) -> tuple[float, int]:
    """A chunk: its cells solved and reduced to a sum."""
    solution = solve_cell(**inputs(count))
    return float(np.nansum(solution.unknown)), int(solution.iterations.max())


def nothing(task: int) -> tuple[float, int]:
    """A chunk without work: what is left is handing out."""
    return 0.0, task


def seconds(made: Engine, chunk: int, count: int) -> float:
    """How long an engine takes for the chunks."""
    start = perf_counter()
    parts = list(in_order(made.results(partial(strain, chunk), range(count))))
    assert len(set(parts)) == 1
    return perf_counter() - start


def handing_out(made: Engine) -> float:
    """Seconds for each of many chunks without work, by as many workers as there are."""
    list(made.results(nothing, range(4 * made.workers)))
    start = perf_counter()
    list(made.results(nothing, range(EMPTY)))
    return (perf_counter() - start) / EMPTY


def wait(task: tuple[float, int]) -> int:
    """A chunk that needs a worker, but no processor."""
    sleep(task[0])
    return task[1]


def waiting() -> None:
    """Print how many workers one scheduler keeps busy: as threads that wait they need few processors."""
    from distributed import Client, LocalCluster

    from calc.study.cluster_engine import Cluster

    for threads, seconds_each in ((8, 0.5), (32, 0.5), (100, 0.5), (100, 2.0)):
        with (
            LocalCluster(n_workers=2, threads_per_worker=threads, host="127.0.0.1", dashboard_address="127.0.0.1:0"
                         ) as local,
            Client(local, set_as_default=False) as client,
        ):  # fmt: skip
            made = Cluster(client)
            list(made.results(wait, [(0.0, one) for one in range(made.workers)]))
            count, start = TURNS * made.workers, perf_counter()
            list(made.results(wait, [(seconds_each, one) for one in range(count)]))
            took = perf_counter() - start
        share = TURNS * seconds_each / took
        print(f"{2 * threads} workers, {seconds_each} s: {share:.0%} of the time waited, {count / took:.0f} a second")


def spent() -> float:
    """Processor time of this process and of those that it started and that ended."""
    return sum(
        one.ru_utime + one.ru_stime for one in map(resource.getrusage, (resource.RUSAGE_SELF, resource.RUSAGE_CHILDREN))
    )


def main() -> None:
    """Print what docs/benchmarks.md and docs/scale.md say."""
    if sys.argv[1:] == ["--waiting"]:
        waiting()
        return
    total, chunk = [int(word) for word in sys.argv[1:3]] or (CASES, CHUNK)
    count = total // chunk
    took: dict[int, float] = {}
    inputs(chunk)
    strain(chunk, 0)
    print(f"{platform.platform()}, CPython {platform.python_version()}, numpy {np.__version__}")
    ratios = []
    for _ in range(ROUNDS):
        used = {}
        for workers in (1, 2):
            with engine("processes", workers) as made:
                before = spent()
                took[workers] = seconds(made, chunk, count)
                used[workers] = spent() - before
        ratios.append(took[1] / took[2])
        print(
            f"{count} chunks of {chunk} cells: one process {took[1]:.1f} s ({used[1]:.1f} s of processor time), "
            f"two {took[2]:.1f} s ({used[2]:.1f} s): {ratios[-1]:.2f} times"
        )
    each = took[1] / count
    print(f"two processes are {median(ratios):.2f} times one (median of {ROUNDS}); a chunk is {each:.2f} s")
    for kind in ("processes", "cluster"):
        with engine(kind, 2) as made:
            cost = handing_out(made)
        print(f"{kind}: handing out {1e3 * cost:.2f} ms a chunk, {100 * 2 * cost / each:.2f} % of {each:.2f} s")
    print(
        f"a chunk weighs {len(pickle.dumps((partial(strain, chunk), 1)))} bytes out, {len(pickle.dumps((0.1, 1)))} back"
    )


if __name__ == "__main__":
    main()
