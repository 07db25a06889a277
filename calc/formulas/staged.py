"""Terms of vertical flow, a load that grows evenly, staged filling by steps, residual settlement.

The series are summed in :mod:`calc.procedures.consolidation_response`, the steps in
:mod:`calc.procedures.staged_course`.
"""

from numpy import cos, exp, maximum, minimum, pi, sin, sqrt, where

from calc.engine.formula import Source, formula, over_layers
from calc.engine.symbols import declare as _

_("j_M", "j", "-", 0, "number of the term, from 0")
_("M_j", "M_j", "-", 4, "argument of the term")
_("zeta_z", "ζ_z", "-", 4, "depth over the longest vertical drainage path")
_("zeta_t", "ζ_t", "-", 4, "depth of the top of the sublayer over the longest vertical drainage path")
_("zeta_b", "ζ_b", "-", 4, "depth of the bottom of the sublayer over the longest vertical drainage path")
_("u_vj", "u_{v,j}", "-", 6, "part of the mean excess pore pressure in the term")
_("u_zj", "u_{z,j}", "-", 6, "part of the excess pore pressure at one depth in the term")
_("u_ij", "u_{i,j}", "-", 6, "part of the mean excess pore pressure of the sublayer in the term")
_("U_va", "U_{v,a}", "-", 1, "degree of consolidation by vertical flow, by the approximation for hand", shown="%")
_("Ds_k", "Δs_{∞,k}", "m", 1, "final settlement that this step adds", shown="mm")
_("s_kt", "s_{k,t}", "m", 1, "settlement from this step up to the time considered", shown="mm")
_("s_pt", "s_{p,t}", "m", 1, "primary settlement up to the time considered", shown="mm")
_("s_pc", "s_{p,c}", "m", 1, "final primary settlement under the load placed so far", shown="mm")
_("s_pf", "s_{p,∞}", "m", 1, "final primary settlement of the last load", shown="mm")
_("U_cur", "U_{cur}", "-", 1, "degree of consolidation against the load placed so far", shown="%")
_("U_fin", "U_{fin}", "-", 1, "degree of consolidation against the last load", shown="%")
_("U_s0", "U_{s,0}", "-", 2, "share of the final settlement that comes with the load, undrained", shown="%")
_("OCR", "OCR", "-", 3, "overconsolidation ratio before construction")
_("s_sect", "s_{sec,t}", "m", 1, "secondary settlement up to the time considered", shown="mm")
_("s_cr", "s_{cr}", "m", 1, "settlement from creep of the sleeve up to the time considered", shown="mm")
_("s_traf", "s_{traf}", "m", 1, "settlement from traffic before hand-over that counts as residual", shown="mm")
_("s_hpm", "s_{p,per}", "m", 1, "primary settlement at hand-over by the permanent load alone", shown="mm")
_("s_secl", "s_{sec,ho}", "m", 1, "secondary settlement between hand-over and the end of the design life", shown="mm")
_("s_seco", "s_{sec,oth}", "m", 1, "secondary settlement after hand-over by another rule", shown="mm")
_("Ds_seco", "Δs_{sec}", "m", 1, "secondary settlement after hand-over by another rule less that counted", shown="mm")
_(
    "Ds_secw",
    "Δs_{sec,100}",
    "m",
    1,
    "secondary settlement of the whole life without reduction, less that counted",
    shown="mm",
)
_("s_reso", "s_{res,oth}", "m", 1, "residual settlement with the secondary settlement of another rule", shown="mm")
_("s_sece", "s_{sec,e}", "m", 1, "secondary settlement up to the end of the design life", shown="mm")
_("s_sech", "s_{sec,h}", "m", 1, "secondary settlement up to hand-over", shown="mm")
_("s_life", "s_{life}", "m", 1, "settlement at the end of the design life, all parts", shown="mm")
_("s_res", "s_{res}", "m", 1, "residual settlement", shown="mm")
_(
    "s_lifeEP",
    "s_{life,EP}",
    "m",
    1,
    "settlement at the end of the design life by the elastic, plastic cell",
    shown="mm",
)
_("s_resEP", "s_{res,EP}", "m", 1, "residual settlement by the elastic, plastic cell", shown="mm")
_("s_pJ", "s_{p,J}", "m", 1, "primary settlement with the stiffness of the sleeve at this time", shown="mm")
_("t_bs", "t_b", "day", 1, "start of the stage")
_("t_ds", "Δt_b", "day", 1, "time to place the load of the stage")
_("t_es", "t_{e,b}", "day", 1, "end of the stage, by which all its load has been placed")
_("T_des", "T_{des}", "day", 1, "design life", shown="a")
_("t_eol", "t_{des}", "day", 1, "end of the design life")
_("t_b1", "t_{b,1}", "day", 1, "start of the first step of the programme")
_("t_a", "t_a", "day", 1, "age of the step at the date considered, from its middle")
_("t_mid", "t_{mid}", "day", 1, "middle of the filling")
_("t_95", "t_{95}", "day", 1, "date at which the sublayer has 95 % of its primary settlement under the fill")
_("t_res", "t_{res}", "day", 0, "earliest date of hand-over for the limit of the residual settlement")
_("f_sec", "f_{sec}", "-", 3, "factor on secondary compression for the columns")
_("s_cyc", "s_{α}", "m", 3, "secondary settlement of the sublayer per log cycle of time", shown="mm")
_("C_aepr", "C_{α,ε,r}", "-", 5, "secondary compression as strain per log cycle of time, reduced")
_("U_min", "U_{min}", "-", 1, "degree of consolidation required at the start of the stage", shown="%")
_("U_st", "U_{cur,0}", "-", 1, "degree of consolidation under the load placed before, at start of the stage", shown="%")
_("F_Rt", "F_{R,t}", "kN/m", 2, "ring tension of the sleeve at this date, under characteristic load")
_("u_mt", "u_{m,t}", "kPa", 2, "mean excess pore pressure in the soil at this date")
_("s_rlim", "s_{res,lim}", "m", 1, "limit of the residual settlement", shown="mm")
_("w_i", "ω_i", "1/day", -5, "rate of an exponential of horizontal flow")
_("g_i", "g_i", "-", 5, "share of an exponential of horizontal flow")
_("w_j", "ν_j", "1/day", -5, "rate of a term of vertical flow")
_("g_j", "g_j", "-", 5, "share of a term of vertical flow in the sublayer")
_("T_k", "T_k", "day", 2, "time that the step takes")
_("t_ek", "t_{e,k}", "day", 2, "time since the end of the step")
_("x_pl", "x_k", "-", 5, "time that the step takes over the time scale of the pair")
_("u_pij", "u_{ij,k}", "-", 5, "share of the pressure of the step that a pair of exponentials leaves")
_("u_left", "u_k", "-", 5, "share of the pressure of the step that is left")
_("s_dat", "s_{dat}", "m", 2, "settlement of the sublayer at the date, all steps", shown="mm")
_("n_cb", "n_{cell,t}", "-", 2, "stress ratio of the unit cell under the load placed before, final value")
_("U_p", "U_{u}", "-", 1, "degree of consolidation by pore pressure under the load placed before", shown="%")
_("mu_t", "μ_{s,t}", "-", 4, "stress on the soil over the mean stress increment at the start of the stage")
_("n_t", "n_t", "-", 2, "stress ratio of column and soil at the start of the stage")
_("n_tl", "n_{t,min}", "-", 2, "stress ratio at the start of the stage in the sublayer that has least")
_("n_as", "n_{st,t}", "-", 2, "stress ratio assumed in stability at the start of the stage")

