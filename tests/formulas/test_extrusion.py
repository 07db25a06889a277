"""Extruding wedge with columns: verification values, equilibrium, limits."""

from dataclasses import replace
from math import radians

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from calc.formulas import extrusion as ex
from calc.formulas import shear_parameters
from calc.procedures.extrusion import COUNTED_RATIO, Wedge, beyond_columns, critical_thickness
from calc.procedures.failures import ProcedureError
from tests.formulas.extruded_ground import failure_pressure
from tests.formulas.rebuilt_banks import MUST_FAIL, STOOD, extrusion_safety

approx = pytest.approx
COLUMNS = {"a_E": 0.15, "d_c": 0.8, "phi_c": radians(30.0), "gamma_ceff": 9.0, "n_st": 2.5}
MU_S = float(shear_parameters.soil_stress_share(2.5, 0.15))
WEDGE = Wedge(10.0, 10.0, 10.0, 0.0, 11.0, 11.0, 0.0, 0.15, np.pi * 0.16 / 0.15, 0.8, radians(30.0), 9.0, 182.0)


def fails(**changes: float) -> float:
    """Pressure at which the first ground without columns fails, with some of its values changed."""
    ground = {"t_soft": 6.0, "L_S": 11.0, "b_g": 0.0, "c_u0": 10.0, "rho_u": 0.0}
    return failure_pressure(**COLUMNS | ground | changes)


def test_wedge_without_columns_reproduces_the_verification_values() -> None:
    """(40 + 18.33)/1.03, and columns that end at the crest edge; computed once, independently, from the equations."""
    assert fails() == approx(56.63, abs=5e-3)
    assert fails(t_soft=3, L_S=12, c_u0=8, rho_u=1) == approx(79.0, abs=0.5)
    assert beyond_columns(6.0, 10.0, 0.0, 0.0, 11.0) == approx((40 + 110 / 6) / 1.03, rel=1e-12)


def test_wedge_with_columns_to_the_toe_reproduces_the_verification_values() -> None:
    """All load permanent, so that the shear force of the columns is that under the pressure found."""
    assert fails(b_g=11) == approx(89.2, abs=0.05)
    assert fails(t_soft=4, L_S=18, b_g=18, c_u0=5, rho_u=1.5, a_E=0.10) == approx(99.9, abs=0.05)


def test_wedge_beyond_columns_to_mid_slope_reproduces_the_verification_value() -> None:
    """(38 + 22)/1.0413/0.5."""
    assert fails(t_soft=3, L_S=12, b_g=6, c_u0=8, rho_u=1) == approx(115.2, abs=0.05)


def test_terms_of_the_wedge_reproduce_the_verification_values() -> None:
    """Columns to the toe, thickness 6 m: 40 + 10.88 + 15.58 + 8.55, divided by 1.03."""
    wedge = replace(WEDGE, p_cN=float(shear_parameters.column_stress_share(2.5, 0.15)) * 89.2)
    area = np.pi * 0.16
    inner, base = (
        ex.column_stress_at_inner_plane(9.0, 6.0, wedge.p_cN),
        ex.column_stress_at_base(9.0, 6.0, 4 / 9, wedge.p_cN),
    )
    # Kern moment N d/8, resistance of the ground 9 c_u d.
    V = [np.sqrt(2 * area * one * 0.1 * 72) for one in (inner, base)]
    tau_i = ex.shear_on_inner_plane(V[0], area / 0.15, np.sqrt(2 * area * inner * 0.1 / 72), 6.0)
    tau_b = ex.shear_along_base(V[1], area / 0.15)

    assert 2 * tau_i == approx(10.88, abs=5e-3)
    assert tau_b * 11 / 2 / 6 == approx(8.55, abs=5e-3)
    assert ex.wedge_divisor(0.0, 6.0, 10.0) == 1.03
    assert ex.wedge_divisor(1.5, 4.0, 5.0) == approx(1.066)
    assert ex.wedge_divisor(9.0, 4.0, 5.0) == approx(1.12)
    assert ex.wedge_resistance(10, 10, tau_i, 0.85 * 110, tau_b, 5.5, 0.0, 0.0, 6.0, 1.03) == approx(
        89.2 * MU_S, abs=0.05
    )
    assert wedge.resistance(6.0) == approx(89.2 * MU_S, abs=0.05)
    assert ex.resistance_beyond_columns(10, 10, 11, 0.0, 10, 11, 6.0, 1.03) == approx(56.63, abs=5e-3)


