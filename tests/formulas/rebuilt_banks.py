"""Banks on encased columns rebuilt from what is published of them, and banks that must fail.

All values are from memory of Raithel et al. (2002), Almeida et al. (2015), Riccio et al. (2015) and Hosseinpour et al.
(2016), or invented where these say nothing: strength ratios, degrees of consolidation, stress ratios, lifts, slopes.
They serve an order, what stood above what must fail, and no single number.
"""

from dataclasses import dataclass
from math import radians

import numpy as np

from calc.formulas import consolidation_strength as cs
from calc.formulas import extrusion as ex
from calc.formulas import shear_parameters
from calc.formulas import stage_pressure as sp
from calc.procedures.extrusion import Wedge, beyond_columns, critical_thickness


@dataclass(frozen=True)
class Bank:
    """Fill, soft ground, columns, and the last lift: lengths in m, stresses in kPa, times in day."""

    height: float
    run: float  # of the side slope, per height
    gamma: float
    t_soft: float
    c_u0: float
    rho: float
    a_E: float
    d_c: float
    reach: float  # of the columns, over the length of the slope
    S: float
    gamma_soil: float  # effective unit weight
    before: float  # height of the fill before the last lift
    U_b: float
    n_b: float
    n: float
    days: float
    t_hL: float


DYKE = Bank(7.0, 3.0, 18.0, 10.0, 3.0, 0.8, 0.17, 0.8, 1.0, 0.25, 4.0, 5.0, 0.85, 2.5, 3.0, 30.0, 40.0)
RAILWAY = Bank(9.0, 2.0, 19.0, 6.0, 10.0, 1.0, 0.20, 0.8, 1.0, 0.25, 5.5, 6.5, 0.85, 2.5, 3.0, 30.0, 40.0)
TRIAL = Bank(5.0, 1.5, 20.0, 8.0, 8.0, 1.0, 0.126, 0.8, 1.0, 0.25, 5.0, 3.5, 0.70, 2.5, 2.5, 20.0, 40.0)
STOOD = {"estuary dyke": DYKE, "railway bank": RAILWAY, "trial bank": TRIAL}

FAST = Bank(5.0, 2.0, 19.0, 8.0, 6.0, 0.0, 0.15, 0.8, 0.0, 0.25, 4.5, 0.0, 0.0, 1.0, 1.0, 8.0, 40.0)
FAST_TO_THE_TOE = Bank(5.0, 2.0, 19.0, 8.0, 6.0, 0.0, 0.15, 0.8, 1.0, 0.25, 4.5, 0.0, 0.0, 1.0, 1.0, 8.0, 40.0)
MUST_FAIL = {"8 days, columns to the crest edge": FAST, "8 days, columns to the toe": FAST_TO_THE_TOE}


def extrusion_safety(bank: Bank) -> float:
    """Resistance to extrusion over its effect under the last lift, all factors 1, the least of both wedges."""
    length = bank.run * bank.height
    b_g = bank.reach * length
    found = [np.inf]
    if b_g < length:
        _, least = critical_thickness(
            lambda tried: beyond_columns(tried, bank.c_u0, bank.rho, 0.0, length - b_g), bank.t_soft
        )
        found.append(float(least) / (bank.gamma * bank.height * (1 - bank.reach)))
    if b_g > 0:
        found.append(_with_columns(bank, length, b_g))
    return min(found)


def _with_columns(bank: Bank, length: float, b_g: float) -> float:
    share = float(shear_parameters.soil_stress_share(bank.n, bank.a_E))
    before = float(shear_parameters.soil_stress_share(bank.n_b, bank.a_E))
    mu_L = float(sp.soil_share_of_lift(sp.degree_while_placed(bank.days, bank.t_hL), share))
    p_b, p_n = bank.gamma * bank.before, bank.gamma * (bank.height - bank.before)
    load = float(sp.soil_pressure_under_new_lift(before, p_b, mu_L, p_n, 0.0, 0.0))
    gain = _gain(bank, before, p_b)
    inside = gain * min(b_g, length / 2) / b_g
    column, new = shear_parameters.column_stress_share(bank.n_b, bank.a_E), ex.column_share_of_lift(bank.a_E, mu_L)
    stress = ex.permanent_stress_on_column_under_lift(column, p_b, new, p_b + p_n)
    wedge = Wedge(
        bank.c_u0 + gain, bank.c_u0 + inside, bank.c_u0, bank.rho, length, b_g, 0.0, bank.a_E,
        np.pi * bank.d_c**2 / 4 / bank.a_E, bank.d_c, radians(32.5), 9.0, stress,
    )  # fmt: skip
    return float(critical_thickness(wedge.resistance, bank.t_soft)[1]) / load


def _gain(bank: Bank, share: float, p_b: float) -> float:
    """Least gain over the depth; the strength given is that of a soil which has not been loaded more than by itself."""
    z = np.linspace(0.05, 1.0, 20) * bank.t_soft
    now = cs.stress_by_share(bank.gamma_soil * z, bank.U_b, share, 0.5, p_b)
    return float(np.min(cs.gain_above_given(bank.S, now, bank.c_u0 + bank.rho * z, bank.gamma_soil * z)))
