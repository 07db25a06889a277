"""Strips of rail and road load on the crest: what is left of them at the column heads, and what pushes at the edge."""

from numpy import absolute, arctan, maximum, minimum, pi, sqrt, tan, where

from calc.engine.formula import Source, formula, over_strips
from calc.engine.symbols import declare as _

_("q_0", "q_0", "kPa", 2, "uniform part of the traffic load on the crest")
_("F_ld", "F_{l,k}", "kN/m", 2, "characteristic load of the strip per length of embankment")
_("alpha_ld", "α_l", "-", 2, "factor of the load class")
_("b_ld", "b_l", "m", 2, "width over which the strip acts")
_("x_ld", "x_l", "m", 2, "distance of the axis of the strip from the axis of the crest")
_("d_ld", "d_l", "m", 2, "depth below the crest at which the strip acts")
_("n_ld", "n_l", "-", 2, "horizontal run per depth by which the strip widens on either side")
_("Phi_0", "Φ_0", "-", 2, "dynamic factor at the level where the strip acts")
_("d_Phi", "d_Φ", "m", 2, "depth below that level at which nothing of the dynamic part is left")
_("p_ld", "p_l", "kPa", 3, "pressure of the strip where it acts, without dynamic factor")
_("z_ld", "z_l", "m", 3, "depth of the column heads below the level where the strip acts")
_("Phi_z", "Φ_z", "-", 3, "dynamic factor at the column heads")
_("b_lz", "b_{l,z}", "m", 3, "width of the strip at the column heads")
_("x_pk", "x_{max}", "m", 3, "distance from the axis of the crest of the most loaded place at the column heads")
_("p_ls", "p_{l,s}", "kPa", 3, "pressure of the strip there, spread evenly")
_("u_le", "u_{le}", "m", 3, "distance of that place from the left edge of the strip, to the right positive")
_("u_ri", "u_{ri}", "m", 3, "distance of that place from the right edge of the strip, to the right positive")
_("I_ld", "I_l", "-", 4, "influence of the strip there, elastic half-space")
_("p_le", "p_{l,e}", "kPa", 3, "pressure of the strip there, elastic half-space")
_("p_sS", "p_{S}", "kPa", 3, "largest pressure of a strip there, spread evenly")
_("p_eS", "p_{E,l}", "kPa", 3, "pressure of all strips there, elastic half-space")
_("p_lm", "p_{l,max}", "kPa", 3, "pressure of the strips at the column heads, the larger of both methods")
_("p_lh", "p_{l,h}", "kPa", 3, "pressure of the strips that counts at the column heads in this stage")
_("l_ld", "l_l", "m", 2, "length over which the strip acts, 0 without an end")
_("l_lz", "l_{l,z}", "m", 3, "length of the strip at the column heads")
_("l_lp", "l_{l,p}", "m", 2, "length over which the load of the strip is shared out in thrust and slip surfaces")
_("p_lp", "p_{l,p}", "kPa", 3, "pressure of the strip in thrust and slip surfaces, without dynamic factor")
_("p_l0", "p_{l,0}", "kPa", 3, "pressure of the strip there, spread evenly, as if it had no end")
_("p_lf", "p_{l,f}", "kPa", 3, "pressure of the strip there, spread evenly, of one with a length")
_("p_lSe", "p_{S,∞}", "kPa", 3, "largest pressure of a strip without an end there, spread evenly")
_("p_lSf", "p_{S,f}", "kPa", 3, "largest pressure of a strip with a length there, spread evenly")
_("R_le", "R_{le}", "m", 3, "distance of that place from the left corners of the strip")
_("R_ri", "R_{ri}", "m", 3, "distance of that place from the right corners of the strip")
_("I_l0", "I_{l,0}", "-", 4, "influence of the strip there as if it had no end, elastic half-space")
_("I_lr", "I_{l,f}", "-", 4, "influence of the rectangle there, below the middle of its length, elastic half-space")
_("i_sd", "i_{sd}", "-", 0, "side that is pushed, 1 right and −1 left")
_("e_ld", "e_l", "m", 3, "distance of the near edge of the strip from the crest edge that is pushed")
_("c_ld", "c_l", "-", 4, "cotangent of the inclination of the wedge at which the strip pushes most")
_("E_ld", "E_{a,l}", "kN/m", 2, "active thrust from the strip, characteristic")
_("c_lu", "c_{l,up}", "-", 4, "cotangent of the inclination of the wedge at which the strip pushes most, upward")
_("c_lw", "c_{l,down}", "-", 4, "cotangent of the inclination of the wedge at which the strip pushes most, downward")
_("E_lu", "E_{a,l,up}", "kN/m", 2, "active thrust from the strip with its inertia, upward, characteristic")
_("E_lw", "E_{a,l,down}", "kN/m", 2, "active thrust from the strip with its inertia, downward, characteristic")
_("q_a", "q_a", "kPa", 3, "uniform load on the crest that pushes as much as the traffic load")
_("p_lo", "p_{l,o}", "kPa", 3, "pressure of the strip in the slip analysis, with dynamic factor and partial factor")
_("p_lst", "p_{l,st}", "kPa", 3, "the same in this stage")
_("x_l1", "x_{l,1}", "m", 3, "left edge of the strip")
_("x_l2", "x_{l,2}", "m", 3, "right edge of the strip")

