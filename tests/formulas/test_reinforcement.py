"""Horizontal reinforcement: demand, strength, anchorage, laps; examples in pounds and inches are converted here."""

from math import pi, radians, tan

import numpy as np
import pytest

from calc.formulas import reinforcement as rf
from calc.formulas import sleeve
from tests.references.reader import table

approx = pytest.approx
EXAMPLE = table("ufc_3_220_08fa_chapter_4")
LB_IN = 4.4482216152605e-3 / 0.0254  # kN/m
FOOT = 0.3048  # m
PCF = 4.4482216152605e-3 / FOOT**3  # kN/m3
PSF = 4.4482216152605e-3 / FOOT**2  # kPa


def test_seam_tension_matches_ufc_3_220_08fa_chapter_4() -> None:
    """300 lb/in across the seams: three panels of 16 ft were read there, 75 psf is from memory."""
    given = EXAMPLE["seam"]
    T_pan = rf.seam_tension(given["c_ur_psf"] * PSF, given["panels"], given["width_ft"] * FOOT)

    assert T_pan / LB_IN == approx(given["T_lb_in"], abs=0.5)


def test_drag_has_the_factor_of_a_variable_action_wherever_a_set_has_it() -> None:
    """EN 1997-1, design approach 1: 1.5 on effects in combination 1, 1.3 on actions in combination 2 (Table A.3)."""
    assert rf.design_seam_tension(1.5, 1.0, 60.0) == approx(90.0)
    assert rf.design_seam_tension(1.0, 1.3, 60.0) == approx(78.0)


def test_ultimate_strength_matches_ufc_3_220_08fa_chapter_4() -> None:
    """466 lb/in in warp: half the strength is kept for creep, 2 x 233 lb/in."""
    given = EXAMPLE["ultimate"]
    R_req = sleeve.required_strength(given["T_lb_in"] * LB_IN, 1 / given["creep_share"], 1.0, 1.0, 1.0, 1.0, 1.0)

    assert R_req / LB_IN == approx(given["R_lb_in"], abs=0.5)


def test_tension_across_is_the_larger_of_two_demands() -> None:
    assert rf.tension_across(T_ds=42.0, T_m=60.0, T_stab=80.0) == 102.0
    assert rf.tension_across(T_ds=42.0, T_m=60.0, T_stab=150.0) == 150.0


def test_strength_chain_is_used_up_at_the_required_strength() -> None:
    """The chain of the sleeve serves the reinforcement by renaming; with factors invented here."""
    factors = (1.5, 1.1, 1.2, 1.03, 1.0)
    required = sleeve.required_strength(102.0, *factors, 1.4)
    R_rd = sleeve.design_resistance(sleeve.characteristic_resistance(required, *factors), 1.4)

    assert rf.tension_ratio(T_rd=102.0, R_rd=R_rd) == approx(1.0, rel=1e-12)


def test_design_coefficient_of_friction_is_a_share_of_the_tangent() -> None:
    assert rf.interface_friction(alpha_f=0.8, phi=pi / 4, f_ms=1.25) == approx(0.64, rel=1e-12)


def test_cover_below_a_slope_is_that_of_its_middle() -> None:
    h_an = rf.mean_cover(h_1=3.0, h_2=1.0)

    assert rf.anchorage_pressure(gamma_E=19.0, h_an=h_an) == 38.0


def test_anchorage_length_gives_the_tension_back_as_resistance() -> None:
    mu_1, mu_2 = 0.5, 0.4
    L_b = rf.anchorage_length(f_n=1.0, f_pull=1.3, T_rd=90.0, sigma_b=38.0, mu_1=mu_1, mu_2=mu_2)

    assert rf.anchorage_resistance(38.0, mu_1, mu_2, L_b) == approx(1.3 * 90.0, rel=1e-12)
    assert rf.fold_back_length(1.0, 1.3, 90.0, 1.3 * 90.0, 38.0, mu_1, mu_2) == 0.0


def test_anchorage_length_is_that_of_the_form_with_one_interaction_coefficient() -> None:
    """T FS / (2 C σ tan φ), FHWA-NHI-07-092 from memory, is the same with both faces alike."""
    mu = rf.interface_friction(alpha_f=0.8, phi=radians(32), f_ms=1.0)

    assert rf.anchorage_length(1.0, 1.5, 90.0, 38.0, mu, mu) == approx(
        90 * 1.5 / (2 * 0.8 * 38 * tan(radians(32))), rel=1e-12
    )


def test_straight_and_folded_part_anchor_the_tension_together() -> None:
    straight = rf.anchorage_resistance(sigma_b=38.0, mu_1=0.5, mu_2=0.4, L_b=1.5)
    L_u = rf.fold_back_length(1.1, 1.3, 90.0, straight, 20.0, 0.5, 0.3)

    assert straight + rf.anchorage_resistance(20.0, 0.5, 0.3, L_u) == approx(1.1 * 1.3 * 90.0, rel=1e-12)


def test_straight_part_under_what_is_wrapped_back_holds_by_its_lower_face_alone() -> None:
    """3.7 m with 16 m wrapped back over all of it and with 1.7 m over its end; both parts lie on one another."""
    assert rf.length_clear_of_fold(3.7, 16.0) == 0.0
    assert rf.length_clear_of_fold(3.7, 1.7) == approx(2.0)
    covered = rf.straight_resistance_under_fold(1.2, 0.5672, 0.0, 0.5464, 3.7)
    assert covered == approx(3.7 * 0.5464 * 1.2)
    free = rf.straight_resistance_under_fold(1.2, 0.5672, 3.7, 0.5464, 3.7)
    assert free == approx(rf.anchorage_resistance(1.2, 0.5672, 0.5464, 3.7))
    both = rf.anchorage_on_the_layer(1.2, 0.5672, 2.0, 0.5464, 3.7, 30.0, 1.7)
    lower = rf.straight_resistance_under_fold(1.2, 0.5672, 2.0, 0.5464, 3.7)
    assert both - lower == approx(30.0 * 0.5672 * 1.7)


def test_lap_is_monotonic_in_cover_and_twice_the_anchorage_of_two_faces() -> None:
    cover = np.array([10.0, 20.0, 40.0])
    laps = rf.lap_length(1.3, 90.0, cover, 0.5)

    assert (np.diff(laps) < 0).all()
    assert laps == approx(2 * rf.anchorage_length(1.0, 1.3, 90.0, cover, 0.5, 0.5), rel=1e-12)


def test_strength_of_a_layer_is_the_lower_of_its_formats() -> None:
    assert rf.lower_layer_strength(R_rd=np.array([371.0, 300.0]), T_rDd=350.0).tolist() == [350.0, 300.0]


def test_tension_counted_is_the_lesser_of_strength_and_stiffness_times_strain() -> None:
    """5400 kN/m at 6 %: 324 kN/m, less than 371 and more than 300 kN/m."""
    strained = rf.tension_at_allowed_strain(J_rt=5400.0, eps_all=0.06)

    assert strained == approx(324.0)
    assert rf.mobilised_tension(R_rl=371.06, T_eps=strained) == approx(324.0)
    assert rf.mobilised_tension(R_rl=300.0, T_eps=strained) == 300.0
