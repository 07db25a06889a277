"""The cell of one case solved by another hand: U1 to U13 typed once more with plain numbers, root by scipy."""

from math import log
from typing import Any

from scipy.optimize import brentq


def gap(x: float, v: dict[str, Any], *, linear: bool = False) -> float:
    """Settlement of soil less that of the column per thickness at a stress ``x`` on the soil."""
    a, r, r_geo, nu = v["a_E"], v["r_c"], v["r_geo"], v["nu_s"]
    mean = x / log((v["p_1"] + x) / v["p_1"]) if x > 1e-9 * v["p_1"] else v["p_1"]
    E_oed = v["E_ref"] * (mean / v["p_ref"]) ** v["m"]
    E_star = E_oed * (1 / (1 - nu) + 1 / ((1 + nu) * a)) * (1 + nu) * (1 - 2 * nu) / (1 - nu)
    on_column = v["K_ac"] * (v["Dsigma_0"] / a - (1 - a) / a * x + v["sigma_v0c"])
    outward = on_column - v["K_0s"] * x - v["K_star"] * v["sigma_v0s"]
    widening = outward / E_star * (1 / a - 1) * r
    if widening > r_geo - r:
        J = v["J"] / r_geo**2
        widening = (outward + (r_geo - r) * J) / (E_star / ((1 / a - 1) * r) + J)
        outward -= J * (widening - (r_geo - r))
    soil = x / E_oed - 2 / E_star * nu / (1 - nu) * outward
    column = 2 * widening / r if linear else 1 - (r / (r + widening)) ** 2
    return float(soil - column)


def stress_on_soil(v: dict[str, Any], *, linear: bool = False) -> float | None:
    """Root of the gap between no stress on the soil and the stress at which the soil alone holds; None without one."""
    a = v["a_E"]
    drive = v["K_ac"] * (v["Dsigma_0"] / a + v["sigma_v0c"]) - v["K_star"] * v["sigma_v0s"]
    if drive <= 0:
        return None
    highest = drive / (v["K_ac"] * (1 - a) / a + v["K_0s"])
    return float(brentq(lambda x: gap(x, v, linear=linear), 0.0, highest, xtol=1e-300, rtol=1e-14))