RAIL = Source(
    "EN 1991-2:2003, 6.3.2 (3) and 6.3.6.4, rail load as an equivalent uniform load on the width of the track; lanes "
    "of a road in the same form",
    evidence="not inspected",
)
EVEN = Source(
    "spread at a given slope, even over the width of the strip by itself; common practice, no source",
    evidence="derived",
)
ELASTIC = Source("Boussinesq (1885), Paris, elastic half-space, integrated here over a strip", evidence="not inspected")
RECTANGLE = Source(
    "Newmark (1935), Univ. Illinois Eng. Exp. Station, Circular 24, and Holl (1940), Proc. ASTM 40: vertical stress "
    "below the corner of a loaded rectangle, elastic half-space; four corners added here",
    evidence="not inspected",
)
SHARED_OUT = Source(
    "project rule: the load of a strip with a length over the length that the owner gives, in plane mechanisms",
    evidence="derived",
)
ADDED = Source(
    "project rule: a strip with a length stands on those without an end; each kind by its largest", evidence="derived"
)
LEVELS = Source("geometry of fill, working platform and column heads", evidence="derived")
GEOMETRY = Source("geometry of the strips on the crest", evidence="derived")
FADING = Source("project rule: the dynamic part fades evenly with depth", evidence="derived")
LARGER = Source("project rule: the larger of two methods at the most loaded place, not averaged", evidence="derived")
SUM = Source("sum of the strips", evidence="derived")
EDGE = Source(
    "equilibrium of Coulomb's wedge behind the vertical plane at the crest edge, each strip at the wedge at which it "
    "pushes most, derived here",
    evidence="derived",
)
SHAKEN = Source(
    "equilibrium of Coulomb's wedge with the weight of the strip and its inertia behind the vertical plane at the "
    "crest edge, each strip at the wedge at which it pushes most, derived here",
    evidence="derived",
)
BOTH = Source("project rule: the worse of both vertical directions", evidence="derived")
ACTS = Source("project rule: the strips act in the stages with traffic, whole", evidence="derived")
SLIP = Source("EN 1997-1:2004, 2.4.7.3.2, partial factors applied to actions", evidence="not inspected")


@formula("p_ld", source=RAIL)
def strip_pressure(alpha_ld, F_ld, b_ld):
    """Pressure of the strip where it acts, without dynamic factor."""
    return alpha_ld * F_ld / b_ld


@formula("z_ld", source=LEVELS)
def depth_of_heads(H, t_P, t_up, d_ld):
    """Depth of the column heads below the level where the strip acts, without compensation fill."""
    return H + t_P - t_up - d_ld


@formula("Phi_z", source=FADING)
def dynamic_factor_at_heads(Phi_0, z_ld, d_Phi):
    """Dynamic factor at the column heads."""
    return 1 + (Phi_0 - 1) * maximum(1 - z_ld / d_Phi, 0)


