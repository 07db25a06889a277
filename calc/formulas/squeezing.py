"""Soft ground under the side slope: strength along a wedge, lengths within the column field and beyond it, gain."""

from numpy import maximum, minimum, sqrt

from calc.engine.formula import Source, formula
from calc.engine.symbols import declare as _

_("c_u0e", "c_{u,0,e}", "kPa", 2, "design strength at the top of the soft ground, without gain")
_("c_u0f", "c_{u,0,f}", "kPa", 2, "design strength at the top over the column field, columns not counted")
_("L_Sq", "L_{S,q}", "m", 2, "horizontal length of the side slope, platform counted as fill")
_("c_uf", "c_{u,f}", "kPa", 2, "undrained shear strength averaged over the column field, columns not counted")
_("Dc_m", "Δc_{u,m}", "kPa", 2, "gain of undrained strength, mean over the wedge in the column field")
_("z_Re", "z_{R,e}", "m", 2, "level of the layer across that ends first")
_("h_Re", "h_{R}", "m", 2, "height of the layer that ends first over the ground")
_("x_R", "x_R", "m", 2, "distance from the toe of the slope to the end of the reinforcement, inward")
_("L_cov", "L_{cov}", "m", 2, "length of the wedge over which reinforcement lies")
_("L_t", "L_t", "m", 2, "length of the wedge along which shear acts at its top")
_("L_tf", "L_{t,f}", "m", 2, "length within the column field along which shear acts at the top")
_("c_ubf", "c_{u,b,f}", "kPa", 2, "strength at the base of the wedge, in the column field")
_("c_ube", "c_{u,b,e}", "kPa", 2, "strength at the base of the wedge, beyond the columns")
_("n_row", "n_{row}", "-", 0, "column rows beyond the crest edge with which the ground beyond them is not extruded")
_("a_r", "a_r", "m", 3, "distance of the column rows across the embankment")

_("b_B", "b_B", "m", 3, "width of the top of the berm")
_("B_B", "B_B", "m", 2, "width of the berm that loads the soft ground, at half its height")

BLOCK = Source(
    "equilibrium of the wedge, derived here; form of Jewell (1988), Geotext. Geomembr. 7, 237–273", evidence="derived"
)
FIELD = Source(
    "engineering reading: the soil is driven by its own stress share; no published rule for encased columns was found",
    evidence="derived",
)
GAINED = Source("project rule: a gain is computed for half the height of the fill at least", evidence="derived")
EXTENT = Source("geometry of wedge and column field", evidence="derived")
GEOMETRY = Source("geometry of the side slope", evidence="derived")
REACH = Source(
    "geometry of reinforcement and side slope, whose toe stays where the final slope has it", evidence="derived"
)
COVERED = Source("project rule: the ground is held back only where reinforcement lies over it", evidence="derived")
LINEAR = Source("strength growing linearly with depth", evidence="derived")


@formula("L_S", source=GEOMETRY)
def slope_length(n_S, H):
    """Horizontal length of the side slope."""
    return n_S * H


@formula("c_um", source=LINEAR)
def mean_block_strength(c_u0, rho_u, D_sq):
    """Mean undrained strength over the thickness of the wedge."""
    return c_u0 + rho_u * D_sq / 2


@formula("c_ub", source=LINEAR)
def base_strength(c_u0, rho_u, D_sq):
    """Undrained strength at the base of the wedge."""
    return c_u0 + rho_u * D_sq


@formula("c_uf", source=FIELD)
def column_field_strength(a_E, c_u):
    """Undrained strength over the column field, on the area of the soil alone."""
    return (1 - a_E) * c_u


@formula("L_f", source=EXTENT)
def block_length_in_field(b_g, L_S):
    """Length of the wedge within the column field."""
    return minimum(b_g, L_S)


@formula("L_o", source=EXTENT)
def block_length_beyond_field(L_S, L_f):
    """Length of the wedge beyond the outermost columns."""
    return L_S - L_f


@formula("L_g", source=GAINED)
def block_length_with_gain(L_f, L_S):
    """Length of the wedge on which a gain of strength counts: in the column field, up to the middle of the slope."""
    return minimum(L_f, L_S / 2)


@formula("Dc_m", source=GAINED)
def mean_gain(Dc_u, L_g, L_f, L_S):
    """Gain of strength as a mean over the length of the wedge in the column field; none without columns there."""
    return Dc_u * L_g / maximum(L_f, L_S / 1000)


@formula("h_Re", source=REACH)
def height_of_layer_over_ground(z_Re, z_g):
    """Height of the layer over the ground."""
    return maximum(z_Re - z_g, 0)


@formula("x_R", source=REACH)
def toe_without_reinforcement(n_S, H_GF, b_g, L_b, h_Re):
    """Distance from the toe of the slope to the end of the layer, or to the face of the slope at its level."""
    return maximum(n_S * H_GF - b_g - L_b, n_S * h_Re)


@formula("L_cov", source=REACH)
def length_below_reinforcement(L_S, x_R):
    """Length of the wedge over which reinforcement lies."""
    return maximum(L_S - x_R, 0)


@formula("L_tf", source=COVERED)
def held_length_in_field(L_f, L_t):
    """Length within the column field along which shear acts at the top."""
    return minimum(L_f, L_t)


@formula("L_to", source=COVERED)
def held_length_beyond_field(L_t, L_f):
    """Length beyond the outermost columns along which shear acts at the top."""
    return maximum(L_t - L_f, 0)


@formula("S_0", source=BLOCK)
def strength_along_top(c_u0f, L_tf, c_u0e, L_to):
    """Strength along the top of the wedge where shear acts there, in the column field and beyond it."""
    return c_u0f * L_tf + c_u0e * L_to


@formula("S_b", source=BLOCK)
def strength_along_base(c_ubf, L_f, c_ube, L_o):
    """Strength along the base of the wedge, in the column field and beyond it."""
    return c_ubf * L_f + c_ube * L_o


@formula("a_r", source=GEOMETRY)
def row_distance_of_triangular_grid(a_x):
    """Distance of the rows of a triangular grid whose rows run along the embankment."""
    return sqrt(3) / 2 * a_x


@formula("B_B", source=GEOMETRY)
def width_of_berm(b_B, n_S, H_B):
    """Width of the berm at half its height, from the side slope on."""
    return b_B + n_S * H_B / 2
