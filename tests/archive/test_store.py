"""The store by itself: what it keeps, what it refuses, and who may come in between."""

import fcntl
import os
import sqlite3
from pathlib import Path

import pytest

from calc.archive.record.issue import issue
from calc.archive.record.manifest import read_manifest
from calc.archive.record.program import installed_versions
from calc.archive.refusals import BusyArchive, ChainMoved, DamagedArchive, NotWritable
from calc.archive.store import disk as files
from calc.archive.store import index
from calc.archive.store.contract import Entry, Store
from calc.archive.store.disk import lock_folder, open_inside, read_inside
from calc.archive.store.folder import DAY, FolderStore
from calc.archive.store.layout import leftovers
from calc.inputs import read_design
from tests.archive.scenario import archive_of, contents, other_document, prepared


@pytest.fixture
def store(tmp_path: Path) -> FolderStore:
    return archive_of(tmp_path, ["A"])


def test_content_is_kept_once_under_its_hash(store: FolderStore) -> None:
    place: Store = store
    digest = place.put(b"abc")
    before = contents(store.root)

    assert digest == "ba7816bf8f01cfea414140de5dae2223b00361a396177a9cb410ff61f20015ad"  # FIPS 180-2, appendix B.1
    assert place.put(b"abc") == digest
    assert contents(store.root) == before
    with place.open(digest) as stream:
        assert stream.read() == b"abc"


def test_content_whose_place_is_taken_by_something_else_is_not_passed_over(store: FolderStore) -> None:
    digest = store.put(b"abc")
    path = store.root / "objects" / digest[:2] / digest[2:]
    path.chmod(0o644)
    path.write_bytes(b"abd")

    with pytest.raises(DamagedArchive, match="is not what was stored under this name"):
        store.put(b"abc")


def test_what_is_stored_is_not_writable_by_accident(store: FolderStore) -> None:
    stored = [path for path in store.root.rglob("*") if path.is_file() and path.name != index.INDEX]

    assert {path.stat().st_mode & 0o222 for path in stored} == {0}


def test_old_unfinished_work_is_taken_away_and_new_is_left(store: FolderStore) -> None:
    old, folder, new = (store.root / "incoming" / name for name in ("old", "folder", "new"))
    folder.mkdir()
    for path in (old, new, folder / "manifest.json"):
        path.write_bytes(b"x")
    for path in (old, folder):
        os.utime(path, (path.stat().st_mtime - 2 * DAY,) * 2)
    store.tidy()

    assert leftovers(store.root) == [new]


def test_second_process_waits_and_gives_up_in_words(store: FolderStore) -> None:
    opened = os.open(store.root / "records", os.O_RDONLY)
    fcntl.flock(opened, fcntl.LOCK_EX)
    with (
        pytest.raises(BusyArchive, match="another process has been writing"),
        lock_folder(store.root / "records", 0.05),
    ):
        pytest.fail("the folder is locked")
    os.close(opened)
    with lock_folder(store.root / "records", 0.05):
        pass


def test_place_in_the_chain_that_is_taken_is_not_taken_twice(store: FolderStore, tmp_path: Path) -> None:
    """Where locks do not hold, the name of the folder still is given once."""
    first = store.entries()[0]
    manifest = read_manifest(store.record(1), "record 1")

    with pytest.raises(ChainMoved, match="another process has issued record 1"):
        store._issue(manifest)
    assert store.entries() == [first]
    assert leftovers(store.root) == []


