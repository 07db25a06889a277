"""Liquefaction in the free field by blow counts and cone resistances."""

from typing import Any

import numpy as np
import pytest

from calc.formulas import liquefaction as li
from calc.procedures.failures import ProcedureError
from calc.procedures.liquefaction import clean_sand

approx = pytest.approx
ATM = 101.325
STRESS = 111.0 - 9.81 * 5  # at 6 m in sand of 18.5 kN/m³ below water at 1 m


def blows(N_60: Any, FC: Any, stress: Any = STRESS) -> Any:
    fines = li.increase_of_blows_for_fines(FC_j=FC)

    def once(tried: Any) -> Any:
        factor = li.overburden_factor_of_blows(p_atm=ATM, sigma_ej=stress, N_cs=tried)
        return li.clean_sand_blows(C_Nj=factor, N_60=N_60, DN_f=fines)

    return clean_sand(once, N_60)


def cone(q_c: Any, FC: Any, stress: Any = STRESS) -> Any:
    def once(tried: Any) -> Any:
        factor = li.overburden_factor_of_cone(
            p_atm=ATM, sigma_ej=stress, m_qj=li.overburden_exponent_of_cone(q_cs=tried)
        )
        own = li.normalised_cone_resistance(C_qj=factor, q_cj=q_c, p_atm=ATM)
        return li.clean_sand_cone(q_1N=own, Dq_f=li.increase_of_cone_for_fines(q_1N=own, FC_j=FC))

    return clean_sand(once, q_c / ATM)


def ratios() -> list[Any]:
    """With the reduction with depth, without it, and the one that decides."""
    reduction = li.stress_reduction(z_j=6.0, l_1=1.0, M_eq=6.5)
    assert float(reduction) == approx(0.91331, abs=1e-5)
    given = {"a_gE": 0.20, "S_gr": 1.0, "sigma_tj": 111.0, "sigma_ej": STRESS}
    reduced = li.cyclic_stress_ratio_with_reduction(**given, r_dj=reduction)
    whole = li.cyclic_stress_ratio_without_reduction(**given)
    return [reduced, whole, li.cyclic_stress_ratio(CSR_rj=reduced, CSR_0j=whole)]


def test_stress_ratios_reproduce_the_values_of_the_methods_file_and_the_larger_decides() -> None:
    """Verification values, calculated once: with r_d by Seed & Idriss (1971), without it by EN 1998-5, 4.1.4."""
    assert [float(ratio) for ratio in ratios()] == approx([0.21274, 0.23293, 0.23293], abs=5e-6)


def test_blows_reproduce_the_values_of_the_methods_file() -> None:
    """Verification values, calculated once: N_60 12, fines 10 %, z 6 m, 0.20 g, magnitude 6.5."""
    found = blows(12.0, 10.0)
    resistance = li.cyclic_resistance_of_blows(N_cs=found)
    scaling = li.magnitude_scaling(MSF_m=li.largest_scaling_of_blows(N_cs=found), M_eq=6.5)
    coefficient = li.overburden_coefficient_of_blows(N_cs=found)
    depth = li.overburden_correction(C_sig=coefficient, sigma_ej=STRESS, p_atm=ATM)
    safety = li.safety_against_liquefaction(CRR_j=resistance, MSF_j=scaling, K_sig=depth, CSR_j=ratios()[0])

    factor = li.overburden_factor_of_blows(p_atm=ATM, sigma_ej=STRESS, N_cs=found)
    assert float(factor) == approx(1.2626, abs=5e-5)
    assert float(found) == approx(16.300, abs=5e-4)
    assert [float(one) for one in (resistance, scaling, depth)] == approx([0.16745, 1.1346, 1.0572], rel=5e-5)
    assert float(safety) == approx(0.9441, abs=5e-5)


