"""Terms of vertical flow, load that grows evenly, steps, residual settlement: printed example, tables, limits."""

from math import exp, log10
from types import SimpleNamespace

import numpy as np
import pytest

from calc.formulas.consolidation import combined_degree, secondary_settlement
from calc.formulas.consolidation_strength import (
    largest_stress,
    overconsolidation_ratio,
    strength_by_stress_history,
)
from calc.formulas.staged import (
    approximate_vertical_degree,
    creep_by_two_courses,
    degree_counted,
    degree_of_current_load,
    degree_of_last_load,
    degree_of_step,
    end_of_design_life,
    end_of_primary,
    end_of_stage,
    larger_life,
    larger_residual,
    later_secondary,
    mean_pressure_term,
    middle_of_filling,
    more_secondary,
    more_secondary_of_life,
    pair_left,
    placing_exponent,
    preconsolidation_pressure,
    pressure_term,
    reduced_secondary,
    residual_by_other_rule,
    residual_settlement,
    secondary_of_layers,
    secondary_per_cycle,
    settlement_from_traffic,
    settlement_in_time,
    settlement_of_step,
    sublayer_pressure_term,
    term_argument,
    time_since_end_of_filling,
    time_since_filling,
    total_secondary_settlement,
    unreduced_secondary,
)
from tests.references.reader import rows, table

approx = pytest.approx
D2 = table("reclamation_d2")
M = term_argument(np.arange(2000.0))


def ramped_degree(T: float, ramp: float) -> float:
    """By horizontal flow under a load that grows evenly for ``ramp`` and then rests; Olson (1977), by superposition."""
    if ramp >= T:
        return (T - 1 + exp(-T)) / ramp
    return 1 - (exp(ramp) - 1) * exp(-T) / ramp


def test_isochrone_matches_the_reclamation_manual_d2() -> None:
    """Table D2.6 prints three decimals; its time factor is implied between two values."""
    for depth, printed in zip(D2["depths"], D2["vertical"], strict=True):
        zeta = depth / D2["path"]
        low, high = (1 - pressure_term(M, zeta, T).sum() for T in D2["implied"]["T_v"])
        assert low - 0.001 <= printed <= high + 0.001


def test_local_combination_matches_the_reclamation_manual_d2() -> None:
    """97.3 % at the depth of 0.5 m, and with it the stress of 205.5 kPa."""
    local = combined_degree(D2["vertical"][0], D2["implied"]["U_h"])
    gained = D2["stress_before"] + (D2["stress_after"] - D2["stress_before"]) * D2["local_at_top"]

    assert local == approx(D2["local_at_top"], abs=0.0015)
    assert gained == approx(D2["added"][0], abs=0.06)


def test_settlement_of_sublayers_matches_the_reclamation_manual_d2() -> None:
    """Ten sublayers of 1 m from the printed stresses; two decimals are printed of each and of the total of 2.90 m."""
    known = D2["implied"]
    added = [*D2["added"], *reversed(D2["added"])]
    before = [known["first_stress"] + known["stress_per_layer"] * k for k in range(10)]
    found = [known["CR"] * log10((one + more) / one) for one, more in zip(before, added, strict=True)]

    assert found == approx(D2["settlements"], abs=0.006)
    assert sum(found) == approx(D2["total"], abs=0.006)


@pytest.mark.parametrize("row", rows("terzaghi_degrees"), ids=lambda row: f"U={row.U}")
def test_approximate_degree_matches_the_printed_table(row: SimpleNamespace) -> None:
    """CEG 4012 lecture notes, autumn 2011, p. 31: the approximation is within 1.3 % of T, the table within 0.7 %."""
    lower, upper = (approximate_vertical_degree(row.printed * f) for f in (0.98, 1.02))

    assert lower <= row.U / 100 <= upper


def test_mean_over_a_sublayer_is_the_mean_of_the_isochrone() -> None:
    depths = np.linspace(0.3, 0.7, 4001)
    isochrone = pressure_term(M[:, None], depths, 0.05).sum(axis=0)

    assert sublayer_pressure_term(M, 0.3, 0.7, 0.05).sum() == approx(np.trapezoid(isochrone, depths) / 0.4, rel=1e-6)
    assert sublayer_pressure_term(M, 0.0, 1.0, 0.05) == approx(mean_pressure_term(M, 0.05), abs=1e-12)


def test_ramped_degree_reproduces_the_table() -> None:
    known = table("ramp_degrees")
    for row in known["radial"]:
        for ramp, U in zip(known["radial_ramps"][:-1], row["U"][:-1], strict=True):
            assert ramped_degree(row["T"], ramp) == approx(U, abs=5e-5)


def test_step_settles_by_its_own_degree_and_degrees_are_told_apart() -> None:
    settled = settlement_of_step(0.50 - 0.30, 0.6)

    assert settled == approx(0.12)
    assert degree_of_current_load(0.27 + settled, 0.50) == approx(0.78)
    assert degree_of_last_load(0.27 + settled, 0.65) == approx(0.6)


