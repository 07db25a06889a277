"""A project file that is right, to be made wrong in one place."""

from collections.abc import Callable
from pathlib import Path

import pytest

from calc.inputs import Design, InputErrors, read_design
from calc.inputs.reading.starter import starter_project

Change = tuple[str, str]


@pytest.fixture
def read(tmp_path: Path) -> Callable[..., Design]:
    """Read the starter project after changes, each the replacement of a text that is there."""

    def read_changed(*changes: Change) -> Design:
        text = starter_project("Test")
        for old, new in changes:
            assert old in text, old
            text = text.replace(old, new, 1)
        (tmp_path / "project.toml").write_text(text, encoding="utf-8")
        return read_design(tmp_path)

    return read_changed


@pytest.fixture
def refused(read: Callable[..., Design], tmp_path: Path) -> Callable[..., list[str]]:
    """Give the lines of the refusal of the changed starter project, without the folder."""

    def lines(*changes: Change) -> list[str]:
        with pytest.raises(InputErrors) as caught:
            read(*changes)
        return str(caught.value).replace(f"{tmp_path}/", "").splitlines()

    return lines


@pytest.fixture
def line_of(tmp_path: Path) -> Callable[[str], int]:
    """Give the number of the first line that begins with a text, or holds it."""

    def number(part: str) -> int:
        lines = (tmp_path / "project.toml").read_text(encoding="utf-8").splitlines()
        begun = [index for index, line in enumerate(lines, start=1) if line.startswith(part)]
        return begun[0] if begun else next(index for index, line in enumerate(lines, start=1) if part in line)

    return number
