"""The whole way: page, marks in the browser, review file, taken in, next revision, next page."""

from pathlib import Path

import pytest
from click.testing import CliRunner

from calc.cli import main
from tests.browser.chromium import Page
from tests.browser.test_review_page import counts, fresh, message
from tests.review.scenario import case_of, write_project


def command(*arguments: object) -> tuple[int, str]:
    done = CliRunner().invoke(main, [str(argument) for argument in arguments])
    return done.exit_code, done.output


@pytest.mark.slow
def test_review_goes_round(page: Page, tmp_path: Path) -> None:
    project = write_project(tmp_path / "project")
    assert command("review", project)[0] == 0
    fresh(page, project / "out" / "review.html")
    page.press("i")
    page.type("EQ")
    page.press("Escape", "a", "j", "q")
    page.type("Which table?")
    page.press("Escape", "j", "a", "s")
    file = page.downloaded()
    code, text = command("review", project, "--take", file)

    assert code == 0
    assert "by Edda Quill is taken in: 2 agreed, 1 queries. Comments: raised 1, continued none, closed none." in text
    assert command("review", project, "--answer", 1, "Table A.3.")[0] == 0

    # The load at its source changes with the next revision, which the first and third lines do not rest on.
    write_project(project, "A", "B", change=('settlement_total = "0.60 m"', 'settlement_total = "0.70 m"'))
    assert command("review", project, "--take", file)[0] == 4
    assert command("review", project)[0] == 0
    fresh(page, project / "out" / "review.html")
    stamps = page.run("[...document.querySelectorAll('.stamp')].slice(0, 3).map((one) => one.textContent)")
    told = page.run("document.querySelector('[id=\"n1.2\"] .comment').textContent")

    assert counts(page).startswith("2 of ")
    assert [text.split(" · ")[0] for text in stamps] == ["agreed", "query", "agreed"]
    assert all(text.endswith("revision A") for text in stamps)
    assert "Which table?" in told
    assert "Table A.3." in told

    page.press("i")
    page.type("EQ")
    page.press("Escape", "j", "a", "s")
    page.wait("document.getElementById('message').textContent.startsWith('Saved as')")
    assert message(page) == "Saved as review-2025-031-GEO-C-002-B.json."
    file.unlink()
    assert "closed 1." in command("review", project, "--take", page.downloaded())[1]
    assert case_of(project).standing().unsettled == []