def test_fewer_columns_count_along_the_base_of_a_long_wedge_in_growing_ground() -> None:
    """Half of the length in even ground or up to a length of D; 18/(2 + 0.25 * 1.5 * 14/5) beyond."""
    assert ex.counted_base_length(18.0, 0.0, 4.0, 5.0) == approx(9.0)
    assert ex.counted_base_length(4.0, 1.5, 4.0, 5.0) == approx(2.0)
    assert ex.counted_base_length(18.0, 1.5, 4.0, 5.0) == approx(18 / 3.05)


@given(st.floats(0.0, 0.999))
def test_factor_on_the_pressure_is_the_square_of_the_mean_of_its_root(v: float) -> None:
    """Shear limited by bending goes with the root of the stress; the stress falls evenly from 1 to v."""
    stress = 1 - (1 - v) * (np.arange(20_000) + 0.5) / 20_000

    assert ex.mean_stress_factor(v) == approx(np.sqrt(stress).mean() ** 2, rel=1e-6)


def test_columns_to_the_toe_and_at_the_crest_edge_are_the_ends_of_the_factor() -> None:
    assert ex.height_left_at_last_column(11.0, 11.0) == ex.height_left_at_last_column(14.0, 11.0) == 0.0
    assert ex.height_left_at_last_column(0.0, 11.0) == 1.0
    assert ex.mean_stress_factor(0.0) == approx(4 / 9)
    assert ex.mean_stress_factor(np.array(1.0)) == 1.0


def test_head_of_the_column_within_the_hinge_distance_does_not_count() -> None:
    assert ex.shear_on_inner_plane(40.0, 4.0, 0.5, 0.35) == 0.0
    assert ex.shear_on_inner_plane(40.0, 4.0, 0.5, 1e9) == approx(5.0)


def test_column_of_a_lift_carries_what_the_soil_does_not() -> None:
    """Undrained the lift acts alike on both; the stage before goes by its own ratio."""
    assert ex.column_share_of_lift(0.15, 1.0) == approx(1.0)
    assert 0.15 * ex.column_share_of_lift(0.15, 0.9) + 0.85 * 0.9 == approx(1.0)
    assert ex.permanent_stress_on_column(2.0, 60.0) == 120.0
    assert ex.permanent_stress_on_column_under_lift(2.0, 60.0, 1.0, 87.0) == approx(147.0)
    assert ex.permanent_stress_on_column_under_lift(2.0, 60.0, 1.0, 40.0) == approx(120.0)


def test_conditions_of_the_wedge_by_hand() -> None:
    """Ring 160 of 300 kN/m at a radius of 0.4 m; thrust 50 kN/m, half of 110 kN/m at the top, none where it drives."""
    assert ex.ring_reserve(300.0, 160.0, 0.4) == approx(350.0)
    assert ex.held_thrust(50.0, 0.5, 110.0) == approx(105.0)
    assert ex.held_thrust(50.0, -0.5, 110.0) == approx(50.0)


def test_design_values_and_margin() -> None:
    assert ex.design_extrusion_resistance(110.0, 1.1) == approx(100.0)
    assert ex.extrusion_safety(100.0, 80.0) == approx(1.25)
    assert ex.pressure_at_last_column(75.0, 5.0, 0.25) == approx(20.0)


@given(
    st.floats(2.0, 20.0), st.floats(0.0, 2.0), st.floats(4.0, 25.0), st.floats(0.05, 1.5), st.floats(2.0, 12.0),
    st.floats(-1.0, 1.0),
)  # fmt: skip
def test_critical_thickness_resists_least(
    c_u0: float, rho: float, length: float, reach: float, t_soft: float, alpha_t: float
) -> None:
    wedge = replace(
        WEDGE, c_u0i=c_u0, c_u0f=c_u0, c_u0e=c_u0, rho_ud=rho, L_S=length, b_g=reach * length, alpha_t=alpha_t
    )
    D, least = critical_thickness(wedge.resistance, t_soft)
    every = wedge.resistance(np.linspace(t_soft / 1000, t_soft, 3000))

    assert least <= every.min() * (1 + 1e-4) + 1e-9
    assert wedge.resistance(D) == approx(float(least), rel=1e-12)
    assert t_soft / 1001 < D < t_soft * 1.001


