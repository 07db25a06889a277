"""Load in the slip analysis, and the factor of safety from the moments of the critical surface."""

from numpy import tan

from calc.engine.formula import Source, formula
from calc.engine.symbols import declare as _

_("gamma_Qo", "γ_{Q,o}", "-", 2, "partial factor on the traffic load in the slip analysis")
_("p_Ef", "p_{E,f}", "kPa", 2, "pressure of the fill placed before, with its factor, without traffic")
_("mu_sL", "μ_{s,L}", "-", 4, "stress increment of the soil over the mean one of all fill while the lift is placed")
_("mu_cL", "μ_{c,L}", "-", 4, "stress increment of the column over the mean one of all fill while the lift is placed")
_("F_Bi", "F_B", "-", 3, "minimum over-design factor, simplified Bishop")
_("F_Sp", "F_S", "-", 3, "minimum over-design factor, Spencer")
_("F_MP", "F_{MP}", "-", 3, "minimum over-design factor, Morgenstern and Price, half sine")
_("F_OM", "F_O", "-", 3, "over-design factor of the surface critical by Bishop, ordinary method")
_("F_B0", "F_{B,0}", "-", 3, "minimum over-design factor without the reinforcement, simplified Bishop")
_("F_B1", "F_{B,1}", "-", 3, "minimum over-design factor with one strip of traffic loaded, simplified Bishop")
_("F_bl", "F_{bl}", "-", 3, "minimum over-design factor of translational mechanisms, simplified Janbu")
_(
    "F_av",
    "F_{av}",
    "-",
    3,
    "over-design factor of the critical surface, averaged strength in the column field",
)
_("M_Rs", "M_R", "kN*m/m", 1, "resisting moment of the ground about the centre")
_("M_Ds", "M_D", "kN*m/m", 1, "driving moment about the centre")
_("M_Ts", "M_T", "kN*m/m", 1, "moment of the tension of the reinforcement about the centre")
_("F_mom", "F_M", "-", 3, "over-design factor from the moments of the critical surface")
_("F_dM", "ΔF_M", "-", 3, "over-design factor found less the one from the moments")
_("T_av", "T_{av}", "kN/m", 2, "tension of the reinforcement on the critical surface")
_("F_fi", "F_{fi}", "-", 3, "minimum over-design factor of circles within the fill, simplified Bishop")

SINGLE = Source(
    "EN 1997-1:2004, 2.4.7.3.2, partial factors applied to actions",
    evidence="not inspected",
)
LIFT = Source(
    "project rule: fill placed before by the stress ratio of its stage, of the lift what radial drainage has left",
    evidence="derived",
)
BEFORE = Source("fill placed before without its traffic", evidence="derived")
FACE = Source("equilibrium of a dry infinite slope, common practice", evidence="derived")
MOMENTS = Source("moment equilibrium about the centre of the circle, derived here", evidence="derived")


@formula("q_o", source=SINGLE)
def traffic_in_slip_analysis(gamma_Qo, q):
    """Traffic load in the slip analysis."""
    return gamma_Qo * q


@formula("q_pl", source=SINGLE)
def plant_in_slip_analysis(gamma_Qo, p_pl):
    """Construction traffic load on the lift in the slip analysis."""
    return gamma_Qo * p_pl


@formula("p_Ef", source=BEFORE)
def fill_pressure_before(p_Eb, gamma_Q, q_qb):
    """Pressure of the fill placed before."""
    return p_Eb - gamma_Q * q_qb


@formula("mu_sL", source=LIFT)
def soil_share_under_new_lift(mu_sb, p_Ef, mu_L, p_nf):
    """Stress increment of the soil over the mean one of all fill while the lift is placed."""
    return (mu_sb * p_Ef + mu_L * p_nf) / (p_Ef + p_nf)


@formula("F_mom", source=MOMENTS)
def safety_from_moments(M_Rs, M_Ts, M_Ds):
    """Over-design factor from the moments of the critical surface; the tension resists like the ground."""
    return (M_Rs + M_Ts) / M_Ds


@formula("F_dM", source=MOMENTS)
def moment_gap(F_Bi, F_mom):
    """Over-design factor found by the search less the one from the moments, zero at the solution."""
    return F_Bi - F_mom


@formula("F_fs", source=FACE)
def face_safety(n_S, phi):
    """Over-design factor against shallow slip, dry slope without cohesion, infinite slope."""
    return n_S * tan(phi)
