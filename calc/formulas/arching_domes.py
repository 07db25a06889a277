"""Arching as domes over the grid and vaults over the column heads; the weaker place governs.

The crown is written with ``omega_d``, in which the two terms of the source that are each unbounded at a coefficient
of passive earth pressure of 1.5 are one finite term.
"""

from numpy import absolute, log, minimum, sqrt, where

from calc.engine.formula import Source, formula
from calc.engine.symbols import declare as _

_("A_dome", "A", "-", 5, "decay of the pressure through the dome")
_("omega_d", "ω_d", "-", 5, "increase of the pressure by the weight of the dome")
_("beta_A", "β_A", "-", 4, "load of the vaults on the column head over the load beside it")
_("E_1", "E_1", "-", 4, "share of the column head, yield at the crown of the dome")
_("E_2", "E_2", "-", 4, "share of the column head, yield at the column head")

DOMES = Source("Hewlett & Randolph (1988), Ground Engineering 21(3), 12–18", evidence="not inspected")
REGROUPED = Source(f"{DOMES.citation}, terms of the crown regrouped", evidence="not inspected")
GEOMETRY = Source("geometry of the domes of Hewlett & Randolph (1988)", evidence="derived")


@formula("A_dome", source=DOMES)
def dome_decay(delta_a, K_p):
    """Decay of the pressure from the outer to the inner radius of the dome."""
    return (1 - delta_a) ** (2 * (K_p - 1))


@formula("omega_d", source=REGROUPED)
def dome_growth(delta_a, A_dome, K_p):
    """Increase of the pressure through the dome by its own weight, with its limit where the quotient has none."""
    return where(
        absolute(K_p - 1.5) < 0.000001,
        -(1 - delta_a) * log(1 - delta_a),
        (1 - delta_a - A_dome) / (2 * K_p - 3),
    )


@formula("E_1", source=REGROUPED)
def crown_efficacy(delta_a, A_dome, K_p, s_q, omega_d, H):
    """Share of the column head when the fill yields at the crown of the dome."""
    return 1 - (1 - delta_a**2) * (A_dome + (2 * K_p - 2) * omega_d * s_q / (sqrt(2) * H))


@formula("beta_A", source=DOMES)
def vault_ratio(K_p, delta_a):
    """Load of the vaults on the column head over the load beside it when the fill yields at the column head."""
    return 2 * K_p / ((K_p + 1) * (1 + delta_a)) * ((1 - delta_a) ** (-K_p) - (1 + delta_a * K_p))


@formula("E_2", source=DOMES)
def head_efficacy(beta_A):
    """Share of the column head when the fill yields there."""
    return beta_A / (1 + beta_A)


@formula("E_A", source=DOMES)
def governing_efficacy(E_1, E_2):
    """Share of the column head, governed by the place that yields first."""
    return minimum(E_1, E_2)


@formula("H_1L", source=GEOMETRY)
def dome_height(s_q):
    """Fill height from which the domes stand within the fill."""
    return s_q / sqrt(2)
