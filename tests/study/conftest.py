from collections.abc import Callable
from pathlib import Path

import pytest

from calc.inputs import Design, read_design
from calc.inputs.reading.starter import starter_project

ROOT = Path(__file__).parents[2]


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
