"""From a checked run to an issued revision."""

import datetime as dt
from collections.abc import Callable, Sequence
from dataclasses import dataclass, field
from typing import TYPE_CHECKING

from calc.archive.compare.change_sheet import Side, change_sheet, side_of
from calc.archive.compare.changes import compare
from calc.archive.record.find import content_of
from calc.archive.record.issue_rules import (
    IssuedPlan,
    recorded_plan,
    refuse_rewritten_reviews,
    refuse_run,
    status_to_issue,
)
from calc.archive.record.manifest import (
    FIRST,
    ISSUE,
    ROLES,
    DocumentName,
    Manifest,
    Parent,
    PeopleNames,
    PersonName,
    RecordedPlan,
    RevisionLine,
    StoredFile,
    read_manifest,
)
from calc.archive.record.program import this_program
from calc.archive.record.recorded import read_recorded
from calc.archive.record.status import Status
from calc.archive.refusals import ChainMoved
from calc.archive.store.contract import Entry, Store, head, issues
from calc.chain import Run
from calc.inputs import Design
from calc.package import package_pdf
from calc.package.attached import ALONE, Means
from calc.package.render import Attached
from calc.package.results import results_text
from calc.review.standing_printed import checked_run, review_text

if TYPE_CHECKING:
    from calc.study.study_parts import StudyChapter

FILES = {"inputs": "project.toml", "results": "results.json", "package": "package.pdf", "changes": "changes.pdf",
         "review": "review.json"}  # fmt: skip
MIMES = {".json": "application/json", ".toml": "application/toml", ".csv": "text/csv", ".xml": "application/xml",
         ".geojson": "application/geo+json"}  # fmt: skip
ANY_FILE = "application/octet-stream"
TOLERANCE = 0.001  # of the list of results on the change sheet; what is to be checked again knows none


@dataclass(frozen=True, slots=True)
class Prepared:
    """Everything that is stored for a revision, and the head of the chain that its package shows.

    ``files`` by their role, ``plan_files`` by the names by which the project file calls them, ``study_files`` by those
    under which they are kept.
    """

    design: Design
    outcome: str
    files: dict[str, bytes]
    printed_head: str
    plan_files: dict[str, bytes] = field(default_factory=dict)
    plan: RecordedPlan | None = None
    study_files: dict[str, bytes] = field(default_factory=dict)


def check_before(store: Store | None, design: Design) -> Status:
    """The status to issue; refuses what the archive as it lies there refuses, before the checks run.

    Nothing is written. `store` is None where there is no archive yet.
    """
    return status_to_issue(design, issued_of(store, store.entries(), design) if store else [])


def prepare(
    store: Store, run: Run, tell: Callable[[str], None], means: Means = ALONE, plan: IssuedPlan | None = None,
    studies: "Sequence[StudyChapter]" = (),
) -> Prepared:  # fmt: skip
    """Write the package of a run for issue; refuses before the pages are set whatever can be refused by then.

    ``plan`` is what `refuse_run` gave for this run, where it was asked before.
    """
    entries, design = store.entries(), run.design
    issued = issued_of(store, entries, design)
    status = status_to_issue(design, issued)
    plan = plan or refuse_run(run, status)
    recorded = results_text(run).encode()
    files, words = {"inputs": design.text, "results": recorded}, chain_words(entries)
    said = recorded_plan(plan.part) if plan else None
    if said and said.checksum:
        # Right behind the head, where `printed_on_cover` looks for it: a note may say the same.
        words += f"; checksum of the column plan {said.checksum}"
    if design.results_file:
        files["data"] = design.results_file.content
    inside: list[Attached] = []
    if issued:
        _refuse_rewritten(store, design, issued[-1])
        tell("comparing with the revision before")
        before, label = side_of(issued[-1], issues_of(entries, design)[-1].sha256), issued[-1].revision.label
        after = Side(
            _document(design), _line(design, status), run.outcome, _people(design), this_program(), "this issue"
        )
        old = read_recorded(content_of(store, issued[-1].file("results")), f"results of revision {label}")
        files["changes"] = change_sheet(compare(old, read_recorded(recorded, "results"), TOLERANCE), before, after)
        inside.append(Attached(FILES["changes"], files["changes"], "application/pdf", "Supplement", "What changed"))
        words += f"; what changed since revision {label} is attached as {FILES['changes']}"
    project = design.source.parent
    if reviewed := review_text(project, design):
        files["review"] = reviewed
        inside.append(Attached(FILES["review"], reviewed, "application/json", "Supplement", "Check marks and comments"))
    plan_files = plan.files if plan else {}
    inside += [Attached(name, content, mime_of(name), "Source", "What the column plan is laid out from")
               for name, content in plan_files.items()]  # fmt: skip
    if plan_files:
        words += f"; the column plan is laid out from {' and '.join(plan_files)}, attached"
    # The plan may be laid out from a file that a study is made of, too.
    of_studies = [file for study in studies for file in study.attached if file.name not in plan_files]
    inside += of_studies
    if studies:
        words += f"; printed from their records, attached: {' and '.join(study.name for study in studies)}"
    appendices = [*([plan.part.appendix()] if plan else []), *(study.appendix for study in studies)]
    checked = checked_run(project, run)
    files["package"] = package_pdf(run, recorded, tell, words, inside, checked, means=means, appendices=appendices)
    study_files = {file.name: file.content for file in of_studies}
    return Prepared(design, run.outcome, files, head(entries), plan_files, said, study_files)


