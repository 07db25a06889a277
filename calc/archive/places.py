"""Where an archive is: a folder."""

from pathlib import Path

from calc.archive.folder import FolderStore
from calc.archive.layout import RECORDS
from calc.archive.store import KeptStore


def existing(address: Path) -> KeptStore:
    """The archive that is there; an error where there is none."""
    return FolderStore.existing(address)


def prepared(address: Path) -> KeptStore:
    """The archive, made where there is none yet."""
    return FolderStore.prepared(address)


def found(address: Path) -> KeptStore | None:
    """The archive, or None where there is none yet; nothing is written."""
    return FolderStore(address) if (address / RECORDS).is_dir() else None
