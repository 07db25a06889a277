"""Symbols of the chapter on filters beside those of the rules: fines, open area, estimates, columns as drains."""

from calc.nomenclature.declared import declare as _

_("p_75", "p_{0.075}", "-", 1, "share of grains below 0.075 mm", shown="%")
_("eps_Rm", "ε_{R,max}", "-", 2, "largest ring strain of the sleeve", shown="%")
_("O_open", "A_o", "-", 1, "open area of the geotextile over its area", shown="%")
_("O_openm", "A_{o,min}", "-", 1, "least open area", shown="%")
_("G_Rmax", "G_{R,max}", "-", 2, "largest gradient ratio allowed")
_("psi_req", "ψ_{req}", "1/day", -3, "permittivity required of the geotextile", shown="1/s")
_("D_15F", "D_{15,F}", "m", 4, "grain diameter of the fill at 15 % passing", shown="mm")
_("D_10F", "D_{10,F}", "m", 4, "grain diameter of the fill at 10 % passing", shown="mm")

_("k_Hz", "k_{Hz}", "m/day", -3, "permeability of the fill by Hazen", shown="m/s")
_("k_KC", "k_{KC}", "m/day", -3, "permeability of the fill by Kozeny and Carman", shown="m/s")
_("k_est", "k_{est}", "m/day", -3, "larger estimate of the permeability of the fill", shown="m/s")

_("k_vs", "k_{v,s}", "m/day", -3, "vertical permeability of the soft ground", shown="m/s")
_("c_vs", "c_{v,s}", "m^2/day", 2, "coefficient of consolidation for vertical flow", shown="m^2/a")
_("c_hs", "c_{h,s}", "m^2/day", 2, "coefficient of consolidation for horizontal flow", shown="m^2/a")
_("n_out", "n_{out}", "-", 0, "number of ends where water leaves the column")
_("mu_wmax", "μ_{w,max}", "-", 3, "largest mean well resistance allowed")
_("Dh_max", "Δh_{max}", "m", 1, "largest head that may be lost in the column", shown="mm")
_("v_max", "v_{max}", "m/day", -3, "largest seepage over the area of the ground", shown="m/s")
_("c_vk", "c_{v,k}", "m^2/day", -5, "coefficient of vertical flow from permeability and stiffness")
_("r_cv", "ρ_{cv}", "-", 2, "coefficient of vertical flow given over that from permeability and stiffness")
