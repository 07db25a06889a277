"""Formulas and symbols that nothing uses would be read as part of the method."""

import ast
import re
from collections import Counter
from collections.abc import Iterable, Iterator
from pathlib import Path

from calc.engine.formula import Formula
from calc.engine.symbols import NOMENCLATURE
from tests.architecture.checkout import ROOT, modules
from tests.engine.samples import load_registry

FUSED = "calc.formulas.slip"
"""Its equations are evaluated for all circles and slices at once in calc.procedures.slip; tests hold that to them."""


def names(paths: Iterable[Path]) -> set[str]:
    """Every name and attribute in modules."""
    found: set[str] = set()
    for path in paths:
        for node in ast.walk(ast.parse(path.read_text(encoding="utf-8"))):
            if isinstance(node, ast.Name):
                found.add(node.id)
            elif isinstance(node, ast.Attribute):
                found.add(node.attr)
    return found


def inside(folder: str) -> list[Path]:
    return [path for path in modules("calc", "tests") if (ROOT / folder) in path.parents]


def test_every_formula_is_used() -> None:
    """By a chapter or procedure; or a test of a procedure holds its faster form to the formula."""
    used = names(path for path in inside("calc") if path.parent.name != "formulas") | names(inside("tests/procedures"))
    idle = [
        f"no chapter or procedure uses the formula {one.function.__name__}: apply it, or take it out of {file_of(one)}"
        for one in load_registry()
        if one.function.__name__ not in used and one.function.__module__ != FUSED
    ]

    assert idle == []
    assert (ROOT / "calc" / "procedures" / "slip").is_dir()


def test_a_name_means_one_formula() -> None:
    """Chapters import formulas by name alone: two of one name are mixed up without an error."""
    counted = Counter(one.function.__name__ for one in load_registry())
    twice = [name for name, count in counted.items() if count > 1]

    assert twice == [], "name each after what it alone returns"


def test_every_symbol_is_used() -> None:
    """As result or argument of a formula, or by its name; names that chapters put together count by their parts."""
    words: set[str] = set()
    pieces: set[tuple[str, str]] = set()
    for path in inside("calc"):
        for node in outside_declarations(ast.parse(path.read_text(encoding="utf-8"))):
            if isinstance(node, ast.arg | ast.keyword) and node.arg:
                words.add(node.arg)
            elif isinstance(node, ast.Constant) and isinstance(node.value, str):
                words |= {node.value, *re.findall(r"\{(\w+)\}", node.value)}
            elif isinstance(node, ast.JoinedStr):
                pieces |= ends(node)
    words |= {name for one in load_registry() for name in (one.symbol, *one.arguments)}
    idle = [
        f"nothing uses the symbol {name}: take its declaration out of calc/formulas"
        for name in NOMENCLATURE
        if name not in words and not put_together(name, words, pieces)
    ]

    assert idle == []


def file_of(formula: Formula) -> str:
    return formula.function.__module__.replace(".", "/") + ".py"


def outside_declarations(tree: ast.Module) -> Iterator[ast.AST]:
    """Every node but those of `_("K_a", …)`, with which a symbol is declared."""
    for top in tree.body:
        if not (isinstance(top, ast.Expr) and isinstance(top.value, ast.Call) and ast.unparse(top.value.func) == "_"):
            yield from ast.walk(top)


def test_a_declaration_is_no_use() -> None:
    tree = ast.parse('_("K_a", "K_a", "-", 3, "coefficient")\nx = f("K_p")\n')

    assert [
        declaration.value for declaration in outside_declarations(tree) if isinstance(declaration, ast.Constant)
    ] == ["K_p"]


def ends(text: ast.JoinedStr) -> set[tuple[str, str]]:
    """The fixed beginning and end around what is put into a name."""
    fixed = [part.value if isinstance(part, ast.Constant) else None for part in text.values]
    start, end = (str(part or "") for part in (fixed[0], fixed[-1]))
    return {(start, end)} if all(re.fullmatch(r"\w*", one) for one in (start, end)) else set()


def put_together(name: str, words: set[str], pieces: set[tuple[str, str]]) -> bool:
    """Whether an f-string makes the name from a symbol or part that stands somewhere in words."""
    return any(
        start + end
        and name.startswith(start)
        and name.endswith(end)
        and name[len(start) : len(name) - len(end)] in words
        for start, end in pieces
    )
