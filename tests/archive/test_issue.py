import re
import shutil
from collections.abc import Sequence
from dataclasses import replace
from pathlib import Path
from types import SimpleNamespace
from typing import Any, cast

import pytest

from calc.archive.record import issue as issuing
from calc.archive.record.attachments import attachment_digests
from calc.archive.record.find import content_of, manifest_of
from calc.archive.record.issue import check_before, issue, prepare
from calc.archive.record.issue_rules import status_to_issue
from calc.archive.record.program import installed_versions
from calc.archive.record.verify import verify
from calc.archive.refusals import ChainMoved, FailingIssue, RefusedIssue
from calc.archive.store.addresses import existing_archive
from calc.archive.store.contract import head
from calc.archive.store.folder import FolderStore
from calc.chain import Run, run_checks
from calc.inputs import read_design
from calc.package.render import Attached
from tests.archive.scenario import Line, contents, issued, prepared, small_package, write_project
from tests.packages.reading import page_texts


def test_record_says_what_was_issued_by_whom_with_what(tmp_path: Path) -> None:
    store = FolderStore.prepare(tmp_path / "archive")
    first = issued(store, write_project(tmp_path, Line("A", "draft (S0)", "First.")))
    second = issued(store, write_project(tmp_path, Line("A", "draft (S0)", "First."), Line("B", "for comment")))
    record, design = manifest_of(store, second), read_design(tmp_path)

    assert (record.sequence, record.previous, record.printed_head) == (2, first.sha256, first.sha256)
    assert record.parent is not None
    assert (record.parent.label, record.parent.sha256) == ("A", first.sha256)
    assert (record.revision.words, record.revision.code) == ("for comment", None)
    assert manifest_of(store, first).revision.code == "S0"
    assert record.people.checker.name == design.people.checker.name
    assert content_of(store, record.file("inputs")) == design.text
    assert record.program.dependencies["numpy"] == installed_versions("sandsleeve")["numpy"]
    assert (record.outcome, record.document.number) == ("incomplete", design.project.document)
    assert [entry.label for entry in store.entries()] == ["A", "B"]


@pytest.mark.parametrize(
    ("change", "words"), [(("", ""), "with these inputs"), (('"Bank"', '"Banks"'), "with other inputs; a change needs")]
)
def test_label_is_issued_once(tmp_path: Path, change: tuple[str, str], words: str) -> None:
    store = FolderStore.prepare(tmp_path / "archive")
    issued(store, write_project(tmp_path, Line("A", "draft")))
    before = contents(store.root)
    write_project(tmp_path, Line("a" if change[0] else "A", "draft"), change=change)

    with pytest.raises(RefusedIssue, match=words) as refused:
        issued(store, tmp_path)

    assert re.match(r".*project\.toml:\d+:\d+: project\.revision\[1\]\.label: must ", str(refused.value))
    assert contents(store.root) == before


@pytest.mark.parametrize(
    ("first", "field", "must"),
    [
        (Line("A", "for comment"), "status", "stay as issued"),
        (Line("A", "draft", note="Other."), "note", "stay as issued"),
        (Line("A", "draft", day="2025-01-31"), "date", "stay as issued"),
        (Line("A", "draft", author="Ben Ford"), "author", "stay as issued"),
        (Line("Z", "draft"), "label", 'keep the line of revision "A"'),
    ],
)
def test_issued_line_of_the_revision_record_stays(tmp_path: Path, first: Line, field: str, must: str) -> None:
    store = FolderStore.prepare(tmp_path / "archive")
    issued(store, write_project(tmp_path, Line("A", "draft")))

    with pytest.raises(RefusedIssue, match=rf"\.{field}: must {must}"):
        issued(store, write_project(tmp_path, first, Line("B", "for comment")))


@pytest.mark.parametrize(
    ("statuses", "must"),
    [
        (["final"], r"must be one of .*with or without a code"),
        (["issued for construction"], "at first, got 'issued for construction'"),
        (["draft", "for approval"], 'after revision A "draft"'),
        (["draft", "withdrawn", "issued for construction"], 'after revision B "withdrawn"'),
        (["for approval", "issued for construction", "superseded", "draft"], "which ends the document"),
    ],
)
def test_status_follows_the_one_before(tmp_path: Path, statuses: list[str], must: str) -> None:
    store = FolderStore.prepare(tmp_path / "archive")
    lines = [Line(label, status) for label, status in zip("ABCD", statuses, strict=False)]
    for count in range(1, len(lines)):
        issued(store, write_project(tmp_path, *lines[:count]))

    with pytest.raises(RefusedIssue, match=must):
        issued(store, write_project(tmp_path, *lines))

    assert len(store.entries()) == len(lines) - 1


def test_documents_of_one_archive_do_not_disturb_each_other(tmp_path: Path) -> None:
    store = FolderStore.prepare(tmp_path / "shared")
    one = write_project(tmp_path / "one", Line("A", "draft"))
    two = write_project(tmp_path / "two", Line("A", "for approval"), change=("-GEO-", "-EXT-"))
    entries = [issued(store, one), issued(store, two)]

    assert [entry.label for entry in entries] == ["A", "A"]
    assert manifest_of(store, entries[1]).parent is None


def test_failing_calculation_is_not_issued_for_construction(tmp_path: Path) -> None:
    store = FolderStore.prepare(tmp_path / "archive")
    issued(store, write_project(tmp_path, Line("A", "for approval")))
    design = read_design(write_project(tmp_path, Line("A", "for approval"), Line("B", "issued for construction")))
    run = cast("Run", SimpleNamespace(design=design, outcome="fail"))

    with pytest.raises(FailingIssue, match="is not issued for construction"):
        prepare(store, run, lambda _text: None)


