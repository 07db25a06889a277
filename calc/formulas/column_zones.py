"""Zones of the column grid across a section: heights over them, settlement at their borders, extrusion."""

from numpy import absolute, maximum, minimum, where

from calc.engine.formula import Source, formula, over_strips
from calc.engine.symbols import declare as _

_("x_z1", "x_{z,1}", "m", 3, "left border of the zone of columns")
_("x_z2", "x_{z,2}", "m", 3, "right border of the zone of columns")
_("H_z", "H_z", "m", 3, "greatest height of fill over the zone of columns in this stage")
_("H_bo", "H_{bo}", "m", 3, "height of fill over the border of two grids in this stage")
_("s_bo1", "s_{bo,1}", "m", 1, "settlement at the border with the grid on its left", shown="mm")
_("s_bo2", "s_{bo,2}", "m", 1, "settlement at the border with the grid on its right", shown="mm")
_("Ds_bo", "Δs_{bo}", "m", 1, "difference of the settlements of both grids at their border", shown="mm")
_("s_bb1", "s_{bb,1}", "m", 1, "settlement below toes in soft ground left of the border", shown="mm")
_("s_bb2", "s_{bb,2}", "m", 1, "settlement below toes in soft ground right of the border", shown="mm")
_("a_Ei", "a_{E,i}", "-", 4, "area ratio of the columns at the inner plane of the wedge")
_("a_Ew", "a_{E,w}", "-", 4, "mean area ratio of the columns in the wedge, for the soil between them")
_("a_Eb", "a_{E,b}", "-", 4, "area ratio that counts for the shear force of the columns along the base of the wedge")
_("a_Ex", "a_{E,x}", "-", 4, "largest area ratio of the columns in the wedge")
_("A_Ei", "A_{E,i}", "m^2", 4, "area to a column at the inner plane of the wedge")
_("A_Eb", "A_{E,b}", "m^2", 4, "area to a column that counts along the base of the wedge")
_("mu_cx", "μ_{c,x}", "-", 4, "stress on the column over the mean stress, with the largest area ratio in the wedge")
_("mu_cbx", "μ_{c,b,x}", "-", 4, "the same for the load of the stage before")
_("mu_cnx", "μ_{c,n,x}", "-", 4, "the same for the new lift")
_("p_cNb", "p_{c,N,b}", "kPa", 2, "permanent stress increment of the columns along the base of the wedge")
_("x_es", "x_{e,st}", "m", 3, "distance of the crest edge of the stage from the axis")
_("x_ip", "x_{i,p}", "m", 3, "distance of the inner plane from the axis, outward positive")
_("d_ip", "d_{i,p}", "m", 3, "distance from the inner plane out to the crest edge, negative below the side slope")
_("L_w", "L_w", "m", 3, "length of the wedge from its inner plane to the toe of the side slope")
_("L_ws", "L_{w,s}", "m", 3, "length of the wedge below the side slope")
_("b_w", "b_w", "m", 3, "width of the column field beyond the inner plane of the wedge")
_("f_ip", "f_{i,p}", "-", 4, "height of fill over the inner plane over that at the crest edge")
_("n_So", "n_{S,o}", "-", 2, "horizontal run of the other side slope per unit of height")
_("L_So", "L_{S,o}", "m", 2, "horizontal length of the other side slope")
_("d_io", "d_{i,o}", "m", 3, "distance from the toe of the other side slope to the inner plane")
_("x_s1", "x_{s,1}", "m", 3, "inner border of the strip of one grid, distance from the axis, outward positive")
_("x_s2", "x_{s,2}", "m", 3, "outer border of the strip of one grid, distance from the axis, outward positive")
_("x_oe", "x_{o,e}", "m", 3, "distance of the last column over which the slope stands from the axis")
_("i_st", "i_{str}", "-", 0, "the inner plane of the wedge stands in the strip (1) or not (0)")
_("w_st", "w_{str}", "-", 4, "share of the strip in the length of the wedge with columns")
_("a_Es", "a_{E,s}", "-", 4, "area ratio of the columns in the strip")
_("a_Em", "a_{E,m}", "-", 4, "least area ratio of the columns from the inner plane out to the strip")
_("Dc_ip", "Δc_{u,i}", "kPa", 2, "gain of undrained strength at the inner plane of the wedge")
_("p_cNp", "p_{c,N,i}", "kPa", 2, "permanent stress increment of the columns at the inner plane of the wedge")
_("p_cNbp", "p_{c,N,b,i}", "kPa", 2, "the same along the base, of what stands over the inner plane")
_("p_sEp", "p_{s,E,i}", "kPa", 2, "pressure that drives the wedge at its inner plane")
_("p_sLp", "p_{s,L,i}", "kPa", 2, "pressure that drives the wedge at its inner plane while a lift is placed")

LENGTHS = Source(
    "difference of both grids under the load at their border; what settles below toes in soft ground, found for the "
    "greatest load of the zone, lies between nothing and the whole: bound derived here", evidence="derived",
)  # fmt: skip
DIFFERENCE = Source("definition, both grids under the load at their border", evidence="derived")
PLANE = Source("geometry of side slope and column field", evidence="derived")
FALLS = Source("pressure that falls evenly from a crest edge to its toe, full below the crest", evidence="derived")
STRIPS = Source(
    "mean by lengths, derived here; for the shear force of the columns a ratio that rises outward, where they are "
    "stressed less, does not count: the product of the means is then not more than the mean of the products",
    evidence="derived",
)
GAINED = Source("project rule: a gain is computed for half the height of the fill at least", evidence="derived")
AREA = Source("area of a column over the area ratio", evidence="derived")