def test_issued_record_stays_issued_where_its_line_cannot_be_written(
    store: FolderStore, tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    def full(_database: sqlite3.Connection, _entry: Entry) -> None:
        message = "database or disk is full"
        raise sqlite3.OperationalError(message)

    revision = prepared(other_document(read_design(tmp_path / "project"), "other"), store)
    with monkeypatch.context() as patch:
        patch.setattr(index, "add", full)
        entry = issue(store, revision)

    assert store.entries()[1] == entry
    assert len(index.read_index(store.root)) == 1


def test_index_that_cannot_be_locked_issues_nothing(
    store: FolderStore, tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    revision = prepared(other_document(read_design(tmp_path / "project"), "other"), store)
    monkeypatch.setattr(index, "WAIT", 0.05)
    with sqlite3.connect(store.root / index.INDEX, isolation_level=None) as other:
        other.execute("BEGIN IMMEDIATE")
        with pytest.raises(NotWritable, match="database is locked"):
            issue(store, revision)
        other.execute("ROLLBACK")
    other.close()

    assert len(store.entries()) == 1


def test_last_record_must_be_the_one_in_the_index_before_another_follows(store: FolderStore, tmp_path: Path) -> None:
    revision = prepared(other_document(read_design(tmp_path / "project"), "other"), store)
    path = store.root / "records" / "0000001" / "manifest.json"
    path.chmod(0o644)
    path.write_bytes(path.read_bytes().replace(b"Next.", b"Past."))

    with pytest.raises(DamagedArchive, match="is not the record in the index"):
        issue(store, revision)


def test_record_in_the_wrong_folder_does_not_count(store: FolderStore) -> None:
    (store.root / "records" / "0000001").rename(store.root / "records" / "0000002")

    with pytest.raises(DamagedArchive, match="the record has the number 1"):
        store.entries()


def test_log_of_a_killed_process_is_read_with_the_index(store: FolderStore, tmp_path: Path) -> None:
    """A process that was killed leaves lines in the log that the file alone does not have."""
    entry = store.entries()[0]
    database = sqlite3.connect(store.root / index.INDEX, isolation_level=None)
    database.execute("PRAGMA wal_autocheckpoint = 0")
    line = entry._replace(sequence=2, previous=entry.sha256, sha256="f" * 64, label="B")
    index.add(database, line)
    before = contents(store.root)

    assert index.read_index(store.root) == [entry, line]
    assert index.check(store.root) == []
    assert contents(store.root) == before
    database.close()


def test_index_that_changes_all_the_time_is_said_so(store: FolderStore, monkeypatch: pytest.MonkeyPatch) -> None:
    marks = iter(range(10_000))
    monkeypatch.setattr(index, "_marks", lambda _root: next(marks))
    monkeypatch.setattr(index, "PAUSE", 0)

    with pytest.raises(DamagedArchive, match="changes all the time"):
        index.read_index(store.root)


def test_index_without_its_table_is_damaged(store: FolderStore) -> None:
    message = "no such table: record"
    with pytest.raises(DamagedArchive, match="rebuild"), index.translate_errors(store.root / index.INDEX):
        raise sqlite3.OperationalError(message)


def test_file_has_a_largest_size(store: FolderStore) -> None:
    with pytest.raises(DamagedArchive, match=r"README\.txt is larger than 10 bytes"):
        read_inside(store.root, "README.txt", largest=10)


def test_errors_that_are_no_link_are_left_as_they_are(store: FolderStore, monkeypatch: pytest.MonkeyPatch) -> None:
    with pytest.raises(FileNotFoundError):
        open_inside(store.root, "nothing", "here")
    with pytest.raises(OSError, match="File name too long"):
        open_inside(store.root, "x" * 1000)


def test_write_error_names_the_file(tmp_path: Path) -> None:
    (tmp_path / "there").write_bytes(b"")

    with pytest.raises(FileExistsError) as found:
        files.write_new(tmp_path / "there", b"x")
    assert found.value.filename == str(tmp_path / "there")


def test_packages_of_other_systems_are_passed_over(monkeypatch: pytest.MonkeyPatch) -> None:
    from importlib.metadata import PackageNotFoundError
    from types import SimpleNamespace

    from calc.archive.record import program

    def distribution(name: str) -> SimpleNamespace:
        if name == "elsewhere":
            raise PackageNotFoundError(name)
        return SimpleNamespace(version="1", requires=["A_b>=1", "elsewhere; sys_platform == 'x'", "more; extra == 'y'"])

    monkeypatch.setattr(program, "distribution", distribution)

    assert installed_versions("own") == {"a-b": "1"}
