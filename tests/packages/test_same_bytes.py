"""The same run gives the same package whichever process makes it, when and where."""

import hashlib
from pathlib import Path

import pytest

from calc.chain import run_checks
from calc.inputs import read_design
from calc.package.pages import Pages
from tests.packages.conftest import Made, by_another_process, text_of_another_process
from tests.packages.scenario import write_project


@pytest.mark.slow
def test_another_process_on_another_day_gives_the_same_bytes(
    few_chapters: Made, tmp_path_factory: pytest.TempPathFactory
) -> None:
    ours, other = few_chapters.files, by_another_process(tmp_path_factory)

    for file, again in ((ours.pdf, other.files.pdf), (ours.results, other.files.results)):
        assert hashlib.sha256(again.read_bytes()).hexdigest() == hashlib.sha256(file.read_bytes()).hexdigest()


@pytest.mark.slow
def test_another_process_sets_all_pages_from_the_same_text(tmp_path: Path) -> None:
    """Of every chapter: what the pages are is a function of their text, as the bytes of few chapters show."""
    project = write_project(tmp_path)
    pieces = Pages(run_checks(read_design(project))).pieces(lambda _text: None)

    assert text_of_another_process(project).splitlines() == "\n".join(piece.html for piece in pieces).splitlines()
