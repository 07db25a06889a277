"""Slip surfaces: forces on one slice, the sums over all slices (the layer axis holds the slices), and the factor."""

from numpy import cos, maximum, minimum, pi, sin, sqrt, tan

from calc.engine.formula import Source, formula, over_layers
from calc.engine.symbols import declare as _

_("b_i", "b_i", "m", 3, "width of the slice")
_("l_i", "l_i", "m", 3, "length of the base of the slice")
_("sigma_vtot", "σ_{v,tot}", "kPa", 2, "total vertical stress on the base of the slice, with traffic")
_("W_i", "W_i", "kN/m", 2, "weight of the slice with traffic")
_("u_i", "u_i", "kPa", 2, "pore pressure on the base of the slice")
_("h_wi", "h_{w,i}", "m", 3, "height of the water table over the base of the slice")
_("beta_w", "β_w", "rad", 2, "slope of the water table", shown="deg")
_("r_u", "r_u", "-", 3, "pore pressure over total vertical stress")
_("y_b", "y_b", "m", 3, "level of the base of the slice")
_("y_u", "y_u", "m", 3, "level from which the undrained strength increases")
_("F_tr", "F_{tr}", "-", 4, "trial value of the factor of safety, with which the base normals are taken")
_("m_alpha", "m_α", "-", 4, "vertical part of normal and friction on the base, per normal")
_("DX_i", "ΔX_i", "kN/m", 2, "shear on the upper face of the slice less that on its lower face")
_("N_i", "N_i", "kN/m", 2, "total normal force on the base of the slice")
_("R_i", "R_i", "kN/m", 2, "shear resistance on the base of the slice")
_("R_in", "R_{i,0}", "kN/m", 2, "shear resistance on the base where no tension is taken")
_("H_i", "H_i", "kN/m", 2, "horizontal force on the slice in the direction of sliding")
_("E_up", "E_{i−1}", "kN/m", 2, "normal force on the upper face of the slice")
_("E_lo", "E_i", "kN/m", 2, "normal force on the lower face of the slice")
_("X_lo", "X_i", "kN/m", 2, "shear force on the lower face of the slice")
_("lambda_X", "λ_X", "-", 4, "scale of the shear between slices")
_("f_X", "f_X", "-", 4, "assumed distribution of the ratio of shear to normal force between slices")
_("x_f", "x_f", "m", 3, "distance of the face from the upper end of the slip surface")
_("L_x", "L_x", "m", 3, "horizontal length of the slip surface")
_("sigma_stot", "σ_{s,tot}", "kPa", 2, "total vertical stress on the base in the soil between the columns")
_("sigma_ctot", "σ_{c,tot}", "kPa", 2, "total vertical stress on the base in the columns")
_("W_si", "W_{s,i}", "kN/m", 2, "weight on the base in the soil between the columns")
_("W_ci", "W_{c,i}", "kN/m", 2, "weight on the base in the columns")
_("DX_si", "ΔX_{s,i}", "kN/m", 2, "part of the shear between slices that acts on the soil between the columns")
_("R_sl", "R", "m", 3, "radius of the slip circle")
_("x_M", "x_M", "m", 3, "horizontal distance of the slice uphill of the centre")
_("a_Ri", "a_{R,i}", "m", 3, "arm of the shear on the base about the centre")
_("a_Ni", "a_{N,i}", "m", 3, "arm of the base normal about the centre, none on a circle")
_("y_M", "y_M", "m", 3, "level of the centre")
_("y_T", "y_T", "m", 3, "level of the reinforcement that is cut")
_("M_e", "M_e", "kN*m/m", 1, "driving moment of other forces about the centre")
_("H_ex", "H_e", "kN/m", 2, "horizontal driving force beside the base normals")
_("F_s", "F_s", "-", 4, "over-design factor of the slip surface")
_("F_sm", "F_{s,m}", "-", 4, "over-design factor of the slip surface by moments")
_("F_sf", "F_{s,f}", "-", 4, "over-design factor of the slip surface by horizontal forces")
_("f_J", "f_0", "-", 4, "factor for the shear between slices, by Janbu")
_("b_J", "b_1", "-", 2, "coefficient of this factor for the kind of soil")
_("d_J", "d_J", "m", 3, "largest depth of the slip surface below its chord")
_("L_J", "L_J", "m", 3, "length of the chord of the slip surface")
_("M_Rb", "M_{R,b}", "kN*m/m", 1, "resisting moment of the bases about the centre")
_("M_Db", "M_{D,b}", "kN*m/m", 1, "driving moment about the centre")
_("z_cr", "z_{cr}", "m", 3, "depth of the tension crack")
_("z_crw", "z_{cr,w}", "m", 3, "depth of water in the tension crack")
_("P_cw", "P_{cr,w}", "kN/m", 2, "thrust of the water in the tension crack")
_("Dx_po", "Δx_{po}", "m", 3, "piece of the reinforcement for its pull-out resistance")
_("a_po", "a_{po}", "kPa", 2, "adhesion of both faces of the reinforcement")
_("sigma_po", "σ_{po}", "kPa", 2, "effective vertical stress on the reinforcement, without traffic")
_("R_po", "R_{po}", "kN/m", 2, "pull-out resistance of the reinforcement on one side of the slip surface")
_("R_poi", "R_{po,i}", "kN/m", 2, "pull-out resistance of the reinforcement in the sliding mass")
_("R_poo", "R_{po,o}", "kN/m", 2, "pull-out resistance of the reinforcement in the ground that stays")
_("T_sl", "T_{slip}", "kN/m", 2, "tension of the reinforcement at the slip surface")
_("F_sreq", "F_{s,req}", "-", 3, "factor of safety required of the slip surface")
_("T_sreq", "T_{s,req}", "kN/m", 2, "tension of the reinforcement required by the slip surface")

