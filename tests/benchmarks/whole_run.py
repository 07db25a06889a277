"""Time of a whole run: the chain after imports, the help of the command, a package and WeasyPrint's share of it.

Run: python -m tests.benchmarks.whole_run [PROJECT]
"""

# ruff: noqa: T201 - a script prints its table

import resource
import subprocess
import sys
import tempfile
from collections.abc import Callable
from pathlib import Path
from time import perf_counter, process_time
from typing import Any
from unittest.mock import patch

from calc import package
from calc.chain import run_checks
from calc.inputs import read_design
from calc.package.pieces import set_pieces

ROOT = Path(__file__).parents[2]
REPEATS = 5


def chain_seconds(project: Path) -> float:
    """The best of some runs of the whole chain, inputs read before."""
    design = read_design(project)
    return min(_seconds(lambda: run_checks(design)) for _ in range(REPEATS))


def help_seconds() -> float:
    """Processor time of `sandsleeve --help` in a process of its own."""
    before = resource.getrusage(resource.RUSAGE_CHILDREN)
    for _ in range(REPEATS):
        subprocess.run([sys.executable, "-m", "calc", "--help"], cwd=ROOT, check=True, stdout=subprocess.DEVNULL)
    after = resource.getrusage(resource.RUSAGE_CHILDREN)
    return (after.ru_utime + after.ru_stime - before.ru_utime - before.ru_stime) / REPEATS


def package_seconds(project: Path) -> tuple[float, float]:
    """Processor time of a package from the checked run, and the part of it that setting the pages takes."""
    run = run_checks(read_design(project))
    inside = 0.0

    def timed(*given: Any, **more: Any) -> bytes:
        nonlocal inside
        start = process_time()
        made = set_pieces(*given, **more)
        inside += process_time() - start
        return made

    with tempfile.TemporaryDirectory() as folder, patch("calc.package.pieces.set_pieces", timed):
        start = process_time()
        package.write_package(run, Path(folder))
        return process_time() - start, inside


def _seconds(work: Callable[[], object]) -> float:
    start = perf_counter()
    work()
    return perf_counter() - start


def main() -> None:
    """Print the table for docs/benchmarks.md."""
    project = Path(sys.argv[1]) if len(sys.argv) > 1 else ROOT / "projects" / "marsh-approach"
    total, inside = package_seconds(project)
    print(f"| {project.name} | |\n|---|---|")
    print(f"| chain of all sections, after imports | {chain_seconds(project):.3f} s |")
    print(f"| `sandsleeve --help`, processor time | {help_seconds():.3f} s |")
    print(f"| package, processor time | {total:.1f} s |")
    print(f"| of that WeasyPrint | {inside:.1f} s, {100 * inside / total:.0f} % |")


if __name__ == "__main__":
    main()
