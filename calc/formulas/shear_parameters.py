"""Stress shares of soil and column, and the shear strength of the column field: strict split and equivalent forms."""

from numpy import arctan, sqrt, tan

from calc.engine.formula import Source, formula
from calc.engine.symbols import declare as _

_("omega", "ω", "-", 4, "share of the load increment that the column carries")
_("n_0", "n_0", "-", 3, "basic improvement factor")
_("m_cr", "m′_c", "-", 4, "cautious share of the load that the columns carry")
_("Du_s", "Δu_s", "kPa", 2, "excess pore pressure in the soil")
_("sigma_vs", "σ_{v,s}", "kPa", 2, "effective vertical stress in the soil")
_("sigma_vc", "σ_{v,c}", "kPa", 2, "effective vertical stress in the column")
_("sigma_vm", "σ_{v,m}", "kPa", 2, "mean effective vertical stress of soil and column")
_("tau_s", "τ_s", "kPa", 2, "shear strength of the soil on the slip surface")
_("tau_c", "τ_c", "kPa", 2, "shear strength of the column on the slip surface")
_("tau_m", "τ_m", "kPa", 2, "shear strength of the column field on the slip surface")
_("phi_ss", "φ_{ss}", "rad", 3, "friction angle of the column field by the strict split", shown="deg")
_("gamma_m", "γ_m", "kN/m^3", 2, "mean unit weight of soil and column")
_("phi_avg", "φ_{avg}", "rad", 3, "averaged friction angle of the column field", shown="deg")
_("c_avg", "c_{avg}", "kPa", 2, "averaged cohesion of the column field")
_("phi_m", "φ_m", "rad", 3, "friction angle of the column field weighted by load share", shown="deg")
_("c_m", "c_m", "kPa", 2, "cohesion of the column field weighted by load share")
_("Dsigma_3", "Δσ_3", "kPa", 2, "lateral support of the column by the ring tension")
_("c_r", "c_r", "kPa", 2, "apparent cohesion of the column from the ring tension")
_("c_rl", "c_{r,min}", "kPa", 2, "apparent cohesion of the column from the ring tension, least of all sublayers")
_("c_rm", "c_{r,m}", "kPa", 2, "apparent cohesion of the column averaged over the column field")
_("phi_sd", "φ′_{s,d}", "rad", 3, "design value of the friction angle of the soil", shown="deg")
_("c_sd", "c′_{s,d}", "kPa", 2, "design value of the cohesion of the soil")
_("phi_avgu", "φ_{avg,u}", "rad", 3, "averaged friction angle of the column field, soil undrained", shown="deg")
_("c_avgu", "c_{avg,u}", "kPa", 2, "averaged undrained strength of the column field")
_("phi_mr", "φ_{m,r}", "rad", 3, "friction angle weighted by the cautious load share", shown="deg")
_("c_mr", "c_{m,r}", "kPa", 2, "cohesion weighted by the cautious load share")
_("gamma_mr", "γ_{m,r}", "kN/m^3", 2, "mean saturated unit weight of soil and column")

SHARES = Source("vertical equilibrium of the cell with a given stress ratio", evidence="derived")
SPLIT = Source("project rule: soil and column separately, each with its own stress and water", evidence="derived")
FHWA = Source("Barksdale & Bachus (1983), FHWA/RD-83/026, vol. I, average shear strength", evidence="not inspected")
PRIEBE = Source("Priebe (1995), Ground Engineering 28(10), 31–37", evidence="not inspected")
SHARE = Source("Priebe (1995), Ground Engineering 28(10), 31–37, as equilibrium of the cell", evidence="derived")
WEIGHTED = Source(
    "EBGEO (2010), German Geotechnical Society, ch. 10, in the form of Priebe (1995)", evidence="not inspected"
)
SLEEVE = Source(
    "Bathurst & Karpurapu (1993), Rajagopal et al. (1999), Mohr circle with the ring tension as support",
    evidence="derived",
)


@formula("mu_s", source=SHARES)
def soil_stress_share(n_st, a_E):
    """Stress on the soil over the mean stress increment."""
    return 1 / (1 + (n_st - 1) * a_E)


