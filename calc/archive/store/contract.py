"""What the archive needs of a place that keeps it; a folder is one, others can stand behind the same few calls."""

from collections.abc import Callable, Sequence
from typing import BinaryIO, NamedTuple, Protocol

from calc.archive.record.manifest import ADDENDUM, FIRST, ISSUE, Addendum, Record, SignOff
from calc.archive.refusals import DamagedArchive

MOMENT = "%Y-%m-%dT%H:%M:%SZ"


class Entry(NamedTuple):
    """A line of the index: what lists and searches need of a record without opening it."""

    sequence: int
    sha256: str
    previous: str
    kind: str
    project: str
    document: str
    title: str
    label: str
    date: str
    words: str
    code: str | None
    outcome: str
    note: str
    author: str
    issued_at: str
    version: str
    package: str


def entry_of(record: Record, digest: str) -> Entry:
    """The line of the index for a record with this hash.

    A sign-off has the label that it signs, the role as its words, and the day of signing as its date; an addendum what
    it is about as its words, and the day of issue.
    """
    document = record.document
    names = {"project": document.project, "document": document.number, "title": document.title}
    chain = {"sequence": record.sequence, "sha256": digest, "previous": record.previous, "kind": record.kind}
    if isinstance(record, SignOff):
        how = f"certificate of {record.certificate.subject}" if record.certificate else "without certificate"
        fields = {
            "label": record.label, "date": record.signed_at.date().isoformat(), "words": record.role, "code": None,
            "outcome": "", "note": how, "author": record.person.name, "issued_at": f"{record.signed_at:{MOMENT}}",
            "package": record.package,
        }  # fmt: skip
    elif isinstance(record, Addendum):
        fields = {
            "label": record.label, "date": record.issued_at.date().isoformat(), "words": record.subject, "code": None,
            "outcome": record.outcome, "note": f"addendum to revision {record.revision}",
            "author": record.people.originator.name, "issued_at": f"{record.issued_at:{MOMENT}}",
            "package": record.file("package").sha256,
        }  # fmt: skip
    else:
        line = record.revision
        fields = {
            "label": line.label, "date": line.date.isoformat(), "words": line.words, "code": line.code,
            "outcome": record.outcome, "note": line.note, "author": line.author,
            "issued_at": f"{record.issued_at:{MOMENT}}", "package": record.file("package").sha256,
        }  # fmt: skip
    return Entry(**chain, **names, **fields, version=record.program.version)  # type: ignore[arg-type]  # by their names


def issues(entries: Sequence[Entry]) -> list[Entry]:
    """The lines of issued revisions, without those of addenda and sign-offs."""
    return [entry for entry in entries if entry.kind == ISSUE]


def addenda(entries: Sequence[Entry]) -> list[Entry]:
    """The lines of addenda."""
    return [entry for entry in entries if entry.kind == ADDENDUM]


Append = Callable[[Sequence[Entry]], Record]


class Store(Protocol):
    """A place that keeps files by their hash and a chain of records; it never changes and never deletes."""

    def put(self, content: bytes) -> str:
        """Keep a content and give its hash; durable on return, and nothing where it is kept already."""

    def open(self, digest: str) -> BinaryIO:
        """Open the content with this hash for reading; the reader checks the hash."""

    def entries(self) -> list[Entry]:
        """Every record in the order of the chain."""

    def record(self, sequence: int) -> bytes:
        """The bytes of a record."""

    def append(self, make: Append) -> Entry:
        """Add the record that `make` gives for the chain as it is then, one process at a time; durable on return."""


class Survey(NamedTuple):
    """The lines of an index as they stand there, what is wrong with them, and what does no harm."""

    lines: list[Entry]
    problems: list[str]
    notes: list[str]


class KeptStore(Store, Protocol):
    """A store with what its upkeep needs: verifying, and making its index again."""

    @property
    def name(self) -> str:
        """What messages call the archive."""

    def has_index(self) -> bool:
        """Whether there is an index; without one every record is read for a list."""

    def numbers(self) -> list[int]:
        """The numbers of the records that lie there, ascending."""

    def survey(self) -> Survey:
        """The lines of the index and what is wrong with it."""

    def unexpected_files(self, used: set[str]) -> tuple[list[str], list[str]]:
        """What is wrong beside the records, and what does no harm; `used` are the hashes that records name."""

    def rebuild(self) -> list[Entry]:
        """Make the index again from the records; refused where one is missing, damaged, or not in the chain."""

    def tidy(self) -> None:
        """Take away unfinished work that is older than a day."""


def head(entries: Sequence[Entry]) -> str:
    """The hash that the whole chain ends in."""
    return entries[-1].sha256 if entries else FIRST


def refuse_broken_chain(entries: list[Entry], where: str) -> None:
    """Refuse lines that do not make one chain; `where` names what holds them."""
    previous = head([])
    for number, entry in enumerate(entries, start=1):
        if entry.sequence != number or entry.previous != previous:
            message = f"{where}: the line of record {entry.sequence} does not follow the one before it"
            raise DamagedArchive(message)
        previous = entry.sha256
