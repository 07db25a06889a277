"""Taking a review file in: it must belong to exactly this run; its marks and comments join what is stored."""

import datetime as dt
from collections.abc import Collection, Iterator, Mapping, Sequence
from dataclasses import dataclass
from hashlib import sha256
from pathlib import Path
from typing import Literal

from calc.inputs import Design
from calc.numbering import own_key
from calc.review.comments import Comment, comments
from calc.review.facts import Facts, line_number
from calc.review.ledger import Ledger, lock_reviews, read_ledger
from calc.review.people import refuse_other_initials, refuse_other_people
from calc.review.records import LONGEST_NAME, By, Entry, Event, ReviewFile, read_model, says_something
from calc.review.refused import OtherRun, RefusedFile
from calc.review.stored import SignedEntry, TakenFile, join_entries

Signed = tuple[str, str]


@dataclass(frozen=True)
class Taken:
    """What came in: the ledger after it, and the numbers of comments raised, added to and closed by it."""

    ledger: Ledger
    file: ReviewFile
    raised: tuple[int, ...]
    continued: tuple[int, ...]
    closed: tuple[int, ...]


def take(project: Path, design: Design, known: Facts, content: bytes, place: str) -> Taken:
    """Take a review file in; nothing is written where it is refused.

    `RefusedFile` where it is no review file, or names steps or people that do not fit; `OtherRun` where it belongs to
    another run. Entries join those taken before: the later one counts at a step, and both are kept. Taking a file twice
    changes nothing.
    """
    file = read_model(ReviewFile, content, place)
    _of_this_run(file, known, place)
    refuse_other_people(file.by.name, "by.name", design, place)
    _refuse_days_to_come(file, place)
    _new_entries(file, read_ledger(project, design).current().by_step(), place)  # refused before a folder is made
    with lock_reviews(project):
        ledger = read_ledger(project, design)
        current = ledger.current()
        before = current.by_step()
        fresh = _new_entries(file, before, place)
        news = [entry for entry in fresh if not _same_entry(entry, before.get(entry.key))]
        events = tuple(_events(news, ledger, known, (file.by.initials, _today())))
        if fresh or events or file.run != current.run:
            digest = sha256(content).hexdigest()
            made = TakenFile(by=file.by, run=file.run, file=digest, day=_today(), steps=fresh)
            update = {"taken": (*current.taken, made), "events": (*current.events, *events)}
            ledger = ledger.write(current.model_copy(update=update))
    numbers = {
        kind: tuple(event.comment for event in events if event.kind == kind) for kind in ("raised", "said", "closed")
    }
    return Taken(ledger, file, numbers["raised"], numbers["said"], numbers["closed"])


def _today() -> str:
    return dt.datetime.now().astimezone().date().isoformat()


def _of_this_run(file: ReviewFile, known: Facts, place: str) -> None:
    if file.run != known.run:
        message = (
            f"{place}: belongs to another run: it was made on the page of revision {file.revision!r}, run "
            f"{file.run[:12]}; the project now gives revision {known.revision!r}, run {known.run[:12]}. "
            "Take it in with the project file that its page was made from, or check on a new page."
        )
        raise OtherRun(message)
    wrong = [
        entry.key for entry in file.steps
        if entry.key not in known.steps or known.steps[entry.key].fingerprint != entry.fingerprint
    ]  # fmt: skip
    if wrong or (file.document, file.revision) != (known.document, known.revision):
        message = f"{place}: names the run but not its steps, document and revision: it was changed after it was saved"
        raise OtherRun(message)


def _refuse_days_to_come(file: ReviewFile, place: str) -> None:
    """Nothing was checked on a day to come; one day is left for a machine in another part of the world."""
    latest = (dt.datetime.now().astimezone().date() + dt.timedelta(days=1)).isoformat()
    for number, entry in enumerate(file.steps):
        if entry.date > latest:
            message = f"{place}: steps[{number}].date: must not be a day to come, got {entry.date!r}"
            raise RefusedFile(message)


def _new_entries(file: ReviewFile, before: Mapping[str, SignedEntry], place: str) -> tuple[Entry, ...]:
    """The entries that change what counts at their steps, all by the person who checks."""
    entries = (_own_part(entry, file.by, before.get(entry.key)) for entry in file.steps)
    fresh = tuple(entry for entry in entries if _adds(SignedEntry(entry, file.by.name), before.get(entry.key)))
    refuse_other_initials(file.by, fresh, place)
    return fresh