TERZAGHI = Source("Port Works Design Manual Part 3 (2002), Hong Kong, App. B.1–B.2", evidence="inspected")
CASAGRANDE = Source("Casagrande (1938); Taylor (1948), as quoted in an examination sheet", evidence="inspected")
MEAN = Source("mean of the series of Terzaghi over the sublayer", evidence="derived")
STEP = Source("project rule: each step consolidates with its own age", evidence="derived")
ELASTIC = Source("assumptions of Castro & Sagaseta (2009, 2011), elastic column and sleeve", evidence="derived")
FILLING = Source("project rule: age from the middle of the filling; primary ends at 95 % of it", evidence="derived")
SUM = Source("sum of the parts", evidence="derived")
RAMP = Source("exponential integrated over the time of placing", evidence="derived")
LARGER = Source("project rule: the larger of two methods of the unit cell", evidence="derived")
SHARE = Source("equilibrium of the unit cell", evidence="derived")
DEFINITION = Source("definition", evidence="derived")


@formula("M_j", source=TERZAGHI)
def term_argument(j_M):
    """Argument of the term of the series, numbered from 0."""
    return pi / 2 * (2 * j_M + 1)


@formula("u_vj", source=TERZAGHI)
def mean_pressure_term(M_j, T_v):
    """Term of the series for the mean excess pore pressure over the depth, by its first value."""
    return 2 / M_j**2 * exp(-(M_j**2) * T_v)


