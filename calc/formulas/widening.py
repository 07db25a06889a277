"""Widening of an existing bank: stress under its old and its new outline, settlement, slope across, joint of mats."""

from numpy import arctan, log10, maximum, minimum, pi, where

from calc.engine.formula import Source, formula
from calc.engine.symbols import declare as _

_("x_W", "x_W", "m", 2, "position across, from the axis of the crest")
_("x_W1", "x_{W,1}", "m", 3, "place of the left toe after widening")
_("x_W2", "x_{W,2}", "m", 3, "place of the left crest edge after widening")
_("x_W3", "x_{W,3}", "m", 3, "place of the right crest edge after widening")
_("x_W4", "x_{W,4}", "m", 3, "place of the right toe after widening")
_("x_O1", "x_{O,1}", "m", 3, "place of the left toe of the old bank")
_("x_O2", "x_{O,2}", "m", 3, "place of the left crest edge of the old bank")
_("x_O3", "x_{O,3}", "m", 3, "place of the right crest edge of the old bank")
_("x_O4", "x_{O,4}", "m", 3, "place of the right toe of the old bank")
_("n_OL", "n_{O,L}", "-", 2, "horizontal run of the left slope of the old bank per unit of height")
_("n_OR", "n_{O,R}", "-", 2, "horizontal run of the right slope of the old bank per unit of height")
_("H_O", "H_O", "m", 3, "height of the old bank above the ground")
_("H_W", "H_W", "m", 3, "height of the bank above the ground after widening")
_("gamma_O", "γ_O", "kN/m^3", 2, "unit weight of the old bank")
_("q_O", "q_O", "kPa", 2, "load on the crest of the old bank that the ground has carried with it")
_("U_O", "U_O", "-", 1, "degree of consolidation of the ground under the old bank", shown="%")
_("Dsigma_age", "Δσ′_{age}", "kPa", 2, "preconsolidation by ageing beyond the stress under the old bank")
_("I_W", "I_W", "-", 4, "influence of the outline after widening")
_("I_O", "I_O", "-", 4, "influence of the outline of the old bank")
_("I_qW", "I_{q,W}", "-", 4, "influence of the crest after widening")
_("I_qO", "I_{q,O}", "-", 4, "influence of the crest of the old bank")
_("I_Wh", "I_{W,h}", "-", 4, "influence of the outline after widening, elastic half-space")
_("I_Oh", "I_{O,h}", "-", 4, "influence of the outline of the old bank, elastic half-space")
_("I_qWh", "I_{q,W,h}", "-", 4, "influence of the crest after widening, elastic half-space")
_("I_qOh", "I_{q,O,h}", "-", 4, "influence of the crest of the old bank, elastic half-space")
_("I_Wp", "I_{W,p}", "-", 4, "height of the outline after widening over that of its crest")
_("I_Op", "I_{O,p}", "-", 4, "height of the outline of the old bank over that of its crest")
_("I_qWp", "I_{q,W,p}", "-", 0, "the position lies on the crest after widening (1) or not (0)")
_("I_qOp", "I_{q,O,p}", "-", 0, "the position lies on the crest of the old bank (1) or not (0)")
_("sigma_O", "σ_O", "kPa", 3, "vertical stress from the old bank")
_("sigma_N", "σ_W", "kPa", 3, "vertical stress from the widened bank")
_("sigma_O0", "σ′_{v,0,O}", "kPa", 3, "effective vertical stress in the soil before widening")
_("sigma_O0c", "σ′_{v,0,c,O}", "kPa", 3, "effective vertical stress in the column before widening")
_("sigma_OR", "σ′_{v,1,O}", "kPa", 3, "effective vertical stress when the old bank alone has consolidated the ground")
_("sigma_W1", "σ′_{v,1,W}", "kPa", 3, "effective vertical stress in the soil after widening")
_("sigma_Wp", "σ′_{p,W}", "kPa", 3, "preconsolidation pressure before widening")
_("Dsigma_W", "Δσ_W", "kPa", 3, "vertical stress increment on the soil that settles it from now on")
_("Dsigma_OR", "Δσ_{O,1}", "kPa", 3, "vertical stress increment that the old bank has not yet brought to bear")
_("C_cs", "C_{c,s}", "-", 3, "compression index of the soil")
_("C_rs", "C_{r,s}", "-", 3, "recompression index of the soil")
_("s_iO", "s_{i,O}", "m", 2, "settlement of the sublayer that the old bank still has", shown="mm")
_("s_Wu", "s_{W,u}", "m", 1, "settlement without columns from now on", shown="mm")
_("s_WO", "s_{W,O}", "m", 1, "settlement that the old bank still has without the widening", shown="mm")
_("s_WN", "s_{W,N}", "m", 1, "settlement by the widening alone", shown="mm")
_("s_Wc", "s_{W,c}", "m", 1, "settlement with columns, old bank in the initial state", shown="mm")
_(
    "s_WC",
    "s_{W,ho,max}",
    "m",
    1,
    "largest settlement that can come after hand-over, columns where they stand",
    shown="mm",
)
_(
    "s_WCn",
    "s_{W,ho,min}",
    "m",
    1,
    "smallest settlement that can come after hand-over, columns where they stand",
    shown="mm",
)
_("r_Wc", "r_W", "-", 1, "share of the settlement on columns that comes after hand-over", shown="%")
_("i_Wc", "i_{W,c}", "-", 0, "columns stand at the position (1) or not (0)")
_("k_W", "k_W", "-", 1, "least share of the settlement counted after hand-over", shown="%")
_("s_Wl", "s_{W,l}", "m", 1, "settlement without columns by the law of the combination", shown="mm")
_("s_Wt", "s_{W,tot}", "m", 1, "largest settlement on the crest from now on", shown="mm")
_("L_WB", "L_{W,B}", "m", 2, "base length of cross-fall and grade")
_("s_Wax", "s_{W,a,max}", "m", 1, "largest settlement counted at the left end of the base length", shown="mm")
_("s_Wan", "s_{W,a,min}", "m", 1, "smallest settlement counted at the left end of the base length", shown="mm")
_("s_Wbx", "s_{W,b,max}", "m", 1, "largest settlement counted at the right end of the base length", shown="mm")
_("s_Wbn", "s_{W,b,min}", "m", 1, "smallest settlement counted at the right end of the base length", shown="mm")
_("s_Wlx", "s_{W,l,max}", "m", 1, "largest settlement counted a base length on the left", shown="mm")
_("s_Wln", "s_{W,l,min}", "m", 1, "smallest settlement counted a base length on the left", shown="mm")
_("s_Wmx", "s_{W,m,max}", "m", 1, "largest settlement counted between two base lengths", shown="mm")
_("s_Wmn", "s_{W,m,min}", "m", 1, "smallest settlement counted between two base lengths", shown="mm")
_("s_Wrx", "s_{W,r,max}", "m", 1, "largest settlement counted a base length on the right", shown="mm")
_("s_Wrn", "s_{W,r,min}", "m", 1, "smallest settlement counted a base length on the right", shown="mm")
_("i_Wx", "i_{W,abs}", "-", 2, "largest change of cross-fall over the base length", shown="%")
_("Di_W", "Δi_W", "-", 2, "largest change of grade between two base lengths", shown="%")
_("s_Wx", "s_{W,max}", "m", 1, "largest settlement counted on the crest", shown="mm")
_("s_Wn", "s_{W,min}", "m", 1, "smallest settlement counted on the crest", shown="mm")
_("Ds_W", "Δs_W", "m", 1, "difference of settlement across the crest", shown="mm")
_("s_Wpr", "s_{W,pr}", "m", 1, "primary settlement without columns, all of it", shown="mm")
_("s_Wres", "s_{W,res}", "m", 1, "settlement after hand-over without columns, an upper bound", shown="mm")
_("Ds_Wlim", "Δs_{W,lim}", "m", 1, "limit of the difference of settlement across the crest", shown="mm")
_("i_Wlim", "i_{W,lim}", "-", 2, "limit of the change of cross-fall", shown="%")
_("Di_Wlim", "Δi_{W,lim}", "-", 2, "limit of the change of grade", shown="%")
_("s_Wlim", "s_{W,lim}", "m", 1, "limit of the settlement on the crest", shown="mm")
_("s_Wrlim", "s_{W,res,lim}", "m", 1, "limit of the residual settlement on the crest", shown="mm")
_("h_J", "h_J", "m", 3, "cover over the joint as given")
_("h_Jst", "h_{J,st}", "m", 3, "cover over the joint in this stage")
_("L_Jg", "L_{J,g}", "m", 3, "length of the joint as given")
_("L_Jreq", "L_{J,req}", "m", 3, "length of the joint required")
_("phi_Ok", "φ′_{O,k}", "rad", 3, "characteristic friction angle of the old fill below the joint", shown="deg")
_("phi_O", "φ′_O", "rad", 3, "friction angle of the old fill below the joint in this factor set", shown="deg")
_("gamma_J", "γ_J", "kN/m^3", 2, "favourable unit weight of the fill over the joint, the lighter of old and new")

