"""Load transfer and reinforcement as the chapters use them: loads, demand by direction, first lift, anchorage."""

from numpy import maximum, minimum, tan

from calc.engine.formula import Source, formula, over_layers
from calc.engine.symbols import declare as _

_("H_A", "H_A", "m", 3, "height of fill above the column heads, with working platform and compensation fill")
_("H_ar", "H_{arch}", "m", 3, "the same height, where it is sufficient for arching")
_("Dsigma_vs0", "Δσ_{v,s,0}", "kPa", 3, "vertical stress increment on the soil, none where the column carries all")
_("Dsigma_vsm", "Δσ_{v,s,m}", "kPa", 3, "mean vertical stress increment on the soil over its depth")
_("Dsigma_vcm", "Δσ_{v,c,m}", "kPa", 2, "mean vertical stress increment on the column over its depth")
_("sigma_sD", "σ_{s,dome}", "kPa", 3, "pressure between the column heads by the model of Hewlett & Randolph (1988)")
_("sigma_sS", "σ_{s,shell}", "kPa", 3, "pressure between the column heads by the model of Zaeske (2001)")
_("sigma_sC", "σ_{s,conc}", "kPa", 3, "pressure between the column heads by concentric arches")
_("sigma_sT", "σ_{s,shaft}", "kPa", 3, "pressure between the column heads by friction on vertical faces")
_("sigma_sX", "σ_{s,max}", "kPa", 3, "pressure between the column heads at full arching, by the model used")
_("sigma_sL", "σ_{s,lim}", "kPa", 3, "the same pressure, no more than the mean pressure")
_("r_eq", "κ_{eq}", "-", 3, "load that the model accounts for over the load of the cell")
_("eps_mq", "ε_{m,q}", "-", 3, "mean strain of the reinforcement across from its vertical load", shown="%")
_("eps_ml", "ε_{m,l}", "-", 3, "mean strain of the reinforcement along from its vertical load", shown="%")
_("H_mq", "H_{m,q}", "kN", 3, "horizontal force in a strip across")
_("H_ml", "H_{m,l}", "kN", 3, "horizontal force in a strip along")
_("f_mq", "f_{m,q}", "m", 1, "deflection of a strip across at mid-span", shown="mm")
_("f_ml", "f_{m,l}", "m", 1, "deflection of a strip along at mid-span", shown="mm")
_("V_mq", "V_{e,q}", "kN", 3, "vertical force of a strip across at the edge of the column head")
_("V_ml", "V_{e,l}", "kN", 3, "vertical force of a strip along at the edge of the column head")
_("T_mq", "T_{m,q}", "kN/m", 2, "largest tension of the reinforcement across from its vertical load")
_("T_ml", "T_{m,l}", "kN/m", 2, "largest tension of the reinforcement along from its vertical load")
_("T_mqF", "T_{m,q,F}", "kN/m", 2, "tension across from vertical load at full arching without support of the ground")
_("T_mlF", "T_{m,l,F}", "kN/m", 2, "tension along from vertical load at full arching without support of the ground")
_("T_mqD", "T_{m,q,D}", "kN/m", 2, "tension across from vertical load that the design uses")
_("T_mlD", "T_{m,l,D}", "kN/m", 2, "tension along from vertical load that the design uses")
_("H_critB", "H_{crit,B}", "m", 3, "fill height of full arching by BS 8006-1")
_("Ds_hD", "Δs_{h,D}", "m", 1, "settlement difference at the column heads that the design uses", shown="mm")
_("Ds_toplim", "Δs_{top,lim}", "m", 1, "limit of the settlement difference at the surface", shown="mm")
_("T_md", "T_{m,d}", "kN/m", 2, "design tension of the reinforcement from vertical load")
_("J_rk", "J_{r,k}", "kN/m", 1, "tensile stiffness of this layer of reinforcement")
_("T_rF", "T_{r,F}", "kN/m", 2, "design tension of this layer at full arching without support of the ground")
_("T_sser", "T_{s,ser}", "kN/m", 2, "tension from lateral sliding under quasi-permanent load, all factors 1")
_("T_msh", "T_{m,short}", "kN/m", 2, "tension from vertical load under quasi-permanent load, short-term stiffness")
_("T_mlo", "T_{m,long}", "kN/m", 2, "tension from vertical load under quasi-permanent load, long-term stiffness")
_("J_rsh", "J_{r,short}", "kN/m", 1, "short-term tensile stiffness of the reinforcement in this direction")
_("J_rlo", "J_{r,long}", "kN/m", 1, "long-term tensile stiffness of the reinforcement in this direction")
_("eps_rcrlim", "ε_{r,cr,lim}", "-", 2, "creep strain allowed for the reinforcement", shown="%")
_("T_rh", "T_{r,h}", "kN/m", 2, "tension of this layer required by sliding below the reinforcement")
_("T_rl", "T_{r,rest}", "kN/m", 2, "design resistance that vertical load and the ground held back leave of this layer")
_("p_fl", "p_{fl}", "kPa", 2, "construction traffic load at the level of the reinforcement")
_("f_fl", "f_{fl}", "-", 2, "factor on the construction traffic load in this load case and factor set")
_("T_fl", "T_{fl}", "kN/m", 2, "design tension of this layer under the first lift")
_("H_RF", "H_{R,F}", "m", 3, "height of fill above the layer in the final state")
_("gamma_Eu", "γ_{E,u}", "kN/m^3", 2, "favourable design value of the unit weight over the wrap-back")
_("phi_bk", "φ′_{b,k}", "rad", 3, "characteristic friction angle of the soil below the layer", shown="deg")
_("phi_b", "φ′_b", "rad", 3, "friction angle of the soil below the layer in this factor set", shown="deg")
_("alpha_fb", "α_{f,b}", "-", 2, "coefficient of friction between layer and the soil below over its tan φ′")
_("T_anc", "T_{anc}", "kN/m", 2, "design tension to be anchored")
_("h_uF", "h_{u,F}", "m", 3, "mean height of fill over the wrap-back in the final state")
_("h_u", "h_u", "m", 3, "mean height of fill over the wrap-back")
_("x_e", "x_e", "m", 3, "distance of the end of the layer from the toe of the slope at its level, inward positive")
_("A_e", "A_e", "m^2", 3, "area of fill over the layer from the toe of the slope to the end of the layer")
_("A_i", "A_i", "m^2", 3, "area of fill over the layer from the toe of the slope to the inner end of the fold")
_("h_m", "h_m", "m", 3, "mean height of fill over the layer along the wrap-back")
_("beta_o", "β_{C,o}", "rad", 2, "inclination at which the crest rises from the other edge", shown="deg")
_("h_mF", "h_{m,F}", "m", 3, "mean height of fill over the layer along the wrap-back in the final state")
_("h_f", "h_f", "m", 3, "mean height of the wrap-back above the layer")
_("R_u", "R_u", "kN/m", 2, "resistance of the wrap-back")
_("R_anc", "R_{anc}", "kN/m", 2, "design resistance of the anchorage")
_("L_lapg", "L_{lap,g}", "m", 3, "length of the lap as given")
_("T_G", "T_G", "kN/m", 2, "tension of the reinforcement from permanent load")
_("T_GQ", "T_{G+Q}", "kN/m", 2, "tension of the reinforcement from permanent and variable load")
_("eps_r", "ε_r", "-", 2, "strain of the reinforcement", shown="%")
_("eps_rlong", "ε_{r,long}", "-", 2, "strain of the reinforcement with its long-term stiffness", shown="%")
_("eps_rshort", "ε_{r,short}", "-", 2, "strain of the reinforcement with its short-term stiffness", shown="%")
_("eps_rcr", "ε_{r,cr}", "-", 2, "creep strain of the reinforcement", shown="%")

