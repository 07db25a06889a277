"""Pore pressure by heads over depth; values of the project's methods, computed once from the stated equations (V1).

Nine metres of 15 kN/m³, water 0.40 m below the ground, the aquifer 1.20 m above it.
"""

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from calc.formulas import pore_pressure as pp
from calc.formulas.staged import preconsolidation_pressure

approx = pytest.approx
GAMMA_W, GAMMA, D_W, HEAD, BASE = 9.81, 15.0, 0.40, 1.20, 9.0
H = np.array([0.4, 1.6, 2.0, 2.0, 2.0, 1.0])
DEPTHS = np.array([2.0, 4.0, 6.0, 8.0])


def steady(z: np.ndarray) -> np.ndarray:
    """Head that falls evenly from the aquifer to the water level."""
    return -D_W + (HEAD + D_W) * (z - D_W) / (BASE - D_W)


def test_stress_at_the_base_reproduces_v1_1() -> None:
    """34.938 kPa under the head, 50.634 kPa for water at rest."""
    w_t = pp.total_weight(gamma_t=GAMMA, h=H)
    z = pp.depth_of_point(h=H, s_p=1.0)
    sigma = pp.total_stress(p_0=0.0, p_fw=pp.free_water(GAMMA_W, D_W), w_t=w_t, s_p=1.0)
    u, u_h = pp.pore_pressure(GAMMA_W, steady(z), z), pp.pressure_at_rest(GAMMA_W, z, D_W)

    assert (z[-1], sigma[-1]) == approx((9.0, 135.0))
    assert (u_h[-1], u[-1]) == approx((84.366, 100.062), abs=5e-4)
    assert pp.effective_stress(sigma, u_h)[-1] == approx(50.634, abs=5e-4)
    assert pp.effective_stress(sigma, u)[-1] == approx(34.938, abs=5e-4)
    assert pp.toe_overburden_with_head(sigma_iB=34.938, gamma_b=10.0, t_emb=0.5) == approx(39.938)


def test_stresses_over_depth_reproduce_v1_2() -> None:
    at_rest = pp.effective_stress(GAMMA * DEPTHS, pp.pressure_at_rest(GAMMA_W, DEPTHS, D_W))
    artesian = pp.effective_stress(GAMMA * DEPTHS, pp.pore_pressure(GAMMA_W, steady(DEPTHS), DEPTHS))

    assert at_rest == approx([14.304, 24.684, 35.064, 45.444], abs=5e-4)
    assert artesian == approx([11.384, 18.114, 24.843, 31.573], abs=5e-4)
    assert pp.least_effective_stress(at_rest, artesian) == approx(artesian)


def test_preconsolidation_reproduces_v1_7() -> None:
    """60.761 kPa by the ratio in the state at rest, 41.926 in the artesian one, where the first is a ratio of 1.74."""
    at_rest, artesian = 135.0 - 84.366, 135.0 - 100.062

    assert preconsolidation_pressure(1.2, at_rest) == approx(60.761, abs=5e-4)
    assert preconsolidation_pressure(1.2, artesian) == approx(41.926, abs=5e-4)
    assert preconsolidation_pressure(1.2, at_rest) / artesian == approx(1.7391, abs=5e-5)


@given(st.floats(-3.0, 5.0), st.floats(0.0, 30.0), st.floats(0.0, 5.0))
def test_pressure_grows_by_the_weight_of_water_with_a_head_that_rises(h: float, z: float, rise: float) -> None:
    """Law: the same rise at every depth is the same pressure at every depth, where there is pressure at all."""
    before, after = pp.pore_pressure(GAMMA_W, h, z), pp.pore_pressure(GAMMA_W, h + rise, z)

    assert after >= before
    if h + z > 0:
        assert after - before == approx(GAMMA_W * rise, abs=1e-9)


def test_water_at_rest_is_a_head_at_the_water_level_at_every_depth() -> None:
    z = np.array([0.2, 0.4, 3.0, 9.0])

    assert pp.pore_pressure(GAMMA_W, -D_W, z) == approx(pp.pressure_at_rest(GAMMA_W, z, D_W), abs=1e-12)


def test_weights_change_at_the_water_level() -> None:
    z = np.array([0.2, 0.6])

    assert pp.total_unit_weight(z, D_W, 11.0, 11.2) == approx([11.0, 11.2])
    assert pp.increase_of_effective_stress(sigma_im=12.0, sigma_it=10.0, h=1.0) == approx(4.0)
    assert pp.free_water(GAMMA_W, -1.5) == approx(1.5 * GAMMA_W)


def test_column_takes_the_lower_pressure() -> None:
    """More effective stress in the column is more ring tension and more pressure on its toe."""
    assert pp.pressure_in_column(u_p=np.array([100.0, 60.0]), u_hp=84.0) == approx([84.0, 60.0])


def test_fall_of_the_pressure_is_the_larger_of_both_bounds() -> None:
    """An artesian state of 100 kPa that stays, that is pumped to 90, and that columns drain to 84 kPa at rest."""
    stays = pp.fall_of_pressure(100.0, 0.0, np.array([0.0, 0.0, 1.0]), np.array([100.0, 90.0, 100.0]), 84.0, 0.0)

    assert stays == approx([0.0, 10.0, 16.0])
    assert pp.load_by_fall_of_water(p_Ww=np.array([3.0, 12.0]), Du_dm=10.0) == approx([10.0, 12.0])
    assert pp.permanent_load_without_fall(Dsigma_G=120.0, p_W=16.0) == approx(104.0)


def test_free_water_that_leaves_or_comes_is_no_fall() -> None:
    """Water at rest 2 m deep over the ground that runs off: total stress and pore pressure fall alike."""
    free = pp.free_water(GAMMA_W, np.array([-2.0, 0.0]))
    pressure = pp.pressure_at_rest(GAMMA_W, 5.0, np.array([-2.0, 0.0]))

    assert pp.fall_of_pressure(pressure[0], free[0], 1.0, pressure[1], pressure[1], free[1]) == approx(0.0, abs=1e-9)
    assert pp.fall_of_pressure(pressure[1], free[1], 1.0, pressure[0], pressure[0], free[0]) == approx(0.0, abs=1e-9)


def test_flow_in_an_open_column_lightens_its_fill_as_its_pore_pressure_does() -> None:
    """Law: the lighter unit weight times the depth is total stress less the pressure of a head that is lost evenly."""
    i_col = pp.gradient_in_column(i_fl=1.0, h_a=HEAD, d_w=D_W, d_B=BASE)
    below = 3.7
    light = pp.unit_weight_with_upward_flow(20.0, GAMMA_W, i_col) * below
    head = -D_W + i_col * below

    assert i_col == approx(1.6 / 8.6)
    assert light == approx(20.0 * below - pp.pore_pressure(GAMMA_W, head, D_W + below))
    assert pp.gradient_in_column(0.0, HEAD, D_W, BASE) == 0
    assert pp.gradient_in_column(1.0, -2.0, D_W, BASE) == 0
