"""The review page: one HTML file that loads nothing, from the steps that the package prints."""

from collections import Counter
from collections.abc import Mapping, Sequence
from typing import Any

from markupsafe import Markup

from calc import __version__
from calc.chain import Run
from calc.engine.typeset import write_numbers
from calc.package.html_file import embed, own_file, policy
from calc.package.pages import environment
from calc.package.shown import category_words, status_words
from calc.review.comments import Comment
from calc.review.earlier import Earlier
from calc.review.facts import facts
from calc.review.line_descent import compared_lines, order_of, read_lines
from calc.review.people_texts import shown_comments
from calc.review.records import FORMAT
from calc.review.standing import Standing
from calc.review.views import ChapterPage, LineView, StepView, chapters

SCRIPTS = ("review.js", "review-ways.js", "review-start.js")
ENTERED = {"mark", "comment", "initials", "date", "own"}


def review_page(run: Run, state: Standing | None = None, earlier: Earlier | None = None) -> str:
    """The page of a run as one HTML document.

    `state` is where its check stands, `earlier` a revision whose results stand beside those of the run.
    """
    known = state.known if state else facts(run)
    return page_of(run, list(chapters(run)), state or Standing(known, {}, frozenset(), (), {}), earlier)


def page_of(run: Run, pages: Sequence[ChapterPage], state: Standing, earlier: Earlier | None = None) -> str:
    """The page of these chapters."""
    design, latest = run.design, run.design.project.revisions[-1]
    style, script = own_file("review.css"), "\n".join(map(own_file, SCRIPTS))
    lines = [line for chapter in pages for line in chapter.lines]
    threads: dict[str, list[Comment]] = {}
    said = shown_comments(state.comments)
    for comment in said:
        for key in comment.steps:
            threads.setdefault(key, []).append(comment)
    known = state.known
    context = {
        "policy": policy(script, style),
        "style": Markup(style),  # noqa: S704 - the project's own file
        "script": Markup(script),  # noqa: S704 - the same
        "data": embed(
            {
                "format": FORMAT,
                "run": known.run,
                "document": known.document,
                "revision": known.revision,
                "entries": {key: entry.model_dump(include=ENTERED) for key, entry in state.entries.items()},
                "sections": [part.section.key for part in run.sections],
                **_record(run, pages, state, earlier),
            }
        ),
        "sections": [part.section for part in run.sections],
        "many": len(run.sections) > 1,
        "project": design.project,
        "latest": latest,
        "status": status_words(latest.status),
        "outcome": run.outcome,
        "version": __version__,
        "category": category_words(design.basis.check_category),
        "run": state.known.run,
        "inputs_hash": design.sha256,
        "checker": design.people.checker.name,
        "chapters": pages,
        "earlier": earlier,
        "former": earlier.left_out(known.steps) if earlier else (),
        "threads_of": lambda line: _on_line(line, threads),
        "comments": said,
        "anchors": {step.key: line.anchor for line in lines for step in line.steps if step},
    }
    return environment().get_template("review.html").render(context)


def _record(run: Run, pages: Sequence[ChapterPage], state: Standing, earlier: Earlier | None) -> dict[str, Any]:
    """What the script knows: every step, by the place of its line and its section, and the lines that verdicts compare.

    Inputs and lines of verdicts are places in the list of steps.
    """
    lines = [line for chapter in pages for line in chapter.lines]
    steps = [step for line in lines for step in line.steps if step]
    printed = {step.key: place for place, step in enumerate(steps)}
    read, order = read_lines(run, printed), order_of(run)
    alike = Counter(step.alike for step in steps if step.alike)
    groups = {said: place for place, said in enumerate((texts for texts, many in alike.items() if many > 1), start=1)}
    compared = dict(compared_lines(run, printed))
    return {
        "lines": [[column for column, step in enumerate(line.steps) if step] for line in lines],
        "steps": [
            [
                *_step(state, step),
                bool(earlier and earlier.differs(step)),
                groups.get(step.alike, 0),
                printed.get(step.taken, -1),
                order.get(step.key, place),
                read.get(step.key, ()),
            ]
            for place, step in enumerate(steps)
        ],
        "verdicts": [compared.get(verdict.key, ()) for chapter in pages for verdict in chapter.verdicts],
    }


def _step(state: Standing, step: StepView) -> list[Any]:
    mark = state.marks.get(step.key)
    words, stamp = (mark.mark, mark.stamp) if mark else ("none", "")
    fingerprint = state.known.steps[step.key].fingerprint
    printed = " = ".join(filter(None, (step.result, step.also)))
    numbers = write_numbers(step.numbers).replace(" * ", " · ").replace(" - ", " − ")
    shown = [step.value, step.unit, numbers, write_numbers(printed), step.recomputed]
    return [step.key, fingerprint, *shown, words, stamp, step.key in state.changed]


def _on_line(line: LineView, threads: Mapping[str, Sequence[Comment]]) -> list[Comment]:
    """The comments on a line in the order of their numbers, one about several sections once."""
    by_number = {comment.number: comment for step in line.steps if step for comment in threads.get(step.key, ())}
    return [by_number[number] for number in sorted(by_number)]