@formula("mu_c", source=SHARES)
def column_stress_share(n_st, a_E):
    """Stress on the column over the mean stress increment."""
    return n_st / (1 + (n_st - 1) * a_E)


@formula("sigma_vs", source=SPLIT)
def soil_stress(sigma_v0s, mu_s, Dsigma_0, Du_s):
    """Effective vertical stress in the soil between the columns, with its excess pore pressure."""
    return sigma_v0s + mu_s * Dsigma_0 - Du_s


@formula("sigma_vc", source=SPLIT)
def column_stress(sigma_v0c, mu_c, Dsigma_0):
    """Effective vertical stress in the column, which is drained."""
    return sigma_v0c + mu_c * Dsigma_0


@formula("tau_m", source=FHWA)
def field_strength(a_E, tau_s, tau_c):
    """Shear strength of the column field on the slip surface."""
    return (1 - a_E) * tau_s + a_E * tau_c


@formula("sigma_vm", source=SPLIT)
def mean_stress(a_E, sigma_vs, sigma_vc):
    """Mean effective vertical stress of soil and column."""
    return (1 - a_E) * sigma_vs + a_E * sigma_vc


@formula("phi_ss", source=SPLIT)
def split_friction_angle(a_E, sigma_vs, phi_s, sigma_vc, phi_c, sigma_vm):
    """Friction angle that gives the column field the friction of soil and column, each under its own stress."""
    return arctan(((1 - a_E) * sigma_vs * tan(phi_s) + a_E * sigma_vc * tan(phi_c)) / sigma_vm)


@formula("gamma_m", source=FHWA)
def mean_unit_weight(a_E, gamma, gamma_cd):
    """Mean unit weight of soil and column."""
    return (1 - a_E) * gamma + a_E * gamma_cd


@formula("phi_avg", source=FHWA)
def averaged_friction_angle(a_E, mu_s, phi_s, mu_c, phi_c):
    """Averaged friction angle, too high where the weight of the ground adds to the stress."""
    return arctan((1 - a_E) * mu_s * tan(phi_s) + a_E * mu_c * tan(phi_c))


@formula("c_avg", source=FHWA)
def averaged_cohesion(a_E, c_s):
    """Averaged cohesion or undrained strength, on the area of the soil alone."""
    return (1 - a_E) * c_s


@formula("omega", source=WEIGHTED, clause="U17")
def column_load_share(a_E, Dsigma_vc, Dsigma_0):
    """Share of the load increment that the column carries in the unit cell."""
    return a_E * Dsigma_vc / Dsigma_0


@formula("n_0", source=PRIEBE)
def basic_improvement_factor(a_E, K_ac):
    """Basic improvement factor of ordinary columns for a Poisson ratio of one third."""
    return 1 + a_E * ((5 - a_E) / (4 * K_ac * (1 - a_E)) - 1)


@formula("m_cr", source=PRIEBE, clause="U18")
def cautious_load_share(n_0):
    """Share of the load on the columns, reduced on the safe side."""
    return (n_0 - 1) / n_0


@formula("phi_m", source=WEIGHTED, clause="U17, U18")
def weighted_friction_angle(omega, phi_c, phi_s):
    """Friction angle of the column field weighted by the share of load on the columns."""
    return arctan(omega * tan(phi_c) + (1 - omega) * tan(phi_s))


@formula("c_m", source=WEIGHTED, clause="U17, U18")
def weighted_cohesion(omega, c_s):
    """Cohesion of the column field weighted by the share of load on the columns."""
    return (1 - omega) * c_s


@formula("Dsigma_3", source=SLEEVE, clause="U19")
def sleeve_support(F_R, d_c):
    """Lateral support of the column by the ring tension of its sleeve."""
    return 2 * F_R / d_c


@formula("c_r", source=SLEEVE, clause="U19")
def apparent_cohesion(Dsigma_3, K_p):
    """Apparent cohesion of the column from the lateral support by its sleeve."""
    return Dsigma_3 / 2 * sqrt(K_p)


@formula("c_rm", source=SLEEVE)
def averaged_apparent_cohesion(a_E, c_r):
    """Apparent cohesion of the columns averaged over the column field."""
    return a_E * c_r
