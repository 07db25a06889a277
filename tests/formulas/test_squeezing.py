"""Soft ground under the side slope: wedge without columns by verification values and equilibrium, lengths, rows."""

from types import SimpleNamespace

import numpy as np
import pytest

from calc.formulas import extrusion as ex
from calc.formulas import shear_parameters, stage_pressure
from calc.formulas import squeezing as sq
from calc.formulas.geometry import triangular_cell_area
from calc.procedures.extrusion import beyond_columns, critical_thickness, rows_needed
from tests.references.reader import rows

approx = pytest.approx


def block(D: float, alpha_t: float, c_u0: float, rho_u: float, L_S: float) -> float:
    """Pressure that extrudes a wedge of this thickness, without the divisor."""
    c_um = sq.mean_block_strength(c_u0, rho_u, D)
    c_ub = sq.base_strength(c_u0, rho_u, D)
    return float(ex.resistance_beyond_columns(c_um, c_ub, L_S, alpha_t, c_u0, L_S, D, 1.0))


@pytest.mark.parametrize(("alpha_t", "safety"), [(1.0, 1.137), (0.0, 0.884)])
def test_block_of_uniform_strength_reproduces_the_verification_values(alpha_t: float, safety: float) -> None:
    """12 kPa, layer 5 m, fill 4 m of 19 kN/m3, slope 1:2; computed once from the equilibrium of the block."""
    assert block(5.0, alpha_t, 12.0, 0.0, float(sq.slope_length(2.0, 4.0))) / 76 == approx(safety, abs=5e-4)


@pytest.mark.parametrize("row", rows("squeezing_blocks"), ids=lambda row: f"alpha={row.alpha_t}")
def test_critical_block_reproduces_the_verification_values(row: SimpleNamespace) -> None:
    """The search over thicknesses finds the closed form; at a flat minimum the thickness is found to a thousandth."""

    def resistance(D: np.ndarray) -> np.ndarray:
        c_um, c_ub = sq.mean_block_strength(6.0, 1.2, D), sq.base_strength(6.0, 1.2, D)
        return np.asarray(ex.resistance_beyond_columns(c_um, c_ub, 8.0, row.alpha_t, 6.0, 8.0, D, 1.0))

    D, least = critical_thickness(resistance, 20.0)

    assert approx(row.D, rel=1e-3) == D
    assert least / 76 == approx(row.safety, abs=5e-5)


def test_thicker_block_reproduces_the_verification_value() -> None:
    """A thickness of 8 m, beyond the critical one, full shear at the top: 0.8526."""
    assert block(8.0, 1.0, 6.0, 1.2, 8.0) / 76 == approx(0.8526, abs=5e-5)


def test_forces_on_the_block_are_in_equilibrium() -> None:
    """Earth pressures summed over thin strips: active at the inner end, passive at the outer one, and the two faces."""
    c_u0, rho_u, D, L_S, alpha_t, weight = 8.0, 1.1, 4.0, 7.0, 0.6, 15.0
    z = (np.arange(4000) + 0.5) * D / 4000
    strength = c_u0 + rho_u * z
    pressure = block(D, alpha_t, c_u0, rho_u, L_S)
    driving = np.sum(pressure + weight * z - 2 * strength) * D / 4000
    holding = np.sum(weight * z + 2 * strength) * D / 4000

    assert driving - holding == approx((strength[-1] + rho_u * D / 8000 + alpha_t * c_u0) * L_S, rel=1e-9)


def test_forces_on_the_wedge_with_columns_are_in_equilibrium() -> None:
    """The same with two grounds and columns: shear on the inner plane turns the active stress by twice itself."""
    (c_f, r_f), (c_o, r_o), D, L_f, L_o, alpha_t, weight = (8.0, 1.1), (6.5, 0.7), 4.0, 5.0, 4.0, 0.6, 15.0
    tau_i, tau_b = 3.0, 5.0
    S_0 = sq.strength_along_top(c_f, L_f, c_o, L_o)
    S_b = sq.strength_along_base(sq.base_strength(c_f, r_f, D), L_f, sq.base_strength(c_o, r_o, D), L_o)
    ends = sq.mean_block_strength(c_f, r_f, D), sq.mean_block_strength(c_o, r_o, D)
    z = (np.arange(4000) + 0.5) * D / 4000
    pressure = float(ex.wedge_resistance(*ends, tau_i, S_b, tau_b, L_f / 2, alpha_t, S_0, D, 1.0))
    driving = np.sum(pressure + weight * z - 2 * (c_f + r_f * z) - 2 * tau_i) * D / 4000
    holding = np.sum(weight * z + 2 * (c_o + r_o * z)) * D / 4000
    faces = (c_f + r_f * D + alpha_t * c_f) * L_f + (c_o + r_o * D + alpha_t * c_o) * L_o + tau_b * L_f / 2

    assert driving - holding == approx(faces, rel=1e-9)


