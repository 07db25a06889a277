"""Symbols of the search for slip surfaces in the chapter on global stability."""

from calc.nomenclature.declared import declare as _

_("gamma_Go", "γ_{G,o}", "-", 2, "partial factor on all weight in the slip analysis")
_("gamma_Qo", "γ_{Q,o}", "-", 2, "partial factor on the traffic load in the slip analysis")
_("gamma_Re", "γ_{R,e}", "-", 2, "partial factor on the resistance in overall stability")
_("q_o", "q_o", "kPa", 2, "traffic load in the slip analysis")
_("q_pl", "q_{pl}", "kPa", 2, "construction traffic load on the lift in the slip analysis")
_("p_Ef", "p_{E,f}", "kPa", 2, "pressure of the fill placed before, with its factor, without traffic")
_("mu_sL", "μ_{s,L}", "-", 4, "stress increment of the soil over the mean one of all fill while the lift is placed")
_("mu_cL", "μ_{c,L}", "-", 4, "stress increment of the column over the mean one of all fill while the lift is placed")
_("F_Bi", "F_B", "-", 3, "minimum over-design factor, simplified Bishop")
_("F_Sp", "F_S", "-", 3, "minimum over-design factor, Spencer")
_("F_MP", "F_{MP}", "-", 3, "minimum over-design factor, Morgenstern and Price, half sine")
_("F_OM", "F_O", "-", 3, "over-design factor of the surface critical by Bishop, ordinary method")
_("F_B0", "F_{B,0}", "-", 3, "minimum over-design factor without the reinforcement, simplified Bishop")
_("F_bl", "F_{bl}", "-", 3, "minimum over-design factor of translational mechanisms, simplified Janbu")
_(
    "F_av",
    "F_{av}",
    "-",
    3,
    "over-design factor of the critical surface, averaged strength in the column field",
)
_("M_Rs", "M_R", "kN", 1, "resisting moment of the ground about the centre, in kNm per metre")
_("M_Ds", "M_D", "kN", 1, "driving moment about the centre, in kNm per metre")
_("M_Ts", "M_T", "kN", 1, "moment of the tension of the reinforcement about the centre, in kNm per metre")
_("F_mom", "F_M", "-", 5, "over-design factor from the moments of the critical surface")
_("F_dM", "ΔF_M", "-", 7, "over-design factor found less the one from the moments")
_("T_av", "T_{av}", "kN/m", 2, "tension of the reinforcement on the critical surface")
_("F_fs", "F_{fs}", "-", 3, "over-design factor of the face of the slope, infinite slope")
_("F_fi", "F_{fi}", "-", 3, "minimum over-design factor of circles within the fill, simplified Bishop")