OUTLINE = Source("plane geometry of the outline", evidence="derived")
HALF_SPACE = Source(
    "Boussinesq (1885) and Flamant (1892), flexible trapezium on an elastic half-space, a sum over its corners",
    evidence="derived",
)
STRIP = Source("Boussinesq (1885) and Flamant (1892), flexible strip on an elastic half-space", evidence="derived")
LOCAL = Source("project rule: height of the fill above the position, at every depth", evidence="derived")
LOAD = Source("weight of the old bank, of the new fill beside and above it, and load on the crest", evidence="derived")
STATE = Source("effective stress under a bank that has consolidated the ground in part", evidence="derived")
HISTORY = Source("largest stress that the ground has carried, with ageing as given", evidence="derived")
LOGARITHMIC = Source("Terzaghi & Peck (1948), settlement by compression index", evidence="not inspected")
PARTS = Source("difference of the parts", evidence="derived")
AFTER = Source(
    "project rule: primary settlement reached at hand-over by permanent load, lower cₕ, over the final one", "derived"
)
AT_LEAST = Source(
    "project rule: ground on columns consolidates first; elsewhere as large a share or all of it comes later", "derived"
)
BOUNDS = Source("largest of all settlements between the bounds, each place by itself", evidence="derived")
COVER = Source("project rule: no more cover than the fill of the stage gives", evidence="derived")


