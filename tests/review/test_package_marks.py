"""The package prints what the checker said: marks beside the lines, comments with what became of them."""

import re
from dataclasses import replace
from pathlib import Path

import pytest

from calc.numbering import own_key
from calc.package import package_pdf
from calc.package.results import results_text
from calc.review.comments import with_answers
from calc.review.facts import facts
from calc.review.ledger import read_ledger
from calc.review.refused import RefusedFile
from calc.review.standing_printed import checked_run, marks_for_pages, review_text
from tests.packages.columns import rows_of
from tests.packages.reading import page_texts, text_span
from tests.review.scenario import HOSTILE, Case, case_of, write_project


def first_chapters(case: Case) -> Case:
    """The same run without its later chapters, because setting pages takes seconds."""
    [section] = case.run.sections
    run = replace(case.run, sections=(replace(section, sheets=section.sheets[:3]),))
    return Case(case.folder, run, facts(run))


def pages(case: Case) -> tuple[bytes, str]:
    pdf = package_pdf(case.run, results_text(case.run).encode(), checked=checked_run(case.folder, case.run))
    return pdf, "\n".join(page_texts(pdf))


def test_nothing_is_printed_where_nobody_has_reviewed(case: Case) -> None:
    assert checked_run(case.folder, case.run) is None
    assert review_text(case.folder, case.run.design) == b""
    (case.folder / "review").mkdir()
    assert checked_run(case.folder, case.run) is None
    assert review_text(case.folder, case.run.design) == b""
    case.take(case.entry(0, "none"))
    assert checked_run(case.folder, case.run) is None


def test_marks_are_those_of_the_checker(case: Case) -> None:
    case.take(case.entry(0), case.entry(1, "query", "Why?"), case.entry(2, "agreed", "A remark."))
    found = marks_for_pages(case.standing())

    assert found is not None
    assert [(mark.sign, mark.initials, mark.date, mark.revision, mark.comments) for mark in found.marks.values()] == [
        ("✓", "EQ", "2025-05-20", "", ()), ("?", "EQ", "2025-05-20", "", (1,)), ("✓", "EQ", "2025-05-20", "", (2,)),
    ]  # fmt: skip
    assert found.summary.startswith(f"2 of {len(case.known.steps)} lines agreed, 1 queried, 0 to be checked again, ")
    assert found.summary.endswith("queries that the checker has not closed: 1. Marked by Edda Quill (EQ) 3.")
    assert (found.chapters[0].agreed, found.chapters[0].queries) == (2, 1)


def test_step_changed_since_its_check_asks_to_be_checked_again(case: Case) -> None:
    case.take(*(case.entry(index) for index in range(len(case.known.steps))))
    change = ('settlement_total = "0.60 m"', 'settlement_total = "0.70 m"')
    after = case_of(write_project(case.folder, "A", "B", change=change))
    found = marks_for_pages(after.standing())

    assert found is not None
    signs = {key: mark.sign for key, mark in found.marks.items()}
    assert {key for key, sign in signs.items() if sign == "↻"} == set(after.standing().changed)
    assert {mark.revision for mark in found.marks.values() if mark.sign == "✓"} == {"A"}


@pytest.mark.slow
def test_package_prints_marks_and_comments_as_text(case: Case) -> None:
    long = HOSTILE + "x" * (10_000 - len(HOSTILE) - 4) + "end."
    case = first_chapters(case)
    case.take(
        *(case.entry(index) for index in range(30)), case.entry(30, "query", "Why?"), case.entry(31, "query", long)
    )
    ledger = read_ledger(case.folder, case.run.design)
    ledger.write(with_answers(ledger, case.run.design.people, {1: "Because."}, [1], "2025-06-01"))
    pdf, text = pages(case)
    squeezed = re.sub(r"\s", "", text)

    assert len(re.findall(r"✓ EQ", text)) > 20
    assert "?2" in text
    assert "Comment 1 · query · closed" in text
    assert "designer Dilan Achterberg, 2025-06-01, revision A: Because." in text
    assert "</script><script>alert(1)</script>{{7*7}}{%include'/etc/passwd'%}../../../etc/passwd" in squeezed
    assert squeezed.count("x" * 2000) >= 1
    assert "end." in text
    assert not re.search("[\x00-\x08\x0b-\x1f\u202e]", text.replace("\r", "").replace("\x0c", ""))
    lines = [step for sheet in case.run.sections[0].sheets for step in sheet.page.lines]
    assert {row.number for row in rows_of(case.run, pdf)} == {case.run.numbers[own_key(step.key)] for step in lines}
    assert text_span(pdf)[1] < 203.5


def _marked(case: Case):  # type: ignore[no-untyped-def]  # noqa: ANN202
    case.take(case.entry(0))
    return case.standing()


def test_damaged_review_ends_the_package_command(case: Case, tmp_path: Path) -> None:
    from click.testing import CliRunner

    from calc.cli import main

    case.take(case.entry(0))
    (case.folder / "review" / "A.json").write_text("{}")
    with pytest.raises(RefusedFile, match="must be given"):
        checked_run(case.folder, case.run)
    result = CliRunner().invoke(main, ["package", str(case.folder), "--out", str(tmp_path / "out")])

    assert result.exit_code == 3
    assert "A.json: format: must be given" in result.stderr
    assert not (tmp_path / "out").exists()
