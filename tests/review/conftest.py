from pathlib import Path

import pytest

from tests.review.scenario import Case, case_of, write_project


@pytest.fixture(scope="session")
def plain(tmp_path_factory: pytest.TempPathFactory) -> Case:
    """A project of one revision; nobody writes into its folder."""
    return case_of(write_project(tmp_path_factory.mktemp("plain")))


@pytest.fixture
def case(plain: Case, tmp_path: Path) -> Case:
    """The same in a folder of its own."""
    return Case(write_project(tmp_path / "project"), plain.run, plain.known)
