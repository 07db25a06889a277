"""Load transfer above the column heads: cell, settlement difference with the ground, critical height, surface.

The arching models stand in the modules ``arching_…``, the membrane in :mod:`calc.formulas.membrane`.
"""

from numpy import maximum, pi, sqrt, where

from calc.engine.formula import Source, formula, over_layers
from calc.engine.symbols import declare as _

_("r_k", "κ_k", "-", 1, "ratio of the subgrade moduli of column and soft ground")
_("F_mq", "F_{m,q}", "kN", 3, "load that one strip across the embankment carries at this deflection")
_("F_ml", "F_{m,l}", "kN", 3, "load that one strip along the embankment carries at this deflection")
_("eta_f", "η_f", "-", 4, "mean over maximum deflection at mid-span for this shape of the load")
_("J_q", "J_q", "kN/m", 1, "tensile stiffness of the reinforcement across the embankment")
_("J_l", "J_l", "kN/m", 1, "tensile stiffness of the reinforcement along the embankment")
_("J_lay", "J_{lay}", "kN/m", 1, "tensile stiffness of a layer of reinforcement that carries in this direction")
_("h_rh", "h_{r,hd}", "m", 3, "height of the layer of reinforcement over the column heads")
_("k_c", "k_c", "kPa/m", 1, "subgrade modulus of the column")
_("Ds_h", "Δs_h", "m", 3, "settlement of the soft ground less that of the column head", shown="mm")
_("Ds_mob", "Δs_{mob}", "m", 1, "settlement difference at which arching is complete", shown="mm")
_("sigma_su", "σ_{s,u}", "kPa", 3, "pressure on the soft ground below the reinforcement")
_("sigma_sq0", "σ_{s,u,0}", "kPa", 3, "pressure on the soft ground at equal settlement")
_("sigma_cu", "σ_{c,u}", "kPa", 2, "pressure on the column head below the reinforcement")
_("sigma_o", "σ_o", "kPa", 3, "pressure on the reinforcement beside the column head")
_("sigma_m", "σ_m", "kPa", 3, "pressure which the reinforcement carries to the column heads")
_("sigma_gap", "Δσ_m", "kPa", 3, "pressure beside the column head that nothing carries, zero at the solution")
_("s_far", "s′", "m", 4, "distance from a column head to the farthest point between the columns")
_("H_crit", "H_{crit}", "m", 3, "fill height from which no differential deformation reaches the surface")
_("H_part", "H_{part}", "m", 3, "fill height from which arching is taken into account")
_("Ds_top", "Δs_{top}", "m", 1, "settlement difference at the surface between column and middle", shown="mm")

CELL = Source("project rule: square grid and square column head of the same areas", evidence="derived")
STATICS = Source("vertical equilibrium of the cell", evidence="derived")
COMPATIBILITY = Source(
    "project rule: compatible settlement of ground, column and reinforcement, "
    "with the stiffness of the unit cell at equal settlement",
    evidence="derived",
)
SUMMED = Source("layers side by side have the same strain", evidence="derived")
BS_HEIGHT = Source("BS 8006-1:2010, 8.3.3", evidence="not inspected")
FILZ = Source(
    "McGuire (2011), Virginia Tech; Filz et al. (2012), ASCE GSP 225, critical height", evidence="not inspected"
)
SURFACE = Source("project rule: the difference decreases linearly to zero at the critical height", evidence="derived")


@formula("s_q", source=CELL)
def equivalent_square_spacing(A_E):
    """Spacing of the square grid that has the cell area of the columns."""
    return sqrt(A_E)


@formula("a_q", source=CELL)
def equivalent_square_width(d_c):
    """Width of the square that has the area of the round column head."""
    return d_c * sqrt(pi) / 2


@formula("delta_a", source=CELL)
def width_ratio(a_q, s_q):
    """Width of the column head over the spacing."""
    return a_q / s_q


@formula("L_m", source=CELL)
def clear_span(s_q, a_q):
    """Clear span of the reinforcement between two column heads."""
    return s_q - a_q


@formula("A_s", source=CELL)
def soil_area(s_q, a_q):
    """Area of the cell beside the column head."""
    return s_q**2 - a_q**2


@formula("sigma_E", source=STATICS)
def mean_pressure(f_G, gamma_E, H, f_q, q):
    """Mean pressure at the level of the column heads."""
    return f_G * gamma_E * H + f_q * q


@formula("F_cell", source=STATICS)
def cell_load(sigma_E, s_q):
    """Load of the embankment on one cell."""
    return sigma_E * s_q**2


@formula("sigma_sA", source=STATICS)
def pressure_beside_head(E_A, F_cell, A_s):
    """Pressure between the column heads from the share which arching brings to them."""
    return (1 - E_A) * F_cell / A_s


