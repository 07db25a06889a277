"""Expected readings and what the design holds up to, for the chapter on monitoring."""

from numpy import log, minimum

from calc.engine.formula import Source, formula
from calc.engine.symbols import declare
from calc.factors.monitored import QUANTITIES

_ = declare

_("u_st", "u_{st}", "-", 3, "largest utilisation of global stability in the stage, over sets, states and methods")
_("F_od", "F_{od}", "-", 3, "least over-design factor of global stability in the stage")
_("p_ob", "Δσ_{0,obs}", "kPa", 2, "load placed by this date")
_("sigma_sst", "Δσ_{s,st}", "kPa", 2, "pressure on the soil assumed in the design in the stage")
_("c_ust", "c_{u,st}", "kPa", 2, "undrained strength of the weakest sublayer with the gain credited in the stage")
_("s_ob", "s_{obs}", "m", 1, "settlement expected", shown="mm")
_("s_oEP", "s_{obs,EP}", "m", 1, "settlement expected by the elastic, plastic cell", shown="mm")
_("r_bo", "r_{b,obs}", "-", 3, "share of the settlement of the ground below the toes that has come by this date")
_("s_bob", "s_{b,obs}", "m", 1, "settlement of the ground below the toes with the load placed", shown="mm")
_("U_ob", "U_{obs}", "-", 1, "degree of consolidation expected, of the load placed so far", shown="%")
_("u_ob", "u_{obs}", "kPa", 2, "mean excess pore pressure expected in the sublayer")
_("rho_us", "ρ_s", "-", 3, "distance of the pore-pressure sensor from the axis of the column over its radius")
_("m_us", "m_s", "-", 3, "radius up to which the way to the sensor is smeared, over the radius of the column")
_("f_us", "f_u", "-", 3, "excess pore pressure at the sensor over the mean of the cell")
_("u_sen", "u_{sen}", "kPa", 2, "excess pore pressure expected at a sensor half-way between two columns")
_("F_oJ", "F_{R,J}", "kN/m", 2, "ring tension with the stiffness that the sleeve has at this date")
_("U_nas", "U_n", "-", 1, "degree of consolidation at which the assumed stress ratio is reached", shown="%")
_("mu_as", "μ_{s,st}", "-", 4, "stress on the soil over the mean stress increment assumed in stability at the start")
_("U_ask", "U_{ask}", "-", 1, "degree of consolidation required by the design at the start of the stage", shown="%")
_("u_plb", "u_{pl,b}", "kPa", 2, "excess pore pressure of the load placed before the stage, nothing drained")
_("u_ask", "u_{ask}", "kPa", 2, "excess pore pressure at the sensor up to which the design holds in the stage")
_("u_pl", "u_{pl}", "kPa", 2, "excess pore pressure of the load placed so far, nothing drained")
_("F_ob", "F_{R,obs}", "kN/m", 2, "ring tension expected in the sublayer")
_("eps_ob", "ε_{R,obs}", "-", 2, "ring strain expected in the sublayer", shown="%")
_("Dsigma_sob", "Δσ′_{s,obs}", "kPa", 2, "effective stress increment of the soil by this date")
_("sigma_sob", "Δσ_{s,obs}", "kPa", 2, "pressure on the soil at the heads of the columns expected")
_("sigma_cob", "Δσ_{c,obs}", "kPa", 2, "pressure on the heads of the columns expected")
_("n_ob", "n_{obs}", "-", 2, "stress ratio of column and soil expected")
_("c_uob", "c_{u,obs}", "kPa", 2, "undrained strength expected in the sublayer")
_("c_uoc", "c_{u,obs,c}", "kPa", 2, "undrained strength expected with the soil stress of the unit cell")
_("sigma_slt", "Δσ_{s,lt}", "kPa", 2, "pressure on the soil at the heads of the columns by load transfer")
_("sigma_clt", "Δσ_{c,lt}", "kPa", 2, "pressure on the heads of the columns by load transfer")
_("n_lt", "n_{lt}", "-", 2, "stress ratio of column and soil at the heads by load transfer")
_("s_va", "s_{v,a}", "m", 2, "settlement at the start of the day of the largest rate", shown="mm")
_("s_vb", "s_{v,b}", "m", 2, "settlement at the end of the day of the largest rate", shown="mm")
_("t_v", "Δt_v", "day", 0, "time that a rate is measured over")
_("v_ob", "v_{obs}", "m/day", 2, "largest rate of settlement expected", shown="mm/day")
_("F_k", "F_{R,k}", "kN/m", 2, "characteristic ring tension, short-term stiffness, quasi-permanent load")
_("u_Rx", "u_{R,x}", "-", 3, "largest utilisation of the sleeve over factor sets")
_("F_kd", "F_{R,kd}", "kN/m", 2, "characteristic ring tension at which the sleeve is fully utilised")
_("eps_kd", "ε_{R,kd}", "-", 2, "ring strain at which the sleeve is fully utilised", shown="%")
_("Ds_fol", "Δs_{fol}", "m", 1, "settlement after the time in which the level holds", shown="mm")
_("s_bfol", "s_{b,fol}", "m", 1, "settlement of the ground below the toes after this time", shown="mm")
_("DF_fol", "ΔF_{R,fol}", "kN/m", 2, "ring tension after the time in which the level holds")
_("De_fol", "Δε_{R,fol}", "-", 2, "ring strain after the time in which the level holds", shown="%")
_("eps_TD", "ε_{R,F}", "-", 2, "ring strain of the tension up to which the sleeve holds", shown="%")
_("eps_LD", "ε_{R,lim}", "-", 2, "ring strain up to the limit given", shown="%")
_("z_wlv", "z_{w,lv}", "m", 2, "elevation of a water level")
_("h_wlv", "h_{w,lv}", "m", 2, "height of a water level above the toes of the columns")
_("mu_sf", "μ_{s,∞}", "-", 4, "stress on the soil over the mean stress increment by the unit cell, final value")