def mime_of(name: str) -> str:
    """The media type of a file by the ending of its name."""
    return MIMES.get(f".{name.rpartition('.')[2].lower()}", ANY_FILE)


def issue(store: Store, prepared: Prepared) -> Entry:
    """Store a prepared revision; it is issued when this returns, and not at all where it raises.

    The rules are asked once more inside the lock: another process may have issued since the pages were begun.
    """
    design = prepared.design
    status_to_issue(design, issued_of(store, store.entries(), design))
    names = FILES | ({"data": design.results_file.name} if design.results_file else {})
    files = [(role, names[role], content) for role, content in prepared.files.items()]
    files += [("plan", name, content) for name, content in prepared.plan_files.items()]
    files += [("study", name, content) for name, content in prepared.study_files.items()]
    stored = tuple(
        StoredFile(name=name, role=role, sha256=store.put(content), size=len(content))  # type: ignore[arg-type]
        for role, name, content in files
    )
    return store.append(lambda entries: _manifest(store, prepared, stored, entries))


def _refuse_rewritten(store: Store, design: Design, newest: Manifest) -> None:
    reviewed = any(file.role == "review" for file in newest.files)
    content = content_of(store, newest.file("review")) if reviewed else b""
    refuse_rewritten_reviews(design, newest.revision.label, content)


def issues_of(entries: Sequence[Entry], design: Design) -> list[Entry]:
    """The issues of a document, oldest first."""
    name = (design.project.number, design.project.document)
    return [entry for entry in issues(entries) if (entry.project, entry.document) == name]


def issued_of(store: Store, entries: Sequence[Entry], design: Design) -> list[Manifest]:
    """The records of the issues of a document, oldest first."""
    return [
        read_manifest(store.record(entry.sequence), f"record {entry.sequence}") for entry in issues_of(entries, design)
    ]


def chain_words(entries: Sequence[Entry]) -> str:
    """The state of the archive before an issue, as the package shows it."""
    if not entries:
        return "first record of its archive"
    return f"head of the chain before this issue: record {entries[-1].sequence}, SHA-256 {entries[-1].sha256}"


def _manifest(store: Store, prepared: Prepared, stored: tuple[StoredFile, ...], entries: Sequence[Entry]) -> Manifest:
    design = prepared.design
    # The head that the package shows is in the chain, and no revision of the document was issued after it.
    hashes = [FIRST, *(entry.sha256 for entry in entries)]
    if prepared.printed_head not in hashes:
        message = (
            f"the package shows the head {prepared.printed_head[:12]}, which is not in the chain any more: issue again"
        )
        raise ChainMoved(message)
    if later := issues_of(entries[hashes.index(prepared.printed_head) :], design):
        message = f"revision {later[-1].label} of this document was issued while the pages were set: issue again"
        raise ChainMoved(message)
    issued = issued_of(store, entries, design)
    status = status_to_issue(design, issued)
    before = issues_of(entries, design)[-1:]
    return Manifest(
        format=1,
        kind=ISSUE,
        sequence=len(entries) + 1,
        previous=head(entries),
        printed_head=prepared.printed_head,
        document=_document(design),
        revision=_line(design, status),
        parent=Parent(label=before[0].label, sha256=before[0].sha256) if before else None,
        people=_people(design),
        outcome=prepared.outcome,  # type: ignore[arg-type]  # checked by the model
        plan=prepared.plan,
        issued_at=dt.datetime.now(dt.UTC).replace(microsecond=0),
        program=this_program(),
        files=stored,
    )


def _document(design: Design) -> DocumentName:
    project = design.project
    return DocumentName(project=project.number, number=project.document, title=project.title)


def _line(design: Design, status: Status) -> RevisionLine:
    newest = design.project.revisions[-1]
    return RevisionLine(
        label=newest.label,
        date=newest.date,
        status=newest.status,
        note=newest.note,
        author=newest.author,
        words=status.words,
        code=status.code,
    )


def _people(design: Design) -> PeopleNames:
    people = design.people
    return PeopleNames(
        **{
            role: PersonName(name=getattr(people, role).name, organisation=getattr(people, role).organisation)
            for role in ROLES
        }
    )
