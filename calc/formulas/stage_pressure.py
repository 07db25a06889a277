"""Pressure of the embankment on the soft ground in a stage: at its end, and while its lift is being placed."""

from numpy import exp, maximum, minimum, where

from calc.engine.formula import Source, formula
from calc.engine.symbols import declare as _

_(
    "p_E",
    "p_E",
    "kPa",
    2,
    "pressure of embankment, compensation fill and traffic on the ground level with their factors",
)
_("H_qb", "H_{q,b}", "m", 3, "height of fill that weighs as much as fill and platform of the stage before")
_("p_Znb", "p_{Z,n,b}", "kPa", 3, "least pressure of the zones beyond that of as much fill, stage before")
_("q_qp", "q_{qp}", "kPa", 2, "quasi-permanent part of the traffic load of this stage")
_("h_l", "h_l", "m", 3, "height of the lowest reinforcement across above the ground")
_(
    "p_0l",
    "p_{0,l}",
    "kPa",
    2,
    "pressure of what is placed before the reinforcement, with construction traffic, on the soft ground",
)
_("n_u", "n_u", "-", 3, "stress ratio of column and soil while the soil is undrained, column elastic")
_("t_pl", "t_{pl}", "day", 0, "time that placing the lift takes")
_("t_hms", "t_{h,m,s}", "day", 3, "mean time of horizontal flow in the slowest sublayer, by several exponentials")
_("f_trs", "f_{tr,s}", "-", 3, "factor of load transfer there, with the sleeve")
_("f_trl", "f_{tr,l}", "-", 3, "factor of load transfer there, the sleeve without tension")
_("f_chl", "f_{c,h,l}", "-", 2, "factor on cₕ, lower scenario")
_("t_hL", "t_{h,L}", "day", 2, "mean time of horizontal flow, slowest sublayer, lower cₕ")
_("p_nq", "p_{n,q}", "kPa", 2, "pressure of traffic, less what was there before for long, with its factor")
_("p_n", "p_n", "kPa", 2, "pressure of the new lift, of traffic and of construction traffic with their factors")
_("p_sL", "p_{s,L}", "kPa", 2, "pressure on the soft ground between the columns while the lift is placed")
_("psi_2", "ψ_2", "-", 2, "quasi-permanent share of the traffic load")

FACTORED_LOADS = Source(
    "EN 1997-1:2004, 2.4.7.3.2 and Table A.3, partial factors applied to actions", evidence="inspected"
)
STATICS = Source("sum of the loads", evidence="derived")
MAKE_UP = Source(
    "project rule: compensation fill loads the soft ground like all other fill, as it does the columns",
    evidence="derived",
)
ELASTIC = Source(
    "undrained soil that keeps its volume beside an elastic column, without its own shear stiffness, derived here",
    evidence="derived",
)
RAMP = Source("one rate of consolidation under a load placed evenly, derived here", evidence="derived")
RAPID = Source(
    "project rule: the quasi-permanent part of traffic is shared like fill, the rest acts equally on soil and column",
    evidence="derived",
)
FIELD = Source(
    "engineering reading: the soil is driven by its own stress share; no published rule for encased columns was found",
    evidence="derived",
)
LIFT = Source(
    "project rule: the columns take of a new lift what has been transferred by radial drainage while it is placed; "
    "traffic and construction traffic act equally on soil and column",
    evidence="derived",
)


@formula("p_E0", source=FACTORED_LOADS)
def embankment_pressure(gamma_G, gamma_E, H, gamma_Q, q):
    """Design pressure of fill, platform and traffic on the ground level at full height, before compensation fill."""
    return gamma_G * gamma_E * H + gamma_Q * q


@formula("p_E", source=MAKE_UP)
def pressure_with_makeup(p_E0, gamma_G, f_G, p_M):
    """Design pressure with the compensation fill."""
    return p_E0 + gamma_G * f_G * p_M


@formula("p_G", source=STATICS)
def permanent_pressure(gamma_E, H, p_P):
    """Permanent pressure of fill and platform at full height, without factor and without compensation fill."""
    return gamma_E * H + p_P


@formula("p_G", source=STATICS)
def permanent_pressure_with_zones(gamma_E, H, p_Z, p_P):
    """Permanent pressure of fill with its zones and platform, without factor and without compensation fill."""
    return gamma_E * H + p_Z + p_P


