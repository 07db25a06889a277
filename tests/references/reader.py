"""Reading of the tables of expected values beside this file."""

import tomllib
from pathlib import Path
from types import SimpleNamespace
from typing import Any


def table(name: str) -> dict[str, Any]:
    """The whole file: its origin, its common values and its rows."""
    return tomllib.loads((Path(__file__).parent / f"{name}.toml").read_text(encoding="utf-8"))


def rows(name: str, key: str = "row") -> list[SimpleNamespace]:
    """The rows of one table, each with its columns as attributes."""
    return [SimpleNamespace(**row) for row in table(name)[key]]
