"""What the archive survives, each by doing it."""

import errno
import gc
import os
import random
import shutil
import subprocess
from collections.abc import Callable, Iterator
from pathlib import Path
from tempfile import TemporaryDirectory

import pytest

from calc.archive.record.issue import Prepared, issue
from calc.archive.record.verification import verify
from calc.archive.refusals import ArchiveError, DamagedArchive
from calc.archive.store import index
from calc.archive.store.folder import FolderStore
from calc.inputs import read_design
from tests.archive.kills import Issuer, inspected, killed_once, span
from tests.archive.scenario import (
    Line,
    archive_of,
    contents,
    other_document,
    prepared,
    quick_package,
    write_project,
)

CALLS = ("write", "fsync", "open", "mkdir", "rename", "link", "unlink")
NOBODY = 65534
REFUSED = r"Permission denied|readonly|unable to open"


@pytest.fixture
def project(tmp_path: Path) -> Path:
    return write_project(tmp_path / "project", Line("A", "draft"))


def counted(monkeypatch: pytest.MonkeyPatch, strike: Callable[[int], None]) -> list[int]:
    """Put `strike` before every call that writes; it is given the number of the call."""
    calls = [0]

    def watched(name: str) -> Callable[..., object]:
        kept = getattr(os, name)

        def call(*arguments: object, **more: object) -> object:
            calls[0] += 1
            strike(calls[0])
            return kept(*arguments, **more)

        return call

    for name in CALLS:
        monkeypatch.setattr(os, name, watched(name))
    return calls


def second_revision(tmp_path: Path) -> tuple[FolderStore, Prepared]:
    store = archive_of(tmp_path, ["A"])
    return store, prepared(other_document(read_design(tmp_path / "project"), "other"), store)


def calls_of_an_issue(tmp_path: Path) -> int:
    store, revision = second_revision(tmp_path)
    gc.collect()
    gc.disable()  # temporary files of other tests, taken away meanwhile, would count
    try:
        with pytest.MonkeyPatch.context() as patch:
            calls = counted(patch, lambda _number: None)
            issue(store, revision)
    finally:
        gc.enable()
    return calls[0]


def test_disk_that_is_full_at_any_call_loses_nothing(tmp_path: Path) -> None:
    count = calls_of_an_issue(tmp_path / "count")
    store, revision = second_revision(tmp_path / "full")
    before = store.entries()
    refused = 0
    for number in range(1, count + 1):

        def full(call: int, number: int = number) -> None:
            if call >= number:
                raise OSError(errno.ENOSPC, "No space left on device")

        one = prepared(other_document(revision.design, f"other-{number}"), store, page=quick_package)
        with pytest.MonkeyPatch.context() as patch:
            counted(patch, full)
            try:
                issue(store, one)
            except (OSError, ArchiveError):
                refused += 1
        assert verify(store).problems == []
        assert store.entries()[: len(before)] == before

    assert count > 15
    assert refused > 10
    assert {entry.document for entry in store.entries()[len(before) :]} <= {
        f"other-{one}" for one in range(1, count + 1)
    }
    assert issue(store, revision).document == "other"
    assert verify(store).problems == []


def test_kill_at_any_call_loses_nothing(tmp_path: Path) -> None:
    """A child process ends at the n-th call that writes, for every n; the lock goes with it."""
    count = calls_of_an_issue(tmp_path / "count")
    original, revision = second_revision(tmp_path / "kill")
    issued: list[int] = []
    for number in range(1, count + 1):
        store = FolderStore(Path(shutil.copytree(original.root, tmp_path / f"{number}")))
        assert in_a_child(lambda store=store: issue(store, revision), number) == 9  # type: ignore[misc]
        assert verify(store).problems == []
        issued.append(len(store.entries()))
        after = prepared(other_document(revision.design, "after"), store, page=quick_package)
        assert issue(store, after).sequence == issued[-1] + 1
        assert [one.label for one in index.read_index(store.root)] == ["A"] * (issued[-1] + 1)
        shutil.rmtree(store.root)

    assert issued == sorted(issued)
    assert set(issued) == {1, 2}
    assert in_a_child(lambda: issue(original, revision), count + 1) == 0


