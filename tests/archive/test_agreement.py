"""A record that was forged with every hash computed again contradicts what it names: no hash from outside is needed."""

import json
from collections.abc import Callable
from hashlib import sha256
from pathlib import Path
from typing import Any

import pytest

from calc.archive.record.cover_page import printed_head, printed_on_cover
from calc.archive.record.find import content_of, manifest_of
from calc.archive.record.issue import chain_words, issue
from calc.archive.record.verification import verify
from calc.archive.refusals import DamagedArchive
from calc.archive.store import index
from calc.archive.store.folder import FolderStore
from calc.inputs import read_design
from tests.archive.scenario import (
    NEW,
    Line,
    archive_of,
    issued,
    prepared,
    quick_package,
    small_package,
    small_results,
    write_project,
)

Change = Callable[[dict[str, Any]], object]


def forged(store: FolderStore, number: int, change: Change) -> None:
    """Change a record and compute again every hash that rests on it, the index included; packages stay as they are."""
    again: dict[str, str] = {}
    for sequence in store.numbers():
        path = store.root / "records" / f"{sequence:07d}" / "manifest.json"
        before = path.read_bytes()
        text = before.decode()
        for old, new in again.items():
            text = text.replace(old, new)
        data = json.loads(text)
        if sequence == number:
            change(data)
        content = (json.dumps(data, indent=1, ensure_ascii=False) + "\n").encode()
        again[sha256(before).hexdigest()] = sha256(content).hexdigest()
        path.chmod(0o644)
        path.write_bytes(content)
    (store.root / index.INDEX).unlink()
    store.rebuild()


@pytest.mark.parametrize(
    ("change", "words"),
    [
        (lambda one: one.update(outcome="pass"), 'outcome "pass", results.json "incomplete"'),
        (lambda one: one["program"].update(version="9"), 'version of the program "9", results.json'),
        (lambda one: one["program"].update(fingerprint="1" * 64), f'fingerprint of the program "{"1" * 64}", results'),
        (lambda one: one["revision"].update(words="for approval"), 'issued as "for approval", project.toml "draft"'),
        (lambda one: one["revision"].update(code="S4"), 'issued as "draft, S4", project.toml "draft"'),
        (lambda one: one["revision"].update(status="for approval"), 'status of the revision "for approval", project'),
        (lambda one: one["revision"].update(label="C"), 'label of the revision "C", project.toml "B"'),
        (lambda one: one["revision"].update(date="2024-01-01"), 'date of the revision "2024-01-01", project.toml'),
        (lambda one: one["revision"].update(note="None."), 'note of the revision "None.", project.toml "Next."'),
        (lambda one: one["revision"].update(author="X"), 'author of the revision "X", project.toml "Ida Marsh"'),
        (lambda one: one["people"]["checker"].update(name="X"), 'checker "X", project.toml "B. Okoye"'),
        (lambda one: one["people"]["approver"].update(organisation="X"), 'approver "C. Lindqvist, X", project.toml'),
        (lambda one: one["document"].update(title="X"), 'title "X", project.toml "Bank"'),
        (lambda one: one["document"].update(number="X"), 'document "X", project.toml "2025-014-GEO-C-001"'),
        (lambda one: one["document"].update(project="X"), 'project "X", project.toml "2025-014"'),
        (lambda one: one.update(printed_head="0" * 64), "the cover of package.pdf"),
        (lambda one: one.update(parent=None), "it names none as the revision before it, which is A ("),
        (lambda one: one["parent"].update(label="Z"), "it names Z ("),
    ],
)  # fmt: skip
def test_forged_record_contradicts_its_files(tmp_path: Path, change: Change, words: str) -> None:
    store = archive_of(tmp_path)
    forged(store, 2, change)

    assert any(words in text for text in verify(store).problems)


def test_forged_first_record_contradicts_the_cover_of_the_next_package(tmp_path: Path) -> None:
    """What stands in no file, such as the time of the issue, is held by the head that the next package shows."""
    store = archive_of(tmp_path)
    shown = store.entries()[0].sha256
    forged(store, 1, lambda one: one.update(issued_at="2024-01-01T00:00:00Z"))
    [problem] = verify(store).problems

    assert problem.startswith("record 2, revision B: the record says head of the chain ")
    assert problem.endswith(f'the cover of package.pdf "{shown}"')


