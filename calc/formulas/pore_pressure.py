"""Pore pressure from piezometric levels over depth, and effective stresses as total stress less pore pressure."""

from numpy import maximum, minimum, where

from calc.engine.formula import Source, formula, over_layers_above
from calc.engine.symbols import declare as _

_("s_p", "s_p", "-", 1, "part of the sublayer above the point: 0 at its top, 1 at its bottom")
_("h_p", "h_p", "m", 3, "piezometric level above ground level at this depth")
_("z_p", "z_p", "m", 3, "depth of the point")
_("u_p", "u", "kPa", 3, "pore pressure")
_("u_0p", "u_0", "kPa", 3, "pore pressure of the initial state")
_("u_hp", "u_h", "kPa", 3, "pore pressure of water at rest below the water level")
_("u_cp", "u_c", "kPa", 3, "pore pressure in the column, for the initial stress")
_("gamma_tc", "γ_{t,c}", "kN/m^3", 2, "unit weight of the column fill with its water")
_("w_t", "w_t", "kPa", 3, "total weight of the sublayer on its area")
_("w_tc", "w_{t,c}", "kPa", 3, "total weight of the column fill in the sublayer on its area")
_("p_fw", "p_w", "kPa", 3, "pressure of free water on the ground")
_("p_fw0", "p_{w,0}", "kPa", 3, "pressure of free water on the ground in the initial state")
_("sigma_tp", "σ_v", "kPa", 3, "total vertical stress")
_("sigma_tcp", "σ_{v,c,t}", "kPa", 3, "total vertical stress in the column before loading")
_("sigma_ep", "σ′_v", "kPa", 3, "effective vertical stress of this state of the water")
_("sigma_e0", "σ′_{v,i}", "kPa", 3, "effective vertical stress of the initial state of the water")
_("sigma_ecp", "σ′_{v,c}", "kPa", 3, "effective vertical stress in the column in this state of the water")
_("sigma_ip", "σ′_{v,0,p}", "kPa", 3, "initial effective vertical stress at the point")
_("sigma_icp", "σ′_{v,0,c,p}", "kPa", 3, "initial effective vertical stress in the column at the point")
_("sigma_im", "σ′_{v,0,m}", "kPa", 3, "initial effective vertical stress at mid-depth")
_("sigma_it", "σ′_{v,0,t}", "kPa", 3, "initial effective vertical stress at the top of the sublayer")
_("sigma_iB", "σ′_{v,0,B}", "kPa", 3, "initial effective vertical stress below the base of the soft layers")
_("i_dr", "i_{dr}", "-", 0, "1 where the columns drain the head of the soil to the water level, 0 where not")
_("Du_d", "Δu_d", "kPa", 3, "fall of the pore pressure since the initial state")
_("Du_dm", "Δu_{d,max}", "kPa", 3, "largest fall of the pore pressure since the initial state over the depth")
_("p_Ww", "p_{W,w}", "kPa", 3, "load from a fall of the water level alone")
_("i_fl", "i_{fl}", "-", 0, "1 where water may rise in the columns, 0 where a plug closes them")
_("Dsigma_Gn", "Δσ_{G,n}", "kPa", 3, "vertical stress increment from permanent load without the fall of the water")

STATICS = Source("definition of the piezometric level; vertical equilibrium", evidence="derived")
TERZAGHI = Source("Terzaghi (1923), principle of effective stress", evidence="not inspected")
LEAST = Source(
    "project rule: high water and high heads lower the support of the soil, low ones never raise it", evidence="derived"
)
COLUMN = Source(
    "project rule: the column is a drain; the lower of water at rest and of the soil's pressure loads it most",
    evidence="derived",
)
DRAINED = Source(
    "project rule: what the pore pressure falls by, in full at every depth; columns without a plug drain heads to the "
    "water level",
    evidence="derived",
)
FLOW = Source("law of Darcy (1856), steady flow along the column up to the water level", evidence="derived")


