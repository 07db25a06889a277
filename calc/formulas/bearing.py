"""Bearing resistance under the column toes, and of the soft ground between and beyond the columns."""

from numpy import exp, maximum, pi, sin, sqrt, tan, where

from calc.engine.formula import Source, formula, over_layers
from calc.engine.symbols import declare as _

_("c_d", "c′_d", "kPa", 2, "design value of the effective cohesion")
_("gamma_c", "γ_{c′}", "-", 2, "partial factor on the effective cohesion")
_("gamma_Rv", "γ_{R,v}", "-", 2, "partial factor on the bearing resistance")
_("N_q", "N_q", "-", 3, "bearing resistance factor of the overburden")
_("N_c", "N_c", "-", 3, "bearing resistance factor of the cohesion")
_("N_gamma", "N_γ", "-", 3, "bearing resistance factor of the weight of the ground")
_("zeta_q", "ζ_q", "-", 4, "shape factor of the overburden term (s with index q in the standard)")
_("zeta_c", "ζ_c", "-", 4, "shape factor of the cohesion term (s with index c in the standard)")
_("B", "B", "m", 3, "width of the loaded area")
_("sigma_Rd", "σ_{R,d}", "kPa", 1, "design bearing pressure under the toe")
_("Dsigma_vcG", "Δσ_{v,c,G}", "kPa", 2, "vertical stress increment on the column under permanent load")
_("Dsigma_vcGQ", "Δσ_{v,c,G+Q}", "kPa", 2, "vertical stress increment on the column, permanent and variable load")
_("sigma_t", "σ_t", "kPa", 2, "effective pressure of the column on its toe")
_("Dsigma_vcA", "Δσ_{v,c,A}", "kPa", 2, "vertical stress increment on the column under factored actions")
_("sigma_cwA", "σ_{c,w,A}", "kPa", 2, "factored stress on the column that carries the whole load of its cell")
_("sigma_te", "σ_{t,d,E}", "kPa", 2, "design stress of the column from factored effects")
_("sigma_ta", "σ_{t,d,A}", "kPa", 2, "design stress of the column from factored actions")
_("sigma_td", "σ_{t,d}", "kPa", 2, "design stress of the column")
_("q_out", "q_{out}", "kPa", 2, "pressure on the ground beside the load")
_("k_rho", "k_ρ", "-", 3, "strength increase with depth over the width of the load, in strengths at the top")
_("F_rho", "F_ρ", "-", 3, "factor for strength growing with depth")
_("N_ct", "N_{c,t}", "-", 3, "bearing resistance factor of a soft layer of limited thickness")
_("q_ud", "q_{u,d}", "kPa", 2, "design undrained bearing pressure of the soft ground")
_("k_r1", "k_{ρ,1}", "-", 1, "ratio of strength increase of the table below that of this case")
_("k_r2", "k_{ρ,2}", "-", 1, "ratio of strength increase of the table above that of this case")
_("F_r1", "F_{ρ,1}", "-", 3, "factor of the table at the ratio of strength increase below")
_("F_r2", "F_{ρ,2}", "-", 3, "factor of the table at the ratio of strength increase above")
_("F_so", "F_{so}", "-", 3, "over-design factor of the soft ground against undrained bearing failure")
_("c_ume", "c_{u,min,e}", "kPa", 2, "design value of the least strength of the soft ground, without gain")
_("H_b", "H_b", "m", 2, "height of fill in the stage before")
_("p_Pb", "p_{P,b}", "kPa", 2, "pressure of the working platform in the stage before")
_("p_Mb", "p_{M,b}", "kPa", 2, "pressure of the compensation fill of the stage before")
_("i_Qb", "i_{Q,b}", "-", 0, "traffic acted in the stage before (1) or not (0)")
_("f_qb", "f_{q,b}", "-", 2, "factor on the traffic load of the stage before, by the factors of this stage")
_("q_stb", "q_{st,b}", "kPa", 2, "traffic load of the stage before with the partial factor of this stage")
_("p_E0b", "p_{E,0,b}", "kPa", 2, "pressure of fill, platform and traffic of the stage before, factors of this stage")
_("n_stb", "n_{st,b}", "-", 2, "stress ratio for stability of the stage before")
_("n_sg", "n_{st,g}", "-", 2, "stress ratio of column and soil as given for stability")

