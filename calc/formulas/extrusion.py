"""Lateral extrusion of the soft ground under the side slope as a wedge that its columns stiffen.

The wedge reaches from its inner plane to the toe of the slope. Soil and columns act together: the soil has its strength
on its own area, the columns the shear force that friction and bending leave them, at the inner plane under the whole
pressure, along the base under what is left of it down the slope.
"""

from numpy import maximum, minimum, tan, where

from calc.engine.formula import Source, formula, over_layers
from calc.engine.symbols import declare as _

_("H_mx", "H_{max}", "m", 3, "largest height of fill of all stages")
_("L_mx", "L_{S,max}", "m", 2, "run of the slope of the largest height of fill")
_("L_thin", "L_{thin}", "m", 2, "run of a slope beyond which the soft ground below it is thin")
_("Dc_th", "Δc_{u,t}", "kPa", 2, "increase of the undrained strength over the thickness of the soft ground")
_("Dc_fast", "Δc_{u,f}", "kPa", 2, "limit of a fast strength increase over the thickness of the soft ground")
_("n_w", "n_w", "-", 2, "stress ratio that counts in the wedge")
_("n_wlim", "n_{w,lim}", "-", 2, "largest stress ratio that counts in the wedge")
_("v_e", "v_e", "-", 4, "height of the slope at the last column over that at the crest edge")
_("zeta_w", "ζ_w", "-", 4, "factor on the pressure for the mean shear force of the columns along the base")
_("mu_cb", "μ_{c,b}", "-", 4, "stress on the column over the mean, stress ratio of the stage before")
_("mu_cn", "μ_{c,n}", "-", 4, "stress on the column over the mean stress of the new lift")
_("sigma_ci", "σ′_{c,i}", "kPa", 2, "effective vertical stress in the column at the middle of the inner plane")
_("sigma_cb", "σ′_{c,b}", "kPa", 2, "effective vertical stress in the column at the base of the wedge")
_("N_wi", "N_{w,i}", "kN", 2, "normal force in the column at the inner plane")
_("M_wi", "M_{w,i}", "kN*m", 2, "moment at which the column section opens at the inner plane")
_("p_wi", "p_{w,i}", "kN/m", 2, "lateral resistance per length of column at the inner plane")
_("V_fwi", "V_{fr,i}", "kN", 2, "friction of the column at the inner plane")
_("V_bwi", "V_{be,i}", "kN", 2, "shear force that bending allows at the inner plane")
_("V_wi", "V_{w,i}", "kN", 2, "shear force of one column at the inner plane")
_("N_wb", "N_{w,b}", "kN", 2, "normal force in the column at the base of the wedge")
_("M_wb", "M_{w,b}", "kN*m", 2, "moment at which the column section opens at the base of the wedge")
_("p_wb", "p_{w,b}", "kN/m", 2, "lateral resistance per length of column at the base of the wedge")
_("V_fwb", "V_{fr,b}", "kN", 2, "friction of the column at the base of the wedge")
_("V_bwb", "V_{be,b}", "kN", 2, "shear force that bending allows at the base of the wedge")
_("V_wb", "V_{w,b}", "kN", 2, "shear force of one column at the base of the wedge")
_("e_wi", "e_{w,i}", "m", 3, "distance of the bending hinges from the cut at the inner plane")
_("V_lwb", "V_{l,w,b}", "kN", 2, "shear force that the length above the base of the wedge allows")
_("tau_i", "τ_i", "kPa", 2, "shear stress of the columns on the inner plane of the wedge")
_("tau_b", "τ_b", "kPa", 2, "shear stress of the columns along the base of the wedge")
_("L_cb", "L_{c,b}", "m", 2, "length along the base of the wedge on which the columns count in full")
_("c_umi", "c_{u,m,i}", "kPa", 2, "mean undrained strength of the soil over the inner plane")
_("k_ex", "k_{ex}", "-", 4, "divisor on the resistance of the wedge")
_("p_Rx", "p_{R,ex}", "kPa", 2, "pressure at which the soft ground is extruded")
_("p_Rxd", "p_{R,ex,d}", "kPa", 2, "design resistance to lateral extrusion")
_("p_x", "p_{x}", "kPa", 2, "pressure on the ground where the columns end")
_("F_x", "F_{ex}", "-", 3, "resistance to lateral extrusion over its effect")
_("p_ring", "p_{ring}", "kPa", 1, "radial support that the sleeve has left in addition to the vertical load")
_("p_rmin", "p_{ring,min}", "kPa", 1, "least radial support for columns counted in the wedge")
_("T_ex", "T_{ex}", "kN/m", 1, "tension that the wedge relies on")
_("T_lay", "T_{lay}", "kN/m", 1, "tension of a layer of reinforcement across that lies within the fill, else 0")
_("T_acr", "T_{acr}", "kN/m", 1, "tension of all layers of reinforcement across that lie")
_("c_u0i", "c_{u,0,i}", "kPa", 2, "design strength at the top of the inner plane, with the gain there")
_("phi_cd", "φ′_{c,d}", "rad", 3, "design value of the friction angle of the column fill", shown="deg")
_("gamma_ceff", "γ_{c,eff}", "kN/m^3", 2, "effective unit weight of the column fill at this depth")
_("gamma_Re", "γ_{R,e}", "-", 2, "partial factor on the resistance in overall stability")
_("c_umx", "c_{u,m,x}", "kPa", 2, "mean strength over the outer end of the wedge")
_("g_ri", "g_{p,r}", "kN/m^3", 3, "increase of the pressure per metre from this crest edge inward")
_("g_re", "g_{R,r}", "kN/m^3", 3, "least increase of the design resistance of the wedge per metre of its length")
_("p_sEr", "p_{s,E,r}", "kPa", 2, "pressure that drives the wedge below a crest that rises inward")
_(
    "p_sLr",
    "p_{s,L,r}",
    "kPa",
    2,
    "pressure that drives the wedge below a crest that rises inward while a lift is placed",
)
_("p_kin", "p_{E,h,i}", "kPa", 2, "inertia that the wedge gains over its resistance up to the other crest edge")
_("F_ri", "F_{ri}", "-", 3, "ring resistance over the ring tension that the columns of the wedge need")
_("F_he", "F_{he}", "-", 3, "tension of the reinforcement over that which the wedge relies on")
_("F_we", "F_{we}", "-", 3, "safety of the wedge with what its columns rely on")
_("F_sa", "F_{s,a}", "-", 3, "safety of the soil alone where it settles extrusion")
_("p_Ro", "p_{R,o}", "kPa", 2, "design resistance to lateral extrusion by the wedge or by the soil alone")
_("p_xr", "p_{x,r}", "kPa", 2, "pressure that drives the wedge without columns below a crest that rises inward")