GEOMETRY = Source("geometry of the slice", evidence="derived")
STATICS = Source("vertical equilibrium of the slice", evidence="derived")
WATER = Source("pressure of water at rest", evidence="derived")
SEEPAGE = Source("steady seepage along the water table in an infinite slope", evidence="derived")
RATIO = Source("Bishop & Morgenstern (1960), Géotechnique 10, 129–150", evidence="not inspected")
GROWTH = Source("undrained strength increasing in proportion to depth", evidence="derived")
MANUAL = "Caltrans Trenching and Shoring Manual (2025), p. 10-26 to 10-34"
BISHOP = Source(f"Bishop (1955), Géotechnique 5(1), 7–17, as in {MANUAL}, eq. 10-5-6", evidence="confirmed")
FELLENIUS = Source(
    f"Fellenius (1936), Trans. 2nd Congress on Large Dams, Washington 4, 445, as in {MANUAL}, eq. 10-5-4",
    evidence="confirmed",
)
GENERAL = Source("Fredlund & Krahn (1977), Can. Geotech. J. 14(3), 429–439", evidence="not inspected")
MORGENSTERN = Source("Morgenstern & Price (1965), Géotechnique 15(1), 79–93", evidence="not inspected")
JANBU = Source(
    "Janbu (1973), Slope stability computations, Embankment-Dam Engineering, Wiley", evidence="not inspected"
)
NO_TENSION = Source("project rule: a cohesionless base takes no tension", evidence="derived")
SPLIT = Source("project rule: soil and column separately, each with its own stress and water", evidence="derived")
SHARED = Source("project rule: soil and column share the shear between slices by their weights", evidence="derived")
CRACK = Source("limit of active earth pressure without tension, Rankine (1857)", evidence="not inspected")
BOND = Source("friction on both faces of the reinforcement", evidence="derived")
LEAST = Source("the weakest of strength and pull-out on both sides", evidence="derived")
FORM_A = Source("USACE EM 1110-2-1902 (2003), force that is not divided by the factor", evidence="not inspected")
FORM_B = Source("FHWA-NHI-07-092 (2008), ch. 7, force counted as strength", evidence="not inspected")


