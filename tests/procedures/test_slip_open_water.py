"""Open water on the ground: it weighs on the slope, and the water table below the fill stays where it is."""

from dataclasses import replace

import pytest

from calc.procedures.slip import Circle, Layer, Model, Soil, Water, analyse

SLOPE = ((0.0, 4.0), (10.0, 4.0), (18.0, 0.0), (40.0, 0.0))
CIRCLE = Circle(16.0, 6.0, 8.5)


def model(soil: Soil, water: Water | None) -> Model:
    return Model(SLOPE, (Layer(soil),), -10.0, water=water)


@pytest.mark.parametrize("soil", [
    Soil("clay", 17.0, 17.0, c_u=9.0, c_u_growth=0.5, c_u_level=4.0), Soil("silt", 17.0, 17.0, c=4.0, phi=0.4),
])  # fmt: skip
def test_slope_wholly_below_open_water_is_a_dry_slope_of_buoyant_weight(soil: Soil) -> None:
    """Statics: water at rest on and in a slope takes its own weight away and nothing else (common practice)."""
    water = Water(((0.0, 4.0), (10.0, 4.0), (18.0, 0.0), (40.0, 0.0)), open_level=7.0, gamma_w=10.0)
    wet = analyse(model(soil, water), CIRCLE, slices=400)
    dry = analyse(model(replace(soil, gamma=7.0, gamma_sat=7.0), None), CIRCLE, slices=400)
    assert wet.factor == pytest.approx(dry.factor, rel=2e-3)


def test_shallow_open_water_at_the_toe_leaves_the_fill_above_it_dry() -> None:
    water = Water(((0.0, 0.3), (40.0, 0.3)), open_level=0.3)
    table = analyse(model(Soil("sand", 19.0, 19.0, phi=0.57), water), CIRCLE).table
    above = table.y_base >= 0.3
    assert above.any()
    assert (table.u[above] == 0).all()
    assert table.u[~above] == pytest.approx(9.81 * (0.3 - table.y_base[~above]))
