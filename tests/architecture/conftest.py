import tomllib
from typing import Any

import pytest

from tests.architecture.checkout import ROOT


@pytest.fixture(scope="session")
def pyproject() -> dict[str, Any]:
    """The project's metadata and tool settings."""
    return tomllib.loads((ROOT / "pyproject.toml").read_text(encoding="utf-8"))