def in_a_child(work: Callable[[], object], number: int) -> int:
    """Do something in a child process that ends without a word at the call with this number."""
    child = os.fork()
    if child == 0:
        patch = pytest.MonkeyPatch()
        counted(patch, lambda call: os._exit(9) if call >= number else None)
        try:
            work()
        finally:
            os._exit(0)
    return os.waitstatus_to_exitcode(os.waitpid(child, 0)[1])


@pytest.mark.slow
def test_kill_at_random_moments_loses_nothing(tmp_path: Path, project: Path) -> None:
    chance = random.Random(7)  # noqa: S311 - moments of kills, no secret
    root = tmp_path / "archive"
    told: list[str] = []
    longest = span(tmp_path / "before", project)
    for number in range(20):
        told += killed_once(root, project, number, chance, longest)
        if (root / "records").is_dir():
            inspected(FolderStore(root), told)

    assert told


def test_two_processes_issue_at_once(tmp_path: Path, project: Path) -> None:
    issuers = [Issuer(tmp_path / "archive", project, prefix, 12) for prefix in ("one", "two")]
    lines = [line.split() for issuer in issuers for line in issuer.lines()]
    entries = FolderStore(tmp_path / "archive").entries()

    assert {line[0] for line in lines} == {"ready", "issued"}
    assert [entry.sequence for entry in entries] == list(range(1, 25))
    assert {entry.sha256 for entry in entries} == {line[2] for line in lines if line[0] == "issued"}
    assert len(index.read_index(tmp_path / "archive")) == 24


def test_one_of_two_processes_gets_the_label(tmp_path: Path, project: Path) -> None:
    issuers = [Issuer(tmp_path / "archive", project, "", 1) for _ in range(2)]
    lines = sorted(line for issuer in issuers for line in issuer.lines())

    assert [line.split()[0] for line in lines] == ["issued", "ready", "ready", "refused"]
    # Which of the two says so depends on whether the other was done before or while this one looked.
    assert "RefusedIssue" in lines[-1] or "ChainMoved" in lines[-1]
    assert len(FolderStore(tmp_path / "archive").entries()) == 1


@pytest.mark.parametrize("limit", [100, 9000, 40_000])
def test_limit_on_the_size_of_files_loses_nothing(tmp_path: Path, project: Path, limit: int) -> None:
    """The system's own limit stands for a full disk: it strikes SQLite, too."""
    root = tmp_path / "archive"
    Issuer(root, project, "before", 3).lines()
    told = Issuer(root, project, "limited", 3, limit).lines()

    assert verify(FolderStore(root)).problems == [] or "inside the package" in str(verify(FolderStore(root)).problems)
    assert len(FolderStore(root).entries()) == 3 + sum(line.startswith("issued") for line in told)
    assert all("File too large" in line or "full" in line or "disk" in line for line in told if "refused" in line)
    assert len(Issuer(root, project, "after", 3).lines()) == 4
    assert len({entry.document for entry in FolderStore(root).entries()} & {f"after-{one}" for one in range(3)}) == 3


@pytest.fixture
def small_disk(tmp_path: Path) -> Iterator[Path]:
    """A file system of 300 kB; a machine that may not mount one tests the limit on files alone."""
    disk = tmp_path / "disk"
    disk.mkdir()
    mount = shutil.which("mount")
    if os.geteuid() != 0 or mount is None:
        pytest.skip("mounting a file system needs root")
    done = subprocess.run([mount, "-t", "tmpfs", "-o", "size=300k", "tmpfs", disk], check=False, capture_output=True)
    if done.returncode:
        pytest.skip("this machine does not mount file systems")
    yield disk
    subprocess.run([shutil.which("umount") or "umount", disk], check=True)