STATICS = Source("vertical equilibrium of the cell", evidence="derived")
WEIGHT = Source("weight of fill, working platform and compensation fill", evidence="derived")
MEAN = Source("project rule: mean over the depth, because all sublayers settle together", evidence="derived")
HELD = Source("project rule: full arching leaves no more than the mean pressure", evidence="derived")
BS = Source("BS 8006-1:2010, 8.3.3", evidence="not inspected")
ONE_WAY = Source("project rule: strips in one direction carry the whole load beside the heads", evidence="derived")
FACTORED = Source("EN 1997-1:2004, 2.4.7.3.2, effects of actions factored", evidence="inspected")
SHARE = Source("project rule: layers of one direction have equal strain", evidence="derived")
SERVICE = Source("project rule: serviceability, all factors 1", evidence="derived")
STRAIN = Source("definition of the tensile stiffness", evidence="derived")
SLOPE = Source("geometry of the side slope, whose toe stays where the final slope has it", evidence="derived")
FOLD = Source("geometry: the wrap-back lies above the layer, below the same fill", evidence="derived")
LEFT = Source("project rule: no strength counts twice; layers of one direction have equal strain", evidence="derived")
PULL_OUT = Source("BS 8006-1:2010, pull-out of the reinforcement", evidence="not inspected")
FRICTION = Source("friction on both faces of straight part and wrap-back", evidence="derived")
FAVOURABLE = Source("EN 1997-1:2004, 2.4.7.3.2 and Table A.3, favourable", evidence="inspected")
PLANT = Source("project rule: neither arching nor the ground is counted below a thin lift", evidence="derived")


