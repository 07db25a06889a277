"""Symbols of the horizontal reinforcement: demand, strength, strain, laps and anchorage."""

from calc.nomenclature.declared import declare as _

# Demand
_("T_ds", "T_{ds}", "kN/m", 2, "tension of the reinforcement from spreading of the embankment")
_("T_stab", "T_{stab}", "kN/m", 2, "tension of the reinforcement that stability asks for")
_("T_across", "T_{across}", "kN/m", 2, "design tension of the reinforcement across the embankment")
_("T_along", "T_{along}", "kN/m", 2, "design tension of the reinforcement along the embankment")
_("T_G", "T_G", "kN/m", 2, "tension of the reinforcement from permanent load")
_("T_GQ", "T_{G+Q}", "kN/m", 2, "tension of the reinforcement from permanent and variable load")
_("T_rd", "T_{r,d}", "kN/m", 2, "design tension of the reinforcement in this direction")
_("c_ur", "c_{u,r}", "kPa", 2, "undrained strength of the remoulded soft ground")
_("n_pan", "n_{pan}", "-", 0, "number of panels dragged by the soft ground")
_("b_pan", "b_{pan}", "m", 3, "width of a panel of reinforcement")
_("T_pan", "T_{pan}", "kN/m", 2, "tension across the seams while the fill is pushed forward")

_("R_rl", "R_{r,l}", "kN/m", 2, "design strength of this layer, the lower of the formats given")
_("J_rc", "J_{r,c}", "kN/m", 1, "tensile stiffness of this layer at the end of construction")
_("J_re", "J_{r,e}", "kN/m", 1, "tensile stiffness of this layer, last value given")
_("J_rt", "J_{r,t}", "kN/m", 1, "tensile stiffness of this layer in the stage")
_("T_eps", "T_ε", "kN/m", 2, "tension of this layer at the strain allowed")
_("T_mob", "T_{mob}", "kN/m", 2, "tension of this layer that stability counts on")

# Strength chain, the same in both directions
_("R_rk0", "R_{r,k0}", "kN/m", 1, "characteristic short-term strength of the reinforcement in this direction")
_("R_rk", "R_{r,k}", "kN/m", 2, "characteristic long-term resistance of the reinforcement in this direction")
_("R_rd", "R_{r,d}", "kN/m", 2, "design resistance of the reinforcement in this direction")
_("T_rD", "T_{r,D}", "kN/m", 2, "long-term strength of the reinforcement by reduction factors")
_("T_rDd", "T_{r,D,d}", "kN/m", 2, "design resistance of the reinforcement by reduction factors")
_("R_rreq", "R_{r,k0,req}", "kN/m", 1, "characteristic short-term strength required of the reinforcement")
_("R_rreqRF", "R_{r,RF,req}", "kN/m", 1, "strength required of the reinforcement, by reduction factors")
_("u_r", "u_r", "-", 3, "design tension over design resistance of the reinforcement")

# Strain
_("eps_r", "ε_r", "-", 2, "strain of the reinforcement", shown="%")
_("eps_rlong", "ε_{r,long}", "-", 2, "strain of the reinforcement with its long-term stiffness", shown="%")
_("eps_rshort", "ε_{r,short}", "-", 2, "strain of the reinforcement with its short-term stiffness", shown="%")
_("eps_rcr", "ε_{r,cr}", "-", 2, "creep strain of the reinforcement", shown="%")

# Anchorage and laps
_("alpha_f", "α_f", "-", 2, "coefficient of friction between reinforcement and soil over tan φ′ of the soil")
_("f_ms", "f_{ms}", "-", 2, "partial factor on the friction of the soil at the reinforcement")
_("mu_i", "μ_i", "-", 4, "design coefficient of friction between reinforcement and soil")
_("mu_1", "μ_1", "-", 4, "design coefficient of friction above the reinforcement")
_("mu_2", "μ_2", "-", 4, "design coefficient of friction below the reinforcement")
_("mu_f", "μ_f", "-", 4, "design coefficient of friction between the part folded back and what lies below it")
_("f_n", "f_n", "-", 2, "factor for the economic consequences of failure")
_("f_pull", "f_{po}", "-", 2, "partial factor on pull-out")
_("h_1", "h_1", "m", 3, "cover at the inner end of the anchorage")
_("h_2", "h_2", "m", 3, "cover at the outer end of the anchorage")
_("h_an", "h_{an}", "m", 3, "mean cover over the anchorage")
_("sigma_b", "σ_b", "kPa", 3, "vertical pressure on the anchored reinforcement")
_("L_b", "L_b", "m", 3, "length of the anchorage")
_("alpha_sc", "α_{sc}", "-", 2, "scale factor of the pull-out of an extensible reinforcement")
_("L_anc", "L_{anc}", "m", 2, "length that anchors")
_("L_ancmin", "L_{anc,min}", "m", 2, "least length that anchors")
_("L_breq", "L_{b,req}", "m", 3, "length of the anchorage required")
_("R_b", "R_b", "kN/m", 2, "resistance of the anchorage")
_("sigma_u", "σ_u", "kPa", 3, "vertical pressure on the part folded back")
_("L_u", "L_u", "m", 3, "length to be folded back")
_("L_lap", "L_{lap}", "m", 3, "length of the lap of two sheets")
