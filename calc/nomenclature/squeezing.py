"""Symbols of the lateral squeezing of soft ground under the side slope and of the column rows needed there."""

from calc.nomenclature.declared import declare as _

_("n_S", "n_S", "-", 2, "horizontal run of the side slope per unit of height")
_("L_S", "L_S", "m", 2, "horizontal length of the side slope")
_("D_sq", "D", "m", 2, "thickness of the block squeezed out")
_("alpha_t", "α_t", "-", 2, "share of the strength at the top that holds the block back, negative where it drives")
_("c_um", "c_{u,m}", "kPa", 2, "mean undrained shear strength over the block")
_("c_ub", "c_{u,b}", "kPa", 2, "undrained shear strength at the base of the block")
_("c_uf", "c_{u,f}", "kPa", 2, "undrained shear strength averaged over the column field, columns not counted")
_("p_Rsq", "p_{R,sq}", "kPa", 2, "pressure at which the soft ground is squeezed out")
_("p_scr", "p_{scr}", "kPa", 2, "pressure below which squeezing needs no further look")
_("F_sq", "F_{sq}", "-", 3, "safety against squeezing")
_("gamma_nD", "γ_{n,D}", "kN/m^3", 2, "pressure per height of fill that the ends of the full block must hold")
_("gamma_n", "γ_n", "kN/m^3", 2, "pressure per height of fill less the growth of strength along the slope")
_("g_e", "g_e", "kN/m^3", 3, "growth of strength along the slope for the critical block")
_("h_eD", "h_{e,D}", "m", 2, "height of fill at the edge of the columns that a block of the full thickness bears")
_("h_ecr", "h_{e,cr}", "m", 2, "height of fill at the edge of the columns that the critical shallow block bears")
_("h_e", "h_e", "m", 2, "height of fill that the ground beyond the columns bears without being squeezed out")
_("b_f", "b_f", "m", 2, "width of the column field needed beyond the shoulder")
_("a_r", "a_r", "m", 3, "distance of the column rows across the embankment")
_("N_r", "N_r", "-", 2, "column rows needed beyond the shoulder, to be rounded up")
