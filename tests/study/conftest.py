import sys
from collections.abc import Callable, Mapping
from pathlib import Path
from typing import Any

import pytest

from calc.engine.sheet import Sheet
from calc.inputs import Design, Section, read_design
from calc.inputs.reading.starter import starter_project
from calc.study import conditions, shortest
from calc.study.chapters import chapters

ROOT = Path(__file__).parents[2]
_CHAPTERS: dict[Any, Any] = {}


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
