"""Every formula has the dimension of its symbol: pint calls the function itself, and a reader of its tree agrees."""

import ast
from functools import cache
from typing import Any

import numpy as np
import pint
import pytest

from calc.engine.formula import Formula
from calc.engine.symbols import NOMENCLATURE, Symbol, symbol
from calc.engine.typeset import parse
from tests.each import for_each
from tests.engine.dimensions import ANY, DimensionError, dimension_of, dimension_of_unit
from tests.engine.samples import load_registry, sample

FORMULAS = load_registry()
NAMES = {"-": "dimensionless", "deg": "degree", "a": "year", "%": "percent", "rad": "radian"}


@cache
def registry() -> Any:
    return pint.UnitRegistry(cache_folder=None)


def quantity(number: Any, unit: str) -> Any:
    return registry().Quantity(number, NAMES.get(unit, unit))


@for_each("formula", FORMULAS)
def test_formula_called_with_quantities_has_the_dimension_of_its_symbol(formula: Formula) -> None:
    """pint passes through numpy, also with the bare zeros of where, minimum and maximum."""
    values = sample(formula, 3, seed=1)
    result = formula(**{name: quantity(array, symbol(name).unit) for name, array in values.items()})
    shown = registry().Quantity(result).to(NAMES.get(symbol(formula.symbol).unit, symbol(formula.symbol).unit))

    # Coherent units need no factor: what pint computes with units is what numpy computes without.
    np.testing.assert_allclose(shown.magnitude, formula(**values), rtol=1e-12)


@for_each("formula", FORMULAS)
def test_tree_of_a_formula_has_the_dimension_of_its_symbol(formula: Formula) -> None:
    assert dimension_of(formula.tree) in {dimension_of_unit(symbol(formula.symbol).unit), ANY}


@pytest.mark.parametrize(
    "source",
    [
        "h + w",
        "minimum(h, w)",
        "maximum(w, h)",
        "where(h > w, 1, 2)",
        "where(nu_s > 0, h, w)",
        "exp(h)",
        "log(w)",
        "tan(h)",
        "h ** w",
        "h ** nu_s",
        "h + 1",
        "maximum(h, 1)",
        "over_layers(h) - w",
        "over_layers_above(h) + over_layers_above(w)",
    ],
)
def test_both_ways_refuse_a_wrong_dimension(source: str) -> None:
    from tests.engine.expressions import NUMPY

    names = ("h", "w", "nu_s")
    values = {name: quantity(np.array([[1.0, 2.0]]), symbol(name).unit) for name in names}

    with pytest.raises(DimensionError):
        dimension_of(parse(ast.parse(source, mode="eval").body, names, "wrong"))
    with pytest.raises((pint.DimensionalityError, ValueError), match=r"convert|dimensionless"):
        eval(source, {**NUMPY, **values})  # noqa: S307 - one of the lines above


@for_each("one", NOMENCLATURE.values())
def test_shown_unit_is_the_unit_inside_times_the_factor_of_pint(one: Symbol) -> None:
    assert quantity(1.0, one.unit).to(NAMES.get(one.shown, one.shown)).magnitude == pytest.approx(one.factor, rel=1e-12)


@for_each("one", NOMENCLATURE.values())
def test_unit_inside_is_coherent(one: Symbol) -> None:
    """kN, m, day and radian have no factor between them, so no formula hides one."""
    force, length, time = dimension_of_unit(one.unit)

    coherent = f"kN**{force} * m**{length} * day**{time}"
    assert quantity(1.0, one.unit).to(coherent).magnitude == pytest.approx(1.0, rel=1e-12)


@for_each("one", NOMENCLATURE.values())
def test_printed_unit_has_no_markup(one: Symbol) -> None:
    assert "^" not in one.unit_text + one.coherent_unit_text
