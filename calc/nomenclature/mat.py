"""Symbols of load transfer and horizontal reinforcement as the chapters use them: one for each model and direction."""

from calc.nomenclature.declared import declare as _

# Loads and moduli
_("H_A", "H_A", "m", 3, "height of fill above the column heads, with working platform and compensation fill")
_("H_ar", "H_{arch}", "m", 3, "the same height, where it is enough for arching to be counted on")
_("Dsigma_vs0", "Δσ_{v,s,0}", "kPa", 3, "added vertical stress on the soil, none where the column carries all")
_("Dsigma_vsm", "Δσ_{v,s,m}", "kPa", 3, "mean added vertical stress on the soil over its depth")
_("Dsigma_vcm", "Δσ_{v,c,m}", "kPa", 2, "mean added vertical stress on the column over its depth")

# Arching, one symbol for each model
_("sigma_sD", "σ_{s,dome}", "kPa", 3, "pressure between the column heads by domes and vaults")
_("sigma_sS", "σ_{s,shell}", "kPa", 3, "pressure between the column heads by shells of arches")
_("sigma_sC", "σ_{s,conc}", "kPa", 3, "pressure between the column heads by concentric arches")
_("sigma_sT", "σ_{s,shaft}", "kPa", 3, "pressure between the column heads by friction on vertical faces")
_("sigma_sX", "σ_{s,max}", "kPa", 3, "pressure between the column heads at full arching, by the model used")
_("sigma_sL", "σ_{s,lim}", "kPa", 3, "the same pressure, no more than the mean pressure")
_("r_eq", "κ_{eq}", "-", 3, "load that the model accounts for over the load of the cell")

# Membrane by direction
_("eps_mq", "ε_{m,q}", "-", 3, "mean strain of the reinforcement across from its vertical load", shown="%")
_("eps_ml", "ε_{m,l}", "-", 3, "mean strain of the reinforcement along from its vertical load", shown="%")
_("H_mq", "H_{m,q}", "kN", 3, "horizontal force in a strip across")
_("H_ml", "H_{m,l}", "kN", 3, "horizontal force in a strip along")
_("f_mq", "f_{m,q}", "m", 1, "sag of a strip across at mid-span", shown="mm")
_("f_ml", "f_{m,l}", "m", 1, "sag of a strip along at mid-span", shown="mm")
_("V_mq", "V_{e,q}", "kN", 3, "vertical force of a strip across at the edge of the column head")
_("V_ml", "V_{e,l}", "kN", 3, "vertical force of a strip along at the edge of the column head")
_("T_mq", "T_{m,q}", "kN/m", 2, "largest tension of the reinforcement across from its vertical load")
_("T_ml", "T_{m,l}", "kN/m", 2, "largest tension of the reinforcement along from its vertical load")
_("T_mqF", "T_{m,q,F}", "kN/m", 2, "tension across from vertical load at full arching without support of the ground")
_("T_mlF", "T_{m,l,F}", "kN/m", 2, "tension along from vertical load at full arching without support of the ground")
_("T_mqD", "T_{m,q,D}", "kN/m", 2, "tension across from vertical load that the design uses")
_("T_mlD", "T_{m,l,D}", "kN/m", 2, "tension along from vertical load that the design uses")
_("H_critB", "H_{crit,B}", "m", 3, "fill height of full arching by BS 8006-1")
_("Ds_hD", "Δs_{h,D}", "m", 1, "settlement difference at the column heads that the design uses", shown="mm")
_("Ds_toplim", "Δs_{top,lim}", "m", 1, "limit of the settlement difference at the surface", shown="mm")

# Demand
_("T_md", "T_{m,d}", "kN/m", 2, "design tension of the reinforcement from vertical load")
_("J_rk", "J_{r,k}", "kN/m", 1, "tensile stiffness of this layer of reinforcement")
_("T_rF", "T_{r,F}", "kN/m", 2, "design tension of this layer at full arching without support of the ground")
_("T_sser", "T_{s,ser}", "kN/m", 2, "tension from spreading under quasi-permanent load, all factors 1")
_("T_msh", "T_{m,short}", "kN/m", 2, "tension from vertical load under quasi-permanent load, short-term stiffness")
_("T_mlo", "T_{m,long}", "kN/m", 2, "tension from vertical load under quasi-permanent load, long-term stiffness")
_("J_rsh", "J_{r,short}", "kN/m", 1, "short-term tensile stiffness of the reinforcement in this direction")
_("J_rlo", "J_{r,long}", "kN/m", 1, "long-term tensile stiffness of the reinforcement in this direction")
_("eps_rcrlim", "ε_{r,cr,lim}", "-", 2, "creep strain allowed for the reinforcement", shown="%")

_("T_rh", "T_{r,h}", "kN/m", 2, "tension that sliding below the reinforcement asks of this layer")
_("T_rl", "T_{r,rest}", "kN/m", 2, "design resistance that vertical load and the ground held back leave of this layer")

# First lift
_("t_fl", "t_{fl}", "m", 3, "thickness of the first lift over the reinforcement")
_("p_fl", "p_{fl}", "kPa", 2, "pressure of the plant at the level of the reinforcement")
_("f_fl", "f_{fl}", "-", 2, "factor on the pressure of the plant in this load case and factor set")
_("T_fl", "T_{fl}", "kN/m", 2, "design tension of this layer under the first lift")

# Anchorage
_("H_RF", "H_{R,F}", "m", 3, "height of fill above the layer in the final state")
_("gamma_Ef", "γ_{E,fav}", "kN/m^3", 2, "favourable design value of the unit weight of the fill")
_("phi_bk", "φ′_{b,k}", "rad", 3, "characteristic friction angle of the soil below the layer", shown="deg")
_("phi_b", "φ′_b", "rad", 3, "friction angle of the soil below the layer in this factor set", shown="deg")
_("alpha_fb", "α_{f,b}", "-", 2, "coefficient of friction between layer and the soil below over its tan φ′")
_("L_be", "L_{b,eff}", "m", 3, "part of the anchorage that lies below fill")
_("T_anc", "T_{anc}", "kN/m", 2, "design tension to be anchored")
_("h_uF", "h_{u,F}", "m", 3, "mean height of fill over the part folded back in the final state")
_("h_u", "h_u", "m", 3, "mean height of fill over the part folded back")
_("x_e", "x_e", "m", 3, "distance of the end of the layer from the toe of the slope at its level, inward positive")
_("A_e", "A_e", "m^2", 3, "area of fill over the layer from the toe of the slope to the end of the layer")
_("A_i", "A_i", "m^2", 3, "area of fill over the layer from the toe of the slope to the inner end of the fold")
_("h_m", "h_m", "m", 3, "mean height of fill over the layer along the part folded back")
_("h_mF", "h_{m,F}", "m", 3, "mean height of fill over the layer along the part folded back in the final state")
_("h_f", "h_f", "m", 3, "mean height of the part folded back above the layer")
_("L_ug", "L_{u,g}", "m", 3, "length folded back as given")
_("R_u", "R_u", "kN/m", 2, "resistance of the part folded back")
_("R_anc", "R_{anc}", "kN/m", 2, "design resistance of the anchorage")
_("L_lapg", "L_{lap,g}", "m", 3, "length of the lap as given")
