"""A sign-off survives what an issue survives: kills and full disks at every call that writes."""

import errno
import shutil
from itertools import count
from pathlib import Path

import pytest

from calc.archive.record.manifest import ROLES
from calc.archive.record.verify import verify
from calc.archive.refusals import ArchiveError
from calc.archive.signing import sign_off as signing
from calc.archive.signing.sign_off import sign
from calc.archive.store.folder import FolderStore
from tests.archive.scenario import small_package
from tests.archive.signatories import new_archive
from tests.archive.test_signing import silent
from tests.archive.test_survival import counted, in_a_child


@pytest.fixture
def store(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> FolderStore:
    """An archive with a revision; the stamp is a page set before, because setting one writes files of its own."""
    store = new_archive(tmp_path)
    page = small_package(b"", b"")
    monkeypatch.setattr(signing, "_page", lambda *_more: page)
    return store


def test_kill_at_any_call_loses_nothing(store: FolderStore, tmp_path: Path) -> None:
    """A child process ends at the n-th call that writes, for every n until it ends by itself."""
    signed: list[int] = []
    for number in count(1):
        copy = FolderStore(Path(shutil.copytree(store.root, tmp_path / f"{number}")))
        [entry] = copy.entries()
        if in_a_child(lambda copy=copy, entry=entry: sign(copy, entry, "originator", None, None, silent), number) == 0:  # type: ignore[misc]
            break
        assert verify(copy).problems == []
        signed.append(len(copy.entries()) - 1)
        sign(copy, entry, ROLES[signed[-1]], None, None, silent)
        assert [one.words for one in copy.entries()[1:]] == list(ROLES[: signed[-1] + 1])
        shutil.rmtree(copy.root)

    assert len(copy.entries()) == 2
    assert len(signed) > 10
    assert signed == sorted(signed)
    assert set(signed) == {0, 1}


def test_disk_that_is_full_at_any_call_loses_nothing(store: FolderStore, tmp_path: Path) -> None:
    refused = 0
    for number in count(1):
        copy = FolderStore(Path(shutil.copytree(store.root, tmp_path / f"{number}")))
        struck = False

        def full(call: int, number: int = number) -> None:
            nonlocal struck
            if call >= number:
                struck = True
                raise OSError(errno.ENOSPC, "No space left on device")

        with pytest.MonkeyPatch.context() as patch:
            counted(patch, full)
            try:
                sign(copy, copy.entries()[0], "originator", None, None, silent)
            except (OSError, ArchiveError):
                refused += 1
        assert verify(copy).problems == []
        assert [entry.words for entry in copy.entries()[1:]] in ([], ["originator"])
        if not struck:
            break
        shutil.rmtree(copy.root)

    assert len(copy.entries()) == 2
    assert refused > 10