@formula("l_i", source=GEOMETRY)
def base_length(b_i, alpha_b):
    """Length of the base of the slice."""
    return b_i / cos(alpha_b)


@formula("W_i", source=STATICS)
def slice_weight(sigma_vtot, b_i):
    """Weight of the slice with the load on it."""
    return sigma_vtot * b_i


@formula("u_i", source=WATER)
def pressure_by_head(gamma_w, h_wi):
    """Pore pressure by the depth below the water table."""
    return gamma_w * h_wi


@formula("u_i", source=SEEPAGE)
def pressure_by_seepage(gamma_w, h_wi, beta_w):
    """Pore pressure with water that flows along a sloping water table."""
    return gamma_w * h_wi * cos(beta_w) ** 2


@formula("u_i", source=RATIO)
def pressure_by_ratio(r_u, W_i, b_i):
    """Pore pressure as a share of the total vertical stress."""
    return r_u * W_i / b_i


@formula("c_u", source=GROWTH)
def strength_at_base(c_u0, rho_u, y_u, y_b):
    """Undrained shear strength at the base of the slice."""
    return c_u0 + rho_u * maximum(y_u - y_b, 0)


@formula("m_alpha", source=BISHOP)
def normal_factor(alpha_b, phi, F_tr):
    """Vertical part of normal and mobilised friction on the base, per normal."""
    return cos(alpha_b) + sin(alpha_b) * tan(phi) / F_tr


@formula("N_i", source=GENERAL)
def base_normal(W_i, DX_i, c, l_i, u_i, phi, alpha_b, F_tr, m_alpha):
    """Total normal force on the base from vertical equilibrium of the slice."""
    return (W_i + DX_i - (c * l_i - u_i * l_i * tan(phi)) * sin(alpha_b) / F_tr) / m_alpha


@formula("R_i", source=GENERAL)
def base_resistance(c, l_i, N_i, u_i, phi):
    """Shear resistance on the base of the slice."""
    return c * l_i + (N_i - u_i * l_i) * tan(phi)


@formula("R_in", source=NO_TENSION)
def resistance_without_tension(R_i):
    """Shear resistance of a cohesionless base."""
    return maximum(R_i, 0)


@formula("F_s", source=BISHOP)
def bishop_safety(c, b_i, W_i, u_i, phi, m_alpha, alpha_b, M_e, R_sl):
    """Over-design factor of a slip circle by the simplified method of Bishop."""
    return over_layers((c * b_i + (W_i - u_i * b_i) * tan(phi)) / m_alpha) / (
        over_layers(W_i * sin(alpha_b)) + M_e / R_sl
    )


@formula("F_s", source=FELLENIUS)
def ordinary_safety(c, l_i, W_i, alpha_b, u_i, phi, M_e, R_sl):
    """Over-design factor of a slip circle by the ordinary method of slices."""
    return over_layers(c * l_i + (W_i * cos(alpha_b) - u_i * l_i) * tan(phi)) / (
        over_layers(W_i * sin(alpha_b)) + M_e / R_sl
    )


@formula("M_Rb", source=GENERAL)
def resisting_moment(R_i, a_Ri):
    """Resisting moment of the bases about the centre."""
    return over_layers(R_i * a_Ri)


@formula("M_Db", source=GENERAL)
def driving_moment(W_i, x_M, N_i, a_Ni, M_e):
    """Driving moment of weights, base normals and other forces about the centre."""
    return over_layers(W_i * x_M) - over_layers(N_i * a_Ni) + M_e


@formula("F_sm", source=GENERAL)
def moment_safety(M_Rb, M_Db):
    """Over-design factor of the slip surface by moments, without reinforcement."""
    return M_Rb / M_Db


@formula("F_sf", source=GENERAL)
def force_safety(R_i, alpha_b, N_i, H_ex):
    """Over-design factor of the slip surface by horizontal forces."""
    return over_layers(R_i * cos(alpha_b)) / (over_layers(N_i * sin(alpha_b)) + H_ex)


