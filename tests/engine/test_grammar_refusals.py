"""What the grammar does not know stops the import, with the name of the function in the message."""

from collections.abc import Callable, Iterator
from importlib.util import module_from_spec, spec_from_file_location
from itertools import count
from pathlib import Path
from types import ModuleType

import pytest

from calc.engine.formula import REGISTRY, FormulaError
from calc.engine.symbols import NOMENCLATURE, NomenclatureError, Symbol, declare
from calc.engine.typeset import GrammarError

HEAD = """
from functools import wraps
from numpy import log2, maximum, pi, sin, sqrt, where
from calc.engine.formula import Source, formula, over_layers

MADE = Source("made for this test", "derived")
FACTOR = 2.0


def doubled(function):
    @wraps(function)
    def twice(*given):
        return 2 * function(*given)
    return twice


"""
Load = Callable[[str], ModuleType]


@pytest.fixture
def load(tmp_path: Path) -> Iterator[Load]:
    """Import a module with one formula; the registry is as before afterwards."""
    before = list(REGISTRY)
    numbers = count()

    def imported(definition: str) -> ModuleType:
        path = tmp_path / f"made_{next(numbers)}.py"
        path.write_text(HEAD + definition, encoding="utf-8")
        spec = spec_from_file_location(path.stem, path)
        assert spec is not None
        assert spec.loader is not None
        module = module_from_spec(spec)
        spec.loader.exec_module(module)
        return module

    yield imported
    REGISTRY[:] = before


def returning(expression: str) -> str:
    """A formula of h, w and z which returns the expression, and uses all three."""
    return f'@formula("q", source=MADE)\ndef made(h, w, z):\n    """Title."""\n    return h * w * z + {expression}\n'


EXPRESSIONS = {
    "unknown name": "FACTOR",
    "unknown function": "log2(h)",
    "built-in function": "round(h)",
    "function without call": "sqrt",
    "truth value": "True",
    "string": "'h'",
    "nothing": "None",
    "complex number": "2j",
    "number that is not finite": "1e999",
    "keyword argument": "maximum(h, x2=w)",
    "starred argument": "maximum(*h)",
    "wrong number of arguments": "maximum(h)",
    "attribute": "h.max()",
    "item": "h[0]",
    "comparison outside a condition": "(h > w)",
    "two comparisons": "where((h > w) & (w > z), h, w)",
    "chained comparison": "where(h > w > z, h, w)",
    "equality": "where(h == w, h, w)",
    "condition without comparison": "where(h, h, w)",
    "condition within a condition": "where(where(h > w, h, w) > z, h, w)",
    "sum within a condition": "where(over_layers(h) > z, h, w)",
    "and": "(h and w)",
    "not": "(not h)",
    "conditional expression": "(h if w else z)",
    "plus sign": "+h",
    "remainder": "h % w",
    "floor division": "h // w",
    "matrix product": "h @ w",
    "lambda": "(lambda: h)()",
    "assignment": "(y := h)",
    "list": "sum([h, w])",
    "comprehension": "sum(x for x in h)",
    "formatted text": "f'{h}'",
}


@pytest.mark.parametrize("expression", EXPRESSIONS.values(), ids=EXPRESSIONS)
def test_expression_outside_the_grammar_is_refused_under_the_name_of_its_function(load: Load, expression: str) -> None:
    with pytest.raises(GrammarError, match=r"^made: .+ at line \d+: "):
        load(returning(expression))


