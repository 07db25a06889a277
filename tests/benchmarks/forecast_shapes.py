"""How often the range of a forecast holds, for ground of the design's shape and of others (docs/site.md).

`python -m tests.benchmarks.forecast_shapes [HISTORIES]`, 1000 if nothing is given: a quarter of an hour on two cores.
"""

# ruff: noqa: T201 - a script prints its tables

import sys

from tests.procedures.invented_histories import CASES, TRUE_SHAPES, ranges_of


def main(histories: int) -> None:
    """Print a row for every ground, last day and scatter."""
    print("| ground | read to | scatter | holds | lower end of the degree, median | true degree |")
    for name in TRUE_SHAPES:
        for end, scatter in CASES:
            held, lower, true = ranges_of(name, end, scatter, histories)
            print(f"| {name} | {end:.0f} d | {1000 * scatter:.1f} mm | {100 * held:.1f} % | {100 * lower:.1f} % "
                  f"| {100 * true:.1f} % |", flush=True)  # fmt: skip


if __name__ == "__main__":
    main(int(sys.argv[1]) if len(sys.argv) > 1 else 1000)
