"""The standard method of the unit cell: verification values, limits and laws."""

from math import inf, isnan, log, radians, tan
from types import SimpleNamespace
from typing import Any

import numpy as np
import pytest

from calc.formulas import loads
from calc.formulas import unit_cell as uc
from calc.procedures.cell import solve_cell
from tests.procedures.chains import active, case_r1, solver_inputs, standard
from tests.procedures.one_case import stress_on_soil
from tests.references.reader import rows

approx = pytest.approx


def solved(**changes: Any) -> dict[str, Any]:
    values = case_r1(**changes)
    return standard(values, solve_cell(**solver_inputs(values)).unknown)


def changed(row: SimpleNamespace) -> dict[str, Any]:
    change = {name: value for name, value in row.change.items() if name not in {"phi_c_degrees", "linear"}}
    return change | ({"K_ac": active(row.change["phi_c_degrees"])} if "phi_c_degrees" in row.change else {})


def by_name(row: SimpleNamespace) -> str:
    return str(row.case)


@pytest.mark.parametrize("row", [row for row in rows("standard_cell") if "linear" not in row.change], ids=by_name)
def test_cell_reproduces_the_verification_values_of_one_sublayer(row: SimpleNamespace) -> None:
    done = solved(**changed(row))

    assert done["Dsigma_vs"] == approx(row.Dsigma_vs, rel=1e-5)
    assert done["Dsigma_vc"] == approx(row.Dsigma_vc, rel=1e-5)
    assert done["E_star"] == approx(row.E_star, rel=1e-5)
    assert done["sigma_hdiff"] == approx(row.sigma_hdiff, rel=1e-4)
    assert done["Dr_c"] * 1000 == approx(row.Dr_c_mm, rel=1e-5)
    assert done["F_R"] == approx(row.F_R, rel=1e-5)
    assert done["s_s"] * 1000 == approx(row.s_mm, rel=1e-5)
    assert done["s_c"] == approx(done["s_s"], rel=1e-9)


def test_cell_with_linear_column_settlement_reproduces_its_verification_value() -> None:
    """Case R11 replaces U10 by 2 Dr/r, so the root is sought here and the rest goes through the formulas."""
    (row,) = [row for row in rows("standard_cell") if "linear" in row.change]
    values = case_r1()
    x = stress_on_soil(values, linear=True)
    done = standard(values, x)

    assert [x, done["Dsigma_vc"]] == approx([row.Dsigma_vs, row.Dsigma_vc], rel=1e-5)
    assert done["sigma_hdiff"] == approx(row.sigma_hdiff, rel=1e-4)
    assert (done["Dr_c"] * 1000, done["F_R"]) == (approx(row.Dr_c_mm, rel=1e-5), approx(row.F_R, rel=1e-5))
    assert done["s_s"] * 1000 == approx(row.s_mm, rel=1e-5)


def test_widening_reproduces_the_hand_check_of_the_base_case() -> None:
    """The hand check prints the parts of U8: 96.0352 over 1323.529 + 12500."""
    done = standard(case_r1(), 37.9383)

    assert done["sigma_hc"] == approx(150.9978, abs=5e-4)
    assert done["sigma_hs"] == approx(54.9626, abs=5e-5)
    assert (done["k_ring"], done["k_J"]) == (approx(1323.529, abs=5e-4), approx(12500))
    assert done["Dr_c"] * 1000 == approx(6.94723, abs=5e-6)


def ten_layers(**changes: Any) -> dict[str, Any]:
    z = np.arange(10) + 0.5
    return case_r1(J=2500.0, sigma_v0s=10 + 4 * z, sigma_v0c=10 + 9 * z, E_ref=600.0, m=1.0, **changes)


def test_ten_sublayers_reproduce_the_verification_values() -> None:
    values = ten_layers()
    done = standard(values, solve_cell(**solver_inputs(values)).unknown)

    assert uc.total_settlement(done["s_c"]) * 1000 == approx(486.630, abs=5e-4)
    assert done["F_R"][[0, -1]] == approx([71.6014, 55.7057], abs=5e-5)
    assert done["s_s"][[0, -1]] * 1000 == approx([54.9110, 43.1181], abs=5e-5)
    assert done["Dsigma_vs"][[0, -1]] == approx([5.37107, 16.1592], rel=5e-6)