def test_full_disk_loses_nothing(small_disk: Path, project: Path) -> None:
    told = Issuer(small_disk / "archive", project, "full", 30).lines()
    issued = [line for line in told if line.startswith("issued")]
    store = FolderStore(small_disk / "archive")

    assert 0 < len(issued) < 30
    assert [line for line in told if line.startswith("refused") and "No space" not in line and "full" not in line] == []
    assert len(inspected(store, [line.split()[2] for line in issued])) >= len(issued)


@pytest.fixture
def open_folder() -> Iterator[Path]:
    """A folder that everyone on this machine may enter, unlike the test's own."""
    with TemporaryDirectory() as folder:
        Path(folder).chmod(0o755)
        yield Path(folder)


def test_folder_that_cannot_be_written_is_read_all_the_same(open_folder: Path, tmp_path: Path) -> None:
    store = archive_of(open_folder)
    before = contents(store.root)
    # Everything is done once with all rights: who has none may not even read the modules it takes.
    assert verify(archive_of(tmp_path)).records == len(FolderStore(tmp_path / "archive").rebuild())
    for path in (store.root, *store.root.rglob("*")):
        path.chmod(0o555 if path.is_dir() else 0o444)
    done = as_nobody(lambda: reads_and_is_refused(store, open_folder / "project"))
    for path in (store.root, *store.root.rglob("*")):
        path.chmod(0o755 if path.is_dir() else 0o644)

    assert done == 0
    assert contents(store.root) == before


def reads_and_is_refused(store: FolderStore, project: Path) -> None:
    """In a process without rights: everything can be read, and issuing is refused in words."""
    assert len(store.entries()) == 2
    assert verify(store).problems == []
    revision = Prepared(other_document(read_design(project), "x"), "incomplete", {"inputs": b"1"}, "0" * 64)
    with pytest.raises((OSError, ArchiveError), match=REFUSED):
        issue(store, revision)
    with pytest.raises((OSError, ArchiveError), match=REFUSED):
        store.rebuild()


def as_nobody(work: Callable[[], object]) -> int:
    """Do something in a child process that has no rights of its own where this one is root."""
    child = os.fork()
    if child == 0:
        code = 1
        try:
            if os.geteuid() == 0:
                os.setgid(NOBODY)
                os.setuid(NOBODY)
            work()
            code = 0
        finally:
            os._exit(code)
    return os.waitstatus_to_exitcode(os.waitpid(child, 0)[1])


def test_index_that_was_carried_away_is_made_again(tmp_path: Path) -> None:
    store = archive_of(tmp_path)
    before = store.entries()
    (store.root / index.INDEX).rename(tmp_path / "elsewhere")

    assert store.entries() == before
    assert any("index.sqlite is missing" in text for text in verify(store).problems)
    with pytest.raises(DamagedArchive, match="rebuild"):
        FolderStore.prepare(store.root)
    assert store.rebuild() == before
    assert index.read_index(store.root) == before
    assert verify(store).problems == []


def test_old_index_that_was_put_back_is_caught_up(tmp_path: Path) -> None:
    store = archive_of(tmp_path, ["Z"])
    old = (store.root / index.INDEX).read_bytes()
    store = archive_of(tmp_path / "again", ["A", "B", "C"])
    (store.root / index.INDEX).write_bytes(old)

    with pytest.raises(DamagedArchive, match="does not follow"):
        store.entries()  # the index of another archive

    store = archive_of(tmp_path / "third", ["A"])
    old = (store.root / index.INDEX).read_bytes()
    revision = prepared(other_document(read_design(tmp_path / "third" / "project"), "B"), store)
    issue(store, revision)
    (store.root / index.INDEX).write_bytes(old)
    assert [entry.document for entry in store.entries()][1:] == ["B"]
    assert any("lacks the newest 1" in text for text in verify(store).notes)
    issue(store, prepared(other_document(revision.design, "C"), store, page=quick_package))
    assert [one.document for one in index.read_index(store.root)][1:] == ["B", "C"]
