"""Shear force of a column that is cut: verification values, two ways to the same number, and laws."""

from math import atan, radians, tan

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from calc.formulas import bending as be
from calc.formulas.geometry import column_area

approx = pytest.approx
PHI = atan(tan(radians(34.0)) / 1.25)


def cut(sigma: float, c_ud: float, d: float = 0.8) -> dict[str, float]:
    """Everything of one column of a diameter at a cut."""
    N = be.column_force_at_cut(float(column_area(d)), sigma)
    M, p = be.kern_moment(N, d), be.lateral_resistance(c_ud, d)
    friction, bending = be.column_friction(N, PHI), be.bending_shear(M, p)
    V = be.column_shear(friction, bending)
    kappa = be.friction_reduction(1.0, V, friction)
    return {"N": N, "V_fr": friction, "V_be": bending, "V": V, "kappa": kappa, "e": be.hinge_distance(M, p)}


def test_column_at_150_kpa_reproduces_the_verification_values() -> None:
    """d 0.8 m, 150 kPa, c_u 14/1.4, tan 34°/1.25; computed once, independently, from the stated equations."""
    found = cut(150.0, 14 / 1.4)

    assert found["N"] == approx(75.40, abs=5e-3)
    assert found["V_fr"] == approx(40.69, abs=5e-3)
    assert found["V_be"] == approx(32.95, abs=5e-3)
    assert found["kappa"] == approx(0.810, abs=5e-4)
    assert found["e"] == approx(0.458, abs=5e-4)


def test_column_at_300_kpa_in_very_soft_ground_reproduces_the_verification_values() -> None:
    """As before with 300 kPa and c_u 6/1.4."""
    found = cut(300.0, 6 / 1.4)

    assert found["V"] == approx(30.51, abs=5e-3)
    assert found["kappa"] == approx(0.375, abs=5e-4)
    assert found["e"] == approx(0.99, abs=5e-3)


@given(st.floats(10, 600), st.floats(1, 30), st.floats(0.4, 1.5))
def test_shear_and_moment_between_the_hinges_are_in_equilibrium(sigma: float, c_ud: float, d: float) -> None:
    """From the cut to a hinge the ground takes the whole shear force, and its moment is that of the kern."""
    found = cut(sigma, c_ud, d)
    p = be.lateral_resistance(c_ud, d)

    assert found["V_be"] == approx(p * found["e"], rel=1e-12)
    assert found["V_be"] * found["e"] - p * found["e"] ** 2 / 2 == approx(found["N"] * d / 8, rel=1e-12)


@given(st.floats(0.05, 1.0), st.floats(10, 600), st.floats(1, 30))
def test_a_length_shorter_than_the_hinge_distance_needs_no_more_than_the_kern_moment_at_its_end(
    part: float, sigma: float, c_ud: float
) -> None:
    """Length l = part e on one side: with V = p l the moment is largest on the other side; the end in fill or firm
    ground has to take p l² − M_k of it, which the kern at that end allows."""
    found, d = cut(sigma, c_ud), 0.8
    p, M = be.lateral_resistance(c_ud, d), found["N"] * d / 8
    length = part * found["e"]
    V = be.shear_by_lengths(p, length, 100.0, 0.0)
    at_end = max(p * length**2 - M, 0.0)
    z = np.linspace(0.0, length, 50)
    other_side = p * length**2 / 2 - at_end + V * z - p * z**2 / 2

    assert approx(p * length) == V
    assert at_end <= M * (1 + 1e-12)
    assert np.abs(other_side).max() <= M * (1 + 1e-12)


def test_the_firm_layer_holds_what_is_cut_near_the_toe() -> None:
    """Nothing below the cut but the embedment: its resistance is the limit; without embedment nothing is left."""
    p, firm = be.lateral_resistance(10.0, 0.8), be.drained_lateral_resistance(3.0, 50.0, 0.8)

    assert firm == approx(360.0)
    assert be.shear_by_lengths(p, 5.0, 0.0, be.embedment_shear(firm, 0.1)) == approx(36.0)
    assert be.shear_by_lengths(p, 5.0, 0.0, 0.0) == 0.0
    assert be.column_shear_with_lengths(40.0, 33.0, 36.0) == 33.0
    assert be.column_shear_with_lengths(40.0, 33.0, 20.0) == 20.0


def test_resistance_on_the_surface_is_the_shear_force_over_the_area_of_a_cell_on_level_ground() -> None:
    """V of the first verification case over a cell of 0.15: 32.95 / (A_c / 0.15); less by cos² on a slope."""
    found = cut(150.0, 10.0)
    cell = float(column_area(0.8)) / 0.15

    flat = be.column_resistance_on_surface(0.15, found["kappa"], 150.0, PHI, 0.0)
    assert flat == approx(found["V"] / cell, rel=1e-12)
    assert be.column_resistance_on_surface(0.15, found["kappa"], 150.0, PHI, radians(-45)) == approx(flat / 2)


def test_stress_at_the_firm_layer_by_hand() -> None:
    """Platform of 12 kPa before construction on sublayers of 2.5 and 7 kPa."""
    assert float(be.stress_at_firm_layer(12.0, np.array([2.5, 7.0]))[0]) == approx(21.5)


@given(st.floats(10, 600), st.floats(1, 30), st.floats(0, 1.0), st.floats(0, 20))
def test_cohesion_from_the_sleeve_adds_to_the_friction_up_to_what_bending_allows(
    sigma: float, c_ud: float, alpha: float, c_rd: float
) -> None:
    """Without cohesion it is the resistance of the lines without a sleeve; with much of it bending alone is left."""
    d, a_E, area = 0.8, 0.15, np.pi * 0.16
    bare = cut(sigma, c_ud, d)
    shear = be.column_shear_of_dowel(bare["V_be"], 1e3)

    def sleeved(cohesion: float, kappa_g: float = 1.0) -> float:
        return float(be.sleeved_resistance_on_surface(a_E, kappa_g, sigma, PHI, alpha, cohesion, shear, area))

    plain = be.column_resistance_on_surface(a_E, bare["kappa"], sigma, PHI, alpha)
    assert sleeved(0.0) == approx(plain, rel=1e-9)
    assert plain <= sleeved(c_rd) * (1 + 1e-12) <= (plain + a_E * c_rd) * (1 + 1e-9)
    assert sleeved(1e4) == approx(a_E * bare["V_be"] / area * np.cos(alpha) ** 2)
    assert sleeved(c_rd, 0.5) <= sleeved(c_rd)