@pytest.mark.parametrize(("name", "sign"), [("alpha_t", 1), ("c_u0", 1), ("rho_u", 1), ("L_S", 1), ("D", -1)])
def test_block_resistance_is_monotonic_in_each_input(name: str, sign: int) -> None:
    given = {"D": 5.0, "alpha_t": 0.3, "c_u0": 9.0, "rho_u": 0.4, "L_S": 12.0}
    series = [block(**given | {name: given[name] * factor}) for factor in (1.0, 1.1, 1.3, 1.6)]

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


def test_rows_of_a_triangular_grid_serve_the_area_of_the_grid() -> None:
    assert sq.row_distance_of_triangular_grid(1.967) * 1.967 == approx(triangular_cell_area(1.967), rel=1e-12)


def rows_for(p: float, factor: float = 1.0) -> int:
    """Rows 1.7 m apart under a slope of 12 m on 8 m of ground with 10 kPa."""
    one = {"p": p, "L_S": 12.0, "t_soft": 8.0, "c_u0": 10.0, "rho_u": 0.0, "alpha_t": 0.0, "L_t": 12.0,
           "gamma_Re": factor}  # fmt: skip
    return rows_needed(1.7, **{name: np.array([value]) for name, value in one.items()})


def test_rows_reach_until_the_ground_beyond_them_holds() -> None:
    """Beyond k rows the pressure has fallen with the slope and so has the length that holds; no row where it holds."""
    for p in (30.0, 60.0, 90.0, 120.0):
        k = rows_for(p)
        lengths = [max(12.0 - 1.7 * one, 0.0) for one in (k, k - 1)]
        holds = [p * length / 12 <= float(beyond_columns(8.0, 10.0, 0.0, 0.0, length)) for length in lengths]
        assert holds == [True, k == 0]
    assert rows_for(30.0) == 0
    assert rows_for(60.0) <= rows_for(60.0, 1.1) <= rows_for(120.0)


def test_gain_counts_up_to_the_middle_of_the_slope_as_a_mean_over_the_columns() -> None:
    """Strength times length is the same as with the whole gain on its own length."""
    for L_f in (0.0, 2.0, 6.0, 9.0, 12.0):
        L_g = sq.block_length_with_gain(L_f, 12.0)
        mean = sq.mean_gain(8.0, L_g, L_f, 12.0)

        assert L_g == approx(min(L_f, 6.0))
        assert mean * L_f == approx(8.0 * L_g)
        assert mean <= 8.0
    assert sq.block_length_beyond_field(12.0, sq.block_length_in_field(9.0, 12.0)) == 3.0


def test_length_that_is_held_back_ends_with_the_reinforcement() -> None:
    """Slope of 1:3 and 6.4 m, columns to 16 m, layer 0.15 m above the ground and 1.5 m beyond them: 1.7 m stay bare."""
    assert sq.height_of_layer_over_ground(z_Re=0.55, z_g=0.40) == approx(0.15)
    assert sq.height_of_layer_over_ground(z_Re=0.30, z_g=0.40) == 0.0
    bare = sq.toe_without_reinforcement(n_S=3, H_GF=6.4, b_g=16, L_b=1.5, h_Re=0.15)
    assert bare == approx(1.7)
    assert sq.toe_without_reinforcement(n_S=3, H_GF=6.4, b_g=16, L_b=5, h_Re=0.15) == approx(0.45)
    covered = sq.length_below_reinforcement(L_S=19.2, x_R=bare)
    assert covered == approx(17.5)
    assert sq.length_below_reinforcement(L_S=1.0, x_R=bare) == 0.0
    assert (sq.held_length_in_field(L_f=16, L_t=covered), sq.held_length_beyond_field(covered, 16)) == approx((16, 1.5))
    assert (sq.held_length_in_field(L_f=16, L_t=9), sq.held_length_beyond_field(9, 16)) == (9, 0)
