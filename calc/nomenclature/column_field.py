"""Symbols of the embankment's pressure by stage, the strength of the ground as a line, and the edge of the columns."""

from calc.nomenclature.declared import declare as _

# Pressure of a stage
_("gamma_Ed", "γ_{E,d}", "kN/m^3", 2, "unit weight of the fill with its factor at the source")
_("q_st", "q_{st}", "kPa", 2, "traffic load of this stage with its factor at the source")
_("H_q", "H_q", "m", 3, "height of fill that weighs as much as fill and working platform")

# Strength of the soft ground
_("Dc_u", "Δc_u", "kPa", 2, "gain of the undrained shear strength credited in this stage")
_("c_u0k", "c_{u,0,k}", "kPa", 2, "undrained shear strength at the top of the soft ground, by the line")
_("rho_uk", "ρ_{u,k}", "kPa/m", 3, "growth of the undrained shear strength with depth, by the line")
_("c_umk", "c_{u,min,k}", "kPa", 2, "least undrained shear strength of the soft ground")
_("c_u0d", "c_{u,0,d}", "kPa", 2, "design strength at the top of the soft ground, with gain")
_("c_u0g", "c_{u,0,g}", "kPa", 2, "strength at the top of the soft ground, with gain and without a partial factor")
_("c_umd", "c_{u,min,d}", "kPa", 2, "design value of the least strength of the soft ground, with gain")
_("c_u0e", "c_{u,0,e}", "kPa", 2, "design strength at the top of the soft ground, without gain")
_("rho_ud", "ρ_{u,d}", "kPa/m", 3, "design value of the growth of strength")
_("c_u0f", "c_{u,0,f}", "kPa", 2, "design strength at the top over the column field, columns not counted")
_("rho_uf", "ρ_{u,f}", "kPa/m", 3, "growth of strength over the column field, columns not counted")

# Bearing
_("gamma_br", "γ_{b,r}", "kN/m^3", 2, "saturated unit weight of the bearing layer")
_("sigma_cw", "σ_{c,w}", "kPa", 2, "added stress on the column that carries the whole load of its cell")
_("sigma_cwG", "σ_{c,w,G}", "kPa", 2, "the same under permanent load")
_("q_ug", "q_{u,ρ}", "kPa", 2, "ultimate undrained bearing pressure with growing strength")
_("q_ut", "q_{u,t}", "kPa", 2, "ultimate undrained bearing pressure of the layer of limited thickness")
_("s_bS", "s_{b,S}", "m", 1, "settlement below the toe with load spread", shown="mm")
_("s_bH", "s_{b,H}", "m", 1, "settlement below the toe by the elastic half-space", shown="mm")

# Edge of the column field
_("b_g", "b_g", "m", 2, "width of the column field beyond the shoulder as given, to the outermost column axis")
_("b_v", "b_v", "m", 2, "width of the column field beyond the shoulder that vertical load needs")
_("H_e", "h_{e,g}", "m", 2, "height of fill at the outermost columns")
_("B_e", "B_e", "m", 2, "width of the slope beyond the outermost columns")
_("p_e", "p_e", "kPa", 2, "pressure of the fill on the ground beyond the outermost columns")

# Thrust
_("z_P", "z_P", "m", 3, "level of the top of the working platform, or of the ground without one")
_("z_R", "z_R", "m", 3, "level of the lowest reinforcement across, or of the ground without one")
_("H_R", "H_R", "m", 3, "height of fill above this level")
_("gamma_Gf", "γ_{G,fav}", "-", 2, "partial factor on favourable permanent actions")
_("W_Sd", "W_{S,d}", "kN/m", 2, "favourable design value of the weight of the side slope")
_("phi_Ek", "φ′_{E,k}", "rad", 3, "characteristic friction angle of the embankment fill", shown="deg")
_("phi_E", "φ′_E", "rad", 3, "friction angle of the embankment fill in this factor set", shown="deg")
_("K_aE", "K_{a,E}", "-", 6, "coefficient of active earth pressure of the embankment fill")
