"""Stress shares of soil and column and the shear strength of the column field."""

from math import radians, tan
from typing import Any

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from calc.formulas import ground
from calc.formulas import shear_parameters as sp
from calc.formulas.bearing import design_cohesion, design_undrained_strength
from calc.formulas.unit_cell import column_stress_increment

approx = pytest.approx


@given(st.floats(1.0, 60.0), st.floats(0.01, 0.9))
def test_stress_shares_carry_the_whole_load_in_the_given_ratio(n_st: float, a_E: float) -> None:
    mu_s, mu_c = sp.soil_stress_share(n_st, a_E), sp.column_stress_share(n_st, a_E)

    assert a_E * mu_c + (1 - a_E) * mu_s == approx(1.0, rel=1e-12)
    assert mu_c / mu_s == approx(n_st, rel=1e-12)


def test_stress_shares_have_their_limits() -> None:
    """Equal stress at a ratio of 1; all load on the column at a ratio without bound."""
    assert sp.soil_stress_share(1.0, 0.15) == sp.column_stress_share(1.0, 0.15) == 1.0
    assert sp.soil_stress_share(1e9, 0.15) == approx(0.0, abs=1e-8)
    assert sp.column_stress_share(1e9, 0.15) == approx(1 / 0.15, rel=1e-6)


def test_share_of_the_soil_is_monotonic_in_the_stress_ratio() -> None:
    assert (np.diff(sp.soil_stress_share(np.array([1.0, 2.0, 5.0, 20.0]), 0.15)) < 0).all()
    assert (np.diff(sp.column_stress_share(np.array([1.0, 2.0, 5.0, 20.0]), 0.15)) > 0).all()


def test_averaged_friction_angle_reproduces_that_of_the_verification_circle() -> None:
    """Ratio 5, area ratio 0.15, 30 degrees in the column, none in the soil: 0.46875 tan 30, that is 15.14 degrees."""
    mu_c = sp.column_stress_share(5.0, 0.15)
    phi_avg = sp.averaged_friction_angle(0.15, sp.soil_stress_share(5.0, 0.15), 0.0, mu_c, radians(30))

    assert 0.15 * mu_c == approx(0.46875, rel=1e-12)
    assert np.degrees(phi_avg) == approx(15.14, abs=0.005)
    assert sp.averaged_cohesion(0.15, 6.0) == approx(5.1, rel=1e-12)


def bishop(resistance: Any, driving: float) -> float:
    """Root of the simplified method for a resistance that depends on the safety."""
    F = 1.0
    for _ in range(100):
        F = float(np.sum(resistance(F))) / driving
    return F


def circle(slices: int = 3200) -> dict[str, Any]:
    """Circle about (5, 7), radius 13, through fill 5 m high (crest edge x 0, toe x 10) and clay below y 0."""
    edges = np.linspace(5 - 165**0.5, 5 + 120**0.5, slices + 1)
    x, b = (edges[1:] + edges[:-1]) / 2, np.diff(edges)
    y = 7 - np.sqrt(169 - (x - 5) ** 2)
    top = np.interp(x, [0, 10], [5, 0])
    added = 19 * (top - np.maximum(y, 0)) + 13 * (x < 0)
    return {"b": b, "sin": -(x - 5) / 13, "y": y, "added": added, "depth": np.maximum(-y, 0), "field": x < 10}


@pytest.mark.parametrize(("strict", "safety"), [(True, 1.280), (False, 1.748)])
def test_strict_split_reproduces_the_safety_of_the_verification_circle(strict: bool, safety: float) -> None:
    """Fill 19 kN/m3, 32.5 degrees, traffic 13 kPa; clay 15 kN/m3, strength 6 kPa + 1.2 kPa/m; columns with area ratio
    0.15, ratio 5, 30 degrees and 15 kN/m3; Bishop 1.280. The averaged angle on the whole weight overstates it: 1.748.
    Values computed once, with 800 slices, independently of this program; 0.1 % is allowed for the slices."""
    at = circle()
    sin, b = at["sin"], at["b"]
    cos = np.sqrt(1 - sin**2)
    weight = (15 * at["depth"] + at["added"]) * b
    strength = 6 + 1.2 * at["depth"]
    clay, field = at["y"] < 0, (at["y"] < 0) & at["field"]
    mu_s, mu_c = sp.soil_stress_share(5.0, 0.15), sp.column_stress_share(5.0, 0.15)

    def friction(normal: Any, phi: float, F: float) -> Any:
        return normal * tan(phi) * b / (cos + sin * tan(phi) / F)

    def resistance(F: float) -> Any:
        soil = sp.averaged_cohesion(0.15, strength) * b / cos
        if strict:
            both = soil + 0.15 * friction(sp.column_stress(15 * at["depth"], mu_c, at["added"]), radians(30), F)
        else:
            phi = float(sp.averaged_friction_angle(0.15, mu_s, 0.0, mu_c, radians(30)))
            both = soil * cos / (cos + sin * tan(phi) / F) + friction(weight / b, phi, F)
        return np.where(clay, np.where(field, both, strength * b / cos), friction(at["added"], radians(32.5), F))

    assert bishop(resistance, float(np.sum(weight * sin))) == approx(safety, rel=1e-3)