@formula("u_zj", source=TERZAGHI)
def pressure_term(M_j, zeta_z, T_v):
    """Term of the series for the excess pore pressure at one depth, by its first value."""
    return 2 / M_j * sin(M_j * zeta_z) * exp(-(M_j**2) * T_v)


@formula("u_ij", source=MEAN)
def sublayer_pressure_term(M_j, zeta_t, zeta_b, T_v):
    """Term of the series for the mean excess pore pressure of a sublayer, by its first value."""
    return 2 / M_j**2 * (cos(M_j * zeta_t) - cos(M_j * zeta_b)) / (zeta_b - zeta_t) * exp(-(M_j**2) * T_v)


@formula("U_va", source=CASAGRANDE)
def approximate_vertical_degree(T_v):
    """Degree of consolidation by vertical flow by hand, to 1.3 % of the time factor."""
    return where(T_v < pi / 4 * 0.6**2, sqrt(4 * T_v / pi), 1 - 10 ** ((1.781 - T_v) / 0.933) / 100)


@formula("s_kt", source=STEP)
def settlement_of_step(Ds_k, U_t):
    """Settlement from one step under instantaneous loading, by the degree at its own age."""
    return Ds_k * U_t


@formula("U_cur", source=DEFINITION)
def degree_of_current_load(s_pt, s_pc):
    """Primary settlement over the final one of the load placed so far."""
    return s_pt / s_pc


@formula("U_fin", source=DEFINITION)
def degree_of_last_load(s_pt, s_pf):
    """Primary settlement over the final one of the last load."""
    return s_pt / s_pf


@formula("U_s0", source=ELASTIC)
def undrained_share(a_E, Q_w, D_w, B_w):
    """Share of the final settlement that comes with the load, undrained, beside an elastic column."""
    return 2 * a_E * Q_w / D_w / (B_w**2 + 2 * a_E * Q_w / D_w)


@formula("sigma_pc", source=DEFINITION)
def preconsolidation_pressure(OCR, sigma_v0s):
    """Preconsolidation pressure from the overconsolidation ratio before construction."""
    return OCR * sigma_v0s


@formula("s_sect", source=SUM)
def total_secondary_settlement(s_sec):
    """Secondary settlement of all sublayers."""
    return over_layers(s_sec)


@formula("s_cr", source=DEFINITION)
def creep_by_two_courses(s_pJ, s_pt):
    """Settlement from creep of the sleeve: what its stiffness at this time adds to that at the end of construction."""
    return s_pJ - s_pt


@formula("t_L", source=FILLING)
def time_since_filling(t, t_mid):
    """Age of the ground at the date considered, from the middle of the filling."""
    return t - t_mid


@formula("t_mid", source=FILLING)
def middle_of_filling(t_b1, t_en):
    """Middle of the filling, from which the ground is as old as under one load."""
    return (t_b1 + t_en) / 2


@formula("t_p", source=FILLING)
def end_of_primary(t_95, t_mid):
    """Time after the middle of the filling at which primary consolidation ends."""
    return t_95 - t_mid


@formula("C_aepr", source=DEFINITION)
def reduced_secondary(f_sec, C_aeps):
    """Secondary compression as strain, as the project reduces it for the columns."""
    return f_sec * C_aeps