@formula("E_lo", source=GENERAL)
def lower_face(E_up, N_i, alpha_b, R_i, F_tr, H_i):
    """Normal force on the lower face of the slice from horizontal equilibrium."""
    return E_up + N_i * sin(alpha_b) - R_i * cos(alpha_b) / F_tr + H_i


@formula("X_lo", source=MORGENSTERN)
def interslice_shear(lambda_X, f_X, E_lo):
    """Shear between slices, by an assumed distribution of its ratio to the normal force."""
    return lambda_X * f_X * E_lo


@formula("f_X", source=MORGENSTERN)
def half_sine(x_f, L_x):
    """Half a sine wave as the distribution of the ratio of shear to normal force."""
    return sin(pi * x_f / L_x)


@formula("f_J", source=JANBU)
def janbu_factor(b_J, d_J, L_J):
    """Factor that stands for the shear between slices in the simplified method of Janbu."""
    return 1 + b_J * (d_J / L_J - 1.4 * (d_J / L_J) ** 2)


@formula("F_s", source=JANBU)
def janbu_safety(f_J, F_sf):
    """Over-design factor of the slip surface by the simplified method of Janbu."""
    return f_J * F_sf


@formula("W_si", source=SPLIT)
def soil_weight(a_E, b_i, sigma_stot):
    """Vertical force on the base in the soil between the columns."""
    return (1 - a_E) * b_i * sigma_stot


@formula("W_ci", source=SPLIT)
def column_weight(a_E, b_i, sigma_ctot):
    """Vertical force on the base in the columns."""
    return a_E * b_i * sigma_ctot


@formula("DX_si", source=SHARED)
def soil_share_of_shear(DX_i, W_si, W_ci):
    """Part of the shear between slices that acts on the soil between the columns."""
    return DX_i * W_si / (W_si + W_ci)


@formula("z_cr", source=CRACK)
def drained_crack_depth(c, gamma, K_a):
    """Depth of a tension crack in soil with effective cohesion."""
    return 2 * c / (gamma * sqrt(K_a))


@formula("z_cr", source=CRACK)
def undrained_crack_depth(c_u, gamma):
    """Depth of a tension crack in undrained soil."""
    return 2 * c_u / gamma


@formula("P_cw", source=WATER)
def crack_thrust(gamma_w, z_crw):
    """Thrust of the water in a tension crack, a third of its depth above the bottom."""
    return 0.5 * gamma_w * z_crw**2


@formula("R_po", source=BOND)
def pull_out_resistance(sigma_po, mu_1, mu_2, a_po, Dx_po, f_pull):
    """Pull-out resistance of the reinforcement on one side of the slip surface, summed over its pieces."""
    return over_layers((sigma_po * (mu_1 + mu_2) + a_po) * Dx_po) / f_pull


@formula("T_sl", source=LEAST)
def slip_tension(R_rd, R_poi, R_poo):
    """Tension of the reinforcement at the slip surface."""
    return minimum(R_rd, minimum(R_poi, R_poo))


@formula("F_s", source=FORM_A, clause="A")
def safety_with_load_lowered(M_Rb, M_Db, T_sl, y_M, y_T):
    """Safety with a horizontal tension that lowers the load."""
    return M_Rb / (M_Db - T_sl * (y_M - y_T))


@formula("F_s", source=FORM_B, clause="B")
def safety_with_strength_added(M_Rb, T_sl, y_M, y_T, M_Db):
    """Safety with a horizontal tension that counts as strength."""
    return (M_Rb + T_sl * (y_M - y_T)) / M_Db


@formula("T_sreq", source=FORM_A, clause="A")
def required_tension_on_load(M_Db, M_Rb, F_sreq, y_M, y_T):
    """Tension that lowers the load to the required factor of safety."""
    return (M_Db - M_Rb / F_sreq) / (y_M - y_T)


@formula("T_sreq", source=FORM_B, clause="B")
def required_tension_as_strength(F_sreq, M_Db, M_Rb, y_M, y_T):
    """Tension that adds strength up to the required factor of safety."""
    return (F_sreq * M_Db - M_Rb) / (y_M - y_T)