def test_forged_last_record_is_found_only_where_a_file_says_otherwise(tmp_path: Path) -> None:
    """The limit that the guide states: for the time of the newest issue a hash from outside is needed."""
    store = archive_of(tmp_path)
    head = store.entries()[-1].sha256
    forged(store, 2, lambda one: one.update(issued_at="2024-01-01T00:00:00Z"))

    assert verify(store).problems == []
    assert any("taken away or replaced" in text for text in verify(store, head).problems)


@pytest.mark.parametrize("page", [small_package, quick_package])
def test_head_is_read_from_the_cover(tmp_path: Path, page: Callable[..., bytes]) -> None:
    """Set by the renderer of the packages, over several lines, and in the small file of the tests."""
    store = archive_of(tmp_path, ["A"])
    words = f"Archive {chain_words(store.entries())}; what changed since revision A is attached as changes.pdf"

    assert printed_head(page(b"", b"", words=words)) == store.entries()[0].sha256
    assert printed_head(page(b"", b"", words=NEW)) == "0" * 64


def test_checksum_of_the_plan_is_read_behind_the_head_alone(tmp_path: Path) -> None:
    """A note on the cover may say the words of a checksum, for a revision with a column plan or without one."""
    head = chain_words(archive_of(tmp_path, ["A"]).entries())
    said, note = f"; checksum of the column plan {'ab' * 8}", f"Note; checksum of the column plan {'0' * 16} replaced"
    pages = [quick_package(b"", b"", words=f"{note} Archive {head}{own}; attached {note}") for own in (said, "")]

    assert [printed_on_cover(page)[1] for page in pages] == ["ab" * 8, ""]


@pytest.mark.parametrize(
    ("package", "words"),
    [
        (quick_package(b"", b"", words="Archive"), "shows no head of the chain"),
        (quick_package(b"", b"", words=f"{NEW} {NEW}"), "shows more than one head of the chain"),
        (b"%PDF-1.7\n%%EOF\n", "its cover cannot be read"),
        (quick_package(b"", b"").replace(b"/Kids [3 0 R]", b"/Kids [7 0 R]"), "its cover cannot be read"),
        (quick_package(b"", b"").replace(b"/Contents 4", b"/Contents 3"), "shows no head"),
    ],
)
def test_cover_without_a_head_is_said_so(package: bytes, words: str) -> None:
    with pytest.raises(DamagedArchive, match=words):
        printed_head(package)


@pytest.mark.parametrize(
    ("results", "words"),
    [
        (b"{}", "results.json cannot be read: Field required"),
        (b"[" * 5000, "results.json cannot be read: "),
        (small_results(b"other inputs"), "the record says SHA-256 of the inputs"),
    ],
)
def test_results_of_something_else_are_found(tmp_path: Path, results: bytes, words: str) -> None:
    store = FolderStore.prepare(tmp_path / "archive")
    issued(store, write_project(tmp_path / "project", Line("A", "draft")), results=results)

    assert any(words in text for text in verify(store).problems)


def test_inputs_that_cannot_be_read_are_said_so(tmp_path: Path) -> None:
    store = FolderStore.prepare(tmp_path / "archive")
    one = prepared(read_design(write_project(tmp_path / "project", Line("A", "draft"))), store)
    one.files["inputs"] = b"[project]\nnumber = 1"
    issue(store, one)

    assert any("project.toml cannot be read: " in text for text in verify(store).problems)


def test_records_as_they_were_issued_agree_with_its_files(tmp_path: Path) -> None:
    store = archive_of(tmp_path, ["A", "B", "C"])

    assert verify(store).problems == []
    for place, entry in enumerate(store.entries()):
        package = content_of(store, manifest_of(store, entry).file("package"))
        assert printed_head(package) == ["0" * 64, *(one.sha256 for one in store.entries())][place]
