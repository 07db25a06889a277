"""Symbols of the lateral thrust of the embankment and of sliding of its side slope."""

from calc.nomenclature.declared import declare as _

_("E_aG", "E_{a,G}", "kN/m", 2, "active thrust of the fill at the shoulder")
_("E_aQ", "E_{a,Q}", "kN/m", 2, "active thrust from the traffic load at the shoulder")
_("E_ad", "E_{a,d}", "kN/m", 2, "design value of the active thrust at the shoulder")
_("alpha_g", "α_g", "-", 2, "share of the strength of the soft ground that carries thrust")
_("E_g", "E_g", "kN/m", 2, "thrust carried by shear of the soft ground under the side slope")
_("T_spr", "T_{spr}", "kN/m", 2, "tension of the reinforcement from spreading")
_("T_sq", "T_{sq}", "kN/m", 2, "tension of the reinforcement that holds back the soft ground below it")
_("T_hd", "T_{h,d}", "kN/m", 2, "design resistance of the reinforcement across the embankment")
_("W_S", "W_S", "kN/m", 2, "weight of the side slope")
_("alpha_i", "α_i", "-", 3, "interaction coefficient of fill and reinforcement")
_("gamma_Rh", "γ_{R,h}", "-", 2, "partial factor on the sliding resistance")
_("R_h", "R_h", "kN/m", 2, "resistance of the side slope to sliding on the reinforcement")
_("R_hs", "R_{h,s}", "kN/m", 2, "resistance of the side slope to sliding below the reinforcement")
_("R_hd", "R_{h,d}", "kN/m", 2, "design resistance of the side slope to sliding")
_("F_h", "F_h", "-", 2, "safety against sliding asked for")
_("phi_sg", "φ_{sg,req}", "rad", 2, "friction angle needed between fill and reinforcement", shown="deg")
_("L_p", "L_p", "m", 2, "distance from the toe of the slope within which no column is needed for vertical load")
