"""The chain of chapters: what is open, lines with numbers, what governs."""

from collections.abc import Callable
from typing import Any

from calc.chain import CHAPTERS, Run
from calc.engine.sheet import Sheet
from tests.chapters.settled import firm, state

Chapters = Callable[..., dict[str, Sheet]]


def test_chapters_not_built_are_not_verified_in_words(run_project: Callable[..., Run]) -> None:
    run = run_project(firm)
    open_chapters = [chapter for chapter in CHAPTERS if chapter.check is None]

    for chapter in open_chapters:
        sheet = next(sheet for sheet in run.sections[0].sheets if sheet.key == chapter.key)
        assert [verdict.state for verdict in sheet.verdicts] == ["not verified"]
        assert chapter.settles in sheet.verdicts[0].note
    assert run.outcome == "incomplete"


def test_every_line_has_its_own_number(run_project: Callable[..., Run]) -> None:
    numbers = run_project().numbers

    assert len(set(numbers.values())) == len(numbers)
    assert numbers["sleeve/-/F_Rd"].startswith("5.")


def test_run_without_any_rated_verdict_has_no_governing_one(run_project: Callable[..., Run]) -> None:
    part = run_project().sections[0]
    basis_only = Run(run_project().design, (type(part)(part.section, part.sheets[:2]),))

    assert basis_only.governing is None


def test_stress_ratio_of_the_cell_below_the_one_for_stability_leaves_the_ground_open(chapters: Chapters) -> None:
    def slack(document: Any) -> None:
        document["sleeve"]["oversize"] = "30 mm"
        document["stage"][0]["n_stability"] = 4

    [why] = [verdict.note for verdict in chapters(slack)["bearing"].verdicts if verdict.key == "soft_bearing"]
    assert "exceeds the smallest one of the unit cell in “First lift” (4" in why


def test_residual_settlement_asked_for_stays_open(chapters: Chapters) -> None:
    def asked(document: Any) -> None:
        document["basis"]["limits"]["settlement_residual"] = "0.10 m"

    assert state(chapters(asked)["consolidation"], "settlement_residual") == "not verified"
