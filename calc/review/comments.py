"""Numbered comments: what was said about them in every revision, and where they stand."""

from collections.abc import Mapping, Sequence
from dataclasses import dataclass, replace
from typing import Literal

from calc.inputs.reading.scalars import UNPRINTABLE
from calc.inputs.tables.project import People
from calc.review.ledger import Ledger
from calc.review.records import LONGEST_TEXT, Event, says_something
from calc.review.refused import RefusedFile, ReviewError
from calc.review.stored import StoredReview

Status = Literal["open", "answered", "closed"]
ROLES = {"raised": "checker", "said": "checker", "answered": "designer", "closed": "checker"}
STATUS: dict[str, Status] = {"raised": "open", "said": "open", "answered": "answered", "closed": "closed"}


@dataclass(frozen=True, slots=True)
class Said:
    """One thing said about a comment."""

    role: str
    who: str
    date: str
    revision: str
    text: str
    closing: bool


@dataclass(frozen=True, slots=True)
class Comment:
    """A numbered comment; a query has to be closed by the checker, a remark only says something.

    It is about its `step`, and `also` about the same quantity in other sections.
    """

    number: int
    step: str
    printed: str
    title: str
    kind: Literal["query", "remark"]
    status: Status
    said: tuple[Said, ...]
    also: tuple[str, ...] = ()

    @property
    def steps(self) -> tuple[str, ...]:
        """Every step that it is about."""
        return (self.step, *self.also)

    @property
    def last_of_checker(self) -> str:
        """What the checker said last."""
        return next(
            (remark.text for remark in reversed(self.said) if remark.role == "checker" and not remark.closing), ""
        )


def comments(ledger: Ledger) -> list[Comment]:
    """Every comment in the order of its number; `RefusedFile` where the stored events do not fit together."""
    by_number: dict[int, Comment] = {}
    for review in ledger.in_order():
        for event in review.events:
            known = by_number.get(event.comment)
            if (known is None) != (event.kind == "raised") or (known is None and event.comment != len(by_number) + 1):
                message = (
                    f"review of revision {review.revision!r}: comment {event.comment} must be raised once, in order"
                )
                raise RefusedFile(message)
            by_number[event.comment] = _after(known, event, review.revision)
    return list(by_number.values())


def _after(known: Comment | None, event: Event, revision: str) -> Comment:
    """The comment once an event has happened to it."""
    said = Said(ROLES[event.kind], event.who, event.date, revision, event.text, event.kind == "closed")
    if known is None:
        kind: Literal["query", "remark"] = "query" if event.query else "remark"
        return Comment(event.comment, event.step, event.printed, event.title, kind, "open", (said,), event.also)
    return replace(
        known, kind="query" if event.query else known.kind, status=STATUS[event.kind], said=(*known.said, said)
    )


def open_queries(threads: Sequence[Comment]) -> list[Comment]:
    """Queries that the checker has not closed."""
    return [comment for comment in threads if comment.kind == "query" and comment.status != "closed"]


def checked_text(text: str) -> str:
    """An answer as it may be stored."""
    if not says_something(text) or len(text) > LONGEST_TEXT or UNPRINTABLE.search(text):
        message = f"an answer must be a text of 1 to {LONGEST_TEXT} characters without control characters"
        raise ReviewError(message)
    return text


def with_answers(
    ledger: Ledger, people: People, answers: Mapping[int, str], closed: Sequence[int], today: str
) -> StoredReview:
    """The review that is worked on with the designer's answers, then the comments that the checker closes.

    `ReviewError` where a comment is not there or closed already.
    """
    by_number = {comment.number: comment for comment in comments(ledger)}
    for number in (*answers, *closed):
        if number not in by_number:
            known = f"1 to {len(by_number)}" if by_number else "none so far"
            message = f"comment {number} must be one that there is ({known})"
            raise ReviewError(message)
        if by_number[number].status == "closed":
            message = f"comment {number} is closed; the checker raises a new one where something is left"
            raise ReviewError(message)
    current = ledger.current()
    events = [
        *(
            _event(by_number[number], "answered", people.originator.name, today, text)
            for number, text in answers.items()
        ),
        *(
            _event(by_number[number], "closed", initials(people.checker.name), today, "")
            for number in dict.fromkeys(closed)
        ),
    ]
    return current.model_copy(update={"events": (*current.events, *events)})


def initials(name: str) -> str:
    """The first letters of a name."""
    return "".join(word[0] for word in name.split())[:12]


def _event(comment: Comment, kind: Literal["answered", "closed"], who: str, date: str, text: str) -> Event:
    return Event(
        comment=comment.number,
        kind=kind,
        step=comment.step,
        printed=comment.printed,
        title=comment.title,
        query=False,
        who=who,
        date=date,
        text=text,
    )
