"""Time and memory of a package by phase, for projects of one, three, six and twelve sections.

Run: python -m tests.benchmarks.growth [PROJECT [COUNT …]]: the first section of the project, repeated under other keys.
"""

# ruff: noqa: T201 - a script prints its table

import re
import resource
import shutil
import subprocess
import sys
import tempfile
from itertools import pairwise
from pathlib import Path
from string import ascii_uppercase
from time import perf_counter

ROOT = Path(__file__).parents[2]
COUNTS = (1, 3, 6, 12)


def repeated(text: str, count: int) -> str:
    """A project file with its first section `count` times, and without what joins the sections of the project."""
    common, first, *_ = re.split(r"(?m)^(?=\[\[section\]\])", text)
    common = re.sub(r"(?ms)^\[(?:alignment|\[alignment\.transition\])\]\n.*?(?=^\[|^# -|\Z)", "", common)
    return common + "".join(
        re.sub(r'(?m)^key = "\w+"', f'key = "{key}"', first, count=1) for key in ascii_uppercase[:count]
    )


def measure(project: Path) -> None:
    """Print one row for a project: processor time by phase, time by the clock, pages, peaks of memory."""
    from pypdfium2 import PdfDocument

    from calc.chain import run_checks
    from calc.commands.searches import searches
    from calc.inputs import read_design
    from calc.package import package_pdf
    from calc.package.pages import Pages
    from calc.package.results import results_text

    start, marks = perf_counter(), [_spent()]
    with searches(fresh=True):
        run = run_checks(read_design(project))
    marks.append(_spent())
    Pages(run).pieces(lambda _text: None)  # drawings stay in memory: what follows sets the pages and little else
    marks.append(_spent())
    with searches(fresh=True) as means:
        pdf = package_pdf(run, results_text(run).encode(), means=means)
    marks.append(_spent())
    spent = [f"{after - before:.0f}" for before, after in pairwise(marks)]
    peaks = [
        f"{resource.getrusage(who).ru_maxrss / 1024:.0f}" for who in (resource.RUSAGE_SELF, resource.RUSAGE_CHILDREN)
    ]
    counts = [str(len(run.sections)), str(len(PdfDocument(pdf)))]
    print(f"| {' | '.join([*counts, *spent, f'{perf_counter() - start:.0f}', *peaks])} |", flush=True)


def _spent() -> float:
    """Processor time of this process and of those that it started and that ended."""
    return sum(
        one.ru_utime + one.ru_stime for one in map(resource.getrusage, (resource.RUSAGE_SELF, resource.RUSAGE_CHILDREN))
    )


def main() -> None:
    """Print the table for docs/benchmarks.md, each row by a process of its own."""
    project = Path(sys.argv[1]) if len(sys.argv) > 1 else ROOT / "projects" / "marsh-approach"
    counts = [int(count) for count in sys.argv[2:]] or COUNTS
    text = (project / "project.toml").read_text(encoding="utf-8")
    heads = "sections", "pages", "chain, s", "text, s", "pages set, s", "by the clock, s", "peak, MB", "beside, MB"
    print(f"| {' | '.join(heads)} |")
    print("|" + "---|" * 8)
    for count in counts:
        with tempfile.TemporaryDirectory() as folder:
            shutil.copytree(project, folder, dirs_exist_ok=True, ignore=shutil.ignore_patterns("out", "archive"))
            (Path(folder) / "project.toml").write_text(repeated(text, count), encoding="utf-8")
            subprocess.run([sys.executable, "-m", "tests.benchmarks.growth", "--row", folder], cwd=ROOT, check=True)


if __name__ == "__main__":
    if sys.argv[1:2] == ["--row"]:
        measure(Path(sys.argv[2]))
    else:
        main()
