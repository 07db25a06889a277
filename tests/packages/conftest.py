"""One run and one package for many tests, because setting pages takes seconds."""

from dataclasses import dataclass
from pathlib import Path

import pytest

from calc.chain import Run, run_checks
from calc.inputs import read_design
from calc.package import PDF_NAME, RESULTS_NAME, WrittenPackage, write_package
from tests.once import made_once
from tests.packages.reading import page_texts
from tests.packages.scenario import write_project


@dataclass(frozen=True)
class Made:
    """A run with the package written from it."""

    run: Run
    files: WrittenPackage
    pages: list[str]


def made(folders: pytest.TempPathFactory, name: str, **more: object) -> Made:
    """Run an invented project; its package is written once in a test run under its name."""

    def write(folder: Path) -> None:
        write_package(run_checks(read_design(write_project(folder, **more))), folder / "out")

    folder = made_once(folders, name, write)
    files = WrittenPackage(folder / "out" / PDF_NAME, folder / "out" / RESULTS_NAME)
    return Made(run_checks(read_design(folder)), files, page_texts(files.pdf))


@pytest.fixture(scope="session")
def package(tmp_path_factory: pytest.TempPathFactory) -> Made:
    """The package of the plain scenario."""
    return made(tmp_path_factory, "plain")
