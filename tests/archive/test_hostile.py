"""Archives from outside are data: nothing outside the folder is read, nothing is written, every refusal is in words."""

import json
import os
import random
import sqlite3
from collections.abc import Callable
from hashlib import sha256
from pathlib import Path

import pytest

from calc.archive.printed import show_text
from calc.archive.record.attachments import attachment_digests
from calc.archive.record.find import content_of, manifest_of
from calc.archive.record.manifest import LARGEST_MANIFEST, read_manifest
from calc.archive.record.recorded import read_recorded
from calc.archive.record.revision_folder import export
from calc.archive.record.revisions import list_text
from calc.archive.record.verification import verify
from calc.archive.refusals import ArchiveError, DamagedArchive
from calc.archive.store import index
from calc.archive.store.folder import FolderStore
from calc.chain import run_checks
from calc.inputs import read_design
from calc.package.results import results_text
from tests.archive.scenario import Line, archive_of, contents, small_package, write_project

HOSTILE = [b"", b"\0", b"9" * 5000, b"[" * 5000, b"1e999", b"NaN", b"../../etc/passwd", b"\xff\xfe", b'"', b"}{", b"-1"]


def mutated(content: bytes, chance: random.Random) -> bytes:
    """Change, cut, double or replace a piece."""
    begin = chance.randrange(len(content) + 1)
    end = min(len(content), begin + chance.choice((1, 1, 2, 8, 40, 400)))
    piece = chance.choice(
        [*HOSTILE, content[end:begin:-1], content[begin:end] * 2, bytes(chance.randrange(256) for _ in range(4))]
    )
    return content[:begin] + piece + content[end:]


@pytest.fixture(scope="module")
def manifest(tmp_path_factory: pytest.TempPathFactory) -> bytes:
    return archive_of(tmp_path_factory.mktemp("one"), ["A"]).record(1)


@pytest.fixture(scope="module")
def results(tmp_path_factory: pytest.TempPathFactory) -> bytes:
    """Recorded results, cut down to a few steps of each chapter."""
    project = write_project(tmp_path_factory.mktemp("two"), Line("A", "draft"))
    data = json.loads(results_text(run_checks(read_design(project))))
    for check in data["sections"][0]["checks"]:
        del check["steps"][2:], check["tables"][:], check["figures"][:]
    return json.dumps(data).encode()


def refused(read: Callable[[bytes], object], content: bytes, tries: int) -> int:
    """How many of many mutated contents are refused; any other error ends the test."""
    chance = random.Random(len(content))  # noqa: S311 - mutations, no secret
    count = 0
    for _ in range(tries):
        changed = content
        for _ in range(chance.choice((1, 1, 2, 5))):
            changed = mutated(changed, chance)
        try:
            read(changed)
        except DamagedArchive as error:
            count += 1
            assert 0 < len(str(error)) < 500  # noqa: PT017 - either is right, a traceback is not
    return count


def test_mutated_records_are_read_or_refused(manifest: bytes) -> None:
    assert refused(lambda one: read_manifest(one, "record 1"), manifest, 5000) > 2500


def test_mutated_results_are_read_or_refused(results: bytes) -> None:
    assert refused(lambda one: read_recorded(one, "results"), results, 1000) > 500


def test_mutated_packages_are_read_or_refused() -> None:
    assert refused(attachment_digests, small_package(b"a = 1", b"{}"), 5000) > 20


def test_mutated_archives_are_verified_listed_and_not_written(tmp_path: Path) -> None:
    store = archive_of(tmp_path)
    chance = random.Random(1)  # noqa: S311 - mutations, no secret
    files = [path for path in store.root.rglob("*") if path.is_file()]
    found = 0
    for _ in range(300):
        path = chance.choice(files)
        kept = path.read_bytes()
        path.chmod(0o644)
        path.write_bytes(mutated(kept, chance))
        before = contents(store.root)
        found += bool(verify(store).problems)
        try:
            entries = store.entries()
            for entry in entries:
                one = manifest_of(store, entry)
                assert show_text(one, entry.sha256, "draft", 80)
                content_of(store, one.file("inputs"))
            assert list_text(entries, 80)
        except ArchiveError as error:
            assert str(error)  # noqa: PT017 - either is right, a traceback is not
        assert contents(store.root) == before
        path.write_bytes(kept)

    assert found > 200


