"""Spread of load below the column toes and settlement there."""

from math import pi
from types import SimpleNamespace

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from calc.formulas import below_toe as bt
from tests.references.reader import rows

approx = pytest.approx


def half_space(width: float, depth: float) -> float:
    """Share of the pressure at this depth below the centre of the strip."""
    return float(bt.half_space_stress(1.0, bt.strip_angle(width, depth)))


@pytest.mark.parametrize("row", rows("bearing_strip_stress"), ids=lambda row: f"z/B={row.depth}")
def test_half_space_matches_the_handbook_table_of_a_strip(row: SimpleNamespace) -> None:
    """Handbook values after Boussinesq (1885) and Jürgenson (1934), typed from memory."""
    assert half_space(10.0, 10.0 * row.depth) == approx(row.share, abs=0.5 * 10**-row.digits)


@given(st.floats(2.0, 60.0), st.floats(0.5, 60.0))
def test_half_space_agrees_with_line_loads_summed_over_the_strip(width: float, depth: float) -> None:
    """Flamant (1892): a line load gives 2 z³ / (π r⁴); 4000 of them make the strip."""
    x = (np.arange(4000) + 0.5) * width / 4000 - width / 2
    summed = float((2 * depth**3 / (pi * (x**2 + depth**2) ** 2)).sum()) * width / 4000

    assert half_space(width, depth) == approx(summed, rel=1e-4)


def test_spread_of_two_to_one_keeps_the_load() -> None:
    z_b = np.array([0.0, 5.0, 20.0])
    stress = bt.spread_stress(100.0, 20.0, z_b)

    assert stress * (20.0 + z_b) == approx(np.full(3, 2000.0), rel=1e-12)
    assert stress == approx(np.array([100.0, 80.0, 50.0]), rel=1e-12)


def test_both_spreads_begin_with_the_whole_pressure_and_fade() -> None:
    """Directly below the toe all of it; the centre of the half-space stays above the mean of the spread load for
    shallow depth and both go to nothing."""
    depth = np.array([1e-9, 2.0, 10.0, 40.0, 1e9])
    spread, elastic = bt.spread_stress(100.0, 20.0, depth), bt.half_space_stress(100.0, bt.strip_angle(20.0, depth))

    for one in (spread, elastic):
        assert one[0] == approx(100.0, rel=1e-6)
        assert one[-1] == approx(0.0, abs=1e-5)
        assert (np.diff(one) < 0).all()
    assert elastic[1] > spread[1]


def test_loaded_width_has_the_weight_of_the_trapezium() -> None:
    """Crest 12 m, 5 m high, slopes 1:2 and 1:3: base 37 m, mean 24.5 m; the first 2 m are 37 m and 27 m wide."""
    assert bt.loaded_width(12.0, 2.0, 3.0, 5.0, 5.0) == approx((12 + 37) / 2, rel=1e-12)
    assert bt.loaded_width(12.0, 2.0, 3.0, 5.0, 2.0) == approx((37 + 27) / 2, rel=1e-12)
    assert bt.loaded_width(12.0, 0.0, 0.0, 5.0, 5.0) == 12.0


def test_depths_below_the_toe_are_the_middles_of_the_sublayers() -> None:
    assert bt.depth_below_toe(np.array([1.0, 2.0, 3.0])) == approx(np.array([0.5, 2.0, 4.5]), rel=1e-12)


def settlement(count: int, depth: float = 12.0) -> float:
    """Settlement of a uniform layer below the toe in this many sublayers, spread two to one."""
    h_b = np.full(count, depth / count)
    stress = bt.spread_stress(100.0, 20.0, bt.depth_below_toe(h_b))
    return float(bt.settlement_below_toe(bt.sublayer_settlement_below_toe(stress, 20_000.0, h_b))[0])


def test_settlement_goes_to_the_integral_of_the_spread_stress() -> None:
    """p B / E times ln((B + t) / B) for a uniform layer."""
    exact = 100.0 * 20.0 / 20_000.0 * np.log(32.0 / 20.0)

    assert settlement(1) == approx(exact, rel=0.02)
    assert settlement(200) == approx(exact, rel=1e-6)
    assert abs(settlement(4) - exact) < abs(settlement(2) - exact) < abs(settlement(1) - exact)


def test_settlement_is_monotonic_in_the_depth_of_the_layers() -> None:
    assert settlement(20, 6.0) < settlement(20, 12.0) < settlement(20, 24.0)


def test_settlements_of_soft_ground_and_ground_below_add_up() -> None:
    assert bt.settlement_with_ground_below(s_L=0.42, s_b=0.03) == approx(0.45, rel=1e-12)


def test_larger_of_the_two_settlements_of_the_soft_ground() -> None:
    assert bt.larger_settlement_of_soft_ground(np.array([0.4, 0.3]), np.array([0.35, 0.5])) == approx([0.4, 0.5])


def test_drained_ground_leaves_the_share_of_later_load_to_the_residual() -> None:
    """114 kPa by hand-over and 6 kPa of traffic later leave one twentieth; nothing by hand-over leaves all."""
    assert bt.residual_settlement_below(0.020, 120.0, np.array([114.0, 120.0, 0.0])) == approx([0.001, 0.0, 0.020])
    assert bt.life_with_ground_below(0.433, 0.020) == approx(0.453)
    assert bt.residual_with_ground_below(0.141, 0.001) == approx(0.142)


def test_depth_and_stress_that_the_sum_ends_with_by_hand() -> None:
    assert bt.depth_of_sum(np.array([1.0, 1.5, 2.0])) == approx(4.5)
    assert bt.stress_left_below(24.0, 96.0) == approx(0.25)


def test_berms_widen_the_strip_by_what_weighs_as_much() -> None:
    """The load is that of bank and berms together; without berms the width is that of the bank."""
    bank = bt.loaded_width(12.0, 2.0, 2.0, 6.0, 6.0)
    width = bt.loaded_width_with_berms(12.0, 2.0, 2.0, 6.0, 6.0, 9.0, 15.0)

    assert width * 6.0 == approx(bank * 6.0 + 24.0)
    assert bt.loaded_width_with_berms(12.0, 2.0, 2.0, 6.0, 6.0, 0.0, 0.0) == bank
