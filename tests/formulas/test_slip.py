"""Slip surfaces, slice by slice: a published slice table, the small textbook check of reinforcement, and laws."""

from math import pi, radians, tan
from types import SimpleNamespace
from typing import Any

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from calc.formulas import slip
from tests.references.reader import rows, table

approx = pytest.approx
SMITH = table("slip_smith_5_6")


@pytest.fixture
def smith() -> dict[str, Any]:
    """The slices of the example; pore pressures from the printed ratios r_u."""
    cut = rows("slip_smith_5_6")
    W_i, r_u = (np.array([getattr(one, name) for one in cut]) for name in ("W", "r_u"))
    alpha_b = np.radians([one.alpha_deg for one in cut])
    u_i = slip.pressure_by_ratio(r_u=r_u, W_i=W_i, b_i=SMITH["b"])
    return {"W_i": W_i, "alpha_b": alpha_b, "u_i": u_i, "c": SMITH["c"], "phi": radians(SMITH["phi_deg"]), "M_e": 0.0}


def bishop(v: dict[str, Any], F: float) -> float:
    """What the equation of Bishop gives for a trial value."""
    m_alpha = slip.normal_factor(v["alpha_b"], v["phi"], F)
    return float(slip.bishop_safety(b_i=SMITH["b"], m_alpha=m_alpha, R_sl=SMITH["R"], **v)[0])


def iterated(v: dict[str, Any]) -> float:
    F = 1.5
    for _ in range(60):
        F = bishop(v, F)
    return F


def test_bishop_matches_smith_example_5_6(smith: dict[str, Any]) -> None:
    """Read: the published factor has two decimals."""
    assert iterated(smith) == approx(1.42, abs=0.01)


@pytest.mark.parametrize("trial", rows("slip_smith_5_6", "trial"), ids=lambda one: f"F={one.F}")
def test_trials_of_bishop_match_smith_example_5_6(smith: dict[str, Any], trial: SimpleNamespace) -> None:
    """Read: resisting forces over 207.9. The slices are printed with three digits, which moves the sum by 0.2 %."""
    assert bishop(smith, trial.F) == approx(trial.resisting / 207.9, rel=0.002)


def test_driving_sum_matches_smith_example_5_6(smith: dict[str, Any]) -> None:
    """Read, printed with one decimal; whole degrees of α and three digits of W move it by 0.2 %."""
    assert float(np.sum(smith["W_i"] * np.sin(smith["alpha_b"]))) == approx(207.9, rel=0.002)


def test_bishop_reproduces_the_verification_value_with_factored_strength(smith: dict[str, Any]) -> None:
    """1.138: c' and tan φ' over 1.25 (M2 of EN 1997-1), computed once from the stated equation."""
    factored = smith | {"c": smith["c"] / 1.25, "phi": np.arctan(tan(smith["phi"]) / 1.25)}

    assert iterated(factored) == approx(1.138, abs=0.001)


def test_ordinary_method_reproduces_the_verification_value(smith: dict[str, Any]) -> None:
    """1.306 with the pore pressure of slice 1, which the printed 1.33 leaves out; cohesion on the arc as printed."""
    l_i = slip.base_length(b_i=SMITH["b"], alpha_b=smith["alpha_b"])
    arc = SMITH["R"] * radians(SMITH["arc_deg"])
    F_s = slip.ordinary_safety(l_i=l_i, R_sl=SMITH["R"], **smith)[0]
    spread = SMITH["c"] * (arc - l_i.sum()) / np.sum(smith["W_i"] * np.sin(smith["alpha_b"]))

    assert F_s + spread == approx(1.306, abs=0.01)


def test_reinforcement_matches_a_public_exercise() -> None:
    """M_D 2800, M_R 2450 kNm/m, 20 kN/m to a layer, arm 8 m, safety 1.5: 10.94 layers by form B, 7.3 by form A.

    The question was read in a public exercise collection; the answers were derived.
    """
    given_ = {"F_sreq": 1.5, "M_Db": 2800.0, "M_Rb": 2450.0, "y_M": 8.0, "y_T": 0.0}

    assert slip.required_tension_as_strength(**given_) / 20 == approx(10.94, abs=0.005)
    assert slip.required_tension_on_load(**given_) / 20 == approx(7.3, abs=0.05)


