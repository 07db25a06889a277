"""Settlement of the ground below the column toes."""

from numpy import arctan, maximum, pi, sin

from calc.engine.formula import Source, formula, over_layers, over_layers_above
from calc.engine.symbols import declare as _

_("B_t", "B_t", "m", 2, "width of the loaded strip")
_("Dsigma_t", "Δσ_t", "kPa", 2, "mean stress increment at toe level")
_("h_b", "h_b", "m", 3, "thickness of the sublayer below the toe")
_("z_b", "z_b", "m", 3, "depth of the middle of the sublayer below the toe")
_("z_end", "z_{end}", "m", 2, "depth below the toe down to which settlements are summed")
_("r_end", "r_{end}", "-", 3, "stress increment in the lowest sublayer over that at toe level")
_("theta_b", "θ_b", "rad", 3, "angle under which the loaded strip is seen from below its centre", shown="deg")
_("Dsigma_b", "Δσ_b", "kPa", 2, "stress increment below the toe")
_("E_oedb", "E_{oed,b}", "kPa", 0, "oedometer modulus of the ground below the toe")
_("s_bi", "s_{b,i}", "m", 2, "settlement of the sublayer below the toe", shown="mm")
_("s_L", "s_L", "m", 1, "final primary settlement of the soft ground, the larger of two methods", shown="mm")
_("s_tot", "s_{tot}", "m", 1, "final primary settlement of soft ground and ground below the toe", shown="mm")
_("p_bh", "Δσ_{0,ho}", "kPa", 2, "load under which the ground below the toe has settled by hand-over")
_("H_db", "H_{d,b}", "m", 2, "drainage path length of the ground below the toe that the sublayer lies in")
_("c_vb", "c_{v,b}", "m^2/day", -5, "least coefficient of vertical flow of that ground", shown="m^2/a")
_("t_ab", "t_{a,b}", "day", 1, "age at hand-over of the load on the ground below the toe")
_("T_vb", "T_{v,b}", "-", 4, "time factor of the sublayer below the toe")
_("U_db", "U_{d,b}", "-", 1, "degree of consolidation of the sublayer below the toe at hand-over", shown="%")
_("s_bho", "s_{b,ho}", "m", 1, "settlement of the ground below the toe at hand-over", shown="mm")
_("s_bhS", "s_{b,ho,S}", "m", 1, "settlement below the toe at hand-over, load spread", shown="mm")
_("s_bhH", "s_{b,ho,H}", "m", 1, "settlement below the toe at hand-over, half-space", shown="mm")
_("s_lifeb", "s_{life,tot}", "m", 1, "settlement at the end of the design life, ground below included", shown="mm")
_("t_resb", "t_{res,tot}", "day", 0, "earliest date of hand-over, ground below the toe included")
_("s_resb", "s_{res,tot}", "m", 1, "residual settlement, ground below the toe included", shown="mm")

GEOMETRY = Source("geometry of the trapezium, a strip of equal weight", evidence="derived")
WITH_BERMS = Source(
    "project rule: berms count within the strip at its pressure, which the stress below its centre grows with",
    evidence="derived",
)
DEPTH = Source("geometry of the sublayers", evidence="derived")
SPREAD = Source("spread of load at two vertical to one horizontal; common practice, no source", evidence="derived")
HALF_SPACE = Source("Boussinesq (1885), flexible strip on an elastic half-space", evidence="not inspected")
ELASTIC = Source("elasticity, strain held at the sides", evidence="derived")
LARGER = Source("project rule: the larger of two estimates", evidence="derived")
SUM = Source("sum over the sublayers", evidence="derived")
PARTS = Source("sum of the parts", evidence="derived")
AGE = Source("project rule: all of the load with the age of its last step", evidence="derived")
ONE_DIMENSION = Source("Terzaghi (1925), one-dimensional flow", evidence="not inspected")
SHARE = Source("project rule: in the share of the load; drained ground settles with it", evidence="derived")


@formula("B_t", source=GEOMETRY)
def loaded_width(b_K, n_L, n_R, H_F, H):
    """Width of the fill of this stage at half its height, the slopes being those of the final state."""
    return b_K + (n_L + n_R) * (H_F - H / 2)


