"""A name says what it holds: ``one`` and ``found`` fit anything, so that a reader has to look for what they hold."""

import ast
from collections.abc import Iterator
from pathlib import Path

import pytest

from tests.architecture.checkout import label, modules
from tests.each import for_each

HOLLOW = {"one", "found"}


def hollow_names(text: str) -> Iterator[tuple[int, str]]:
    """Line and name of every variable, parameter, field or function of a module that is called so."""
    for node in ast.walk(ast.parse(text)):
        name = bound_name(node)
        if name is not None and name.strip("_") in HOLLOW:
            yield getattr(node, "lineno", 0), name


def bound_name(node: ast.AST) -> str | None:
    """The name that a node of a syntax tree gives to something."""
    match node:
        case ast.Name(id=name, ctx=ast.Store()) | ast.arg(arg=name) | ast.alias(asname=name):
            return name
        case ast.ExceptHandler(name=name) | ast.MatchAs(name=name) | ast.MatchStar(name=name):
            return name
        case ast.FunctionDef(name=name) | ast.AsyncFunctionDef(name=name) | ast.ClassDef(name=name):
            return name
        case ast.MatchMapping(rest=name):
            return name
    return None


@for_each("path", modules("calc"))
def test_a_name_says_what_it_holds(path: Path) -> None:
    hollow = [f"{label(path)}, line {line}: {name}" for line, name in hollow_names(path.read_text(encoding="utf-8"))]

    assert hollow == [], "name the thing by a noun of the trade: layer, stage, verdict, reading, record, solution"


@pytest.mark.parametrize(
    "text",
    [
        "one = 1",
        "one: int = 1",
        "one, other = 1, 2",
        "for one in (): pass",
        "[one for one in ()]",
        "if found := 1: pass",
        "def f(one): pass",
        "def f(*, found=1): pass",
        "f = lambda one: 1",
        "def found(): pass",
        "def _one(): pass",
        "class C:\n    one: int",
        "try: pass\nexcept ValueError as found: pass",
        "with f() as one: pass",
        "from calc import chain as found",
        "match 1:\n    case [one]: pass",
        "match 1:\n    case [1, *one]: pass",
        "match 1:\n    case {1: 2, **one}: pass",
    ],
)
def test_a_hollow_name_would_be_found(text: str) -> None:
    assert [name for _, name in hollow_names(text)] in (["one"], ["found"], ["_one"])


def test_a_use_or_a_keyword_is_no_name() -> None:
    assert list(hollow_names('say("limit", one=2, found=one)\nlayer.found\n"one"')) == []
