"""One run and one package for many tests, because setting pages takes seconds."""

import json
import os
import subprocess
import sys
from dataclasses import dataclass
from pathlib import Path

import pytest

from calc.chain import CHAPTERS, Run, run_checks
from calc.inputs import read_design
from calc.package import PDF_NAME, RESULTS_NAME, WrittenPackage, package_pdf, write_package
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


FIRST = 5  # chapters, up to the sleeve: they have lines, tables and figures of every kind
FEW = ("columns", "sleeve")  # chapters of few pages
SHORT = f"""
from calc.package import package_pdf
package_pdf.__kwdefaults__["chapters"] = {FEW}
from calc.cli import main
main(prog_name="sandsleeve")
"""
TEXT = """
import sys
from pathlib import Path
from calc.chain import run_checks
from calc.inputs import read_design
from calc.package.pages import Pages
for one in Pages(run_checks(read_design(Path(sys.argv[1])))).pieces(lambda _text: None):
    print(one.html)
"""
ELSEWHERE = {"PYTHONHASHSEED": "4711", "TZ": "Pacific/Auckland", "SOURCE_DATE_EPOCH": "0"}


def made_short(folders: pytest.TempPathFactory, name: str, **more: object) -> Made:
    """The same of a chain that ends after some chapters, where the pages of the others would say nothing new."""
    with pytest.MonkeyPatch.context() as patch:
        patch.setattr("calc.chain.CHAPTERS", CHAPTERS[:FIRST])
        return made(folders, name, **more)


def made_of_few(folders: pytest.TempPathFactory, name: str, **more: object) -> Made:
    """The same of a whole chain, with the pages of two chapters."""
    with pytest.MonkeyPatch.context() as patch:
        patch.setattr(package_pdf, "__kwdefaults__", {**(package_pdf.__kwdefaults__ or {}), "chapters": FEW})
        return made(folders, name, **more)


def text_of_another_process(project: Path) -> str:
    """The text that all pages of a project are set from, by another process on what it takes for another day."""
    return subprocess.run(
        [sys.executable, "-c", TEXT, str(project)],
        check=True, capture_output=True, encoding="utf-8", env=os.environ | ELSEWHERE | {"PYTHONIOENCODING": "utf-8"},
    ).stdout  # fmt: skip


@dataclass(frozen=True)
class Printed:
    """What the command that writes a package left and said, as a process of its own."""

    project: Path
    files: WrittenPackage
    named: dict[str, str]
    code: int
    said: str
    complained: str


def by_another_process(folders: pytest.TempPathFactory) -> Printed:
    """The package of few chapters by the command, on what it takes for another day and in another place."""

    def write(folder: Path) -> None:
        project, out = write_project(folder / "project"), folder / "elsewhere"
        done = subprocess.run(
            [sys.executable, "-c", SHORT, "package", str(project), "--out", str(out), "--json"],
            check=False, capture_output=True, text=True, env=os.environ | ELSEWHERE,
        )  # fmt: skip
        # The folder gets its name when it is whole, and the command was given the one before.
        named = {"pdf": str(out / PDF_NAME), "results": str(out / RESULTS_NAME)}
        told = {"named": named, "code": done.returncode, "said": done.stdout, "complained": done.stderr}
        (folder / "told.json").write_text(json.dumps(told), encoding="utf-8")

    folder = made_once(folders, "by-another-process", write)
    files = WrittenPackage(folder / "elsewhere" / PDF_NAME, folder / "elsewhere" / RESULTS_NAME)
    return Printed(folder / "project", files, **json.loads((folder / "told.json").read_text(encoding="utf-8")))


@pytest.fixture(scope="session")
def package(tmp_path_factory: pytest.TempPathFactory) -> Made:
    """The package of the plain scenario."""
    return made(tmp_path_factory, "plain")


@pytest.fixture(scope="session")
def few_chapters(tmp_path_factory: pytest.TempPathFactory) -> Made:
    """The package of few chapters of the plain scenario."""
    return made_of_few(tmp_path_factory, "few-chapters")
