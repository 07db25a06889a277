"""Where an archive is: a folder, or an address of a server."""

from pathlib import Path

from calc.archive.extras import server_store
from calc.archive.store.contract import KeptStore
from calc.archive.store.folder import FolderStore
from calc.archive.store.layout import RECORDS


def existing(address: Path | str) -> KeptStore:
    """The archive that is there; an error where there is none."""
    return server_store().existing(address) if isinstance(address, str) else FolderStore.existing(address)


def prepare_archive(address: Path | str) -> KeptStore:
    """The archive, made where there is none yet."""
    return server_store().prepare(address) if isinstance(address, str) else FolderStore.prepare(address)


def existing_archive(address: Path | str) -> KeptStore | None:
    """The archive, or None where there is none yet; nothing is written."""
    if isinstance(address, str):
        store = server_store()(address)
        return store if store.is_there() else None
    return FolderStore(address) if (address / RECORDS).is_dir() else None