def test_package_shows_the_head_of_the_chain_before_it(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    shown: list[str] = []

    def page(
        run: Run,
        results: bytes,
        _tell: Any,
        archive: str,
        inside: Sequence[Attached],
        _checked: object,
        **_more: object,
    ) -> bytes:
        shown.append(archive)
        return small_package(run.design.text, results, inside, f"Archive {archive}")

    monkeypatch.setattr(issuing, "package_pdf", page)
    store = FolderStore.prepare(tmp_path / "archive")
    run = run_checks(read_design(write_project(tmp_path, Line("A", "draft"))))
    first = issue(store, prepare(store, run, lambda _text: None))
    design = read_design(write_project(tmp_path, Line("A", "draft"), Line("B", "draft")))
    later = prepare(store, replace(run, design=design), lambda _text: None)
    second = manifest_of(store, issue(store, later))

    assert shown[0] == "first record of its archive"
    assert shown[1] == (
        f"head of the chain before this issue: record 1, SHA-256 {first.sha256}; "
        "what changed since revision A is attached as changes.pdf"
    )
    assert later.printed_head == first.sha256
    assert content_of(store, second.file("changes")) == later.files["changes"]
    assert attachment_digests(later.files["package"])["changes.pdf"] == second.file("changes").sha256
    assert verify(store).problems == []


def test_change_sheet_of_a_later_revision_names_both(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr(issuing, "package_pdf", lambda *_more, **_means: b"%PDF")
    store = FolderStore.prepare(tmp_path / "archive")
    lines = [Line("A", "draft"), Line("B", "for checking", "Closer.")]
    first = issue(store, prepare(store, run_of(write_project(tmp_path, *lines[:1])), lambda _text: None))
    closer = write_project(tmp_path, *lines, change=('spacing = "1.90 m"', 'spacing = "1.80 m"'))
    later = prepare(store, run_of(closer), lambda _text: None)
    (tmp_path / "changes.pdf").write_bytes(later.files["changes"])
    text = " ".join(" ".join(page_texts(tmp_path / "changes.pdf")).split())

    for words in ("Changes from revision A to B", first.sha256[:12], "this issue", "Closer.", "1.90 m", "1.80 m"):
        assert words in text


def test_package_without_the_change_sheet_inside_is_found(tmp_path: Path) -> None:
    store = FolderStore.prepare(tmp_path / "archive")
    one = prepared(read_design(write_project(tmp_path, Line("A", "draft"))), store)
    issue(store, replace(one, files=one.files | {"changes": b"%PDF"}))

    assert any("the package has no changes.pdf inside" in text for text in verify(store).problems)


def run_of(project: Path) -> Run:
    return run_checks(read_design(project))


def test_what_the_archive_refuses_is_refused_before_the_checks_run(tmp_path: Path) -> None:
    design = read_design(write_project(tmp_path, Line("A", "draft")))
    check_before(existing_archive(tmp_path / "archive"), design)
    assert not (tmp_path / "archive").exists()
    store = FolderStore.prepare(tmp_path / "archive")
    issue(store, prepared(design, store))

    with pytest.raises(RefusedIssue, match="not issued yet"):
        check_before(existing_archive(tmp_path / "archive"), design)


def test_revision_issued_meanwhile_is_in_the_chain_before_this_one(tmp_path: Path) -> None:
    """Pages take a minute: what another project issued since is the record before, and the head shown an older one."""
    store = FolderStore.prepare(tmp_path / "shared")
    slow = prepared(read_design(write_project(tmp_path / "slow", Line("A", "draft"))), store)
    quick = issued(store, write_project(tmp_path / "quick", Line("A", "draft"), change=("-GEO-", "-EXT-")))
    record = manifest_of(store, issue(store, slow))

    assert record.previous == quick.sha256 == head(store.entries()[:1])
    assert record.printed_head == "0" * 64


def test_head_that_has_left_the_chain_is_refused_inside_the_lock(tmp_path: Path) -> None:
    """Another archive was put in its place while the pages were set: the cover would show a hash of nothing."""
    store = FolderStore.prepare(tmp_path / "archive")
    issued(store, write_project(tmp_path / "quick", Line("A", "draft"), change=("-GEO-", "-EXT-")))
    slow = prepared(read_design(write_project(tmp_path / "slow", Line("A", "draft"))), store)
    shutil.rmtree(store.root)
    other = FolderStore.prepare(tmp_path / "archive")

    with pytest.raises(
        ChainMoved, match=f"shows the head {slow.printed_head[:12]}, which is not in the chain any more"
    ):
        issue(other, slow)
    assert other.entries() == []


def test_document_issued_meanwhile_is_refused_inside_the_lock(tmp_path: Path) -> None:
    """The change sheet inside the package compares with a revision that is no longer the one before."""
    store = FolderStore.prepare(tmp_path / "archive")
    lines = [Line("A", "draft"), Line("B", "draft"), Line("C", "draft")]
    issued(store, write_project(tmp_path, *lines[:1]))
    slow = prepared(read_design(write_project(tmp_path, *lines)), store)
    issued(store, write_project(tmp_path, *lines[:2]))

    with pytest.raises(ChainMoved, match="revision B of this document was issued while the pages were set"):
        issue(store, slow)
    assert [entry.label for entry in store.entries()] == ["A", "B"]


def test_every_revision_of_the_example_projects_has_a_status_that_can_be_issued() -> None:
    for project in sorted((Path(__file__).parents[2] / "projects").glob("*/project.toml")):
        assert status_to_issue(read_design(project.parent), []).words


def test_versions_of_a_package_that_is_not_installed_are_unknown() -> None:
    assert installed_versions("no-such-package-here") == {}