@formula("H_A", source=WEIGHT)
def height_above_heads(H, p_P, p_M, gamma_E):
    """Height of fill that weighs as much as fill, working platform and compensation fill."""
    return H + (p_P + p_M) / gamma_E


@formula("Dsigma_vsm", source=MEAN)
def mean_soil_stress(Dsigma_vs0, h):
    """Mean stress increment on the soil over the depth of the soft ground."""
    return over_layers(Dsigma_vs0 * h) / over_layers(h)


@formula("sigma_sL", source=HELD)
def limited_pressure(sigma_sX, sigma_E):
    """Pressure between the column heads at full arching, no more than the mean pressure."""
    return minimum(sigma_sX, sigma_E)


@formula("r_eq", source=STATICS)
def load_accounted_for(F_head, W_T, L_m, F_cell):
    """Load on the column head and on two strips over the load of the cell: 1 where vertical equilibrium holds."""
    return (F_head + 2 * W_T * L_m) / F_cell


@formula("F_head", source=BS)
def head_load_by_ratio(mu_p, sigma_E, a_q):
    """Load on the column head from the ratio of pressures."""
    return mu_p * sigma_E * a_q**2


@formula("F_m", source=ONE_WAY)
def strip_load_in_one_direction(sigma_sA, A_s):
    """Load on the strip of a cell that is reinforced in one direction only."""
    return sigma_sA * A_s


@formula("T_md", source=FACTORED)
def design_membrane_tension(gamma_G, T_G, gamma_Q, T_GQ):
    """Design tension from vertical load, the effect being factored because the membrane is not linear."""
    return gamma_G * T_G + gamma_Q * maximum(T_GQ - T_G, 0)


@formula("T_rd", source=SHARE)
def layer_tension(T_across, J_rk, J_r):
    """Tension of one layer by its share of the stiffness in this direction."""
    return T_across * J_rk / J_r


@formula("T_rl", source=LEFT)
def strength_left(R_rd, J_rk, J_r, T_md, T_sqd):
    """Design resistance of a layer less its share of the tension from vertical load and from the ground held back."""
    return R_rd - J_rk / J_r * (T_md + T_sqd)


@formula("T_sser", source=SERVICE)
def service_spreading(E_aG, E_aQ, T_sq):
    """Tension from lateral sliding under quasi-permanent load, with the shear that holds the ground back."""
    return E_aG + E_aQ + T_sq


@formula("eps_r", source=STRAIN)
def reinforcement_strain(T_sser, T_m, J_r):
    """Strain from lateral sliding and vertical load under quasi-permanent load."""
    return (T_sser + T_m) / J_r