@given(st.floats(100, 5000), st.floats(100, 5000), st.floats(0.5, 2.0), st.floats(1, 20))
def test_required_tension_gives_the_safety_asked_for(M_Rb: float, M_Db: float, F_sreq: float, y_M: float) -> None:
    T_A = slip.required_tension_on_load(M_Db, M_Rb, F_sreq, y_M, 0.5)
    T_B = slip.required_tension_as_strength(F_sreq, M_Db, M_Rb, y_M, 0.5)
    if abs(y_M - 0.5) > 0.1:
        assert slip.safety_with_load_lowered(M_Rb, M_Db, T_A, y_M, 0.5) == approx(F_sreq, rel=1e-9)
        assert slip.safety_with_strength_added(M_Rb, T_B, y_M, 0.5, M_Db) == approx(F_sreq, rel=1e-9)
        assert T_B == approx(F_sreq * T_A, rel=1e-9, abs=1e-9)


def test_forms_agree_at_a_safety_of_one() -> None:
    assert slip.required_tension_on_load(900.0, 700.0, 1.0, 9.0, 1.0) == approx(25.0)
    assert slip.required_tension_as_strength(1.0, 900.0, 700.0, 9.0, 1.0) == approx(25.0)


@pytest.fixture
def circle() -> dict[str, Any]:
    """Slices on an arc of radius 10 m."""
    alpha_b = np.radians([55.0, 30.0, 10.0, -15.0])
    b_i = np.array([1.0, 2.0, 2.0, 1.5])
    W_i = np.array([20.0, 80.0, 90.0, 30.0])
    return {"alpha_b": alpha_b, "b_i": b_i, "W_i": W_i, "u_i": np.array([0.0, 5.0, 9.0, 3.0]), "c": 6.0, "phi": 0.4}


def test_moment_factor_without_shear_is_bishop(circle: dict[str, Any]) -> None:
    """The identity of the general formulation: normals and resistances, taken apart, give Bishop's one equation."""
    F = 1.3
    alpha_b, c, phi, u_i = (circle[name] for name in ("alpha_b", "c", "phi", "u_i"))
    m_alpha = slip.normal_factor(alpha_b, phi, F)
    l_i = slip.base_length(circle["b_i"], alpha_b)
    N_i = slip.base_normal(circle["W_i"], 0.0, c, l_i, u_i, phi, alpha_b, F, m_alpha)
    R_i = slip.base_resistance(c, l_i, N_i, u_i, phi)
    M_Rb = slip.resisting_moment(R_i, np.full(4, 10.0))
    M_Db = slip.driving_moment(circle["W_i"], 10 * np.sin(alpha_b), N_i, np.zeros(4), 30.0)

    assert slip.moment_safety(M_Rb, M_Db) == approx(slip.bishop_safety(m_alpha=m_alpha, M_e=30.0, R_sl=10.0, **circle))


def test_faces_sum_to_the_balance_of_horizontal_forces(circle: dict[str, Any]) -> None:
    """From slice to slice the normal force ends at zero exactly where the force factor is the trial value."""
    alpha_b, phi = circle["alpha_b"], circle["phi"]
    F = 1.3
    for _ in range(60):
        m_alpha = slip.normal_factor(alpha_b, phi, F)
        l_i = slip.base_length(circle["b_i"], alpha_b)
        N_i = slip.base_normal(circle["W_i"], 0.0, 6.0, l_i, circle["u_i"], phi, alpha_b, F, m_alpha)
        R_i = slip.base_resistance(6.0, l_i, N_i, circle["u_i"], phi)
        F = float(slip.force_safety(R_i, alpha_b, N_i, 2.0)[0])
    E = 0.0
    for normal, angle, strength in zip(N_i, alpha_b, R_i, strict=True):
        E = float(slip.lower_face(E, normal, angle, strength, F, 0.5))

    assert approx(0.0, abs=1e-9) == E


