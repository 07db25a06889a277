"""Expected readings and what the design holds up to, for the chapter on monitoring."""

from numpy import log, minimum

from calc.formula import Source, formula

DEFINITION = Source("definition", evidence="derived")
EFFECTIVE = Source("total stress of effective stress and mean excess pore pressure", evidence="derived")
ALIKE = Source("project rule: what is measured and the design value of the effect grow alike", evidence="derived")
SHARE = Source("project rule: in the share of the load; drained ground settles with it", evidence="derived")
SHARED = Source("equilibrium of the cell with the stress ratio taken for stability", evidence="derived")
PROFILE = Source(
    "Barron (1948), equal strain, with the smear zone and well resistance of Hansbo (1981); profile derived",
    evidence="derived",
)
ASKED = Source("project rule: of the load before, what the degree asked for leaves; of the lift nothing drained",
               evidence="derived")  # fmt: skip
LINEAR = Source("linear stiffness of the sleeve", evidence="derived")


@formula("F_od", source=DEFINITION)
def over_design_factor(u_st):
    """Resistance over effect in the case that is utilised most."""
    return 1 / u_st


@formula("v_ob", source=DEFINITION)
def settlement_rate(s_vb, s_va, t_v):
    """Settlement that comes in a day, the day on which most comes."""
    return (s_vb - s_va) / t_v


@formula("sigma_sob", source=EFFECTIVE)
def pressure_on_soil(Dsigma_sob, u_ob):
    """Added pressure that a cell on the soil between the heads reads."""
    return Dsigma_sob + u_ob


@formula("eps_ob", source=LINEAR)
def strain_of_tension(F_ob, J):
    """Ring strain that belongs to a ring tension."""
    return F_ob / J


@formula("F_kd", source=ALIKE)
def bearable_tension(F_k, u_Rx):
    """Characteristic ring tension at which the design tension equals the design resistance."""
    return F_k / u_Rx


@formula("c_uob", source=DEFINITION)
def strength_with_gain(c_u, Dc_u):
    """Undrained strength with its gain from consolidation."""
    return c_u + Dc_u


@formula("s_ob", source=DEFINITION)
def settlement_at_plate(s_t, s_bob):
    """Settlement that a plate on the ground reads, with that of the ground below the toes."""
    return s_t + s_bob


@formula("s_bob", source=SHARE)
def settlement_below_by_now(s_b, p_ob, p_fin):
    """Settlement of the ground below the toes under the load placed so far, which it follows at once."""
    return s_b * p_ob / p_fin


@formula("h_wlv", source=DEFINITION)
def water_above_toes(z_wlv, z_g, t_soft, t_emb):
    """Height of a water level above the toes of the columns."""
    return z_wlv - (z_g - t_soft - t_emb)


@formula("sigma_sst", source=SHARED)
def pressure_counted_on_soil(mu_s, Dsigma_0):
    """Pressure on the soil that bearing, lateral extrusion and stability count with in the stage."""
    return mu_s * Dsigma_0


@formula("rho_us", source=DEFINITION)
def sensor_place(a_x, d_c):
    """Half the spacing over the radius of the column: a sensor half-way between two columns."""
    return a_x / d_c


@formula("m_us", source=DEFINITION)
def smeared_way(rho_us, s_sm):
    """Radius up to which the way to the sensor is smeared, over the radius of the column."""
    return minimum(rho_us, s_sm)


@formula("f_us", source=PROFILE)
def sensor_factor(r_ks, m_us, n_d, rho_us, mu_wr, F_dr):
    """Excess pore pressure at the sensor over the mean of the cell."""
    return (
        r_ks * (log(m_us) - (m_us**2 - 1) / (2 * n_d**2))
        + log(rho_us / m_us)
        - (rho_us**2 - m_us**2) / (2 * n_d**2)
        + mu_wr
    ) / F_dr


@formula("u_sen", source=DEFINITION)
def pressure_at_sensor(f_us, u_ob):
    """Excess pore pressure that a sensor half-way between two columns reads."""
    return f_us * u_ob


@formula("U_nas", source=SHARED)
def degree_of_ratio(mu_as, mu_sf):
    """Degree of consolidation by pore pressure at which the stress ratio counted with has come."""
    return (1 - mu_as) / (1 - mu_sf)


@formula("u_ask", source=ASKED)
def pressure_asked(f_us, U_ask, u_plb, u_pl):
    """Reading of the sensor up to which a lift may raise the pressure."""
    return f_us * ((1 - U_ask) * u_plb + (u_pl - u_plb))