def test_strict_split_gives_the_friction_of_soil_and_column_under_their_own_stress() -> None:
    sigma_vs = sp.soil_stress(sigma_v0s=30.0, mu_s=0.625, Dsigma_0=100.0, Du_s=20.0)
    sigma_vc = sp.column_stress(sigma_v0c=50.0, mu_c=3.125, Dsigma_0=100.0)
    sigma_vm = sp.mean_stress(0.15, sigma_vs, sigma_vc)
    phi = sp.split_friction_angle(0.15, sigma_vs, radians(20), sigma_vc, radians(32.5), sigma_vm)

    assert (sigma_vs, sigma_vc) == (approx(72.5), approx(362.5))
    assert sigma_vm == approx(0.85 * 72.5 + 0.15 * 362.5, rel=1e-12)
    assert sigma_vm * tan(phi) == approx(0.85 * 72.5 * tan(radians(20)) + 54.375 * tan(radians(32.5)), rel=1e-12)


def test_strict_split_is_the_averaged_angle_where_the_ground_has_no_weight() -> None:
    """Only then does the whole stress follow the stress ratio."""
    mu_s, mu_c = sp.soil_stress_share(4.0, 0.2), sp.column_stress_share(4.0, 0.2)
    sigma_vs, sigma_vc = sp.soil_stress(0.0, mu_s, 80.0, 0.0), sp.column_stress(0.0, mu_c, 80.0)
    strict = sp.split_friction_angle(
        0.2, sigma_vs, radians(20), sigma_vc, radians(35), sp.mean_stress(0.2, sigma_vs, sigma_vc)
    )

    assert strict == approx(sp.averaged_friction_angle(0.2, mu_s, radians(20), mu_c, radians(35)), rel=1e-12)


@given(st.floats(0.0, 300.0), st.floats(1.0, 20.0))
def test_strict_split_gives_no_more_friction_than_the_averaged_angle(weight: float, n_st: float) -> None:
    """Weight below ground level does not concentrate on the columns; the averaged angle lets it."""
    mu_s, mu_c = sp.soil_stress_share(n_st, 0.15), sp.column_stress_share(n_st, 0.15)
    sigma_vs, sigma_vc = sp.soil_stress(weight, mu_s, 100.0, 0.0), sp.column_stress(weight, mu_c, 100.0)
    strict = sp.split_friction_angle(
        0.15, sigma_vs, radians(15), sigma_vc, radians(32.5), sp.mean_stress(0.15, sigma_vs, sigma_vc)
    )

    assert strict <= sp.averaged_friction_angle(0.15, mu_s, radians(15), mu_c, radians(32.5)) + 1e-12


def test_strength_and_weight_of_the_field_are_means_over_its_area() -> None:
    assert sp.field_strength(0.15, 10.0, 90.0) == approx(8.5 + 13.5, rel=1e-12)
    assert sp.mean_unit_weight(0.15, 15.0, 19.0) == approx(15.6, rel=1e-12)
    assert sp.field_strength(0.0, 10.0, 90.0) == 10.0
    assert sp.mean_unit_weight(1.0, 15.0, 19.0) == 19.0


