"""Sizes that keep one thought to a function; the bounds lie a little above those of the house rules (40, 300)."""

import ast
from collections.abc import Iterator
from pathlib import Path

import pytest

from tests.architecture.checkout import ROOT, label, modules

LONGEST_FUNCTION, LONGEST_FILE = 45, 350
MODULES = modules("calc", "tests", "templates")


def functions(path: Path) -> Iterator[ast.FunctionDef | ast.AsyncFunctionDef]:
    for node in ast.walk(ast.parse(path.read_text(encoding="utf-8"))):
        if isinstance(node, ast.FunctionDef | ast.AsyncFunctionDef):
            yield node


def body_lines(function: ast.FunctionDef | ast.AsyncFunctionDef) -> int:
    """Lines of a function without its head and its docstring."""
    body = function.body[1:] if ast.get_docstring(function) else function.body
    return (body[-1].end_lineno or 0) - body[0].lineno + 1 if body else 0


@pytest.mark.parametrize("path", MODULES, ids=label)
def test_functions_and_files_are_short(path: Path) -> None:
    assert [node.name for node in functions(path) if body_lines(node) > LONGEST_FUNCTION] == []
    assert len(path.read_text(encoding="utf-8").splitlines()) <= LONGEST_FILE


def test_a_long_function_would_be_found() -> None:
    text = "def f():\n    '''Say.'''\n" + "    x = 1\n" * (LONGEST_FUNCTION + 1)
    [function] = [node for node in ast.walk(ast.parse(text)) if isinstance(node, ast.FunctionDef)]

    assert body_lines(function) == LONGEST_FUNCTION + 1


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
    assert expressions == []