GEOMETRY = Source("geometry of the side slope", evidence="derived")
MEAN = Source(
    "mean of the root of a pressure that falls evenly from the crest edge to the last column, squared, derived here",
    evidence="derived",
)
EITHER = Source(
    "the ground is not extruded where the soil alone or the wedge with its columns holds, derived here",
    evidence="derived",
)
THIN = Source("project rule: where circles may miss the mechanism of least load the wedge decides", evidence="derived")
RELIED = Source(
    "the columns count in the wedge as far as their sleeve and the reinforcement have what they need, derived here",
    evidence="derived",
)
SMEARED = Source("shear force of one column over the area of its cell, derived here", evidence="derived")
INNER = Source(
    "project rule: one side of the plane counts; 0.7 of the hinge distance below the head does not", evidence="derived"
)
ALONG = Source(
    "project rule, fitted to plane limit analysis: half of the columns, fewer under a long slope on growing strength",
    evidence="derived",
)
FITTED = Source("project rule, fitted to plane limit analysis", evidence="derived")
WEDGE = Source("equilibrium of the wedge, derived here", evidence="derived")
BEYOND = Source("equilibrium of the wedge beyond the last column, derived here", evidence="derived")
STATICS = Source("pressure that falls evenly from the crest edge to the toe", evidence="derived")
SHARES = Source("vertical equilibrium of soil and column", evidence="derived")

INWARD = Source(
    "the inner plane of the wedge stands anywhere below the crest: pressure and resistance grow evenly from this edge "
    "inward, so that both ends decide; soil along the base alone, its depth the whole soft ground, largest divisor of "
    "the wedge; derived here",
    evidence="derived",
)
OVERALL = Source("EN 1997-1:2004, 2.4.7.3.4.1 and Table A.14, as overall stability", evidence="inspected")


RANGE = Source("plane limit analysis by finite elements, derived for this program, not published", evidence="derived")


@formula("L_thin", source=RANGE)
def run_of_thin_ground(t_soft):
    """Run of a slope beyond which the soft ground below it is thin."""
    return 4 * t_soft


