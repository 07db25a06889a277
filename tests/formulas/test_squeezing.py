"""Squeezing of the soft ground under the side slope: verification values, two ways to the same number, and laws."""

from types import SimpleNamespace

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st
from scipy.optimize import brentq

from calc.formulas import shear_parameters, stage_pressure
from calc.formulas import squeezing as sq
from tests.references.reader import rows

approx = pytest.approx
Ground = tuple[float, float]  # strength at the top and its growth with depth


def block(D: float, alpha_t: float, c_u0: float, rho_u: float, L_S: float) -> float:
    """Pressure that squeezes out a block of this thickness."""
    c_um = sq.mean_block_strength(c_u0, rho_u, D)
    c_ub = sq.base_strength(c_u0, rho_u, D)
    return float(sq.block_resistance(c_um, c_ub, alpha_t, c_u0, L_S, D))


def test_fhwa_form_reproduces_the_verification_value() -> None:
    """12 kPa, layer 5 m, fill 4 m of 19 kN/m3, tan(theta) 0.5: 1.159; computed once from the stated equation."""
    resistance = sq.fhwa_resistance(c_u=12.0, L_S=sq.slope_length(2.0, 4.0), D_sq=5.0)

    assert sq.squeezing_safety(resistance, 19 * 4.0) == approx(1.159, abs=5e-4)


@pytest.mark.parametrize(("alpha_t", "safety"), [(1.0, 1.137), (0.0, 0.884)])
def test_block_of_uniform_strength_reproduces_the_verification_values(alpha_t: float, safety: float) -> None:
    """The same ground as for the FHWA form; computed once from the equilibrium of the block."""
    assert sq.squeezing_safety(block(5.0, alpha_t, 12.0, 0.0, 8.0), 76.0) == approx(safety, abs=5e-4)


@pytest.mark.parametrize("row", rows("squeezing_blocks"), ids=lambda row: f"alpha={row.alpha_t}")
def test_critical_block_reproduces_the_verification_values(row: SimpleNamespace) -> None:
    D = float(sq.critical_thickness(row.alpha_t, 6.0, 8.0, 1.2, 20.0))

    assert approx(row.D, abs=5e-4) == D
    assert sq.squeezing_safety(block(D, row.alpha_t, 6.0, 1.2, 8.0), 76.0) == approx(row.safety, abs=5e-5)


def test_thicker_block_reproduces_the_verification_value() -> None:
    """A thickness of 8 m, beyond the critical one, full shear at the top: 0.8526."""
    assert block(8.0, 1.0, 6.0, 1.2, 8.0) / 76 == approx(0.8526, abs=5e-5)


def test_fhwa_form_is_the_block_held_at_its_top_but_for_a_seventh_of_one_strength() -> None:
    """Both are published as the same rule: 4.14 instead of 4 strengths."""
    assert sq.fhwa_resistance(12.0, 8.0, 5.0) - block(5.0, 1.0, 12.0, 0.0, 8.0) == approx(0.14 * 12.0, rel=1e-12)


def test_forces_on_the_block_are_in_equilibrium() -> None:
    """Earth pressures summed over thin strips: active at the inner end, passive at the outer one, and the two faces."""
    c_u0, rho_u, D, L_S, alpha_t, weight = 8.0, 1.1, 4.0, 7.0, 0.6, 15.0
    z = (np.arange(4000) + 0.5) * D / 4000
    strength = c_u0 + rho_u * z
    pressure = block(D, alpha_t, c_u0, rho_u, L_S)
    driving = np.sum(pressure + weight * z - 2 * strength) * D / 4000
    holding = np.sum(weight * z + 2 * strength) * D / 4000

    assert driving - holding == approx((strength[-1] + rho_u * D / 8000 + alpha_t * c_u0) * L_S, rel=1e-9)


@given(st.floats(-1.0, 1.0), st.floats(3.0, 20.0), st.floats(0.0, 3.0), st.floats(2.0, 20.0), st.floats(1.0, 20.0))
def test_critical_block_resists_less_than_every_other_block(
    alpha_t: float, c_u0: float, rho_u: float, L_S: float, t_soft: float
) -> None:
    D = float(sq.critical_thickness(alpha_t, c_u0, L_S, np.float64(rho_u), t_soft))
    least = min(block(one, alpha_t, c_u0, rho_u, L_S) for one in np.linspace(0.01, 1.0, 200) * t_soft)

    assert t_soft >= D >= t_soft / 1000
    assert block(D, alpha_t, c_u0, rho_u, L_S) <= least * (1 + 1e-12)


