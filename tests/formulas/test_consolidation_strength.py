"""Gain of strength: calculated values, limits at the preconsolidation pressure."""

from math import radians, tan

import numpy as np
import pytest

from calc.formulas import consolidation_strength as cs
from calc.formulas.shear_parameters import soil_stress_share

approx = pytest.approx


def strength(sigma_v0s: float, sigma_pc: float, U_z: float, load: float) -> float:
    now = cs.stress_at_time(sigma_v0s, U_z, load)
    ratio = cs.overconsolidation_ratio(cs.largest_stress(sigma_pc, now), now)
    return float(cs.strength_by_stress_history(0.22, now, ratio, 0.8))


def test_ratio_of_an_angle_gives_the_gain_of_the_angle() -> None:
    angle = radians(13)

    assert cs.gain_above_given(cs.ratio_of_angle(angle), 68.0, 0.0, 20.0) == approx(48.0 * tan(angle))
    assert cs.ratio_of_angle(angle) == approx(tan(angle))


def test_strength_reproduces_calculated_values() -> None:
    """S 0.22, m 0.8 (from memory of Ladd & Foott 1974), σ′ 20 kPa, OCR 1.5; then 60 kPa at 80 %. Calculated."""
    assert strength(20.0, 30.0, 0.0, 60.0) == approx(6.09, abs=5e-3)
    assert strength(20.0, 30.0, 0.8, 60.0) == approx(14.96, abs=5e-3)


def test_gain_is_credited_beyond_the_preconsolidation_pressure_alone() -> None:
    """S 0.22, preconsolidation at 30 kPa: nothing at 26 kPa, at 68 kPa the growth of the strength from there on."""
    assert cs.gain_above_given(0.22, 26.0, 0.0, 30.0) == 0.0
    assert cs.gain_above_given(0.22, 68.0, 0.0, 30.0) == approx(0.22 * 38.0)


def test_credited_gain_is_never_more_than_the_growth_of_the_strength() -> None:
    for U in np.linspace(0, 1, 21):
        growth = strength(20.0, 30.0, U, 60.0) - strength(20.0, 30.0, 0.0, 60.0)
        assert cs.gain_above_given(0.22, cs.stress_at_time(20.0, U, 60.0), 0.0, 30.0) <= growth + 1e-12


def by_share(zeta_p: float, c_u: float = 0.0) -> float:
    """S 0.22, 20 kPa before, 22 kPa preconsolidation, 85 % under 60 kPa at the ratio 2.5 and the area ratio 0.15."""
    share = float(soil_stress_share(2.5, 0.15))
    now = float(cs.stress_by_share(20.0, 0.85, share, zeta_p, 60.0))
    return float(cs.gain_above_given(0.22, now, c_u, 22.0))


def test_gain_by_the_share_of_the_soil_reproduces_the_verification_values() -> None:
    """Under the crest and at mid-slope; computed once, independently, from the stated equation."""
    assert by_share(1.0) == approx(8.719, abs=5e-4)
    assert by_share(0.5) == approx(4.140, abs=5e-4)


def test_strength_given_above_that_of_the_stress_history_delays_the_gain() -> None:
    """0.22 · 22 = 4.84 kPa by the history: a strength given above it takes its excess off the gain."""
    assert cs.strength_at_preconsolidation(0.22, 22.0) == approx(4.84)
    assert by_share(0.5, 4.84) == approx(by_share(0.5))
    assert by_share(0.5, 6.84) == approx(by_share(0.5) - 2.0)
    assert by_share(0.5, 30.0) == 0.0


def test_strength_given_is_held_against_that_by_history() -> None:
    assert cs.ratio_to_stress_history(18.0, 12.0) == approx(1.5)


def test_degree_at_a_depth_is_the_share_of_the_stress_that_has_come() -> None:
    assert cs.degree_at_depth(18.0, 24.0) == approx(0.75)
