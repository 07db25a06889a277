"""Columns that end in soft ground: transfer by shaft and toe, sharing length, settlement within it."""

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from calc.formulas import below_toe as bt
from calc.formulas import floating as fl
from calc.formulas.unit_cell import total_settlement
from calc.procedures.consolidation_response import vertical_degree

approx = pytest.approx
D, THIN = 0.8, np.full(16, 0.375)  # m


def shares(stress: float, toe: float, tau: float, h: np.ndarray = THIN) -> np.ndarray:
    """Share of every sublayer of a column under even stress and shear that lies within the sharing length."""
    passed = fl.shaft_transfer(np.full(h.shape, tau), h, D)
    return np.asarray(fl.share_in_sharing_length(stress, toe, fl.transfer_below(passed), passed))


def length(stress: float, toe: float, tau: float, h: np.ndarray = THIN) -> float:
    passed = fl.shaft_transfer(np.full(h.shape, tau), h, D)
    return float(fl.sharing_length(shares(stress, toe, tau, h), h, stress, toe, passed)[0])


def test_sharing_length_reproduces_the_verification_value() -> None:
    """(250 − 100) · 0.8 / (4 · 8) = 3.750 m, computed once from the balance of an even column."""
    assert length(250.0, 100.0, 8.0) == approx(3.750, abs=1e-12)
    assert length(250.0, 100.0, 8.0, np.array([0.4, 2.0, 0.1, 1.9, 1.6])) == approx(3.750, abs=1e-12)
    assert shares(250.0, 100.0, 8.0).tolist() == approx([0.0] * 6 + [1.0] * 10, abs=1e-12)


def test_shaft_and_toe_reproduce_the_verification_value() -> None:
    """c_u 10, α 1, 3 m of 0.8 m: 90 + 150 = 240 kPa; 250 kPa need 3.20 m."""
    base = fl.soft_toe_resistance(9.0, 10.0, 0.0)
    tau = fl.shaft_shear(1.0, np.full(3, 10.0), 1.0, np.full(3, 1e6), 0.3)
    resistance = fl.resistance_of_shaft_and_toe(base, fl.shaft_transfer(tau, np.ones(3), D))

    assert float(resistance[0]) == approx(240.0, rel=1e-12)
    assert length(250.0, 90.0, 10.0) == approx(3.20, rel=1e-12)


def test_length_of_equal_bulging_and_toe_resistance_matches_hughes_and_withers() -> None:
    """Hughes & Withers (1974): 25.2 c_u at bulging need 4.1 diameters; both numbers typed from memory, one decimal."""
    assert length(25.2, 9.0, 1.0, np.full(40, 0.1)) / D == approx(4.1, abs=0.05)


def test_a_column_too_short_has_a_sharing_length_beyond_it() -> None:
    """The mean shear goes on: 3 m of 0.8 m pass on 150 kPa of the 250 that stand over a toe of nothing."""
    h = np.full(6, 0.5)

    assert length(250.0, 0.0, 10.0, h) == approx(5.0, rel=1e-12)
    assert shares(250.0, 0.0, 10.0, h).tolist() == [1.0] * 6


def test_shaft_has_the_lesser_of_adhesion_and_friction() -> None:
    tau = fl.shaft_shear(0.5, np.array([10.0, 10.0]), 0.8, np.array([5.0, 50.0]), np.radians(20.0))

    assert tau.tolist() == approx([0.8 * 5.0 * np.tan(np.radians(20.0)), 5.0])


@given(st.floats(0.0, 400.0), st.floats(0.5, 30.0), st.floats(0.0, 300.0))
def test_sharing_length_falls_with_toe_and_shaft(stress: float, tau: float, toe: float) -> None:
    own = length(stress, toe, tau)

    assert own == approx(max(stress - toe, 0.0) * D / (4 * tau), rel=1e-9, abs=1e-9)
    assert length(stress, toe + 10.0, tau) <= own + 1e-12
    assert length(stress, toe, 1.1 * tau) <= own + 1e-12


def test_no_sharing_length_leaves_the_settlement_of_the_cell_to_the_digit() -> None:
    """A toe that carries what the cell gives is that of an end-bearing column."""
    cell, alone = np.linspace(0.01, 0.03, 16), np.full(16, 0.05)
    none, whole = shares(250.0, 250.0, 8.0), shares(1e4, 0.0, 8.0)

    assert fl.settlement_with_sharing_length(none, cell, alone).tolist() == cell.tolist()
    assert fl.settlement_with_sharing_length(whole, cell, alone).tolist() == alone.tolist()
    assert float(fl.toe_penetration(none, alone, cell)[0]) == 0.0
    assert float(fl.toe_penetration(whole, alone, cell)[0]) == approx(float((alone - cell).sum()))


