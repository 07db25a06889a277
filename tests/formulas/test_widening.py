"""Widening of a bank: verification values, load summed over the half-space, laws."""

import itertools
from math import atan, pi

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st
from scipy.integrate import quad

from calc.formulas import widening as wd
from calc.formulas.unit_cell import total_settlement

approx = pytest.approx
OLD, NEW = (-13.0, -5.0, 5.0, 13.0), (-13.0, -5.0, 19.0, 27.0)
HEIGHT, WEIGHT = 4.0, 19.0
MIDDLES = np.arange(8) + 0.5
GREENFIELD = 5.0 * MIDDLES + 3.0
Outline = tuple[float, float, float, float]


def state(x: float, degree: float = 1.0, old: Outline | None = OLD, new: Outline = NEW) -> tuple[np.ndarray, float]:
    """Stress increments and settlement at a place of the bank of V6; without an old bank its stress is nothing."""
    inside = wd.influence_of_outline(x, MIDDLES, *(old or OLD)) * (old is not None)
    whole = wd.influence_of_outline(x, MIDDLES, *new)
    before = wd.stress_of_old_bank(WEIGHT, HEIGHT, inside, 0.0, 0.0)
    after = wd.stress_of_widened_bank(WEIGHT, HEIGHT, whole, HEIGHT, inside, WEIGHT, 0.0, 0.0, 0.0, 0.0)
    initial = wd.stress_before_widening(GREENFIELD, degree, before)
    history = wd.preconsolidation_under_old_bank(GREENFIELD + 8.0, initial, 0.0)
    final = wd.stress_after_widening(GREENFIELD, after)
    settled = wd.settlement_by_indices(1.0, 2.0, 0.12, final, history, initial, 0.9)
    return wd.increment_by_widening(after, degree, before), float(total_settlement(settled)[0])


@pytest.mark.parametrize(
    ("x", "increment", "settlement"),
    [(0, 0.437, 0.01979), (5, 7.281, 0.11153), (9, 37.896, 0.51191), (13, 68.355, 1.19330), (16, 73.738, 1.28297)],
)
def test_widening_reproduces_verification_values(x: float, increment: float, settlement: float) -> None:
    """V6: old bank 4 m, 19 kN/m³, crest ±5 m, slopes 1:2, new crest to +19 m; the increment at 2.5 m depth."""
    stress, settled = state(x)

    assert stress[2] == approx(increment, abs=6e-4)
    assert settled == approx(settlement, abs=6e-6)


def test_widening_of_a_bank_that_still_settles_reproduces_verification_values() -> None:
    """V6 with a degree of consolidation of 0.9: the rest of the old bank is part of it; 10 % between 5 and 9 m."""
    assert [state(x, 0.9)[1] for x in (0, 5, 9)] == approx([0.10288, 0.19228, 0.58142], abs=6e-6)
    right, left = state(9.0)[1], state(5.0)[1]
    slope = wd.largest_cross_fall(right, left, left, right, 4.0)
    assert slope == approx(0.100, abs=5e-4)
    assert state(19)[1] == approx(1.21768, abs=6e-6)


def test_without_an_old_bank_the_new_one_settles_as_on_virgin_ground_reproduces_verification_value() -> None:
    assert state(16, old=None)[1] == approx(1.30016, abs=6e-6)


@given(st.floats(-40, 40))
def test_without_a_widening_nothing_settles(x: float) -> None:
    stress, settled = state(x, new=OLD)

    assert (stress == 0).all()
    assert settled == 0


@pytest.mark.parametrize(
    ("x", "z", "stress"),
    [(0, 5, 95.685), (6, 5, 84.672), (11, 5, 49.742), (16, 5, 14.620), (20, 5, 3.787), (0, 2, 99.623), (0, 10, 82.459),
     (16, 2, 6.274), (16, 10, 24.024)],
)  # fmt: skip
def test_stress_below_a_bank_reproduces_verification_values(x: float, z: float, stress: float) -> None:
    """V5.1, V5.2: 5 m, 20 kN/m³, half crest 6 m, slopes 1:2."""
    assert 100 * wd.influence_of_outline(x, z, -16.0, -6.0, 6.0, 16.0) == approx(stress, abs=6e-4)


@pytest.mark.parametrize(("a", "b"), [(1.0, 1.0), (2.0, 1.0), (1.0, 0.5), (1.0, 0.0)])
def test_half_a_bank_matches_the_form_of_osterberg_1957(a: float, b: float) -> None:
    """Influence of half a bank, slope a and crest b to the vertical over depth; the form from memory, high confidence.

    The bank of both halves has twice the influence of one.
    """
    below, beside = atan(b), atan(a + b) - atan(b)
    half = ((a + b) / a * (beside + below) - b / a * below) / pi

    assert wd.influence_of_outline(0.0, 1.0, -a - b, -b, b, a + b) == approx(2 * half)


