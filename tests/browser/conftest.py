"""One browser for all tests of this folder, and pages of runs in files."""

from collections.abc import Iterator
from pathlib import Path

import pytest

from calc.chain import Run, run_checks
from calc.inputs import read_design
from tests.browser.chromium import Browser, Page, browser, program
from tests.packages.scenario import write_project
from tests.review.scenario import two_sections


@pytest.fixture(scope="session")
def chromium() -> Iterator[Browser]:
    if program() is None:
        pytest.skip("no Chromium on this machine: apt-get install chromium")
    with browser() as made:
        yield made


@pytest.fixture
def page(chromium: Browser, tmp_path: Path) -> Iterator[Page]:
    """A new page whose downloads land in a folder of their own."""
    downloads = tmp_path / "downloads"
    downloads.mkdir()
    made = Page(chromium, downloads)
    yield made
    made.forget()
    made.close()


@pytest.fixture(scope="session")
def run(tmp_path_factory: pytest.TempPathFactory) -> Run:
    return run_checks(read_design(write_project(tmp_path_factory.mktemp("scenario"))))


@pytest.fixture(scope="session")
def two(tmp_path_factory: pytest.TempPathFactory) -> Run:
    """A run of two sections of which the second lies lower."""
    return two_sections(tmp_path_factory.mktemp("two"))
