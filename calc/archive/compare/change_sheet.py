"""The change sheet: what is different between two revisions, on pages for the checker."""

from collections.abc import Iterator, Sequence
from itertools import groupby
from typing import Any, NamedTuple

from calc import __version__
from calc.archive.compare.changes import Changes, StepChange, VerdictChange, percent_text
from calc.archive.record.manifest import DocumentName, Manifest, PeopleNames, Program, RevisionLine
from calc.archive.record.revisions import UNKNOWN
from calc.inputs.reading.glyphs import first_without_glyph
from calc.package.pages import environment
from calc.package.render import render_pdf
from calc.package.shown import cut

# A long table takes the renderer minutes; results.json and the terminal have every line.
MOST_ROWS = 250
NOT_THERE = {"state": "not there", "utilisation": "–"}


class Side(NamedTuple):
    """A revision as the sheet names it; `record` is the hash of its record, or words where there is none yet."""

    document: DocumentName
    line: RevisionLine
    outcome: str
    people: PeopleNames
    program: Program
    record: str


def side_of(manifest: Manifest, digest: str) -> Side:
    """An issued revision with the hash of its record."""
    return Side(manifest.document, manifest.revision, manifest.outcome, manifest.people, manifest.program, digest[:12])


def change_sheet(changes: Changes, before: Side, after: Side) -> bytes:
    """The sheet as PDF/A."""
    context = {
        "document": after.document,
        "revisions": [before, after],
        "running": {
            "section": "Changes",
            "project": cut(after.document.title, 78),
            "document": cut(after.document.number, 50),
            "revision": cut(f"revision {before.line.label} to {after.line.label}", 52),
            "program": f"sandsleeve {__version__} · change sheet",
            "people": cut(f"checker {after.people.checker.name}", 60),
        },
        "date": after.line.date.isoformat(),
        "version": __version__,
        "tolerance": percent_text(changes.tolerance),
        "outcomes": changes.outcomes,
        "other_program": changes.programs[0] != changes.programs[1],
        "counts": {kind: changes.count(kind) for kind in ("new", "gone", "changed")},
        "inputs": changes.inputs[:MOST_ROWS],
        "inputs_left": max(0, len(changes.inputs) - MOST_ROWS),
        "verdicts": [_verdict(verdict) for verdict in sorted(changes.verdicts, key=lambda change: not change.turned)][
            :MOST_ROWS
        ],
        "verdicts_left": max(0, len(changes.verdicts) - MOST_ROWS),
        "results": [_result(result) for result in changes.results[:MOST_ROWS]],
        "results_left": max(0, len(changes.results) - MOST_ROWS),
        "to_check": len(changes.to_check),
        "chapters": [
            {
                "section": chapter[0],
                "title": chapter[1],
                "count": chapter[2],
                "whole": chapter[3],
                "steps": _places(changes, chapter[:2]),
            }
            for chapter in changes.chapters()
        ],
        "gone": [f"{step.number} {step.title}" for step in changes.steps if step.kind == "gone"][:MOST_ROWS],
    }
    html = environment().get_template("change-sheet.html").render(context)
    return render_pdf(printable(html), (), after.line.date)


def printable(html: str) -> str:
    """Results from outside may hold signs that the fonts cannot print; project files cannot."""
    missing = {ord(sign): UNKNOWN for sign in set(html) if first_without_glyph(sign) is not None}
    return html.translate(missing)


def _verdict(change: VerdictChange) -> dict[str, Any]:
    sides = [
        {"state": side.words, "utilisation": "–" if side.utilisation is None else f"{side.utilisation:.3f}"}
        if side
        else NOT_THERE
        for side in (change.before, change.after)
    ]
    return {
        "place": f"{change.section} {change.chapter}",
        "title": change.title,
        "sides": sides,
        "turned": change.turned,
    }


def _result(change: StepChange) -> dict[str, Any]:
    size = "not comparable" if change.largest is None else percent_text(change.largest)
    return {
        "number": change.number,
        "title": change.title,
        "before": change.before,
        "after": change.after,
        "size": size,
        "why": ", ".join(change.why),
    }


def _places(changes: Changes, place: tuple[str, str]) -> str:
    """The printed numbers of the steps to check in a chapter, neighbours drawn together."""
    numbers = [change.number for change in changes.to_check if (change.section, change.chapter) == place]
    return ", ".join(_drawn_together(numbers))


def _drawn_together(numbers: Sequence[str]) -> Iterator[str]:
    split = [number.rpartition(".") for number in numbers]
    lines = sorted((head, int(last)) for head, _, last in split if last.isdecimal())
    for _, group in groupby(enumerate(lines), key=lambda item: (item[1][0], item[1][1] - item[0])):
        run = [line for _, line in group]
        first, last = (f"{head}.{number}" for head, number in (run[0], run[-1]))
        yield first if first == last else f"{first}–{last.rpartition('.')[2]}"
    yield from (number for number, (_, _, last) in zip(numbers, split, strict=True) if not last.isdecimal())
