"""What lies where in the folder of an archive, and what is in it that does not belong there."""

from collections.abc import Sequence
from pathlib import Path
from re import fullmatch

from calc.archive.record.manifest import LARGEST_MANIFEST
from calc.archive.refusals import DamagedArchive
from calc.archive.store.disk import read_inside
from calc.archive.store.index import INDEX

OBJECTS, RECORDS, INCOMING, README, MANIFEST = "objects", "records", "incoming", "README.txt", "manifest.json"
FOLDERS = (OBJECTS, RECORDS, INCOMING)
OF_FOLDERS = {OBJECTS, RECORDS, README}
EXPLAINED = """\
Archive of issued calculations, written by sandsleeve. Nothing in it is ever changed or deleted.

records/NNNNNNN/manifest.json   what was issued or signed off: document, revision, people, time, program, files with
                                their SHA-256
objects/ab/cdef...              the files, named by their SHA-256: abcdef...
index.sqlite                    a list of the records for quick searches; it can be made again from them
incoming/                       unfinished work of a process that was broken off; not part of the archive

The hash of a record is the SHA-256 of its manifest.json; each record names the hash of the one before it.
Without the program: sha256sum finds a file by its hash, and any text viewer shows a record.
"""


def folder_name(sequence: int) -> str:
    """The folder of a record."""
    return f"{sequence:07d}"


def numbers(root: Path) -> list[int]:
    """The numbers of the records that lie there, ascending."""
    names = [path.name for path in (root / RECORDS).iterdir()]
    return sorted(int(name) for name in names if fullmatch(r"[0-9]{7}", name) and int(name))


def gaps(sequence: Sequence[int]) -> list[str]:
    """Which numbers are missing between 1 and the last of these, which ascend."""
    pairs = (
        (before + 1, after - 1) for before, after in zip([0, *sequence], sequence, strict=False) if after > before + 1
    )
    return [str(first) if first == last else f"{first} to {last}" for first, last in pairs]


def leftovers(root: Path) -> list[Path]:
    """Unfinished work of processes that were broken off."""
    folder = root / INCOMING
    return sorted(folder.iterdir()) if folder.is_dir() else []


def unexpected_files(root: Path, used: set[str]) -> tuple[list[str], list[str]]:
    """What is wrong beside the records, and what does no harm; `used` are the hashes that records name."""
    notes, unused = [], 0
    for path in sorted(root.rglob("*")):
        parts = path.relative_to(root).parts
        if parts[0] == INCOMING or path.name in OF_FOLDERS or path.name.startswith(INDEX):
            continue
        if parts[0] == OBJECTS:
            unused += len(parts) == 3 and "".join(parts[1:]) not in used and path.is_file()
        elif not (parts[0] == RECORDS and fullmatch(r"[0-9]{7}", parts[1])) or parts[2:] not in {(), (MANIFEST,)}:
            notes.append(f"{'/'.join(parts)} is not part of the archive")
    if unused:
        notes.append(f"{unused} stored files belong to no record: work that was broken off before its issue")
    if left := leftovers(root):
        notes.append(f"{len(left)} unfinished files in {INCOMING}: work that was broken off")
    problems = [] if _readme(root) == EXPLAINED.encode() else [f"{README} is not what this program wrote"]
    return problems, notes


def _readme(root: Path) -> bytes:
    try:
        return read_inside(root, README, largest=LARGEST_MANIFEST)
    except (OSError, DamagedArchive):
        return b""
