"""Time of the review page in a browser with many values: opening, filtering, scrolling, every key.

Run: python -m tests.benchmarks.review_page [STEPS | PAGE], PAGE being a file that `sandsleeve review` has written
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
    "next line": "index => { if (index === 0) go(rows[5]); KEYS.j(); }",
    "agree a block": "index => { if (index === 0) rows.forEach((row) => seen.add(row)); show(rows[150 * index + 9]);"
    " KEYS.b(); }",
    "undo": "() => KEYS.u()",
    "follow a verdict": "index => follow(largest[index % largest.length])",
    "mark in a view": "() => { KEYS.j(); KEYS.a(); }",
    "follow another, leave": "index => { follow(largest[index % largest.length]); leaveView(); }",
    "show repeats": "() => { leave(); KEYS.r(); }",
    "all sections, one": "index => { leave(); if (MANY) byId('section').selectedIndex = index % 3; filter(); }",
}


def large_page(run: Run, count: int) -> str:
    """A page of at least `count` steps: the chapters of a run over and over, each time with keys of their own."""
    known, pages = facts(run), list(chapters(run))
    copies = -(-count // len(known.steps))
    steps: dict[str, StepFacts] = {}
    for index in range(copies):
        steps |= {_key(key, index): replace(step, key=_key(key, index)) for key, step in known.steps.items()}
    several = [_copy(page, index) for index in range(copies) for page in pages]
    state = Standing(Facts(known.run, known.document, known.revision, steps), {}, frozenset(), (), {})
    return page_of(run, several, state)


def _key(key: str, index: int) -> str:
    """The first chapters keep their keys, so that their verdicts can be followed."""
    return f"{index}/{key}" if index else key


def _copy(page: ChapterPage, index: int) -> ChapterPage:
    def parts() -> Iterator[object]:
        for part in page.parts:
            lines = tuple(
                replace(
                    line,
                    anchor=f"r{index}{line.anchor}",
                    steps=tuple(step and replace(step, key=_key(step.key, index)) for step in line.steps),
                )
                for line in part.lines
            )
            yield replace(part, lines=lines)

    verdicts = page.verdicts if index == 0 else ()
    return replace(page, anchor=f"r{index}{page.anchor}", parts=tuple(parts()), verdicts=verdicts)  # type: ignore[arg-type]


def measured(page: Page) -> dict[str, list[float]]:
    """Milliseconds of each kind of change in an open page."""
    page.run("byId('name').value = ''; byId('initials').value = 'BO'")
    page.run("globalThis.largest = [...followable].sort((one, other) => other.lines.length - one.lines.length); 0")
    return {name: page.run(TIMED % (REPEATS, change)) for name, change in CHANGES.items()}


def main() -> None:
    """Print the table for docs/benchmarks.md."""
    given = sys.argv[1] if len(sys.argv) > 1 else f"{STEPS}"
    with tempfile.TemporaryDirectory() as folder, browser() as made:
        path = Path(given)
        if given.isdigit():
            path = Path(folder) / "review.html"
            run = run_checks(read_design(ROOT / "projects" / "weak-sleeve"))
            path.write_text(large_page(run, int(given)), encoding="utf-8")
        page = Page(made, Path(folder)).open(path.resolve())
        load = page.run("performance.getEntriesByType('navigation')[0].loadEventEnd")
        size = f"{page.run('steps.length')} values on {page.run('rows.length')} lines"
        print(f"| {size}, {path.stat().st_size / 1e6:.1f} MB | median | largest |\n|---|---|---|")
        print(f"| open until loaded | {load:.0f} ms | |")
        for name, times in measured(page).items():
            print(f"| {name} | {median(times):.0f} ms | {max(times):.0f} ms |")


if __name__ == "__main__":
    main()