def _own_part(entry: Entry, by: By, before: SignedEntry | None) -> Entry:
    """What is new in an entry: not the mark of another person that stands there already."""
    signed = ("fingerprint", "mark", "initials", "date")
    if before is None or before.name == by.name or any(
        getattr(entry, name) != getattr(before.entry, name) for name in signed
    ):  # fmt: skip
        return entry
    return entry.model_copy(update={"mark": "", "initials": "", "date": ""})


def _same_entry(entry: Entry, before: SignedEntry | None) -> bool:
    """Whether an entry was taken before and says nothing new about its step but an own value."""
    compared = ("fingerprint", "mark", "comment", "initials", "date")
    return before is not None and all(getattr(entry, name) == getattr(before.entry, name) for name in compared)


def _adds(entry: SignedEntry, before: SignedEntry | None) -> bool:
    """Whether an entry changes what counts at its step."""
    return join_entries(entry, before).entry != (before.entry if before else None)


def _events(entries: Sequence[Entry], ledger: Ledger, known: Facts, by: Signed) -> Iterator[Event]:
    """What the entries of a file do to the comments, in printed order; entries alike on one line do it together."""
    threads, closed = comments(ledger), set[int]()
    new = len(threads) + 1
    queried = _steps_queried(entries, ledger, known)
    for group in _alike(entries, known):
        keys = {entry.key for entry in group}
        own = [comment for comment in threads if keys.intersection(comment.steps) and comment.number not in closed]
        settled = {comment.number for comment in own if not queried.intersection(comment.steps)}
        for event in _of_entries(group, own, settled, known, new, by):
            new = max(new, event.comment + 1)
            closed |= {event.comment} if event.kind == "closed" else set()
            yield event


def _alike(entries: Sequence[Entry], known: Facts) -> list[list[Entry]]:
    """Entries that say the same of one quantity in several sections together, all in printed order."""
    order = {key: place for place, key in enumerate(known.steps)}
    groups: dict[tuple[str, ...], list[Entry]] = {}
    for entry in sorted(entries, key=lambda item: order[item.key]):
        said = (own_key(entry.key), entry.mark, entry.initials, entry.date, entry.comment.strip())
        groups.setdefault(said, []).append(entry)
    return list(groups.values())


def _steps_queried(entries: Sequence[Entry], ledger: Ledger, known: Facts) -> set[str]:
    """The steps whose newest mark of any revision is a query once these entries are in."""
    marks: dict[str, str] = {}
    for review in ledger.in_order():
        marks |= {
            key: signed_entry.entry.mark for key, signed_entry in review.by_step().items() if signed_entry.entry.mark
        }
    marks |= {entry.key: entry.mark for entry in entries if entry.mark}
    return {key for key, mark in marks.items() if mark == "query" and key in known.steps}


def _of_entries(
    entries: Sequence[Entry], threads: Sequence[Comment], settled: Collection[int], known: Facts, new: int, by: Signed
) -> Iterator[Event]:
    """What entries that say the same do to the comments on their line; `new` is the number of one that they raise.

    A query that they agree is closed where it is `settled`: where no step that it is about is still queried.
    An entry without a mark bears no initials and no date: those of the file stand for them.
    """
    entry, steps = entries[0], [known.steps[entry.key] for entry in entries]
    waiting = [comment for comment in threads if comment.status != "closed"]
    text, query = entry.comment.strip() if says_something(entry.comment) else "", entry.mark == "query"
    alike = [comment for comment in (waiting if query else threads) if comment.last_of_checker.strip() == text]
    if query:
        alike = [comment for comment in alike if comment.kind == "query"]

    def event(number: int, kind: Literal["raised", "said", "closed"], words: str) -> Event:
        printed = line_number([step.number for step in steps]) if kind == "raised" else steps[0].number
        also = tuple(step.key for step in steps[1:]) if kind == "raised" else ()
        return Event(
            comment=number, kind=kind, step=steps[0].key, printed=printed[-LONGEST_NAME:], title=steps[0].title,
            query=query, who=entry.initials or by[0], date=entry.date or by[1], text=words, also=also,
        )  # fmt: skip

    if text and not alike:
        yield event(waiting[-1].number, "said", entry.comment) if waiting else event(new, "raised", entry.comment)
    if entry.mark == "agreed":
        yield from (
            event(comment.number, "closed", "")
            for comment in waiting
            if comment.kind == "query" and comment.number in settled
        )
