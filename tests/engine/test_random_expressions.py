"""Thousands of random expressions: the print is read back by other means and compared with Python's own value."""

from collections.abc import Callable
from dataclasses import dataclass, field
from math import inf
from random import Random
from typing import Any

import numpy as np
import pytest

from calc.engine.typeset import equation, grammar, is_level, line, mathml
from tests.engine import expressions as ex
from tests.engine.calculator import LineError, calculated, seen_text
from tests.engine.mathml_reader import ReadingError
from tests.once import cached

ROWS = 4


@dataclass
class Count:
    """How many numbers were compared, how many equations on one line, and the expressions that did not agree."""

    compared: int = 0
    level: int = 0
    wrong: list[str] = field(default_factory=list)


def agree(one: Any, other: Any) -> Any:
    """Equal to rounding; a sum of layers above is computed as a difference, which costs some digits."""
    with np.errstate(all="ignore"):
        return np.isclose(one, other, rtol=1e-9, atol=1e-12)


@cached
def sources(seed: int, count: int) -> list[tuple[str, dict[str, Any], Any]]:
    """Expressions with values and what Python gives for them."""
    random = Random(seed)  # noqa: S311 - no secret
    drawn = [(ex.written(random, 4), ex.drawn_values(random, ROWS)) for _ in range(count)]
    return [(source, values, np.asarray(ex.python_value(source, values))) for source, values in drawn]


tree_of = cached(ex.tree_of)


def compare_equations(seed: int, count: int, enough: float = inf) -> Count:
    """The MathML of each expression against its value; lanes without a finite value say nothing.

    Of a bug it is enough to see that expressions do not agree.
    """
    done = Count()
    for source, values, computed in sources(seed, count):
        if len(done.wrong) >= enough:
            break
        finite = np.isfinite(computed)
        for level in {False, is_level(tree_of(source))}:
            try:
                read = ex.mathml_value(equation("a_x", tree_of(source), level=level), values)
            except ReadingError:
                done.wrong.append(source)
                continue
            done.compared += int(finite.sum())
            done.level += level
            same = agree(read, computed)
            if same.shape != computed.shape or not same[finite].all():
                done.wrong.append(source)
    return done


def compare_set_lines(seed: int, count: int, enough: float = inf) -> Count:
    """The same of the line as it is set on a page."""
    return compare_lines(seed, count, enough, lambda tree, numbers: seen_text(line.set_numbers(tree, numbers)))


def compare_lines(
    seed: int, count: int, enough: float = inf, write: Callable[[grammar.Node, line.Numbers], str] = line.with_numbers
) -> Count:
    """The line with numbers at one lane of each expression against its value."""
    done = Count()
    for source, values, computed in sources(seed, count):
        if len(done.wrong) >= enough:
            break
        tree = tree_of(source)
        layers = computed.shape[-1] if computed.ndim else 1
        wanted = np.broadcast_to(computed, (ROWS, layers))
        for row in range(ROWS):
            lane = row % layers
            if not np.isfinite(wanted[row, lane]):
                continue
            done.compared += 1
            try:
                read = calculated(ex.line_at(source, tree, values, row, lane, write=write))
            except LineError:
                read = np.nan
            if not agree(read, wanted[row, lane]):
                done.wrong.append(source)
    return done


def test_printed_equations_of_random_expressions_evaluate_to_their_values() -> None:
    done = compare_equations(seed=1, count=5000)

    assert done.wrong == []
    assert done.compared > 20_000
    assert done.level > 300


@pytest.mark.parametrize(
    ("source", "level"),
    [
        ("a_x / (d_c * p_m)", True),
        ("(a_x + d_c) / p_m - tan(a_x / 2)", True),
        ("a_x * d_c", False),  # nothing divides
        ("a_x / d_c * p_m", False),  # may be read as below
        ("a_x / (1 + d_c / p_m)", False),
        ("(a_x / d_c) ** 2", False),
        ("where(a_x > d_c, a_x, 0) / p_m", False),
        ("where(a_x > d_c, a_x / d_c, 0)", True),
        ("over_layers(h / a_x)", False),  # high itself
    ],
)
def test_quotients_stand_on_one_line_where_nobody_can_misread_them(source: str, level: bool) -> None:
    assert is_level(tree_of(source)) is level


def test_reader_refuses_a_product_behind_a_solidus() -> None:
    written = mathml._Math({}, level=True).write(tree_of("a_x / d_c * p_m"))
    with pytest.raises(ReadingError, match="behind a solidus"):
        ex.mathml_value(f"<math><mi>a</mi><mo>=</mo>{written}</math>", ex.drawn_values(Random(1), 1))  # noqa: S311 - no secret