def test_block_of_uniform_strength_takes_the_whole_soft_ground() -> None:
    assert sq.critical_thickness(1.0, 12.0, 8.0, np.float64(0.0), 6.0) == 6.0


def test_block_on_a_deep_soft_layer_bears_four_strengths() -> None:
    """Faces no longer matter where the layer is thick against the slope."""
    assert block(1e9, 1.0, 12.0, 0.0, 8.0) == approx(48.0, rel=1e-6)


def test_screen_is_three_strengths_and_below_every_block() -> None:
    """A load that passes the screen is never squeezed out of ground of uniform strength, held at its top or not."""
    assert sq.squeezing_screen(12.0) == 36.0
    assert sq.squeezing_screen(12.0) < block(1e9, 0.0, 12.0, 0.0, 8.0)


@pytest.mark.parametrize(("name", "sign"), [("alpha_t", 1), ("c_u0", 1), ("rho_u", 1), ("L_S", 1), ("D", -1)])
def test_block_resistance_is_monotonic_in_each_input(name: str, sign: int) -> None:
    """In its thickness only below the critical one, which is 4.5 m or more here."""
    values = {"D": 3.0, "alpha_t": 0.0, "c_u0": 6.0, "rho_u": 1.2, "L_S": 8.0}
    series = [block(**(values | {name: values[name] + step})) for step in (0.0, 0.3, 0.6, 0.9)]

    assert (sign * np.diff(series) > 0).all()


def test_columns_take_driving_pressure_and_strength_from_the_soil() -> None:
    """Reading for the column field: stress share of the soil against the strength on the area of the soil."""
    mu_s = shear_parameters.soil_stress_share(n_st=3.0, a_E=0.15)
    p_sE = stage_pressure.soil_share_of_pressure(mu_s, 76.0, 1.0, 0.0, 0.0)
    c_uf = sq.column_field_strength(0.15, 12.0)

    assert p_sE == approx(76.0 / 1.3, rel=1e-12)
    assert c_uf == approx(10.2, rel=1e-12)
    alike = shear_parameters.soil_stress_share(1.0, 0.15)
    assert stage_pressure.soil_share_of_pressure(alike, 76.0, 1.0, 0.0, 0.0) == approx(76.0, rel=1e-12)
    assert block(5.0, 0.0, c_uf, 0.0, 8.0) / p_sE > block(5.0, 0.0, 12.0, 0.0, 8.0) / 76.0


def test_columns_with_no_stress_ratio_do_not_help_against_squeezing() -> None:
    """Right after filling the ratio is 1: the same pressure on less strength, so the treated field squeezes first."""
    treated = block(5.0, 0.0, float(sq.column_field_strength(0.15, 12.0)), 0.0, 8.0)

    assert treated == approx(0.85 * block(5.0, 0.0, 12.0, 0.0, 8.0), rel=1e-12)


def edge(alpha_t: float, c_u0: float, rho_u: float, n_S: float, t_soft: float, H: float) -> float:
    """Height at the edge of the columns by the formulas, fill of 19 kN/m3 with a factor of 1.35."""
    c_um = sq.mean_block_strength(c_u0, rho_u, t_soft)
    c_ub = sq.base_strength(c_u0, rho_u, t_soft)
    full = sq.edge_height_of_full_block(
        sq.net_weight_over_full_block(1.35, 19.0, c_ub, alpha_t, c_u0, n_S, t_soft), H, c_um
    )
    critical = sq.edge_height_of_critical_block(
        sq.net_weight_over_critical_block(1.35, 19.0, rho_u, n_S),
        H,
        c_u0,
        sq.growth_along_slope(rho_u, alpha_t, n_S),
    )
    return float(sq.edge_height(alpha_t, c_u0, n_S, critical, rho_u, t_soft, full))


def margin(h: float, alpha_t: float, c_u0: float, rho_u: float, n_S: float, t_soft: float) -> float:
    """Least resistance of the slope left, over a fine series of thicknesses, less the pressure at its edge."""
    D = np.linspace(1e-3, 1.0, 4000) * t_soft
    L_S = n_S * h
    resistance = 4 * (c_u0 + rho_u * D / 2) + (c_u0 + rho_u * D + alpha_t * c_u0) * L_S / D
    return float(resistance.min() - 1.35 * 19.0 * h)


