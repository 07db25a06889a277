"""Quantities of a section, and the level of what lies over the column heads."""

from numpy import maximum, minimum, pi, where

from calc.engine.formula import Source, formula
from calc.engine.symbols import declare
from calc.engine.symbols import declare as _

_("L_sec", "L_{sec}", "m", 1, "length of the section along the embankment")
_("b_crest", "b_C", "m", 2, "width of the crest")
_("b_F", "b_F", "m", 2, "width of the column field between the outermost axes")
_("e_r", "e_r", "m", 3, "distance of the rows along the embankment")
_("N_rowx", "N_{row,x}", "-", 2, "rows of columns, before rounding up")
_("N_row", "N_{row}", "-", 0, "rows of columns across the embankment")
_("N_colx", "N_{col,x}", "-", 1, "columns of the section, before rounding up")
_("N_col", "N_{col}", "-", 0, "columns of the section")
_("N_A", "N_A", "-", 1, "columns of the section from its area")
_("l_col", "l_{col}", "m", 1, "metres of column")
_("L_sl", "L_{sl}", "m", 2, "sleeve for one column")
_("l_sl", "l_{sl}", "m", 1, "metres of sleeve")
_("A_sl", "A_{sl}", "m^2", 0, "area of the fabric of the sleeves")
_("f_V", "f_V", "-", 2, "volume of fill delivered over the theoretical volume")
_("L_fill", "L_{fill}", "m", 2, "length of the column that is filled, above a plug")
_("V_pl", "V_{pl}", "m^3", 1, "theoretical volume of the plugs")
_("V_c1", "V_{c,1}", "m^3", 3, "theoretical volume of the fill of one column")
_("V_c", "V_c", "m^3", 1, "theoretical volume of the fill of the columns")
_("V_del", "V_{del}", "m^3", 0, "volume of column fill to be delivered")
_("V_exc", "V_{exc}", "m^3", 0, "volume of soil excavated from the casings")
_("H_E", "H_E", "m", 2, "height of the embankment")
_("H_El", "H_{E,l}", "m", 2, "height of the embankment at its left crest edge")
_("H_Er", "H_{E,r}", "m", 2, "height of the embankment at its right crest edge")
_("b_lv", "b_{lv}", "m", 2, "width between the side slopes at the level of the higher crest edge")
_("n_Sl", "n_{S,l}", "-", 2, "run of the left side slope")
_("n_Sr", "n_{S,r}", "-", 2, "run of the right side slope")
_("V_E", "V_E", "m^3", 0, "volume of the embankment above the platform, without compensation fill")
_("V_Bl", "V_{B,l}", "m^3", 0, "volume of the left berm above the platform")
_("V_Br", "V_{B,r}", "m^3", 0, "volume of the right berm above the platform")
_("V_zo", "V_{z,o}", "m^3", 0, "volume of the zone between the side slopes")
_("x_zl", "x_{z,l}", "m", 3, "distance of the left end of the zone from the axis, to the left")
_("x_zr", "x_{z,r}", "m", 3, "distance of the right end of the zone from the axis, to the right")
_("h_zkl", "h_{z,k,l}", "m", 3, "height at which the side slope meets the left end of the zone")
_("h_zkr", "h_{z,k,r}", "m", 3, "height at which the side slope meets the right end of the zone")
_("n_zl", "n_{z,l}", "-", 2, "run of the side slope on the side of the left end")
_("n_zr", "n_{z,r}", "-", 2, "run of the side slope on the side of the right end")
_("A_zl", "A_{z,l}", "m^2", 3, "area of the zone from the axis to its left end")
_("A_zr", "A_{z,r}", "m^2", 3, "area of the zone from the axis to its right end")
_("V_B1l", "V_{B1,l}", "m^3", 0, "volume of the left berm above the platform, without its lower berm")
_("V_B1r", "V_{B1,r}", "m^3", 0, "volume of the right berm above the platform, without its lower berm")
_("V_B2l", "V_{B2,l}", "m^3", 0, "volume of the lower berm on the left above the platform")
_("V_B2r", "V_{B2,r}", "m^3", 0, "volume of the lower berm on the right above the platform")
_("V_z2l", "V_{z2,l}", "m^3", 0, "volume of the zone within the lower berm on the left")
_("V_z2r", "V_{z2,r}", "m^3", 0, "volume of the zone within the lower berm on the right")
for _step in range(3, 7):
    for _end, _side in (("l", "left"), ("r", "right")):
        _at, _of = f"{_step}{_end}", f"step {_step} of the berm on the {_side}"
        declare(f"V_B{_at}", f"V_{{B{_step},{_end}}}", "m^3", 0, f"volume of {_of} above the platform")
        declare(f"V_z{_at}", f"V_{{z{_step},{_end}}}", "m^3", 0, f"volume of the zone within {_of}")
        declare(f"V_Bs{_at}", f"V_{{B≤{_step - 1},{_end}}}", "m^3", 0,
                f"volume of the berm on the {_side} down to its step {_step - 1}, above the platform")  # fmt: skip
