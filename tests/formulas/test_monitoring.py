"""Expected readings and what the design holds up to, by hand and by what must always hold."""

import numpy as np
import pytest

from calc.formulas import monitoring, sleeve
from calc.formulas.shear_parameters import soil_stress_share
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


def test_ground_below_the_toes_has_its_whole_settlement_under_the_last_load() -> None:
    """8 mm under 72 kPa; half of it under half of the load."""
    assert monitoring.settlement_below_by_now(0.008, np.array([0.0, 36.0, 72.0]), 72.0) == approx([0.0, 0.004, 0.008])


def test_effective_stress_is_that_before_and_what_was_gained() -> None:
    assert monitoring.effective_stress_by_now(12.0, 3.5) == approx(15.5)


def test_height_of_water_above_the_toes_by_hand() -> None:
    """Ground at 0.40 m, soft layers of 6.5 m, toes 0.5 m deeper: at −6.60 m; water at −0.10 m stands 6.50 m above."""
    assert monitoring.water_above_toes(-0.10, 0.40, 6.5, 0.5) == approx(6.5)


def test_pressure_counted_on_the_soil_is_the_load_where_soil_and_column_share_alike() -> None:
    """With a stress ratio of 1 the share is 1; with a ratio of 4 and a fifth of the area it is 1 / 1.6."""
    shares = soil_stress_share(a_E=0.2, n_st=np.array([1.0, 4.0]))

    assert monitoring.pressure_counted_on_soil(shares, 80.0) == approx([80.0, 50.0])
