"""Symbols of consolidation: drainage, degrees in time, encased columns, gain of strength, secondary compression."""

from calc.nomenclature.declared import declare as _

# Drainage to the columns
_("n_d", "n_d", "-", 3, "diameter of the unit cell over that of the column")
_("s_sm", "s_{sm}", "-", 2, "diameter of the smeared zone over that of the column")
_("r_ks", "κ_s", "-", 2, "horizontal permeability of the soft ground over that of its smeared zone")
_("F_id", "F_{d,0}", "-", 4, "drainage factor without smear and well resistance")
_("F_un", "F_{d,1}", "-", 4, "part of the drainage factor of the logarithms, with smear")
_("F_zo", "F_{d,2}", "-", 4, "part of the drainage factor that takes the smeared zone out of the undisturbed ground")
_("F_sd", "F_{d,3}", "-", 4, "part of the drainage factor that puts the smeared zone in")
_("F_dr", "F_d", "-", 4, "drainage factor")
_("F_sh", "F_{d,s}", "-", 4, "drainage factor by the short form")

# Degrees of consolidation
_("f_ch", "f_{c,h}", "-", 2, "factor on c_h of the course")
_("T_h", "T_h", "-", 4, "time factor of horizontal flow, with the diameter of the cell")
_("U_h", "U_h", "-", 1, "degree of consolidation by horizontal flow", shown="%")
_("n_dr", "n_{dr}", "-", 0, "number of drained faces of the soft ground")
_("H_dr", "H_d", "m", 2, "longest way of vertical flow to a drained face")
_("T_v", "T_v", "-", 4, "time factor of vertical flow")
_("U_v", "U_v", "-", 1, "degree of consolidation by vertical flow", shown="%")
_("U_t", "U", "-", 1, "degree of consolidation", shown="%")
_("w_h", "ω_h", "1/day", -4, "rate of consolidation by horizontal flow")
_("t_h90", "t_{h,90}", "day", 1, "time of 90 % by horizontal flow, one rate")
_("t_hm90", "t_{h,90,m}", "day", 1, "time of 90 % by horizontal flow, several exponentials")
_("t_hm", "t_{h,m}", "day", 2, "mean time of horizontal flow: its share left, integrated over time")

# Load transfer while consolidating
_("n_mod", "n_{mod}", "-", 2, "stress ratio of column and soil at equal vertical strain alone")
_("f_tr", "f_{tr}", "-", 3, "factor on the coefficients of consolidation for the load that the columns take over")
_("c_hm", "c′_{h,s}", "m^2/day", -4, "coefficient for horizontal flow with load transfer")

# Encased column while consolidating
_("Lambda_d", "Λ", "kPa", 1, "difference of the first Lamé constants of column fill and soil")
_("D_rs", "D_{r,s}", "kPa", 1, "radial stress that resists widening, per widening strain, of the soil")
_("D_w", "D_w", "kPa", 1, "radial stress that resists widening, per widening strain, of column, soil and sleeve")
_("M_w", "M_w", "kPa", 1, "load on the cell per vertical strain without widening")
_("B_w", "B_w", "-", 5, "load on the cell per excess pore pressure at no vertical strain")
_("Q_w", "Q_w", "kPa", 1, "load on the cell per vertical strain without excess pore pressure")
_("m_eq", "m_{eq}", "1/kPa", -5, "equivalent compressibility of the ground around the column")
_("b_1p", "b_{1,p}", "-", 5, "volume of water per area of soil and vertical strain, column at yield")
_("b_2p", "b_{2,p}", "-", 5, "load on the cell per excess pore pressure, column at yield")
_("E_wp", "E_{w,p}", "kPa", 1, "load on the cell per vertical strain, column at yield")
_("u_e0", "u_{e,0}", "kPa", 2, "mean excess pore pressure at loading")
_("eps_wu", "ε_{w,u}", "-", 4, "widening strain of the column at this excess pore pressure", shown="%")
_("T_u", "T_u", "kN/m", 2, "ring tension of the sleeve at this excess pore pressure")

# Gain of strength
_("U_z", "U_z", "-", 1, "degree of consolidation at this depth", shown="%")
_("U_zc", "U_{z,0}", "-", 1, "degree of consolidation at this depth, 0 before the first step", shown="%")
_("Dc_uz", "Δc_{u,z}", "kPa", 2, "gain of undrained strength of the sublayer")
_("sigma_pO", "σ′_{p,OCR}", "kPa", 2, "preconsolidation pressure by the overconsolidation ratio")
_("sigma_pc", "σ′_p", "kPa", 2, "preconsolidation pressure of the soil")
_("sigma_vt", "σ′_{v,t}", "kPa", 2, "effective vertical stress in the soil at this time")
_("sigma_pt", "σ′_{p,t}", "kPa", 2, "largest effective vertical stress in the soil until this time")
_("OCR_t", "OCR_t", "-", 3, "overconsolidation ratio at this time")
_("S_nc", "S_{nc}", "-", 3, "ratio of undrained strength to effective vertical stress, normally consolidated")
_("U_b", "U_b", "-", 1, "degree of consolidation at this depth under the load placed before, lower c_h", shown="%")
_("sigma_ph", "σ′_{p,0}", "kPa", 2, "preconsolidation pressure, not below the stress without the load")
_("c_up", "c_{u,p}", "kPa", 2, "undrained strength of the normally consolidated soil at its preconsolidation pressure")
_("c_uh", "c_{u,h}", "kPa", 2, "undrained strength by stress history before construction")
_("Dc_un", "Δc_{u,n}", "kPa", 2, "gain of undrained strength of the sublayer with the stress ratio for stability")
_("Dc_us", "Δc_{u,s}", "kPa", 2, "gain of undrained strength with the stress ratio for stability, least of all")
_("Dc_uc", "Δc_{u,c}", "kPa", 2, "gain of undrained strength computed for the start of the stage, least of all")
_("S_phi", "S_φ", "-", 3, "growth of undrained strength over that of stress, from its angle")
_("m_oc", "m_{oc}", "-", 2, "exponent of the overconsolidation ratio")
_("phi_cu", "φ_{cu}", "rad", 3, "angle of the growth of undrained strength with consolidation stress", shown="deg")

# Secondary compression
_("C_ae", "C_{α,e}", "-", 4, "secondary compression as void ratio per tenfold time")
_("C_aeps", "C_{α,ε}", "-", 5, "secondary compression as strain per tenfold time")
_("e_0", "e_0", "-", 3, "initial void ratio of the soil")
_("t_p", "t_p", "day", 1, "time at which primary consolidation ends")
_("t_L", "t_L", "day", 1, "time until which secondary compression is counted")
_("s_sec", "s_{sec}", "m", 1, "settlement by secondary compression", shown="mm")
