"""The search of ever more designs: `OPENBLAS_NUM_THREADS=1 python -m tests.benchmarks.design_grid [COMBINATIONS …]`.

Two diameters, two patterns, ten coefficients of installation, and of spacings and sleeves the more the denser, over the
same ranges, of the quickest example: up to 90 and 60. A process of its own for each grid, so that memory is its own.
"""

import resource
import subprocess
import sys
from collections.abc import Sequence
from pathlib import Path
from tempfile import TemporaryDirectory
from time import perf_counter

from calc.inputs import read_design
from calc.inputs.reading.source import text_of
from calc.study.engines import engine, in_order
from calc.study.followed import follow
from calc.study.screening import Screening
from calc.study.size_grid import size_grid
from calc.study.size_report import search_text
from calc.study.size_search import search
from calc.study.whole_section import Task, outcome_of
from tests.benchmarks.closed_chain import _processor_time
from tests.study.grids import sleeve, write_grid

ROOT = Path(__file__).parents[2]
GRIDS = {"2160": (9, 6), "21600": (30, 18), "216000": (90, 60)}
"""Spacings and sleeves of a grid of so many combinations."""

INSTALLATION = """[[size.installation]]
method = "excavation"
K_star = {K_star}
[size.installation.price]
column = {{ value = 60, source = "Tender T-1, item 3.1 (invented)" }}
metre = {{ value = 22, source = "Tender T-1, item 3.2 (invented)" }}
volume = {{ value = {volume}, source = "Tender T-1, item 3.3 (invented)" }}
"""


def large_grid(folder: Path, spacings: int = 90, sleeves: int = 60, installations: int = 10) -> Path:
    """A project folder with a grid of four times these combinations."""
    text = (write_grid(folder) / "project.toml").read_text(encoding="utf-8")
    head, _, rest = text.partition("[[size.installation]]")
    names = [f"S{k}" for k in range(sleeves)]
    head = head.replace(
        '"1.6 m", "1.9 m", "2.1 m"', ", ".join(f'"{1.5 + 0.9 * k / spacings:.3f} m"' for k in range(spacings))
    )
    head = head.replace('"light", "strong"', ", ".join(f'"{name}"' for name in names))
    ways = "".join(INSTALLATION.format(K_star=round(0.6 + 0.05 * k, 2), volume=31 + k) for k in range(installations))
    products = "".join(
        sleeve(name, 150 + round(300 * k / sleeves), 7 + 6 * k / sleeves, 2.0) for k, name in enumerate(names)
    )
    catalogue = rest.index("[[catalogue.sleeve]]")
    (folder / "project.toml").write_text(head + ways + products + rest[catalogue:], encoding="utf-8")
    return folder


def measure(folder: Path) -> None:
    """Print what the search finds and how long it takes."""
    begun, used = perf_counter(), _processor_time()
    design = read_design(folder)
    grid = size_grid(design)
    typed = outcome_of(Task(str(folder), text_of(design.text), grid.section.key))
    with engine("processes") as beside:
        screening = Screening(grid, beside, follow)

        def runs(tasks: Sequence[Task]) -> object:
            return in_order(beside.results(outcome_of, tasks))

        found = search(screening, typed, runs, asked=3, most=200, side_by_side=beside.workers, tell=lambda _: None)  # type: ignore[arg-type]
    spent = perf_counter() - begun
    peak = max(resource.getrusage(who).ru_maxrss for who in (resource.RUSAGE_SELF, resource.RUSAGE_CHILDREN))
    sys.stdout.write(f"{search_text(found)}\n\n{len(grid)} combinations: {spent:.1f} s, processors "
                     f"{_processor_time() - used:.1f} s, {found.runs} runs, peak {peak / 1024:.0f} MB\n\n")  # fmt: skip


def main(counts: Sequence[str]) -> None:
    """Each grid by a process of its own."""
    for count in counts:
        spacings, sleeves = GRIDS[count]
        with TemporaryDirectory() as made:
            folder = large_grid(Path(made) / "grid", spacings, sleeves)
            subprocess.run(
                [sys.executable, "-m", "tests.benchmarks.design_grid", "--one", folder], cwd=ROOT, check=True
            )


if __name__ == "__main__":
    if sys.argv[1:2] == ["--one"]:
        measure(Path(sys.argv[2]))
    else:
        main(sys.argv[1:] or [*GRIDS])
