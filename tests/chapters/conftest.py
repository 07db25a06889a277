"""Runs of the small test project with some of its values changed."""

from collections.abc import Callable
from pathlib import Path
from typing import Any

import pytest
import tomlkit

from calc.chain import Run, SectionRun, run_checks
from calc.engine.sheet import Sheet
from calc.inputs import read_design
from tests.chapters.timed import BASE, first_chapters

Change = Callable[[Any], None]
RunWith = Callable[..., SectionRun]


@pytest.fixture
def run_project(tmp_path: Path) -> Callable[..., Run]:
    """Run the test project after a change of its parsed document."""

    def run(change: Change | None = None) -> Run:
        document = tomlkit.parse(BASE.read_text(encoding="utf-8"))
        if change:
            change(document)
        (tmp_path / "project.toml").write_text(tomlkit.dumps(document), encoding="utf-8")
        return run_checks(read_design(tmp_path))

    return run


@pytest.fixture
def chapters(run_project: Callable[..., Run]) -> Callable[..., dict[str, Sheet]]:
    """The chapters of the first section by key."""

    def run(change: Change | None = None) -> dict[str, Sheet]:
        return {sheet.key: sheet for sheet in run_project(change).sections[0].sheets}

    return run


@pytest.fixture
def first(tmp_path: Path) -> Callable[..., dict[str, Sheet]]:
    """The chapters of the first section up to that on consolidation, which is quicker than all of them."""
    return first_chapters(tmp_path)
