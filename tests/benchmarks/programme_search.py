"""Time of the search for the shortest filling programme of the three-section example, and of the runs that confirm it.

Run: OPENBLAS_NUM_THREADS=1 python -m tests.benchmarks.programme_search    (the command sets the same by itself)
"""

# ruff: noqa: T201 - a script prints its table

from pathlib import Path
from time import perf_counter, process_time

from calc.inputs import read_design
from calc.study.confirm import Confirmed, confirm_dates
from calc.study.shortest import Found, Search, Wish

PROJECT = Path(__file__).parents[2] / "projects" / "marsh-approach"


def silent(_text: str) -> None:
    """Show nothing."""


def main(project: Path = PROJECT) -> None:
    """Print processor time and time by the clock for every section and for all together."""
    design = read_design(project)
    total = [0.0] * 4
    print("| section | programmes | search, processor s | search, s | all chapters, processor s | all chapters, s |")
    print("|---|---|---|---|---|---|")
    for section in design.sections:
        start = process_time(), perf_counter()
        search = Search(design, section, Wish())
        found = search.dates()
        middle = process_time(), perf_counter()
        made = confirm_dates(search, found, silent) if isinstance(found, Found) else found
        end = process_time(), perf_counter()
        times = [middle[0] - start[0], middle[1] - start[1], end[0] - middle[0], end[1] - middle[1]]
        total = [one + other for one, other in zip(total, times, strict=True)]
        looked = made.programme.looked if isinstance(made, Confirmed) else 0
        print(f"| {section.key} | {looked} | {' | '.join(f'{time:.2f}' for time in times)} |")
    print(f"| all | | {' | '.join(f'{one:.2f}' for one in total)} |")


if __name__ == "__main__":
    main()
