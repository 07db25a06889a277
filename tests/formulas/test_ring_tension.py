"""Where and for which actions the ring tension is evaluated, and what halved sublayers change."""

from math import atan, radians, sin, sqrt, tan

import numpy as np
import pytest

from calc.formulas import ring_tension, sleeve
from calc.procedures.cell import solve_cell

approx = pytest.approx


def tension(load: float, *, slack: float, phi: float = radians(32.5)) -> float:
    """Ring tension (kN/m) of the base case of the verification values under a load (kPa), sleeve with slack (m)."""
    solved = solve_cell(
        Dsigma_0=load, a_E=0.15, r_c=0.4, r_geo=0.4 + slack, J=2000, K_ac=(1 - sin(phi)) / (1 + sin(phi)),
        K_0s=1 - sin(radians(20)), K_star=1, sigma_v0s=30, sigma_v0c=50, p_1=30, E_ref=1000, p_ref=100, m=0, nu_s=0.4,
    )  # fmt: skip
    radius = 0.4 / sqrt(1 - float(solved.strain))  # the fill keeps its volume
    return 2000 * max(radius - 0.4 - slack, 0.0) / (0.4 + slack)


def test_factors_on_actions_reproduce_the_case_with_slack() -> None:
    """Case R9 with 10 mm slack, G 100 and Q 20 kPa: 23.1 by factored effects, 33.7 by factored actions, 24.8 kN/m with
    the factored fill of DA1-2; computed once, independently, not a published example. Factored effects alone would
    leave the sleeve a third too weak (EN 1990:2002, 6.3.2(4)).
    """
    permanent, whole = tension(100, slack=0.01), tension(120, slack=0.01)
    effects = sleeve.design_ring_tension(gamma_G=1.35, F_G=permanent, gamma_Q=1.5, F_GQ=whole)
    actions = tension(1.35 * 100 + 1.5 * 20, slack=0.01)

    assert effects == approx(23.1, abs=0.05)
    assert actions == approx(33.7, abs=0.05)
    assert tension(100 + 1.3 * 20, slack=0.01, phi=atan(tan(radians(32.5)) / 1.25)) == approx(24.8, abs=0.05)
    assert sleeve.larger_ring_tension(F_Re=effects, F_Ra=actions) == actions


def test_factors_on_actions_and_effects_are_close_without_slack() -> None:
    permanent, whole = tension(100, slack=0), tension(120, slack=0)
    effects = sleeve.design_ring_tension(gamma_G=1.35, F_G=permanent, gamma_Q=1.5, F_GQ=whole)

    assert tension(165, slack=0) == approx(effects, rel=0.025)
    assert sleeve.larger_ring_tension(F_Re=effects, F_Ra=0.9 * effects) == effects


def test_combination_factors_the_actions_or_takes_those_of_the_set() -> None:
    i_F = np.array([0.0, 1.0])

    assert ring_tension.permanent_factor_of_combination(f_G=1.1, i_F=i_F, gamma_G=1.35) == approx([1.1, 1.1 * 1.35])
    traffic = ring_tension.traffic_factor_of_combination(i_Qr=1, gamma_QS=1.3, i_F=i_F, gamma_Q=1.5)
    assert traffic == approx([1.3, 1.3 * 1.5])
    assert (ring_tension.traffic_factor_of_combination(i_Qr=0, gamma_QS=1.3, i_F=i_F, gamma_Q=1.5) == 0).all()
    assert ring_tension.friction_angle_of_combination(i_F=i_F, phi_ck=0.6, phi_c=0.5) == approx([0.5, 0.6])


@pytest.mark.parametrize(("t_up", "z_h"), [(0.0, 0.4), (0.15, 0.25), (0.4, 0.08), (1.0, 0.08)])
def test_head_zone_ends_half_a_diameter_below_the_head_and_below_the_ground(t_up: float, z_h: float) -> None:
    assert ring_tension.head_zone_depth(d_c=0.8, t_up=t_up) == approx(z_h, rel=1e-12)


def test_top_is_evaluated_below_the_head_zone_and_mid_depth_where_it_is() -> None:
    i_T = np.array([0.0, 1.0])

    assert ring_tension.evaluation_depth(i_T=i_T, z=0.2, h=0.4, z_h=0.4) == approx([0.2, 0.4])
    assert ring_tension.evaluation_depth(i_T=i_T, z=3.5, h=1.0, z_h=0.4) == approx([3.5, 3.0])


def test_no_sublayer_is_evaluated_outside_itself() -> None:
    """From 0.00 to 0.10 m, wholly in a head zone of 0.40 m: the stress there is not that at 0.40 m."""
    i_T = np.array([0.0, 1.0])

    assert ring_tension.evaluation_depth(i_T=i_T, z=0.05, h=0.1, z_h=0.4) == approx([0.05, 0.1])


def test_stress_at_depth_follows_the_unit_weight() -> None:
    """0.7 m of 11 kN/m³, from its middle to its top and back."""
    at_top = ring_tension.initial_stress_at_depth(sigma_v0=0.35 * 11 + 5, gamma_eff=11, z_F=0.0, z=0.35)

    assert at_top == approx(5, rel=1e-12)
    assert ring_tension.initial_stress_at_depth(sigma_v0=at_top, gamma_eff=11, z_F=0.35, z=0.0) == approx(8.85)


def test_changes_count_in_either_direction() -> None:
    assert ring_tension.change_of_settlement(s_h=0.102, s=0.1) == approx(0.02)
    assert ring_tension.change_of_settlement(s_h=0.098, s=0.1) == approx(0.02)
    assert ring_tension.change_of_ring_tension(F_Rdh=97.0, F_Rdm=100.0) == approx(0.03)