DEFINITIONS = {
    "two statements": (
        '@formula("q", source=MADE)\ndef made(h):\n    """Title."""\n    y = 2 * h\n    return y\n',
        "docstring and one return",
    ),
    "missing docstring": ('@formula("q", source=MADE)\ndef made(h):\n    return 2 * h\n', "docstring and one return"),
    "nothing but a docstring": ('@formula("q", source=MADE)\ndef made():\n    """Title."""\n', "one return"),
    "bare return": ('@formula("q", source=MADE)\ndef made():\n    """Title."""\n    return\n', "one return"),
    "unused argument": (
        '@formula("q", source=MADE)\ndef made(h, w):\n    """Title."""\n    return 2 * h\n',
        r"does not use its arguments \['w'\]",
    ),
    "undeclared result": (
        '@formula("nonsense", source=MADE)\ndef made(h):\n    """Title."""\n    return 2 * h\n',
        "'nonsense' is not in the nomenclature",
    ),
    "undeclared argument": (
        '@formula("q", source=MADE)\ndef made(nonsense):\n    """Title."""\n    return 2 * nonsense\n',
        "'nonsense' is not in the nomenclature",
    ),
    "its own result": ('@formula("q", source=MADE)\ndef made(q):\n    """Title."""\n    return 2 * q\n', "own result"),
    "default": ('@formula("q", source=MADE)\ndef made(h=2):\n    """Title."""\n    return 2 * h\n', "without defaults"),
    "starred argument": (
        '@formula("q", source=MADE)\ndef made(h, *w):\n    """Title."""\n    return 2 * h\n',
        "plain arguments",
    ),
    "keyword argument": (
        '@formula("q", source=MADE)\ndef made(h, *, w):\n    """Title."""\n    return w * h\n',
        "plain arguments",
    ),
    "second decorator": (
        '@formula("q", source=MADE)\n@doubled\ndef made(h):\n    """Title."""\n    return 2 * h\n',
        "second decorator",
    ),
    "coroutine": ('@formula("q", source=MADE)\nasync def made(h):\n    """Title."""\n    return 2 * h\n', "function"),
}


@pytest.mark.parametrize(("definition", "why"), DEFINITIONS.values(), ids=DEFINITIONS)
def test_function_that_is_no_formula_is_refused_under_its_name(load: Load, definition: str, why: str) -> None:
    with pytest.raises(FormulaError, match=rf"^made.*{why}"):
        load(definition)


def test_refused_function_leaves_the_registry_alone(load: Load) -> None:
    before = list(REGISTRY)
    with pytest.raises(GrammarError):
        load(returning("log2(h)"))

    assert before == REGISTRY


def test_accepted_function_is_registered_with_its_title_and_arguments(load: Load) -> None:
    made = load(returning("where(h < w, pi, sin(z))")).made

    assert REGISTRY[-1] is made
    assert (made.symbol, made.arguments, made.title) == ("q", ("h", "w", "z"), "Title")
    assert made(h=1.0, w=2.0, z=3.0) == pytest.approx(6 + 3.141592653589793)


def test_hash_follows_the_evaluated_expression(load: Load) -> None:
    one, same, other = (load(returning(text)).made for text in ("2 * h", "2*h", "2 * w"))

    assert one.hash == same.hash
    assert one.hash != other.hash


@pytest.mark.parametrize("printed", ["s_s−s_c", "", "a_b_c", "_c", "K_{0,s", "K^**_", "x{y}"])
def test_printed_form_that_cannot_be_typeset_is_refused_when_declared(printed: str) -> None:
    with pytest.raises(NomenclatureError, match="is not base"):
        declare("made_up", printed, "m", 3, "a symbol made for this test")

    assert "made_up" not in NOMENCLATURE


def test_symbol_declared_twice_is_refused() -> None:
    with pytest.raises(NomenclatureError, match="'h' is declared twice"):
        declare("h", "h", "m", 3, "thickness")


@pytest.mark.parametrize(
    ("printed", "parts"),
    [("K^*_{0,s}", ("K", "*", "0,s")), ("φ′_s", ("φ′", "", "s")), ("p^*", ("p", "*", "")), ("Δσ_G", ("Δσ", "", "G"))],
)
def test_printed_form_has_base_mark_and_index(printed: str, parts: tuple[str, str, str]) -> None:
    assert Symbol("x", printed, "m", "x", 3, "m").parts == parts