@pytest.mark.parametrize(
    ("change", "where"),
    [
        ({"name": "../x.toml"}, "name"),
        ({"name": "/etc/passwd"}, "name"),
        ({"name": ".hidden.toml"}, "name"),
        ({"name": "a\nb.toml"}, "name"),
        ({"sha256": "../../../etc/passwd"}, "sha256"),
        ({"sha256": "A" * 64}, "sha256"),
        ({"size": -1}, "size"),
        ({"size": 2**40}, "size"),
        ({"size": "7"}, "size"),
        ({"role": "program"}, "role"),
        ({"more": 1}, "more"),
        ({"name": "results.json"}, "each name of a file stands once"),
    ],
)
def test_file_of_a_record_must_be_what_a_file_is(manifest: bytes, change: dict[str, object], where: str) -> None:
    data = json.loads(manifest)
    data["files"][0] |= change

    with pytest.raises(DamagedArchive, match=where):
        read_manifest(json.dumps(data).encode(), "record 1")


@pytest.mark.parametrize(
    ("change", "where"),
    [
        ({"sequence": 0}, "sequence"),
        ({"sequence": True}, "sequence"),
        ({"issued_at": "2025-01-01T00:00:00+02:00"}, "UTC"),
        ({"outcome": "fine"}, "outcome"),
        ({"kind": "other"}, "kind"),
        ({"format": 2}, "format"),
        ({"files": []}, "files"),
    ],
)
def test_record_must_be_what_a_record_is(manifest: bytes, change: dict[str, object], where: str) -> None:
    with pytest.raises(DamagedArchive, match=where):
        read_manifest(json.dumps(json.loads(manifest) | change).encode(), "record 1")


def test_record_has_a_largest_size() -> None:
    with pytest.raises(DamagedArchive, match="not larger than"):
        read_manifest(b" " * (LARGEST_MANIFEST + 1), "record 1")


@pytest.fixture
def store(tmp_path: Path) -> FolderStore:
    return archive_of(tmp_path, ["A"])


def put_in_place(path: Path, what: str, outside: Path) -> None:
    """Put something in the place of a file that is no file of the archive."""
    path.unlink()
    if what == "link":
        path.symlink_to(outside)
    elif what == "pipe":
        os.mkfifo(path)
    else:
        path.mkdir()


@pytest.mark.parametrize("what", ["link", "pipe", "folder"])
@pytest.mark.parametrize("pattern", ["objects/*/*", "records/*/manifest.json", "index.sqlite", "README.txt"])
def test_links_pipes_and_folders_are_not_followed(store: FolderStore, tmp_path: Path, what: str, pattern: str) -> None:
    path = next(store.root.glob(pattern))
    (tmp_path / "outside").write_bytes(path.read_bytes())
    put_in_place(path, what, tmp_path / "outside")

    assert verify(store).problems


@pytest.mark.parametrize("pattern", ["objects", "objects/*", "records", "records/0000001"])
def test_folder_that_leads_elsewhere_is_not_followed(store: FolderStore, tmp_path: Path, pattern: str) -> None:
    path = next(store.root.glob(pattern))
    path.rename(tmp_path / "outside")
    path.symlink_to(tmp_path / "outside")

    assert verify(store).problems


def test_index_of_another_making_is_refused(store: FolderStore, tmp_path: Path) -> None:
    """A trigger or a view of somebody else's would run inside this program."""
    path = store.root / index.INDEX
    with sqlite3.connect(path) as database:
        database.execute("CREATE TRIGGER own AFTER INSERT ON record BEGIN SELECT 1; END")
    database.close()

    with pytest.raises(DamagedArchive, match="not an index that this program wrote"):
        store.entries()
    with pytest.raises(DamagedArchive, match="not an index that this program wrote"):
        store.append(lambda _entries: pytest.fail("nothing may be issued"))


