"""A function is one thought: how much it branches is held by ruff, how long a file grows is held here."""

import re
from pathlib import Path
from typing import Any

import pytest

from tests.architecture.checkout import ROOT, label, modules
from tests.each import for_each

MOST_BRANCHES, LONGEST_FILE = 10, 400
MODULES = modules("calc", "tests", "templates")
EXCUSED = re.compile(r"noqa(:[^#\n]*\bC9|\s*$|\s*#)", re.MULTILINE)


def too_long(text: str) -> bool:
    return len(text.splitlines()) >= LONGEST_FILE


def test_ruff_holds_the_complexity_of_every_function(pyproject: dict[str, Any]) -> None:
    lint = pyproject["tool"]["ruff"]["lint"]
    left_out = [*lint["ignore"], *(code for codes in lint["per-file-ignores"].values() for code in codes)]

    assert lint["mccabe"]["max-complexity"] == MOST_BRANCHES, "pyproject.toml: set [tool.ruff.lint.mccabe] again"
    assert lint["select"] == ["ALL"]
    assert [code for code in left_out if "C901".startswith(code)] == [], "pyproject.toml: take it out of the ignored"


@for_each("path", MODULES)
def test_a_file_is_short_and_excuses_no_complexity(path: Path) -> None:
    text = path.read_text(encoding="utf-8")

    assert not too_long(text), f"{label(path)} has {LONGEST_FILE} lines or more: move one subject into a file beside it"
    assert not EXCUSED.search(text) or path == Path(__file__), f"{label(path)} excuses a function: split its branches"


@pytest.mark.parametrize(
    "text", ["x = 1  # no" + "qa: C901", "# no" + "qa", "# ruff: no" + "qa", "# no" + "qa: E501, C901"]
)
def test_an_excuse_would_be_found(text: str) -> None:
    assert EXCUSED.search(text)


def test_a_long_file_would_be_found() -> None:
    assert too_long("x = 1\n" * LONGEST_FILE)
    assert not too_long("x = 1\n" * (LONGEST_FILE - 1))


def test_a_template_does_no_arithmetic() -> None:
    """Numbers come from the steps; a template that calculates would print one that no step has."""
    templates = [path for path in (ROOT / "templates").rglob("*.html") if path.is_file()]
    expressions = [
        (label(path), part)
        for path in templates
        for piece in path.read_text(encoding="utf-8").split("{{")[1:]
        if any(sign in (part := piece.split("}}")[0]) for sign in (" * ", " / ", " + ", " - ", "**"))
    ]

    assert templates
    assert expressions == [], "make a formula of it, and print the step"