@formula("p_E0", source=FACTORED_LOADS)
def embankment_pressure_with_zones(gamma_G, gamma_E, H, f_G, p_Z, gamma_Q, q):
    """Design pressure of fill with its zones, platform and traffic at full height, before compensation fill."""
    return gamma_G * (gamma_E * H + f_G * p_Z) + gamma_Q * q


@formula("p_nf", source=LIFT)
def pressure_of_lift_with_zones(gamma_G, gamma_E, H_q, H_qb, f_G, p_Z, p_Zb):
    """Design pressure of the fill with its zones and platform of the new lift."""
    return gamma_G * maximum(gamma_E * (H_q - H_qb) + f_G * (p_Z - p_Zb), 0)


@formula("q_qp", source=RAPID)
def quasi_permanent_traffic(psi_2, q_st):
    """Quasi-permanent part of the traffic load of this stage."""
    return psi_2 * q_st


@formula("p_sE", source=FIELD)
def soil_share_of_pressure(mu_s, p_E, gamma_Q, q_st, q_qp):
    """Pressure of the embankment that the soft ground carries; the rapid part of traffic acts on it undivided."""
    return mu_s * (p_E - gamma_Q * (q_st - q_qp)) + gamma_Q * (q_st - q_qp)


@formula("n_u", source=ELASTIC)
def undrained_stress_ratio(nu_c, a_E):
    """Stress ratio of column and soil while the soil is undrained and the column elastic, for information."""
    return (nu_c + a_E * (1 - 2 * nu_c)) / (nu_c + (1 - a_E) * (1 - 2 * nu_c) / 2)


@formula("t_hL", source=Source("project rule: the slower of both states of the column, lower cₕ", evidence="derived"))
def slowest_horizontal_time(t_hms, f_trs, f_trl, f_chl):
    """Mean time of horizontal flow, slowest sublayer, lower end of cₕ; one rate with it lies below several."""
    return t_hms * f_trs / (f_trl * f_chl)


@formula("U_L", source=RAMP)
def degree_while_placed(t_pl, t_hL):
    """Degree of consolidation by horizontal flow under the lift itself when it has been placed."""
    return where(t_pl > 0, 1 - t_hL / t_pl * (1 - exp(-t_pl / t_hL)), 0)


@formula("mu_L", source=LIFT)
def soil_share_of_lift(U_L, mu_s):
    """Stress on the soil over the mean stress of a load that the columns take over while water leaves."""
    return 1 - U_L * (1 - mu_s)


@formula("p_nf", source=LIFT)
def pressure_of_lift(gamma_G, gamma_E, H_q, H_qb):
    """Design pressure of the fill and platform of the new lift; what is taken away does not count."""
    return gamma_G * gamma_E * maximum(H_q - H_qb, 0)


@formula("p_nq", source=RAPID)
def pressure_of_traffic(gamma_Q, q_st, q_qb):
    """Design pressure of traffic but for what was there before for long."""
    return gamma_Q * maximum(q_st - q_qb, 0)


@formula("p_np", source=LIFT)
def pressure_of_plant(gamma_Q, gamma_QS, p_pl):
    """Design construction traffic load on the lift."""
    return gamma_Q * gamma_QS * p_pl


@formula("p_n", source=STATICS)
def pressure_being_placed(p_nf, p_nq, p_np):
    """Design pressure of the new lift, of traffic and of construction traffic together."""
    return p_nf + p_nq + p_np


@formula("p_sL", source=LIFT)
def soil_pressure_under_new_lift(mu_sb, p_Eb, mu_L, p_nf, p_nq, p_np):
    """Pressure on the soft ground between the columns under a new lift."""
    return mu_sb * p_Eb + mu_L * p_nf + p_nq + p_np


@formula("h_l", source=LIFT)
def height_below_reinforcement(z_R, z_g):
    """Height of the lowest reinforcement across above the ground."""
    return maximum(z_R - z_g, 0)


@formula("p_0l", source=LIFT)
def pressure_before_reinforcement(gamma_G, gamma_Ed, H_q, h_l, p_np):
    """Pressure on the soft ground of what is placed before the reinforcement, with construction traffic on it."""
    return gamma_G * gamma_Ed * minimum(H_q, h_l) + p_np
