"""Uplift and hydraulic failure; values of the project's methods, computed once from the stated equations (V1).

Nine metres of 15 kN/m³, water 0.40 m below the ground, the aquifer 1.20 m above it: 135 kPa on 100.062 kPa. The factors
of EN 1997-1 are those recommended in its Tables A.15 to A.17, from memory.
"""

import numpy as np
import pytest

from calc.formulas import uplift as up
from calc.formulas.seepage import destabilising_pressure

approx = pytest.approx
GAMMA_W, SIGMA, U, U_H = 9.81, 135.0, 100.062, 84.366
DAY = 86400.0


def utilisation(dst: float, stb: float, sigma: float = SIGMA, resistance: float = 0.0) -> float:
    return float(up.lifting_pressure(dst, U, 1.5, GAMMA_W, 0.0) / up.weight_against_uplift(stb, sigma, resistance))


def seepage(u: float, rest: float, *, rise: float = 0.0, part: float = 1.0) -> float:
    return float(up.seepage_force(1.35, u, rest, 1.5, part, GAMMA_W, rise))


def test_flow_through_one_layer_reproduces_v1_3() -> None:
    """Gradient 0.18605, critical 0.52905, their ratio 2.8437."""
    Dh = up.head_of_aquifer(h_a=1.2, d_w=0.4)
    k, h = np.array([1e-9 * DAY]), np.array([8.6])
    i = up.gradient_in_layer(up.steady_flow(Dh, h, k), k)
    critical = up.critical_gradient(15.0, GAMMA_W)

    assert Dh == approx(1.6)
    assert i == approx(0.18605, abs=5e-6)
    assert critical == approx(0.52905, abs=5e-6)
    assert up.safety_against_flow(critical, i) == approx(2.8437, abs=5e-5)


def test_flow_through_two_layers_reproduces_v1_4() -> None:
    """6.0 m of 1e-9 and 2.6 m of 1e-8 m/s: losses 1.53355 and 0.06645 m; 73.904 kPa at 6.4 m."""
    z, h = np.array([0.2, 3.4, 7.7]), np.array([0.4, 6.0, 2.6])
    k = np.array([1e-9, 1e-9, 1e-8]) * DAY
    wet = up.saturated_thickness(z, 0.4, h)
    v = up.steady_flow(1.6, wet, k)
    lost = up.loss_in_layer(up.gradient_in_layer(v, k), wet)
    level = up.level_by_flow(0.4, lost)

    assert wet == approx([0.0, 6.0, 2.6])
    assert v / DAY == approx(2.5559e-10, abs=5e-15)
    assert lost[1:] == approx([1.53355, 0.06645], abs=5e-6)
    assert lost.sum() == approx(1.6, rel=1e-12)
    assert level[-1] == approx(1.2)
    assert GAMMA_W * (level[1] + 6.4) == approx(73.904, abs=5e-4)


def test_uplift_reproduces_v1_5() -> None:
    assert utilisation(1.00, 0.90) == approx(0.8236, abs=5e-5)
    assert utilisation(1.05, 0.95) == approx(0.8192, abs=5e-5)


def test_hydraulic_failure_by_seepage_force_reproduces_v1_5() -> None:
    """0.4650; factors on the whole of the pressure would give 1.1118, which is why (2.9a) is not used."""
    force, weight = seepage(U, U_H), up.submerged_weight(0.90, SIGMA, U_H)

    assert force / weight == approx(0.4650, abs=5e-5)
    assert 1.35 * U / (0.90 * SIGMA) == approx(1.1118, abs=5e-5)


def test_deepest_dry_pit_reproduces_v1_6() -> None:
    """1.588 m: there the utilisation is 1."""
    h_x = up.thickness_dug_out(1.588, np.array([0.0, 0.4, 2.0]), np.array([0.4, 1.6, 7.0]))
    dug = up.weight_dug_out(15.0, h_x)
    sigma = up.stress_below_pit(SIGMA, 0.0, dug, GAMMA_W, 1.588, 1.588)

    assert h_x == approx([0.4, 1.188, 0.0])
    assert utilisation(1.0, 0.9, float(sigma[0])) == approx(1.0, abs=5e-4)
    assert up.stress_below_pit(SIGMA, 0.0, dug, GAMMA_W, 1.588, 0.588) == approx(sigma + GAMMA_W)