_("V_zb", "V_{z,b}", "m^3", 0, "volume of the zone within a berm")
_("V_zl", "V_{z,l}", "m^3", 0, "volume of the zone within the left berm")
_("V_zr", "V_{z,r}", "m^3", 0, "volume of the zone within the right berm")
_("V_z", "V_z", "m^3", 0, "volume of the zone, part of that of the embankment")
_("z_C", "z_C", "m", 2, "level of the crest")
_("z_B", "z_B", "m", 2, "level of the base of the embankment fill")
_("z_rl", "z_{r,i}", "m", 2, "level of the layer of reinforcement")
_("b_rf", "b_{r,i}", "m", 2, "width of the layer of reinforcement")
_("l_end", "l_{end}", "m", 2, "reinforcement beyond the embankment on each side, of a layer without anchorage")
_("L_end", "L_{end,i}", "m", 2, "anchorage of the layer beyond the outermost columns")
_("L_wr", "L_{wr,i}", "m", 2, "wrap-back of the layer at each end")
_("b_roll", "b_{roll}", "m", 2, "width of a roll of reinforcement")
_("l_ov", "l_{ov}", "m", 2, "overlap of neighbouring rolls")
_("f_ov", "f_{ov}", "-", 3, "reinforcement laid over area covered")
_("A_rf", "A_{r,i}", "m^2", 0, "reinforcement of the layer with overlaps")
_("w_rf", "w_r", "-", 3, "waste of reinforcement over the reinforcement laid")
_("A_rd", "A_{r,del,i}", "m^2", 0, "reinforcement of the layer to be delivered, with overlaps and waste")
_("t_cov", "t_{cov}", "m", 3, "cover over the column head")
_("t_covm", "t_{cov,min}", "m", 3, "least cover over the column head")
_("t_FL", "t_{FL}", "m", 3, "fill over the column heads with the first lift")
_("t_mach", "t_{mach}", "m", 3, "cover over the column heads before machines drive on it")

GRID = Source("geometry of the grid", evidence="derived")
GEOMETRY = Source("geometry of the section", evidence="derived")
SLEEVE = Source("geometry of the sleeve with its allowances", evidence="derived")
ROLLS = Source("geometry of overlapping rolls", evidence="derived")
DELIVERED = Source("definition of the factor on the volume", evidence="derived")
WASTE = Source("definition of the waste", evidence="derived")
HEAD = Source("levels of the section", evidence="derived")


@formula("b_F", source=GEOMETRY)
def field_width(b_crest, b_gl, b_gr):
    """Width of the column field between the axes of its outermost columns."""
    return b_crest + b_gl + b_gr


@formula("e_r", source=GRID)
def row_distance(A_E, a_x):
    """Distance of rows that run along the embankment with the spacing of the grid in the row."""
    return A_E / a_x


