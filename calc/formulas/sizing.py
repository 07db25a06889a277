"""What columns with their sleeves and reinforcement take of money or carbon, for a square metre of the column field."""

from numpy import pi

from calc.engine.formula import Source, formula
from calc.engine.symbols import declare as _

# A currency and kilograms of carbon dioxide are counts here: one formula serves prices and carbon factors.
_("k_col", "k_{col}", "-", 2, "charge for a column, whatever its length")
_("k_L", "k_L", "1/m", 2, "charge for a metre of column")
_("k_V", "k_V", "1/m^3", 2, "charge for a cubic metre of column")
_("k_sl", "k_{sl}", "1/m^2", 2, "charge for a square metre of the fabric of the sleeve")
_("k_mat", "k_{mat}", "1/m^2", 2, "charge for a square metre of the reinforcement that is varied")
_("K_col", "K_{col}", "-", 2, "charge for a column with its sleeve")
_("K_A", "K_A", "1/m^2", 2, "charge for a square metre of the column field")
_("K_A0", "K_{A,0}", "1/m^2", 2, "the same before this part is added")
_("K_As", "K_{A,s}", "1/m^2", 2, "part of one grid of columns in the charge for a square metre")
_("K_AB", "K_{A,B}", "1/m^2", 2, "part of the berm in the charge for a square metre")
_("b_sg", "b_{s,g}", "m", 2, "width of the column field with this grid")
_("k_B", "k_B", "1/m^3", 2, "charge for a cubic metre of the fill of the berm")

CHARGE = Source("geometry of the unit cell", evidence="derived")
SHARES = Source("shares of the width of the column field", evidence="derived")


@formula("K_col", source=CHARGE)
def charge_of_column(k_col, L_c, k_L, A_c, k_V, r_geo, k_sl):
    """What a column with its sleeve takes; length and area are net, losses belong in the charges."""
    return k_col + L_c * (k_L + A_c * k_V + 2 * pi * r_geo * k_sl)


@formula("K_A", source=CHARGE)
def charge_of_area(K_col, A_E, k_mat):
    """What a square metre of the column field takes."""
    return K_col / A_E + k_mat


@formula("K_As", source=SHARES)
def charge_of_strip(b_sg, b_F, K_col, A_E):
    """What the columns of one grid take of a square metre of the whole column field."""
    return b_sg / b_F * K_col / A_E


@formula("K_AB", source=SHARES)
def charge_of_berm(k_B, A_Bl, b_F):
    """What a berm beside the side slope takes of a square metre of the column field."""
    return k_B * A_Bl / b_F


@formula("K_A", source=SHARES)
def charge_with_part(K_A0, K_As):
    """What a square metre of the column field takes with this part."""
    return K_A0 + K_As
