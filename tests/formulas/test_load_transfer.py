"""Cell of the load transfer, settlement difference of ground and column heads, critical height, surface."""

from math import sqrt

import numpy as np
import pytest

from calc.formulas import load_transfer as lt
from tests.formulas.arching_case import ROUND_HEAD, common

approx = pytest.approx


def test_cell_of_the_common_case_carries_280_kN() -> None:
    case = common()

    assert case.F_cell == approx(280.0, rel=1e-12)
    assert lt.equivalent_square_width(ROUND_HEAD) == approx(0.8, rel=1e-12)
    assert lt.equivalent_square_spacing(4.0) == 2.0


def test_critical_height_reproduces_the_common_case() -> None:
    """1.15 (2/√2 − d/2) + 1.44 d for the head of the common case: s′ 0.963 m, 2.41 m."""
    s_far = lt.farthest_distance_in_square_grid(2.0, ROUND_HEAD)

    assert s_far == approx(0.963, abs=5e-4)
    assert lt.critical_height(s_far, ROUND_HEAD) == approx(2.41, abs=5e-3)
    assert lt.partial_arching_height(2.0, 0.8) == approx(0.84, rel=1e-12)
    assert lt.full_arching_height(2.0, 0.8) == approx(1.68, rel=1e-12)


def test_farthest_point_of_a_triangular_grid_is_the_centroid_of_three_columns() -> None:
    corners = np.array([[0, 0], [2, 0], [1, sqrt(3)]])
    distance = np.linalg.norm(corners - corners.mean(axis=0), axis=1)

    assert lt.farthest_distance_in_triangular_grid(2.0, 0.8) == approx(float(distance[0]) - 0.4, rel=1e-12)


@pytest.mark.parametrize(("H", "share"), [(0.0, 1.0), (1.2, 0.5), (2.4, 0.0), (5.0, 0.0)])
def test_difference_fades_to_nothing_at_the_critical_height(H: float, share: float) -> None:
    assert lt.surface_difference(Ds_h=0.04, H=H, H_crit=2.4) == approx(0.04 * share, abs=1e-15)


def test_equal_settlement_gives_back_the_stresses_of_the_unit_cell() -> None:
    """Secant moduli of a cell with 20 kPa on the soil, 200 kPa on the column and 0.3 m settlement."""
    a_E, soil, column, s = 0.15, 20.0, 200.0, 0.3
    k_s, k_c = lt.subgrade_modulus(Dsigma_vs=soil, s=s), lt.subgrade_modulus(Dsigma_vs=column, s=s)
    sigma_E = a_E * column + (1 - a_E) * soil

    assert lt.soil_pressure_at_equal_settlement(k_s, a_E, k_c, sigma_E) == approx(soil, rel=1e-12)
    assert lt.column_pressure(sigma_E, a_E, soil) == approx(column, rel=1e-12)
    assert k_s == approx(20 / 0.3, rel=1e-12)


def test_settlement_difference_is_that_of_the_two_pressures() -> None:
    k_s, k_c, a_E, sigma_E, Ds_h = 80.0, 900.0, 0.15, 70.0, 0.12
    soil = lt.soil_pressure(k_s, a_E, k_c, Ds_h, sigma_E)
    column = lt.column_pressure(sigma_E, a_E, soil)

    assert soil / k_s - column / k_c == approx(Ds_h, rel=1e-12)


def test_arching_grows_with_the_difference_and_ends_at_its_full_value() -> None:
    pressure = [lt.pressure_on_reinforcement(Ds, 0.05, 70.0, 26.0, 20.0) for Ds in (0.0, 0.025, 0.05, 0.2)]

    assert pressure == approx([70.0, 48.0, 26.0, 26.0], rel=1e-12)
    assert lt.pressure_on_reinforcement(np.zeros(1), np.zeros(1), 70.0, 15.0, 20.0) == 20.0


def test_membrane_pressure_is_that_of_two_strips_over_the_area_beside_the_head() -> None:
    F_m = lt.strip_load(sigma_sA=12.0, A_s=3.36)

    assert lt.membrane_pressure(F_m, F_m, 3.36) == approx(12.0, rel=1e-12)
    assert lt.pressure_gap(sigma_o=30.0, sigma_su=18.0, sigma_m=12.0) == 0.0
    assert lt.sag_at_difference(Ds_h=0.02, eta_f=2 / 3) == approx(0.03, rel=1e-12)


def test_layers_of_a_direction_side_by_side_are_as_stiff_as_their_sum() -> None:
    assert lt.stiffness_of_direction(np.array([[1200.0, 800.0], [600.0, 400.0]])) == approx(
        np.array([[2000.0], [1000]])
    )
