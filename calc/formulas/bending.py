"""Shear resistance of a column where a slip surface or an extruding wedge cuts it: friction, capped by bending.

The column is a dowel without tension: its section opens where the normal force leaves the kern, and the ground beside
it bears a limited force per length. Between two hinges at equal distances from the cut the shear force is V and no
moment acts at the cut. Where a hinge does not fit, the length that is left bears V by the ground alone.
"""

from numpy import cos, minimum, sqrt, tan

from calc.engine.formula import Source, formula, over_layers
from calc.engine.symbols import declare as _

_(
    "sigma_cN",
    "σ′_{c,N}",
    "kPa",
    2,
    "effective vertical stress in the column at the cut, permanent load, no factor",
)
_("N_cN", "N_{c,N}", "kN", 2, "normal force in the column at the cut under permanent load")
_("M_kern", "M_k", "kN*m", 2, "moment at which the column section opens on one side")
_("p_lat", "p_{lat}", "kN/m", 2, "lateral resistance of the ground per length of column")
_("sigma_vsN", "σ′_{s,N}", "kPa", 2, "effective vertical stress in the ground beside the column")
_("K_pl", "K_{p,lat}", "-", 4, "passive coefficient of the ground beside the column")
_("l_hi", "l_o", "m", 3, "length of the column between its head and the cut")
_("l_lo", "l_u", "m", 3, "length of the column between the cut and the firm layer, or its toe above it")
_("V_fr", "V_{fr}", "kN", 2, "friction of the column along the cut")
_("V_be", "V_b", "kN", 2, "shear force that the bending of the column allows at the cut")
_("V_le", "V_l", "kN", 2, "shear force that the lengths above and below the cut allow")
_("V_toe", "V_{toe}", "kN", 2, "shear force that the embedment in the firm layer holds")
_("t_toe", "t_{toe}", "m", 3, "embedment of the column in the firm layer")
_("V_col", "V", "kN", 2, "shear force of one column at the cut")
_("e_hi", "e_h", "m", 3, "distance of the bending hinges from the cut")
_("kappa_g", "κ_g", "-", 3, "given reduction of the column friction in a plane model")
_("kappa_b", "κ_b", "-", 3, "reduction of the column friction at the cut")
_("tau_cb", "τ_{c,b}", "kPa", 2, "shear resistance of the columns on the slip surface, over the area of the field")

PERMANENT = Source("vertical equilibrium of the column; permanent load with factor 1, project rule", evidence="derived")
STATICS = Source("vertical equilibrium with water at rest", evidence="derived")
KERN = Source("no tension in the section: kern of a circle, derived here", evidence="derived")
BROMS = Source("Broms (1964), J. Soil Mech. Found. Div. ASCE 90(SM2), 27–63", evidence="not inspected")
BROMS_SAND = Source("Broms (1964), J. Soil Mech. Found. Div. ASCE 90(SM3), 123–156", evidence="not inspected")
DOWEL = Source("two hinges and yielding ground, derived here; sliding of a dowel, Viggiani (1981)", evidence="derived")
LENGTH = Source("horizontal equilibrium of the length that is left, derived here", evidence="derived")
LEAST = Source("the least governs", evidence="derived")
SURFACE = Source("vertical stress alone on an inclined surface, derived here", evidence="derived")
SLEEVED = Source("vertical stress on an inclined surface and cohesion along it, capped by bending, derived here",
                 evidence="derived")  # fmt: skip


@formula("N_cN", source=PERMANENT)
def column_force_at_cut(A_c, sigma_cN):
    """Normal force in the column at the cut."""
    return A_c * sigma_cN


@formula("M_kern", source=KERN)
def kern_moment(N_cN, d_c):
    """Moment at which the column section opens on one side."""
    return N_cN * d_c / 8


@formula("p_lat", source=BROMS)
def lateral_resistance(c_ud, d_c):
    """Lateral resistance of undrained ground per length of column."""
    return 9 * c_ud * d_c


@formula("p_lat", source=BROMS_SAND)
def drained_lateral_resistance(K_pl, sigma_vsN, d_c):
    """Lateral resistance of drained ground per length of column, its cohesion not counted."""
    return 3 * K_pl * sigma_vsN * d_c


@formula("V_fr", source=PERMANENT)
def column_friction(N_cN, phi_c):
    """Friction of the column along the cut."""
    return N_cN * tan(phi_c)


@formula("V_be", source=DOWEL)
def bending_shear(M_kern, p_lat):
    """Shear force that bending allows, with a hinge on either side of the cut."""
    return sqrt(2 * M_kern * p_lat)


@formula("e_hi", source=DOWEL)
def hinge_distance(M_kern, p_lat):
    """Distance of the hinges from the cut, where the ground has taken the whole shear force."""
    return sqrt(2 * M_kern / p_lat)


@formula("sigma_vsN", source=STATICS)
def stress_at_firm_layer(p_0, w):
    """Effective vertical stress in the ground at the top of the firm layer before loading."""
    return p_0 + over_layers(w)


@formula("V_toe", source=LENGTH)
def embedment_shear(p_lat, t_toe):
    """Shear force that the embedment in the firm layer holds."""
    return p_lat * t_toe


@formula("V_le", source=LENGTH)
def shear_by_lengths(p_lat, l_hi, l_lo, V_toe):
    """Shear force that the lengths above and below the cut allow."""
    return minimum(p_lat * l_hi, p_lat * l_lo + V_toe)


@formula("V_col", source=LEAST)
def column_shear(V_fr, V_be):
    """Shear force of one column at the cut, where both hinges fit."""
    return minimum(V_fr, V_be)


@formula("V_col", source=LEAST)
def column_shear_with_lengths(V_fr, V_be, V_le):
    """Shear force of one column at the cut, the lengths above and below it counted."""
    return minimum(V_fr, minimum(V_be, V_le))


@formula("V_col", source=LEAST)
def column_shear_of_dowel(V_be, V_le):
    """Shear force of one column at the cut that its bending and the lengths above and below it allow."""
    return minimum(V_be, V_le)


@formula("kappa_b", source=LEAST)
def friction_reduction(kappa_g, V_col, V_fr):
    """Reduction of the column friction at the cut."""
    return minimum(kappa_g, V_col / V_fr)


@formula("tau_cb", source=SURFACE)
def column_resistance_on_surface(a_E, kappa_b, sigma_cN, phi_c, alpha_b):
    """Shear resistance of the columns on the slip surface, over the area of the field."""
    return a_E * kappa_b * sigma_cN * tan(phi_c) * cos(alpha_b) ** 2


@formula("tau_cb", source=SLEEVED)
def sleeved_resistance_on_surface(a_E, kappa_g, sigma_cN, phi_c, alpha_b, c_rd, V_col, A_c):
    """Shear resistance of the columns on the slip surface over the field, cohesion from the sleeve included."""
    return a_E * minimum(kappa_g * (sigma_cN * tan(phi_c) * cos(alpha_b) ** 2 + c_rd), V_col / A_c * cos(alpha_b) ** 2)
