"""Nothing is issued for approval without a check category, or while a query is open."""

import json
from pathlib import Path

import pytest
from click.testing import CliRunner, Result

from calc.archive.record.attachments import attachment_digests
from calc.archive.record.issue_rules import status_to_issue
from calc.archive.refusals import OpenQueries, RefusedIssue
from calc.cli import main
from calc.inputs import read_design
from calc.package.attached import Document
from calc.package.pages import Pages
from calc.review.comments import with_answers
from calc.review.ledger import read_ledger
from tests.archive.scenario import page_with
from tests.review.scenario import Case, case_of, contents, write_project

CLASS = 'consequence_class = "CC2"'


def with_status(folder: Path, status: str, category: str = "check_category = 1\n") -> Case:
    write_project(folder, change=(CLASS, category + CLASS))
    path = folder / "project.toml"
    path.write_text(path.read_text(encoding="utf-8").replace('"for checking"', f'"{status}"'), encoding="utf-8")
    return case_of(folder)


def cover_alone(pages: Pages, _tell: object) -> list[Document]:
    """A page with what verifying reads of a cover, because setting pages takes its time."""
    return [Document(page_with(f"Archive {pages.archive}"))]


def issue(case: Case, *more: str) -> Result:
    return CliRunner().invoke(main, ["issue", str(case.folder), *more])


def test_open_query_blocks_for_approval(tmp_path: Path) -> None:
    case = with_status(tmp_path, "for approval")
    case.take(case.entry(0), case.entry(1, "query", "Why?"), case.entry(2, "query", "And this?"))
    ledger = read_ledger(case.folder, case.run.design)
    ledger.write(with_answers(ledger, case.run.design.people, {2: "Because."}, [], "2025-06-01"))
    before = contents(tmp_path)
    result = issue(case)

    assert result.exit_code == 2
    assert result.stderr == (
        'Error: not "for approval" while queries of the checker are not closed: comment 1 (open, T 1.2), '
        "2 (answered, T 1.3)\n"
    )
    assert contents(tmp_path) == before


@pytest.mark.parametrize("status", ["for approval", "S4", "S5"])
def test_closed_queries_and_remarks_block_nothing(tmp_path: Path, status: str) -> None:
    case = with_status(tmp_path, status)
    case.take(case.entry(0, "query", "Why?"), case.entry(1, "agreed", "A remark."))
    with pytest.raises(OpenQueries, match=r"comment 1 \(open, T 1\.1\)"):
        status_to_issue(case.run.design, [])
    case.take(case.entry(0, "agreed"))

    assert status_to_issue(case.run.design, []).words == "for approval"


def test_open_query_does_not_block_work_in_progress(tmp_path: Path) -> None:
    case = with_status(tmp_path, "for checking")
    case.take(case.entry(0, "query", "Why?"))

    assert status_to_issue(case.run.design, []).words == "for checking"


def test_check_category_is_mandatory_for_approval(tmp_path: Path) -> None:
    case = with_status(tmp_path, "for approval", category="")

    with pytest.raises(
        RefusedIssue, match=r'project\.toml:\d+:\d+: basis\.check_category: must be given for the status "for approval"'
    ):
        status_to_issue(case.run.design, [])
    assert issue(case).exit_code == 3
    assert status_to_issue(read_design(write_project(tmp_path / "b")), []).words == "for checking"


def test_damaged_review_is_no_internal_error(tmp_path: Path) -> None:
    case = with_status(tmp_path, "for approval")
    case.take(case.entry(0))
    (tmp_path / "review" / "A.json").write_text("[]")
    result = issue(case)

    assert result.exit_code == 3
    assert "A.json" in result.stderr


def test_issued_revision_holds_its_review(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr("calc.package.Pages.pieces", cover_alone)
    case = with_status(tmp_path, "for checking")
    case.take(case.entry(0), case.entry(1, "agreed", "A remark."))
    result = issue(case)
    exported = CliRunner().invoke(main, ["archive", "export", str(tmp_path), "A", "--out", str(tmp_path / "files")])
    review = (tmp_path / "files" / "review.json").read_bytes()
    verified = CliRunner().invoke(main, ["archive", "verify", str(tmp_path)])

    assert result.exit_code == 1, result.output
    assert (exported.exit_code, verified.exit_code) == (0, 0)
    assert [one["revision"] for one in json.loads(review)["reviews"]] == ["A"]
    assert json.loads(review)["own_values"] is None
    assert "review.json" in attachment_digests((tmp_path / "files" / "package.pdf").read_bytes())


def test_review_that_was_issued_does_not_go_away(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    """Moved away with its open query, or without what was said last, it keeps the next revision from being issued."""
    monkeypatch.setattr("calc.package.Pages.pieces", cover_alone)
    case = with_status(tmp_path, "for checking")
    case.take(case.entry(0, "query", "Why?"))
    assert issue(case).exit_code == 1
    after = case_of(write_project(tmp_path, "A", "B"))
    assert issue(after).exit_code == 1

    (tmp_path / "review").rename(tmp_path / "elsewhere")
    again = case_of(write_project(tmp_path, "A", "B", "C"))
    refused = issue(again)

    assert refused.exit_code == 2
    assert 'the review of revision "A" is not what was issued with revision "B": bring it back' in refused.stderr


def test_open_verdicts_are_not_issued_for_approval(tmp_path: Path) -> None:
    """Trial design of a weak sleeve: it fails, and leaves required questions open beside that."""
    case = with_status(tmp_path, "for approval")
    refused = issue(case)

    assert refused.exit_code == 6
    assert '\nError: not "for approval" while something required is not verified: T ' in refused.stderr
    assert not (tmp_path / "archive" / "records" / "0000001").exists()