@pytest.mark.parametrize("compare", [compare_lines, compare_set_lines])
def test_lines_with_numbers_of_random_expressions_evaluate_to_their_values(
    compare: Callable[..., Count],
) -> None:
    done = compare(2, 5000)

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
    "layers above printed as layers": ("LAYER_SUMS", {**grammar.LAYER_SUMS, "over_layers_above": "layers"}),
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

SEEDED_IN_SET: dict[str, tuple[str, Any]] = {
    **SEEDED_IN_LINE,
    "raised with another number": ("RAISED", str.maketrans("23", "³²")),
    "minus printed as plus": ("_SIGNS", {"+": "+", "-": "+", "*": "·", "/": "/"}),
}


@pytest.mark.parametrize(
    ("module", "compare", "name", "seeded"),
    [pytest.param(mathml, compare_equations, *bug, id=f"equation: {words}") for words, bug in SEEDED_IN_MATHML.items()]
    + [pytest.param(line, compare_lines, *bug, id=f"line: {words}") for words, bug in SEEDED_IN_LINE.items()]
    + [pytest.param(line, compare_set_lines, *bug, id=f"set line: {words}") for words, bug in SEEDED_IN_SET.items()],
)
def test_comparison_catches_a_seeded_bug_of_the_typesetter(
    module: Any, compare: Callable[..., Count], name: str, seeded: Any, monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.setattr(module, name, seeded)

    assert len(compare(3, 600, 5).wrong) >= 5


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


@pytest.mark.parametrize(
    ("source", "text"),
    [
        ("sqrt(2) * sqrt(a_x) / sqrt(a_x + h)", "√2 · √4.0 / √(4.0 + 2.5·10⁻⁴)"),
        ("d_c / h + d_c / w", "(−1.20) / (2.5·10⁻⁴) + (−1.20) / (3 / 365.25)"),
        ("w * h / d_c", "(3 / 365.25) · 2.5·10⁻⁴ / (−1.20)"),
        ("h ** 2 + w ** 2 - d_c ** 3", "(2.5·10⁻⁴)² + (3 / 365.25)² − (−1.20)³"),
        ("a_x ** (2 * d_c - 0.5)", "4.0<sup>2 · (−1.20) − 0.5</sup>"),
        ("sin(phi_s) ** 2 + sin(phi_s) ** a_x", "sin²(35°) + (sin(35°))<sup>4.0</sup>"),
        ("absolute(d_c) ** 2 + sqrt(a_x) ** 2", "|−1.20|² + (√4.0)²"),
        ("-log10(a_x) - exp(d_c)", "−log₁₀(4.0) − exp(−1.20)"),
        ("sqrt(w) + maximum(w, d_c)", "√(3 / 365.25) + max(3 / 365.25, −1.20)"),
        ("where(w < a_x, w, 1)", "3 / 365.25 &lt; 4.0, so (3 / 365.25)"),
        ("where(h < 0.000001, 1, a_x)", "2.5·10⁻⁴ ≥ 10⁻⁶, so 4.0"),
        ("where(a_x > 1, d_c, 1)", "4.0 &gt; 1, so (−1.20)"),
    ],
)
def test_line_is_set_with_roots_raised_exponents_and_powers_of_ten(source: str, text: str) -> None:
    typed = {"a_x": "4.0", "h": "2.5e-4", "w": "(3 / 365.25)", "d_c": "(-1.20)", "phi_s": "35°"}
    at = {"a_x": 4.0, "h": 2.5e-4, "w": 3 / 365.25, "d_c": -1.2, "phi_s": np.radians(35.0)}
    conditions = {ex.tree_of_condition(one): one for one in ex.conditions_of(source)}
    numbers = line.Numbers(lambda name, _: typed[name], lambda one, _: bool(ex.python_value(conditions[one], at)))

    shown = line.set_numbers(ex.tree_of(source), numbers)

    assert shown == text
    assert calculated(seen_text(shown)) == pytest.approx(float(ex.python_value(source, at)), rel=1e-12)
    assert "1e-06" not in equation("a_x", ex.tree_of(source))


@pytest.mark.parametrize("text", ["√4²", "√sin(2)", "4²^3", "4⁻", "tan⁻¹(2)", "|2", "√(2", "exp²(3)", "2 × 3"])
def test_what_a_page_would_leave_in_doubt_is_refused(text: str) -> None:
    with pytest.raises(LineError):
        calculated(text)
