"""Geometry of the columns as they are laid out: spacing in curves, area ratios, toe levels between soundings."""

from numpy import maximum

from calc.engine.formula import Source, formula, over_readings
from calc.engine.symbols import declare as _

_("a_s", "a_s", "m", 3, "spacing in the rows at the line, on the ground")
_("e_w", "e_w", "m", 3, "distance of the rows as they are spread over the width, on the ground")
_("kap", "κ_L", "1/m", 6, "curvature of the line, positive to the right")
_("u_x", "u_x", "m", 2, "offset from the line, positive to the right")
_("a_u", "a_u", "m", 3, "spacing in the row at the offset, on the ground")
_("a_Eo", "a_{E,u}", "-", 4, "area ratio of the cell at the offset, by the spacing there")
_("a_Eg", "a_{E,gr}", "-", 4, "area ratio of the grid as it is spread, on a straight")
_("A_u", "A_u", "m^2", 3, "area nearer to the column than to any other, on the ground")
_("a_Eu", "a_{E,cell}", "-", 4, "area ratio of the area nearest to the column")
_("da_Em", "Δa_{E,m}", "-", 2, "area ratio below that of the design, or above that of the spread grid", shown="%")
_("da_J", "Δa_{E,J}", "-", 2, "greatest difference of the area ratio beside another area", shown="%")
_("da_max", "Δa_{E,max}", "-", 2, "greatest difference of the area ratio, over that of the design", shown="%")
_("d_min", "d_{min}", "m", 3, "least distance between the axes of two columns, on the ground")
_("d_clr", "d_{clr}", "m", 3, "clear distance between the axes that is asked for")
_("d_i", "d_i", "m", 2, "distance from the column to the investigation point")
_("w_b", "w_b", "1/m^2", -4, "weight of the investigation point")
_("z_i", "z_i", "m", 2, "top of the bearing layer at the investigation point")
_("z_fh", "z_{firm,h}", "m", 2, "highest top of the bearing layer at a column of the area, interpolated")
_("z_fi", "z_{firm,i}", "m", 2, "top of the bearing layer at the column, interpolated")
_("dL_lo", "ΔL_{long}", "m", 2, "length of the column beyond that of the design, before levels are rounded")
_("dL_lm", "ΔL_{long,max}", "m", 2, "greatest such length that the design of the section covers")
_("dL_sh", "ΔL_{short}", "m", 2, "what a column is shorter than that of the design, before levels are rounded")
_("dL_sm", "ΔL_{short,max}", "m", 2, "greatest such difference that the design of the section covers")
_("N_p", "N_p", "-", 0, "columns of the plan")
_("l_p", "l_p", "m", 1, "metres of column of the plan")
_("l_slp", "l_{sl,p}", "m", 1, "metres of sleeve of the plan")
_("V_p", "V_p", "m^3", 1, "theoretical volume of the fill of the columns of the plan")
_("V_dp", "V_{del,p}", "m^3", 0, "volume of column fill to be delivered for the plan")
_("V_plp", "V_{pl,p}", "m^3", 1, "theoretical volume of the plugs of the plan")
_("A_slp", "A_{sl,p}", "m^2", 0, "area of the fabric of the sleeves of the plan")
_("A_lay", "A_{lay}", "m^2", 0, "area that the columns of the plan serve, on the ground")
_("a_Ep", "a_{E,p}", "-", 4, "area ratio of the layout, columns over the area that they serve")

CURVE = Source("plane geometry of parallel curves", evidence="derived")
CELL = Source("plane geometry of the grid", evidence="derived")
SHEPARD = Source("Shepard (1968), Proc. 23rd ACM National Conference, pp. 517-524", evidence="not inspected")
SUM = Source("geometry of the columns of the plan", evidence="derived")


@formula("a_u", source=CURVE)
def spacing_at_offset(a_s, kap, u_x):
    """Spacing in the row at an offset: it opens on the outside of a curve and closes on its inside."""
    return a_s * (1 - kap * u_x)


@formula("a_Eo", source=CELL)
def ratio_at_offset(A_c, a_u, e_w):
    """Area ratio of a cell of the grid at an offset."""
    return A_c / (a_u * e_w)


@formula("da_Em", source=CELL)
def ratio_difference(a_Eu, a_E, a_Eg):
    """Share by which a cell falls below the design, or by which it exceeds the grid as it is spread."""
    return maximum(maximum(1 - a_Eu / a_E, a_Eu / a_Eg - 1), 0)


@formula("w_b", source=SHEPARD)
def sounding_weight(d_i):
    """Weight of an investigation point: the inverse of the square of its distance."""
    return 1 / d_i**2


@formula("z_fi", source=SHEPARD)
def bearing_level_between(w_b, z_i):
    """Top of the bearing layer between investigation points, never above the highest nor below the lowest."""
    return over_readings(w_b * z_i) / over_readings(w_b)


@formula("V_p", source=SUM)
def plan_fill(A_c, l_p, N_p, L_pl):
    """Theoretical volume of the fill of the columns of the plan, above their plugs."""
    return A_c * (l_p - N_p * L_pl)


@formula("V_plp", source=SUM)
def plan_plugs(A_c, N_p, L_pl):
    """Theoretical volume of the plugs of the plan."""
    return A_c * N_p * L_pl


@formula("l_slp", source=SUM)
def plan_sleeves(l_p, N_p, l_top, l_toe):
    """Sleeve of the columns of the plan, with what is tied, trimmed and closed."""
    return l_p + N_p * (l_top + l_toe)


@formula("a_Ep", source=CELL)
def layout_ratio(N_p, A_c, A_lay):
    """Area ratio of the layout: the columns over the area that they serve."""
    return N_p * A_c / A_lay


@formula("L_c", source=SUM)
def length_between_levels(z_H, z_toe):
    """Length of the column between the levels of its head and its toe."""
    return z_H - z_toe


@formula("dL_lo", source=SUM)
def longer_than_design(z_firm, z_fi):
    """Length of the column beyond that of the design: the bearing layer lies deeper, all else is the same."""
    return maximum(z_firm - z_fi, 0)


@formula("dL_sh", source=SUM)
def shorter_than_design(z_firm, z_fh):
    """What the shortest column lacks of the length of the design: its bearing layer lies higher."""
    return maximum(z_fh - z_firm, 0)


@formula("a_Eu", source=CELL)
def ratio_of_cell(A_c, A_u):
    """Area ratio of the area that is nearer to the column than to any other."""
    return A_c / A_u