def test_index_with_values_of_another_kind_is_refused(store: FolderStore) -> None:
    path = store.root / index.INDEX
    with sqlite3.connect(path) as database:
        database.execute("PRAGMA writable_schema = ON")
        text = index.SCHEMA[0].replace(" STRICT", "")
        database.execute("UPDATE sqlite_master SET sql = ? WHERE name = 'record'", (text,))
    database.close()

    with pytest.raises(DamagedArchive, match="not an index"):
        index.read_index(store.root)
    with pytest.raises(DamagedArchive, match="another kind"):
        index._entry((1, 2, *("x" for _ in index.COLUMNS[2:])))


@pytest.mark.parametrize("statement", ["UPDATE record SET outcome = 'pass'", "DELETE FROM record",
                                       "INSERT OR REPLACE INTO record SELECT * FROM record",
                                       "REPLACE INTO record SELECT * FROM record"])  # fmt: skip
def test_what_is_issued_cannot_be_changed_in_the_index(store: FolderStore, statement: str) -> None:
    before = store.entries()
    with sqlite3.connect(store.root / index.INDEX) as database, pytest.raises(sqlite3.IntegrityError):
        database.execute(statement)
    database.close()

    assert store.entries() == before


def test_hostile_words_steer_no_terminal(store: FolderStore) -> None:
    entry = store.entries()[0]._replace(label="\x1b[2J", note="a\r\nb\u202e", title="\x07" * 50)
    text = list_text([entry], 80)

    assert all(line.isprintable() for line in text.splitlines())
    assert "a b" in text


def test_export_checks_and_leaves_nothing_half_written(store: FolderStore, tmp_path: Path) -> None:
    [entry] = store.entries()
    path = next((store.root / "objects").glob("*/*"))
    kept = path.read_bytes()
    path.chmod(0o644)
    path.write_bytes(kept[:-1])
    with pytest.raises(DamagedArchive, match="is not what was issued"):
        export(store, entry, tmp_path / "out" / "A")
    assert list((tmp_path / "out").iterdir()) == []
    path.write_bytes(kept)
    written = {path.name: path.read_bytes() for path in export(store, entry, tmp_path / "out" / "A")}

    assert sorted(written) == ["manifest.json", "package.pdf", "project.toml", "results.json"]
    assert sha256(written["manifest.json"]).hexdigest() == entry.sha256
    assert written["project.toml"] == content_of(store, manifest_of(store, entry).file("inputs"))
    with pytest.raises(ArchiveError, match="must be a new or an empty folder"):
        export(store, entry, tmp_path / "out" / "A")
    with pytest.raises(ArchiveError, match="must be a new or an empty folder"):
        export(store, entry, tmp_path / "out" / "A" / "package.pdf")


def test_rebuild_hides_no_loss(tmp_path: Path) -> None:
    store = archive_of(tmp_path, ["A", "B", "C"])
    last = store.root / "records" / "0000003"
    last.rename(tmp_path / "last")
    with pytest.raises(DamagedArchive, match=r"the index knows records that are missing or changed: 3 .*revision C"):
        store.rebuild()
    (tmp_path / "last").rename(last)
    (store.root / "records" / "0000002").rename(tmp_path / "second")
    with pytest.raises(DamagedArchive, match="records are missing: 2; the index was not touched"):
        store.rebuild()
    (tmp_path / "second").rename(store.root / "records" / "0000002")

    assert store.rebuild() == store.entries()


def test_rebuild_refuses_a_broken_chain_and_mends_a_broken_index(tmp_path: Path) -> None:
    store = archive_of(tmp_path)
    entries = store.entries()
    (store.root / index.INDEX).write_bytes(b"not a database")
    assert store.rebuild() == entries
    record = store.root / "records" / "0000001" / "manifest.json"
    record.chmod(0o644)
    record.write_bytes(record.read_bytes().replace(b"Next.", b"Past."))
    (store.root / index.INDEX).unlink()

    with pytest.raises(DamagedArchive, match="does not follow"):
        store.rebuild()
    assert not (store.root / index.INDEX).exists()
