"""Time of the review page in a browser with many steps: opening, filtering, scrolling, marking.

Run: python -m tests.benchmarks.review_page [STEPS]
"""

# ruff: noqa: T201 - a script prints its table

import sys
import tempfile
from collections.abc import Iterator
from dataclasses import replace
from pathlib import Path
from statistics import median

from calc.chain import Run, run_checks
from calc.inputs import read_design
from calc.review.facts import Facts, StepFacts, facts
from calc.review.page import page_of
from calc.review.standing import Standing
from calc.review.views import ChapterPage, chapters
from tests.browser.chromium import Page, browser

ROOT = Path(__file__).parents[2]
STEPS = 2000
REPEATS = 7
# In the page, by its clock: a change until the next frame has been laid out and painted, which takes a frame at least.
TIMED = """
(async () => {
  const frame = () => new Promise((done) => requestAnimationFrame(() => setTimeout(done)));
  const times = [];
  await frame();
  for (let index = 0; index < %d; index += 1) {
    const start = performance.now();
    (%s)(index);
    await frame();
    times.push(performance.now() - start);
  }
  return times;
})()
"""
CHANGES = {
    "filter": "index => { byId('show').value = ['open', 'all', 'query', 'changed'][index % 4]; filter(); }",
    "chapter": "index => { byId('show').value = 'all'; byId('chapter').selectedIndex = index; filter(); }",
    "scroll": "index => { if (index === 0) { byId('chapter').value = ''; filter(); }"
    " window.scrollTo(0, document.body.scrollHeight * (index + 0.5) / 8); }",
    "mark": "index => setMark(rows[100 * index], 'agreed')",
}


def large_page(run: Run, count: int) -> str:
    """A page of at least `count` steps: the chapters of a run over and over, each time with keys of their own."""
    known, pages = facts(run), list(chapters(run))
    copies = -(-count // len(known.steps))
    steps: dict[str, StepFacts] = {}
    for index in range(copies):
        steps |= {f"{index}/{key}": replace(step, key=f"{index}/{key}") for key, step in known.steps.items()}
    several = [_copy(page, index) for index in range(copies) for page in pages]
    state = Standing(Facts(known.run, known.document, known.revision, steps), {}, frozenset(), (), {})
    return page_of(run, several, state)


def _copy(page: ChapterPage, index: int) -> ChapterPage:
    def parts() -> Iterator[object]:
        for part in page.parts:
            steps = tuple(
                replace(step, key=f"{index}/{step.key}", anchor=f"r{index}{step.anchor}") for step in part.steps
            )
            yield replace(part, steps=steps)

    return replace(page, anchor=f"r{index}{page.anchor}", parts=tuple(parts()))  # type: ignore[arg-type]


def measured(page: Page) -> dict[str, list[float]]:
    """Milliseconds of each kind of change in an open page."""
    page.run("byId('initials').value = 'BO'")
    return {name: page.run(TIMED % (REPEATS, change)) for name, change in CHANGES.items()}


def main() -> None:
    """Print the table for docs/benchmarks.md."""
    count = int(sys.argv[1]) if len(sys.argv) > 1 else STEPS
    run = run_checks(read_design(ROOT / "projects" / "weak-sleeve"))
    with tempfile.TemporaryDirectory() as folder, browser() as made:
        path = Path(folder) / "review.html"
        path.write_text(large_page(run, count), encoding="utf-8")
        page = Page(made, Path(folder)).open(path)
        load = page.run("performance.getEntriesByType('navigation')[0].loadEventEnd")
        print(
            f"| {page.run('rows.length')} steps, {path.stat().st_size / 1e6:.1f} MB | median | largest |\n|---|---|---|"
        )
        print(f"| open until loaded | {load:.0f} ms | |")
        for name, times in measured(page).items():
            print(f"| {name} | {median(times):.0f} ms | {max(times):.0f} ms |")


if __name__ == "__main__":
    main()