@formula("b_lz", source=EVEN)
def spread_width(b_ld, n_ld, z_ld):
    """Width of the strip at the column heads."""
    return b_ld + 2 * n_ld * z_ld


@formula("p_ls", source=EVEN)
def spread_pressure(x_pk, x_ld, b_lz, Phi_z, p_ld, b_ld):
    """Pressure of the strip at the most loaded place, spread evenly, nothing beyond its width."""
    return where(absolute(x_pk - x_ld) < b_lz / 2, Phi_z * p_ld * (b_ld / b_lz), 0)


@formula("l_lz", source=EVEN)
def spread_length(l_ld, n_ld, z_ld):
    """Length of the strip at the column heads."""
    return l_ld + 2 * n_ld * z_ld


@formula("p_lp", source=SHARED_OUT)
def pressure_in_plane(p_ld, l_ld, l_lp):
    """Pressure of the strip in plane mechanisms."""
    return where(l_lp > 0, p_ld * l_ld / l_lp, p_ld)


@formula("p_ls", source=EVEN)
def pressure_without_end(l_ld, p_l0):
    """Pressure of the strip at the most loaded place, of one without an end."""
    return where(l_ld > 0, 0, p_l0)


@formula("p_lf", source=EVEN)
def pressure_of_length(l_ld, l_lz, p_l0):
    """Pressure of the strip at the most loaded place, of one with a length, spread lengthwise too."""
    return where(l_ld > 0, p_l0 * (l_ld / l_lz), 0)


@formula("p_sS", source=ADDED)
def evenly_spread_pressure(p_lSe, p_lSf):
    """Pressure of the strips there, spread evenly."""
    return p_lSe + p_lSf


@formula("R_le", source=GEOMETRY)
def distance_from_corner(u_le, l_ld, z_ld):
    """Distance of the most loaded place from the left corners of the strip."""
    return sqrt(u_le**2 + (l_ld / 2) ** 2 + z_ld**2)


@formula("I_lr", source=RECTANGLE)
def rectangle_influence(u_le, u_ri, l_ld, z_ld, R_le, R_ri):
    """Influence of the rectangle on the vertical stress below the middle of its length, elastic half-space."""
    return (
        arctan(u_le * (l_ld / 2) / (z_ld * R_le))
        - arctan(u_ri * (l_ld / 2) / (z_ld * R_ri))
        + u_le * (l_ld / 2) * z_ld / R_le * (1 / (u_le**2 + z_ld**2) + 1 / ((l_ld / 2) ** 2 + z_ld**2))
        - u_ri * (l_ld / 2) * z_ld / R_ri * (1 / (u_ri**2 + z_ld**2) + 1 / ((l_ld / 2) ** 2 + z_ld**2))
    ) / pi


@formula("I_ld", source=RECTANGLE)
def influence_by_length(l_ld, I_lr, I_l0):
    """Influence of the strip on the vertical stress, that of a rectangle where it has a length."""
    return where(l_ld > 0, I_lr, I_l0)


@formula("u_le", source=GEOMETRY)
def distance_from_left_edge(x_pk, x_ld, b_ld):
    """Distance of the most loaded place from the left edge of the strip."""
    return x_pk - x_ld + b_ld / 2


@formula("u_ri", source=GEOMETRY)
def distance_from_right_edge(x_pk, x_ld, b_ld):
    """Distance of the most loaded place from the right edge of the strip."""
    return x_pk - x_ld - b_ld / 2


@formula("I_ld", source=ELASTIC)
def strip_influence(u_le, u_ri, z_ld):
    """Influence of the strip on the vertical stress, elastic half-space."""
    return (
        arctan(u_le / z_ld)
        - arctan(u_ri / z_ld)
        + u_le * z_ld / (u_le**2 + z_ld**2)
        - u_ri * z_ld / (u_ri**2 + z_ld**2)
    ) / pi


@formula("p_le", source=ELASTIC)
def elastic_pressure(Phi_z, p_ld, I_ld):
    """Pressure of the strip at the most loaded place, elastic half-space."""
    return Phi_z * p_ld * I_ld


