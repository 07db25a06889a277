"""A revision by the name that people give it, and its stored files."""

import re
import tomllib
from collections.abc import Sequence
from hashlib import sha256
from pathlib import Path

from calc.archive.record.manifest import (
    SIGN_OFF,
    Issued,
    Manifest,
    SignOff,
    StoredFile,
    read_issued,
    read_manifest,
    read_record,
)
from calc.archive.record.status import same_label
from calc.archive.refusals import ArchiveError, DamagedArchive, UnknownRevision
from calc.archive.store.contract import Entry, Store, addenda, issues
from calc.archive.store.disk import CHUNK, read_small

LARGEST_PROJECT = 2_000_000


def document_of(project: Path) -> tuple[str, str] | None:
    """Project number and document number of a project folder; None where its file does not say them."""
    try:
        content = read_small(project / "project.toml", LARGEST_PROJECT)
        table = tomllib.loads(content.decode("utf-8-sig"))["project"]
        number, document = table["number"], table["document"]
    except (OSError, ArchiveError, ValueError, KeyError, TypeError, RecursionError):
        return None
    return (number, document) if isinstance(number, str) and isinstance(document, str) else None


def revision(
    entries: Sequence[Entry], name: str, document: tuple[str, str] | None, *, with_addenda: bool = False
) -> Entry:
    """The revision with this label, or whose hash begins with these eight signs or more; or the addendum."""
    entries = issues(entries) + (addenda(entries) if with_addenda else [])
    of_document = [entry for entry in entries if document in {None, (entry.project, entry.document)}]
    matches = [issue for issue in of_document if same_label(issue.label, name)]
    if not matches and re.fullmatch(r"[0-9a-f]{8,64}", name):
        matches = [entry for entry in entries if entry.sha256.startswith(name)]
    if len(matches) == 1:
        return matches[0]
    if matches:
        which = "; ".join(f"{entry.sha256[:12]} is {entry.document} revision {entry.label}" for entry in matches[:10])
        message = f'"{name}" is the label of {len(matches)} revisions; name one by the beginning of its hash: {which}'
        raise UnknownRevision(message)
    labels = ", ".join(dict.fromkeys(issue.label for issue in of_document[-20:])) or "nothing yet"
    message = f'no revision "{name}" is issued (issued: {labels})'
    raise UnknownRevision(message)


def newest(entries: Sequence[Entry], document: tuple[str, str] | None) -> Entry:
    """The revision of a document issued last; without a document the archive must have one only."""
    matches = [issue for issue in issues(entries) if document in {None, (issue.project, issue.document)}]
    if not matches:
        message = "nothing is issued yet"
        raise UnknownRevision(message)
    if len({(issue.project, issue.document) for issue in matches}) > 1:
        message = "the archive has revisions of several documents; name one by --revision and the beginning of its hash"
        raise UnknownRevision(message)
    return matches[-1]


def manifest_of(store: Store, entry: Entry) -> Manifest:
    """The record of a line of the index, checked against the hash there."""
    return read_manifest(_record(store, entry), f"record {entry.sequence}")


def issued_record(store: Store, entry: Entry) -> Issued:
    """The same of a revision or an addendum."""
    return read_issued(_record(store, entry), f"record {entry.sequence}")


def _record(store: Store, entry: Entry) -> bytes:
    content = store.record(entry.sequence)
    if sha256(content).hexdigest() != entry.sha256:
        message = f"record {entry.sequence} is not the one in the index"
        raise DamagedArchive(message)
    return content


def content_of(store: Store, stored: StoredFile) -> bytes:
    """A stored file, checked against its hash and size."""
    digest, parts, left = sha256(), [], stored.size + 1
    with store.open(stored.sha256) as stream:
        while left and (part := stream.read(min(CHUNK, left))):
            digest.update(part)
            parts.append(part)
            left -= len(part)
    if left != 1 or digest.hexdigest() != stored.sha256:
        message = f"{stored.name} ({stored.sha256[:12]}…) is not what was issued"
        raise DamagedArchive(message)
    return b"".join(parts)


def sign_offs(store: Store, entries: Sequence[Entry], issue: Entry) -> list[tuple[SignOff, str]]:
    """The records of the sign-offs of a revision with their hashes, oldest first."""
    records = []
    for entry in entries:
        if entry.kind == SIGN_OFF and (entry.project, entry.document) == (issue.project, issue.document):
            record = read_record(store.record(entry.sequence), f"record {entry.sequence}")
            if isinstance(record, SignOff) and record.issue == issue.sha256:
                records.append((record, entry.sha256))
    return records
