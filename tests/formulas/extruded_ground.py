"""The pressure at which the extruding wedge of the program gives way, where all of it is permanent."""

from dataclasses import replace

import numpy as np

from calc.formulas import extrusion, geometry, shear_parameters
from calc.procedures.extrusion import COUNTED_RATIO, Wedge, beyond_columns, critical_thickness

SETTLING, CLOSE = 200, 1e-9  # rounds at most, and the change at which the pressure has settled


def failure_pressure(
    *, t_soft: float, L_S: float, b_g: float, c_u0: float, rho_u: float, a_E: float,
    d_c: float, phi_c: float, gamma_ceff: float, n_st: float, alpha_t: float = 0.0,
) -> float:  # fmt: skip
    """Mean pressure (kPa) at the crest edge at which the soft ground is extruded, the least of both wedges.

    All of it is permanent and falls evenly to the toe over ``L_S`` (m); columns end ``b_g`` (m) beyond the crest edge.
    Strengths in kPa and kPa/m, ``phi_c`` in rad, ``gamma_ceff`` in kN/m³, ``n_st`` the stress ratio of column and soil,
    which counts up to ``COUNTED_RATIO``.
    """
    pressures = [np.inf]
    if b_g < L_S:
        left = float(extrusion.height_left_at_last_column(b_g, L_S))
        _, least = critical_thickness(lambda tried: beyond_columns(tried, c_u0, rho_u, alpha_t, L_S - b_g), t_soft)
        pressures.append(float(least) / left)
    if b_g > 0:
        cell = geometry.column_area(d_c) / a_E
        wedge = Wedge(c_u0, c_u0, c_u0, rho_u, L_S, b_g, alpha_t, a_E, cell, d_c, phi_c, gamma_ceff, 0.0)
        pressures.append(_with_columns(t_soft, n_st, wedge))
    return min(pressures)


def _with_columns(t_soft: float, n_st: float, wedge: Wedge) -> float:
    """The permanent pressure adds to the shear force of the columns: it is sought by putting the result in again."""
    counted = extrusion.counted_stress_ratio(n_st, COUNTED_RATIO)
    mu_s = shear_parameters.soil_stress_share(counted, wedge.a_E)
    mu_c = shear_parameters.column_stress_share(counted, wedge.a_E)
    pressure = 0.0
    for _ in range(SETTLING):
        stress = float(extrusion.permanent_stress_on_column(mu_c, pressure))
        loaded = replace(wedge, p_cN=stress)
        before, pressure = pressure, float(critical_thickness(loaded.resistance, t_soft)[1] / mu_s)
        if abs(pressure - before) <= CLOSE * pressure:
            return pressure
    message = f"the pressure has not settled in {SETTLING} rounds, last {pressure:.6g} kPa"
    raise AssertionError(message)
