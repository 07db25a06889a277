"""Where the check of a run stands: the mark that each step carries, what has to be checked again, the comments."""

from collections import Counter
from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from typing import Literal

from calc.review.comments import Comment, comments, open_queries
from calc.review.facts import Facts, StepFacts
from calc.review.ledger import Ledger
from calc.review.records import Entry
from calc.review.stored import SignedEntry


@dataclass(frozen=True, slots=True)
class StepMark:
    """The mark of a step: by whom, when and in which revision; `settled` queries count as agreed.

    The name is that of whoever the initials stand for, empty where only initials are known.
    """

    mark: Literal["agreed", "query"]
    initials: str
    date: str
    revision: str
    settled: bool = False
    name: str = ""

    @property
    def stamp(self) -> str:
        """The mark in words."""
        how = "query closed" if self.settled else self.mark
        return f"{how} · {self.initials} {self.date} · revision {self.revision}"


@dataclass(frozen=True)
class Standing:
    """The check of a run: marks by step, steps changed since they were checked, comments, what this run has entered."""

    known: Facts
    marks: Mapping[str, StepMark]
    changed: frozenset[str]
    comments: Sequence[Comment]
    entries: Mapping[str, Entry]

    @property
    def begun(self) -> bool:
        """Whether a checker has said anything."""
        return bool(self.marks or self.changed or self.comments)

    @property
    def unsettled(self) -> list[Comment]:
        """Queries that the checker has not closed."""
        return open_queries(self.comments)

    def counts(self) -> dict[str, int]:
        """How many steps are agreed, queried, changed since they were checked, and not checked."""
        counts = Counter(self.of(key) for key in self.known.steps)
        return {name: counts[name] for name in ("agreed", "query", "changed", "not checked")}

    def of(self, key: str) -> str:
        """Where a step stands: agreed, query, changed since it was checked, or not checked."""
        if key in self.marks:
            return self.marks[key].mark
        return "changed" if key in self.changed else "not checked"


def standing(ledger: Ledger, known: Facts) -> Standing:
    """The check of a run as the stored reviews say; a mark holds while the fingerprint of its step is the same."""
    threads = comments(ledger)
    newest_first = [(review.revision, review.by_step()) for review in reversed(ledger.in_order())]
    marks, changed = {}, set()
    for step in known.steps.values():
        entries = [(label, entries[step.key]) for label, entries in newest_first if step.key in entries]
        mark = _mark(step, entries, threads)
        if mark is not None:
            marks[step.key] = mark
        elif _checked_otherwise(step, [signed_entry.entry for _, signed_entry in entries]):
            changed.add(step.key)
    current = ledger.current()
    same = current.run == known.run
    own = {key: signed_entry.entry for key, signed_entry in current.by_step().items() if same and key in known.steps}
    settled = {key for key, mark in marks.items() if mark.settled}
    kept = {key: entry for key, entry in own.items() if key not in settled}
    return Standing(known, marks, frozenset(changed), threads, kept)


def _mark(step: StepFacts, entries: Sequence[tuple[str, SignedEntry]], threads: Sequence[Comment]) -> StepMark | None:
    """The newest mark with the fingerprint that the step has now."""
    for label, (entry, name) in entries:
        if entry.fingerprint != step.fingerprint or not entry.mark:
            continue
        if entry.mark == "none":
            return None
        end = _closing_mark(step, threads) if entry.mark == "query" else None
        return end or StepMark(entry.mark, entry.initials, entry.date, label, name=name)
    return None


def _closing_mark(step: StepFacts, threads: Sequence[Comment]) -> StepMark | None:
    """Who closed the last query on a step; None while one is not closed."""
    queries = [comment for comment in threads if step.key in comment.steps and comment.kind == "query"]
    if not queries or open_queries(queries):
        return None
    last = max((query.said[-1] for query in queries), key=lambda said: said.date)
    return StepMark("agreed", last.who, last.date, last.revision, settled=True)


def _checked_otherwise(step: StepFacts, entries: Sequence[Entry]) -> bool:
    """Whether the step was checked with other numbers, and not taken back since."""
    marked = [entry for entry in entries if entry.mark]
    return bool(marked) and marked[0].mark != "none" and marked[0].fingerprint != step.fingerprint
