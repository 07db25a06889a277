"""Columns that end in soft ground: what shaft and toe pass on, length above the toe in which the cell does not hold.

Above the sharing length column and soil settle equally, as in the unit cell; within it the column gives its load back
to the soil, which settles as if there were no columns.
"""

from numpy import maximum, minimum, tan, where

from calc.engine.formula import Source, formula, over_layers, over_layers_above
from calc.engine.symbols import declare as _

_("alpha_sh", "α_τ", "-", 2, "adhesion of the shaft over the undrained strength of the soft ground")
_("K_sh", "K_τ", "-", 2, "coefficient of earth pressure on the shaft, applied to the initial stress")
_("delta_sh", "δ_τ", "rad", 3, "friction angle between shaft and soft ground", shown="deg")
_("delta_shd", "δ_{τ,d}", "rad", 3, "design value of the friction angle between shaft and soft ground", shown="deg")
_("N_cB", "N_{c,B}", "-", 2, "bearing factor of the toe in the undrained strength")
_("chi_B", "χ_B", "-", 2, "share of the bearing of the toe that is mobilised under service load")
_("s_pen", "s_B", "m", 1, "penetration of the toe: settlement of the soil beyond that of the column", shown="mm")
_("Dsigma_lo", "Δσ_{v,c,lo}", "kPa", 2, "stress increment on the column in the lowest sublayer")
_("s_Bn", "s_{B,n}", "m", 1, "penetration by which the toe has mobilised what it passes on", shown="mm")
_("c_uB", "c_{u,B}", "kPa", 2, "undrained shear strength of the soft ground at and below the toes")
_("c_uBd", "c_{u,B,d}", "kPa", 2, "design undrained shear strength of the soft ground at and below the toes")
_("tau_sh", "τ_{sh}", "kPa", 2, "shear stress that the shaft passes on to the soft ground")
_("Dsigma_sh", "Δσ_{sh}", "kPa", 2, "stress of the column that the shaft passes on in the sublayer")
_("Dsigma_be", "Δσ_{be}", "kPa", 2, "stress of the column that the shaft passes on below the sublayer")
_("Dsigma_B", "Δσ_B", "kPa", 2, "stress increment of the column that the toe passes on")
_("Dsigma_vcw", "Δσ_{v,c,w}", "kPa", 2, "stress increment on the column, whole load where the cell is not active")
_("Dsigma_1", "Δσ_{v,c,1}", "kPa", 2, "stress increment on the column in the uppermost sublayer")
_("Dsigma_0lt", "Δσ_{0,lt}", "kPa", 2, "mean stress increment within the sharing length, excess weight included")
_("Dsigma_wt", "Δσ_{w,t}", "kPa", 2, "excess weight of the columns over the soil at toe level, mean over the cell")
_("f_lt", "f_{lt}", "-", 3, "share of the sublayer that lies within the sharing length")
_("l_t", "l_t", "m", 2, "sharing length above the toes, in which the column gives its load back to the soil")
_("s_ic", "s_{i,c}", "m", 2, "settlement of the sublayer where the unit cell holds", shown="mm")
_("sigma_RB", "σ_{R,B}", "kPa", 1, "ultimate pressure under the toe")
_("t_sc", "t_{w,c}", "m", 2, "thickness of the soft layers that the columns pass through")
_("t_sB", "t_{w,B}", "m", 2, "thickness of the soft ground below the toes")
_("b_cf", "b_{cf}", "m", 2, "width of the block of columns that end in soft ground")

SHAFT = Source(
    "Tomlinson (1957), 4th ICSMFE London 2, 66–71 (adhesion); Burland (1973), Ground Engineering 6(3), 30–42 "
    "(friction); the lesser of both",
    evidence="not inspected",
)
EQUILIBRIUM = Source("vertical equilibrium of a slice of the column with shear on its wall", evidence="derived")
DEEP = Source(
    "Skempton (1951), Building Research Congress London 1, 180–189, deep foundation", evidence="not inspected"
)
MOBILISED = Source(
    "bearing in proportion to the penetration, all of it at a tenth of the diameter; common practice, no source",
    evidence="derived",
)
SHARING = Source("length over which shaft and toe pass on the stress of the cell", evidence="derived")
SOIL_ALONE = Source(
    "project rule: the unit cell above the sharing length, soil without columns within it", evidence="derived"
)
BALANCE = Source("vertical equilibrium of the cell, columns and soil with their own weights", evidence="derived")
GEOMETRY = Source("geometry of the ground", evidence="derived")


@formula("tau_sh", source=SHAFT)
def shaft_shear(alpha_sh, c_u, K_sh, sigma_v0s, delta_sh):
    """Shear stress that the shaft passes on to the soft ground: adhesion, at most friction under the initial stress."""
    return minimum(alpha_sh * c_u, K_sh * sigma_v0s * tan(delta_sh))


@formula("Dsigma_sh", source=EQUILIBRIUM)
def shaft_transfer(tau_sh, h, d_c):
    """Stress of the column that its shaft passes on to the soft ground in the sublayer."""
    return 4 * tau_sh * h / d_c