def test_untreated_ten_sublayers_reproduce_the_verification_value() -> None:
    """Small strain with the modulus for the whole load, 2579.83 mm; for m = 1 this is the logarithmic law exactly."""
    values = ten_layers()
    p_2 = uc.stress_after_loading(values["p_1"], values["Dsigma_0"])
    modulus = uc.oedometer_modulus(600.0, uc.logarithmic_mean_stress(values["p_1"], p_2), 100.0, 1.0)
    s_i = uc.untreated_sublayer_settlement(values["Dsigma_0"], modulus, values["h"])

    assert uc.total_settlement(s_i) * 1000 == approx(2579.83, abs=5e-3)
    assert s_i == approx([100 / 600 * log(1 + 100 / p) for p in values["p_1"]], rel=1e-12)
    assert uc.improvement_factor(s_u=2579.83, s=486.630) == approx(5.3014, abs=5e-5)


@pytest.mark.parametrize(("m", "secant"), [(0.5, 343.54), (0.8, 274.28), (1.0, 236.04)])
def test_modulus_reproduces_the_verification_values_of_a_stress_step(m: float, secant: float) -> None:
    """E_ref 500 at 100 kPa, step from 30 to 70 kPa."""
    assert uc.oedometer_modulus(500.0, uc.logarithmic_mean_stress(30.0, 70.0), 100.0, m) == approx(secant, abs=0.005)


def test_mean_stress_of_no_step_is_the_stress_itself() -> None:
    assert uc.logarithmic_mean_stress(30.0, np.array([30.0, 30.0 * (1 + 1e-9)])) == approx(30.0, rel=1e-6)


def test_ring_modulus_is_that_of_plane_stress_and_not_of_plane_strain() -> None:
    """E_oed 1000, nu 0.4, a_E 0.15: 3000.0 in plane stress; a ring in plane strain would give 3888.9."""
    assert uc.ring_modulus(nu_s=0.4, a_E=0.15, E_oed=1000.0) == approx(3000.0, rel=1e-12)


@pytest.mark.parametrize("nu", [0.0, 0.3, 0.4])
@pytest.mark.parametrize("a_E", [0.1, 0.2])
def test_ring_modulus_agrees_with_the_elastic_ring_in_plane_stress(nu: float, a_E: float) -> None:
    """Lamé's ring with inner pressure 1 at radius 1 and no displacement at the outer edge, solved as 2 x 2."""
    E = 1000.0 * (1 + nu) * (1 - 2 * nu) / (1 - nu)
    outer = 1 / np.sqrt(a_E)
    # u = A r + B/r; radial stress = E/(1-nu^2) ((1+nu) A - (1-nu) B/r^2)
    system = np.array([[outer, 1 / outer], [-(1 + nu) * E / (1 - nu**2), (1 - nu) * E / (1 - nu**2)]])
    widening = float(np.linalg.solve(system, [0.0, 1.0]).sum())

    assert (1 / a_E - 1) / uc.ring_modulus(nu_s=nu, a_E=a_E, E_oed=1000.0) == approx(widening, rel=1e-12)


def test_stress_difference_gives_the_widening_again() -> None:
    for gap in (0.0, 0.005, 0.02):
        done = solved(Dr_gap=gap)
        assert done["Dr_check"] == approx(done["Dr_c"], rel=1e-12)
        assert done["Dsigma_vc"] * 0.15 + done["Dsigma_vs"] * 0.85 == approx(100.0, rel=1e-12)


def test_slack_sleeve_carries_nothing_and_leaves_the_cell_without_sleeve() -> None:
    loose, bare = solved(Dr_gap=0.02), solved(J=0.0)

    assert loose["k_J"] == 0
    assert loose["F_R"] == 0
    assert loose["eps_R"] == 0
    assert loose["s_c"] == approx(bare["s_c"], rel=1e-12)


def test_sleeve_stiffness_does_not_matter_at_the_very_widening_that_uses_up_the_slack() -> None:
    bare = solved(J=0.0)
    free = float(bare["Dr_c"])
    # The sleeve radius enters U4; at the switch it does not matter, the support there is zero.
    just_slack, just_taut = solved(Dr_gap=free * (1 + 1e-9)), solved(Dr_gap=free * (1 - 1e-9))

    assert just_slack["k_J"] == 0
    assert just_taut["k_J"] > 0
    assert just_taut["s_c"] == approx(just_slack["s_c"], rel=1e-8)


