"""Consolidation around an encased column: equivalent compressibility, start, end, strains at any pore pressure.

A unit cell on a firm base under a rigid, uniform load, with free drainage by the column and the mean of the excess pore
pressure in the soil. Two states of the column: elastic, or at yield in every increment of the load.
"""

from calc.engine.formula import Source, formula
from calc.engine.symbols import declare as _

_("Lambda_d", "Λ", "kPa", 1, "difference of the first Lamé constants of column fill and soil")
_("D_rs", "D_{r,s}", "kPa", 1, "radial stress resisting radial expansion, per radial strain, of the soil")
_("M_w", "M_w", "kPa", 1, "load on the cell per vertical strain without radial expansion")
_("m_eq", "m_{eq}", "1/kPa", -5, "equivalent compressibility of the ground around the column")
_("b_1p", "b_{1,p}", "-", 5, "volume of water per area of soil and vertical strain, column at yield")
_("b_2p", "b_{2,p}", "-", 5, "load on the cell per excess pore pressure, column at yield")
_("E_wp", "E_{w,p}", "kPa", 1, "load on the cell per vertical strain, column at yield")
_("u_e0y", "u_{e,0,y}", "kPa", 2, "mean excess pore pressure at loading, column at yield")
_("r_ue", "r_{u,e}", "-", 3, "mean excess pore pressure at loading, elastic column over column at yield")
_("u_e0", "u_{e,0}", "kPa", 2, "mean excess pore pressure at loading")

ASSUMPTIONS = "derived here from the assumptions of Castro & Sagaseta (2009, 2011)"
ELASTIC = Source(f"{ASSUMPTIONS}, elastic column and sleeve", evidence="derived")
YIELDING = Source(f"{ASSUMPTIONS}, column at yield, its elastic strain neglected", evidence="derived")
DIFFUSION = Source("definition of the coefficient of consolidation", evidence="derived")


@formula("D_rs", source=ELASTIC)
def soil_widening_stiffness(a_E, lambda_s, G_s):
    """Radial stress resisting radial expansion, per radial strain, of a soil ring with a fixed outer edge."""
    return (2 * a_E * lambda_s + 2 * G_s * (1 + a_E)) / (1 - a_E)


@formula("Lambda_d", source=ELASTIC)
def lame_difference(lambda_c, lambda_s):
    """Difference of the first Lamé constants of column fill and soil."""
    return lambda_c - lambda_s


@formula("D_w", source=ELASTIC)
def widening_stiffness(lambda_c, G_c, D_rs, J, r_c):
    """Radial stress resisting radial expansion, per radial strain, of column, soil and sleeve."""
    return 2 * (lambda_c + G_c) + D_rs + J / r_c


@formula("M_w", source=ELASTIC)
def confined_modulus(a_E, lambda_c, G_c, E_oed):
    """Load on the cell per vertical strain without radial expansion."""
    return a_E * (lambda_c + 2 * G_c) + (1 - a_E) * E_oed


@formula("B_w", source=ELASTIC)
def pore_pressure_load(a_E, Lambda_d, D_w):
    """Load on the cell per excess pore pressure at no vertical strain."""
    return 1 - a_E + 2 * a_E * Lambda_d / D_w


@formula("Q_w", source=ELASTIC)
def drained_modulus(M_w, a_E, Lambda_d, D_w):
    """Load on the cell per vertical strain without excess pore pressure."""
    return M_w - 2 * a_E * Lambda_d**2 / D_w


@formula("m_eq", source=ELASTIC)
def elastic_compressibility(B_w, Q_w, a_E, D_w):
    """Equivalent compressibility of the ground around an elastic encased column."""
    return (B_w**2 / Q_w + 2 * a_E / D_w) / (1 - a_E)


@formula("u_e0", source=ELASTIC)
def elastic_start_pressure(Dsigma_0, B_w, a_E, Q_w, D_w):
    """Mean excess pore pressure at loading without drainage, elastic column; it may exceed the load."""
    return Dsigma_0 * B_w / (B_w**2 + 2 * a_E * Q_w / D_w)


@formula("b_1p", source=YIELDING)
def yielding_water_volume(a_E, k_psi):
    """Volume of water pressed out per area of soil and vertical strain, column at yield."""
    return 1 + a_E * k_psi / (1 - a_E)


@formula("b_2p", source=YIELDING)
def yielding_pore_pressure_load(a_E, K_ac):
    """Load on the cell per excess pore pressure, column at yield."""
    return a_E / K_ac + 1 - a_E


@formula("E_wp", source=YIELDING)
def yielding_modulus(a_E, K_ac, lambda_s, D_rs, J, r_c, k_psi, E_oed):
    """Load on the cell per vertical strain without excess pore pressure, column at yield."""
    return a_E / K_ac * (lambda_s + (D_rs + J / r_c) * k_psi / 2) + (1 - a_E) * E_oed + a_E * lambda_s * k_psi


@formula("m_eq", source=YIELDING)
def yielding_compressibility(b_1p, b_2p, E_wp):
    """Equivalent compressibility of the ground around an encased column at yield."""
    return b_1p * b_2p / E_wp


@formula("u_e0", source=YIELDING)
def yielding_start_pressure(Dsigma_0, b_2p):
    """Mean excess pore pressure at loading without drainage, column at yield."""
    return Dsigma_0 / b_2p


@formula("f_tr", source=DIFFUSION)
def encased_factor(E_oed, m_eq):
    """Factor on the coefficient of horizontal flow around an encased column."""
    return 1 / (E_oed * m_eq)


@formula("r_ue", source=Source("definition", evidence="derived"))
def ratio_of_start_pressures(u_e0, u_e0y):
    """Mean excess pore pressure at loading, elastic column over column at yield."""
    return u_e0 / u_e0y
