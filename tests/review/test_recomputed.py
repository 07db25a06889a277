"""Printed lines are read as text and evaluated; a wrong digit is found, and a line in words is no agreement."""

import re
from math import pi

import pytest
from hypothesis import given
from hypothesis import strategies as st

from calc.engine.symbols import symbol
from calc.review.recomputed import recomputes
from calc.review.views import chapters
from tests.engine.recompute import recomputes as recomputes_in_tests
from tests.review.scenario import Case

HOLDS = [
    ("2 * 3", "6.00"), ("1.50 / 0.50", "3.00 kN/m"), ("-2.0^2", "-4.0"), ("(-2.0)^2", "4.0"), ("sqrt(2)", "1.414"),
    ("tan(45.0°)", "1.00"), ("13.3 > 5, so 2000 / 0.41^2", "11898 kPa"), ("π * 2", "6.283 m"),
    ("3.456e1 / 0.0012", "2.88e4 1/d"), ("1.234·10⁻³ * 2", "2.468e-3"),
    ("min(2.0, 3.0) - max(1, 0)", "1.0"), ("abs(-3.0)", "3.0"), ("ln(2.718) + log10(100) + exp(0)", "4.00"),
    ("1.0 - 1.0", "0.0"), ("cos(90.0°)", "0.00"), ("sin(180.0°)", "0.00"), ("2 · 3", "6.00"), ("1 − 3", "-2.0"),
]  # fmt: skip
FAILS = [
    ("2 * 3", "6.02"), ("2 * 3", "7.00"), ("1.50 / 0.50", "3.10 kN/m"), ("-2.0^2", "4.0"), ("13.3 < 5, so 1", "1.0"),
    ("(not mobilised) + 1", "1.0"), ("", "1.0"), ("2 * 3", "not mobilised"), ("1 / (1.0 - 1.0)", "1.0"),
    ("__import__('os')", "1.0"), ("(1).real", "1.0"), ("[1][0]", "1.0"), ("ln(-1.0)", "1.0"), ("2 * 3", "6.00.1"),
    ("arcsin(1.5)", "1.0"), ("9^9^9^9^9", "1.0"), ("tan(90.0°)", "1.0"), ("1e400 - 1e400", "0.0"),
]  # fmt: skip


@pytest.mark.parametrize(("numbers", "result"), HOLDS)
def test_line_that_gives_its_result_recomputes(numbers: str, result: str) -> None:
    assert recomputes(numbers, (result, 1.0))


@pytest.mark.parametrize(("numbers", "result"), FAILS)
def test_line_that_does_not_give_its_result_does_not(numbers: str, result: str) -> None:
    assert not recomputes(numbers, (result, 1.0))


def test_both_forms_of_a_result_have_to_fit() -> None:
    assert recomputes("0.0062 + 0.0061", ("0.0123 m", 1.0), ("12.3 mm", 1000.0))
    assert not recomputes("0.0062 + 0.0061", ("0.0123 m", 1.0), ("12.9 mm", 1000.0))
    assert not recomputes("0.0062 + 0.0061")


def test_result_in_another_unit_is_brought_into_the_coherent_one() -> None:
    assert recomputes("0.0125 + 0.0125", ("25 mm", 1000.0))
    assert not recomputes("0.0125 + 0.0125", ("27 mm", 1000.0))
    assert recomputes("arcsin(0.5)", ("30.0°", 180 / pi))
    assert recomputes("1 / 8", ("12.5 %", 100.0))


def test_a_changed_digit_is_found_as_the_oracle_of_the_tests_finds_it(plain: Case) -> None:
    """Another reader of the same lines, written for the tests, comes to the same."""
    found = 0
    steps = {step.key: step for part in plain.run.sections for sheet in part.sheets for step in sheet.steps}
    for chapter in chapters(plain.run):
        for step in chapter.steps:
            if not step.numbers or step.value is None:
                continue
            wrong = re.sub(r"[1-9]", lambda digit: str(int(digit[0]) % 9 + 1), step.result, count=1)
            for result in (step.result, wrong):
                whole = f"{result} = {step.also}" if step.also else result
                factor = symbol(steps[step.key].symbol).factor
                forms = [(result, 1.0), (step.also, factor)] if step.also else [(result, factor)]
                own = recomputes(step.numbers, *forms)
                assert own == recomputes_in_tests(step.numbers, whole)
            found += not own

    assert found > 200


@given(st.floats(0.001, 1e6), st.floats(0.001, 1e6), st.sampled_from("+-*/"))
def test_rounded_operands_give_the_rounded_result(one: float, other: float, sign: str) -> None:
    value = {"+": one + other, "-": one - other, "*": one * other, "/": one / other}[sign]

    assert recomputes(f"{one:.4e} {sign} {other:.4e}".replace("e+", "e").replace("e0", "e").replace("e-0", "e-"),
                      (f"{value:.3e}".replace("e+", "e").replace("e0", "e").replace("e-0", "e-"), 1.0))  # fmt: skip
