"""One revision as a plain folder, and the index made again from the records."""

import os
from pathlib import Path
from tempfile import TemporaryDirectory

from calc.archive import index
from calc.archive.errors import DamagedArchive, NotAnArchive
from calc.archive.files import locked, sync_folder
from calc.archive.find import content_of, manifest_of
from calc.archive.folder import MANIFEST, RECORDS, FolderStore, linked
from calc.archive.store import Entry, Store


def export(store: Store, entry: Entry, target: Path) -> list[Path]:
    """Write the files of a revision and its record into a new folder, complete or not at all; every hash is checked."""
    if target.exists() and (not target.is_dir() or any(target.iterdir())):
        message = f"{target} must be a new or an empty folder"
        raise NotAnArchive(message)
    manifest = manifest_of(store, entry)
    target.parent.mkdir(parents=True, exist_ok=True)
    with TemporaryDirectory(prefix=".export-", dir=target.parent) as room:
        made = Path(room) / "revision"
        made.mkdir()
        for stored in manifest.files:
            (made / stored.name).write_bytes(content_of(store, stored))
        (made / MANIFEST).write_bytes(store.record(entry.sequence))
        os.replace(made, target)  # noqa: PTH105 - takes the place of an empty folder in one step
    return sorted(target.iterdir())


def rebuild(store: FolderStore) -> list[Entry]:
    """Make the index again from the records; refused where a record is missing, damaged, or not in the chain."""
    with locked(store.root / RECORDS):
        return _rebuilt(store)


def _rebuilt(store: FolderStore) -> list[Entry]:
    numbers = store.numbers()
    if numbers != list(range(1, len(numbers) + 1)):
        missing = sorted(set(range(1, max(numbers) + 1)) - set(numbers))
        message = f"records are missing: {', '.join(map(str, missing[:20]))}; the index was not touched"
        raise DamagedArchive(message)
    entries = [store.entry(number) for number in numbers]
    linked(entries)
    _refuse_to_forget(store, entries)
    with store.new_index(entries) as made:
        for ending in ("-wal", "-shm"):  # of the index that goes; the lock keeps others from making new ones
            (store.root / f"{index.INDEX}{ending}").unlink(missing_ok=True)
        os.replace(made, store.root / index.INDEX)  # noqa: PTH105 - the one call that is atomic everywhere
        sync_folder(store.root)
    return entries


def _refuse_to_forget(store: FolderStore, entries: list[Entry]) -> None:
    """An index that can be read and knows more than the records shows a loss, which a new one would hide."""
    try:
        lines = index.read(store.root)
    except (FileNotFoundError, DamagedArchive):
        return
    lost = [one for one in lines if one.sha256 not in {entry.sha256 for entry in entries}]
    if lost:
        which = ", ".join(f"{one.sequence} ({one.document} revision {one.label})" for one in lost[:10])
        message = f"the index knows records that are missing or changed: {which}; the index was not touched"
        raise DamagedArchive(message)