@formula("p_eS", source=SUM)
def elastic_pressure_of_strips(p_le):
    """Pressure of all strips there, elastic half-space."""
    return over_strips(p_le)


@formula("p_lm", source=LARGER)
def pressure_at_heads(p_sS, p_eS):
    """Pressure of the strips at the column heads, the larger of both methods."""
    return maximum(p_sS, p_eS)


@formula("q", source=SUM)
def traffic_at_heads(q_0, p_lh):
    """Traffic load at the column heads, most loaded place."""
    return q_0 + p_lh


@formula("e_ld", source=GEOMETRY)
def distance_from_crest_edge(b_K, i_sd, x_ld, b_ld):
    """Distance of the near edge of the strip from the crest edge that is pushed."""
    return b_K / 2 - i_sd * x_ld - b_ld / 2


@formula("c_ld", source=EDGE)
def wedge_of_strip(H, d_ld, e_ld, b_ld, phi):
    """Cotangent of the inclination of the wedge at which the strip pushes most, none where the fill is too low."""
    return where(
        H > d_ld,
        minimum(
            sqrt((1 + tan(phi) ** 2) * (1 + e_ld / ((H - d_ld) * tan(phi)))) - tan(phi), (e_ld + b_ld) / (H - d_ld)
        ),
        0,
    )


@formula("E_ld", source=EDGE)
def thrust_of_strip(Phi_0, p_ld, H, d_ld, c_ld, e_ld, phi):
    """Active thrust from the strip at the crest edge, with the whole dynamic factor; none where the wedge misses it."""
    return Phi_0 * p_ld * maximum((H - d_ld) * c_ld - e_ld, 0) * (1 - c_ld * tan(phi)) / (c_ld + tan(phi))


@formula("c_lu", source=SHAKEN)
def wedge_of_strip_under_shaking(H, d_ld, e_ld, b_ld, phi, theta_u):
    """Cotangent of the inclination of the wedge at which the strip pushes most, none where the fill is too low."""
    return where(
        H > d_ld,
        minimum(
            sqrt((1 + tan(phi) ** 2) * (tan(phi) + e_ld / (H - d_ld)) / (tan(phi) - tan(theta_u))) - tan(phi),
            (e_ld + b_ld) / (H - d_ld),
        ),
        0,
    )


@formula("E_lu", source=SHAKEN)
def thrust_of_strip_under_shaking(Phi_0, p_ld, H, d_ld, c_lu, e_ld, phi, f_vu, k_h):
    """Active thrust from the strip and its inertia at the crest edge, with the whole dynamic factor."""
    return (
        Phi_0 * p_ld * maximum((H - d_ld) * c_lu - e_ld, 0) * (f_vu * (1 - c_lu * tan(phi)) / (c_lu + tan(phi)) + k_h)
    )


@formula("E_ld", source=BOTH)
def worse_thrust_of_strip(E_lu, E_lw):
    """Active thrust from the strip and its inertia, the larger of both vertical directions."""
    return maximum(E_lu, E_lw)


@formula("q_a", source=EDGE)
def traffic_that_pushes(q_0, E_ld, K_a, H):
    """Uniform load on the crest that pushes as much as uniform load and strips."""
    return q_0 + where(H > 0, over_strips(E_ld) / (K_a * H), 0)


@formula("p_lo", source=SLIP)
def strip_in_slip_analysis(gamma_Qo, Phi_0, p_ld):
    """Pressure of the strip in the slip analysis, with the whole dynamic factor."""
    return gamma_Qo * Phi_0 * p_ld


@formula("p_lst", source=ACTS)
def strip_of_stage(i_Q, p_lo):
    """Pressure of the strip in the slip analysis in this stage."""
    return i_Q * p_lo


@formula("x_l1", source=GEOMETRY)
def left_edge_of_strip(x_ld, b_ld):
    """Left edge of the strip."""
    return x_ld - b_ld / 2


@formula("x_l2", source=GEOMETRY)
def right_edge_of_strip(x_ld, b_ld):
    """Right edge of the strip."""
    return x_ld + b_ld / 2
