"""What is measured on a column that is installed, compared with its plan, and when the last one will be."""

from numpy import sqrt

from calc.engine.formula import Source, formula
from calc.engine.symbols import declare as _

_("dE_b", "ΔE_b", "m", 3, "easting as built less that of the plan")
_("dN_b", "ΔN_b", "m", 3, "northing as built less that of the plan")
_("d_pos", "d_{pos}", "m", 3, "distance from the place of the plan, on the ground")
_("i_bx", "i_{b,x}", "-", 4, "inclination of the column in one direction")
_("i_by", "i_{b,y}", "-", 4, "inclination square to it")
_("i_b", "i_b", "-", 4, "inclination of the column from the vertical")
_("L_ab", "L_{ab}", "m", 2, "length of the column as built")
_("V_th", "V_{th}", "m^3", 3, "theoretical volume of the fill of the column")
_("V_b", "V_{b,pl}", "m^3", 3, "volume of the fill that was placed")
_("f_Vb", "f_{V,b}", "-", 3, "volume placed over the theoretical one")
_("dV_z", "ΔV_z", "m^3", 3, "volume placed in a part of the column")
_("l_z", "l_z", "m", 2, "length of the part")
_("f_Vz", "f_{V,z}", "-", 3, "volume placed in a part over the theoretical one")
_("A_cw", "A_{c,w}", "m^2", 3, "area of the columns in the window, as built")
_("A_w", "A_w", "m^2", 3, "areas nearest to these columns, as built, on the ground")
_("a_Ebw", "a_{E,bw}", "-", 4, "area ratio in the window, as built")
_("a_Er", "a_{E,req}", "-", 4, "area ratio that is asked for in the window")
_("a_xb", "a_{x,b}", "m", 3, "spacing of a grid with the area ratio as built")
_("N_o", "N_o", "-", 0, "columns that are not installed yet")
_("r_b", "r_b", "1/day", 2, "columns a day, mean of the last days")
_("s_rb", "s_{r,b}", "1/day", 2, "standard deviation of the columns a day")
_("n_b", "n_b", "-", 0, "last days that the forecast is made from")
_("T_o", "T_o", "day", 1, "days until the last column")
_("n_f", "n_f", "-", 1, "days to come, as a number")
_("t_dr", "t_{0.95,d}", "-", 3, "95 % quantile of Student's distribution with one degree of freedom less than the days")
_("dr_b", "Δr_b", "1/day", 2, "how far the mean of the days to come may differ, 90 %")

SURVEY = Source("plane geometry of a survey in the grid", evidence="derived")
COLUMN = Source("geometry of the column", evidence="derived")
CELLS = Source("plane geometry of the cells as built", evidence="derived")
RATE = Source("mean and scatter of independent days, normal with estimated scatter", evidence="derived")


@formula("d_pos", source=SURVEY)
def distance_from_plan(dE_b, dN_b, k_gr):
    """Distance of a column from its place in the plan, on the ground."""
    return sqrt(dE_b**2 + dN_b**2) / k_gr


@formula("i_b", source=SURVEY)
def inclination_as_built(i_bx, i_by):
    """Inclination from the vertical by its parts in two directions, as horizontal over vertical length."""
    return sqrt(i_bx**2 + i_by**2)


@formula("V_th", source=COLUMN)
def theoretical_fill(A_c, L_ab, L_pl):
    """Theoretical volume of the fill of a column as long as it was built, above its plug."""
    return A_c * (L_ab - L_pl)


@formula("f_Vb", source=COLUMN)
def fill_over_theory(V_b, V_th):
    """Volume of fill over the theoretical one."""
    return V_b / V_th


@formula("f_Vz", source=COLUMN)
def part_over_theory(dV_z, A_c, l_z):
    """Volume of fill in a part of the column over the theoretical one of the part."""
    return dV_z / (A_c * l_z)


@formula("a_Ebw", source=CELLS)
def window_ratio(A_cw, A_w):
    """Area ratio in a window: areas of its columns over the areas that are nearest to them."""
    return A_cw / A_w


@formula("a_Er", source=CELLS)
def least_ratio(a_E, da_max):
    """Area ratio that is asked for in the window: that of the design less the tolerance."""
    return a_E * (1 - da_max)


@formula("a_xb", source=CELLS)
def spacing_as_built(a_x, a_E, a_Ebw):
    """Spacing of a grid of the same pattern that has the area ratio as built."""
    return a_x * sqrt(a_E / a_Ebw)


@formula("T_o", source=RATE)
def days_left(N_o, r_b):
    """Days until the last column at a rate."""
    return N_o / r_b


@formula("dr_b", source=RATE)
def rate_range(t_dr, s_rb, n_b, n_f):
    """Half of the range in which the mean rate of the days to come lies with 90 %: scatter of past and coming days."""
    return t_dr * s_rb * sqrt(1 / n_b + 1 / n_f)
