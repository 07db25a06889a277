"""Whether an archive is what was issued: records, chain, files, index, what each record says, the files in each PDF."""

from collections.abc import Callable, Iterator, Mapping, Sequence
from concurrent.futures import ThreadPoolExecutor
from dataclasses import dataclass, field
from hashlib import sha256
from os import cpu_count

from calc.archive.record.addendum_check import addendum_problems
from calc.archive.record.agreement import contradictions
from calc.archive.record.attachments import attachment_digests
from calc.archive.record.find import content_of
from calc.archive.record.manifest import FIRST, Addendum, Manifest, Record, SignOff, StoredFile, read_record
from calc.archive.record.revisions import clean
from calc.archive.refusals import DamagedArchive
from calc.archive.signing.sign_off_check import sign_off_problems
from calc.archive.store.contract import Entry, KeptStore, Store, entry_of
from calc.archive.store.disk import digest_of
from calc.archive.store.index import MADE_AGAIN
from calc.archive.store.layout import gaps

INSIDE = {"inputs": "project.toml", "results": "results.json"}
ALSO_INSIDE = {"changes": "changes.pdf", "review": "review.json"}  # where there is one


@dataclass
class Report:
    """What was looked at, and everything found; an archive is sound when `problems` is empty."""

    records: int = 0
    files: int = 0
    size: int = 0
    head: str = FIRST
    problems: list[str] = field(default_factory=list)
    notes: list[str] = field(default_factory=list)


def verify(
    store: KeptStore, expected: str = "", tell: Callable[[str], None] = lambda _text: None, trust: str = ""
) -> Report:
    """Check a whole archive; `expected` is a hash, or the beginning of one, that must be in its chain.

    `trust` is a file with certificates of the authorities that the signatures have to come from, or "".
    """
    lines, problems, notes = store.survey()
    report = Report(problems=problems, notes=notes)
    chain = _read_records(store, lines, report, tell)
    report.head = chain.hashes[-1] if chain.hashes else FIRST
    report.problems.extend(_parents(chain.issued))
    tell("verifying the files inside the packages")
    report.problems.extend(_packages(store, [record for record in chain.sound if isinstance(record, Manifest)]))
    sound = [record for record in chain.sound if isinstance(record, Addendum)]
    report.problems.extend(addendum_problems(store, chain.issued, chain.addenda, sound))
    tell("verifying the sign-offs")
    signed = [record for record in chain.sound if isinstance(record, SignOff)]
    wrong, unchecked = sign_off_problems(store, {**chain.issued, **chain.addenda}, signed, trust)
    report.problems.extend(wrong)
    report.notes.extend(unchecked)
    if expected and not any(digest.startswith(expected) for digest in chain.hashes):
        report.problems.append(f"no record of the chain has the hash {expected}: records were taken away or replaced")
    strange, unused = store.unexpected_files(chain.named)
    report.problems.extend(strange)
    report.notes.extend(unused)
    return report


@dataclass
class _Chain:
    """The records of an archive: their hashes in order, files they name, issues, addenda, those with sound files."""

    hashes: list[str] = field(default_factory=list)
    named: set[str] = field(default_factory=set)
    issued: dict[str, Manifest] = field(default_factory=dict)
    addenda: dict[str, Addendum] = field(default_factory=dict)
    sound: list[Record] = field(default_factory=list)


def _read_records(store: KeptStore, lines: Sequence[Entry], report: Report, tell: Callable[[str], None]) -> _Chain:
    """Every record with its files; what is wrong with one goes into the report."""
    chain, seen = _Chain(), dict[str, int]()
    # One folder with a large number costs no more than any other.
    sequences = sorted({*store.numbers(), *range(1, len(lines) + 1)})
    report.problems.extend(f"records are missing: {missing}" for missing in gaps(sequences))
    for sequence in sequences:
        tell(f"verifying record {sequence}")
        line = lines[sequence - 1] if sequence <= len(lines) else None
        record, digest = _record(store, sequence, chain.hashes, line, report)
        chain.hashes.append(digest)
        if record is None:
            continue
        chain.named.update(stored.sha256 for stored in record.files)
        if isinstance(record, Manifest):
            chain.issued[digest] = record
        if isinstance(record, Addendum):
            chain.addenda[digest] = record
        if _files(store, record, seen, report):
            chain.sound.append(record)
    return chain


