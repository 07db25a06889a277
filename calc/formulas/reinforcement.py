"""Horizontal reinforcement over the columns: demand, stiffness, anchorage, laps.

The strength chain and the creep strain are those of :mod:`calc.formulas.sleeve`, with the symbols of the reinforcement.
"""

from numpy import maximum, minimum, tan

from calc.engine.formula import Source, formula
from calc.engine.symbols import declare as _

_("T_ds", "T_{ds}", "kN/m", 2, "tension of the reinforcement from lateral sliding of the embankment")
_("T_stab", "T_{stab}", "kN/m", 2, "tension of the reinforcement required by stability")
_("T_along", "T_{along}", "kN/m", 2, "design tension of the reinforcement along the embankment")
_("c_ur", "c_{u,r}", "kPa", 2, "undrained strength of the remoulded soft ground")
_("n_pan", "n_{pan}", "-", 0, "number of panels dragged by the soft ground")
_("b_pan", "b_{pan}", "m", 3, "width of a panel of reinforcement")
_("T_pan", "T_{pan}", "kN/m", 2, "tension across the seams while the fill is pushed forward")
_("T_pand", "T_{pan,d}", "kN/m", 2, "design tension across the seams while the fill is pushed forward")
_("R_rl", "R_{r,l}", "kN/m", 2, "design strength of this layer, the lower of the formats given")
_("J_rc", "J_{r,c}", "kN/m", 1, "tensile stiffness of this layer at the end of construction")
_("J_re", "J_{r,e}", "kN/m", 1, "tensile stiffness of this layer, last value given")
_("J_rt", "J_{r,t}", "kN/m", 1, "tensile stiffness of this layer in the stage")
_("T_eps", "T_ε", "kN/m", 2, "tension of this layer at the strain allowed")
_("eps_mob", "ε_{mob}", "-", 2, "strain at the tension relied on, last stiffness given", shown="%")
_("T_mob", "T_{mob}", "kN/m", 2, "tension of this layer mobilised in the stability analysis")
_("R_rk0", "R_{r,k0}", "kN/m", 1, "characteristic short-term strength of the reinforcement in this direction")
_("R_rk", "R_{r,k}", "kN/m", 2, "characteristic long-term resistance of the reinforcement in this direction")
_("T_rD", "T_{r,D}", "kN/m", 2, "long-term strength of the reinforcement by reduction factors")
_("T_rDd", "T_{r,D,d}", "kN/m", 2, "design resistance of the reinforcement by reduction factors")
_("R_rreq", "R_{r,k0,req}", "kN/m", 1, "characteristic short-term strength required of the reinforcement")
_("R_rreqRF", "R_{r,RF,req}", "kN/m", 1, "strength required of the reinforcement, by reduction factors")
_("u_r", "u_r", "-", 3, "design tension over design resistance of the reinforcement")
_("mu_i", "μ_i", "-", 4, "design coefficient of friction between reinforcement and soil")
_("mu_f", "μ_f", "-", 4, "design coefficient of friction between the wrap-back and what lies below it")
_("h_an", "h_{an}", "m", 3, "mean cover over the anchorage")
_("sigma_b", "σ_b", "kPa", 3, "vertical pressure on the anchored reinforcement")
_("L_anc", "L_{anc}", "m", 2, "length that anchors")
_("L_ancmin", "L_{anc,min}", "m", 2, "least length that anchors")
_("L_breq", "L_{b,req}", "m", 3, "length of the anchorage required")
_("sigma_u", "σ_u", "kPa", 3, "vertical pressure on the wrap-back")
_("L_u", "L_u", "m", 3, "wrap-back length required")
_("L_lap", "L_{lap}", "m", 3, "length of the lap of two sheets")
_("L_bo", "L_{b,o}", "m", 3, "length of the straight part that is clear of the wrap-back")
_("sigma_u0", "σ_{u,0}", "kPa", 3, "vertical pressure on the wrap-back if it lay on the layer")
_("R_anc0", "R_{anc,0}", "kN/m", 2, "design resistance of the anchorage if the wrap-back lay on the layer")

BS = Source("BS 8006-1:2010, 8.3.3", evidence="not inspected")
UFC = Source("UFC 3-220-08FA (2004), p. 4-7, paragraph h(1)", evidence="inspected")
DRAG = Source(
    "project rule: drag acts under construction traffic, a variable action; the strength that drags has no factor",
    evidence="derived",
)
RULE = Source("project rule: thrust and membrane act together, stability requires its own force", evidence="derived")
FRICTION = Source("friction on both faces of the reinforcement", evidence="derived")
PULL_OUT = Source(
    "UFC 3-220-10 (2022), eq. 7-4 to 7-6, p. 407; FHWA-NHI-10-025 (2009), eq. 9-9", evidence="not inspected"
)
LENGTH = Source("project rule: straight length and wrap-back anchor together", evidence="derived")
STATICS = Source("statics of the anchorage", evidence="derived")
STIFFNESS = Source("definition of the tensile stiffness", evidence="derived")
COMPATIBLE = Source(
    "project rule: stability counts no tension at which the strain allowed is exceeded", evidence="derived"
)
LOWER = Source("project rule: a layer is counted with the lower of the formats given for it", evidence="derived")
RATIO = Source("definition of the utilisation", evidence="derived")
ON_LAYER = Source("a face on which the wrap-back lies has no friction; the others have", evidence="derived")
CLEAR = Source("geometry: the wrap-back covers the outer end of the straight part", evidence="derived")


