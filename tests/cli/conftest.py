from collections.abc import Callable
from pathlib import Path
from types import SimpleNamespace
from typing import Any, cast

import pytest
from click.testing import CliRunner, Result

from calc.chain import Run, SectionRun
from calc.cli import main
from calc.engine.sheet import Sheet, Verdict
from calc.inputs import Design, Section
from calc.inputs.reading.starter import starter_project


@pytest.fixture
def command() -> Callable[..., Result]:
    """Run a command in this process and give its result."""

    def run(*arguments: object) -> Result:
        return CliRunner().invoke(main, [str(argument) for argument in arguments])

    return run


@pytest.fixture
def project(tmp_path: Path) -> Path:
    """A folder with the starter project."""
    folder = tmp_path / "bank"
    folder.mkdir()
    (folder / "project.toml").write_text(starter_project("Bank"), encoding="utf-8")
    return folder


def run_of(*verdicts: Verdict, title: str = "Reach") -> Run:
    """A run of one section with one chapter which has these verdicts."""
    sheet = SimpleNamespace(key="sleeve", title="Sleeve", verdicts=list(verdicts), limitations=[])
    section = cast("Section", SimpleNamespace(key="A", title=title))
    design = cast("Design", SimpleNamespace(stated=()))
    return Run(design, (SectionRun(section, (cast("Sheet", sheet),)),))


@pytest.fixture
def outcome_of(monkeypatch: pytest.MonkeyPatch) -> Callable[..., None]:
    """Replace the chain of checks by given verdicts, or by an error."""

    def set_outcome(*verdicts: Verdict, error: BaseException | None = None) -> None:
        def run_checks(_design: Any, _tell: Any = None) -> Run:
            if error:
                raise error
            return run_of(*verdicts)

        monkeypatch.setattr("calc.chain.run_checks", run_checks)

    return set_outcome