def _record(
    store: Store, sequence: int, before: list[str], line: Entry | None, report: Report
) -> tuple[Record | None, str]:
    """The record with its hash; None where it is not there or not readable, with what is wrong in the report."""
    place = f"record {sequence}"
    try:
        content = store.record(sequence)
        digest = sha256(content).hexdigest()
        if line is not None and digest != line.sha256:
            report.problems.append(
                f"{place} is not the one in the index (SHA-256 {digest[:12]}, issued {line.sha256[:12]})"
            )
        record = read_record(content, place)
    except (DamagedArchive, OSError) as error:
        report.problems.append(f"{place}: {error}" if not str(error).startswith(place) else str(error))
        return None, line.sha256 if line else ""
    report.records += 1
    report.problems.extend(f"{place}: {text}" for text in _chain(record, sequence, before))
    if line is not None and digest == line.sha256 and entry_of(record, digest) != line:
        report.problems.append(f"{place}: its line in the index says something else than the record; {MADE_AGAIN}")
    return record, digest


def _chain(record: Record, sequence: int, before: list[str]) -> Iterator[str]:
    known = [FIRST, *before]
    if record.sequence != sequence:
        yield f"it has the number {record.sequence}"
    if record.previous != known[-1]:
        yield f"it names {record.previous[:12]} as the record before it, which is {known[-1][:12]}"
    if isinstance(record, SignOff):
        return
    if record.printed_head not in known:
        yield f"its package shows the head {record.printed_head[:12]}, which is not in the chain before it"


def _parents(issued: Mapping[str, Manifest]) -> Iterator[str]:
    """Each revision names the one of its document that was issued last before it; `issued` is in order."""
    newest: dict[tuple[str, str], tuple[str, str]] = {}
    for digest, manifest in issued.items():
        document, parent = (manifest.document.project, manifest.document.number), manifest.parent
        if (parent and (parent.label, parent.sha256)) != newest.get(document):
            named = f"{parent.label} ({parent.sha256[:12]})" if parent else "none"
            wanted = "{} ({:.12})".format(*newest[document]) if document in newest else "none"
            yield clean(f"{_place(manifest)}: it names {named} as the revision before it, which is {wanted}")
        newest[document] = manifest.revision.label, digest


def _files(store: Store, record: Record, seen: dict[str, int], report: Report) -> bool:
    """Hash every file of a record, each content once; whether all are what was issued."""
    sound = True
    for stored in record.files:
        report.files += 1
        try:
            if stored.sha256 not in seen:
                seen[stored.sha256] = _check_file(store, stored)
                report.size += stored.size
        except (DamagedArchive, OSError) as error:
            wrong = str(error)
        else:
            size = seen[stored.sha256]
            wrong = "" if size == stored.size else f"{stored.name} has {size} bytes instead of {stored.size}"
        if wrong:
            sound = False
            report.problems.append(f"{_place(record)}: {wrong}")
    return sound


def _check_file(store: Store, stored: StoredFile) -> int:
    with store.open(stored.sha256) as stream:
        digest, size = digest_of(stream), stream.tell()
    if digest != stored.sha256:
        message = (
            f"{stored.name} is not what was issued (SHA-256 {digest[:12]}, issued {stored.sha256[:12]}, {size} bytes)"
        )
        raise DamagedArchive(message)
    return size


def _place(record: Record) -> str:
    if isinstance(record, SignOff):
        return f"record {record.sequence}, sign-off of {record.label}"
    if isinstance(record, Addendum):
        return f"record {record.sequence}, addendum {record.label}"
    return f"record {record.sequence}, revision {record.revision.label}"


def _packages(store: Store, manifests: list[Manifest]) -> list[str]:
    """What is wrong inside packages; unpacking leaves the other cores free to do the same."""

    def inside(manifest: Manifest) -> list[str]:
        return [f"{_place(manifest)}: {text}" for text in _inside(store, manifest)]

    with ThreadPoolExecutor(max_workers=min(4, cpu_count() or 1)) as pool:
        return [text for problems in pool.map(inside, manifests) for text in problems]


def _inside(store: Store, manifest: Manifest) -> Iterator[str]:
    """The attachments of the package against the stored files, and the record against what they say."""
    try:
        package = content_of(store, manifest.file("package"))
        digests = attachment_digests(package)
        roles = {file.role for file in manifest.files}
        names = INSIDE | {role: name for role, name in ALSO_INSIDE.items() if role in roles}
        wanted = {name: manifest.file(role).sha256 for role, name in names.items()}
        wanted |= {file.name: file.sha256 for file in manifest.files if file.role in {"data", "plan", "study"}}
    except DamagedArchive as error:
        yield str(error)
        return
    for name, digest in wanted.items():
        if name not in digests:
            yield f"the package has no {name} inside"
        elif digests[name] != digest:
            yield f"{name} inside the package is not the stored one"
    inputs, results = (content_of(store, manifest.file(role)) for role in INSIDE)
    studies = {file.name: content_of(store, file) for file in manifest.studies}
    yield from contradictions(manifest, inputs, results, package, studies)