def test_widening_takes_the_smaller_of_slack_and_taut() -> None:
    """The switch of U8 as the solver uses it: the taut sleeve gives the smaller widening exactly beyond the slack."""
    rng = np.random.default_rng(7)
    outward, ring, J, gap = rng.uniform(0.01, 200, (4, 2000)) * np.array([[1.0], [20.0], [100.0], [1e-4]])
    free = uc.free_widening(sigma_hc=outward, sigma_hs=0.0, k_ring=ring)
    k_J = uc.sleeve_stiffness(Dr_free=free, Dr_gap=gap, J=J, r_geo=1.0)
    switched = uc.column_widening(sigma_hc=outward, sigma_hs=0.0, Dr_gap=gap, k_J=k_J, k_ring=ring)

    assert 0.1 < (k_J > 0).mean() < 0.9
    assert switched == approx(np.minimum(free, (outward + gap * J) / (ring + J)), rel=1e-12)


def test_mobilising_load_reproduces_the_loads_without_root_of_the_pitfall() -> None:
    """K* 1, both initial stresses 30 kPa: no solution at 5 and 10 kPa, one at 20 kPa."""
    values = case_r1(sigma_v0c=30.0)
    threshold = uc.mobilising_load(0.15, 1.0, 30.0, values["K_ac"], 30.0)
    solution = solve_cell(**solver_inputs(values | {"Dsigma_0": np.array([5.0, 10.0, 20.0])}))

    assert threshold == approx(0.15 * (30 / values["K_ac"] - 30), rel=1e-12)
    assert 10 < threshold < 20
    assert solution.mobilised.tolist() == [False, False, True]


def test_mobilising_load_is_where_the_column_presses_outward_with_no_stress_on_the_soil() -> None:
    values = case_r1(sigma_v0c=30.0)
    load = uc.mobilising_load(0.15, 1.0, 30.0, values["K_ac"], 30.0)
    done = standard(values | {"Dsigma_0": load}, 0.0)

    assert done["sigma_hc"] == approx(done["sigma_hs"], rel=1e-12)
    assert done["Dr_c"] == approx(0, abs=1e-15)


def test_settlement_vanishes_as_the_load_falls_to_the_mobilising_load() -> None:
    threshold = uc.mobilising_load(0.15, 1.0, 30.0, active(32.5), 50.0)
    settlements = [float(solved(Dsigma_0=threshold * (1 + step))["s_c"]) for step in (1e-1, 1e-3, 1e-6)]

    assert settlements[0] > settlements[1] > settlements[2] > 0
    assert settlements[2] < 1e-7


def test_settlement_goes_to_nothing_with_a_rigid_sleeve() -> None:
    """The fill cannot be compressed, so only the sleeve lets the column settle."""
    assert solved(J=1e9)["s_c"] < 1e-6


SERIES: dict[str, list[float]] = {
    "J": [0, 500, 1000, 2000, 4000, 8000],
    "K_ac": [active(phi) for phi in (30, 32.5, 35, 37.5, 40)],
    "a_E": [0.10, 0.12, 0.15, 0.18, 0.20],
    "Dsigma_0": [40, 60, 100, 150, 250],
    "E_ref": [500, 1000, 2000, 3000],
    "K_star": [0.7, 0.8, 1.0, 1.2],
    "Dr_gap": [0, 0.002, 0.005, 0.01, 0.02],
}


@pytest.mark.parametrize("m", [0.0, 0.7, 1.0])
@pytest.mark.parametrize(
    ("name", "settlement", "force"),
    [
        ("J", -1, 1),
        ("K_ac", -1, -1),
        ("a_E", -1, -1),
        ("Dsigma_0", 1, 1),
        ("E_ref", -1, -1),
        ("K_star", -1, -1),
        ("Dr_gap", 1, -1),
    ],
)
def test_settlement_and_force_are_monotonic_in_each_input(name: str, settlement: int, force: int, m: float) -> None:
    """A larger active coefficient comes with a smaller friction angle, so its series runs downward."""
    done = [solved(m=m, **{name: value}) for value in SERIES[name]]

    assert (settlement * np.diff([float(one["s_c"]) for one in done]) > 0).all()
    forces = force * np.diff([float(one["F_R"]) for one in done])
    assert (forces >= 0).all()
    assert (forces > 0).sum() >= 2