ANNEX_D = Source("EN 1997-1:2004 + A1:2013, Annex D", evidence="not inspected")
FACTORED = Source("EN 1997-1:2004, 2.4.6.2 and Table A.4", evidence="inspected")
RESISTANCE = Source("EN 1997-1:2004, 2.4.7.3.3 and Table A.5, values as in Table A.13", evidence="confirmed")
PRANDTL = Source("Prandtl (1920), Nachr. Ges. Wiss. Göttingen, Math.-phys. Kl., 74–85", evidence="not inspected")
GROWTH = Source("Davis & Booker (1973), Géotechnique 23(4), 551–563, form of the equation", evidence="not inspected")
LIMITED = Source(
    "Mandel & Salençon (1972), Géotechnique 22(1), 79–93, as the line of FHWA-NHI-07-092 (2008)",
    evidence="not inspected",
)
BETWEEN = Source("linear interpolation; the curve bends downward, so this lies below it", evidence="derived")
STATICS = Source("vertical equilibrium with water at rest", evidence="derived")
LIMIT = Source("EN 1997-1:2004, Annex D, and its limit for a frictionless soil", evidence="not inspected")
MARGIN = Source("ratio of resistance to effect", evidence="derived")
SQUARE = Source("project rule: the round toe as the square of equal area, on the safe side", evidence="derived")
STRONG_FILL = Source(
    "project rule: a weaker fill loads the column less, so that its friction is not factored where that counts; "
    "EN 1990:2002, 6.3.2(4) ◦",
    evidence="derived",
)
FACTORED_EFFECT = Source(
    "project rule: the cell is not linear, so the effect is factored, EN 1997-1:2004, 2.4.7.3.2", evidence="derived"
)


@formula("c_d", source=FACTORED)
def design_cohesion(c, gamma_c):
    """Design value of the effective cohesion."""
    return c / gamma_c


@formula("c_ud", source=FACTORED)
def design_undrained_strength(c_u, gamma_cu):
    """Design value of the undrained shear strength."""
    return c_u / gamma_cu


@formula("N_q", source=ANNEX_D, clause="D.4")
def overburden_factor(phi):
    """Bearing resistance factor of the overburden."""
    return exp(pi * tan(phi)) * tan(pi / 4 + phi / 2) ** 2


@formula("N_c", source=LIMIT, clause="D.4")
def cohesion_factor(N_q, phi):
    """Bearing resistance factor of the cohesion, with Prandtl's value for a frictionless soil."""
    return where(phi > 0, (N_q - 1) / tan(phi), pi + 2)


@formula("N_gamma", source=ANNEX_D, clause="D.4")
def weight_factor(N_q, phi):
    """Bearing resistance factor of the weight of the ground, for a rough base."""
    return 2 * (N_q - 1) * tan(phi)


@formula("zeta_q", source=ANNEX_D, clause="D.4")
def overburden_shape_factor(phi):
    """Shape factor of the overburden term of a circular or square base."""
    return 1 + sin(phi)


@formula("zeta_c", source=LIMIT, clause="D.4")
def cohesion_shape_factor(zeta_q, N_q):
    """Shape factor of the cohesion term, with its limit for a frictionless soil under a circular or square base."""
    return where(N_q > 1, (zeta_q * N_q - 1) / (N_q - 1), 1 + 1 / (pi + 2))


@formula("B", source=SQUARE)
def toe_width(A_c):
    """Width of the square that has the area of the column toe."""
    return sqrt(A_c)


@formula("sigma_v0t", source=STATICS)
def toe_overburden(p_0, w, gamma_b, t_emb):
    """Effective vertical stress at toe level before loading, from soft layers and embedment."""
    return p_0 + over_layers(w) + gamma_b * t_emb


