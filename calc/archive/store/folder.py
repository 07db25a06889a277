"""An archive in a folder: files by their hash, one folder for each record, an index beside them.

    README.txt  index.sqlite  objects/ab/cdef…  records/0000001/manifest.json  incoming/ (unfinished, never read)

The record is issued at the moment in which its folder gets its name in `records`; its line in the index comes last. A
process killed in between leaves a record without a line: readers see it, the next issue adds the line.
"""

import os
import shutil
import sqlite3
from collections.abc import Iterator
from contextlib import contextmanager, suppress
from hashlib import sha256
from pathlib import Path
from secrets import token_hex
from time import time
from typing import BinaryIO

from calc.archive.record.manifest import LARGEST_MANIFEST, Record, manifest_bytes, read_record
from calc.archive.refusals import ArchiveError, ChainMoved, DamagedArchive, NotAnArchive, NotWritable
from calc.archive.store import index
from calc.archive.store.contract import Append, Entry, Survey, entry_of, head, refuse_broken_chain
from calc.archive.store.disk import (
    digest_of,
    lock_folder,
    make_folder,
    open_inside,
    place_new,
    read_inside,
    removed_on_error,
    sync_folder,
    write_new,
)
from calc.archive.store.layout import (
    EXPLAINED,
    INCOMING,
    MANIFEST,
    OBJECTS,
    README,
    RECORDS,
    folder_name,
    gaps,
    leftovers,
    numbers,
    unexpected_files,
)

DAY = 86_400


