"""Time of a filling programme: 12 lifts, 10 layers, 2000 points, its growth in each; time of layers that differ.

Run: python -m tests.benchmarks.staged_filling
"""

# ruff: noqa: T201 - a script prints its table

from collections.abc import Callable
from time import thread_time

import numpy as np
from numpy.typing import NDArray

from calc.procedures.consolidation_radial import radial_modes
from calc.procedures.consolidation_response import Response, combined_response, layered_response
from calc.procedures.staged_course import Course, Programme, follow

LIFTS, LAYERS, POINTS = 12, 10, 2000
REPEATS = 9


def inputs(
    lifts: int, layers: int, points: int
) -> tuple[Programme, Response, NDArray[np.float64], NDArray[np.float64]]:
    """Lifts of a week every three weeks; settlement, ring tension and stress on the soil are followed."""
    begin = 21.0 * np.arange(lifts)
    programme = Programme(tuple(begin), tuple(begin + 7))
    edges = np.linspace(0, 2, layers + 1)
    radial = radial_modes(c_hs=np.linspace(0.004, 0.008, layers), d_e=2.0, n_d=2.4, f_tr=np.linspace(2, 5, layers))
    response = combined_response(radial, edges[:-1], edges[1:], 2e-4)
    loads = np.linspace(1, 2, lifts)[:, None]
    final = np.stack([loads**power * np.linspace(0.02, 0.05, layers) for power in (0.7, 0.9, 1.0)])
    return programme, response, final, np.geomspace(1, 40_000, points)


def different_layers(layers: int = LAYERS) -> Response:
    """The response of layers whose coefficients differ, which is solved once for a programme."""
    ones = np.ones(layers)
    rates, coefficients = np.linspace(0.008, 0.02, layers), np.geomspace(0.003, 0.01, layers)
    return layered_response(rates, ones, coefficients, 800 * ones, both=True)


def run(lifts: int = LIFTS, layers: int = LAYERS, points: int = POINTS) -> Course:
    """One programme with its response."""
    return follow(*inputs(lifts, layers, points))


def best(call: Callable[[], object], repeats: int = REPEATS) -> float:
    """Best processor time of a call in s."""
    times = []
    for _ in range(repeats):
        start = thread_time()
        call()
        times.append(thread_time() - start)
    return min(times)


def course_time(lifts: int = LIFTS, layers: int = LAYERS, points: int = POINTS) -> float:
    """Best processor time of a programme in s, its response made before."""
    given = inputs(lifts, layers, points)
    return best(lambda: follow(*given))


def main() -> None:
    """Print the base case and each size doubled and doubled again."""
    print("| lifts | layers | points | ms |")
    print("|---|---|---|---|")
    sizes = [(LIFTS, LAYERS, POINTS), (24, 10, 2000), (48, 10, 2000), (12, 20, 2000), (12, 40, 2000)]
    for size in [*sizes, (12, 10, 4000), (12, 10, 8000), (12, 10, 16_000)]:
        print(f"| {' | '.join(map(str, size))} | {1e3 * course_time(*size):.1f} |")
    print(f"\nresponse of {LAYERS} layers that differ: {1e3 * best(different_layers):.1f} ms")


if __name__ == "__main__":
    main()
