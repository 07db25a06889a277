"""Loads and moments of slip surfaces: verification values and laws."""

from math import atan

import pytest
from hypothesis import given
from hypothesis import strategies as st

from calc.formulas import overall_stability as os_
from calc.formulas.extrusion import column_share_of_lift
from calc.formulas.shear_parameters import column_stress_share, soil_stress_share


def test_traffic_is_factored_at_its_source_as_in_en_1997_1_table_a_3() -> None:
    """EN 1997-1:2004, Table A.3, set A2: 1.3 on unfavourable variable actions."""
    assert os_.traffic_in_slip_analysis(gamma_Qo=1.3, q=20.0) == pytest.approx(26.0)


def test_plant_is_factored_like_traffic() -> None:
    assert os_.plant_in_slip_analysis(gamma_Qo=1.3, p_pl=10.0) == pytest.approx(13.0)


@given(st.floats(1, 20), st.floats(0.05, 0.4), st.floats(1, 200))
def test_shares_of_a_load_without_new_lift_are_those_of_the_stress_ratio(n: float, a: float, load: float) -> None:
    soil = soil_stress_share(n_st=n, a_E=a)
    before = os_.fill_pressure_before(p_Eb=load + 6.5, gamma_Q=1.3, q_qb=5.0)
    found = os_.soil_share_under_new_lift(mu_sb=soil, p_Ef=before, mu_L=1.0, p_nf=0.0)
    assert found == pytest.approx(soil)
    assert column_share_of_lift(a_E=a, mu_L=found) == pytest.approx(column_stress_share(n_st=n, a_E=a))


def test_share_under_a_lift_reproduces_the_verification_value() -> None:
    """n 2.5 before, 60 kPa, lift of 27 kPa of which 0.9536 stays on the soil: 74.73 kPa; from the stated equations."""
    soil = float(soil_stress_share(n_st=2.5, a_E=0.15))
    share = os_.soil_share_under_new_lift(mu_sb=soil, p_Ef=60.0, mu_L=0.9536, p_nf=27.0)
    assert share * 87.0 == pytest.approx(74.73, abs=0.005)


def test_a_load_that_is_all_new_rests_on_soil_and_column_alike() -> None:
    share = os_.soil_share_under_new_lift(mu_sb=0.8, p_Ef=0.0, mu_L=1.0, p_nf=30.0)
    assert share == 1.0
    assert column_share_of_lift(a_E=0.2, mu_L=share) == pytest.approx(1.0)


def test_safety_from_moments_reproduces_a_textbook_question() -> None:
    """Public exercise: M_D = 2800, M_R = 2450 kNm/m, 20 kN/m a layer at an arm of 8 m, F = 1.5: 10.94 layers."""
    layers = (1.5 * 2800 - 2450) / (8 * 20)
    assert layers == pytest.approx(10.94, abs=0.005)
    found = os_.safety_from_moments(M_Rs=2450.0, M_Ts=layers * 160, M_Ds=2800.0)
    assert found == pytest.approx(1.5)
    assert os_.moment_gap(F_Bi=1.5, F_mom=found) == pytest.approx(0.0, abs=1e-12)


def test_face_of_a_slope_at_its_friction_angle_is_just_safe() -> None:
    """Common practice, no source: a dry slope without cohesion stands at its angle of friction."""
    assert os_.face_safety(n_S=2.0, phi=atan(0.5)) == pytest.approx(1.0)
    assert os_.face_safety(n_S=2.5, phi=atan(0.5)) == pytest.approx(1.25)
