"""Every registered equation: what is printed, read by a second reader, is what is computed."""

import numpy as np
import pytest

from calc.engine.formula import Formula
from calc.engine.sheet import printed_numbers
from calc.engine.symbols import NOMENCLATURE, symbol
from calc.engine.typeset import equation, is_level, set_numbers
from tests.each import for_each
from tests.engine.calculator import calculated, seen_text
from tests.engine.mathml_reader import printed_key, read_equation
from tests.engine.samples import load_registry, sample, sheet_of

FORMULAS = load_registry()
SAMPLES = 40
SEEDS = (1, 2, 3)
COMPARED = 6


@for_each("formula", FORMULAS)
@pytest.mark.parametrize("negative", [0.0, 0.3], ids=["positive", "mixed signs"])
def test_printed_equation_evaluates_to_the_computed_value(formula: Formula, negative: float) -> None:
    for seed in SEEDS:
        values = sample(formula, SAMPLES, seed, negative=negative)
        computed = formula(**values)
        seen = {printed_key(symbol(name).printed): array for name, array in values.items()}
        assert np.isfinite(computed).mean() > 0.2  # else nothing would be compared
        for level in {False, is_level(formula.tree)}:
            with np.errstate(all="ignore"):
                left, read = read_equation(equation(formula.symbol, formula.tree, level=level), seen)

            assert left == printed_key(symbol(formula.symbol).printed)
            np.testing.assert_allclose(read, computed, rtol=1e-9, atol=0)


@pytest.mark.slow
@for_each("formula", FORMULAS)
@pytest.mark.parametrize("negative", [0.0, 0.3], ids=["positive", "mixed signs"])
def test_line_with_numbers_evaluates_to_the_computed_value(formula: Formula, negative: float) -> None:
    compared = 0
    for seed in range(1, 13):  # with some there is no number
        sheet = sheet_of(formula, seed, negative=negative)
        given = {name: sheet[name].array for name in formula.arguments}
        if not np.isfinite(formula(**given)).all():
            continue
        result = sheet(formula)
        for lane in range(result.array.size):
            case = result.case_at(lane)
            line = printed_numbers(sheet.steps[-1], case)
            assert calculated(line) == pytest.approx(result.number(case), rel=1e-9, abs=0), line
            as_set = seen_text(printed_numbers(sheet.steps[-1], case, write=set_numbers))
            assert calculated(as_set) == pytest.approx(result.number(case), rel=1e-9, abs=0), as_set
            compared += 1
        if compared >= COMPARED:
            break

    assert compared >= 3


@for_each("formula", FORMULAS)
def test_renamed_equation_prints_the_new_symbols(formula: Formula) -> None:
    """One formula serves many symbols: the print must follow the renaming in every place."""
    others = [name for name in NOMENCLATURE if name not in formula.arguments][: len(formula.arguments) + 1]
    names = dict(zip((formula.symbol, *formula.arguments), others, strict=True))
    values = sample(formula, 5, 4)
    seen = {printed_key(symbol(names[name]).printed): array for name, array in values.items()}
    with np.errstate(all="ignore"):
        left, read = read_equation(equation(formula.symbol, formula.tree, names), seen)

    assert left == printed_key(symbol(others[0]).printed)
    np.testing.assert_allclose(read, formula(**values), rtol=1e-9, atol=0)