@formula("x_O1", source=OUTLINE)
def left_toe_of_old_bank(x_O2, n_OL, H_O):
    """Place of the left toe of the old bank."""
    return x_O2 - n_OL * H_O


@formula("x_O4", source=OUTLINE)
def right_toe_of_old_bank(x_O3, n_OR, H_O):
    """Place of the right toe of the old bank."""
    return x_O3 + n_OR * H_O


@formula("I_Wh", source=HALF_SPACE)
def influence_of_outline(x_W, z, x_W1, x_W2, x_W3, x_W4):
    """Vertical stress below a long bank over the pressure at its crest."""
    return (
        ((x_W1 - x_W) * arctan((x_W1 - x_W) / z) - (x_W2 - x_W) * arctan((x_W2 - x_W) / z)) / (x_W2 - x_W1)
        + ((x_W4 - x_W) * arctan((x_W4 - x_W) / z) - (x_W3 - x_W) * arctan((x_W3 - x_W) / z)) / (x_W4 - x_W3)
    ) / pi


@formula("I_qWh", source=STRIP)
def influence_of_crest(x_W, z, x_W2, x_W3):
    """Vertical stress below a long strip of load over its pressure, the strip being the crest."""
    return (
        arctan((x_W3 - x_W) / z)
        - arctan((x_W2 - x_W) / z)
        + (x_W3 - x_W) * z / ((x_W3 - x_W) ** 2 + z**2)
        - (x_W2 - x_W) * z / ((x_W2 - x_W) ** 2 + z**2)
    ) / pi


@formula("I_Wp", source=LOCAL)
def share_of_height(x_W, x_W1, x_W2, x_W3, x_W4):
    """Height of the bank above the position over that of its crest."""
    return maximum(minimum(minimum((x_W - x_W1) / (x_W2 - x_W1), (x_W4 - x_W) / (x_W4 - x_W3)), 1), 0)


@formula("I_qWp", source=LOCAL)
def on_crest(x_W, x_W2, x_W3):
    """Share of the load on the crest above the position."""
    return where(x_W < x_W2, 0, where(x_W > x_W3, 0, 1))


@formula("sigma_O", source=LOAD)
def stress_of_old_bank(gamma_O, H_O, I_O, q_O, I_qO):
    """Vertical stress from the old bank and from what has stood on it as long."""
    return gamma_O * H_O * I_O + q_O * I_qO


@formula("sigma_N", source=LOAD)
def stress_of_widened_bank(gamma_E, H_W, I_W, H_O, I_O, gamma_O, f_q, q, I_qW, p_W):
    """Vertical stress from the old bank, new fill around it, quasi-permanent load on the new crest, fall of water."""
    return gamma_E * (H_W * I_W - H_O * I_O) + gamma_O * H_O * I_O + f_q * q * I_qW + p_W


