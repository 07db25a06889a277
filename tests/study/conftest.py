import sys
from collections.abc import Callable, Mapping
from pathlib import Path
from typing import Any

import pytest

from calc.chain import Run
from calc.engine.sheet import Sheet
from calc.inputs import Design, Section, read_design
from calc.inputs.reading.starter import starter_project
from calc.study import conditions, screened_base, shortest
from calc.study.chapters import chapters
from calc.study.size_grid import Grid

ROOT = Path(__file__).parents[2]
_CHAPTERS: dict[Any, Any] = {}
_RUNS: dict[tuple[str, str], tuple[Run, Design]] = {}


@pytest.fixture(autouse=True)
def chapters_once(monkeypatch: pytest.MonkeyPatch) -> None:
    """The chapters that a search begins with, of the same design once in a test process: it only reads them."""

    def once(design: Design, section: Section, *, until: str, done: Mapping[str, Sheet] | None = None) -> Any:
        if until == "unit_cell":  # of dates that are tried once
            return chapters(design, section, until=until, done=done)
        key = (sys.gettrace() is not None, id(design), id(section), until, tuple(map(id, (done or {}).values())))
        if key not in _CHAPTERS:
            # Kept with what it was made of, so that no other object takes its identity.
            _CHAPTERS[key] = (design, section, done), chapters(design, section, until=until, done=done)
        return dict(_CHAPTERS[key][1])

    for module in (conditions, shortest):
        monkeypatch.setattr(module, "chapters", once)


@pytest.fixture(autouse=True)
def runs_once(monkeypatch: pytest.MonkeyPatch) -> None:
    """The runs at the ends of a grid, of the same text once in a test process: replays and probes only read them.

    All grids of these tests have the same data beside their project file.
    """
    run_of = screened_base.run_of

    def once(grid: Grid, number: int) -> tuple[Run, Design]:
        key = (grid.run_text(number), grid.section.key)
        if key not in _RUNS:
            _RUNS[key] = run_of(grid, number)
        return _RUNS[key]

    monkeypatch.setattr(screened_base, "run_of", once)


@pytest.fixture
def marsh() -> Design:
    """The three-section example."""
    return read_design(ROOT / "projects" / "marsh-approach")


@pytest.fixture
def read(tmp_path: Path) -> Callable[[str], Design]:
    """Read a project file from its text."""

    def read(text: str) -> Design:
        (tmp_path / "project.toml").write_text(text, encoding="utf-8", newline="")
        return read_design(tmp_path)

    return read


@pytest.fixture
def starter() -> str:
    """The text of the starter project."""
    return starter_project("Bank")