def test_material_factor_reproduces_the_verification_value_of_ring_tension() -> None:
    """tan(phi_c)/1.25 and 1.3 times the variable load at its source: 70.01 kN/m; factoring the effect gives 69.95."""
    angle = loads.factored_friction_angle(phi_ck=radians(32.5), gamma_phi=1.25)
    K_ac = active(float(np.degrees(angle)))
    at_source = [float(solved(K_ac=K_ac, Dsigma_0=load)["F_R"]) for load in (100 + 1.3 * 50, 100, 150)]

    assert tan(angle) == approx(tan(radians(32.5)) / 1.25, rel=1e-12)
    assert at_source[0] == approx(70.01, abs=0.005)
    assert at_source[1] + 1.3 * (at_source[2] - at_source[1]) == approx(69.95, abs=0.005)


def test_factored_soil_friction_reproduces_the_unsafe_value_that_is_avoided() -> None:
    """Factoring the friction of the soil too would raise its support: 69.19 kN/m."""
    K_ac = active(float(np.degrees(np.arctan(tan(radians(32.5)) / 1.25))))
    K_0s = 1 - np.sin(np.arctan(tan(radians(20)) / 1.25))

    assert solved(K_ac=K_ac, K_0s=K_0s, Dsigma_0=165.0)["F_R"] == approx(69.19, abs=0.005)


def test_stress_ratio_lies_in_the_range_stated_for_the_method() -> None:
    """Plausibility only: the method gives 8 to 20 in usual ground, laboratory cells 6 to 25 (Miranda et al. 2017,
    Geotext. Geomembr. 45, 14-22; Moreno 2025, Univ. Brasília), so it is of that order and above the field's 2 to 6.5
    (Riccio et al. 2015; Chen et al. 2021)."""
    done = solved()

    assert 6 < uc.stress_ratio(done["Dsigma_vc"], done["Dsigma_vs"]) < 25


def test_ring_strain_lies_in_the_range_reported_in_service() -> None:
    """Plausibility only: 1 to 4 % in service (Alexiew et al. 2005, quoted from review texts)."""
    assert 0.01 < solved()["eps_R"] < 0.04
    assert solved()["eps_R"] == approx(solved()["F_R"] / 2000, rel=1e-12)


def test_stiffer_sleeve_raises_the_stress_ratio_as_in_the_centrifuge() -> None:
    """Chen et al. (2021), Geotext. Geomembr.: the ratio rises from 4 to 6.5 as J goes from 450 to 3300 kN/m; only the
    direction is compared, the method's level lies higher."""
    low, high = (solved(J=J) for J in (450.0, 3300.0))

    assert uc.stress_ratio(high["Dsigma_vc"], high["Dsigma_vs"]) > uc.stress_ratio(low["Dsigma_vc"], low["Dsigma_vs"])


def test_cohesion_without_friction_gives_no_finite_stress() -> None:
    """The sheet refuses what is not finite; it must not pass as a stress without cohesion."""
    from calc.formulas.ground import cohesion_pressure, stress_before_loading

    assert cohesion_pressure(np.float64(5.0), np.float64(0.0)) == inf
    assert cohesion_pressure(np.float64(0.0), np.float64(0.0)) == 0.0
    assert not isnan(cohesion_pressure(np.float64(0.0), np.float64(0.3)))
    assert cohesion_pressure(5.0, radians(20)) == approx(5 / tan(radians(20)), rel=1e-12)
    assert stress_before_loading(30.0, 5.0) == 35.0


def test_strain_without_columns_and_shares_of_methods_are_plain_ratios() -> None:
    from calc.formulas.elastic_plastic_cell import tension_of_methods, widening_at_yield
    from calc.formulas.sleeve import utilisation

    assert uc.untreated_strain(s_iu=0.3, h=1.5) == approx(0.2, rel=1e-15)
    assert tension_of_methods(T_EP=44.0, F_Ri=40.0) == approx(1.1, rel=1e-15)
    assert widening_at_yield(r_c=0.4, F_el=0.3, eps_y=0.001) == approx(0.00012, rel=1e-12)
    assert utilisation(F_Rd=75.0, R_Bd=150.0) == 0.5


def test_difference_of_settlements_is_that_of_centre_and_shoulder() -> None:
    assert uc.settlement_difference(s_cen=0.50, s_sho=0.45) == approx(0.05, rel=1e-12)