@formula("sigma_O0", source=STATE)
def stress_before_widening(sigma_v0s, U_O, sigma_O):
    """Effective vertical stress before widening: what of the stress from the old bank has become effective counts."""
    return sigma_v0s + U_O * sigma_O


@formula("sigma_W1", source=STATE)
def stress_after_widening(sigma_v0s, sigma_N):
    """Effective vertical stress after widening, consolidated."""
    return sigma_v0s + sigma_N


@formula("Dsigma_W", source=STATE)
def increment_by_widening(sigma_N, U_O, sigma_O):
    """Vertical stress increment from now on, with what the old bank has not yet brought to bear."""
    return sigma_N - U_O * sigma_O


@formula("Dsigma_OR", source=STATE)
def increment_of_old_bank(sigma_O, U_O):
    """Vertical stress increment that the old bank has not yet brought to bear."""
    return (1 - U_O) * sigma_O


@formula("sigma_Wp", source=HISTORY)
def preconsolidation_under_old_bank(sigma_pc, sigma_O0, Dsigma_age):
    """Preconsolidation pressure before widening, of the ground beside the bank or by the bank."""
    return maximum(sigma_pc, sigma_O0 + Dsigma_age)


@formula("s_iu", source=LOGARITHMIC)
def settlement_by_indices(h, e_0, C_rs, sigma_W1, sigma_Wp, sigma_O0, C_cs):
    """Settlement of the sublayer without columns, recompressed up to its preconsolidation pressure."""
    return (
        h
        / (1 + e_0)
        * (C_rs * log10(minimum(sigma_W1, sigma_Wp) / sigma_O0) + C_cs * log10(maximum(sigma_W1, sigma_Wp) / sigma_Wp))
    )


@formula("s_WN", source=PARTS)
def settlement_by_widening(s_Wu, s_WO):
    """Settlement by the widening alone: all that comes less what the old bank still has."""
    return s_Wu - s_WO


@formula("r_Wc", source=AFTER)
def share_after_hand_over(s_hpm, s):
    """Share of the settlement on columns that comes after hand-over, at full height on ground without the old bank."""
    return maximum(1 - s_hpm / s, 0)


@formula("s_WC", source=AT_LEAST)
def largest_after_hand_over(i_Wc, k_W, s_Wc, s_Wl):
    """Largest settlement that can come after hand-over: on columns the share counted, elsewhere all of it."""
    return where(i_Wc > 0, k_W * s_Wc, s_Wl)


@formula("s_WCn", source=AT_LEAST)
def smallest_after_hand_over(i_Wc, k_W, s_Wc, s_Wl):
    """Smallest settlement that can come after hand-over: the share counted on columns, elsewhere as well."""
    return k_W * where(i_Wc > 0, s_Wc, s_Wl)


@formula("i_Wx", source=BOUNDS)
def largest_cross_fall(s_Wbx, s_Wan, s_Wax, s_Wbn, L_WB):
    """Largest change of cross-fall over the base length by any settlement between the bounds at its ends."""
    return maximum(s_Wbx - s_Wan, s_Wax - s_Wbn) / L_WB


@formula("Di_W", source=BOUNDS)
def largest_change_of_grade(s_Wlx, s_Wrx, s_Wmn, s_Wmx, s_Wln, s_Wrn, L_WB):
    """Largest change of grade between two base lengths by any settlement between the bounds at their ends."""
    return maximum(s_Wlx + s_Wrx - 2 * s_Wmn, 2 * s_Wmx - s_Wln - s_Wrn) / L_WB


@formula("s_Wres", source=BOUNDS)
def residual_without_columns(s_Wpr, s_seco, f_sec):
    """Settlement after hand-over without columns: at most all of the primary one, and the creep from hand-over on."""
    return s_Wpr + s_seco / f_sec


@formula("Ds_W", source=PARTS)
def difference_across_crest(s_Wx, s_Wn):
    """Difference between the largest and the smallest settlement on the crest."""
    return s_Wx - s_Wn


@formula("h_Jst", source=COVER)
def cover_over_joint(h_J, H_R):
    """Cover over the joint in this stage."""
    return maximum(minimum(h_J, H_R), 0)


@formula("gamma_J", source=COVER)
def lighter_of_old_and_new(gamma_Ef, gamma_Gf, gamma_O):
    """Favourable unit weight over the joint, the lighter of new and old fill."""
    return minimum(gamma_Ef, gamma_Gf * gamma_O)
