"""Arching by a coefficient for the pressure on the column head, and the load on the reinforcement that goes with it.

The load on the reinforcement of this form exceeds what is left beside the column heads: the strips of a cell carry
2s/(s + a) of it.
"""

from numpy import maximum, sqrt, where

from calc.engine.formula import Source, formula
from calc.engine.symbols import declare as _

_("C_c", "C_c", "-", 4, "arching coefficient")
_("W_A", "W_A", "kN/m", 2, "load that arching leaves to the reinforcement between two column heads, per length")
_("W_min", "W_{T,min}", "kN/m", 2, "least vertical load on the reinforcement, per length")
_("T_rp", "T_{rp}", "kN/m", 2, "tension of the reinforcement from its vertical load")

BS = Source("BS 8006-1:2010, 8.3.3", evidence="not inspected")


@formula("C_c", source=BS)
def coefficient_of_yielding_columns(H, a_q):
    """Arching coefficient for columns that yield or stand by friction."""
    return 1.5 * H / a_q - 0.07


@formula("mu_p", source=BS)
def head_pressure_ratio(C_c, a_q, H):
    """Pressure on the column head over the mean pressure."""
    return (C_c * a_q / H) ** 2


@formula("W_A", source=BS)
def line_load_by_coefficient(H, s_q, a_q, f_G, gamma_E, sigma_E, mu_p):
    """Load on the reinforcement per length; above the height of full arching only the fill below it counts."""
    return (
        s_q
        * where(1.4 * (s_q - a_q) < H, 1.4 * (s_q - a_q) * f_G * gamma_E, sigma_E)
        / (s_q**2 - a_q**2)
        * maximum(s_q**2 - a_q**2 * mu_p, 0)
    )


@formula("W_min", source=BS)
def least_line_load(s_q, sigma_E):
    """Least load on the reinforcement per length."""
    return 0.15 * s_q * sigma_E


@formula("W_T", source=BS)
def governing_line_load(W_A, W_min):
    """Load on the reinforcement per length, at least the least one."""
    return maximum(W_A, W_min)


@formula("T_rp", source=BS)
def tension_at_strain(W_T, s_q, a_q, eps_all):
    """Tension of the reinforcement at an assumed strain; exact for a parabola."""
    return W_T * (s_q - a_q) / (2 * a_q) * sqrt(1 + 1 / (6 * eps_all))
