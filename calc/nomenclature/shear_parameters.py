"""Symbols of the stress shares of soil and column and of the shear parameters of the column field."""

from calc.nomenclature.declared import declare as _

# Stress shares
_("n_st", "n_{st}", "-", 2, "stress ratio of column and soil taken for stability")
_("mu_s", "μ_s", "-", 4, "stress on the soil over the mean added stress")
_("mu_c", "μ_c", "-", 4, "stress on the column over the mean added stress")
_("omega", "ω", "-", 4, "share of the added load that the column carries")
_("n_0", "n_0", "-", 3, "basic improvement factor")
_("m_cr", "m′_c", "-", 4, "cautious share of the load that the columns carry")

# Strict split
_("Du_s", "Δu_s", "kPa", 2, "excess pore pressure in the soil")
_("sigma_vs", "σ_{v,s}", "kPa", 2, "effective vertical stress in the soil")
_("sigma_vc", "σ_{v,c}", "kPa", 2, "effective vertical stress in the column")
_("sigma_vm", "σ_{v,m}", "kPa", 2, "mean effective vertical stress of soil and column")
_("alpha_b", "α_b", "rad", 2, "inclination of the slip surface", shown="deg")
_("tau_s", "τ_s", "kPa", 2, "shear strength of the soil on the slip surface")
_("tau_c", "τ_c", "kPa", 2, "shear strength of the column on the slip surface")
_("tau_m", "τ_m", "kPa", 2, "shear strength of the column field on the slip surface")
_("phi_ss", "φ_{ss}", "rad", 3, "friction angle of the column field by the strict split", shown="deg")

# Averaged and weighted parameters
_("gamma_m", "γ_m", "kN/m^3", 2, "mean unit weight of soil and column")
_("phi_avg", "φ_{avg}", "rad", 3, "averaged friction angle of the column field", shown="deg")
_("c_avg", "c_{avg}", "kPa", 2, "averaged cohesion of the column field")
_("phi_m", "φ_m", "rad", 3, "friction angle of the column field weighted by load share", shown="deg")
_("c_m", "c_m", "kPa", 2, "cohesion of the column field weighted by load share")

# Contribution of the sleeve
_("Dsigma_3", "Δσ_3", "kPa", 2, "lateral support of the column by the ring tension")
_("c_r", "c_r", "kPa", 2, "apparent cohesion of the column from the ring tension")
_("c_rm", "c_{r,m}", "kPa", 2, "apparent cohesion of the column averaged over the column field")

# Design values handed over
_("phi_sd", "φ′_{s,d}", "rad", 3, "design value of the friction angle of the soil", shown="deg")
_("c_sd", "c′_{s,d}", "kPa", 2, "design value of the cohesion of the soil")
_("phi_avgu", "φ_{avg,u}", "rad", 3, "averaged friction angle of the column field, soil undrained", shown="deg")
_("c_avgu", "c_{avg,u}", "kPa", 2, "averaged undrained strength of the column field")
_("phi_mr", "φ_{m,r}", "rad", 3, "friction angle weighted by the cautious load share", shown="deg")
_("c_mr", "c_{m,r}", "kPa", 2, "cohesion weighted by the cautious load share")
_("gamma_mr", "γ_{m,r}", "kN/m^3", 2, "mean saturated unit weight of soil and column")