@formula("eps_rcr", source=STRAIN)
def reinforcement_creep_strain(eps_rlong, eps_rshort):
    """Increase of strain between short-term and long-term stiffness."""
    return eps_rlong - eps_rshort


@formula("sigma_E", source=PLANT)
def first_lift_pressure(f_G, gamma_E, t_fl, f_fl, p_fl):
    """Pressure of the first lift and the construction traffic on it."""
    return f_G * gamma_E * t_fl + f_fl * p_fl


@formula("gamma_Ef", source=FAVOURABLE)
def favourable_unit_weight(gamma_Gf, gamma_E):
    """Favourable design value of the unit weight of the fill."""
    return gamma_Gf * gamma_E


@formula("h_1", source=SLOPE)
def cover_at_outermost_columns(H_R, H_RF, b_g, n_S):
    """Cover of the layer at the axis of the outermost columns."""
    return minimum(H_R, maximum(H_RF - b_g / n_S, 0))


@formula("L_be", source=SLOPE)
def covered_length(L_b, n_S, h_1):
    """Part of the anchorage that lies below the slope."""
    return minimum(L_b, n_S * h_1)


@formula("h_2", source=SLOPE)
def cover_at_end(h_1, L_be, n_S):
    """Cover at the outer end of the part that lies below the slope."""
    return maximum(h_1 - L_be / n_S, 0)


@formula("x_e", source=SLOPE)
def end_from_toe(n_S, H_RF, b_g, L_b):
    """Distance of the end of the layer from the toe of the slope at its level, positive inward."""
    return n_S * H_RF - b_g - L_b


@formula("A_e", source=SLOPE)
def fill_from_toe_to_end(x_e, n_S, H_R):
    """Area of fill over the layer from the toe to its end: below the slope, then at the height of the stage."""
    return minimum(maximum(x_e, 0), n_S * H_R) ** 2 / (2 * n_S) + H_R * maximum(x_e - n_S * H_R, 0)


@formula("A_i", source=SLOPE)
def fill_from_toe_to_inner_end(x_e, L_ug, n_S, H_R):
    """Area of fill over the layer from the toe to the inner end of the wrap-back."""
    return (
        minimum(maximum(x_e + L_ug, 0), n_S * H_R) ** 2 / (2 * n_S) + H_R * maximum(x_e + L_ug - n_S * H_R, 0)
    )  # fmt: skip


@formula("A_i", source=SLOPE)
def fill_from_toe_to_inner_end_below_falling_crest(x_e, L_ug, n_S, H_R, beta_o):
    """Area of fill over the layer from the toe to the inner end of the wrap-back, the crest falling from its edge."""
    return (
        minimum(maximum(x_e + L_ug, 0), n_S * H_R) ** 2 / (2 * n_S)
        + H_R * maximum(x_e + L_ug - n_S * H_R, 0)
        - tan(beta_o) * maximum(x_e + L_ug - n_S * H_R, 0) ** 2 / 2
    )


@formula("h_m", source=SLOPE)
def mean_cover_along_fold(A_i, A_e, L_ug):
    """Mean height of fill over the layer along the wrap-back length, counted inward from its end."""
    return (A_i - A_e) / L_ug


@formula("h_f", source=FOLD)
def height_of_fold(h_mF, h_uF):
    """Mean height of the wrap-back above the layer, by its cover as given for the final state."""
    return maximum(h_mF - h_uF, 0)


@formula("h_u", source=FOLD)
def cover_of_fold_back(h_m, h_f):
    """Mean height of fill over the wrap-back in this stage, none before the fill has reached it."""
    return maximum(h_m - h_f, 0)


@formula("T_anc", source=PULL_OUT)
def tension_to_anchor(f_n, f_pull, T_rd):
    """Design tension to be anchored, with the factors on pull-out."""
    return f_n * f_pull * T_rd


@formula("R_anc", source=FRICTION)
def total_anchorage(R_b, R_u):
    """Design resistance of the straight part and the wrap-back."""
    return R_b + R_u
