"""One run and one package for many tests, because setting pages takes seconds."""

from dataclasses import dataclass
from pathlib import Path

import pytest

from calc.chain import Run, run_checks
from calc.inputs import read_design
from calc.package import WrittenPackage, write_package
from tests.packages.reading import page_texts
from tests.packages.scenario import write_project


@dataclass(frozen=True)
class Made:
    """A run with the package written from it."""

    run: Run
    files: WrittenPackage
    pages: list[str]


def made(folder: Path, **more: object) -> Made:
    """Run an invented project and write its package."""
    run = run_checks(read_design(write_project(folder, **more)))
    files = write_package(run, folder / "out")
    return Made(run, files, page_texts(files.pdf))


@pytest.fixture(scope="session")
def package(tmp_path_factory: pytest.TempPathFactory) -> Made:
    """The package of the plain scenario."""
    return made(tmp_path_factory.mktemp("plain"))