@formula("T_across", source=RULE)
def tension_across(T_ds, T_m, T_stab):
    """Tension across the embankment."""
    return maximum(T_ds + T_m, T_stab)


@formula("T_pan", source=UFC)
def seam_tension(c_ur, n_pan, b_pan):
    """Tension across the seams while a wave of soft ground drags the panels in front of the advancing fill."""
    return c_ur * n_pan * b_pan


@formula("T_pand", source=DRAG)
def design_seam_tension(gamma_Q, gamma_QS, T_pan):
    """Design tension across the seams: the drag of the soft ground under construction traffic is a variable action."""
    return gamma_Q * gamma_QS * T_pan


@formula("T_eps", source=STIFFNESS)
def tension_at_allowed_strain(J_rt, eps_all):
    """Tension of the layer at the strain allowed."""
    return J_rt * eps_all


@formula("R_rl", source=LOWER)
def lower_layer_strength(R_rd, T_rDd):
    """Design strength of the layer, the lower of the two formats given."""
    return minimum(R_rd, T_rDd)


@formula("eps_mob", source=STIFFNESS)
def strain_of_counted_tension(T_mob, J_re):
    """Strain at which the layer has the tension mobilised in the stability analysis, by the last stiffness given."""
    return T_mob / J_re


@formula("T_mob", source=COMPATIBLE)
def mobilised_tension(R_rl, T_eps):
    """Tension of the layer mobilised in the stability analysis."""
    return minimum(R_rl, T_eps)


@formula("u_r", source=RATIO)
def tension_ratio(T_rd, R_rd):
    """Design tension over design resistance."""
    return T_rd / R_rd


@formula("mu_i", source=FRICTION)
def interface_friction(alpha_f, phi, f_ms):
    """Design coefficient of friction between reinforcement and soil."""
    return alpha_f * tan(phi) / f_ms


@formula("mu_i", source=PULL_OUT)
def pull_out_friction(alpha_sc, alpha_f, phi, f_ms):
    """Design coefficient of friction against pull-out, with the scale factor of an extensible reinforcement."""
    return alpha_sc * alpha_f * tan(phi) / f_ms


@formula("L_anc", source=LENGTH)
def length_of_anchorage(L_be, L_ug):
    """Length that anchors: the straight part with fill over it and the wrap-back."""
    return L_be + L_ug


@formula("h_an", source=STATICS)
def mean_cover(h_1, h_2):
    """Mean cover over an anchorage below a slope."""
    return (h_1 + h_2) / 2


@formula("sigma_b", source=STATICS)
def anchorage_pressure(gamma_E, h_an):
    """Vertical pressure on the anchored reinforcement."""
    return gamma_E * h_an


@formula("L_breq", source=BS)
def anchorage_length(f_n, f_pull, T_rd, sigma_b, mu_1, mu_2):
    """Length beyond the outer row of columns that anchors the tension by friction on both faces."""
    return f_n * f_pull * T_rd / (sigma_b * (mu_1 + mu_2))


@formula("R_b", source=PULL_OUT)
def anchorage_resistance(sigma_b, mu_1, mu_2, L_b):
    """Resistance of a given length by friction on both faces."""
    return sigma_b * (mu_1 + mu_2) * L_b


@formula("L_bo", source=CLEAR)
def length_clear_of_fold(L_be, L_ug):
    """Length of the straight part beyond the columns that no wrap-back covers."""
    return maximum(L_be - L_ug, 0)


@formula("R_b", source=ON_LAYER)
def straight_resistance_under_fold(sigma_b, mu_1, L_bo, mu_2, L_be):
    """Resistance of the straight part below a wrap-back that lies on it: the upper face only clear of it."""
    return sigma_b * (mu_1 * L_bo + mu_2 * L_be)


@formula("R_anc0", source=ON_LAYER)
def anchorage_on_the_layer(sigma_b, mu_1, L_bo, mu_2, L_be, sigma_u0, L_ug):
    """Resistance if the wrap-back lay on the layer: its upper face, the lower of the straight part, what is clear."""
    return sigma_b * (mu_1 * L_bo + mu_2 * L_be) + sigma_u0 * mu_1 * L_ug


@formula("L_u", source=STATICS)
def fold_back_length(f_n, f_pull, T_rd, R_b, sigma_u, mu_1, mu_2):
    """Wrap-back length required where the straight length does not anchor the tension; the bend is neglected."""
    return maximum(f_n * f_pull * T_rd - R_b, 0) / (sigma_u * (mu_1 + mu_2))


@formula("L_lap", source=FRICTION)
def lap_length(f_pull, T_rd, sigma_b, mu_i):
    """Length of the lap that transfers the tension by friction on the one face between the two sheets."""
    return f_pull * T_rd / (sigma_b * mu_i)
