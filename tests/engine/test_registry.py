"""The registry of formulas: sources, tests that name them, symbols told apart, equations that can be drawn."""

import ast
import re
from functools import cache
from importlib.metadata import version
from pathlib import Path
from xml.etree.ElementTree import Element, fromstring

from calc.engine.formula import Formula
from calc.engine.symbols import NOMENCLATURE, symbol
from calc.engine.typeset import equation, plain
from tests.each import for_each
from tests.engine.mathml_reader import kind
from tests.engine.samples import load_registry

FORMULAS = load_registry()
TESTS = Path(__file__).parents[1]


@cache
def names_in_tests() -> frozenset[str]:
    """Every name that the tests outside this folder use: imported helpers count with the tests that call them."""
    found: set[str] = set()
    for path in TESTS.rglob("*.py"):
        if path.parent.name != "engine":
            for item in ast.walk(ast.parse(path.read_text(encoding="utf-8"))):
                if isinstance(item, ast.Attribute):
                    found.add(item.attr)
                elif isinstance(item, ast.Name):
                    found.add(item.id)
    return frozenset(found)


@for_each("formula", FORMULAS)
def test_formula_has_a_source_with_its_evidence(formula: Formula) -> None:
    assert len(formula.source.citation.split()) >= 1
    assert formula.source.evidence in {"inspected", "confirmed", "not inspected", "derived"}
    if formula.source.evidence != "derived":
        assert re.search(r"\b(1[89]|20)\d\d\b", formula.source.citation), "a published source has a year"


@for_each("formula", FORMULAS)
def test_formula_is_named_in_a_test_of_its_values(formula: Formula) -> None:
    """Round trips do not count here: they hold for a wrong equation, too."""
    name, module = formula.function.__name__, formula.function.__module__.rpartition(".")[2]

    assert name in names_in_tests(), f"formula {name} has no test: add one in tests/formulas/test_{module}.py"


@for_each("formula", FORMULAS)
def test_symbols_of_a_formula_are_told_apart_in_print(formula: Formula) -> None:
    names = (formula.symbol, *formula.arguments)

    assert len({symbol(name).printed for name in names}) == len(names)
    assert len({symbol(name).plain for name in names}) == len(names)


@for_each("formula", FORMULAS)
def test_formula_has_a_title_that_reads_as_a_heading(formula: Formula) -> None:
    assert formula.title[0].isupper()
    assert "\n" not in formula.title
    assert not formula.title.endswith(".")


def test_identifiers_and_fingerprints_of_formulas_differ() -> None:
    assert len({formula.id for formula in FORMULAS}) == len(FORMULAS)
    assert len({formula.hash for formula in FORMULAS}) == len(
        {(formula.symbol, plain(formula.tree)) for formula in FORMULAS}
    )


def test_printed_forms_of_all_symbols_differ() -> None:
    """Two quantities that print alike cannot be told apart in a chapter that has both."""
    names: dict[str, list[str]] = {}
    for one in NOMENCLATURE.values():
        names.setdefault(one.plain, []).append(one.name)

    assert {plain_form: alike for plain_form, alike in names.items() if len(alike) > 1} == {}


def depth_of_rows(element: Element) -> int:
    below = max((depth_of_rows(part) for part in element), default=0)
    return below + (kind(element) == "mrow")


@for_each("formula", FORMULAS)
def test_equation_nests_few_rows(formula: Formula) -> None:
    """The time to draw an equation doubles with each row inside a row."""
    assert depth_of_rows(fromstring(equation(formula.symbol, formula.tree))) <= 6  # noqa: S314 - the text is our own


def test_the_drawing_library_is_the_pinned_one() -> None:
    text = (TESTS.parent / "pyproject.toml").read_text(encoding="utf-8")

    assert f'"ziamath=={version("ziamath")}"' in text