@formula("sigma_R", source=ANNEX_D, clause="D.4")
def drained_toe_resistance(c, N_c, zeta_c, sigma_v0t, N_q, zeta_q, gamma_b, B, N_gamma):
    """Ultimate pressure under a circular toe, drained, shape factor 0.7 of the weight, no depth factors."""
    return c * N_c * zeta_c + sigma_v0t * N_q * zeta_q + 0.5 * gamma_b * B * N_gamma * 0.7


@formula("sigma_R", source=ANNEX_D, clause="D.3")
def undrained_toe_resistance(c_u, sigma_v0t):
    """Ultimate effective pressure under a circular toe, undrained, shape factor 1.2, no depth factors."""
    return 1.2 * (pi + 2) * c_u + sigma_v0t


@formula("sigma_Rd", source=RESISTANCE)
def design_bearing_pressure(sigma_R, gamma_Rv):
    """Design bearing pressure."""
    return sigma_R / gamma_Rv


@formula("sigma_te", source=FACTORED_EFFECT)
def column_stress_from_effects(gamma_G, sigma_v0ct, Dsigma_vcG, gamma_Q, Dsigma_vcGQ):
    """Design stress of the column, the stress increment being factored as an effect."""
    return gamma_G * (sigma_v0ct + Dsigma_vcG) + gamma_Q * (Dsigma_vcGQ - Dsigma_vcG)


@formula("sigma_ta", source=STRONG_FILL)
def column_stress_from_actions(gamma_G, sigma_v0ct, Dsigma_vcA):
    """Design stress of the column from factored actions, the friction of the fill being characteristic."""
    return gamma_G * sigma_v0ct + Dsigma_vcA


@formula("sigma_td", source=STRONG_FILL)
def design_column_stress(sigma_te, sigma_ta):
    """Design stress of the column."""
    return maximum(sigma_te, sigma_ta)


@formula("q_u", source=PRANDTL)
def strip_bearing_pressure(c_u, q_out):
    """Ultimate undrained pressure under a strip on ground of uniform strength."""
    return (pi + 2) * c_u + q_out


@formula("k_rho", source=GROWTH)
def strength_growth_ratio(rho_u, B, c_u0):
    """Strength increase with depth over the width of the load, in strengths at the top."""
    return rho_u * B / c_u0


@formula("q_u", source=GROWTH)
def strip_bearing_pressure_with_growing_strength(F_rho, c_u0, rho_u, B, q_out):
    """Ultimate undrained pressure under a strip with strength increasing with depth; factor 1 is on the safe side."""
    return F_rho * ((pi + 2) * c_u0 + rho_u * B / 4) + q_out


@formula("F_rho", source=BETWEEN)
def growing_strength_factor(F_r1, F_r2, k_rho, k_r1, k_r2):
    """Factor for growing strength between two values of the table, smooth strip."""
    return F_r1 + (F_r2 - F_r1) * (k_rho - k_r1) / (k_r2 - k_r1)


@formula("N_ct", source=LIMITED)
def thin_layer_factor(B, t_soft):
    """Bearing resistance factor of a strip on a soft layer over a rigid rough base."""
    return maximum(pi + 2, 4.14 + 0.5 * B / t_soft)


@formula("q_u", source=LIMITED)
def strip_bearing_pressure_of_thin_layer(N_ct, c_u, q_out):
    """Ultimate undrained pressure under a strip on a soft layer of limited thickness."""
    return N_ct * c_u + q_out


@formula("F_so", source=MARGIN)
def soft_ground_safety(q_ud, p_sE):
    """Over-design factor of the soft ground: bearing pressure over the pressure on it, both with partial factors."""
    return q_ud / p_sE


@formula("q_ud", source=RESISTANCE)
def design_soft_ground_pressure(q_u, gamma_Rv):
    """Design undrained bearing pressure of the soft ground."""
    return q_u / gamma_Rv
