"""Initial state of the ground: effective stresses at the middle of each sublayer, pressure coefficients."""

from numpy import maximum, minimum, sin, tan, where

from calc.engine.formula import Source, formula, over_layers_above
from calc.engine.symbols import declare as _

_("gamma_r", "γ_r", "kN/m^3", 2, "saturated unit weight")
_("d_w0", "d_{w,0}", "m", 2, "depth of the water level of the initial state")
_("z_w0", "z_{w,0}", "m", 3, "level of the water in the initial state")
_("p_c", "p_c", "kPa", 3, "pressure equivalent to the cohesion of the soil")
_("K_ps", "K_{p,s}", "-", 4, "coefficient of passive earth pressure of the soil")
_("w_c", "w_c", "kPa", 3, "effective weight of the column fill in the sublayer on its area")
_("K_0", "K_0", "-", 5, "coefficient of earth pressure at rest")
_("s_0", "s_0", "m", 1, "settlement without compensation fill", shown="mm")
_("K_0J", "K_{0,J}", "-", 5, "at-rest coefficient of normally consolidated soil")
_("E_oed0", "E_{oed,0}", "kPa", 2, "oedometer modulus of the soil at its initial stress")
_("E_oedEP", "E_{oed,EP}", "kPa", 2, "oedometer modulus of the soil for the elastic cells")
_("eps_Ri", "ε_{R,i}", "-", 2, "ring strain of the sleeve in the sublayer, none where it is not mobilised", shown="%")
_("s_el", "s_{el}", "m", 1, "settlement of the elastic cell, a lower bound", shown="mm")
_("d_exp", "δ_{s,exp}", "-", 1, "share expected for this sleeve stiffness", shown="%")
_("R_TD", "R_{D,d}", "kN/m", 2, "design tensile resistance of the sleeve by reduction factors")
_("R_reqRF", "R_{k,req}", "kN/m", 1, "characteristic strength required by reduction factors")
_("Ds_lim", "Δs_{lim}", "m", 1, "limit of the difference of the settlements", shown="mm")
_("s_lim", "s_{lim}", "m", 1, "limit of the settlement", shown="mm")
_("eps_lim", "ε_{lim}", "-", 2, "limit of the ring strain", shown="%")
_("t_l", "t_l", "m", 2, "thickness of the layer")
_("d_st", "d_{s,t}", "m", 3, "depth of the top of the sublayer")
_("d_lt", "d_{l,t}", "m", 2, "depth of the top of the layer below ground level")
_("d_lb", "d_{l,b}", "m", 2, "depth of the bottom of the layer below ground level")
_("c_utb", "c_{u,l,b}", "kPa", 2, "undrained shear strength at the bottom of the layer")
_("eps_crlim", "ε_{cr,lim}", "-", 2, "limit of the creep strain", shown="%")

LAYERS = Source("layers on top of each other", evidence="derived")
GROWTH = Source("strength that grows evenly with depth within a layer, as given", evidence="derived")
STATICS = Source("vertical equilibrium with water at rest", evidence="derived")
INSTALLED = Source("definition of the coefficient after installation", evidence="derived")
HIGHER_WATER = Source(
    "project rule: high water lowers the support of the soil, low water never raises it", evidence="derived"
)
DRAWDOWN = Source(
    "project rule: a lower water level adds its loss of buoyancy as load; free water above the ground gives none",
    evidence="derived",
)
JAKY = Source("Jáky (1944), J. Soc. Hungarian Architects Eng. 78(22), 355–358", evidence="not inspected")
COHESION = Source("Raithel (1999), Univ. Gh Kassel, Geotechnik 6, cohesion as added pressure", evidence="not inspected")
RANKINE = Source(
    "Rankine (1857), Phil. Trans. R. Soc. London 147, 9–27, as in FHWA-NHI-10-025 (2009), vol. II, p. E4-3",
    evidence="confirmed",
)


@formula("K_0", source=JAKY)
def at_rest_coefficient(phi):
    """Coefficient of earth pressure at rest of normally consolidated soil."""
    return 1 - sin(phi)


@formula("K_a", source=RANKINE)
def active_coefficient(phi):
    """Coefficient of active earth pressure on a smooth vertical wall under level ground."""
    return (1 - sin(phi)) / (1 + sin(phi))


@formula("K_p", source=RANKINE)
def passive_coefficient(phi):
    """Coefficient of passive earth pressure on a smooth vertical wall under level ground."""
    return (1 + sin(phi)) / (1 - sin(phi))


@formula("gamma_eff", source=STATICS)
def effective_unit_weight(z, d_w, gamma, gamma_r, gamma_w):
    """Effective unit weight at the middle of a sublayer that lies wholly above or below the water level."""
    return where(z < d_w, gamma, gamma_r - gamma_w)


@formula("w", source=STATICS)
def sublayer_weight(gamma_eff, h):
    """Effective weight of a sublayer on its area."""
    return gamma_eff * h


@formula("sigma_v0", source=STATICS)
def initial_vertical_stress(p_0, w):
    """Effective vertical stress at the middle of the sublayer before loading."""
    return p_0 + over_layers_above(w) + w / 2


@formula("sigma_r0", source=INSTALLED)
def initial_radial_stress(K_star, sigma_v0s):
    """Effective radial stress between column and soil after installation."""
    return K_star * sigma_v0s


@formula("p_c", source=COHESION, clause="U13")
def cohesion_pressure(c_s, phi_s):
    """Pressure equivalent to the cohesion, which requires friction where there is cohesion."""
    return where(c_s > 0, c_s / tan(phi_s), 0)


@formula("p_1", source=COHESION, clause="U13")
def stress_before_loading(sigma_v0s, p_c):
    """Stress before loading, for the modulus."""
    return sigma_v0s + p_c


@formula("d_s", source=HIGHER_WATER)
def governing_water_depth(d_w, d_w0):
    """Depth of the higher of the water levels of the stage and of the initial state."""
    return minimum(d_w, d_w0)


@formula("p_W", source=DRAWDOWN)
def drawdown_load(gamma_w, d_w, d_w0):
    """Load from a fall of the water level within the ground below its initial level, in full at every depth."""
    return gamma_w * maximum(d_w - maximum(d_w0, 0), 0)


@formula("d_st", source=LAYERS)
def depth_of_sublayer_top(h):
    """Depth of the top of the sublayer."""
    return over_layers_above(h)


@formula("z", source=LAYERS)
def depth_of_sublayer_middle(d_st, h):
    """Depth of the middle of the sublayer."""
    return d_st + h / 2


@formula("d_lt", source=LAYERS)
def depth_of_layer_top(t_l):
    """Depth of the top of the layer below ground level."""
    return over_layers_above(t_l)


@formula("d_lb", source=LAYERS)
def depth_of_layer_bottom(d_lt, t_l):
    """Depth of the bottom of the layer below ground level."""
    return d_lt + t_l


@formula("c_u", source=GROWTH)
def strength_at_depth(c_ut, rho_ut, z, d_lt):
    """Undrained shear strength at a depth, with its increase with depth in the layer."""
    return c_ut + rho_ut * (z - d_lt)


@formula("c_utb", source=GROWTH)
def strength_at_bottom(c_ut, rho_ut, t_l):
    """Undrained shear strength at the bottom of the layer."""
    return c_ut + rho_ut * t_l
