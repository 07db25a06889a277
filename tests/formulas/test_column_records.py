"""What is measured on an installed column: values calculated by hand from the geometry."""

from pytest import approx  # noqa: PT013 - as everywhere here

from calc.formulas.column_records import (
    days_left,
    distance_from_plan,
    fill_over_theory,
    inclination_as_built,
    least_ratio,
    part_over_theory,
    rate_range,
    spacing_as_built,
    theoretical_fill,
    window_ratio,
)


def test_distance_is_that_on_the_ground() -> None:
    assert distance_from_plan(dE_b=0.03, dN_b=-0.04, k_gr=1.0) == approx(0.05)
    assert distance_from_plan(dE_b=0.03, dN_b=-0.04, k_gr=0.5) == approx(0.10)


def test_inclination_is_the_sum_of_squares() -> None:
    assert inclination_as_built(i_bx=0.03, i_by=-0.04) == approx(0.05)


def test_theoretical_volume_reproduces_a_cylinder() -> None:
    """Column of 0.80 m over 10 m: 5.027 m³, calculated once; a plug has no fill."""
    assert theoretical_fill(A_c=0.502655, L_ab=10.0, L_pl=0.0) == approx(5.027, abs=5e-4)
    assert theoretical_fill(A_c=0.5, L_ab=10.0, L_pl=1.0) == approx(4.5)
    assert fill_over_theory(V_b=6.0, V_th=5.0) == approx(1.2)
    assert part_over_theory(dV_z=0.4, A_c=0.5, l_z=1.0) == approx(0.8)


def test_a_spacing_as_built_has_the_area_ratio_as_built() -> None:
    """Area served goes with the square of the spacing: a fourth of the ratio at twice the spacing."""
    assert window_ratio(A_cw=2.0, A_w=10.0) == approx(0.2)
    assert least_ratio(a_E=0.2, da_max=0.05) == approx(0.19)
    assert spacing_as_built(a_x=2.0, a_E=0.2, a_Ebw=0.05) == approx(4.0)


def test_the_range_of_a_forecast_narrows_with_its_days() -> None:
    """Scatter 2 a day, 4 days past and 4 to come, t = 2.353 of 3 degrees (tables): 2.353·2·√(1/2)."""
    assert days_left(N_o=120, r_b=8.0) == approx(15.0)
    assert rate_range(t_dr=2.353, s_rb=2.0, n_b=4, n_f=4.0) == approx(2.353 * 2**0.5)
    assert rate_range(t_dr=2.353, s_rb=2.0, n_b=16, n_f=4.0) < rate_range(t_dr=2.353, s_rb=2.0, n_b=4, n_f=4.0)
    assert rate_range(t_dr=2.353, s_rb=0.0, n_b=4, n_f=4.0) == 0.0
