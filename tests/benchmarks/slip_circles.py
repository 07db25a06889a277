"""Time of 10 000 circles of 50 slices by simplified Bishop beside a plain Python loop, growth, memory, other methods.

Run: env -u OPENBLAS_CORETYPE -u OPENBLAS_L2_SIZE python -m tests.benchmarks.slip_circles
"""

# ruff: noqa: T201 - a script prints its table

import platform
import tracemalloc
from collections.abc import Callable
from dataclasses import replace
from math import radians
from time import perf_counter

import numpy as np
from numpy.typing import NDArray

from calc.procedures.slip import Layer, Model, Soil, Water
from calc.procedures.slip.evaluate import Factors, factors_of_circles
from calc.procedures.slip.vertical_strips import compile_ground
from calc.procedures.slip.wish import Wish
from tests.benchmarks.slip_loop import bishop

CIRCLES = 10_000
SLICES = 50
LOOPED = 1_000
REPEATS = 7

Floats = NDArray[np.float64]
SURFACE = ((-40.0, 5.0), (0.0, 5.0), (10.0, 0.0), (50.0, 0.0))
GROUND = ((-40.0, 0.0), (50.0, 0.0))
TABLE = ((-40.0, 1.0), (0.0, 1.0), (10.0, -1.0), (50.0, -1.0))
BOTTOM = -20.0


def model(layers: int = 2) -> Model:
    """Fill on clay with a water table; more layers are more boundaries in the clay."""
    fill = Soil("fill", 19.0, 20.0, c=5.0, phi=radians(30))
    clay = Soil("clay", 16.0, 17.0, c=8.0, phi=radians(22))
    tops = [tuple((x, -8.0 * index / (layers - 1)) for x, _ in GROUND) for index in range(layers - 1)]
    soils = [replace(clay, name=f"clay {index}", gamma=16.0 + 0.01 * index) for index in range(layers - 1)]
    below = tuple(Layer(soil, top) for soil, top in zip(soils, tops, strict=True))
    return Model(SURFACE, (Layer(fill), *below), BOTTOM, water=Water(TABLE))


def circles(count: int, seed: int = 1) -> tuple[Floats, Floats, Floats]:
    """Centres over the slope, lowest points up to 8 m below the ground; the first ones are the same for every count."""
    draw = np.random.default_rng(seed).uniform(size=(count, 3))
    y = 6.0 + 10.0 * draw[:, 1]
    return 2.0 + 7.0 * draw[:, 0], y, y + 0.5 + 7.5 * draw[:, 2]


def fused(count: int, slices: int, layers: int = 2, method: str = "bishop") -> Factors:
    """The program's factors, the ground prepared within the time."""
    return factors_of_circles(compile_ground(model(layers)), *circles(count), Wish(method, slices=slices))  # type: ignore[arg-type]


def looped(count: int, slices: int) -> list[float]:
    """The factors of the first circles by the loop."""
    ground = model()
    x, y, r = (values.tolist() for values in circles(count))
    return [bishop(ground, *circle, slices) for circle in zip(x, y, r, strict=True)]


def seconds(work: Callable[[], object], repeats: int = REPEATS) -> float:
    """The best of some runs."""
    times = []
    for _ in range(repeats):
        start = perf_counter()
        work()
        times.append(perf_counter() - start)
    return min(times)


def peak(count: int) -> int:
    """Largest memory in use while the circles are solved, in bytes."""
    tracemalloc.start()
    fused(count, SLICES)
    most = tracemalloc.get_traced_memory()[1]
    tracemalloc.stop()
    return most


def main() -> None:
    """Print the tables."""
    print(f"{platform.platform()}, CPython {platform.python_version()}, numpy {np.__version__}\n")
    loop = seconds(lambda: looped(LOOPED, SLICES), 3) / LOOPED * CIRCLES
    quick = seconds(lambda: fused(CIRCLES, SLICES))
    apart = np.nanmax(np.abs(np.array(looped(LOOPED, SLICES)) / fused(CIRCLES, SLICES).factor[:LOOPED] - 1))
    print(f"| {CIRCLES} circles of {SLICES} slices, Bishop | s |\n|---|---|")
    print(f"| fused over circles and slices | {quick:.3f} |\n| plain loop, from {LOOPED} circles | {loop:.2f} |")
    print(f"\n{loop / quick:.0f} times; the two differ by at most {apart:.1e}\n")
    print("| circles | slices | layers | s | ns per slice |\n|---|---|---|---|---|")
    cases = [(2500, 50, 2), (5000, 50, 2), (10_000, 50, 2), (20_000, 50, 2), (40_000, 50, 2),
             (10_000, 25, 2), (10_000, 100, 2), (10_000, 200, 2), (10_000, 50, 4), (10_000, 50, 8)]  # fmt: skip
    for count, slices, layers in cases:
        time = seconds(lambda c=count, s=slices, n=layers: fused(c, s, n), 4)  # type: ignore[misc]
        print(f"| {count} | {slices} | {layers} | {time:.3f} | {time / count / slices * 1e9:.0f} |")
    print("\n| circles | peak memory, MB |\n|---|---|")
    for count in (2500, 10_000, 40_000):
        print(f"| {count} | {peak(count) / 1e6:.1f} |")
    print("\n| method, 10 000 circles | s |\n|---|---|")
    for method in ("ordinary", "bishop", "janbu", "spencer", "morgenstern-price"):
        print(f"| {method} | {seconds(lambda m=method: fused(CIRCLES, SLICES, 2, m), 3):.3f} |")  # type: ignore[misc]


if __name__ == "__main__":
    main()