def test_improvement_factor_and_shares_reproduce_the_verification_values() -> None:
    """Area ratio 0.20, 40 degrees: 2.180, 0.541; area ratio 0.15, 32.5 degrees: 1.561 and 0.359."""
    n_0 = sp.basic_improvement_factor(0.20, ground.active_coefficient(radians(40)))
    other = sp.basic_improvement_factor(0.15, ground.active_coefficient(radians(32.5)))

    assert (n_0, other) == (approx(2.180, abs=5e-4), approx(1.561, abs=5e-4))
    assert sp.cautious_load_share(n_0) == approx(0.541, abs=5e-4)
    assert sp.cautious_load_share(other) == approx(0.359, abs=5e-4)


def test_weighted_parameters_reproduce_the_verification_values() -> None:
    """Share 0.541, 40 degrees in the column, 20 degrees and 10 kPa in the soil: 31.85 degrees and 4.59 kPa."""
    m_cr = sp.cautious_load_share(sp.basic_improvement_factor(0.20, ground.active_coefficient(radians(40))))

    assert np.degrees(sp.weighted_friction_angle(m_cr, radians(40), radians(20))) == approx(31.85, abs=0.005)
    assert sp.weighted_cohesion(m_cr, 10.0) == approx(4.59, abs=0.005)


@given(st.floats(1.0, 20.0), st.floats(0.05, 0.4))
def test_load_share_is_that_of_the_stress_ratio(n_st: float, a_E: float) -> None:
    """With the stresses of the unit cell."""
    share = a_E * sp.column_stress_share(n_st, a_E)
    mu_s = sp.soil_stress_share(n_st, a_E)

    assert sp.column_load_share(a_E, column_stress_increment(100.0, a_E, 100 * mu_s), 100.0) == approx(share, rel=1e-9)


@given(st.floats(1.01, 5.0), st.floats(0.01, 0.4))
def test_cautious_share_is_below_the_exact_one(n_0: float, a_E: float) -> None:
    """The exact one is equilibrium of the cell where the stress on the soil falls by the improvement factor."""
    assert sp.cautious_load_share(n_0) < (n_0 - 1 + a_E) / n_0


def test_no_columns_leave_the_parameters_of_the_soil() -> None:
    assert sp.basic_improvement_factor(0.0, 0.3) == 1.0
    assert sp.cautious_load_share(1.0) == 0.0
    assert sp.weighted_friction_angle(0.0, radians(35), radians(20)) == approx(radians(20), rel=1e-12)
    assert sp.weighted_friction_angle(1.0, radians(35), radians(20)) == approx(radians(35), rel=1e-12)
    assert sp.weighted_cohesion(0.0, 10.0) == 10.0


@pytest.mark.parametrize(
    ("F_R", "Dsigma_3", "c_r"), [(60.0, 150.0, 136.7), (35.0, 87.5, 79.75)], ids=["60 kN/m", "35 kN/m"]
)
def test_apparent_cohesion_reproduces_the_verification_values(F_R: float, Dsigma_3: float, c_r: float) -> None:
    """Diameter 0.80 m, 32.5 degrees; the first, with an area ratio of 0.15, gives 20.5 kPa over the field."""
    support = sp.sleeve_support(F_R, 0.80)
    found = sp.apparent_cohesion(support, ground.passive_coefficient(radians(32.5)))

    assert support == approx(Dsigma_3, rel=1e-12)
    assert found == approx(c_r, abs=0.05 if c_r > 100 else 0.005)
    if F_R == 60.0:
        assert sp.averaged_apparent_cohesion(0.15, found) == approx(20.5, abs=0.05)


@given(st.floats(15.0, 45.0), st.floats(0.0, 200.0), st.floats(5.0, 300.0))
def test_apparent_cohesion_is_the_support_at_failure(degrees: float, support: float, radial: float) -> None:
    """Mohr, Coulomb: K_p (radial + support) is K_p radial + 2 c √K_p, so the same stress is carried."""
    K_p = float(ground.passive_coefficient(radians(degrees)))
    c_r = sp.apparent_cohesion(support, K_p)

    assert K_p * radial + 2 * c_r * K_p**0.5 == approx(K_p * (radial + support), rel=1e-12)


def test_strengths_are_divided_by_their_factors() -> None:
    """Material factors 1.25 on cohesion and 1.4 on undrained strength (EN 1997-1:2004, Table A.4, set M2)."""
    assert design_cohesion(10.0, 1.25) == approx(8.0, rel=1e-12)
    assert design_undrained_strength(14.0, 1.4) == approx(10.0, rel=1e-12)
