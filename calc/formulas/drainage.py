"""Estimates of the permeability of the fill for comparison, and the ground and the column as a drain."""

from numpy import maximum

from calc.engine.formula import Source, formula
from calc.engine.symbols import declare as _

_("p_75", "p_{0.075}", "-", 1, "share of grains below 0.075 mm", shown="%")
_("eps_Rm", "ε_{R,max}", "-", 2, "largest ring strain of the sleeve", shown="%")
_("O_open", "A_o", "-", 1, "open area of the geotextile over its area", shown="%")
_("O_openm", "A_{o,min}", "-", 1, "least open area", shown="%")
_("G_Rmax", "G_{R,max}", "-", 2, "largest gradient ratio allowed")
_("psi_req", "ψ_{req}", "1/day", -3, "permittivity required of the geotextile", shown="1/s")
_("D_15F", "D_{15,F}", "m", -3, "grain diameter of the fill at 15 % passing", shown="mm")
_("D_10F", "D_{10,F}", "m", -3, "grain diameter of the fill at 10 % passing", shown="mm")
_("k_Hz", "k_{Hz}", "m/day", -3, "permeability of the fill by Hazen", shown="m/s")
_("k_KC", "k_{KC}", "m/day", -3, "permeability of the fill by Kozeny and Carman", shown="m/s")
_("k_est", "k_{est}", "m/day", -3, "larger estimate of the permeability of the fill", shown="m/s")
_("n_out", "n_{out}", "-", 0, "number of ends where water leaves the column")
_("mu_wmax", "μ_{w,max}", "-", 3, "largest mean well resistance allowed")
_("Dh_max", "Δh_{max}", "m", 1, "largest head that may be lost in the column", shown="mm")
_("v_max", "v_{max}", "m/day", -3, "largest seepage over the area of the ground", shown="m/s")

ESTIMATES = Source("project rule: what is given should not lie above both estimates", evidence="derived")
ANISOTROPY = Source("definition of both coefficients at one modulus", evidence="derived")
PATH = Source("geometry of the drained ends", evidence="derived")


@formula("k_est", source=ESTIMATES)
def larger_estimate(k_Hz, k_KC):
    """Larger of the two estimates of the permeability of the fill."""
    return maximum(k_Hz, k_KC)


@formula("k_hs", source=ANISOTROPY)
def horizontal_permeability(k_vs, c_hs, c_vs):
    """Horizontal permeability from the vertical one and the coefficients of consolidation."""
    return k_vs * c_hs / c_vs


@formula("l_d", source=PATH)
def drainage_path(L_c, n_out):
    """Drainage path length of the column, to an end where the water leaves it."""
    return L_c / n_out
