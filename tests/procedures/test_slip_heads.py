"""Pore pressure by heads over depth in slip surfaces, against water tables and piezometric lines of single layers."""

from dataclasses import replace

import numpy as np
import pytest

from calc.procedures.slip import Layer, Model, Result, SlipError, Water, analyse
from tests.procedures.slip_cases import R1_CIRCLE, wet, with_columns

approx = pytest.approx

LEVEL = -0.5
SLICES = 200  # as many as thin layers need


def factor(model: Model) -> float:
    found: Result = analyse(model, R1_CIRCLE, "bishop", slices=SLICES)
    return found.factor


def with_heads(
    model: Model, *points: tuple[float, float], columns: tuple[tuple[float, float], ...] | None = None
) -> Model:
    assert model.water is not None
    return replace(model, water=replace(model.water, heads=points, column_heads=columns))


def still() -> Model:
    """The drained case with a level water table, half a metre below the ground in front of it."""
    return replace(wet(), water=Water(((-40.0, LEVEL), (40.0, LEVEL))))


@pytest.mark.parametrize("columns", [False, True], ids=["soil", "with columns"])
def test_heads_at_the_water_level_give_the_digits_of_the_water_table(columns: bool) -> None:
    model = with_columns(still()) if columns else still()
    there = LEVEL
    at_rest = with_heads(model, (-30.0, there), (there, there), columns=((-30.0, there), (there, there)))

    assert factor(at_rest) == approx(factor(model), rel=1e-12)


def test_even_head_is_that_of_a_piezometric_line_in_every_layer() -> None:
    """The piezometric line of a layer is a code of its own."""
    model, head = still(), LEVEL + 1.5
    ends = ((model.surface[0][0], head), (model.surface[-1][0], head))
    lined = replace(model, layers=tuple(replace(layer, piezometric=ends) for layer in model.layers))

    assert factor(with_heads(model, (-30.0, head), (10.0, head))) == approx(factor(lined), rel=1e-12)


def test_head_over_depth_is_that_of_many_thin_layers_with_lines_of_their_own() -> None:
    """Forty layers with the head of their middle against the head that changes evenly: 0.02 % of the factor."""
    model, there = still(), LEVEL
    last, deep = model.layers[-1], -12.0
    x = (model.surface[0][0], model.surface[-1][0])
    edges = np.linspace(there, deep, 41)
    heads = np.interp((edges[1:] + edges[:-1]) / 2, [deep, there], [there + 3.0, there])
    thin = [
        Layer(last.soil, tuple((place, float(top)) for place in x), tuple((place, float(head)) for place in x))
        for top, head in zip(edges[:-1], heads, strict=True)
    ]
    layered = replace(model, layers=(*model.layers, *thin))

    by_points = factor(with_heads(model, (deep, there + 3.0), (there, there)))
    assert by_points == approx(factor(layered), rel=2e-4)
    assert by_points < 0.97 * factor(model)


def test_head_in_the_columns_takes_from_their_friction_alone() -> None:
    model, there = with_columns(still()), LEVEL
    at_rest = ((-30.0, there), (there, there))
    rising = ((-12.0, there + 3.0), (there, there))
    both = with_heads(model, *at_rest, columns=rising)

    assert factor(both) < factor(model)
    assert factor(with_heads(model, *rising, columns=rising)) < factor(both)


def test_heads_that_go_down_are_refused() -> None:
    with pytest.raises(SlipError, match=r"water\.heads must be finite, with levels from the bottom up"):
        analyse(with_heads(still(), (0.0, 0.0), (-5.0, 0.0)), R1_CIRCLE, "bishop")