@given(st.floats(-0.9, 1.0), st.floats(3.0, 12.0), st.floats(0.0, 3.0), st.floats(1.5, 3.0), st.floats(1.0, 15.0))
def test_edge_height_agrees_with_a_search_over_thickness_and_height(
    alpha_t: float, c_u0: float, rho_u: float, n_S: float, t_soft: float
) -> None:
    """Root of the margin over the height; the whole height where there is none."""
    found = edge(alpha_t, c_u0, rho_u, n_S, t_soft, 6.0)
    data = (alpha_t, c_u0, rho_u, n_S, t_soft)
    searched = 6.0 if margin(6.0, *data) >= 0 else brentq(margin, 1e-6, 6.0, args=data)

    assert found == approx(searched, rel=1e-3)


def test_edge_height_of_uniform_ground_without_faces_is_four_strengths_of_fill() -> None:
    """A deep layer and no shear at its top: 4 c_u over the factored unit weight."""
    assert edge(-1.0, 6.0, 0.0, 2.0, 1e6, 6.0) == approx(4 * 6.0 / (1.35 * 19.0), rel=1e-5)


def test_strong_ground_bears_the_whole_height_without_columns() -> None:
    assert edge(0.0, 60.0, 0.0, 2.0, 4.0, 6.0) == 6.0
    assert edge(0.0, 6.0, 40.0, 2.0, 4.0, 6.0) == 6.0
    assert sq.field_width(2.0, 6.0, 6.0) == 0.0


def test_field_reaches_the_place_where_the_slope_is_as_high_as_the_ground_bears() -> None:
    b_f = float(sq.field_width(2.0, 6.0, 1.5))

    assert b_f == approx(9.0, rel=1e-12)
    assert (2.0 * 6.0 - b_f) / 2.0 == approx(1.5, rel=1e-12)


def test_rows_of_a_triangular_grid_serve_the_area_of_the_grid() -> None:
    from calc.formulas.geometry import triangular_cell_area

    a_r = sq.row_distance_of_triangular_grid(1.967)

    assert a_r * 1.967 == approx(triangular_cell_area(1.967), rel=1e-12)
    assert sq.column_rows(9.0, a_r) == approx(9.0 / (1.967 * 0.8660254), rel=1e-7)


def two_grounds(D: float, alpha_t: float, inner: Ground, outer: Ground, b_g: float) -> float:
    """Pressure that squeezes out a block of this thickness under a slope of 9 m, each ground with top and growth."""
    L_f = sq.block_length_in_field(b_g, 9.0)
    L_o = sq.block_length_beyond_field(9.0, L_f)
    c_x, rho_x = sq.outer_strength(L_o, outer[0], inner[0]), sq.outer_growth(L_o, outer[1], inner[1])
    S_0 = sq.strength_along_top(inner[0], L_f, outer[0], L_o)
    S_b = sq.strength_along_base(sq.base_strength(*inner, D), L_f, sq.base_strength(*outer, D), L_o)
    ends = sq.mean_block_strength(*inner, D), sq.mean_block_strength(c_x, rho_x, D)
    return float(sq.resistance_of_two_grounds(*ends, S_b, alpha_t, S_0, D))


def thickness(alpha_t: float, inner: Ground, outer: Ground, b_g: float, t_soft: float) -> float:
    L_f = sq.block_length_in_field(b_g, 9.0)
    L_o = sq.block_length_beyond_field(9.0, L_f)
    S_0 = sq.strength_along_top(inner[0], L_f, outer[0], L_o)
    rho_x = sq.outer_growth(L_o, outer[1], inner[1])
    return float(sq.critical_thickness_of_two_grounds(alpha_t, S_0, np.float64(inner[1]), rho_x, t_soft))


strengths = st.tuples(st.floats(3.0, 20.0), st.floats(0.0, 3.0))


@given(st.floats(-1.0, 1.0), strengths, strengths, st.floats(0.5, 14.0), st.floats(1.0, 20.0))
def test_critical_block_of_two_grounds_resists_less_than_every_other_block(
    alpha_t: float, inner: Ground, outer: Ground, b_g: float, t_soft: float
) -> None:
    """Search over 200 thicknesses, columns reaching short of the toe or beyond it."""
    D = thickness(alpha_t, inner, outer, b_g, t_soft)
    least = min(two_grounds(one, alpha_t, inner, outer, b_g) for one in np.linspace(0.005, 1.0, 200) * t_soft)

    assert 0 < D <= t_soft
    assert two_grounds(D, alpha_t, inner, outer, b_g) <= least * (1 + 1e-12)