def test_undrained_base_has_no_friction_in_its_normal_factor() -> None:
    assert slip.normal_factor(alpha_b=0.3, phi=0.0, F_tr=1.7) == approx(np.cos(0.3))


def test_half_sine_is_none_at_both_ends_and_one_in_the_middle() -> None:
    assert slip.half_sine(x_f=np.array([0.0, 5.0, 10.0]), L_x=10.0) == approx([0.0, 1.0, 0.0], abs=1e-12)
    assert slip.interslice_shear(lambda_X=0.3, f_X=0.5, E_lo=100.0) == approx(15.0)


def test_pressures_agree_where_they_must() -> None:
    """A level table: seepage is the head; r_u is the pressure over the stress."""
    assert slip.pressure_by_seepage(9.81, 2.0, 0.0) == approx(slip.pressure_by_head(9.81, 2.0))
    assert slip.pressure_by_seepage(9.81, 2.0, pi / 4) == approx(9.81)
    assert slip.pressure_by_ratio(r_u=0.25, W_i=slip.slice_weight(80.0, 2.0), b_i=2.0) == approx(20.0)


def test_undrained_strength_grows_below_its_level_only() -> None:
    assert slip.strength_at_base(6.0, 1.2, 0.0, np.array([2.0, 0.0, -5.0])) == approx([6.0, 6.0, 12.0])


def test_janbu_factor_is_that_of_a_shallow_arc() -> None:
    """d over L of 0.225 in c-φ soil, the circle of Fredlund & Krahn: 1.077; worked by hand."""
    f_J = slip.janbu_factor(b_J=0.5, d_J=26.95, L_J=119.77)

    assert f_J == approx(1.0771, abs=1e-4)
    assert slip.janbu_safety(f_J, 2.0) == approx(2.1542, abs=2e-4)


def test_parts_of_a_slice_carry_its_weight_and_its_shear() -> None:
    """Stresses of 40 and 200 kPa at an area ratio of 0.15: 64 kPa on the mean."""
    W_si, W_ci = slip.soil_weight(0.15, 2.0, 40.0), slip.column_weight(0.15, 2.0, 200.0)

    assert W_si + W_ci == approx(2.0 * 64.0)
    assert slip.soil_share_of_shear(10.0, W_si, W_ci) + slip.soil_share_of_shear(10.0, W_ci, W_si) == approx(10.0)


def test_cracks_are_as_deep_as_active_pressure_pulls() -> None:
    """At the bottom of the crack the active pressure K_a γ z − 2 c √K_a is zero; undrained K_a is 1."""
    z_cr = slip.drained_crack_depth(c=5.0, gamma=20.0, K_a=0.25)

    assert 0.25 * 20.0 * z_cr - 2 * 5.0 * 0.5 == approx(0.0)
    assert slip.undrained_crack_depth(c_u=5.0, gamma=20.0) == approx(slip.drained_crack_depth(5.0, 20.0, 1.0))
    assert slip.crack_thrust(gamma_w=10.0, z_crw=2.0) == approx(20.0)


def test_tension_is_the_least_of_strength_and_pull_out() -> None:
    pulled = slip.pull_out_resistance(np.array([10.0, 30.0]), 0.4, 0.2, 1.0, np.array([2.0, 2.0]), 1.25)

    assert pulled == approx(((6.0 + 1.0) * 2 + (18.0 + 1.0) * 2) / 1.25)
    assert slip.slip_tension(R_rd=100.0, R_poi=40.0, R_poo=60.0) == approx(40.0)
    assert slip.slip_tension(R_rd=30.0, R_poi=40.0, R_poo=60.0) == approx(30.0)


def test_cohesionless_base_takes_no_tension() -> None:
    assert slip.resistance_without_tension(np.array([-3.0, 3.0])) == approx([0.0, 3.0])
