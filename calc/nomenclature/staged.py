"""Symbols of the terms of vertical flow, of a load that grows evenly, of staged filling and residual settlement."""

from calc.nomenclature.declared import declare as _

# Terms of vertical flow
_("j_M", "j", "-", 0, "number of the term, from 0")
_("M_j", "M_j", "-", 4, "argument of the term")
_("zeta_z", "ζ_z", "-", 4, "depth over the longest vertical drainage path")
_("zeta_t", "ζ_t", "-", 4, "depth of the top of the sublayer over the longest vertical drainage path")
_("zeta_b", "ζ_b", "-", 4, "depth of the bottom of the sublayer over the longest vertical drainage path")
_("u_vj", "u_{v,j}", "-", 6, "part of the mean excess pore pressure in the term")
_("u_zj", "u_{z,j}", "-", 6, "part of the excess pore pressure at one depth in the term")
_("u_ij", "u_{i,j}", "-", 6, "part of the mean excess pore pressure of the sublayer in the term")
_("U_va", "U_{v,a}", "-", 1, "degree of consolidation by vertical flow, by the approximation for hand", shown="%")

# A load that grows evenly

# Staged filling
_("Ds_k", "Δs_{∞,k}", "m", 1, "final settlement that this step adds", shown="mm")
_("s_kt", "s_{k,t}", "m", 1, "settlement from this step up to the time considered", shown="mm")
_("s_pt", "s_{p,t}", "m", 1, "primary settlement up to the time considered", shown="mm")
_("s_pc", "s_{p,c}", "m", 1, "final primary settlement under the load placed so far", shown="mm")
_("s_pf", "s_{p,∞}", "m", 1, "final primary settlement of the last load", shown="mm")
_("U_cur", "U_{cur}", "-", 1, "degree of consolidation against the load placed so far", shown="%")
_("U_fin", "U_{fin}", "-", 1, "degree of consolidation against the last load", shown="%")
_("U_s0", "U_{s,0}", "-", 2, "share of the final settlement that comes with the load, undrained", shown="%")

# Stress history before construction
_("OCR", "OCR", "-", 3, "overconsolidation ratio before construction")

# Residual settlement
_("s_sect", "s_{sec,t}", "m", 1, "secondary settlement up to the time considered", shown="mm")
_("s_cr", "s_{cr}", "m", 1, "settlement from creep of the sleeve up to the time considered", shown="mm")
_("s_t", "s_t", "m", 1, "settlement at the time considered, all parts", shown="mm")
_("s_hand", "s_{hand}", "m", 1, "settlement at hand-over, all parts", shown="mm")
_("s_traf", "s_{traf}", "m", 1, "settlement from traffic before hand-over that counts as residual", shown="mm")
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
_("s_lifeL", "s_{life,max}", "m", 1, "settlement at the end of the design life, larger of two methods", shown="mm")
_("s_resL", "s_{res,max}", "m", 1, "residual settlement, larger of two methods", shown="mm")
_("s_pJ", "s_{p,J}", "m", 1, "primary settlement with the stiffness of the sleeve at this time", shown="mm")
_("t_b1", "t_{b,1}", "day", 1, "begin of the first step of the programme")
_("t_en", "t_{e,n}", "day", 1, "end of the last step that places fill")
_("t_a", "t_a", "day", 1, "age of the step at the date considered, from its middle")
_("t_mid", "t_{mid}", "day", 1, "middle of the filling")
_("t_95", "t_{95}", "day", 1, "date at which the sublayer has 95 % of its primary settlement under the fill")
_("t_res", "t_{res}", "day", 0, "earliest date of handing over for the residual settlement asked for")
_("f_sec", "f_{sec}", "-", 3, "factor on secondary compression for the columns")
_("C_aepr", "C_{α,ε,r}", "-", 5, "secondary compression as strain per tenfold time, reduced")
_("U_min", "U_{min}", "-", 1, "degree of consolidation asked for at the start of the stage", shown="%")
_("U_st", "U_{cur,0}", "-", 1, "degree of consolidation under the load placed before, at start of the stage", shown="%")
_("F_Rt", "F_{R,t}", "kN/m", 2, "ring tension of the sleeve at this date, under characteristic load")
_("u_mt", "u_{m,t}", "kPa", 2, "mean excess pore pressure in the soil at this date")
_("s_rlim", "s_{res,lim}", "m", 1, "limit of the residual settlement asked for", shown="mm")

# One date by hand
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

# Stress ratio in time
_("n_cb", "n_{cell,t}", "-", 2, "stress ratio of the unit cell under the load placed before, final value")
_("mu_sf", "μ_{s,∞}", "-", 4, "stress on the soil over the mean added stress by the unit cell, final value")
_("U_p", "U_{u}", "-", 1, "degree of consolidation by pore pressure under the load placed before", shown="%")
_("mu_t", "μ_{s,t}", "-", 4, "stress on the soil over the mean added stress at the start of the stage")
_("n_t", "n_t", "-", 2, "stress ratio of column and soil at the start of the stage")
_("n_tl", "n_{t,min}", "-", 2, "stress ratio at the start of the stage in the sublayer that has least")
_("n_as", "n_{st,t}", "-", 2, "stress ratio that stability counts with at the start of the stage")