@formula("Dsigma_be", source=EQUILIBRIUM)
def transfer_below(Dsigma_sh):
    """Stress of the column that its shaft passes on from the bottom of the sublayer down to the toe."""
    return over_layers(Dsigma_sh) - over_layers_above(Dsigma_sh) - Dsigma_sh


@formula("Dsigma_B", source=DEEP)
def toe_increment(chi_B, N_cB, c_uB, sigma_v0t, sigma_v0ct):
    """Stress increment that the toe passes on: its mobilised bearing, overburden less weight of the column."""
    return maximum(chi_B * N_cB * c_uB + sigma_v0t - sigma_v0ct, 0)


@formula("f_lt", source=SHARING)
def share_in_sharing_length(Dsigma_vcw, Dsigma_B, Dsigma_be, Dsigma_sh):
    """Share of the sublayer, from its bottom up, in which the column cannot have the stress of the unit cell."""
    return minimum(maximum((Dsigma_vcw - Dsigma_B - Dsigma_be) / Dsigma_sh, 0), 1)


@formula("l_t", source=SHARING)
def sharing_length(f_lt, h, Dsigma_1, Dsigma_B, Dsigma_sh):
    """Sharing length; where the whole column is not enough it goes on with the mean shear of the shaft."""
    return over_layers(f_lt * h) + maximum((Dsigma_1 - Dsigma_B) / over_layers(Dsigma_sh) - 1, 0) * over_layers(h)


@formula("Dsigma_0lt", source=BALANCE)
def stress_of_soil_alone(Dsigma_0, a_E, sigma_v0c, sigma_v0s):
    """Mean stress increment on the soil alone, to which the column gives back its load and its excess weight."""
    return Dsigma_0 + maximum(a_E * (sigma_v0c - sigma_v0s), 0)


@formula("Dsigma_wt", source=BALANCE)
def excess_weight_at_toe(a_E, sigma_v0ct, sigma_v0t):
    """Excess weight of the columns over the soil at toe level, which the ground below carries too."""
    return maximum(a_E * (sigma_v0ct - sigma_v0t), 0)


@formula("Dsigma_t", source=BALANCE)
def load_at_toe_level(Dsigma_0, Dsigma_wt):
    """Mean stress increment at toe level, excess weight of the columns included."""
    return Dsigma_0 + Dsigma_wt


@formula("f_tr", source=SOIL_ALONE)
def transfer_factor_with_sharing_length(f_lt, E_oed, m_eq):
    """Factor on the coefficient of horizontal flow; 1 where the sharing length reaches into the sublayer."""
    return where(f_lt > 0, 1, 1 / (E_oed * m_eq))


@formula("u_e0", source=SOIL_ALONE)
def start_pressure_with_sharing_length(f_lt, Dsigma_0lt, Dsigma_0, b_2p):
    """Mean excess pore pressure at loading; the whole load where the sharing length reaches into the sublayer."""
    return where(f_lt > 0, Dsigma_0lt, Dsigma_0 / b_2p)


@formula("s_i", source=SOIL_ALONE)
def settlement_with_sharing_length(f_lt, s_ic, s_iu):
    """Settlement of the sublayer: of the unit cell, and of the soil alone within the sharing length."""
    return (1 - f_lt) * s_ic + f_lt * s_iu


@formula("s_pen", source=SOIL_ALONE)
def toe_penetration(f_lt, s_iu, s_ic):
    """Penetration of the toe into the soft ground: what the soil settles more within the sharing length."""
    return over_layers(f_lt * (s_iu - s_ic))


@formula("s_Bn", source=MOBILISED)
def needed_penetration(d_c, chi_B, Dsigma_lo, N_cB, c_uB):
    """Penetration by which the toe has mobilised the share counted, or the stress of the column where it is less."""
    return d_c / 10 * minimum(chi_B, Dsigma_lo / (N_cB * c_uB))


@formula("sigma_RB", source=DEEP)
def soft_toe_resistance(N_cB, c_uB, sigma_v0t):
    """Ultimate effective pressure under a deep toe in soft ground, undrained."""
    return N_cB * c_uB + sigma_v0t


@formula("sigma_R", source=EQUILIBRIUM)
def resistance_of_shaft_and_toe(sigma_RB, Dsigma_sh):
    """Stress of the column that toe and shaft of its whole length pass on."""
    return sigma_RB + over_layers(Dsigma_sh)


@formula("t_soft", source=GEOMETRY)
def soft_ground_to_firm_layer(t_sc, t_sB):
    """Thickness of the soft ground from its top down to firm ground, below the toes too."""
    return t_sc + t_sB


@formula("b_cf", source=GEOMETRY)
def width_of_block(x_cr, x_cl):
    """Width of the block of columns."""
    return x_cr - x_cl


@formula("b_cf", source=GEOMETRY)
def width_of_block_of_zone(x_z2, x_z1):
    """Width of the block of columns of a zone, on one side of the axis: beside it columns do not end at its toes."""
    return x_z2 - x_z1
