"""The record of a search of the grid: the pages made of it, a chapter of a package, and what is refused."""

import json
from collections.abc import Callable
from dataclasses import replace
from itertools import cycle
from pathlib import Path
from typing import Any

import pytest
from click.testing import CliRunner

from calc.chain import Run
from calc.cli import main
from calc.engine.sheet import Sheet
from calc.inputs import Design, InputErrors, read_design
from calc.package import package_pdf
from calc.package.study_pages import study_pages
from calc.study.size_grid import size_grid
from calc.study.size_record import SizeRecord, _printed, size_pages
from calc.study.size_sheets import charge_sheets
from calc.study.study_parts import StudyPart, read_studies
from calc.study.study_record import checksum
from tests.packages.scenario import alone
from tests.study.grids import write_grid
from tests.study.test_design_search import SMALL
from tests.study.test_study_chapter import WRONG, leaves, put, texts

Json = dict[str, Any]


class Made:
    """A project with the record and the pages that the command has written."""

    def __init__(self, folder: Path) -> None:
        write_grid(folder, *SMALL)
        done = CliRunner().invoke(main, ["size", str(folder), "--best", "2", "--jobs", "1"])
        assert done.exit_code == 6, done.output
        self.design = read_design(folder)
        self.content = (folder / "out" / "size.json").read_bytes()
        self.pages = (folder / "out" / "size.pdf").read_bytes()
        self.record: Json = json.loads(self.content)
        section = self.design.sections[0]
        self.run = Run(self.design, (alone(section, Sheet(section=section.key, key="columns", title="x").finish()),))

    def altered(self, change: Callable[[Json], object]) -> bytes:
        said = json.loads(self.content)
        change(said)
        return json.dumps({**said, "checksum": checksum(said)}).encode()

    def part(self, content: bytes, design: Design | None = None) -> StudyPart:
        [part] = read_studies({"x.json": content}, design or self.design)
        return part


@pytest.fixture(scope="module")
def made(tmp_path_factory: pytest.TempPathFactory) -> Made:
    return Made(tmp_path_factory.mktemp("size") / "p")


@pytest.mark.slow
def test_the_pages_of_the_command_are_those_of_its_record(made: Made) -> None:
    again = study_pages(made.design, size_pages(made.design, SizeRecord.model_validate_json(made.content)))

    assert again == made.pages
    assert made.record["outcome"] == "proven"
    assert set(made.record["files"]) == {"ground-data.csv"}


@pytest.mark.slow
def test_it_is_a_chapter_of_a_package(made: Made) -> None:
    chapter = made.part(made.content).chapter(made.run)
    pages = texts(package_pdf(made.run, b"{}", more=chapter.attached, appendices=[chapter.appendix]))
    at = next(k for k, page in enumerate(pages) if "A study beside the calculation" in page)

    assert chapter.appendix.title == "Search for the design of section T"
    assert [file.name for file in chapter.attached] == ["size.json"]
    said = " ".join(pages[at:])
    assert "Designs with the least cost (EUR/m²), unless a limitation named below turns a verdict:" in said
    assert "Cost of design 1, EUR/m²" in said
    assert f"size.json, attached; checksum {made.record['checksum'][:16]}" in said
    assert "Search for the design of section T" in next(page for page in pages if "Contents" in page)


@pytest.mark.slow
@pytest.mark.parametrize(
    ("change", "words"),
    [
        (lambda one: one.update(first=2), "first: must be the first design of the table, in the grid of [size], got 2"),
        (lambda one: one.update(first=0), "first: must be the first design of the table, in the grid of [size], got 0"),
        (lambda one: one["rows"][0].pop(), "must have as many cells in each row as in the head"),
        (lambda one: one["numeric"].pop(), "must have as many cells in each row as in the head"),
        (lambda one: one.update(first=None), "must have a first design where there are rows, and none without"),
        (lambda one: one["figures"][0]["curves"][0]["x"].pop(), "must have as many values along as up"),
        (lambda one: one["figures"][0]["places"].clear(), "figures.0.places: must"),
        (lambda one: one.update(files={}), "files.ground-data.csv: must be that of the file beside the project file"),
        (lambda one: one["figures"][0].update(places=[[1.0, "x"], [1.0, "y"]]), "must hold numbers that can be drawn"),
    ],
)
def test_a_record_that_says_something_else_is_refused(change: Callable[[Json], object], words: str, made: Made) -> None:
    with pytest.raises(InputErrors) as errors:
        made.part(made.altered(change)).chapter(made.run)

    assert words in str(errors.value)


@pytest.mark.slow
def test_a_search_without_a_design_says_so_in_the_contents(made: Made) -> None:
    nothing = made.altered(lambda one: one.update(outcome="no design", first=None, rows=[]))

    chapter = made.part(nothing).chapter(made.run)

    assert chapter.appendix.title == "Search for the design of section T – no design"
    assert "Cost of design 1" not in chapter.appendix.body


@pytest.mark.slow
def test_a_project_without_a_grid_has_no_search(made: Made) -> None:
    part = made.part(made.content, replace(made.design, size=None))

    with pytest.raises(InputErrors, match=r"study: must be of a project file with a table \[size\]"):
        part.chapter(made.run)


@pytest.mark.slow
def test_whatever_is_changed_in_it_it_is_laid_out_or_refused(made: Made) -> None:
    """Each place takes some of the values in turn; the checksum is made to fit."""
    wrong, ends = cycle(WRONG), {"refused": 0, "laid out": 0}
    for place in leaves(made.record):
        for _ in range(2):
            changed = put(json.loads(made.content), place, next(wrong))
            content = json.dumps({**changed, "checksum": checksum(changed)}).encode()
            try:
                for part in read_studies({"x": content}, made.design):
                    part.chapter(made.run)
                ends["laid out"] += 1
            except InputErrors:
                ends["refused"] += 1

    assert ends["refused"] > 50
    assert ends["laid out"] > 5


def test_settlement_alone_takes_no_sheet_of_charges(made: Made) -> None:
    grid = size_grid(made.design)
    settled = replace(grid, size=grid.size.model_copy(update={"objective": ("settlement",)}))

    assert charge_sheets(settled, 0) == []


def test_what_the_fonts_lack_is_a_dash() -> None:
    assert _printed(["a\N{REPLACEMENT CHARACTER}b", "\N{CJK UNIFIED IDEOGRAPH-6E80}"]) == [
        "a\N{REPLACEMENT CHARACTER}b",
        "–",
    ]
