"""Signing and reading back what was signed."""

from pathlib import Path

from calc.archive.record.find import newest, sign_offs
from calc.archive.record.manifest import Role, SignOff
from calc.archive.signing.certificate import read_signer
from calc.archive.signing.sign_off import sign
from calc.archive.signing.signer import Signer
from calc.archive.store.folder import FolderStore
from tests.archive.certificates import NOW, PASSWORD
from tests.archive.scenario import Line, issued, write_project
from tests.archive.test_signing import silent

PEOPLE = {"originator": "A. Fenwick", "checker": "Beatrix Ökono", "approver": "C. Lindqvist"}


def signer(path: Path, password: str = PASSWORD) -> Signer:
    return read_signer(path, password, NOW)


def signed(store: FolderStore, keys: dict[str, Path], *roles: Role) -> bytes:
    """Sign the newest revision in these roles; the last signed copy."""
    for role in roles:
        _, copy = sign(store, newest(store.entries(), None), role, None, signer(keys[role]), silent)
    return copy


def new_archive(folder: Path) -> FolderStore:
    store = FolderStore.prepare(folder / "archive")
    issued(store, write_project(folder / "project", Line("A", "for approval")))
    return store


def records(store: FolderStore) -> list[SignOff]:
    entries = store.entries()
    return [one for one, _ in sign_offs(store, entries, entries[0])]
