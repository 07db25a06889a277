"""Expected readings and what the design holds up to, by hand and by what must always hold."""

import numpy as np
import pytest

from calc.formulas import monitoring, sleeve
from calc.formulas.unit_cell import column_stress, ring_strain, ring_tension

approx = pytest.approx


def test_over_design_factor_is_safety_over_the_safety_asked_for() -> None:
    safety, asked = np.array([1.32, 1.05]), np.array([1.10, 1.0])

    assert monitoring.over_design_factor(asked / safety) == approx(safety / asked, rel=1e-12)


def test_rate_of_settlement_by_hand() -> None:
    """0.2455 m less 0.2410 m in a day: 4.5 mm a day."""
    assert monitoring.settlement_rate(0.2455, 0.2410, 1.0) == approx(0.0045, rel=1e-9)


def test_pressure_on_soil_and_columns_carries_the_load_whatever_the_degree() -> None:
    """Vertical equilibrium of the cell holds for total stresses at any time."""
    load, a_E = 60.0, 0.19
    soil = monitoring.pressure_on_soil(np.array([0.0, 8.0, 15.0]), np.array([30.0, 12.0, 0.0]))
    column = column_stress(load, a_E, soil)

    assert a_E * column + (1 - a_E) * soil == approx(np.full(3, load), rel=1e-12)


def test_strain_of_a_tension_is_the_one_that_gives_the_tension() -> None:
    tension = ring_tension(2500.0, 0.012, 0.4)

    assert monitoring.strain_of_tension(tension, 2500.0) == approx(ring_strain(0.012, 0.4), rel=1e-12)


def test_bearable_tension_uses_the_sleeve_up() -> None:
    """Permanent load only and factors of effects: the tension times its factor is the resistance."""
    permanent, gamma_G, resistance = 60.0, 1.35, 110.0
    design = sleeve.design_ring_tension(gamma_G=gamma_G, F_G=permanent, gamma_Q=1.5, F_GQ=permanent)
    bearable = monitoring.bearable_tension(permanent, design / resistance)

    assert gamma_G * bearable == approx(resistance, rel=1e-12)


def test_strength_and_settlement_are_sums_of_their_parts() -> None:
    assert monitoring.strength_with_gain(15.0, 2.5) == approx(17.5)
    assert monitoring.settlement_at_plate(0.210, 0.008) == approx(0.218)