def test_a_longer_column_never_settles_more_in_even_ground() -> None:
    """10 m of even ground on firm ground: columns of 3 to 10 m, below them the soil alone under the whole load."""
    found = []
    for number in range(6, 21):
        h = np.full(number, 0.5)
        cell, alone = np.full(number, 0.02 * 0.5), np.full(number, 0.05 * 0.5)
        s = total_settlement(fl.settlement_with_sharing_length(shares(200.0, 60.0, 6.0, h), cell, alone))
        found.append(float(s[0]) + 0.05 * (10.0 - 0.5 * number))

    assert np.diff(found).max() <= 1e-12


def test_toe_passes_on_what_is_mobilised_and_never_pulls() -> None:
    assert fl.toe_increment(0.5, 9.0, 20.0, 40.0, 60.0) == approx(70.0)
    assert fl.toe_increment(0.0, 9.0, 20.0, 40.0, 60.0) == 0.0


def test_penetration_that_the_toe_needs_falls_with_its_stress() -> None:
    """A tenth of 0.8 m for the whole of 180 kPa; 45 kPa of stress are a quarter, whatever share is counted."""
    assert fl.needed_penetration(0.8, 0.5, 300.0, 9.0, 20.0) == approx(0.040)
    assert fl.needed_penetration(0.8, 0.5, 45.0, 9.0, 20.0) == approx(0.020)


def test_the_soil_alone_and_the_ground_below_carry_the_excess_weight_of_the_columns() -> None:
    """By hand: 0.2 · (60 − 40) = 4 kPa on top of 30; columns lighter than the soil take nothing off it."""
    heavy, light = np.array([60.0, 40.0]), np.array([40.0, 60.0])

    assert fl.stress_of_soil_alone(30.0, 0.2, heavy, light).tolist() == approx([34.0, 30.0])
    assert fl.load_at_toe_level(30.0, fl.excess_weight_at_toe(0.2, heavy, light)).tolist() == approx([34.0, 30.0])


def test_soil_within_the_sharing_length_consolidates_without_load_transfer() -> None:
    found = fl.transfer_factor_with_sharing_length(np.array([0.0, 0.1, 1.0]), 1000.0, 1 / 2500.0)

    assert found.tolist() == approx([2.5, 1.0, 1.0])


def test_soil_within_the_sharing_length_takes_the_whole_load_as_pore_pressure() -> None:
    """By hand: 30 kPa and 4 kPa of excess weight on soil alone; 30 / 1.25 where columns at yield share the load."""
    found = fl.start_pressure_with_sharing_length(np.array([0.0, 0.1, 1.0]), 34.0, 30.0, 1.25)

    assert found.tolist() == approx([24.0, 34.0, 34.0])


def test_geometry_of_block_and_soft_ground() -> None:
    assert fl.width_of_block(7.0, -6.0) == 13.0
    assert fl.width_of_block_of_zone(9.0, 6.5) == 2.5
    assert fl.soft_ground_to_firm_layer(6.0, 4.0) == 10.0


def test_raft_at_the_toes_reproduces_the_verification_values() -> None:
    """B 30 m, 100 kPa: both spreads at 2 m; 4 m of 1500 kPa in one part by spread, in four by the strip.

    The stress of the strip is stated as 99.901 kPa, cut and not rounded: a whole unit of its last digit is allowed.
    """
    h = np.ones(4)
    z = bt.depth_below_toe(h)
    strip = bt.half_space_stress(100.0, bt.strip_angle(30.0, z))

    assert bt.spread_stress(100.0, 30.0, 2.0) == approx(93.75)
    assert bt.half_space_stress(100.0, bt.strip_angle(30.0, 2.0)) == approx(99.901, abs=1e-3)
    assert bt.sublayer_settlement_below_toe(93.75, 1500.0, 4.0) == approx(0.2500)
    assert float(bt.settlement_below_toe(bt.sublayer_settlement_below_toe(strip, 1500.0, h))[0]) == approx(
        0.26617, abs=5e-6
    )


def test_half_of_the_settlement_below_comes_at_the_time_factor_of_terzaghi() -> None:
    """Terzaghi (1925), T_v 0.197 for 50 %, three digits of handbooks, typed from memory."""
    T_v = bt.time_factor_below_toe(0.00197, bt.age_at_hand_over(500.0, 100.0), 2.0)
    U = vertical_degree(np.full(3, T_v))
    settled = bt.settled_below_at_hand_over(np.array([0.02, 0.03, 0.05]), U, 60.0, 80.0)

    assert T_v == approx(0.197)
    assert float(settled[0]) == approx(0.5 * 0.1 * 0.75, rel=2e-3)
    assert bt.age_at_hand_over(100.0, 500.0) == 0.0
    assert bt.residual_below_in_time(0.10, 0.04, 0.12, 0.07) == approx(0.06)
