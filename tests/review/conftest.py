from pathlib import Path

import pytest

from calc.chain import Run
from tests.review.scenario import Case, case_of, two_sections, write_project


@pytest.fixture(scope="session")
def plain(tmp_path_factory: pytest.TempPathFactory) -> Case:
    """A project of one revision; nobody writes into its folder."""
    return case_of(write_project(tmp_path_factory.mktemp("plain")))


@pytest.fixture
def case(plain: Case, tmp_path: Path) -> Case:
    """The same in a folder of its own."""
    return Case(write_project(tmp_path / "project"), plain.run, plain.known)


@pytest.fixture(scope="session")
def two(tmp_path_factory: pytest.TempPathFactory) -> Run:
    """A run of two sections of which the second lies lower."""
    return two_sections(tmp_path_factory.mktemp("two"))