@formula("N_rowx", source=GRID)
def rows(b_F, e_r):
    """Rows that cover the width of the field, before rounding up."""
    return b_F / e_r + 1


@formula("N_colx", source=GRID)
def columns_in_rows(N_row, L_sec, a_x):
    """Columns in all rows, before rounding up."""
    return N_row * L_sec / a_x


@formula("N_A", source=GRID)
def columns_by_area(b_F, L_sec, A_E):
    """Columns from the area between the outermost axes, as a check of the size."""
    return b_F * L_sec / A_E


@formula("l_col", source=GRID)
def column_metres(N_col, L_c):
    """Length of all columns."""
    return N_col * L_c


@formula("L_sl", source=SLEEVE)
def sleeve_length(L_c, l_top, l_toe):
    """Sleeve that one column takes, with what is tied, trimmed and closed."""
    return L_c + l_top + l_toe


@formula("l_sl", source=SLEEVE)
def sleeve_metres(N_col, L_sl):
    """Length of all sleeves."""
    return N_col * L_sl


@formula("A_sl", source=SLEEVE)
def sleeve_area(l_sl, r_geo):
    """Area of the fabric of all sleeves."""
    return 2 * pi * r_geo * l_sl


@formula("L_fill", source=GEOMETRY)
def filled_length(L_c, L_pl):
    """Length of the column above its plug."""
    return L_c - L_pl


@formula("V_c1", source=GRID)
def fill_volume(A_c, L_fill):
    """Theoretical volume of the fill of one column."""
    return A_c * L_fill


@formula("V_c", source=GRID)
def fills_volume(N_col, V_c1):
    """Theoretical volume of the fill of all columns."""
    return N_col * V_c1


@formula("V_pl", source=GRID)
def plugs_volume(N_col, A_c, L_pl):
    """Theoretical volume of all plugs."""
    return N_col * A_c * L_pl


@formula("V_del", source=DELIVERED)
def delivered_volume(f_V, V_c):
    """Volume of column fill to be delivered."""
    return f_V * V_c


@formula("V_exc", source=GEOMETRY)
def excavated_volume(N_col, A_c, t_soft, t_emb):
    """Soil that is excavated from the casings between the ground and the toes."""
    return N_col * A_c * (t_soft + t_emb)


@formula("V_E", source=GEOMETRY)
def embankment_volume(L_sec, b_crest, H_E, n_Sl, n_Sr):
    """Volume of the trapezoid of the embankment."""
    return L_sec * (b_crest * H_E + (n_Sl + n_Sr) * H_E**2 / 2)


@formula("V_Br", source=GEOMETRY)
def berm_volume(L_sec, b_Br, h_Br, n_Br, n_Sr):
    """Volume of a berm beside the side slope, above the platform."""
    return L_sec * (b_Br * h_Br + (n_Br - n_Sr) * h_Br**2 / 2)


@formula("V_Br", source=GEOMETRY)
def volume_of_both_berms(V_B1r, V_B2r):
    """Volume of a berm with its lower berm, above the platform."""
    return V_B1r + V_B2r


@formula("V_E", source=GEOMETRY)
def volume_with_berms(L_sec, b_crest, H_E, n_Sl, n_Sr, V_Bl, V_Br):
    """Volume of the trapezoid of the embankment and of its berms."""
    return L_sec * (b_crest * H_E + (n_Sl + n_Sr) * H_E**2 / 2) + V_Bl + V_Br


@formula("V_E", source=GEOMETRY)
def volume_below_falling_crest(L_sec, b_crest, H_El, H_Er, n_Sl, n_Sr, V_Bl, V_Br):
    """Volume of an embankment with crest edges of two heights, and of its berms."""
    return L_sec * (b_crest * (H_El + H_Er) / 2 + n_Sl * H_El**2 / 2 + n_Sr * H_Er**2 / 2) + V_Bl + V_Br


