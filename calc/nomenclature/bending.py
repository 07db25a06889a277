"""Symbols of the shear resistance of columns that bend where a slip surface or an extruding wedge cuts them."""

from calc.nomenclature.declared import declare as _

_("zeta_p", "ζ", "-", 4, "permanent pressure at the place of the cut over that at full height")
_("p_G", "p_G", "kPa", 2, "permanent pressure of fill and platform on the ground at full height, without factor")
_(
    "sigma_cN",
    "σ′_{c,N}",
    "kPa",
    2,
    "effective vertical stress in the column at the cut, permanent load, no factor",
)
_("N_cN", "N_{c,N}", "kN", 2, "normal force in the column at the cut under permanent load")
_("M_kern", "M_k", "kN*m", 2, "moment at which the column section opens on one side")
_("p_lat", "p_{lat}", "kN/m", 2, "lateral resistance of the ground per length of column")
_("sigma_vsN", "σ′_{s,N}", "kPa", 2, "effective vertical stress in the ground beside the column")
_("K_pl", "K_{p,lat}", "-", 4, "passive coefficient of the ground beside the column")
_("l_hi", "l_o", "m", 3, "length of the column between its head and the cut")
_("l_lo", "l_u", "m", 3, "length of the column between the cut and the firm layer, or its toe above it")
_("V_fr", "V_{fr}", "kN", 2, "friction of the column along the cut")
_("V_be", "V_b", "kN", 2, "shear force that the bending of the column allows at the cut")
_("V_le", "V_l", "kN", 2, "shear force that the lengths above and below the cut allow")
_("V_toe", "V_{toe}", "kN", 2, "shear force that the embedment in the firm layer holds")
_("t_toe", "t_{toe}", "m", 3, "embedment of the column in the firm layer")
_("V_col", "V", "kN", 2, "shear force of one column at the cut")
_("e_hi", "e_h", "m", 3, "distance of the bending hinges from the cut")
_("kappa_g", "κ_g", "-", 3, "given reduction of the column friction in a plane model")
_("kappa_b", "κ_b", "-", 3, "reduction of the column friction at the cut")
_("tau_cb", "τ_{c,b}", "kPa", 2, "shear resistance of the columns on the slip surface, over the area of the field")