@formula("Dc_th", source=RANGE)
def growth_over_thickness(rho_uk, t_soft):
    """Increase of the undrained strength over the thickness of the soft ground."""
    return rho_uk * t_soft


@formula("Dc_fast", source=RANGE)
def fast_growth(c_u0k):
    """Limit of a fast strength increase over the thickness of the soft ground."""
    return 2 * c_u0k


@formula("n_w", source=FITTED)
def counted_stress_ratio(n_st, n_wlim):
    """Columns that are loaded more than this yield before the ground is extruded, and count with it."""
    return minimum(n_st, n_wlim)


@formula("v_e", source=GEOMETRY)
def height_left_at_last_column(b_g, L_S):
    """Height of the slope at the last column over that at the crest edge."""
    return maximum(1 - b_g / L_S, 0)


@formula("zeta_w", source=MEAN)
def mean_stress_factor(v_e):
    """Factor on the pressure for the mean shear force of the columns along the base of the wedge."""
    return where(v_e < 1, ((1 - v_e**1.5) / (1.5 * (1 - v_e))) ** 2, 1)


@formula("p_cN", source=SHARES)
def permanent_stress_on_column(mu_c, p_G):
    """Stress increment of the column under permanent load without factor, at the crest edge."""
    return mu_c * p_G


@formula("mu_cn", source=SHARES)
def column_share_of_lift(a_E, mu_L):
    """Stress on the column over the mean stress of a load, from that on the soil."""
    return (1 - (1 - a_E) * mu_L) / a_E


@formula("p_cN", source=SHARES)
def permanent_stress_on_column_under_lift(mu_cb, p_Gb, mu_cn, p_G):
    """Stress increment of the column under permanent load without factor while a lift is placed, at the crest edge."""
    return mu_cb * p_Gb + mu_cn * maximum(p_G - p_Gb, 0)


@formula("sigma_ci", source=SHARES)
def column_stress_at_inner_plane(gamma_ceff, D_sq, p_cN):
    """Effective vertical stress in the column at the middle of the inner plane."""
    return gamma_ceff * D_sq / 2 + p_cN


@formula("sigma_cb", source=SHARES)
def column_stress_at_base(gamma_ceff, D_sq, zeta_w, p_cN):
    """Effective vertical stress in the column that stands for all at the base of the wedge."""
    return gamma_ceff * D_sq + zeta_w * p_cN


@formula("tau_i", source=INNER)
def shear_on_inner_plane(V_wi, A_E, e_wi, D_sq):
    """Shear stress of the columns on the inner plane of the wedge, mean over its depth."""
    return V_wi / (2 * A_E) * maximum(1 - 0.7 * e_wi / D_sq, 0)


@formula("tau_b", source=SMEARED)
def shear_along_base(V_wb, A_E):
    """Shear stress of the columns along the base of the wedge."""
    return V_wb / A_E


@formula("L_cb", source=ALONG)
def counted_base_length(L_f, rho_u, D_sq, c_u0):
    """Length along the base of the wedge on which the columns count in full."""
    return L_f / (2 + 0.25 * rho_u * maximum(L_f - D_sq, 0) / c_u0)


@formula("k_ex", source=FITTED)
def wedge_divisor(rho_u, D_sq, c_u0):
    """Divisor on the resistance of the wedge, which lies above that of the best mechanism."""
    return 1.03 + 0.03 * minimum(rho_u * D_sq / c_u0, 3)


@formula("p_Rx", source=WEDGE)
def wedge_resistance(c_umi, c_umx, tau_i, S_b, tau_b, L_cb, alpha_t, S_0, D_sq, k_ex):
    """Pressure at the crest edge at which the wedge with its columns is extruded."""
    return (2 * c_umi + 2 * c_umx + 2 * tau_i + (S_b + tau_b * L_cb + alpha_t * S_0) / D_sq) / k_ex


@formula("p_Rx", source=BEYOND)
def resistance_beyond_columns(c_um, c_ub, L_o, alpha_t, c_u0, L_to, D_sq, k_ex):
    """Pressure at which a wedge without columns is extruded, its inner plane where the columns end."""
    return (4 * c_um + (c_ub * L_o + alpha_t * c_u0 * L_to) / D_sq) / k_ex


