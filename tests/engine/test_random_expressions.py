"""Thousands of random expressions: the print is read back by other means and compared with Python's own value."""

from collections.abc import Callable
from dataclasses import dataclass, field
from random import Random
from typing import Any

import numpy as np
import pytest

from calc.engine.typeset import equation, grammar, line, mathml
from tests.engine import expressions as ex
from tests.engine.calculator import LineError, calculated
from tests.engine.mathml_reader import ReadingError

ROWS = 4


@dataclass
class Count:
    """How many numbers were compared, and the expressions that did not agree."""

    compared: int = 0
    wrong: list[str] = field(default_factory=list)


def agree(one: Any, other: Any) -> Any:
    """Equal to rounding; a sum of layers above is computed as a difference, which costs some digits."""
    with np.errstate(all="ignore"):
        return np.isclose(one, other, rtol=1e-9, atol=1e-12)


def sources(seed: int, count: int) -> list[tuple[str, dict[str, Any]]]:
    random = Random(seed)  # noqa: S311 - no secret
    return [(ex.written(random, 4), ex.drawn_values(random, ROWS)) for _ in range(count)]


def compare_equations(seed: int, count: int) -> Count:
    """The MathML of each expression against its value; lanes without a finite value say nothing."""
    done = Count()
    for source, values in sources(seed, count):
        computed = np.asarray(ex.python_value(source, values))
        finite = np.isfinite(computed)
        try:
            read = ex.mathml_value(equation("a_x", ex.tree_of(source)), values)
        except ReadingError:
            done.wrong.append(source)
            continue
        done.compared += int(finite.sum())
        same = agree(read, computed)
        if same.shape != computed.shape or not same[finite].all():
            done.wrong.append(source)
    return done


def compare_lines(seed: int, count: int) -> Count:
    """The line with numbers at one lane of each expression against its value."""
    done = Count()
    for source, values in sources(seed, count):
        computed = np.asarray(ex.python_value(source, values))
        layers = computed.shape[-1] if computed.ndim else 1
        wanted = np.broadcast_to(computed, (ROWS, layers))
        for row in range(ROWS):
            lane = row % layers
            if not np.isfinite(wanted[row, lane]):
                continue
            done.compared += 1
            try:
                read = calculated(ex.line_at(source, ex.tree_of(source), values, row, lane))
            except LineError:
                read = np.nan
            if not agree(read, wanted[row, lane]):
                done.wrong.append(source)
    return done


def test_printed_equations_of_random_expressions_evaluate_to_their_values() -> None:
    done = compare_equations(seed=1, count=5000)

    assert done.wrong == []
    assert done.compared > 20_000


def test_lines_with_numbers_of_random_expressions_evaluate_to_their_values() -> None:
    done = compare_lines(seed=2, count=5000)

    assert done.wrong == []
    assert done.compared > 8_000


def lose_brackets(parent: str, child: grammar.Node, *, right: bool) -> bool:
    return False


def lose_right_brackets(parent: str, child: grammar.Node, *, right: bool) -> bool:
    return grammar.rank(child) < grammar.RANK[parent]


def wrong_names(old: str, new: str) -> dict[str, str]:
    return {**grammar.PRINTED_FUNCTIONS, old: new}


SEEDED_IN_MATHML: dict[str, tuple[str, Any]] = {
    "every bracket lost": ("needs_brackets", lose_brackets),
    "bracket behind minus lost": ("needs_brackets", lose_right_brackets),
    "log10 printed as ln": ("_FUNCTION_NAMES", wrong_names("log10", "ln")),
    "minimum printed as max": ("_FUNCTION_NAMES", wrong_names("minimum", "max")),
    "layers above printed as layers": ("LAYER_SUMS", {"over_layers": "layers", "over_layers_above": "layers"}),
    "bracket lost as if round a fraction": ("is_fraction", lambda tree: tree.kind == "binary"),
    "product sign lost": ("_THIN", ""),
}
SEEDED_IN_LINE: dict[str, tuple[str, Any]] = {
    "every bracket lost": ("needs_brackets", lose_brackets),
    "bracket behind minus lost": ("needs_brackets", lose_right_brackets),
    "log10 printed as ln": ("PRINTED_FUNCTIONS", wrong_names("log10", "ln")),
    "minimum printed as max": ("PRINTED_FUNCTIONS", wrong_names("minimum", "max")),
    "condition not turned round": ("_OPPOSITE", {sign: sign for sign in "<>≤≥"}),
    "bracket round minus lost": ("rank", lambda _tree: grammar.ATOM),
}


@pytest.mark.parametrize(
    ("module", "compare", "name", "seeded"),
    [pytest.param(mathml, compare_equations, *bug, id=f"equation: {words}") for words, bug in SEEDED_IN_MATHML.items()]
    + [pytest.param(line, compare_lines, *bug, id=f"line: {words}") for words, bug in SEEDED_IN_LINE.items()],
)
def test_comparison_catches_a_seeded_bug_of_the_typesetter(
    module: Any, compare: Callable[[int, int], Count], name: str, seeded: Any, monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.setattr(module, name, seeded)

    assert len(compare(3, 600).wrong) >= 5


def test_two_signs_in_a_row_are_never_printed() -> None:
    tree = ex.tree_of("a_x + (-d_c - h)")

    assert line.plain(tree) == "a + (-d_c - h)"
    assert "<mo>+</mo><mrow><mo>(</mo><mo>−</mo>" in equation("a_x", tree)


def test_exponent_that_reads_as_an_inverse_function_stands_behind_the_brackets() -> None:
    assert "<msup><mi>sin</mi><mrow><mn>2</mn></mrow></msup>" in equation("a_x", ex.tree_of("sin(phi_s) ** 2"))
    assert "<msup><mi>sin</mi>" not in equation("a_x", ex.tree_of("sin(phi_s) ** -1"))


def test_sum_of_the_layers_above_keeps_small_numbers_above_a_large_one() -> None:
    from calc.engine.formula import over_layers_above

    np.testing.assert_array_equal(over_layers_above(np.array([1.0, 1e20, 3.0])), [0.0, 1.0, 1e20])


def test_reader_refuses_products_without_a_sign() -> None:
    with pytest.raises(ReadingError, match="not understood"):
        ex.mathml_value("<math><mi>a</mi><mo>=</mo><mi>h</mi><mi>w</mi></math>", {"h": 2.0, "w": 3.0})
