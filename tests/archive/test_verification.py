import random
import zlib
from collections.abc import Callable
from hashlib import sha256
from pathlib import Path

import pytest

from calc.archive.record.attachments import attachment_digests
from calc.archive.record.find import manifest_of
from calc.archive.record.issue import issue
from calc.archive.record.verification import verify
from calc.archive.refusals import DamagedArchive
from calc.archive.store import index
from calc.archive.store.folder import FolderStore
from calc.inputs import read_design
from tests.archive.scenario import (
    Line,
    archive_of,
    contents,
    issued,
    prepared,
    small_package,
    small_results,
    write_project,
)

LINES = [Line("A", "draft")]


@pytest.fixture
def store(tmp_path: Path) -> FolderStore:
    return archive_of(tmp_path)


def flipped(path: Path, place: int) -> Callable[[], None]:
    """Change one bit of a file; the function that comes back puts it right again."""
    content = path.read_bytes()
    path.chmod(0o644)
    changed = bytearray(content)
    changed[place] ^= 1 << (place % 8)
    path.write_bytes(changed)

    def right() -> None:
        path.write_bytes(content)

    return right


def places(size: int, count: int) -> list[int]:
    """First and last places and some between, the same each time."""
    chance = random.Random(size)  # noqa: S311 - places in a file, no secret
    return sorted({0, 1, size - 1, *(chance.randrange(size) for _ in range(count))})


def test_archive_as_it_was_issued_is_sound(store: FolderStore) -> None:
    report = verify(store)

    assert (report.problems, report.notes, report.records, report.files) == ([], [], 2, 6)
    assert report.head == store.entries()[-1].sha256
    assert report.size == sum(
        len(content) for name, content in contents(store.root).items() if name.startswith("objects/")
    )


@pytest.mark.parametrize("pattern", ["objects/*/*", "records/*/manifest.json", "README.txt"])
def test_every_flipped_bit_is_found(store: FolderStore, pattern: str) -> None:
    files = sorted(store.root.glob(pattern))
    for path in files:
        for place in places(path.stat().st_size, 40):
            right = flipped(path, place)
            assert verify(store).problems, f"{path.name}: {place}"
            right()

    assert files
    assert verify(store).problems == []


def test_flipped_bit_of_the_index_is_found_or_changes_nothing_in_it(store: FolderStore) -> None:
    """Bytes of a database file that hold no content can change without any line of it changing."""
    path, entries = store.root / index.INDEX, store.entries()
    found = 0
    for place in places(path.stat().st_size, 600):
        right = flipped(path, place)
        if verify(store).problems:
            found += 1
        else:
            assert index.read_index(store.root) == entries, place
        right()

    assert found > 20
    assert verify(store).problems == []


