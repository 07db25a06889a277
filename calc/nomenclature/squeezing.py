"""Symbols of the lateral squeezing of soft ground under the side slope and of the column rows needed there."""

from calc.nomenclature.declared import declare as _

_("n_S", "n_S", "-", 2, "horizontal run of the side slope per unit of height")
_("L_S", "L_S", "m", 2, "horizontal length of the side slope")
_("L_Sq", "L_{S,q}", "m", 2, "horizontal length of the side slope, platform counted as fill")
_("D_sq", "D", "m", 2, "thickness of the extruding wedge")
_("alpha_t", "α_t", "-", 2, "share of the strength at the top that holds the block back, negative where it drives")
_("c_um", "c_{u,m}", "kPa", 2, "mean undrained shear strength over the block")
_("c_ub", "c_{u,b}", "kPa", 2, "undrained shear strength at the base of the block")
_("c_uf", "c_{u,f}", "kPa", 2, "undrained shear strength averaged over the column field, columns not counted")
_("L_f", "L_f", "m", 2, "length of the block within the column field")
_("L_g", "L_g", "m", 2, "length of the block on which a gain of strength counts")
_("Dc_m", "Δc_{u,m}", "kPa", 2, "gain of undrained strength, mean over the block in the column field")
_("L_o", "L_o", "m", 2, "length of the block beyond the outermost columns")
_("S_0", "S_0", "kN/m", 2, "strength along the top of the block")
_("S_b", "S_b", "kN/m", 2, "strength along the base of the block")
_("c_umx", "c_{u,m,x}", "kPa", 2, "mean strength over the outer end of the block")
_("c_ubf", "c_{u,b,f}", "kPa", 2, "strength at the base of the block, in the column field")
_("c_ube", "c_{u,b,e}", "kPa", 2, "strength at the base of the block, beyond the columns")
_("a_r", "a_r", "m", 3, "distance of the column rows across the embankment")
