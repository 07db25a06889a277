"""Where the check stands, as the package prints it."""

import json
from collections import Counter, defaultdict
from collections.abc import Iterator
from dataclasses import replace
from pathlib import Path

from calc.chain import Run
from calc.inputs import Design
from calc.package.checked import ChapterCheck, Checked, CheckMark, CommentView, SaidView
from calc.package.shown import cut
from calc.review.comments import Comment
from calc.review.facts import facts, line_number
from calc.review.ledger import FOLDER, read_ledger
from calc.review.own_values import comparison, stored_form
from calc.review.people_texts import numbers, shown_comments, shown_text
from calc.review.standing import Standing, standing

SIGNS = {"agreed": "✓", "query": "?"}
AGAIN = CheckMark("↻", "check", "again")


def checked_run(project: Path, run: Run) -> Checked | None:
    """What the stored reviews of a project say about a run; None where nobody has reviewed anything.

    `RefusedFile` where a stored review is damaged.
    """
    if not (project / FOLDER).is_dir():
        return None
    ledger = read_ledger(project, run.design)
    lines = marks_for_pages(standing(ledger, facts(run))) if ledger.stored else None
    sheet = comparison(project, run)
    return replace(lines or Checked(), comparison=sheet) if lines or sheet else None


def review_text(project: Path, design: Design) -> bytes:
    """Every stored review and the newest own values as one file for an archive; nothing where there is none."""
    if not (project / FOLDER).is_dir():
        return b""
    reviews = [review.model_dump(mode="json") for review in read_ledger(project, design).in_order()]
    form = stored_form(project, design)
    if not reviews and form is None:
        return b""
    whole = {"reviews": reviews, "own_values": form.model_dump(mode="json") if form else None}
    return (json.dumps(whole, indent=1, ensure_ascii=True) + "\n").encode()


def marks_for_pages(state: Standing) -> Checked | None:
    """The marks and comments of a run for its pages; None where no checker has said anything."""
    if not state.begun:
        return None
    return Checked(
        marks=dict(_marks(state)),
        summary=_summary(state),
        chapters=tuple(_chapters(state)),
        comments=tuple(_comment(comment, state) for comment in shown_comments(state.comments)),
    )


def _marks(state: Standing) -> Iterator[tuple[str, CheckMark]]:
    on_step: dict[str, list[int]] = defaultdict(list)
    for comment in state.comments:
        for key in comment.steps:
            on_step[key].append(comment.number)
    for key in state.known.steps:
        queries = tuple(on_step[key]) if key in on_step else ()
        if key in state.changed:
            yield key, CheckMark(AGAIN.sign, AGAIN.initials, AGAIN.date, "", queries)
        if key in state.marks:
            mark = state.marks[key]
            earlier = "" if mark.revision == state.known.revision else cut(shown_text(mark.revision), 8)
            initials = cut(shown_text(mark.initials), 8)
            yield key, CheckMark(SIGNS[mark.mark], initials, mark.date, earlier, queries)


def _summary(state: Standing) -> str:
    counts, whole = state.counts(), len(state.known.steps)
    waiting = [comment.number for comment in state.unsettled]
    return (
        f"{counts['agreed']} of {whole} lines agreed, {counts['query']} queried, {counts['changed']} to be checked "
        f"again, {counts['not checked']} not checked; queries that the checker has not closed: {numbers(waiting)}."
        f"{_signed_by(state)}"
    )


def _signed_by(state: Standing) -> str:
    """Who the initials beside the lines stand for, and for how many lines each."""
    counts = Counter((mark.name, mark.initials) for mark in state.marks.values() if mark.name)
    people = [f"{name} ({initials}) {count}" for (name, initials), count in sorted(counts.items())]
    return f" Marked by {shown_text(', '.join(people))}." if people else ""


def _chapters(state: Standing) -> Iterator[ChapterCheck]:
    by_chapter: dict[str, Counter[str]] = defaultdict(Counter)
    for key, step in state.known.steps.items():
        by_chapter[step.number.rpartition(".")[0]][state.of(key)] += 1
    for number, counts in by_chapter.items():
        yield ChapterCheck(number, counts["agreed"], counts["query"], counts["changed"], counts.total())


def _comment(comment: Comment, state: Standing) -> CommentView:
    known = [state.known.steps[key].number for key in comment.steps if key in state.known.steps]
    said = tuple(
        SaidView(f"{said.role} {said.who}, {said.date}, revision {said.revision}", said.text or "closed")
        for said in comment.said
    )
    return CommentView(
        comment.number,
        comment.step,
        line_number(known) if known else comment.printed,
        comment.title,
        comment.kind,
        comment.status,
        said,
    )
