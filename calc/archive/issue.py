"""From a checked run to an issued revision."""

import datetime as dt
from collections.abc import Callable, Sequence
from dataclasses import dataclass

from calc.archive.manifest import (
    DocumentName,
    Manifest,
    Parent,
    PeopleNames,
    PersonName,
    RevisionLine,
    StoredFile,
    read_manifest,
)
from calc.archive.program import this_program
from calc.archive.rules import refuse_failing, status_to_issue
from calc.archive.store import Entry, Store, head
from calc.chain import Run
from calc.inputs import Design
from calc.package import package_pdf
from calc.package.results import results_text

Role = str
FILES = {"inputs": "project.toml", "results": "results.json", "package": "package.pdf"}


@dataclass(frozen=True, slots=True)
class Prepared:
    """Everything that is stored for a revision, and the head of the chain that its package shows."""

    design: Design
    outcome: str
    files: dict[Role, bytes]
    printed_head: str


def check_before(store: Store | None, design: Design) -> None:
    """Refuse what the archive as it lies there refuses, before the checks run; nothing is written.

    `store` is None where there is no archive yet.
    """
    status_to_issue(design, issued_of(store, store.entries(), design) if store else [])


def prepare(store: Store, run: Run, tell: Callable[[str], None]) -> Prepared:
    """Write the package of a run for issue; refuses before the pages are set whatever can be refused by then."""
    entries = store.entries()
    refuse_failing(run.outcome, status_to_issue(run.design, issued_of(store, entries, run.design)))
    recorded = results_text(run).encode()
    pdf = package_pdf(run, recorded, tell, chain_words(entries))
    files = {"inputs": run.design.text, "results": recorded, "package": pdf}
    return Prepared(run.design, run.outcome, files, head(entries))


def issue(store: Store, prepared: Prepared) -> Entry:
    """Store a prepared revision; it is issued when this returns, and not at all where it raises.

    The rules are asked once more inside the lock: another process may have issued since the pages were begun.
    """
    design = prepared.design
    status_to_issue(design, issued_of(store, store.entries(), design))
    stored = tuple(
        StoredFile(name=FILES[role], role=role, sha256=store.put(content), size=len(content))  # type: ignore[arg-type]
        for role, content in prepared.files.items()
    )
    return store.append(lambda entries: _manifest(store, prepared, stored, entries))


def issued_of(store: Store, entries: Sequence[Entry], design: Design) -> list[Manifest]:
    """The records of a document, oldest first."""
    name = (design.project.number, design.project.document)
    return [
        read_manifest(store.record(entry.sequence), f"record {entry.sequence}")
        for entry in entries
        if (entry.project, entry.document) == name
    ]


def chain_words(entries: Sequence[Entry]) -> str:
    """The state of the archive before an issue, as the package shows it."""
    if not entries:
        return "first record of its archive"
    return f"head of the chain before this issue: record {entries[-1].sequence}, SHA-256 {entries[-1].sha256}"


def _manifest(store: Store, prepared: Prepared, stored: tuple[StoredFile, ...], entries: Sequence[Entry]) -> Manifest:
    design = prepared.design
    issued = issued_of(store, entries, design)
    status = status_to_issue(design, issued)
    newest, people = design.project.revisions[-1], design.people
    parent = None
    if issued:
        before = [entry for entry in entries if (entry.project, entry.document) == _name(design)][-1]
        parent = Parent(label=before.label, sha256=before.sha256)
    return Manifest(
        format=1,
        kind="issue",
        sequence=len(entries) + 1,
        previous=head(entries),
        printed_head=prepared.printed_head,
        document=DocumentName(project=_name(design)[0], number=_name(design)[1], title=design.project.title),
        revision=RevisionLine(
            label=newest.label,
            date=newest.date,
            status=newest.status,
            note=newest.note,
            author=newest.author,
            words=status.words,
            code=status.code,
        ),
        parent=parent,
        people=PeopleNames(
            **{
                role: PersonName(name=getattr(people, role).name, organisation=getattr(people, role).organisation)
                for role in ("originator", "checker", "approver")
            }
        ),
        outcome=prepared.outcome,  # type: ignore[arg-type]  # checked by the model
        issued_at=dt.datetime.now(dt.UTC).replace(microsecond=0),
        program=this_program(),
        files=stored,
    )


def _name(design: Design) -> tuple[str, str]:
    return design.project.number, design.project.document
