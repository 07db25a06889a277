"""Symbols of the bearing resistance under the column toes and of the soft ground between and beyond the columns."""

from calc.nomenclature.declared import declare as _

# Strength of the ground and its partial factors
_("c", "c′", "kPa", 2, "effective cohesion")
_("c_d", "c′_d", "kPa", 2, "design value of the effective cohesion")
_("phi_d", "φ′_d", "rad", 3, "design value of the effective friction angle", shown="deg")
_("c_u", "c_u", "kPa", 2, "undrained shear strength")
_("c_ud", "c_{u,d}", "kPa", 2, "design value of the undrained shear strength")
_("c_u0", "c_{u,0}", "kPa", 2, "undrained shear strength at the top of the soft ground")
_("rho_u", "ρ_u", "kPa/m", 3, "growth of the undrained shear strength with depth")
_("gamma_c", "γ_{c′}", "-", 2, "partial factor on the effective cohesion")
_("gamma_cu", "γ_{cu}", "-", 2, "partial factor on the undrained shear strength")
_("gamma_Rv", "γ_{R,v}", "-", 2, "partial factor on the bearing resistance")

# Bearing resistance under the toe
_("N_q", "N_q", "-", 3, "bearing resistance factor of the overburden")
_("N_c", "N_c", "-", 3, "bearing resistance factor of the cohesion")
_("N_gamma", "N_γ", "-", 3, "bearing resistance factor of the weight of the ground")
_("zeta_q", "ζ_q", "-", 4, "shape factor of the overburden term (s with index q in the standard)")
_("zeta_c", "ζ_c", "-", 4, "shape factor of the cohesion term (s with index c in the standard)")
_("B", "B", "m", 3, "width of the loaded area")
_("gamma_b", "γ_b", "kN/m^3", 2, "effective unit weight of the bearing layer")
_("sigma_v0t", "σ_{v,0,t}", "kPa", 2, "initial effective overburden at toe level")
_("sigma_R", "σ_R", "kPa", 1, "ultimate bearing pressure under the toe")
_("sigma_Rd", "σ_{R,d}", "kPa", 1, "design bearing pressure under the toe")

# Pressure of the column on its toe
_("gamma_ct", "γ_{c,t}", "kN/m^3", 2, "effective unit weight of the column fill within the embedment")
_("sigma_v0ct", "σ_{v,0,c,t}", "kPa", 2, "initial effective vertical stress in the column at its toe")
_("Dsigma_vcG", "Δσ_{v,c,G}", "kPa", 2, "added vertical stress on the column under permanent load")
_("Dsigma_vcGQ", "Δσ_{v,c,G+Q}", "kPa", 2, "added vertical stress on the column under permanent and variable load")
_("sigma_t", "σ_t", "kPa", 2, "effective pressure of the column on its toe")
_("Dsigma_vcA", "Δσ_{v,c,A}", "kPa", 2, "added vertical stress on the column under factored actions")
_("sigma_cwA", "σ_{c,w,A}", "kPa", 2, "factored stress on the column that carries the whole load of its cell")
_("sigma_te", "σ_{t,d,E}", "kPa", 2, "design pressure of the column on its toe from factored effects")
_("sigma_ta", "σ_{t,d,A}", "kPa", 2, "design pressure of the column on its toe from factored actions")
_("sigma_td", "σ_{t,d}", "kPa", 2, "design value of the pressure of the column on its toe")

# Undrained bearing of the soft ground
_("q_out", "q_{out}", "kPa", 2, "pressure on the ground beside the load")
_("k_rho", "k_ρ", "-", 3, "growth of strength over the width of the load, in strengths at the top")
_("F_rho", "F_ρ", "-", 3, "factor for strength growing with depth")
_("N_ct", "N_{c,t}", "-", 3, "bearing resistance factor of a soft layer of limited thickness")
_("q_u", "q_u", "kPa", 2, "ultimate undrained bearing pressure of the soft ground")
_("q_ud", "q_{u,d}", "kPa", 2, "design undrained bearing pressure of the soft ground")
_("k_r1", "k_{ρ,1}", "-", 1, "growth ratio of the table below that of this case")
_("k_r2", "k_{ρ,2}", "-", 1, "growth ratio of the table above that of this case")
_("F_r1", "F_{ρ,1}", "-", 3, "factor of the table at the growth ratio below")
_("F_r2", "F_{ρ,2}", "-", 3, "factor of the table at the growth ratio above")
_("F_so", "F_{so}", "-", 3, "over-design factor of the soft ground against undrained bearing failure")
_("c_ume", "c_{u,min,e}", "kPa", 2, "design value of the least strength of the soft ground, without gain")

