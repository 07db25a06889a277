"""How often the range of a forecast holds, for ground of the design's shape and of others (docs/site.md).

`python -m tests.benchmarks.forecast_shapes [HISTORIES]`, 1000 if nothing is given: a quarter of an hour on two cores.
"""

# ruff: noqa: T201 - a script prints its tables

import sys

from tests.procedures.invented_histories import CASES, TRUE_SHAPES, ranges_of


def main(histories: int) -> None:
    """Print a row for every ground, last day and scatter."""
    print("| ground | read to | scatter | refused | holds | lower end of the degree, median | true degree |")
    for name in TRUE_SHAPES:
        for end, scatter in CASES:
            one = ranges_of(name, end, scatter, histories)
            shares = " | ".join(f"{100 * share:.1f} %" for share in (one.refused, one.holds, one.lower, one.degree))
            print(f"| {name} | {end:.0f} d | {1000 * scatter:.1f} mm | {shares} |", flush=True)


if __name__ == "__main__":
    main(int(sys.argv[1]) if len(sys.argv) > 1 else 1000)
