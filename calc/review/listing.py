"""Comments on a terminal and as data."""

from collections.abc import Iterator, Sequence
from dataclasses import asdict
from textwrap import indent, wrap
from typing import Any

from calc.review.comments import Comment, open_queries
from calc.review.people_texts import numbers, one_line

WIDTH = 98


def comments_record(comments: Sequence[Comment]) -> dict[str, Any]:
    """Comments as plain data; `unsettled` are queries that the checker has not closed."""
    return {
        "comments": [asdict(comment) for comment in comments],
        "unsettled": [query.number for query in open_queries(comments)],
    }


def comments_text(comments: Sequence[Comment], everything: bool) -> str:
    """Where the comments stand; with `everything` each with what was said."""
    states = {
        status: [comment.number for comment in comments if comment.status == status]
        for status in ("open", "answered", "closed")
    }
    head = "Comments: " + "; ".join(f"{status} {numbers(which)}" for status, which in states.items()) + "."
    waiting = [query.number for query in open_queries(comments)]
    lines = [head, f"Queries that the checker has not closed: {numbers(waiting)}."]
    if everything:
        lines += [line for comment in comments for line in _lines(comment)]
    return "\n".join(lines)


def _lines(comment: Comment) -> Iterator[str]:
    yield ""
    yield from wrap(
        f"{comment.number}  {comment.printed} {one_line(comment.title)} ({comment.kind}, {comment.status})", WIDTH
    )
    for said in comment.said:
        head = f"{said.role} {one_line(said.who)}, {said.date}, revision {one_line(said.revision)}: "
        yield indent("\n".join(wrap(head + (one_line(said.text, 10_000) or "closed"), WIDTH - 3)), "   ")