@formula("F_head", source=STATICS)
def head_load(F_cell, sigma_sA, A_s):
    """Load on the column head, which is what the area beside it does not carry."""
    return F_cell - sigma_sA * A_s


@formula("E_A", source=STATICS)
def efficacy(F_head, F_cell):
    """Share of the load that arching brings to the column head."""
    return F_head / F_cell


@formula("F_m", source=STATICS)
def strip_load(sigma_sA, A_s):
    """Load on one of the two strips of a cell, on which the pressure beside the column head is gathered."""
    return sigma_sA * A_s / 2


@formula("W_T", source=STATICS)
def line_load(F_m, L_m):
    """Load on the reinforcement between two column heads per length of its clear span."""
    return F_m / L_m


@formula("k_s", source=COMPATIBILITY)
def subgrade_modulus(Dsigma_vs, s):
    """Subgrade modulus at the level of the column heads, by the stress and settlement of the unit cell."""
    return Dsigma_vs / s


@formula("r_k", source=Source("definition", evidence="derived"))
def subgrade_ratio(k_c, k_s):
    """Ratio of the subgrade moduli of column and soft ground."""
    return k_c / k_s


@formula("sigma_su", source=COMPATIBILITY)
def soil_pressure(k_s, a_E, k_c, Ds_h, sigma_E):
    """Pressure on the soft ground when it settles by a difference more than the column, the sum of both loads kept."""
    return k_s * (a_E * k_c * Ds_h + sigma_E) / (a_E * k_c + (1 - a_E) * k_s)


@formula("sigma_sq0", source=COMPATIBILITY)
def soil_pressure_at_equal_settlement(k_s, a_E, k_c, sigma_E):
    """Pressure on the soft ground when it settles as much as the column."""
    return k_s * sigma_E / (a_E * k_c + (1 - a_E) * k_s)


@formula("sigma_cu", source=STATICS)
def column_pressure(sigma_E, a_E, sigma_su):
    """Pressure on the column head when the soft ground carries its own part."""
    return (sigma_E - (1 - a_E) * sigma_su) / a_E


@formula("sigma_o", source=COMPATIBILITY)
def pressure_on_reinforcement(Ds_h, Ds_mob, sigma_E, sigma_sA, sigma_sq0):
    """Pressure on the reinforcement: arching increases with the difference, up to its value at equal settlement."""
    return maximum(where(Ds_h < Ds_mob, sigma_E - (sigma_E - sigma_sA) * Ds_h / Ds_mob, sigma_sA), sigma_sq0)


@formula("f_m", source=COMPATIBILITY)
def sag_at_difference(Ds_h, eta_f):
    """Deflection at mid-span when the strips go down with the ground on their mean."""
    return Ds_h / eta_f


@formula("sigma_m", source=STATICS)
def membrane_pressure(F_mq, F_ml, A_s):
    """Pressure beside the column head that the two strips of a cell carry to the column heads."""
    return (F_mq + F_ml) / A_s


@formula("sigma_gap", source=COMPATIBILITY)
def pressure_gap(sigma_o, sigma_su, sigma_m):
    """Pressure beside the column head that neither ground nor reinforcement carries."""
    return sigma_o - sigma_su - sigma_m


@formula("H_part", source=BS_HEIGHT)
def partial_arching_height(s_q, a_q):
    """Fill height below which arching is not taken into account."""
    return 0.7 * (s_q - a_q)


@formula("H_crit", source=BS_HEIGHT)
def full_arching_height(s_q, a_q):
    """Fill height from which arching is complete and no differential deformation reaches the surface."""
    return 1.4 * (s_q - a_q)


@formula("s_far", source=CELL)
def farthest_distance_in_square_grid(a_x, d_c):
    """Clear distance from the column head to the middle of four columns of a square grid."""
    return a_x / sqrt(2) - d_c / 2


@formula("s_far", source=CELL)
def farthest_distance_in_triangular_grid(a_x, d_c):
    """Clear distance from the column head to the middle of three columns of a triangular grid."""
    return a_x / sqrt(3) - d_c / 2


@formula("H_crit", source=FILZ)
def critical_height(s_far, d_c):
    """Fill height from which no differential deformation reaches the surface, linear in distance and diameter."""
    return 1.15 * s_far + 1.44 * d_c


@formula("Ds_top", source=SURFACE)
def surface_difference(Ds_h, H, H_crit):
    """Settlement difference that reaches the surface of the fill."""
    return Ds_h * maximum(1 - H / H_crit, 0)


@formula("J_q", source=SUMMED)
def stiffness_of_direction(J_lay):
    """Tensile stiffness of all layers of reinforcement of a direction."""
    return over_layers(J_lay)