@given(st.floats(-0.9, 1.0), strengths, st.floats(0.5, 14.0), st.floats(1.0, 20.0))
def test_two_equal_grounds_are_one(alpha_t: float, ground: Ground, b_g: float, t_soft: float) -> None:
    D = thickness(alpha_t, ground, ground, b_g, t_soft)

    assert float(sq.critical_thickness(alpha_t, ground[0], 9.0, np.float64(ground[1]), t_soft)) == approx(D, rel=1e-9)
    assert two_grounds(D, alpha_t, ground, ground, b_g) == approx(block(D, alpha_t, *ground, 9.0), rel=1e-9)


@given(st.floats(-0.9, 1.0), strengths, strengths, st.floats(9.0, 14.0), st.floats(0.5, 8.0))
def test_columns_as_far_as_the_toe_make_the_block_of_one_ground(
    alpha_t: float, inner: Ground, outer: Ground, b_g: float, D: float
) -> None:
    assert two_grounds(D, alpha_t, inner, outer, b_g) == approx(block(D, alpha_t, *inner, 9.0), rel=1e-9)


def test_two_grounds_reproduce_the_verification_value_of_one_ground() -> None:
    """12 kPa over 5 m under a slope of 8 m: 1.137 with full shear at the top, from the equilibrium of one block."""
    L_f = sq.block_length_in_field(3.0, 8.0)
    L_o = sq.block_length_beyond_field(8.0, L_f)
    S = sq.strength_along_top(12.0, L_f, 12.0, L_o)

    assert (L_f, L_o, S) == (3.0, 5.0, 96.0)
    assert sq.strength_along_base(12.0, L_f, 12.0, L_o) == 96.0
    resistance = sq.resistance_of_two_grounds(12.0, 12.0, S, 1.0, S, 5.0)
    assert sq.squeezing_safety(resistance, 76.0) == approx(1.137, abs=5e-4)
    assert sq.mean_strength_along_top(S, 8.0) == 12.0


def test_forces_on_the_block_of_two_grounds_are_in_equilibrium() -> None:
    """Earth pressures summed over thin strips at both ends, each with its own strength, and the faces in parts."""
    (c_f, r_f), (c_o, r_o), D, L_f, L_o, alpha_t, weight = (8.0, 1.1), (6.5, 0.7), 4.0, 5.0, 4.0, 0.6, 15.0
    z = (np.arange(4000) + 0.5) * D / 4000
    pressure = two_grounds(D, alpha_t, (c_f, r_f), (c_o, r_o), L_f)
    driving = np.sum(pressure + weight * z - 2 * (c_f + r_f * z)) * D / 4000
    holding = np.sum(weight * z + 2 * (c_o + r_o * z)) * D / 4000
    faces = (c_f + r_f * D + alpha_t * c_f) * L_f + (c_o + r_o * D + alpha_t * c_o) * L_o

    assert driving - holding == approx(faces, rel=1e-9)


@pytest.mark.parametrize("b_g", [2.0, 5.0, 8.0])
def test_weaker_ground_beyond_the_columns_lowers_the_resistance(b_g: float) -> None:
    inner, outer = (10.0, 1.0), (7.0, 0.8)
    D = thickness(0.0, inner, outer, b_g, 6.0)

    assert two_grounds(D, 0.0, inner, outer, b_g) < block(D, 0.0, *inner, 9.0)


def test_ground_driven_at_its_top_with_its_whole_strength_has_the_thinnest_block() -> None:
    """The resistance falls to 4 c + ρ L as the block thins out, 24 + 9.6 kPa; the thinnest has 2 ρ t / 1000 more."""
    D = float(sq.critical_thickness(-1.0, 6.0, 8.0, np.float64(1.2), 10.0))

    assert D == approx(0.01)
    assert block(D, -1.0, 6.0, 1.2, 8.0) == approx(33.6 + 0.024, rel=1e-12)


def test_gain_counts_up_to_the_middle_of_the_slope_as_a_mean_over_the_columns() -> None:
    """Strength times length is the same as with the whole gain on its own length."""
    for L_f in (0.0, 2.0, 6.0, 9.0, 12.0):
        L_g = sq.block_length_with_gain(L_f, 12.0)
        mean = sq.mean_gain(8.0, L_g, L_f, 12.0)

        assert L_g == approx(min(L_f, 6.0))
        assert mean * L_f == approx(8.0 * L_g)
        assert mean <= 8.0