@formula("b_lv", source=GEOMETRY)
def width_at_higher_edge(b_crest, H_E, H_El, H_Er, n_Sl, n_Sr):
    """Width between the side slopes, drawn on to the level of the higher crest edge: below it it grows by both runs."""
    return b_crest - n_Sl * (H_E - H_El) - n_Sr * (H_E - H_Er)


@formula("V_zo", source=GEOMETRY)
def zone_volume(L_sec, b_crest, n_Sl, n_Sr, H_E, h_zb, h_zt):
    """Volume of the zone between the side slopes."""
    return L_sec * (b_crest + (n_Sl + n_Sr) * (H_E - (h_zb + h_zt) / 2)) * (h_zt - h_zb)


@formula("h_zkr", source=GEOMETRY)
def height_where_slope_ends_zone(H_E, x_zr, b_crest, n_zr, h_zb, h_zt):
    """Height at which the side slope meets the end of the zone, within the zone."""
    return minimum(maximum(H_E - (maximum(x_zr, -x_zr) - b_crest / 2) / n_zr, h_zb), h_zt)


@formula("A_zr", source=GEOMETRY)
def area_of_zone_beside_axis(x_zr, h_zkr, h_zb, b_crest, n_zr, H_E, h_zt):
    """Area from the axis to the end of the zone, above the place where they meet to the side slope.

    Where the end lies beyond the axis, it is what the zone lacks there.
    """
    return where(x_zr < 0, -1, 1) * (
        maximum(x_zr, -x_zr) * (h_zkr - h_zb) + (b_crest / 2 + n_zr * (H_E - (h_zkr + h_zt) / 2)) * (h_zt - h_zkr)
    )


@formula("V_zo", source=GEOMETRY)
def volume_of_zone_between_ends(L_sec, A_zl, A_zr):
    """Volume of the zone between its ends and the side slopes."""
    return L_sec * (A_zl + A_zr)


@formula("V_zb", source=GEOMETRY)
def zone_volume_in_berm(L_sec, b_Br, n_Br, n_Sr, h_Br, h_zb, h_zt):
    """Volume of the zone within a berm beside the side slope."""
    return (
        L_sec
        * (b_Br + (n_Br - n_Sr) * (h_Br - (h_zb + minimum(h_zt, h_Br)) / 2))
        * maximum(minimum(h_zt, h_Br) - h_zb, 0)
    )


@formula("z_H", source=HEAD)
def head_level(z_g, t_up):
    """Level of the column heads."""
    return z_g + t_up


@formula("z_C", source=GEOMETRY)
def crest_level(z_B, H_E):
    """Level of the crest in the final state."""
    return z_B + H_E


@formula("b_rf", source=GEOMETRY)
def reinforcement_width(L_end, L_wr, b_F, b_crest, n_Sl, n_Sr, z_C, z_B, z_rl, l_end):
    """Width of a layer: with its anchorage and wrap-back beyond the column field, else as the embankment is there."""
    return where(L_end > 0, b_F + 2 * (L_end + L_wr), b_crest + (n_Sl + n_Sr) * (z_C - maximum(z_rl, z_B)) + 2 * l_end)


@formula("f_ov", source=ROLLS)
def overlap_factor(b_roll, l_ov):
    """Reinforcement laid over the area that it covers."""
    return b_roll / (b_roll - l_ov)


@formula("A_rf", source=ROLLS)
def reinforcement_area(f_ov, b_rf, L_sec):
    """Reinforcement of a layer in the section, overlaps and ends counted."""
    return f_ov * b_rf * L_sec


@formula("A_rd", source=WASTE)
def reinforcement_delivered(w_rf, A_rf):
    """Reinforcement of a layer to be delivered for the section, overlaps, ends and waste counted."""
    return (1 + w_rf) * A_rf


@formula("t_cov", source=HEAD)
def head_cover(z_R, z_H):
    """Cover from the column head to the lowest reinforcement."""
    return z_R - z_H


@formula("t_FL", source=HEAD)
def fill_over_heads(t_cov, t_fl):
    """Fill over the column heads when the first lift lies on the lowest reinforcement."""
    return t_cov + t_fl