# Pressure of a stage on the ground
_("p_E0", "p_{E,0}", "kPa", 2, "pressure of fill, platform and traffic with their factors, before compensation fill")
_(
    "p_E",
    "p_E",
    "kPa",
    2,
    "pressure of embankment, compensation fill and traffic on the ground level with their factors",
)
_("H_b", "H_b", "m", 2, "height of fill in the stage before")
_("p_Pb", "p_{P,b}", "kPa", 2, "pressure of the working platform in the stage before")
_("H_qb", "H_{q,b}", "m", 3, "height of fill that weighs as much as fill and platform of the stage before")
_("p_Mb", "p_{M,b}", "kPa", 2, "pressure of the compensation fill of the stage before")
_("i_Qb", "i_{Q,b}", "-", 0, "traffic acted in the stage before (1) or not (0)")
_("f_qb", "f_{q,b}", "-", 2, "factor on the traffic load of the stage before, by the factors of this stage")
_("q_stb", "q_{st,b}", "kPa", 2, "traffic load of the stage before with the factor of this stage at its source")
_("p_E0b", "p_{E,0,b}", "kPa", 2, "pressure of fill, platform and traffic of the stage before, factors of this stage")
_("p_Eb", "p_{E,b}", "kPa", 2, "pressure of the stage before with its compensation fill, factors of this stage")
_("n_stb", "n_{st,b}", "-", 2, "stress ratio for stability of the stage before")
_("mu_sb", "μ_{s,b}", "-", 4, "share of the soil with the stress ratio of the stage before")
_("p_pl", "p_{pl}", "kPa", 2, "pressure of the plant on the lift while it is placed")
_("q_qp", "q_{qp}", "kPa", 2, "quasi-permanent part of the traffic load of this stage")
_("q_qb", "q_{qp,b}", "kPa", 2, "quasi-permanent part of the traffic load of the stage before, factor of this stage")
_("p_Gb", "p_{G,b}", "kPa", 2, "permanent pressure of the load placed before, without factor")
_("n_sg", "n_{st,g}", "-", 2, "stress ratio of column and soil as given for stability")
_("h_l", "h_l", "m", 3, "height of the lowest reinforcement across above the ground")
_("p_0l", "p_{0,l}", "kPa", 2, "pressure of what is placed before the reinforcement, with plant, on the soft ground")
_("n_u", "n_u", "-", 3, "stress ratio of column and soil while the soil is undrained, column elastic")
_("t_pl", "t_{pl}", "day", 0, "time that placing the lift takes")
_("t_hms", "t_{h,m,s}", "day", 3, "mean time of horizontal flow in the slowest sublayer, by several exponentials")
_("f_trs", "f_{tr,s}", "-", 3, "factor of load transfer there, with the sleeve")
_("f_trl", "f_{tr,l}", "-", 3, "factor of load transfer there, the sleeve without tension")
_("f_chl", "f_{c,h,l}", "-", 2, "factor on c_h of the lower course")
_("t_hL", "t_{h,L}", "day", 2, "mean time of horizontal flow, slowest sublayer, lower c_h")
_("U_L", "U_L", "-", 1, "degree of consolidation under the lift itself when it has been placed", shown="%")
_("mu_L", "μ_L", "-", 4, "stress on the soil over the mean stress of the new lift")
_("p_nf", "p_{n,f}", "kPa", 2, "pressure of the new lift with its factor")
_("p_nq", "p_{n,q}", "kPa", 2, "pressure of traffic, less what was there before for long, with its factor")
_("p_np", "p_{n,p}", "kPa", 2, "pressure of the plant with its factor")
_("p_n", "p_n", "kPa", 2, "pressure of the new lift, of traffic and of plant with their factors")
_("p_sL", "p_{s,L}", "kPa", 2, "pressure on the soft ground between the columns while the lift is placed")
_("p_sE", "p_{s,E}", "kPa", 2, "share of this pressure that the soft ground between the columns carries")
