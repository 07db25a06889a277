"""The search of 216 000 designs: `OPENBLAS_NUM_THREADS=1 python -m tests.benchmarks.design_grid`.

Two diameters, 90 spacings, two patterns, 60 sleeves and ten coefficients of installation of the quickest example.
"""

import sys
from collections.abc import Sequence
from pathlib import Path
from tempfile import TemporaryDirectory
from time import perf_counter, process_time

from calc.inputs import read_design
from calc.inputs.reading.source import text_of
from calc.study.engines import engine, in_order
from calc.study.followed import follow
from calc.study.screening import Screening
from calc.study.size_grid import size_grid
from calc.study.size_report import search_text
from calc.study.size_search import search
from calc.study.whole_section import Task, outcome_of
from tests.study.grids import sleeve, write_grid

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
    head = head.replace('"1.6 m", "1.9 m", "2.1 m"', ", ".join(f'"{1.5 + 0.01 * k:.2f} m"' for k in range(spacings)))
    head = head.replace('"light", "strong"', ", ".join(f'"{name}"' for name in names))
    ways = "".join(INSTALLATION.format(K_star=round(0.6 + 0.05 * k, 2), volume=31 + k) for k in range(installations))
    products = "".join(sleeve(name, 150 + 5 * k, 7 + 0.1 * k, 2.0) for k, name in enumerate(names))
    catalogue = rest.index("[[catalogue.sleeve]]")
    (folder / "project.toml").write_text(head + ways + products + rest[catalogue:], encoding="utf-8")
    return folder


def measure(folder: Path) -> None:
    """Print what the search finds and how long it takes."""
    begun, used = perf_counter(), process_time()
    design = read_design(folder)
    grid = size_grid(design)
    typed = outcome_of(Task(str(folder), text_of(design.text), grid.section.key))
    with engine("processes") as beside:
        screening = Screening(grid, beside, follow)

        def runs(tasks: Sequence[Task]) -> object:
            return in_order(beside.results(outcome_of, tasks))

        found = search(screening, typed, runs, asked=3, most=200, side_by_side=beside.workers, tell=lambda _: None)  # type: ignore[arg-type]
    spent = perf_counter() - begun
    sys.stdout.write(f"{search_text(found)}\n\n{len(grid)} combinations: {spent:.1f} s, processor time here "
                     f" {process_time() - used:.1f} s\n")  # fmt: skip


if __name__ == "__main__":
    with TemporaryDirectory() as made:
        measure(large_grid(Path(made) / "grid"))
