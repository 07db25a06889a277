"""The review of a revision as its project keeps it: every review file that was taken in, and every event, in order.

Nothing in it is ever replaced: a later entry for a step counts before an earlier one, and both stay. What was issued
is the beginning of what stands here later.
"""

import json
from hashlib import sha256
from typing import Annotated, Literal, NamedTuple

from pydantic import Field

from calc.review.records import MOST_EVENTS, By, Day, Entry, Events, Name, Part, Sha256, Steps, read_model


class TakenFile(Part):
    """What was new in a review file: by whom, of which run, the hash of the file, when it was taken in.

    What an earlier program stored has no hash and no day.
    """

    by: By
    run: Sha256
    file: Sha256 | None
    day: Day | None
    steps: Steps


class StoredReview(Part):
    """What the project folder keeps for one revision; `seal` is the hash of the rest."""

    format: Literal[2]
    kind: Literal["stored review"]
    document: Name
    revision: Name
    taken: Annotated[tuple[TakenFile, ...], Field(max_length=MOST_EVENTS)]
    events: Events
    seal: Sha256

    @classmethod
    def empty(cls, document: str, revision: str) -> "StoredReview":
        """The review of a revision of which nobody has said anything."""
        return cls(format=2, kind="stored review", document=document, revision=revision, taken=(), events=(),
                   seal="0" * 64)  # fmt: skip

    @property
    def run(self) -> str | None:
        """The run that the newest file belongs to."""
        return self.taken[-1].run if self.taken else None

    def by_step(self) -> dict[str, "SignedEntry"]:
        """What counts at each step, and who entered it."""
        entries: dict[str, SignedEntry] = {}
        for file in self.taken:
            for entry in file.steps:
                entries[entry.key] = join_entries(SignedEntry(entry, file.by.name), entries.get(entry.key))
        return entries

    def with_seal(self) -> "StoredReview":
        """The same with the seal that fits."""
        return self.model_copy(update={"seal": seal_of(self)})


class SignedEntry(NamedTuple):
    """An entry, and the name of whoever set its mark."""

    entry: Entry
    name: str


def join_entries(entry: SignedEntry, before: SignedEntry | None) -> SignedEntry:
    """The entry, with the mark of the one before where only a comment or an own value came in."""
    if entry.entry.mark or before is None or before.entry.fingerprint != entry.entry.fingerprint:
        return entry
    update = {"comment": entry.entry.comment or before.entry.comment, "own": entry.entry.own or before.entry.own}
    return before._replace(entry=before.entry.model_copy(update=update))


class _FirstFormat(Part):
    """A stored review of an earlier program, which kept the last entry of each step alone."""

    format: Literal[1]
    kind: Literal["stored review"]
    document: Name
    revision: Name
    run: Sha256 | None
    by: By | None
    marks: Steps
    events: Events


def seal_of(review: StoredReview) -> str:
    """The hash of a stored review without its seal: it tells an edited file, it proves nothing against a forger."""
    text = json.dumps(review.model_dump(mode="json", exclude={"seal"}), sort_keys=True, ensure_ascii=True)
    return sha256(text.encode()).hexdigest()


def read_stored(content: bytes, place: str) -> StoredReview:
    """Read a stored review of any format; `RefusedFile` where it is none."""
    try:
        record = json.loads(content)
    except (ValueError, RecursionError):
        record = None
    if isinstance(record, dict) and record.get("format") == 1:
        old = read_model(_FirstFormat, content, place)
        empty = StoredReview.empty(old.document, old.revision)
        known = old.by and old.run
        taken = (TakenFile(by=old.by, run=old.run, file=None, day=None, steps=old.marks),) if known else ()  # type: ignore[arg-type]  # both are known
        return empty.model_copy(update={"taken": taken, "events": old.events}).with_seal()
    return read_model(StoredReview, content, place)
