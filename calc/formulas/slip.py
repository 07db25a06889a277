"""Slip surfaces: forces on one slice, the sums over all slices (the layer axis holds the slices), and the factor."""

from numpy import cos, maximum, minimum, pi, sin, sqrt, tan

from calc.formula import Source, formula, over_layers

GEOMETRY = Source("geometry of the slice", evidence="derived")
STATICS = Source("vertical equilibrium of the slice", evidence="derived")
WATER = Source("pressure of water at rest", evidence="derived")
SEEPAGE = Source("steady seepage along the water table in an infinite slope", evidence="derived")
RATIO = Source("Bishop & Morgenstern (1960), Géotechnique 10, 129–150", evidence="not inspected")
GROWTH = Source("undrained strength that grows in proportion to depth", evidence="derived")
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
SPLIT = Source("project rule: soil and column side by side, each with its own stress and water", evidence="derived")
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
    """Shear between slices, by an assumed course of its ratio to the normal force."""
    return lambda_X * f_X * E_lo


@formula("f_X", source=MORGENSTERN)
def half_sine(x_f, L_x):
    """Half a sine wave as the course of the ratio of shear to normal force."""
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
    """Tension that lowers the load as far as the safety asks for."""
    return (M_Db - M_Rb / F_sreq) / (y_M - y_T)


@formula("T_sreq", source=FORM_B, clause="B")
def required_tension_as_strength(F_sreq, M_Db, M_Rb, y_M, y_T):
    """Tension that adds the strength that the safety asks for."""
    return (F_sreq * M_Db - M_Rb) / (y_M - y_T)