@formula("Ds_bo", source=DIFFERENCE)
def difference_at_border(s_bo1, s_bo2):
    """Difference of the settlements that both grids have at their border."""
    return absolute(s_bo1 - s_bo2)


@formula("Ds_bo", source=LENGTHS)
def difference_at_border_of_lengths(s_bo1, s_bo2, s_bb1, s_bb2):
    """Largest difference of the settlements at a border where the columns of a side end in soft ground.

    Of what settles below their toes all or nothing counts.
    """
    return maximum(absolute(s_bo1 + s_bb1 - s_bo2), absolute(s_bo1 - s_bo2 - s_bb2))


@formula("A_Ei", source=AREA)
def area_at_inner_plane(A_c, a_Ei):
    """Area to a column at the inner plane of the wedge."""
    return A_c / a_Ei


@formula("A_Eb", source=AREA)
def area_along_base(A_c, a_Eb):
    """Area to a column that counts along the base of the wedge."""
    return A_c / a_Eb


@formula("x_es", source=PLANE)
def crest_edge_of_stage(b_K, n_S, H_GF, H_q):
    """Distance of the crest edge of the stage from the axis; the toe stays where the final slope has it."""
    return b_K / 2 + n_S * (H_GF - H_q)


@formula("d_ip", source=PLANE)
def distance_to_crest_edge(x_es, x_ip):
    """Distance from the inner plane of the wedge out to the crest edge of the stage."""
    return x_es - x_ip


@formula("L_w", source=PLANE)
def length_from_inner_plane(L_S, d_ip):
    """Length of the wedge from its inner plane to the toe of the side slope."""
    return L_S + d_ip


@formula("L_ws", source=PLANE)
def length_below_slope(L_w, L_S):
    """Length of the wedge below the side slope."""
    return minimum(L_w, L_S)


@formula("b_w", source=PLANE)
def field_beyond_inner_plane(b_K, b_g, x_ip):
    """Width of the column field beyond the inner plane of the wedge."""
    return maximum(b_K / 2 + b_g - x_ip, 0)


@formula("d_io", source=PLANE)
def distance_from_other_toe(x_ip, b_K, n_So, H_GF):
    """Distance from the toe of the other side slope, where the final slope has it, to the inner plane."""
    return x_ip + b_K / 2 + n_So * H_GF


@formula("f_ip", source=FALLS)
def height_over_inner_plane(L_ws, L_S, d_io, L_So):
    """Height of fill over the inner plane over that at the crest edge; below the other side slope it falls, too."""
    return minimum(L_ws / L_S, d_io / L_So)


@formula("f_ip", source=FALLS)
def height_over_inner_plane_before_berm(L_ws, L_S):
    """Height of fill over the inner plane over that at the crest edge; all of it below the other slope and its berm."""
    return L_ws / L_S


@formula("a_Ew", source=STRIPS)
def mean_ratio_in_wedge(w_st, a_Es):
    """Mean area ratio along the wedge, as far as the columns reach."""
    return over_strips(w_st * a_Es)


@formula("a_Eb", source=STRIPS)
def counted_ratio_in_wedge(w_st, a_Em):
    """Mean area ratio along the base of the wedge, where a rise outward does not count."""
    return over_strips(w_st * a_Em)


@formula("L_g", source=GAINED)
def length_with_gain_from_inner_plane(L_f, L_w, L_S, L_So, d_io):
    """Length of the wedge on which a gain counts: in the column field, between both mid-slopes."""
    return maximum(minimum(L_f, L_w - L_S / 2) - maximum(L_So / 2 - d_io, 0), 0)


@formula("Dc_ip", source=GAINED)
def gain_at_inner_plane(L_w, L_S, d_io, L_So, Dc_u):
    """Gain of undrained strength at the inner plane of the wedge; none beyond mid-slope of either side."""
    return where(minimum(L_w - L_S / 2, d_io - L_So / 2) >= 0, Dc_u, 0)


@formula("p_cNp", source=FALLS)
def column_stress_over_inner_plane(f_ip, p_cN):
    """Permanent stress increment of the columns, of the height that stands over the inner plane of the wedge."""
    return f_ip * p_cN


@formula("p_sEp", source=FALLS)
def pressure_over_inner_plane(f_ip, p_sE):
    """Pressure that drives the wedge, of the height that stands over its inner plane."""
    return f_ip * p_sE


@formula("x_oe", source=PLANE)
def outer_end_of_columns(b_K, b_g, x_es, L_S):
    """Distance from the axis to the last column, or to the toe of the slope where that is nearer."""
    return minimum(b_K / 2 + b_g, x_es + L_S)


@formula("w_st", source=STRIPS)
def share_of_strip(x_oe, x_ip, x_s2, x_s1, i_st):
    """Share of the strip in the length from the inner plane to the last column; that of the inner plane without any."""
    return where(x_oe > x_ip, maximum(minimum(x_s2, x_oe) - maximum(x_s1, x_ip), 0) / (x_oe - x_ip), i_st)


@formula("a_Ei", source=STRIPS)
def ratio_at_inner_plane(i_st, a_Es):
    """Area ratio of the columns at the inner plane of the wedge."""
    return over_strips(i_st * a_Es)
