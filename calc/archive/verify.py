"""Whether an archive is what was issued: every record, the chain, every file, the index, the files inside each PDF."""

from collections.abc import Callable, Iterator
from concurrent.futures import ThreadPoolExecutor
from dataclasses import dataclass, field
from hashlib import sha256
from os import cpu_count

from calc.archive.attachments import attached
from calc.archive.errors import DamagedArchive
from calc.archive.files import digest_of
from calc.archive.find import content_of
from calc.archive.index import MADE_AGAIN
from calc.archive.manifest import FIRST, Manifest, StoredFile, read_manifest
from calc.archive.store import Entry, KeptStore, Store, entry_of

INSIDE = {"inputs": "project.toml", "results": "results.json"}
ALSO_INSIDE = {"changes": "changes.pdf"}  # where there is one


@dataclass
class Report:
    """What was looked at, and everything found; an archive is sound when `problems` is empty."""

    records: int = 0
    files: int = 0
    size: int = 0
    head: str = FIRST
    problems: list[str] = field(default_factory=list)
    notes: list[str] = field(default_factory=list)


def verify(store: KeptStore, expected: str = "", tell: Callable[[str], None] = lambda _text: None) -> Report:
    """Check a whole archive; `expected` is a hash, or the beginning of one, that must be in its chain."""
    lines, problems, notes = store.survey()
    report = Report(problems=problems, notes=notes)
    hashes: list[str] = []
    seen: dict[str, int] = {}
    named: set[str] = set()
    sound: list[Manifest] = []
    for sequence in range(1, max([*store.numbers(), len(lines), 0]) + 1):
        tell(f"verifying record {sequence}")
        line = lines[sequence - 1] if sequence <= len(lines) else None
        manifest, digest = _record(store, sequence, hashes, line, report)
        hashes.append(digest)
        if manifest is None:
            continue
        named.update(stored.sha256 for stored in manifest.files)
        if _files(store, manifest, seen, report):
            sound.append(manifest)
    tell("verifying the files inside the packages")
    report.problems.extend(_packages(store, sound))
    report.head = hashes[-1] if hashes else FIRST
    if expected and not any(one.startswith(expected) for one in hashes):
        report.problems.append(f"no record of the chain has the hash {expected}: records were taken away or replaced")
    strange, unused = store.strangers(named)
    report.problems.extend(strange)
    report.notes.extend(unused)
    return report


def _record(
    store: Store, sequence: int, before: list[str], line: Entry | None, report: Report
) -> tuple[Manifest | None, str]:
    """The record with its hash; None where it is not there or not readable, with what is wrong in the report."""
    place = f"record {sequence}"
    try:
        content = store.record(sequence)
        digest = sha256(content).hexdigest()
        if line is not None and digest != line.sha256:
            report.problems.append(
                f"{place} is not the one in the index (SHA-256 {digest[:12]}, issued {line.sha256[:12]})"
            )
        manifest = read_manifest(content, place)
    except (DamagedArchive, OSError) as error:
        report.problems.append(f"{place}: {error}" if not str(error).startswith(place) else str(error))
        return None, line.sha256 if line else ""
    report.records += 1
    report.problems.extend(f"{place}: {text}" for text in _chain(manifest, sequence, before))
    if line is not None and digest == line.sha256 and entry_of(manifest, digest) != line:
        report.problems.append(f"{place}: its line in the index says something else than the record; {MADE_AGAIN}")
    return manifest, digest


def _chain(manifest: Manifest, sequence: int, before: list[str]) -> Iterator[str]:
    known = [FIRST, *before]
    if manifest.sequence != sequence:
        yield f"it has the number {manifest.sequence}"
    if manifest.previous != known[-1]:
        yield f"it names {manifest.previous[:12]} as the record before it, which is {known[-1][:12]}"
    if manifest.printed_head not in known:
        yield f"its package shows the head {manifest.printed_head[:12]}, which is not in the chain before it"
    if manifest.parent is not None and manifest.parent.sha256 not in known[1:]:
        yield f"the revision before it ({manifest.parent.label}) is not in the chain before it"


def _files(store: Store, manifest: Manifest, seen: dict[str, int], report: Report) -> bool:
    """Hash every file of a record, each content once; whether all are what was issued."""
    sound = True
    for stored in manifest.files:
        report.files += 1
        try:
            if stored.sha256 not in seen:
                seen[stored.sha256] = _checked(store, stored)
                report.size += stored.size
            _right_size(stored, seen[stored.sha256])
        except (DamagedArchive, OSError) as error:
            sound = False
            report.problems.append(f"{_place(manifest)}: {error}")
    return sound


def _checked(store: Store, stored: StoredFile) -> int:
    with store.open(stored.sha256) as stream:
        digest, size = digest_of(stream), stream.tell()
    if digest != stored.sha256:
        message = (
            f"{stored.name} is not what was issued (SHA-256 {digest[:12]}, issued {stored.sha256[:12]}, {size} bytes)"
        )
        raise DamagedArchive(message)
    return size


def _right_size(stored: StoredFile, size: int) -> None:
    if size != stored.size:
        message = f"{stored.name} has {size} bytes instead of {stored.size}"
        raise DamagedArchive(message)


def _place(manifest: Manifest) -> str:
    return f"record {manifest.sequence}, revision {manifest.revision.label}"


def _packages(store: Store, manifests: list[Manifest]) -> list[str]:
    """What is wrong inside packages; unpacking leaves the other cores free to do the same."""

    def inside(manifest: Manifest) -> list[str]:
        return [f"{_place(manifest)}: {text}" for text in _inside(store, manifest)]

    with ThreadPoolExecutor(max_workers=min(4, cpu_count() or 1)) as pool:
        return [text for found in pool.map(inside, manifests) for text in found]


def _inside(store: Store, manifest: Manifest) -> Iterator[str]:
    """The attachments of the package against the stored files."""
    try:
        found = attached(content_of(store, manifest.file("package")))
        roles = {one.role for one in manifest.files}
        names = INSIDE | {role: name for role, name in ALSO_INSIDE.items() if role in roles}
        wanted = {name: manifest.file(role).sha256 for role, name in names.items()}
    except DamagedArchive as error:
        yield str(error)
        return
    for name, digest in wanted.items():
        if name not in found:
            yield f"the package has no {name} inside"
        elif found[name] != digest:
            yield f"{name} inside the package is not the stored one"
