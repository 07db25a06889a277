"""Symbols of the chapter on monitoring: programme at a glance, expected readings, trigger levels."""

from calc.nomenclature.declared import declare

_ = declare

# Programme at a glance
_("u_st", "u_{st}", "-", 3, "largest utilisation of global stability in the stage, over sets, states and methods")
_("F_od", "F_{od}", "-", 3, "least over-design factor of global stability in the stage")
_("p_ob", "Δσ_{0,obs}", "kPa", 2, "load placed by this date")
_("p_fin", "Δσ_{0,fin}", "kPa", 2, "load of the last step")
_("sigma_sst", "Δσ_{s,st}", "kPa", 2, "pressure on the soil that the design counts with in the stage")
_("c_ust", "c_{u,st}", "kPa", 2, "undrained strength of the weakest sublayer with the gain that the stage counts on")

# Expected readings
_("s_ob", "s_{obs}", "m", 1, "settlement expected", shown="mm")
_("s_oEP", "s_{obs,EP}", "m", 1, "settlement expected by the elastic, plastic cell", shown="mm")
_("s_bob", "s_{b,obs}", "m", 1, "settlement of the ground below the toes with the load placed", shown="mm")
_("U_ob", "U_{obs}", "-", 1, "degree of consolidation expected, of the load placed so far", shown="%")
_("u_ob", "u_{obs}", "kPa", 2, "mean excess pore pressure expected in the sublayer")
_("rho_us", "ρ_s", "-", 3, "distance of the pore-pressure sensor from the axis of the column over its radius")
_("m_us", "m_s", "-", 3, "radius up to which the way to the sensor is smeared, over the radius of the column")
_("f_us", "f_u", "-", 3, "excess pore pressure at the sensor over the mean of the cell")
_("u_sen", "u_{sen}", "kPa", 2, "excess pore pressure expected at a sensor half-way between two columns")
_("F_oJ", "F_{R,J}", "kN/m", 2, "ring tension with the stiffness that the sleeve has at this date")
_("U_nas", "U_n", "-", 1, "degree of consolidation at which the stress ratio counted with has come", shown="%")
_("mu_as", "μ_{s,st}", "-", 4, "stress on the soil over the mean added stress that stability counts with at the start")
_("U_ask", "U_{ask}", "-", 1, "degree of consolidation that the design asks for at the start of the stage", shown="%")
_("u_plb", "u_{pl,b}", "kPa", 2, "excess pore pressure of the load placed before the stage, nothing drained")
_("u_ask", "u_{ask}", "kPa", 2, "excess pore pressure at the sensor up to which the design holds in the stage")
_("u_pl", "u_{pl}", "kPa", 2, "excess pore pressure of the load placed so far, nothing drained")
_("F_ob", "F_{R,obs}", "kN/m", 2, "ring tension expected in the sublayer")
_("eps_ob", "ε_{R,obs}", "-", 2, "ring strain expected in the sublayer", shown="%")
_("Dsigma_sob", "Δσ′_{s,obs}", "kPa", 2, "effective stress added to the soil by this date")
_("sigma_sob", "Δσ_{s,obs}", "kPa", 2, "pressure on the soil at the heads of the columns expected")
_("sigma_cob", "Δσ_{c,obs}", "kPa", 2, "pressure on the heads of the columns expected")
_("n_ob", "n_{obs}", "-", 2, "stress ratio of column and soil expected")
_("c_uob", "c_{u,obs}", "kPa", 2, "undrained strength expected in the sublayer")
_("sigma_slt", "Δσ_{s,lt}", "kPa", 2, "pressure on the soil at the heads of the columns by load transfer")
_("sigma_clt", "Δσ_{c,lt}", "kPa", 2, "pressure on the heads of the columns by load transfer")
_("n_lt", "n_{lt}", "-", 2, "stress ratio of column and soil at the heads by load transfer")
_("s_va", "s_{v,a}", "m", 2, "settlement at the begin of the day of the largest rate", shown="mm")
_("s_vb", "s_{v,b}", "m", 2, "settlement at the end of the day of the largest rate", shown="mm")
_("t_v", "Δt_v", "day", 0, "time that a rate is measured over")
_("v_ob", "v_{obs}", "m/day", 2, "largest rate of settlement expected", shown="mm/day")

# What the design holds up to
_("F_k", "F_{R,k}", "kN/m", 2, "characteristic ring tension, short-term stiffness, quasi-permanent load")
_("u_Rx", "u_{R,x}", "-", 3, "largest utilisation of the sleeve over factor sets")
_("F_kd", "F_{R,kd}", "kN/m", 2, "characteristic ring tension at which the sleeve is used up")
_("eps_kd", "ε_{R,kd}", "-", 2, "ring strain at which the sleeve is used up", shown="%")

_("z_wlv", "z_{w,lv}", "m", 2, "elevation of a water level")
_("h_wlv", "h_{w,lv}", "m", 2, "height of a water level above the toes of the columns")

# Trigger levels: level, end of the expected range that it has to clear, value up to which the design holds
TRIGGERED = (
    ("s", "s", "", "m", 1, "settlement", "mm"),
    ("v", "v", "", "m/day", 2, "rate of settlement", "mm/day"),
    ("s_r", "s", "res,", "m", 1, "settlement after hand-over", "mm"),
    ("u", "u", "", "kPa", 2, "excess pore pressure", ""),
    ("U", "U", "", "-", 1, "degree of consolidation", "%"),
    ("eps", "ε", "R,", "-", 2, "ring strain", "%"),
    ("F", "F", "R,", "kN/m", 2, "ring tension", ""),
    ("sigma_s", "Δσ", "s,", "kPa", 2, "pressure on the soil", ""),
    ("sigma_c", "Δσ", "c,", "kPa", 2, "pressure on the columns", ""),
    ("n", "n", "", "-", 2, "stress ratio", ""),
    ("c_u", "c", "u,", "kPa", 2, "undrained strength", ""),
    ("h_w", "h", "w,", "m", 2, "groundwater above the toes", ""),
)
for key, base, index, unit, decimals, words, shown in TRIGGERED:
    declare(f"{key}_T", f"{base}_{{{index}tr}}", unit, decimals, f"trigger level: {words}", shown)
    declare(
        f"{key}_E", f"{base}_{{{index}exp}}", unit, decimals, f"end of the expected range to be cleared: {words}", shown
    )
    declare(f"{key}_D", f"{base}_{{{index}des}}", unit, decimals, f"up to which the design holds: {words}", shown)
