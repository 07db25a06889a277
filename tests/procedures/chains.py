"""The cells evaluated step by step through the registered formulas, as a page prints them."""

from typing import Any

import numpy as np

from calc.formulas import elastic_cell as el
from calc.formulas import elastic_plastic_cell as ep
from calc.formulas import unit_cell as uc

Values = dict[str, Any]

STANDARD = (
    uc.column_stress_increment,
    uc.stress_after_loading,
    uc.logarithmic_mean_stress,
    uc.oedometer_modulus,
    uc.ring_modulus,
    uc.column_horizontal_stress,
    uc.soil_horizontal_stress,
    uc.ring_stiffness,
    uc.free_widening,
    uc.sleeve_stiffness,
    uc.column_widening,
    uc.sleeve_widening,
    uc.ring_tension,
    uc.ring_strain,
    uc.sleeve_pressure,
    uc.stress_difference,
    uc.widening_from_stress_difference,
    uc.soil_settlement,
    uc.column_settlement,
    uc.settlement_gap,
)

LAME = (el.soil_lame_constant, el.soil_shear_modulus, el.fill_lame_constant, el.fill_shear_modulus)
ELASTIC = (
    el.widening_coefficient,
    el.column_vertical_stiffness,
    el.column_radial_stiffness,
    el.soil_vertical_stiffness,
    el.cell_modulus,
    el.elastic_strain,
    el.elastic_ring_tension,
)
FLOW = (ep.dilatancy_ratio, ep.axial_compliance, ep.radial_compliance, ep.widening_compliance)
YIELD = (ep.yield_reserve, ep.yield_rate, ep.elastic_load, ep.strain_at_yield)
PLASTIC = (ep.wall_stiffness, ep.radial_stress_rate, ep.widening_rate, ep.plastic_cell_modulus)
END = (
    ep.strain_when_taut,
    ep.load_when_taut,
    ep.elastic_plastic_strain,
    ep.elastic_plastic_widening,
    ep.elastic_plastic_ring_tension,
    ep.elastic_plastic_soil_stress,
)


def run(values: Values, formulas: Any, **renamed: str) -> Values:
    """The values with the results of the formulas, in order; ``renamed`` maps names of formulas to names of values."""
    done = dict(values)
    for formula in formulas:
        arguments = {name: done[renamed.get(name, name)] for name in formula.arguments}
        done[renamed.get(formula.symbol, formula.symbol)] = formula(**arguments)
    return done


def standard(values: Values, stress_on_soil: Any) -> Values:
    """The standard method at a given added stress on the soil."""
    return run(values | {"Dsigma_vs": stress_on_soil}, STANDARD)


def elastic(values: Values) -> Values:
    """The elastic cell."""
    return run(values, (*LAME, *ELASTIC))


def elastic_plastic(values: Values) -> Values:
    """The elastic, perfectly plastic cell with the three stages of its sleeve."""
    done = run(values, (*LAME, ep.initial_sleeve_stiffness))
    done = run(done, ELASTIC, J="J_0")
    done = run(done, (*YIELD, *FLOW))
    done = run(done, PLASTIC, J="J_0", kappa="kappa_0", rho="rho_0", eta="eta_0", M_p="M_p0")
    return run(run(done, PLASTIC), END)


def rigid_plastic(values: Values) -> Values:
    """The cell with a rigid, plastic column."""
    formulas = (
        ep.dilatancy_ratio,
        ep.wall_stiffness,
        ep.rigid_plastic_soil_stiffness,
        ep.rigid_plastic_wall_stiffness,
        ep.rigid_plastic_strain,
        ep.rigid_plastic_ring_tension,
    )
    return run(values, (*LAME[:2], *formulas))


def active(degrees: float) -> float:
    """Active coefficient by the half-angle form, another form than the registered formula."""
    return float(np.tan(np.pi / 4 - np.radians(degrees) / 2) ** 2)


SOLVER_INPUTS = (
    "Dsigma_0", "a_E", "r_c", "r_geo", "J", "K_ac", "K_0s", "K_star",
    "sigma_v0s", "sigma_v0c", "p_1", "E_ref", "p_ref", "m", "nu_s",
)  # fmt: skip


def solver_inputs(values: Values) -> Values:
    """Those of the values that the solver of the cell takes."""
    return {name: values[name] for name in SOLVER_INPUTS}


def case_r1(**changes: Any) -> Values:
    """The base case of the verification values: one sublayer of 1 m, constant modulus."""
    base = {
        "Dsigma_0": 100.0, "a_E": 0.15, "r_c": 0.4, "Dr_gap": 0.0, "J": 2000.0, "K_ac": active(32.5),
        "K_0s": 1 - np.sin(np.radians(20)), "K_star": 1.0, "sigma_v0s": 30.0, "sigma_v0c": 50.0,
        "E_ref": 1000.0, "p_ref": 100.0, "m": 0.0, "nu_s": 0.4, "h": 1.0,
    }  # fmt: skip
    values = base | changes
    return {"p_1": values["sigma_v0s"], "r_geo": values["r_c"] + values["Dr_gap"]} | values
