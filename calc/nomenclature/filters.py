"""Symbols of filters, drainage and seepage; lengths of grains and openings are shown in millimetres."""

from calc.nomenclature.declared import declare as _

# Gradings
_("D_10", "D_{10}", "m", 4, "grain diameter at 10 % passing", shown="mm")
_("D_15", "D_{15}", "m", 4, "grain diameter at 15 % passing", shown="mm")
_("D_60", "D_{60}", "m", 4, "grain diameter at 60 % passing", shown="mm")
_("D_85", "D_{85}", "m", 4, "grain diameter at 85 % passing", shown="mm")
_("C_U", "C_U", "-", 2, "coefficient of uniformity")

# Geotextile filter
_("O_95", "O_{95}", "m", 4, "opening size of the geotextile", shown="mm")
_("O_max", "O_{max}", "m", 4, "largest opening size that holds the grains back", shown="mm")
_("O_cap", "O_{cap}", "m", 4, "largest opening size for fine soils whatever their grading", shown="mm")
_("O_min", "O_{min}", "m", 4, "smallest opening size that does not clog", shown="mm")
_("O_eps", "O_ε", "m", 4, "opening size of the strained geotextile", shown="mm")
_("d_y", "d_y", "m", 4, "width of the yarn between two openings", shown="mm")
_("B_f", "B_f", "-", 3, "coefficient of retention")
_("B_cap", "B_{cap}", "-", 3, "largest coefficient of retention")
_("f_dyn", "f_{dyn}", "-", 2, "share of the grain diameter allowed as opening under reversing flow")
_("f_O", "f_O", "-", 2, "multiple of the fine grains below which the openings clog")
_("f_k", "f_k", "-", 1, "ratio of permeabilities asked for")
_("k_g", "k_g", "m/day", -3, "permeability of the geotextile", shown="m/s")
_("k_so", "k_{so}", "m/day", -3, "permeability of the soil beside the filter", shown="m/s")
_("k_req", "k_{req}", "m/day", -3, "permeability required of the filter", shown="m/s")
_("t_g", "t_g", "m", 2, "thickness of the geotextile", shown="mm")
_("psi_g", "ψ_g", "1/day", -3, "permittivity of the geotextile", shown="1/s")
_("i_sg", "i_{sg}", "-", 3, "hydraulic gradient over the geotextile and the soil next to it")
_("i_s", "i_s", "-", 3, "hydraulic gradient in the soil")
_("G_R", "G_R", "-", 3, "gradient ratio")

# Granular filter
_("f_ret", "f_{ret}", "-", 1, "ratio of grain diameters that holds the base soil back")
_("f_perm", "f_{perm}", "-", 1, "ratio of grain diameters that lets water pass")
_("D_15max", "D_{15,max}", "m", 4, "largest D15 of the filter that holds the base soil back", shown="mm")
_("D_15min", "D_{15,min}", "m", 4, "smallest D15 of the filter that lets water pass", shown="mm")
_("D_15low", "D_{15,low}", "m", 4, "smallest D15 of any filter", shown="mm")

# Permeability and drainage
_("C_H", "C_{Hz}", "1/m/day", -3, "coefficient of the permeability of clean sand", shown="1/cm/s")
_("mu_w", "η_w", "kPa*day", 3, "dynamic viscosity of water", shown="mPa*s")
_("n_p", "n_p", "-", 3, "porosity")
_("d_g", "d_g", "m", 4, "effective grain diameter", shown="mm")
_("k_f", "k_f", "m/day", -3, "permeability of the column fill", shown="m/s")
_("q_w", "q_w", "m^3/day", -3, "discharge capacity of the column at a gradient of one")
_("k_hs", "k_{h,s}", "m/day", -3, "horizontal permeability of the soft ground", shown="m/s")
_("l_d", "l_d", "m", 2, "length of the drainage path in the column")
_("mu_wr", "μ_w", "-", 4, "mean well resistance, as a part of the drainage factor")
_("Ds_t", "Δs_t", "m", 2, "settlement in the time considered", shown="mm")
_("Dt", "Δt", "day", 1, "time considered", shown="day")
_("Q_c", "Q_c", "m^3/day", -3, "water which one column carries off")
_("Dh_c", "Δh_c", "m", 2, "head lost in the column", shown="mm")

# Plug and seepage
_("k_pl", "k_{pl}", "m/day", -3, "permeability of the plug", shown="m/s")
_("L_pl", "L_{pl}", "m", 3, "length of the plug")
_("Dh", "Δh", "m", 3, "difference of the heads over the plug")
_("i_pl", "i_{pl}", "-", 3, "hydraulic gradient in the plug")
_("Q_pl", "Q_{pl}", "m^3/day", -3, "seepage through one plug")
_("v_pl", "v_{pl}", "m/day", -3, "seepage over the area of the ground", shown="m/s")
_("gamma_plr", "γ_{pl,r}", "kN/m^3", 2, "saturated unit weight of the plug")
_("tau_pl", "τ_{pl}", "kPa", 2, "shear resistance on the face of the plug")
_("p_up", "p_{up}", "kPa", 3, "excess water pressure below the plug")
_("p_res", "p_{res}", "kPa", 3, "pressure that holds the plug down")
_("U_dst", "U_{dst}", "kPa", 3, "design value of the excess water pressure")
_("U_stb", "U_{stb}", "kPa", 3, "design value of the pressure that holds the plug down")
_("gamma_dst", "γ_{dst}", "-", 2, "partial factor on destabilising actions")
_("gamma_stb", "γ_{stb}", "-", 2, "partial factor on stabilising actions")
