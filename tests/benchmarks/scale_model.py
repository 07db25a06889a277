"""The short model of docs/scale.md: what many machines do for a programme of many projects.

Run: python -m tests.benchmarks.scale_model
"""

# ruff: noqa: T201 - a script prints its table

from typing import NamedTuple

RATE = 165.0  # chunks a second that one scheduler and the process that asks hand out; measured
WORKERS = (2, 20, 200, 400, 800, 1600, 3200)


class Programme(NamedTuple):
    """Chunks that are alike: their number, work of each in s, MB that each writes, s until workers are there."""

    chunks: int
    each: float
    written: float
    start: float = 10.0


NATIONAL = Programme(chunks=3334, each=122.0, written=37.1)  # 10 000 sections, three to a project


def hours(programme: Programme, workers: int, drive: float) -> tuple[float, float, str]:
    """Hours by the clock, the share of the workers' time that is work, and what sets the pace.

    `drive` in MB/s is what the drive that all share takes. The last chunk begins when the others are nearly done.
    """
    paces = {
        "workers": programme.chunks * programme.each / workers,
        "scheduler": programme.chunks / RATE,
        "drive": programme.chunks * programme.written / drive,
    }
    slowest = max(paces, key=lambda name: paces[name])
    last = programme.each if workers > 1 else 0.0
    took = programme.start + paces[slowest] + last
    return took / 3600, programme.chunks * programme.each / workers / took, slowest


def row(workers: int) -> str:
    """A line of the table: by a drive of 100 MB/s, and by one of 1 GB/s."""
    cells = [
        f"{time:.2f} h | {share:.0%} | {pace}"
        for time, share, pace in (hours(NATIONAL, workers, b) for b in (100.0, 1000.0))
    ]
    return f"| {workers} | {' | '.join(cells)} |"


def main() -> None:
    """Print the table."""
    print("| workers | drive of 100 MB/s | at work | pace | 1 GB/s | at work | pace |")
    print("|" + "---|" * 7)
    print("\n".join(map(row, WORKERS)))


if __name__ == "__main__":
    main()