ENDS = (
    ("T", "tr", "trigger level"),
    ("E", "exp", "end of the expected range compared with the trigger"),
    ("D", "des", "up to which the design holds"),
)

for monitored in QUANTITIES.values():
    if (sign := monitored.symbols) is not None:
        for end, mark, what in ENDS:
            declare(f"{sign.key}_{end}", f"{sign.base}_{{{sign.index}{mark}}}", monitored.unit, sign.decimals,
                    f"{what}: {sign.words}", sign.shown)  # fmt: skip

DEFINITION = Source("definition", evidence="derived")
EFFECTIVE = Source("total stress of effective stress and mean excess pore pressure", evidence="derived")
LATER = Source("project rule: a level leaves room for what comes after the time in which it holds", evidence="derived")
ALIKE = Source("project rule: measured value and design value of the effect grow in proportion", evidence="derived")
SHARE = Source("project rule: in the share of the load; drained ground settles with it", evidence="derived")
IN_TIME = Source("Terzaghi (1925), one-dimensional flow, each step with its own age", evidence="not inspected")
SHARED = Source("equilibrium of the cell with the stress ratio taken for stability", evidence="derived")
PROFILE = Source(
    "Barron (1948), equal strain, with the smear zone and well resistance of Hansbo (1981); profile derived",
    evidence="derived",
)
ASKED = Source("project rule: of the load before, what the required degree leaves; of the lift nothing drained",
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
    """Pressure increment that a cell on the soil between the heads reads."""
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


@formula("s_bob", source=IN_TIME)
def settlement_below_in_time(s_b, r_bo):
    """Settlement of the ground below the toes by this date, which follows its load in time."""
    return s_b * r_bo


@formula("s_D", source=LATER)
def settlement_left(s_lim, Ds_fol, s_bfol):
    """Settlement up to which the limit given is kept, with what comes later."""
    return s_lim - Ds_fol - s_bfol


@formula("F_D", source=LATER)
def tension_left(F_kd, DF_fol):
    """Ring tension up to which the sleeve holds, with what comes later."""
    return F_kd - DF_fol


@formula("eps_LD", source=LATER)
def strain_left(eps_lim, De_fol):
    """Ring strain up to which the limit given is kept, with what comes later."""
    return eps_lim - De_fol


@formula("eps_D", source=LATER)
def smaller_strain(eps_TD, eps_LD):
    """Ring strain up to which the design holds: by tension and by the limit given."""
    return minimum(eps_TD, eps_LD)


@formula("h_wlv", source=DEFINITION)
def water_above_toes(z_wlv, z_g, t_soft, t_emb):
    """Height of a water level above the toes of the columns."""
    return z_wlv - (z_g - t_soft - t_emb)


@formula("sigma_sst", source=SHARED)
def pressure_counted_on_soil(mu_s, Dsigma_0):
    """Pressure on the soil assumed in bearing, lateral extrusion and stability in the stage."""
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
    """Degree of consolidation by pore pressure at which the assumed stress ratio is reached."""
    return (1 - mu_as) / (1 - mu_sf)


@formula("u_ask", source=ASKED)
def pressure_asked(f_us, U_ask, u_plb, U_L, u_pl):
    """Reading of the sensor up to which the design holds when a lift lies: of the lift, what it counts as left."""
    return f_us * ((1 - U_ask) * u_plb + (1 - U_L) * (u_pl - u_plb))