@formula("B_t", source=WITH_BERMS)
def loaded_width_with_berms(b_K, n_L, n_R, H_F, H, A_Bl, A_Br):
    """Width of the fill of this stage at half its height, wider by what weighs as much as the berms."""
    return b_K + (n_L + n_R) * (H_F - H / 2) + (A_Bl + A_Br) / H


@formula("z_b", source=DEPTH)
def depth_below_toe(h_b):
    """Depth of the middle of the sublayer below the toe."""
    return over_layers_above(h_b) + h_b / 2


@formula("Dsigma_b", source=SPREAD)
def spread_stress(Dsigma_t, B_t, z_b):
    """Stress increment below the toe where the load of a long strip spreads by one half of the depth to each side."""
    return Dsigma_t * B_t / (B_t + z_b)


@formula("theta_b", source=HALF_SPACE)
def strip_angle(B_t, z_b):
    """Angle under which the loaded strip is seen from below its centre."""
    return 2 * arctan(B_t / (2 * z_b))


@formula("Dsigma_b", source=HALF_SPACE)
def half_space_stress(Dsigma_t, theta_b):
    """Stress increment below the centre of a long flexible strip on an elastic half-space."""
    return Dsigma_t / pi * (theta_b + sin(theta_b))


@formula("s_bi", source=ELASTIC)
def sublayer_settlement_below_toe(Dsigma_b, E_oedb, h_b):
    """Settlement of the sublayer below the toe, strain held at the sides."""
    return Dsigma_b / E_oedb * h_b


@formula("s_b", source=SUM)
def settlement_below_toe(s_bi):
    """Settlement of the ground below the toe."""
    return over_layers(s_bi)


@formula("s_L", source=LARGER)
def larger_settlement_of_soft_ground(s, s_EP):
    """Final primary settlement of the soft ground, the larger of the two methods of the unit cell."""
    return maximum(s, s_EP)


@formula("s_tot", source=SUM)
def settlement_with_ground_below(s_L, s_b):
    """Final primary settlement at the centre, soft ground and ground below the toe, lower stiffness of the sleeve."""
    return s_L + s_b


@formula("s_bre", source=SHARE)
def residual_settlement_below(s_b, p_fin, p_bh):
    """Settlement of the ground below the toe that counts as residual: that of the load which comes later."""
    return s_b * (p_fin - p_bh) / p_fin


@formula("t_ab", source=AGE)
def age_at_hand_over(t_ho, t_en):
    """Age at hand-over of the load on the ground below the toe."""
    return maximum(t_ho - t_en, 0)


@formula("T_vb", source=ONE_DIMENSION)
def time_factor_below_toe(c_vb, t_ab, H_db):
    """Time factor of the sublayer below the toe."""
    return c_vb * t_ab / H_db**2


@formula("s_bho", source=SUM)
def settled_below_at_hand_over(s_bi, U_db, p_bh, p_fin):
    """Settlement of the ground below the toe at hand-over, under the load placed by then."""
    return over_layers(s_bi * U_db) * p_bh / p_fin


@formula("s_bre", source=LARGER)
def residual_below_in_time(s_bS, s_bhS, s_bH, s_bhH):
    """Settlement of the ground below the toe that comes after hand-over."""
    return maximum(s_bS - s_bhS, s_bH - s_bhH)


@formula("s_lifeb", source=PARTS)
def life_with_ground_below(s_lifeL, s_b):
    """Settlement at the end of the design life, soft ground and ground below the toe."""
    return s_lifeL + s_b


@formula("s_resb", source=PARTS)
def residual_with_ground_below(s_resL, s_bre):
    """Residual settlement, soft ground and ground below the toe."""
    return s_resL + s_bre


@formula("z_end", source=DEPTH)
def depth_of_sum(h_b):
    """Depth below the toe down to which settlements are summed."""
    return over_layers(h_b)


@formula("r_end", source=Source("definition", evidence="derived"))
def stress_left_below(Dsigma_b, Dsigma_t):
    """Added stress in the lowest sublayer over that at toe level."""
    return Dsigma_b / Dsigma_t