@formula("p_x", source=STATICS)
def pressure_at_last_column(p_E0, p_np, v_e):
    """Pressure of fill, traffic and construction traffic on the ground where the columns end."""
    return (p_E0 + p_np) * v_e


@formula("F_x", source=Source("ratio of resistance to effect", evidence="derived"))
def extrusion_safety(p_Rxd, p_sE):
    """Resistance to lateral extrusion over its effect, both with partial factors."""
    return p_Rxd / p_sE


@formula("p_Rxd", source=OVERALL)
def design_extrusion_resistance(p_Rx, gamma_Re):
    """Design resistance to lateral extrusion."""
    return p_Rx / gamma_Re


@formula("p_ring", source=Source("equilibrium of the sleeve, project rule", evidence="derived"))
def ring_reserve(R_Bd, F_Rd, r_c):
    """Radial support that the sleeve has left in addition to the ring tension of the vertical load."""
    return (R_Bd - F_Rd) / r_c


@formula("T_acr", source=Source("layers side by side, sum of their tensions", evidence="derived"))
def tension_of_layers_across(T_lay):
    """Tension of all layers of reinforcement across that lie within the fill."""
    return over_layers(T_lay)


@formula("T_ex", source=Source("horizontal equilibrium, derived here", evidence="derived"))
def held_thrust(E_ad, alpha_t, S_0):
    """Tension that holds the thrust of the fill and the shear counted at the top of the soft ground."""
    return E_ad + maximum(alpha_t, 0) * S_0


@formula("g_ri", source=INWARD)
def pressure_rise(gamma_G, gamma_Ed, beta_C):
    """Increase of the design pressure of the fill per metre from the crest edge inward."""
    return gamma_G * gamma_Ed * tan(beta_C)


@formula("g_re", source=INWARD)
def resistance_gained(a_E, c_u0, alpha_t, gamma_Re, t_soft):
    """Least increase of the design resistance of the extruding wedge per metre that its inner plane stands inward."""
    return (1 - a_E) * c_u0 * (1 + minimum(alpha_t, 0)) / (1.12 * gamma_Re * t_soft)


@formula("p_sEr", source=INWARD)
def pressure_below_rising_crest(p_sE, g_ri, g_re, b_K):
    """Pressure at the crest edge, with what it gains over the resistance up to the other edge."""
    return p_sE + b_K * maximum(g_ri - g_re, 0)


@formula("p_sEk", source=INWARD)
def driving_pressure_with_inertia_below_rising_crest(f_vd, p_sE, p_kh, b_K, g_ri, k_h, gamma_bl, g_re):
    """Pressure and inertia that drive the wedge, with what both gain over the resistance up to the other edge."""
    return f_vd * p_sE + p_kh + b_K * maximum(f_vd * g_ri + k_h * gamma_bl - g_re, 0)


@formula("p_kin", source=INWARD)
def inertia_gained(b_K, k_h, gamma_bl, g_re):
    """Inertia that the wedge gains over its resistance where its inner plane stands at the other edge of the crest."""
    return b_K * maximum(k_h * gamma_bl - g_re, 0)


@formula("F_ri", source=RELIED)
def ring_safety(R_Bd, F_Rd, p_rmin, r_c):
    """Ring resistance of the sleeve over its tension with the least support for columns that count in the wedge."""
    return R_Bd / (F_Rd + p_rmin * r_c)


@formula("F_he", source=RELIED)
def tension_safety(T_acr, T_ex):
    """Tension of the layers across over that which the wedge relies on."""
    return T_acr / T_ex


@formula("F_we", source=RELIED)
def wedge_safety(p_Rxd, p_sE, F_ri, F_he):
    """Least of the resistance of the wedge over its effect and of what its columns rely on over what they need."""
    return minimum(p_Rxd / p_sE, minimum(F_ri, F_he))


@formula("F_sa", source=THIN)
def safety_of_soil_alone_that_counts(F_so, Dc_u, L_mx, L_thin, Dc_th, Dc_fast):
    """Safety of the soil alone where it settles extrusion: not with a gain, nor in thin ground with a fast increase."""
    return where(Dc_u > 0, 0, where(L_mx > L_thin, where(Dc_th >= Dc_fast, 0, F_so), F_so))


@formula("p_Ro", source=EITHER)
def resistance_with_soil_alone(p_sE, F_we, F_sa):
    """Resistance by the wedge, or by the soil alone where that has more and counts."""
    return p_sE * maximum(F_we, F_sa)
