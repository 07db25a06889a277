"""Symbols of slip surfaces: one slice, the sums over all slices, the reinforcement they cut."""

from calc.nomenclature.declared import declare as _

# One slice; forces per metre of embankment
_("b_i", "b_i", "m", 3, "width of the slice")
_("l_i", "l_i", "m", 3, "length of the base of the slice")
_("sigma_vtot", "σ_{v,tot}", "kPa", 2, "total vertical stress on the base of the slice, with traffic")
_("W_i", "W_i", "kN/m", 2, "weight of the slice with traffic")
_("u_i", "u_i", "kPa", 2, "pore pressure on the base of the slice")
_("h_wi", "h_{w,i}", "m", 3, "height of the water table over the base of the slice")
_("beta_w", "β_w", "rad", 2, "slope of the water table", shown="deg")
_("r_u", "r_u", "-", 3, "pore pressure over total vertical stress")
_("y_b", "y_b", "m", 3, "level of the base of the slice")
_("y_u", "y_u", "m", 3, "level from which the undrained strength grows")
_("F_tr", "F_{tr}", "-", 4, "trial value of the safety, with which the base normals are taken")
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
_("f_X", "f_X", "-", 4, "assumed course of the ratio of shear to normal force between slices")
_("x_f", "x_f", "m", 3, "distance of the face from the upper end of the slip surface")
_("L_x", "L_x", "m", 3, "horizontal length of the slip surface")

# Column field
_("sigma_stot", "σ_{s,tot}", "kPa", 2, "total vertical stress on the base in the soil between the columns")
_("sigma_ctot", "σ_{c,tot}", "kPa", 2, "total vertical stress on the base in the columns")
_("W_si", "W_{s,i}", "kN/m", 2, "weight on the base in the soil between the columns")
_("W_ci", "W_{c,i}", "kN/m", 2, "weight on the base in the columns")
_("DX_si", "ΔX_{s,i}", "kN/m", 2, "part of the shear between slices that acts on the soil between the columns")

# Arms
_("R_sl", "R", "m", 3, "radius of the slip circle")
_("x_M", "x_M", "m", 3, "horizontal distance of the slice uphill of the centre")
_("a_Ri", "a_{R,i}", "m", 3, "arm of the shear on the base about the centre")
_("a_Ni", "a_{N,i}", "m", 3, "arm of the base normal about the centre, none on a circle")
_("y_M", "y_M", "m", 3, "level of the centre")
_("y_T", "y_T", "m", 3, "level of the reinforcement that is cut")

# Sums
_("M_e", "M_e", "kN", 1, "driving moment of other forces about the centre, per metre")
_("H_ex", "H_e", "kN/m", 2, "horizontal driving force beside the base normals")
_("F_s", "F_s", "-", 4, "over-design factor of the slip surface")
_("F_sm", "F_{s,m}", "-", 4, "over-design factor of the slip surface by moments")
_("F_sf", "F_{s,f}", "-", 4, "over-design factor of the slip surface by horizontal forces")
_("f_J", "f_0", "-", 4, "factor for the shear between slices, by Janbu")
_("b_J", "b_1", "-", 2, "coefficient of this factor for the kind of soil")
_("d_J", "d_J", "m", 3, "largest depth of the slip surface below its chord")
_("L_J", "L_J", "m", 3, "length of the chord of the slip surface")
_("M_Rb", "M_{R,b}", "kN", 1, "resisting moment of the bases about the centre, per metre")
_("M_Db", "M_{D,b}", "kN", 1, "driving moment about the centre, per metre")

# Tension crack
_("z_cr", "z_{cr}", "m", 3, "depth of the tension crack")
_("z_crw", "z_{cr,w}", "m", 3, "depth of water in the tension crack")
_("P_cw", "P_{cr,w}", "kN/m", 2, "thrust of the water in the tension crack")

# Reinforcement
_("Dx_po", "Δx_{po}", "m", 3, "piece of the reinforcement for its pull-out resistance")
_("a_po", "a_{po}", "kPa", 2, "adhesion of both faces of the reinforcement")
_("sigma_po", "σ_{po}", "kPa", 2, "effective vertical stress on the reinforcement, without traffic")
_("R_po", "R_{po}", "kN/m", 2, "pull-out resistance of the reinforcement on one side of the slip surface")
_("R_poi", "R_{po,i}", "kN/m", 2, "pull-out resistance of the reinforcement in the sliding mass")
_("R_poo", "R_{po,o}", "kN/m", 2, "pull-out resistance of the reinforcement in the ground that stays")
_("T_sl", "T_{slip}", "kN/m", 2, "tension of the reinforcement at the slip surface")
_("F_sreq", "F_{s,req}", "-", 3, "safety asked for of the slip surface")
_("T_sreq", "T_{s,req}", "kN/m", 2, "tension that the slip surface asks of the reinforcement")
