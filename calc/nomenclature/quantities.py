"""Symbols of the quantities of a section, of the head of the columns and of the first lift."""

from calc.nomenclature.declared import declare as _

# Column field
_("L_sec", "L_{sec}", "m", 1, "length of the section along the embankment")
_("b_crest", "b_C", "m", 2, "width of the crest")
_("b_gl", "b_{g,l}", "m", 2, "width of the column field beyond the left crest edge")
_("b_gr", "b_{g,r}", "m", 2, "width of the column field beyond the right crest edge")
_("b_F", "b_F", "m", 2, "width of the column field between the outermost axes")
_("e_r", "e_r", "m", 3, "distance of the rows along the embankment")
_("N_rowx", "N_{row,x}", "-", 2, "rows of columns, before rounding up")
_("N_row", "N_{row}", "-", 0, "rows of columns across the embankment")
_("N_colx", "N_{col,x}", "-", 2, "columns of the section, before rounding up")
_("N_col", "N_{col}", "-", 0, "columns of the section")
_("N_A", "N_A", "-", 1, "columns of the section from its area")

# Columns
_("l_col", "l_{col}", "m", 1, "metres of column")
_("l_top", "l_{top}", "m", 2, "sleeve above the head, for tying and trimming")
_("l_toe", "l_{toe}", "m", 2, "sleeve used up in closing the toe")
_("L_sl", "L_{sl}", "m", 2, "sleeve for one column")
_("l_sl", "l_{sl}", "m", 1, "metres of sleeve")
_("A_sl", "A_{sl}", "m^2", 1, "area of the fabric of the sleeves")
_("f_V", "f_V", "-", 2, "volume of fill delivered over the theoretical volume")
_("L_fill", "L_{fill}", "m", 2, "length of the column that is filled, above a plug")
_("V_pl", "V_{pl}", "m^3", 1, "theoretical volume of the plugs")
_("V_c1", "V_{c,1}", "m^3", 3, "theoretical volume of the fill of one column")
_("V_c", "V_c", "m^3", 1, "theoretical volume of the fill of the columns")
_("V_del", "V_{del}", "m^3", 1, "volume of column fill to be delivered")
_("V_exc", "V_{exc}", "m^3", 1, "volume of soil excavated from the casings")

# Embankment and reinforcement
_("H_E", "H_E", "m", 2, "height of the embankment")
_("n_Sl", "n_{S,l}", "-", 2, "run of the left side slope")
_("n_Sr", "n_{S,r}", "-", 2, "run of the right side slope")
_("V_E", "V_E", "m^3", 1, "volume of the embankment above the platform, without compensation fill")
_("z_C", "z_C", "m", 2, "level of the crest")
_("z_B", "z_B", "m", 2, "level of the base of the embankment fill")
_("z_rl", "z_{r,i}", "m", 2, "level of the layer of reinforcement")
_("b_rf", "b_{r,i}", "m", 2, "width of the layer of reinforcement")
_("l_end", "l_{end}", "m", 2, "reinforcement beyond the embankment on each side")
_("b_roll", "b_{roll}", "m", 2, "width of a roll of reinforcement")
_("l_ov", "l_{ov}", "m", 2, "overlap of neighbouring rolls")
_("f_ov", "f_{ov}", "-", 3, "reinforcement laid over area covered")
_("A_rf", "A_{r,i}", "m^2", 1, "reinforcement of the layer with overlaps")

# Head and first lift
_("z_H", "z_H", "m", 3, "level of the column head")
_("t_cov", "t_{cov}", "m", 3, "cover over the column head")
_("t_covm", "t_{cov,min}", "m", 3, "least cover over the column head")
_("t_FL", "t_{FL}", "m", 3, "thickness of the first lift over the column heads")
_("t_mach", "t_{mach}", "m", 3, "cover over the column heads before machines drive on it")