class FolderStore:
    """A store in a folder of one file system."""

    def __init__(self, root: Path) -> None:
        self.root = root

    @property
    def name(self) -> str:
        """What messages call the archive."""
        return str(self.root)

    @classmethod
    def existing(cls, root: Path) -> "FolderStore":
        """The archive in a folder; an error where there is none."""
        if not (root / RECORDS).is_dir():
            message = f"{root} is not an archive: it has no folder {RECORDS}"
            raise NotAnArchive(message)
        return cls(root)

    @classmethod
    def prepare(cls, root: Path) -> "FolderStore":
        """The archive in a folder, made if the folder is new or empty."""
        if (
            root.exists()
            and not (root / RECORDS).is_dir()
            and any(path.name not in {OBJECTS, INCOMING, README} for path in root.iterdir())
        ):
            message = f"{root} has other files in it: an archive needs a folder of its own"
            raise NotAnArchive(message)
        store = cls(root)
        for folder in (root, root / INCOMING, root / OBJECTS):
            make_folder(folder)
        if not (root / README).exists():
            place_new(store._unfinished_file(), root / README, EXPLAINED.encode())
        make_folder(root / RECORDS)
        store._ensure_index()
        return store

    def put(self, content: bytes) -> str:
        """Keep a content under its hash."""
        digest = sha256(content).hexdigest()
        target = self.root / OBJECTS / digest[:2] / digest[2:]
        if target.exists():
            with self.open(digest) as stream:
                if digest_of(stream) != digest:
                    message = f"{target} is not what was stored under this name"
                    raise DamagedArchive(message)
            return digest
        make_folder(target.parent)
        place_new(self._unfinished_file(), target, content)
        return digest

    def open(self, digest: str) -> BinaryIO:
        """Open a stored content."""
        try:
            return open_inside(self.root, OBJECTS, digest[:2], digest[2:])
        except FileNotFoundError as error:
            message = f"{OBJECTS}/{digest[:2]}/{digest[2:]} is missing"
            raise DamagedArchive(message) from error

    def entries(self) -> list[Entry]:
        """Every record: the lines of the index, then records whose line was not written any more."""
        try:
            entries = index.read_index(self.root)
        except FileNotFoundError:
            entries = []
        refuse_broken_chain(entries, index.INDEX)
        entries.extend(self._after(entries))
        return entries

    def has_index(self) -> bool:
        """Whether there is an index; without one every record is read for a list."""
        return (self.root / index.INDEX).exists()

    def record(self, sequence: int) -> bytes:
        """The bytes of a record."""
        try:
            return read_inside(self.root, RECORDS, folder_name(sequence), MANIFEST, largest=LARGEST_MANIFEST)
        except FileNotFoundError as error:
            message = f"{RECORDS}/{folder_name(sequence)}/{MANIFEST} is missing"
            raise DamagedArchive(message) from error

    def append(self, make: Append) -> Entry:
        """Add a record; what another process issued in the meantime is in the chain that `make` is given."""
        index.read_index(self.root)  # refuses an index that is not the program's own before anything runs in it
        issued: Entry | None = None
        try:
            with lock_folder(self.root / RECORDS), index.writing(self.root) as database:
                entries = self._caught_up(database)
                manifest = make(entries)
                issued = self._issue(manifest)
                index.add(database, issued)
        except NotWritable:
            # With the name of its folder the record is issued; the next issue adds its line.
            if issued is None:
                raise
        assert issued is not None  # noqa: S101 - for the type checker: the only way here without an error
        return issued

    def numbers(self) -> list[int]:
        """The numbers of the records that lie there, ascending."""
        return numbers(self.root)

    def survey(self) -> Survey:
        """The lines of the index and what is wrong with it."""
        try:
            problems = [f"{index.INDEX}: {text}" for text in index.check(self.root)]
            lines = index.read_index(self.root)
            refuse_broken_chain(lines, index.INDEX)
        except FileNotFoundError:
            return Survey([], [f"{index.INDEX} is missing; {index.MADE_AGAIN}"], [])
        except ArchiveError as error:
            return Survey([], [str(error)], [])
        missing = len(self.numbers()) - len(lines)
        lacks = f"the index lacks the newest {missing} of the records; the next issue adds the lines"
        return Survey(lines, problems, [lacks] if missing > 0 else [])

    def unexpected_files(self, used: set[str]) -> tuple[list[str], list[str]]:
        """What is wrong beside the records, and what does no harm; `used` are the hashes that records name."""
        return unexpected_files(self.root, used)

    def rebuild(self) -> list[Entry]:
        """Make the index again from the records; refused where one is missing, damaged, or not in the chain."""
        with lock_folder(self.root / RECORDS):
            entries = [self.entry(number) for number in self._every_number()]
            refuse_broken_chain(entries, index.INDEX)
            self._refuse_to_forget(entries)
            with self.new_index(entries) as made:
                for ending in ("-wal", "-shm"):  # of the index that goes; the lock keeps others from making new ones
                    (self.root / f"{index.INDEX}{ending}").unlink(missing_ok=True)
                os.replace(made, self.root / index.INDEX)  # noqa: PTH105 - the one call that is atomic everywhere
                sync_folder(self.root)
        return entries

    def _every_number(self) -> list[int]:
        numbers = self.numbers()
        if missing := gaps(numbers):
            message = f"records are missing: {', '.join(missing[:20])}; the index was not touched"
            raise DamagedArchive(message)
        return numbers

    def _refuse_to_forget(self, entries: list[Entry]) -> None:
        """An index that can be read and knows more than the records shows a loss, which a new one would hide."""
        try:
            lines = index.read_index(self.root)
        except (FileNotFoundError, DamagedArchive):
            return
        lost = [line for line in lines if line.sha256 not in {entry.sha256 for entry in entries}]
        if lost:
            which = ", ".join(f"{entry.sequence} ({entry.document} revision {entry.label})" for entry in lost[:10])
            message = f"the index knows records that are missing or changed: {which}; the index was not touched"
            raise DamagedArchive(message)

    def tidy(self) -> None:
        """Take away unfinished work that is older than a day."""
        for path in leftovers(self.root):
            with suppress(OSError):
                if path.lstat().st_mtime < time() - DAY:
                    _remove(path)

    def _unfinished_file(self) -> Path:
        return self.root / INCOMING / f"{os.getpid()}-{token_hex(8)}"

    def _issue(self, manifest: Record) -> Entry:
        content = manifest_bytes(manifest)
        begun, target = self._unfinished_file(), self.root / RECORDS / folder_name(manifest.sequence)
        begun.mkdir()
        with removed_on_error(lambda: _remove(begun)):
            write_new(begun / MANIFEST, content)
            sync_folder(begun)
            if target.exists():
                message = f"another process has issued record {manifest.sequence} in the meantime"
                raise ChainMoved(message)
            begun.rename(target)
        sync_folder(target.parent)
        return entry_of(manifest, sha256(content).hexdigest())

    def _caught_up(self, database: sqlite3.Connection) -> list[Entry]:
        entries = index.lines(database)
        refuse_broken_chain(entries, index.INDEX)
        if entries and sha256(self.record(entries[-1].sequence)).hexdigest() != entries[-1].sha256:
            message = f"{RECORDS}/{folder_name(entries[-1].sequence)}/{MANIFEST} is not the record in the index"
            raise DamagedArchive(message)
        for entry in self._after(entries):
            index.add(database, entry)
            entries.append(entry)
        return entries

    def _after(self, entries: list[Entry]) -> list[Entry]:
        """Records that follow these in the chain."""
        newer: list[Entry] = []
        sequence, previous = len(entries) + 1, head(entries)
        while (self.root / RECORDS / folder_name(sequence)).exists():
            entry = self.entry(sequence)
            if entry.previous != previous:
                message = f"record {sequence} does not follow record {sequence - 1}"
                raise DamagedArchive(message)
            newer.append(entry)
            sequence, previous = sequence + 1, entry.sha256
        return newer

    def entry(self, sequence: int) -> Entry:
        """The line of the index that a record as it lies there would have."""
        content = self.record(sequence)
        place = f"{RECORDS}/{folder_name(sequence)}/{MANIFEST}"
        manifest = read_record(content, place)
        if manifest.sequence != sequence:
            message = f"{place}: the record has the number {manifest.sequence}"
            raise DamagedArchive(message)
        return entry_of(manifest, sha256(content).hexdigest())

    def _ensure_index(self) -> None:
        # In this order: whoever issues the first record meanwhile has given the index its place before.
        issued = any((self.root / RECORDS).iterdir())
        if (self.root / index.INDEX).exists():
            return
        if issued:
            message = f"{self.root / index.INDEX} is missing; {index.MADE_AGAIN}"
            raise DamagedArchive(message)
        with self.new_index([]) as made, suppress(FileExistsError):
            os.link(made, self.root / index.INDEX)
            sync_folder(self.root)

    @contextmanager
    def new_index(self, entries: list[Entry]) -> Iterator[Path]:
        """A complete index beside the archive's own, taken away again unless it was given its place."""
        begun = self._unfinished_file()
        try:
            with index.translate_errors(self.root / index.INDEX):
                index.create(begun, entries)
            yield begun
        finally:
            begun.unlink(missing_ok=True)


def _remove(path: Path) -> None:
    if path.is_dir() and not path.is_symlink():
        shutil.rmtree(path)
    else:
        path.unlink()