@formula("z_p", source=STATICS)
def depth_of_point(h, s_p):
    """Depth of a point of the sublayer."""
    return over_layers_above(h) + s_p * h


@formula("u_p", source=STATICS)
def pore_pressure(gamma_w, h_p, z_p):
    """Pore pressure at a depth by its piezometric level; no suction."""
    return gamma_w * maximum(h_p + z_p, 0)


@formula("u_hp", source=STATICS)
def pressure_at_rest(gamma_w, z_p, d_w):
    """Pore pressure of water at rest below the water level."""
    return gamma_w * maximum(z_p - d_w, 0)


@formula("gamma_t", source=STATICS)
def total_unit_weight(z, d_w, gamma, gamma_r):
    """Unit weight of a sublayer that lies wholly above or below the water level."""
    return where(z < d_w, gamma, gamma_r)


@formula("w_t", source=STATICS)
def total_weight(gamma_t, h):
    """Total weight of a sublayer on its area."""
    return gamma_t * h


@formula("p_fw", source=STATICS)
def free_water(gamma_w, d_w):
    """Pressure of free water that stands on the ground."""
    return gamma_w * maximum(-d_w, 0)


@formula("sigma_tp", source=STATICS)
def total_stress(p_0, p_fw, w_t, s_p):
    """Total vertical stress at a point of the sublayer before loading."""
    return p_0 + p_fw + over_layers_above(w_t) + s_p * w_t


@formula("sigma_ep", source=TERZAGHI)
def effective_stress(sigma_tp, u_p):
    """Effective vertical stress: total stress less pore pressure."""
    return sigma_tp - u_p


@formula("sigma_ip", source=LEAST)
def least_effective_stress(sigma_ep, sigma_e0):
    """Effective vertical stress before loading, the smaller of this state of the water and of the initial one."""
    return minimum(sigma_ep, sigma_e0)


@formula("gamma_eff", source=TERZAGHI)
def increase_of_effective_stress(sigma_im, sigma_it, h):
    """Effective unit weight of a sublayer, by its effective stresses at mid-depth and at its top."""
    return (sigma_im - sigma_it) / (h / 2)


@formula("u_cp", source=COLUMN)
def pressure_in_column(u_p, u_hp):
    """Pore pressure in the column for its initial stress."""
    return minimum(u_p, u_hp)


@formula("Du_d", source=DRAINED)
def fall_of_pressure(u_0p, p_fw0, i_dr, u_p, u_hp, p_fw):
    """Fall of the pore pressure below its initial value, without that of free water on the ground."""
    return maximum(u_0p - p_fw0 - where(i_dr > 0, minimum(u_p, u_hp), u_p) + p_fw, 0)


@formula("p_W", source=DRAINED)
def load_by_fall_of_water(p_Ww, Du_dm):
    """Load from a fall of the water level or of heads over depth, in full at every depth."""
    return maximum(p_Ww, Du_dm)


@formula("i_col", source=FLOW)
def gradient_in_column(i_fl, h_a, d_w, d_B):
    """Hydraulic gradient upward in columns that are open to the aquifer."""
    return i_fl * maximum(h_a + d_w, 0) / (d_B - maximum(d_w, 0))


@formula("gamma_b", source=FLOW)
def unit_weight_with_upward_flow(gamma_br, gamma_w, i_col):
    """Effective unit weight of column fill in which water rises."""
    return gamma_br - gamma_w - gamma_w * i_col


@formula("sigma_v0t", source=TERZAGHI)
def toe_overburden_with_head(sigma_iB, gamma_b, t_emb):
    """Effective vertical stress at toe level before loading, with the head of the aquifer."""
    return sigma_iB + gamma_b * t_emb


@formula("Dsigma_Gn", source=DRAINED)
def permanent_load_without_fall(Dsigma_G, p_W):
    """Vertical stress increment that adds strength: that of a head which the columns may drain is not relied on."""
    return Dsigma_G - p_W