@formula("s_t", source=SUM)
def settlement_in_time(s_pt, s_sect, s_cr):
    """Settlement at the time considered from primary and secondary compression and creep of the sleeve."""
    return s_pt + s_sect + s_cr


@formula("s_cyc", source=DEFINITION)
def secondary_per_cycle(C_aepr, h):
    """Secondary settlement of the sublayer per log cycle of time."""
    return C_aepr * h


@formula("t_es", source=DEFINITION)
def end_of_stage(t_bs, t_ds):
    """End of the stage, by which all its load has been placed."""
    return t_bs + t_ds


@formula("t_eol", source=DEFINITION)
def end_of_design_life(t_ho, T_des):
    """End of the design life, which starts at hand-over."""
    return t_ho + T_des


@formula("s_res", source=DEFINITION)
def residual_settlement(s_life, s_hand, s_traf):
    """Settlement between hand-over and the end of the design life, with what traffic brought before hand-over."""
    return s_life - (s_hand - s_traf)


@formula("s_lifeL", source=LARGER)
def larger_life(s_life, s_lifeEP):
    """Settlement of the soft ground at the end of the design life, the larger of the two methods."""
    return maximum(s_life, s_lifeEP)


@formula("s_resL", source=LARGER)
def larger_residual(s_res, s_resEP):
    """Residual settlement of the soft ground, the larger of the two methods."""
    return maximum(s_res, s_resEP)


@formula("n_t", source=SHARE)
def ratio_of_share(mu_t, a_E):
    """Stress ratio of column and soil by the share of the soil."""
    return 1 + (1 / mu_t - 1) / a_E


@formula("x_pl", source=DEFINITION)
def placing_exponent(w_i, w_j, T_k):
    """Time that the step takes over the time scale of a pair of horizontal and vertical exponential."""
    return (w_i + w_j) * T_k


@formula("u_pij", source=RAMP)
def pair_left(g_i, g_j, x_pl, w_i, w_j, t_ek):
    """Share of the pressure of a step that a pair of exponentials leaves, after a load that grew evenly."""
    return g_i * g_j * where(x_pl > 0, (1 - exp(-x_pl)) / x_pl, 1) * exp(-(w_i + w_j) * t_ek)


@formula("U_t", source=DEFINITION)
def degree_of_step(u_left):
    """Degree of consolidation of a step by what all pairs of exponentials leave of its pressure."""
    return 1 - u_left


@formula("s_traf", source=DEFINITION)
def settlement_from_traffic(s_pt, s_hpm):
    """Settlement from traffic before hand-over: that of all load less that of the permanent load alone."""
    return s_pt - s_hpm


@formula("s_secl", source=DEFINITION)
def later_secondary(s_sece, s_sech):
    """Secondary settlement between hand-over and the end of the design life."""
    return s_sece - s_sech


@formula("t_L", source=DEFINITION)
def time_since_end_of_filling(t, t_en):
    """Time counted from the end of the filling."""
    return t - t_en


@formula("s_seco", source=SUM)
def secondary_of_layers(s_sec):
    """Secondary settlement after hand-over of all sublayers."""
    return over_layers(s_sec)


@formula("s_seco", source=DEFINITION)
def unreduced_secondary(s_secl, f_sec):
    """Secondary settlement after hand-over without its reduction."""
    return s_secl / f_sec


@formula("Ds_seco", source=DEFINITION)
def more_secondary(s_seco, s_secl):
    """Secondary settlement after hand-over by another rule less that counted."""
    return s_seco - s_secl


@formula("Ds_secw", source=DEFINITION)
def more_secondary_of_life(s_sece, f_sec):
    """Secondary settlement of the whole life without its reduction less that counted."""
    return s_sece * (1 / f_sec - 1)


@formula("s_reso", source=DEFINITION)
def residual_by_other_rule(s_resL, s_secl, s_seco):
    """Residual settlement with the secondary settlement of another rule."""
    return s_resL - s_secl + s_seco


@formula("U_b", source=Source("project rule: no more than the degree that the stage asks for before it", "derived"))
def degree_counted(U_z, U_min):
    """Degree of consolidation counted: the least of the positions, no more than what the stage asks for."""
    return minimum(U_z, U_min)
