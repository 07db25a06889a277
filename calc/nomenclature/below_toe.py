"""Symbols of the settlement of the ground below the column toes."""

from calc.nomenclature.declared import declare as _

_("b_K", "b_K", "m", 2, "width of the crest")
_("n_L", "n_L", "-", 2, "horizontal run of the left side slope per unit of height")
_("n_R", "n_R", "-", 2, "horizontal run of the right side slope per unit of height")
_("B_t", "B_t", "m", 2, "width of the loaded strip")
_("Dsigma_t", "Δσ_t", "kPa", 2, "mean added stress at toe level")
_("h_b", "h_b", "m", 3, "thickness of the sublayer below the toe")
_("z_b", "z_b", "m", 3, "depth of the middle of the sublayer below the toe")
_("theta_b", "θ_b", "rad", 3, "angle under which the loaded strip is seen from below its centre", shown="deg")
_("Dsigma_b", "Δσ_b", "kPa", 2, "added stress below the toe")
_("E_oedb", "E_{oed,b}", "kPa", 0, "oedometer modulus of the ground below the toe")
_("s_bi", "s_{b,i}", "m", 2, "settlement of the sublayer below the toe", shown="mm")
_("s_b", "s_b", "m", 1, "settlement of the ground below the toe", shown="mm")
_("H_F", "H_F", "m", 2, "height of the fill in the final state")
_("s_L", "s_L", "m", 1, "final primary settlement of the soft ground, the larger of two methods", shown="mm")
_("s_tot", "s_{tot}", "m", 1, "final primary settlement of soft ground and ground below the toe", shown="mm")
_("p_bh", "Δσ_{0,ho}", "kPa", 2, "load under which the ground below the toe has settled by hand-over")
_("s_bre", "s_{b,res}", "m", 1, "settlement of the ground below the toe that counts as residual", shown="mm")
_("s_lifeb", "s_{life,tot}", "m", 1, "settlement at the end of the design life, ground below included", shown="mm")
_("s_resb", "s_{res,tot}", "m", 1, "residual settlement, ground below the toe included", shown="mm")
