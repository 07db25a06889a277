"""Soft ground under the side slope: strength along a wedge, lengths within the column field and beyond it, gain."""

from numpy import maximum, minimum, sqrt

from calc.formula import Source, formula

BLOCK = Source(
    "equilibrium of the block, derived here; form of Jewell (1988), Geotext. Geomembr. 7, 237–273", evidence="derived"
)
FIELD = Source(
    "engineering reading: the soil is driven by its own stress share; no published rule for encased columns was found",
    evidence="derived",
)
GAINED = Source("project rule: a gain is computed for half the height of the fill at least", evidence="derived")
EXTENT = Source("geometry of block and column field", evidence="derived")
GEOMETRY = Source("geometry of the side slope", evidence="derived")
LINEAR = Source("strength growing linearly with depth", evidence="derived")


@formula("L_S", source=GEOMETRY)
def slope_length(n_S, H):
    """Horizontal length of the side slope."""
    return n_S * H


@formula("c_um", source=LINEAR)
def mean_block_strength(c_u0, rho_u, D_sq):
    """Mean undrained strength over the thickness of the block."""
    return c_u0 + rho_u * D_sq / 2


@formula("c_ub", source=LINEAR)
def base_strength(c_u0, rho_u, D_sq):
    """Undrained strength at the base of the block."""
    return c_u0 + rho_u * D_sq


@formula("c_uf", source=FIELD)
def column_field_strength(a_E, c_u):
    """Undrained strength over the column field, on the area of the soil alone."""
    return (1 - a_E) * c_u


@formula("L_f", source=EXTENT)
def block_length_in_field(b_g, L_S):
    """Length of the block within the column field."""
    return minimum(b_g, L_S)


@formula("L_o", source=EXTENT)
def block_length_beyond_field(L_S, L_f):
    """Length of the block beyond the outermost columns."""
    return L_S - L_f


@formula("L_g", source=GAINED)
def block_length_with_gain(L_f, L_S):
    """Length of the block on which a gain of strength counts: in the column field, up to the middle of the slope."""
    return minimum(L_f, L_S / 2)


@formula("Dc_m", source=GAINED)
def mean_gain(Dc_u, L_g, L_f, L_S):
    """Gain of strength as a mean over the length of the block in the column field; none without columns there."""
    return Dc_u * L_g / maximum(L_f, L_S / 1000)


@formula("S_0", source=BLOCK)
def strength_along_top(c_u0f, L_f, c_u0e, L_o):
    """Strength along the top of the block, in the column field and beyond it."""
    return c_u0f * L_f + c_u0e * L_o


@formula("S_b", source=BLOCK)
def strength_along_base(c_ubf, L_f, c_ube, L_o):
    """Strength along the base of the block, in the column field and beyond it."""
    return c_ubf * L_f + c_ube * L_o


@formula("a_r", source=GEOMETRY)
def row_distance_of_triangular_grid(a_x):
    """Distance of the rows of a triangular grid whose rows run along the embankment."""
    return sqrt(3) / 2 * a_x