def test_cone_reproduces_the_values_of_the_methods_file() -> None:
    """Verification values, calculated once: 5 MPa, else as for the blow count."""
    found = cone(5000.0, 10.0)
    resistance = li.cyclic_resistance_of_cone(q_cs=found)
    scaling = li.magnitude_scaling(MSF_m=li.largest_scaling_of_cone(q_cs=found), M_eq=6.5)
    coefficient = li.overburden_coefficient_of_cone(q_cs=found)
    depth = li.overburden_correction(C_sig=coefficient, sigma_ej=STRESS, p_atm=ATM)
    safety = li.safety_against_liquefaction(CRR_j=resistance, MSF_j=scaling, K_sig=depth, CSR_j=ratios()[0])

    factor = li.overburden_factor_of_cone(p_atm=ATM, sigma_ej=STRESS, m_qj=li.overburden_exponent_of_cone(q_cs=found))
    assert float(factor) == approx(1.3224, abs=5e-5)
    assert float(found) == approx(71.977, abs=5e-4)
    assert [float(one) for one in (resistance, scaling, depth)] == approx([0.10887, 1.0579, 1.0420], rel=5e-5)
    assert float(safety) == approx(0.5641, abs=5e-5)


def test_resistances_reproduce_the_curves_of_the_methods_file() -> None:
    found = li.cyclic_resistance_of_blows(N_cs=np.array([10.0, 20.0, 30.0]))
    assert found == approx([0.11806, 0.20585, 0.48493], abs=5e-6)
    found = li.cyclic_resistance_of_cone(q_cs=np.array([50.0, 100.0, 150.0]))
    assert found == approx([0.09229, 0.13730, 0.28854], abs=5e-6)


def test_curves_are_cut_off_before_their_powers_run_away() -> None:
    assert float(li.cyclic_resistance_of_blows(N_cs=80.0)) == float(li.cyclic_resistance_of_blows(N_cs=37.5))
    assert float(li.cyclic_resistance_of_cone(q_cs=600.0)) == float(li.cyclic_resistance_of_cone(q_cs=211.0))
    assert 0 < float(li.overburden_coefficient_of_blows(N_cs=200.0)) <= 0.3
    assert 0 < float(li.overburden_coefficient_of_cone(q_cs=900.0)) <= 0.3


def test_scaling_is_one_at_a_magnitude_of_7_5() -> None:
    """To the digits of the published constants; the largest one is 2.2."""
    assert float(li.magnitude_scaling(MSF_m=1.8, M_eq=7.5)) == approx(1.0, abs=2e-3)
    assert float(li.magnitude_scaling(MSF_m=1.8, M_eq=5.0)) == 1.8  # its largest value, which small events would pass
    assert float(li.largest_scaling_of_blows(N_cs=90.0)) == 2.2
    assert float(li.largest_scaling_of_cone(q_cs=900.0)) == 2.2


def test_denser_and_finer_sand_resists_more() -> None:
    assert (np.diff(blows(np.array([5.0, 10.0, 20.0, 40.0]), 5.0)) > 0).all()
    assert (np.diff(blows(np.full(3, 12.0), np.array([0.0, 10.0, 35.0]))) >= 0).all()
    assert (np.diff(cone(np.array([2e3, 5e3, 1e4, 3e4]), 5.0)) > 0).all()
    assert float(li.gap_of_blows(N_cs=16.0, N_cr=16.0)) == float(li.gap_of_cone(q_cs=70.0, q_cre=70.0)) == 0


def test_stresses_are_those_of_water_at_rest() -> None:
    base = li.free_field_stress(w=np.array([20.0, 30.0]))
    stress = li.effective_stress_at_reading(sigma_eB=base, gamma_br=20.0, gamma_w=9.81, z_j=12.0, t_soft=10.0)

    assert stress.item() == approx(50 + 2 * 10.19)
    total = li.total_stress_at_reading(sigma_ej=stress, gamma_w=9.81, z_j=12.0, d_w=1.0)
    assert total.item() == approx(stress.item() + 9.81 * 11)


def test_a_resistance_that_does_not_come_to_rest_is_an_error() -> None:
    with pytest.raises(ProcedureError, match="not at rest after 200 rounds"):
        clean_sand(lambda tried: tried + 1, np.array([1.0]))
