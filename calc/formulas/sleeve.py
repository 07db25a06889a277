"""Tensile resistance of the sleeve, its design force, strain and stiffness in time."""

from numpy import log10, maximum, sqrt

from calc.engine.formula import Source, formula
from calc.engine.symbols import declare as _

_("T_EPd", "T_{EP,d}", "kN/m", 2, "largest ring tension by the elastic, plastic cell, with its factor")
_("t_0", "t_0", "day", 1, "start of the last stage")
_("t_f", "t_f", "day", 1, "time to place the last stage")
_("F_G", "F_{R,G,k}", "kN/m", 2, "characteristic ring tension under permanent load")
_("F_GQ", "F_{R,G+Q,k}", "kN/m", 2, "characteristic ring tension under permanent and variable load")
_("F_Re", "F_{R,d,E}", "kN/m", 2, "design ring tension from factored effects")
_("F_Ra", "F_{R,d,A}", "kN/m", 2, "design ring tension from factored actions")
_("R_Bk0", "R_{B,k0}", "kN/m", 1, "characteristic short-term tensile strength of the sleeve in ring direction")
_("R_Bk", "R_{B,k}", "kN/m", 2, "characteristic long-term tensile resistance of the sleeve")
_("R_req", "R_{B,k0,req}", "kN/m", 1, "characteristic short-term strength required of the sleeve")
_("A_1", "A_1", "-", 3, "reduction factor for creep")
_("A_2", "A_2", "-", 3, "reduction factor for damage in transport, placing and compaction")
_("A_3", "A_3", "-", 3, "reduction factor for joints")
_("A_4", "A_4", "-", 3, "reduction factor for the environment")
_("A_5", "A_5", "-", 3, "reduction factor for dynamic load")
_("gamma_M", "γ_M", "-", 2, "partial factor on the tensile resistance of the geosynthetic")
_("RF_CR", "RF_{CR}", "-", 3, "reduction factor for creep rupture")
_("RF_ID", "RF_{ID}", "-", 3, "reduction factor for installation damage")
_("RF_W", "RF_W", "-", 3, "reduction factor for weathering")
_("RF_CH", "RF_{CH}", "-", 3, "reduction factor for chemical and biological degradation")
_("R_1", "R_1", "-", 3, "factor for the uncertainty of extrapolating creep rupture")
_("R_2", "R_2", "-", 3, "factor for the uncertainty of extrapolating chemical degradation")
_("f_s", "f_s", "-", 4, "factor for the uncertainty of extrapolation")
_("u_R", "u_R", "-", 3, "utilisation of the sleeve")
_("T_D", "T_D", "kN/m", 2, "long-term strength of the sleeve at the end of its design life")
_("eps_long", "ε_{R,long}", "-", 2, "ring strain with the long-term stiffness", shown="%")
_("eps_short", "ε_{R,eoc}", "-", 2, "ring strain with the stiffness at the end of construction", shown="%")
_("eps_creep", "ε_{cr}", "-", 2, "creep strain of the sleeve", shown="%")
_("J_sh", "J_{short}", "kN/m", 1, "short-term tensile stiffness of the sleeve, the first given")
_("J_lo", "J_{long}", "kN/m", 1, "long-term tensile stiffness of the sleeve, the last given")
_("J_t", "J_t", "kN/m", 1, "tensile stiffness of the sleeve at the time t")
_("J_1", "J_1", "kN/m", 1, "tensile stiffness at the earlier time")
_("J_2", "J_2", "kN/m", 1, "tensile stiffness at the later time")
_("t_1", "t_1", "day", 1, "earlier time of a given stiffness")
_("t_2", "t_2", "day", 1, "later time of a given stiffness")

EBGEO = Source("EBGEO (2010), German Geotechnical Society, ch. 3 and 10", evidence="not inspected")
LARGER = Source(
    "project rule: the cell is not linear, so factors go on the effect and on the action; EN 1990:2002, 6.3.2(4) ◦",
    evidence="derived",
)
ISO = Source("ISO/TS 20432:2022", evidence="not inspected")
STRAIN = Source("definition of the tensile stiffness", evidence="derived")
INTERPOLATION = Source(
    "project rule: stiffness linear in the logarithm of time between given values", evidence="derived"
)


@formula("F_Rd", source=EBGEO, clause="U16")
def design_ring_tension(gamma_G, F_G, gamma_Q, F_GQ):
    """Design value of the ring tension from factored effects of characteristic actions."""
    return gamma_G * F_G + gamma_Q * (F_GQ - F_G)


@formula("F_Rd", source=LARGER)
def larger_ring_tension(F_Re, F_Ra):
    """Design value of the ring tension: the larger of factored effects and factored actions."""
    return maximum(F_Re, F_Ra)


@formula("R_Bk", source=EBGEO, clause="U14")
def characteristic_resistance(R_Bk0, A_1, A_2, A_3, A_4, A_5):
    """Characteristic long-term tensile resistance."""
    return R_Bk0 / (A_1 * A_2 * A_3 * A_4 * A_5)


@formula("R_Bd", source=EBGEO, clause="U15")
def design_resistance(R_Bk, gamma_M):
    """Design tensile resistance."""
    return R_Bk / gamma_M


@formula("R_req", source=EBGEO, clause="U14, U15 solved for the strength")
def required_strength(F_Rd, A_1, A_2, A_3, A_4, A_5, gamma_M):
    """Characteristic short-term strength at which the design force is just carried."""
    return F_Rd * (A_1 * A_2 * A_3 * A_4 * A_5) * gamma_M


@formula("f_s", source=ISO)
def uncertainty_factor(R_1, R_2):
    """Factor for the uncertainty of extrapolating creep rupture and chemical degradation."""
    return 1 + sqrt((R_1 - 1) ** 2 + (R_2 - 1) ** 2)


@formula("T_D", source=ISO)
def long_term_strength(R_Bk0, RF_CR, RF_ID, RF_W, RF_CH, f_s):
    """Long-term strength at the end of the design life."""
    return R_Bk0 / (RF_CR * RF_ID * RF_W * RF_CH * f_s)


@formula("R_req", source=ISO)
def required_strength_by_reduction(F_Rd, RF_CR, RF_ID, RF_W, RF_CH, f_s, gamma_M):
    """Characteristic short-term strength at which the design force is just carried, by reduction factors."""
    return F_Rd * (RF_CR * RF_ID * RF_W * RF_CH * f_s) * gamma_M


@formula("eps_creep", source=STRAIN)
def creep_strain(eps_long, eps_short):
    """Increase of ring strain between the end of construction and the end of the design life."""
    return eps_long - eps_short


@formula("J_t", source=INTERPOLATION)
def stiffness_at_time(J_1, J_2, t, t_1, t_2):
    """Tensile stiffness of the sleeve at a time between two given values."""
    return J_1 + (J_2 - J_1) * (log10(t / t_1) / log10(t_2 / t_1))


@formula("t", source=INTERPOLATION)
def end_of_construction(t_0, t_f):
    """Time at the end of construction, when the last stage has been placed."""
    return t_0 + t_f


@formula("u_R", source=Source("definition", evidence="derived"))
def utilisation(F_Rd, R_Bd):
    """Utilisation of the design resistance."""
    return F_Rd / R_Bd


@formula("T_EPd", source=Source("project rule: the largest factor on permanent load", evidence="derived"))
def design_tension_by_second_method(gamma_G, T_EP):
    """Largest ring tension by the elastic, plastic cell with the partial factor on permanent load."""
    return gamma_G * T_EP
