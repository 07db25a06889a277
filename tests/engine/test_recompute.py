"""The test of printed lines is itself tested: it lets every honest rounding pass, and no other number."""

from random import Random
from re import sub

import numpy as np
import pytest

from calc.engine.formula import Formula
from calc.engine.sheet import printed_numbers, printed_result
from tests.each import for_each
from tests.engine import expressions as ex
from tests.engine.calculator import LineError, calculated, read_line
from tests.engine.recompute import NUMBER, interval_of, recomputes, result_interval
from tests.engine.samples import load_registry, sheet_of

HONEST = [
    ("151.0 - 54.96 - 86.84", "9.195 kN/m"),
    ("151.0 - 54.96 - 86.84", "9.2 kN/m"),
    ("2 / 3", "0.667"),
    ("2 / 3", "1 kN/m²"),
    ("1.234e-5 * 1000", "0.0123"),
    ("0.40^2 * π", "0.503 m²"),
    ("2.000^2", "4.000"),
    ("(1 - sin(32.500°)) / (1 + sin(32.500°))", "0.300982"),
    ("arctan(tan(35.0°) / 1.25)", "29.256°"),
    ("0.0123 * 1", "0.0123 m = 12.3 mm"),
    ("0.0123 * 1", "0.0123 = 1.23 %"),
    ("730.5 * 1", "730.5 d = 2.0 years"),
    ("13.300 > 5, so 2000 / 0.41^2", "11897.7 kN/m³"),
    ("2.0000 ≤ 2.0000, so 4.00", "4.00"),
    ("max((-1.20), 0) + min(3.00, 4.00)", "3.00"),
    ("abs((-2.50)) + sqrt(4.00)", "4.50"),
    ("ln(2.7183) + log10(100)", "3.000"),
    ("-2.50^2", "-6.25"),
    ("exp((-1.000))", "0.368"),
    ("arcsin(1.000)", "90.0°"),
    ("cos(0.0°) + tan(45.0°)", "2.000"),
    ("(-1.10)^3", "-1.331"),
]
FALSE = [
    ("151.0 - 54.96 - 86.84", "9.30 kN/m"),
    ("2 / 3", "0.668"),
    ("0.400^2 * π", "0.523 m²"),
    ("0.0123 * 1", "0.0123 m = 12.6 mm"),
    ("0.0123 * 1", "0.0133 m = 13.3 mm"),
    ("13.300 > 15, so 2000 / 0.41^2", "11897.7 kN/m³"),
    ("13.300 < 5, so 4", "4"),
    ("arctan(tan(35.0°) / 1.25)", "30.000°"),
    ("arctan(tan(35.0°) / 1.25)", "29.256"),
    ("1 / 0.00", "5.00"),
    ("ln(0.00)", "-5.00"),
    ("tan(90.0°)", "4000"),
    ("(-2.00)^0.50", "1.41"),
    ("exp(1000)", "1.00"),
    ("2.000^2", "-4.000"),
]


@pytest.mark.parametrize(("line", "result"), HONEST)
def test_line_recomputes_to_an_honest_result(line: str, result: str) -> None:
    assert recomputes(line, result)


@pytest.mark.parametrize(("line", "result"), FALSE)
def test_line_does_not_recompute_to_another_result(line: str, result: str) -> None:
    assert not recomputes(line, result)


def test_numbers_known_to_be_exact_sharpen_the_test() -> None:
    """0.8 as typed is 0.8; read from the print it may be 0.75."""
    assert recomputes("0.8 * 19.00", "14.50 kN/m²")
    assert not recomputes("0.8 * 19.00", "14.50 kN/m²", exact={"0.8"})
    assert recomputes("0.8 * 19.00", "15.20 kN/m²", exact={"0.8"})


@pytest.mark.parametrize(
    "line",
    ["", "2 +", "2 3", "2 * * 3", "(2", "2)", "2^3^4", "sin 2", "min(2)", "log(2)", "K_a * 2", "(no settlement) * 2",
     "2 > 1, so", "2, so 3", "2 > 1 > 0, so 3", "+ -2", "2 × 3", "1.2.3", "2,5"],
)  # fmt: skip
def test_what_a_calculator_would_not_take_is_refused(line: str) -> None:
    with pytest.raises(LineError):
        recomputes(line, "3.00")


@pytest.mark.parametrize("result", ["", "no settlement", "kN/m", "= 3"])
def test_result_without_a_number_is_refused(result: str) -> None:
    with pytest.raises(LineError):
        recomputes("1 + 2", result)


def test_result_is_widened_by_half_a_unit_of_its_last_digit() -> None:
    assert result_interval("12.34 kN/m") == pytest.approx((12.335, 12.345), rel=1e-12)
    assert result_interval("-12 kN/m") == pytest.approx((-12.5, -11.5), rel=1e-12)
    assert result_interval("1.20e-5") == pytest.approx((1.195e-5, 1.205e-5), rel=1e-12)
    assert result_interval("0.0123 m = 12.3 mm") == pytest.approx((0.01225, 0.01235), rel=1e-12)


def test_interval_of_rounded_numbers_holds_the_value_of_the_numbers_behind_them() -> None:
    """Whatever is rounded away, the value lies within; random expressions, printed with two decimals."""
    random = Random(5)  # noqa: S311 - no secret
    held = 0
    for _ in range(3000):
        source = ex.written(random, 3)
        values = {
            name: array + np.round(random.uniform(-0.004, 0.004), 6)
            for name, array in ex.drawn_values(random, 1).items()
        }
        value = np.asarray(ex.python_value(source, values)).reshape(-1)[0]
        if not np.isfinite(value):
            continue
        line = read_line(ex.line_at(source, ex.tree_of(source), values, 0, 0, decimals=2))
        try:
            found = interval_of(line.expression)
        except ArithmeticError:
            continue
        room = 1e-9 * max(1.0, abs(value))
        assert found.low - room <= value <= found.high + room, source
        held += 1

    assert held > 2000


@pytest.mark.slow
@for_each("formula", load_registry())
def test_printed_line_of_a_formula_recomputes_and_a_changed_result_does_not(formula: Formula) -> None:
    """Inputs are exact here, so the line must give the result to its last digit, and three units off must fail."""
    tried = 0
    for seed in range(20, 26):
        sheet = sheet_of(formula, seed)
        result = sheet(formula)
        step, case = sheet.steps[-1], result.case_at(result.array.size - 1)
        line, printed = printed_numbers(step, case), printed_result(step, case)
        exact = set(NUMBER.findall(sub(r"(?<!e)-", " ", line)))
        assert recomputes(line, printed, exact), (line, printed)
        assert recomputes(line, printed), (line, printed)
        tried += not recomputes(line, changed(printed), exact)

    assert tried == 6


def changed(printed: str) -> str:
    """The coherent form of the result, three units of its last digit higher."""

    def raised(number: str) -> str:
        digits, mark, exponent = number.partition("e")
        decimals = len(digits.partition(".")[2])
        return f"{float(digits) + 3 * 10.0**-decimals:.{decimals}f}{mark}{exponent}"

    return NUMBER.sub(lambda match: raised(match[0]), printed.partition(" = ")[0], count=1)


def test_condition_that_does_not_hold_is_an_error_of_the_line() -> None:
    with pytest.raises(LineError, match="does not hold"):
        calculated("2 > 3, so 4")
