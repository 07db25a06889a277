"""Lateral squeezing of the soft ground under the side slope, and the column rows needed beyond the shoulder.

A block of soft ground under the side slope is pushed outward by the pressure at its inner end. The strength of the
ground at its two ends (4 c_u), at its base and, where it is held there, at its top keeps it in place. Within the column
field the ground has its strength on its own area and may have gained; beyond the outermost columns it has neither.
"""

from numpy import maximum, minimum, sqrt, where

from calc.formula import Source, formula

BLOCK = Source(
    "equilibrium of the block, derived here; form of Jewell (1988), Geotext. Geomembr. 7, 237–273", evidence="derived"
)
CRITICAL = Source("least resistance of the block over its thickness, derived here", evidence="derived")
FHWA = Source("Silvestri (1983), as in FHWA-NHI-06-088 (2006) and FHWA-NHI-07-092 (2008)", evidence="not inspected")
RATIO = Source("ratio of resistance to effect", evidence="derived")
SCREEN = Source("FHWA-NHI-07-092 (2008), first screen", evidence="not inspected")
FIELD = Source(
    "engineering reading: the soil is driven by its own stress share; no published rule for encased columns was found",
    evidence="derived",
)
GAINED = Source("project rule: a gain is computed for half the height of the fill at least", evidence="derived")
EXTENT = Source("geometry of block and column field", evidence="derived")
EDGE = Source(
    "block under the slope left beyond the columns, traffic on the crest alone, derived here", evidence="derived"
)
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


@formula("D_sq", source=CRITICAL)
def critical_thickness(alpha_t, c_u0, L_S, rho_u, t_soft):
    """Thickness of the block that is squeezed out first, from a thousandth to the whole of the soft ground."""
    return where(
        (1 + alpha_t) * c_u0 * L_S < 2 * rho_u * t_soft**2,
        maximum(sqrt((1 + alpha_t) * c_u0 * L_S / (2 * rho_u)), t_soft / 1000),
        t_soft,
    )


@formula("p_Rsq", source=BLOCK)
def block_resistance(c_um, c_ub, alpha_t, c_u0, L_S, D_sq):
    """Pressure at which the block under the side slope is squeezed out."""
    return 4 * c_um + (c_ub + alpha_t * c_u0) * L_S / D_sq


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


@formula("c_u0x", source=EXTENT)
def outer_strength(L_o, c_u0e, c_u0f):
    """Strength at the top at the outer end of the block: that of the ground beyond the columns if it reaches there."""
    return where(L_o > 0, c_u0e, c_u0f)


@formula("rho_ux", source=EXTENT)
def outer_growth(L_o, rho_ud, rho_uf):
    """Growth of strength at the outer end of the block."""
    return where(L_o > 0, rho_ud, rho_uf)


@formula("S_0", source=BLOCK)
def strength_along_top(c_u0f, L_f, c_u0e, L_o):
    """Strength along the top of the block, in the column field and beyond it."""
    return c_u0f * L_f + c_u0e * L_o


@formula("S_b", source=BLOCK)
def strength_along_base(c_ubf, L_f, c_ube, L_o):
    """Strength along the base of the block, in the column field and beyond it."""
    return c_ubf * L_f + c_ube * L_o


@formula("D_sq", source=CRITICAL)
def critical_thickness_of_two_grounds(alpha_t, S_0, rho_uf, rho_ux, t_soft):
    """Thickness of the block that is squeezed out first, from a thousandth to the whole of the soft ground."""
    return where(
        (1 + alpha_t) * S_0 < (rho_uf + rho_ux) * t_soft**2,
        maximum(sqrt((1 + alpha_t) * S_0 / (rho_uf + rho_ux)), t_soft / 1000),
        t_soft,
    )


@formula("p_Rsq", source=BLOCK)
def resistance_of_two_grounds(c_umf, c_umx, S_b, alpha_t, S_0, D_sq):
    """Pressure at which the block is squeezed out: its inner end in the column field, its outer end at the toe."""
    return 2 * c_umf + 2 * c_umx + (S_b + alpha_t * S_0) / D_sq


@formula("c_uS", source=GEOMETRY)
def mean_strength_along_top(S_0, L_S):
    """Mean strength along the top of the block."""
    return S_0 / L_S


@formula("p_Rsq", source=FHWA)
def fhwa_resistance(c_u, L_S, D_sq):
    """Pressure that squeezes out ground of one strength, held at its top and its base, for comparison."""
    return 2 * c_u * L_S / D_sq + 4.14 * c_u


@formula("F_sq", source=RATIO)
def squeezing_safety(p_Rsq, p_sE):
    """Safety against squeezing: pressure that squeezes over the pressure that acts on the soft ground."""
    return p_Rsq / p_sE


@formula("p_scr", source=SCREEN)
def squeezing_screen(c_u):
    """Pressure below which squeezing needs no further look."""
    return 3 * c_u


@formula("gamma_nD", source=EDGE)
def net_weight_over_full_block(gamma_G, gamma_E, c_ub, alpha_t, c_u0, n_S, D_sq):
    """Pressure per height of fill that the two ends of a block of given thickness must hold."""
    return gamma_G * gamma_E - (c_ub + alpha_t * c_u0) * n_S / D_sq


@formula("h_eD", source=EDGE)
def edge_height_of_full_block(gamma_nD, H, c_um):
    """Height of fill at the edge of the columns that a block of given thickness bears, at most the whole height."""
    return where(gamma_nD > 0, minimum(H, 4 * c_um / gamma_nD), H)


@formula("gamma_n", source=EDGE)
def net_weight_over_critical_block(gamma_G, gamma_E, rho_u, n_S):
    """Pressure per height of fill less the growth of strength along the slope."""
    return gamma_G * gamma_E - rho_u * n_S


@formula("g_e", source=EDGE)
def growth_along_slope(rho_u, alpha_t, n_S):
    """Growth of strength along the slope that sets the critical thickness."""
    return 2 * rho_u * (1 + alpha_t) * n_S


@formula("h_ecr", source=EDGE)
def edge_height_of_critical_block(gamma_n, H, c_u0, g_e):
    """Height of fill at the edge of the columns that the critical shallow block bears, at most the whole height."""
    return where(gamma_n > 0, minimum(H, c_u0 * (sqrt(g_e) + sqrt(g_e + 4 * gamma_n)) ** 2 / gamma_n**2), H)


@formula("h_e", source=EDGE)
def edge_height(alpha_t, c_u0, n_S, h_ecr, rho_u, t_soft, h_eD):
    """Height of fill that the ground beyond the columns bears: shallow block, or block of the whole soft ground."""
    return where((1 + alpha_t) * c_u0 * n_S * h_ecr < 2 * rho_u * t_soft**2, h_ecr, h_eD)


@formula("b_f", source=EDGE)
def field_width(n_S, H, h_e):
    """Width of the column field beyond the shoulder, out to where the slope is as high as the ground bears."""
    return n_S * (H - h_e)


@formula("N_r", source=EDGE)
def column_rows(b_f, a_r):
    """Column rows beyond the shoulder, the outermost at the edge of the field, before rounding up."""
    return b_f / a_r


@formula("a_r", source=GEOMETRY)
def row_distance_of_triangular_grid(a_x):
    """Distance of the rows of a triangular grid whose rows run along the embankment."""
    return sqrt(3) / 2 * a_x
