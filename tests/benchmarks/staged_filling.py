"""Time of a filling programme: 12 lifts, 10 layers, 2000 points, and its growth in each; and a plain superposition.

Run: python -m tests.benchmarks.staged_filling
"""

# ruff: noqa: T201 - a script prints its table

from time import perf_counter

import numpy as np
from numpy.typing import NDArray

from calc.procedures.consolidation_response import Response, layered_response
from calc.procedures.staged_course import Course, Programme, follow

LIFTS, LAYERS, POINTS = 12, 10, 2000
REPEATS = 9


def inputs(
    lifts: int, layers: int, points: int
) -> tuple[Programme, Response, NDArray[np.float64], NDArray[np.float64]]:
    """Lifts of a week every three weeks; settlement, ring tension and stress on the soil are followed."""
    begin = 21.0 * np.arange(lifts)
    programme = Programme(tuple(begin), tuple(begin + 7))
    ones = np.ones(layers)
    rates = np.linspace(0.008, 0.02, layers)
    response = layered_response(rates, ones, np.geomspace(0.003, 0.01, layers), 800 * ones, both=True)
    loads = np.linspace(1, 2, lifts)[:, None]
    final = np.stack([loads**power * np.linspace(0.02, 0.05, layers) for power in (0.7, 0.9, 1.0)])
    return programme, response, final, np.geomspace(1, 40_000, points)


def run(lifts: int = LIFTS, layers: int = LAYERS, points: int = POINTS) -> Course:
    """One programme with its response."""
    return follow(*inputs(lifts, layers, points))


def best(lifts: int = LIFTS, layers: int = LAYERS, points: int = POINTS, repeats: int = REPEATS) -> tuple[float, float]:
    """Best time in s of the course alone, and of the response of the layers."""
    given = inputs(lifts, layers, points)
    course, response = [], []
    for _ in range(repeats):
        start = perf_counter()
        follow(*given)
        course.append(perf_counter() - start)
        start = perf_counter()
        inputs(lifts, layers, points)
        response.append(perf_counter() - start)
    return min(course), min(response)


def main() -> None:
    """Print the base case and each size doubled and doubled again."""
    print("| lifts | layers | points | course ms | response ms |")
    print("|---|---|---|---|---|")
    sizes = [(LIFTS, LAYERS, POINTS), (24, 10, 2000), (48, 10, 2000), (12, 20, 2000), (12, 40, 2000)]
    for size in [*sizes, (12, 10, 4000), (12, 10, 8000), (12, 10, 16_000)]:
        course, response = best(*size)
        print(f"| {' | '.join(map(str, size))} | {1e3 * course:.1f} | {1e3 * response:.1f} |")


if __name__ == "__main__":
    main()