def test_strength_by_ocr_reproduces_the_values() -> None:
    """S 0.22, m 0.8: 6.09 kPa at 20 kPa and OCR 1.5; 14.96 kPa at 68 kPa, normally consolidated. Calculated."""
    sigma_p = preconsolidation_pressure(1.5, 20.0)
    for stress, strength in ((20.0, 6.09), (68.0, 14.96)):
        ratio = overconsolidation_ratio(largest_stress(sigma_p, stress), stress)
        assert strength_by_stress_history(0.22, stress, ratio, 0.8) == approx(strength, abs=0.005)


def test_residual_settlement_is_what_comes_after_hand_over() -> None:
    secondary = total_secondary_settlement(np.array([0.03, 0.06]))[0]

    assert residual_settlement(settlement_in_time(0.48, secondary, 0.05), 0.46, 0.0) == approx(0.16)
    assert residual_settlement(0.62, 0.46, 0.01) == approx(0.17)


def test_the_larger_of_two_methods_counts() -> None:
    assert larger_life(np.array([0.5, 0.4]), np.array([0.45, 0.46])) == approx([0.5, 0.46])
    assert larger_residual(np.array([0.05, 0.04]), np.array([0.06, 0.03])) == approx([0.06, 0.04])


def test_ages_count_from_the_middle_of_the_filling() -> None:
    t_mid = middle_of_filling(10.0, 190.0)

    assert t_mid == approx(100.0)
    assert end_of_primary(240.0, t_mid) == approx(140.0)
    assert time_since_filling(1500.0, t_mid) / end_of_primary(240.0, t_mid) == approx(10.0)


def test_secondary_compression_is_reduced_by_its_factor_and_creep_is_a_difference() -> None:
    assert reduced_secondary(0.5, 0.02) == approx(0.01)
    assert creep_by_two_courses(0.31, 0.29) == approx(0.02)


def test_pairs_of_exponentials_leave_what_the_course_leaves() -> None:
    """A step placed in 14 days and one at once, radial flow alone: the ramp of Olson and a plain exponential."""
    pair = {"w_i": 0.02, "w_j": 0.0}
    placed = placing_exponent(**pair, T_k=14.0)
    left = pair_left(g_i=1.0, g_j=1.0, x_pl=placed, **pair, t_ek=30.0)
    at_once = pair_left(g_i=1.0, g_j=1.0, x_pl=placing_exponent(**pair, T_k=0.0), **pair, t_ek=30.0)

    assert degree_of_step(u_left=left) == approx(ramped_degree(0.02 * 44, 0.02 * 14))
    assert at_once == approx(np.exp(-0.6))
    assert pair_left(g_i=0.7, g_j=1.2, x_pl=placed, **pair, t_ek=30.0) == approx(0.84 * left)


def test_traffic_has_settled_what_the_permanent_load_alone_has_not() -> None:
    assert settlement_from_traffic(0.46, 0.41) == pytest.approx(0.05)


def test_residual_settlement_by_another_rule_differs_by_its_secondary_settlement() -> None:
    """20 mm of 50 mm until the end of the life come after hand-over; halved by the columns, so 40 mm without them."""
    later = later_secondary(0.050, 0.030)
    other = unreduced_secondary(later, 0.5)

    assert other == pytest.approx(0.040)
    assert more_secondary(other, later) == pytest.approx(0.020)
    assert more_secondary_of_life(0.050, 0.5) == pytest.approx(0.050)
    assert residual_by_other_rule(0.090, later, other) == pytest.approx(0.110)
    assert residual_by_other_rule(0.090, later, later) == pytest.approx(0.090)


def test_secondary_settlement_from_the_end_of_filling_sums_its_layers() -> None:
    assert time_since_end_of_filling(400.0, 150.0) == 250.0
    assert secondary_of_layers(np.array([0.004, 0.006])) == pytest.approx(0.010)


def test_degree_counts_up_to_the_one_asked_for() -> None:
    assert degree_counted(0.82, 0.7) == 0.7
    assert degree_counted(0.82, 1.0) == 0.82


def test_a_programme_ends_after_its_last_stage_and_the_design_life_after_hand_over() -> None:
    """30 d and 14 d, 130 d and 28 d; 100 years from day 500 on."""
    assert end_of_stage(np.array([30.0, 130.0]), np.array([14.0, 28.0])) == approx([44.0, 158.0])
    assert end_of_design_life(500.0, 36525.0) == approx(37025.0)


def test_secondary_settlement_per_cycle_is_that_of_a_tenfold_time() -> None:
    """By the formula of the settlement itself, from the end of primary consolidation on."""
    assert secondary_per_cycle(0.01, 2.0) == approx(secondary_settlement(0.01, 2.0, 1000.0, 100.0))