@given(st.floats(-30, 30), st.floats(0.5, 20))
def test_stress_agrees_with_line_loads_summed_over_the_outline(x: float, z: float) -> None:
    """Flamant (1892): a line load gives 2 z³ / (π r⁴)."""

    def part(at: float) -> float:
        return float(wd.share_of_height(at, *OLD)) * 2 * z**3 / (pi * ((at - x) ** 2 + z**2) ** 2)

    corners = sorted({*OLD, min(max(x, OLD[0]), OLD[3])})
    summed = sum(quad(part, low, high)[0] for low, high in itertools.pairwise(corners))
    assert wd.influence_of_outline(x, z, *OLD) == approx(summed, abs=1e-7)


@given(st.floats(-30, 30), st.floats(0.5, 20))
def test_load_on_the_crest_agrees_with_line_loads_summed_over_it(x: float, z: float) -> None:
    summed = quad(lambda at: 2 * z**3 / (pi * ((at - x) ** 2 + z**2) ** 2), -5.0, 5.0, points=[max(-5.0, min(x, 5.0))])

    assert wd.influence_of_crest(x, z, -5.0, 5.0) == approx(summed[0], abs=1e-7)


@given(st.floats(-30, 30), st.floats(0.5, 20))
def test_mirrored_outline_has_mirrored_stress(x: float, z: float) -> None:
    mirrored = tuple(-one for one in reversed(NEW))

    assert wd.influence_of_outline(-x, z, *mirrored) == approx(float(wd.influence_of_outline(x, z, *NEW)), abs=1e-12)
    assert wd.share_of_height(-x, *mirrored) == approx(float(wd.share_of_height(x, *NEW)), abs=1e-12)


def test_near_the_ground_stress_is_the_height_above() -> None:
    x = np.array([-20.0, -9.0, 0.0, 18.0, 25.0, 40.0])

    assert wd.influence_of_outline(x, 1e-6, *NEW) == approx(wd.share_of_height(x, *NEW), abs=1e-6)
    assert wd.on_crest(x, NEW[1], NEW[2]).tolist() == [0, 0, 1, 1, 0, 0]


def test_recompression_ends_at_the_preconsolidation_pressure() -> None:
    """By hand: 3 m, e_0 = 1, 50 to 200 kPa past 100 kPa; then to 80 kPa only, then back to 40 kPa."""
    settled = [float(wd.settlement_by_indices(3.0, 1.0, 0.1, final, 100.0, 50.0, 1.0)) for final in (200.0, 80.0, 40.0)]

    by_hand = [1.5 * (0.1 * np.log10(2) + np.log10(2)), 1.5 * 0.1 * np.log10(1.6), 1.5 * 0.1 * np.log10(0.8)]
    assert settled == approx(by_hand)


def test_what_the_old_bank_has_not_brought_to_bear() -> None:
    assert wd.increment_of_old_bank(60.0, 0.9) == approx(6.0)
    assert wd.stress_after_widening(20.0, 60.0) == approx(80.0)
    assert wd.settlement_by_widening(0.30, 0.05) == approx(0.25)


def test_slopes_and_differences_by_hand() -> None:
    assert wd.largest_cross_fall(0.12, 0.05, 0.06, 0.02, 2.0) == approx(0.035)  # 120 − 50 mm against 60 − 20 mm
    assert wd.largest_change_of_grade(0.10, 0.12, 0.03, 0.05, 0.02, 0.01, 2.0) == approx(0.08)  # sag 160, hump 70 mm
    assert wd.difference_across_crest(0.12, 0.02) == approx(0.10)
    assert wd.share_after_hand_over(0.15, 0.20) == approx(0.25)
    assert wd.share_after_hand_over(0.25, 0.20) == 0
    assert (wd.left_toe_of_old_bank(-5.0, 2.0, 4.0), wd.right_toe_of_old_bank(5.0, 2.0, 4.0)) == (-13.0, 13.0)


def test_what_can_come_after_hand_over_by_hand() -> None:
    """Columns stand at the second position: 30 % of 80 mm come there; beside them 30 % to all of 200 mm."""
    stand = np.array([0.0, 1.0])

    assert wd.largest_after_hand_over(stand, 0.3, 0.08, 0.2).tolist() == approx([0.2, 0.024])
    assert wd.smallest_after_hand_over(stand, 0.3, 0.08, 0.2).tolist() == approx([0.06, 0.024])


def test_cover_and_weight_over_the_joint() -> None:
    assert wd.cover_over_joint(2.0, np.array([0.0, 0.8, 3.0])).tolist() == [0.0, 0.8, 2.0]
    assert wd.lighter_of_old_and_new(19.0, 1.0, 18.0) == 18.0


def test_old_bank_weighs_on_column_and_soil_so_that_the_cell_is_in_equilibrium_before_widening() -> None:
    """Law: the whole cell carries its own weight and what of the stress from the bank has become effective."""
    a_E, U_O, sigma_O = 0.115, 0.95, 41.1
    soil = wd.stress_before_widening(18.23, U_O, sigma_O)
    column = wd.stress_before_widening(25.47, U_O, sigma_O)

    assert column == approx(25.47 + 39.045)
    assert (1 - a_E) * soil + a_E * column == approx((1 - a_E) * 18.23 + a_E * 25.47 + U_O * sigma_O)


def test_residual_settlement_without_columns_is_all_of_the_primary_one_and_creep_without_its_reduction() -> None:
    assert wd.residual_without_columns(0.118, 0.015, 0.5) == pytest.approx(0.148)
