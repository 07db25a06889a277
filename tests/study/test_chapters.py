"""A part of the chain gives the sheets of the whole one, and its errors."""

from dataclasses import replace

import pytest

from calc.chain import CHAPTERS, CalculationError, run_section
from calc.study import chapters as part
from calc.study.chapters import chapters
from tests.study.bank import design_of, done_of


def test_sheets_are_those_of_the_whole_run() -> None:
    design = design_of()
    whole = run_section(design, design.sections[0]).sheets

    assert [sheet.key for sheet in done_of().values()] == [sheet.key for sheet in whole][: len(done_of())]
    for sheet in whole[: len(done_of())]:
        assert [verdict.utilisation for verdict in done_of()[sheet.key].verdicts] == [
            verdict.utilisation for verdict in sheet.verdicts
        ]
        assert done_of()[sheet.key].title == sheet.title


def test_what_is_done_is_not_done_again() -> None:
    design = design_of()
    again = chapters(design, design.sections[0], until="bearing", done=done_of())

    assert all(again[key] is sheet for key, sheet in done_of().items())
    assert list(again) == [*done_of(), "bearing"]


def test_chapter_without_a_solution_is_named(monkeypatch: pytest.MonkeyPatch) -> None:
    def fails(*_arguments: object) -> None:
        message = "no root"
        raise ArithmeticError(message)

    broken = [replace(chapter, check=fails) if chapter.key == "ground" else chapter for chapter in CHAPTERS]  # type: ignore[arg-type]
    monkeypatch.setattr(part, "CHAPTERS", broken)

    with pytest.raises(CalculationError, match="section A, Ground: no root"):
        chapters(design_of(), design_of().sections[0], until="unit_cell")