@pytest.mark.parametrize("pattern", ["objects/*/*", "records/*/manifest.json", "README.txt", "index.sqlite"])
def test_truncated_emptied_and_missing_files_are_found(store: FolderStore, pattern: str) -> None:
    for path in sorted(store.root.glob(pattern)):
        content = path.read_bytes()
        path.chmod(0o644)
        for less in (content[:-1], content[: len(content) // 2], b""):
            path.write_bytes(less)
            assert verify(store).problems
        path.unlink()
        assert verify(store).problems
        path.write_bytes(content)

    assert verify(store).problems == []


def test_content_added_at_the_end_is_found(store: FolderStore) -> None:
    for path in [*store.root.glob("objects/*/*"), *store.root.glob("records/*/*")]:
        content = path.read_bytes()
        path.chmod(0o644)
        path.write_bytes(content + b"\n")
        assert verify(store).problems
        path.write_bytes(content)


def test_records_in_another_order_are_found(store: FolderStore) -> None:
    first, second = sorted((store.root / "records").iterdir())
    first.rename(store.root / "x")
    second.rename(first)
    (store.root / "x").rename(second)

    problems = " ".join(verify(store).problems)

    assert "record 1 is not the one in the index" in problems
    assert "it has the number 2" in problems
    assert "as the record before it" in problems
    assert "which is not in the chain before it" in problems
    assert "as the revision before it, which is" in problems


def test_forged_record_with_a_forged_index_is_found_by_the_next_record(store: FolderStore) -> None:
    path = store.root / "records" / "0000001" / "manifest.json"
    path.chmod(0o644)
    path.write_bytes(path.read_bytes().replace(b'"incomplete"', b'"pass"'))
    (store.root / index.INDEX).unlink()

    assert any("as the record before it" in text for text in verify(store).problems)


def test_end_that_was_cut_off_is_found_by_a_hash_from_outside(store: FolderStore) -> None:
    head = store.entries()[-1].sha256
    assert verify(store, head[:16]).problems == []
    (store.root / "records" / "0000002" / "manifest.json").unlink()
    (store.root / "records" / "0000002").rmdir()
    (store.root / index.INDEX).unlink()
    with FolderStore(store.root).new_index([store.entry(1)]) as made:
        made.replace(store.root / index.INDEX)

    assert verify(store).problems == []
    assert any("taken away or replaced" in text for text in verify(store, head).problems)


def test_index_that_tells_something_else_is_found(store: FolderStore) -> None:
    lines = store.entries()
    (store.root / index.INDEX).unlink()
    with store.new_index([lines[0], lines[1]._replace(outcome="pass")]) as made:
        made.replace(store.root / index.INDEX)

    assert any("says something else than the record" in text for text in verify(store).problems)


def test_record_whose_line_is_there_but_not_its_folder_is_missing(store: FolderStore) -> None:
    (store.root / "records" / "0000002" / "manifest.json").unlink()
    (store.root / "records" / "0000002").rmdir()

    assert any("records/0000002/manifest.json is missing" in text for text in verify(store).problems)


def test_folder_with_a_large_number_costs_no_more_than_another(store: FolderStore) -> None:
    """Ten million records had been looked for one by one."""
    (store.root / "records" / "9999999").mkdir()
    told: list[str] = []
    problems = verify(store, tell=told.append).problems

    assert len(told) < 10
    assert problems[0] == "records are missing: 3 to 9999998"
    assert "record 9999999: records/9999999/manifest.json is missing" in problems
    with pytest.raises(DamagedArchive, match="records are missing: 3 to 9999998; the index was not touched"):
        store.rebuild()


def test_what_is_no_part_of_the_archive_is_named_and_does_no_harm(store: FolderStore) -> None:
    store.put(b"never issued")
    (store.root / "incoming" / "left").write_bytes(b"x")
    (store.root / "records" / "notes.txt").write_bytes(b"x")
    (store.root / "records" / "0000001" / "more.txt").write_bytes(b"x")
    (store.root / "photo.jpg").write_bytes(b"x")
    report = verify(store)

    assert report.problems == []
    assert sorted(report.notes) == [
        "1 stored files belong to no record: work that was broken off before its issue",
        "1 unfinished files in incoming: work that was broken off",
        "photo.jpg is not part of the archive",
        "records/0000001/more.txt is not part of the archive",
        "records/notes.txt is not part of the archive",
    ]


@pytest.mark.parametrize(
    ("inside", "problem"),
    [
        ((b"other = 1", b""), "project.toml inside the package is not the stored one"),
        ((b"", b"{}"), "results.json inside the package is not the stored one"),
    ],
)
def test_package_with_other_files_inside_is_found(tmp_path: Path, inside: tuple[bytes, bytes], problem: str) -> None:
    store = FolderStore.prepare(tmp_path / "archive")
    project = write_project(tmp_path / "project", *LINES)
    text = (project / "project.toml").read_bytes()
    issued(store, project, pdf=small_package(inside[0] or text, inside[1] or small_results(text)))

    assert [text for text in verify(store).problems if problem in text]


def test_package_without_files_inside_is_found(tmp_path: Path) -> None:
    store = FolderStore.prepare(tmp_path / "archive")
    issued(store, write_project(tmp_path / "project", *LINES), pdf=b"%PDF-1.7\n%%EOF\n")

    assert "the package has no project.toml inside" in " ".join(verify(store).problems)


@pytest.mark.parametrize(
    ("change", "message"),
    [
        ((b"/Length ", b"/Lengkh "), "how long it is"),
        ((b"stream\nx", b"stream\ny"), "cannot be unpacked|names attached files"),
        ((b"/Type /EmbeddedFile", b"/Type /EmbeddedFils"), "names attached files that it does not hold"),
    ],
)
def test_package_that_cannot_be_read_is_said_so(change: tuple[bytes, bytes], message: str) -> None:
    with pytest.raises(DamagedArchive, match=message):
        attachment_digests(small_package(b"a = 1", b"{}").replace(*change))


def test_attachments_are_found_by_their_names() -> None:
    found = attachment_digests(small_package(b"a = 1", b"{}"))

    assert found == {
        "project.toml": sha256(b"a = 1").hexdigest(),
        "results.json": sha256(b"{}").hexdigest(),
    }


def test_attachments_that_are_not_packed_are_found_too() -> None:
    pdf = b"1 0 obj\n<</Type /EmbeddedFile/Length 3>>\nstream\r\nabc\nendstream\nendobj\n"
    pdf += b"2 0 obj\n<</Type /Filespec/F (a.txt)/UF (a.txt)/EF <</F 1 0 R>>>>\nendobj\n(/Type /EmbeddedFile)"

    assert attachment_digests(pdf) == {"a.txt": sha256(b"abc").hexdigest()}


def test_stream_that_is_cut_off_is_found() -> None:
    packed = zlib.compress(b"abc" * 1000)
    pdf = b"1 0 obj\n<</Type /EmbeddedFile/Filter /FlateDecode/Length %d>>\nstream\n" % (len(packed) - 6) + packed

    with pytest.raises(DamagedArchive, match="cut off"):
        attachment_digests(pdf)


def test_wrong_size_in_a_record_is_found(tmp_path: Path) -> None:
    store = archive_of(tmp_path, ["A"])
    path = store.root / "records" / "0000001" / "manifest.json"
    size = manifest_of(store, store.entries()[0]).file("results").size
    path.chmod(0o644)
    path.write_bytes(path.read_bytes().replace(f'"size": {size}'.encode(), b'"size": 99'))

    assert any(f"results.json has {size} bytes instead of 99" in text for text in verify(store).problems)


def test_record_without_one_of_the_files_is_found(tmp_path: Path) -> None:
    store = FolderStore.prepare(tmp_path / "archive")
    design = read_design(write_project(tmp_path / "project", *LINES))
    revision = prepared(design, store)
    del revision.files["results"]
    issue(store, revision)

    assert any("names no file with the role results" in text for text in verify(store).problems)
