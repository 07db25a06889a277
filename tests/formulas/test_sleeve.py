"""Resistance, design force, strain and stiffness of the sleeve."""

import pytest

from calc.formulas import sleeve

approx = pytest.approx


def test_design_force_reproduces_the_sleeve_check() -> None:
    """R1 (G) and R14 (G+Q): 34.7361 x 1.35 + (53.8239 - 34.7361) x 1.5 = 75.526 kN/m, the sum of its rounded parts
    46.894 and 28.632; unrounded it is 75.5254, so one unit of the last digit is allowed. Printed 75.53 elsewhere."""
    F_Rd = sleeve.design_ring_tension(gamma_G=1.35, F_G=34.7361, gamma_Q=1.5, F_GQ=53.8239)

    assert F_Rd == approx(75.526, abs=1e-3)
    assert round(F_Rd, 2) == 75.53


def test_resistance_reproduces_the_sleeve_check() -> None:
    """400 / (1.5 x 1.1 x 1.0 x 1.03 x 1.0 x 1.4) = 168.12 kN/m, use 0.449; the factors are invented."""
    R_Bk = sleeve.characteristic_resistance(R_Bk0=400.0, A_1=1.5, A_2=1.1, A_3=1.0, A_4=1.03, A_5=1.0)
    R_Bd = sleeve.design_resistance(R_Bk=R_Bk, gamma_M=1.4)

    assert R_Bd == approx(168.12, abs=0.005)
    assert 75.526 / R_Bd == approx(0.449, abs=5e-4)


def test_long_term_strength_reproduces_the_arithmetic_check() -> None:
    """T_char 400, RF 1.5 x 1.1 x 1.0 x 1.05, R1 = R2 = 1.1: f_s 1.1414, T_D 202.3 kN/m."""
    f_s = sleeve.uncertainty_factor(R_1=1.1, R_2=1.1)

    assert f_s == approx(1.1414, abs=5e-5)
    assert sleeve.long_term_strength(400.0, 1.5, 1.1, 1.0, 1.05, f_s) == approx(202.3, abs=0.05)


def test_each_reduction_factor_divides_the_resistance() -> None:
    base = sleeve.characteristic_resistance(400.0, 1.5, 1.1, 1.05, 1.03, 1.02)
    for place in range(5):
        factors = [1.5, 1.1, 1.05, 1.03, 1.02]
        factors[place] *= 2
        assert sleeve.characteristic_resistance(400.0, *factors) == approx(base / 2, rel=1e-12)


def test_required_strength_is_used_up_by_the_design_force() -> None:
    required = sleeve.required_strength(75.526, 1.5, 1.1, 1.05, 1.03, 1.02, 1.4)
    given = sleeve.design_resistance(sleeve.characteristic_resistance(required, 1.5, 1.1, 1.05, 1.03, 1.02), 1.4)

    assert given == approx(75.526, rel=1e-12)


def test_required_strength_by_reduction_is_used_up_by_the_design_force() -> None:
    required = sleeve.required_strength_by_reduction(75.526, 1.5, 1.1, 1.02, 1.05, 1.1414, 1.3)

    assert sleeve.long_term_strength(required, 1.5, 1.1, 1.02, 1.05, 1.1414) / 1.3 == approx(75.526, rel=1e-12)


def test_certain_extrapolation_costs_nothing() -> None:
    assert sleeve.uncertainty_factor(R_1=1.0, R_2=1.0) == 1.0


@pytest.mark.parametrize(("t", "J"), [(2.0, 2000.0), (200.0, 1600.0), (20.0, 1800.0)])
def test_stiffness_is_linear_in_the_logarithm_of_time_between_its_values(t: float, J: float) -> None:
    assert sleeve.stiffness_at_time(J_1=2000.0, J_2=1600.0, t=t, t_1=2.0, t_2=200.0) == approx(J, rel=1e-12)


def test_creep_strain_is_what_a_softer_sleeve_adds() -> None:
    short, late = (34.7 / J for J in (2000.0, 1600.0))

    assert sleeve.creep_strain(eps_long=late, eps_short=short) == approx(34.7 / 1600 - 34.7 / 2000, rel=1e-12)


def test_construction_ends_when_the_last_stage_has_been_placed() -> None:
    assert sleeve.end_of_construction(t_0=60.0, t_f=30.0) == 90.0


def test_second_method_is_factored_as_permanent_load() -> None:
    assert sleeve.design_tension_by_second_method(1.35, 80.0) == pytest.approx(108.0)