def test_soil_left_in_a_casing_reproduces_v1_6() -> None:
    """3.191 m in a casing of 0.8 m with an adhesion of half of 10 kPa over 1.4 hold 100.062 kPa."""
    adhesion = up.adhesion_in_casing(alpha_pl=0.5, c_upl=10.0, gamma_cpl=1.4, d_c=0.8)
    resistance = up.resistance_in_casing(adhesion, t_cas=3.191)
    dry = up.stress_in_casing(gamma_cas=15.0, t_cas=3.191, gamma_w=GAMMA_W, h_wc=0.0)

    assert utilisation(1.0, 0.9, float(dry), float(resistance)) == approx(1.0, abs=5e-4)
    assert up.stress_in_casing(15.0, 3.191, GAMMA_W, 2.0) == approx(dry + 2 * GAMMA_W)
    assert up.least_soil(U, 0.9, GAMMA_W, 0.0, 15.0, adhesion) == approx(3.191, abs=5e-4)


@pytest.mark.parametrize("level", [0.0, 3.0, 6.0, 9.0])
def test_least_soil_in_a_casing_holds_exactly_the_pressure(level: float) -> None:
    """Law: with it the utilisation is 1, whether water stands over it or not."""
    least = float(up.least_soil(U, 0.9, GAMMA_W, level, 15.0, 17.86))
    over = up.water_over_soil(level, least)
    resistance = up.resistance_in_casing(17.86, least)

    assert utilisation(1.0, 0.9, float(up.stress_in_casing(15.0, least, GAMMA_W, over)), resistance) == approx(1.0)


def test_casing_at_rest_reproduces_v1_1() -> None:
    """The aquifer 1.20 m above the ground, here at +2.0 m: water at +3.20 m, 10.2 m over the base, is at rest."""
    height = up.level_at_rest(U, GAMMA_W, 1.5, 0.0)

    assert height == approx(10.2)
    assert up.least_water_level(2.0, 9.0, height) == approx(3.2)
    assert up.water_over_base(3.2, 2.0, 9.0) == approx(10.2)
    assert up.level_at_rest(U, GAMMA_W, 1.5, 0.3) == approx(10.65)


def test_free_water_beside_a_pit_does_not_hold_its_bottom() -> None:
    assert up.stress_below_pit(SIGMA + 9.81, 9.81, 30.0, GAMMA_W, 2.0, 2.0) == approx(105.0)


def test_rise_of_the_head_has_its_own_factor() -> None:
    """In uplift, in seepage through soil and columns, and below a plug."""
    more = 1.5 * GAMMA_W * 0.3

    assert up.lifting_pressure(1.0, U, 1.5, GAMMA_W, 0.3) - U == approx(more)
    assert seepage(U, U_H, rise=0.3) - seepage(U, U_H) == approx(more)
    assert up.seepage_force_in_column(1.35, 0.1, 1.5, 0.3, 9.0, 0.4, GAMMA_W) == approx(0.135 * GAMMA_W + more / 8.6)
    assert destabilising_pressure(1.0, 20.0, 1.5, GAMMA_W, 0.3) - 20.0 == approx(more)


def test_rise_of_the_head_dies_out_up_to_the_water_level() -> None:
    """In full below the aquifer's cover, half of it half-way up to the water level, none above; open water counts 0."""
    part = up.part_of_rise(np.array([0, 0, 0, 1]), np.array([0.2, 0.4, 4.7, 9.0]), 0.4, 9.0)

    assert part == approx([0.0, 0.0, 0.5, 1.0])
    assert up.part_of_rise(0, 4.5, -1.0, 9.0) == approx(0.5)


def test_gradient_in_a_column_is_seepage_force_over_depth() -> None:
    """Law: what holds for a unit of the column holds for its whole length."""
    i = 1.6 / 8.6
    force = seepage(U_H + GAMMA_W * 1.6, U_H)
    weight = up.submerged_weight(0.9, 20.0 * 8.6, GAMMA_W * 8.6)

    assert up.seepage_force_in_column(1.35, i, 1.5, 0.0, 9.0, 0.4, GAMMA_W) * 8.6 == approx(force)
    assert up.submerged_weight_of_column(0.9, 20.0, GAMMA_W) * 8.6 == approx(weight)


def test_water_in_a_pit_counts_from_its_own_level() -> None:
    assert up.pressure_at_rest_below_pit(GAMMA_W, z_p=9.0, d_xw=1.0) == approx(8 * GAMMA_W)
