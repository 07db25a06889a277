"""Initial state of the ground: effective stresses at the middle of each sublayer, pressure coefficients."""

from numpy import maximum, minimum, sin, tan, where

from calc.formula import Source, formula, over_layers_above

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
    """Pressure equivalent to the cohesion, which needs friction where there is cohesion."""
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