def test_cases_are_searched_together() -> None:
    rho = np.array([0.0, 0.5, 3.0])
    D, least = critical_thickness(replace(WEDGE, rho_ud=rho).resistance, np.full(3, 6.0))

    for k, one in enumerate(rho):
        alone = critical_thickness(replace(WEDGE, rho_ud=one).resistance, 6.0)
        assert (D[k], least[k]) == (approx(float(alone[0])), approx(float(alone[1])))
    assert D[0] > D[2]


@pytest.mark.parametrize(
    ("change", "sign"),
    [({"c_u0": 11.0}, 1), ({"rho_u": 0.5}, 1), ({"a_E": 0.2}, 1), ({"alpha_t": 0.5}, 1), ({"t_soft": 8.0}, -1),
     ({"L_S": 13.0, "b_g": 13.0}, 1), ({"b_g": 6.0}, -1), ({"phi_c": radians(3.0)}, -1)],
)  # fmt: skip
def test_pressure_at_failure_is_monotonic(change: dict[str, float], sign: int) -> None:
    """More strength, columns or length hold more; a thicker layer and a shorter field hold less."""
    assert sign * (fails(b_g=11.0) - fails(**{"b_g": 11.0} | change)) < 0


def test_wedge_that_is_no_number_is_refused() -> None:
    with pytest.raises(ProcedureError, match="no finite number"):
        critical_thickness(replace(WEDGE, p_cN=np.nan).resistance, 6.0)


@pytest.mark.parametrize("stood", STOOD)
def test_banks_that_stood_are_safer_against_extrusion_than_those_that_must_fail(stood: str) -> None:
    """All factors 1, gain and lift from the same soil stress; inputs from memory or invented, so the order counts."""
    assert extrusion_safety(STOOD[stood]) > 1.5 * max(extrusion_safety(one) for one in MUST_FAIL.values())


@pytest.mark.parametrize("failed", MUST_FAIL)
def test_banks_that_must_fail_do_so_by_the_wedge(failed: str) -> None:
    assert extrusion_safety(MUST_FAIL[failed]) < 0.6


def test_tension_across_is_that_of_the_layers_that_lie() -> None:
    assert ex.tension_of_layers_across(np.array([[120.0, 0.0], [120.0, 80.0]])) == approx(np.array([[120.0], [200.0]]))


def test_stress_ratio_counts_up_to_the_largest_that_counts() -> None:
    """And so does the pressure at failure, which grows with the ratio up to there."""
    assert ex.counted_stress_ratio(np.array([1.0, 2.5, 4.0, 6.5]), COUNTED_RATIO).tolist() == [1.0, 2.5, 4.0, 4.0]
    assert fails(**COLUMNS | {"b_g": 11.0, "n_st": 6.5}) == fails(**COLUMNS | {"b_g": 11.0, "n_st": 4.0})
    assert fails(**COLUMNS | {"b_g": 11.0, "n_st": 3.5}) < fails(**COLUMNS | {"b_g": 11.0, "n_st": 4.0})


def test_safety_with_the_soil_alone_is_the_better_of_both_and_of_the_wedge_with_a_gain() -> None:
    """Rules of two systems: what one of several holds is as safe as the best, what needs all as the worst."""
    ring, tension = ex.ring_safety(150.0, 60.0, 100.0, 0.4), ex.tension_safety(90.0, 60.0)
    assert (ring, tension) == (approx(1.5), approx(1.5))
    least = ex.wedge_safety(120.0, 100.0, ring, tension)
    assert least == approx(1.2)
    assert ex.wedge_safety(120.0, 100.0, 1.1, tension) == approx(1.1)
    assert ex.wedge_safety(120.0, 100.0, ring, 0.0) == 0.0

    thick, thin = (12.0, 20.0, 30.0, 20.0), (12.0, 10.0, 30.0, 20.0)
    assert ex.safety_of_soil_alone_that_counts(1.4, 0.0, *thick) == approx(1.4)
    assert ex.safety_of_soil_alone_that_counts(1.4, 0.1, *thick) == 0.0
    assert ex.safety_of_soil_alone_that_counts(1.4, 0.0, *thin) == 0.0
    assert ex.safety_of_soil_alone_that_counts(1.4, 0.0, *thin[:3], 31.0) == approx(1.4)
    assert ex.resistance_with_soil_alone(100.0, least, 1.4) == approx(140.0)
    assert ex.resistance_with_soil_alone(100.0, least, 0.9) == approx(120.0)
