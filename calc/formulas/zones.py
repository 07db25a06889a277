"""Zones of the fill: what they weigh beyond as much fill, and what that does to the thrust.

A zone is a layer in the sense of the sums. Where zones end within the bank, a place is what stands between two of
their ends, told by its point next to the axis, where its fill is highest.
"""

from numpy import maximum, minimum, where

from calc.engine.formula import Source, formula, over_layers
from calc.engine.symbols import declare as _

_("t_z", "t_z", "m", 3, "thickness of the zone in this stage")
_("gamma_z", "γ_z", "kN/m^3", 2, "unit weight of the zone")
_("Dp_z", "Δp_z", "kPa", 3, "pressure of the zone beyond that of as much embankment fill")
_("p_Zh", "p_{Z,h}", "kPa", 3, "the same at mid-slope, where the fill has half its height")
_("H_hf", "H_{hf}", "m", 3, "half the height of fill")
_("gamma_Ex", "γ_{E,x}", "kN/m^3", 2, "largest unit weight of embankment fill and zones")
_("gamma_En", "γ_{E,n}", "kN/m^3", 2, "smallest unit weight of embankment fill and zones")
_("gamma_Ea", "γ_{E,a}", "kN/m^3", 2, "smallest unit weight of fill, platform and zones")
_(
    "gamma_Ec",
    "γ_{E,c}",
    "kN/m^3",
    2,
    "least mean unit weight of the fill over the layer, up to any height of its cover",
)
_("s_zw", "s_{z,w}", "m", 1, "largest settlement calculated", shown="mm")
_("z_wx", "z_{w,max}", "m", 2, "highest water level")
_(
    "h_zw",
    "h_{z,w}",
    "m",
    1,
    "height of the bottom of the zone above the highest water level, before settlement",
    shown="mm",
)
_("z_o", "z_o", "m", 3, "level above which the fill thrusts")
_("H_o", "H_o", "m", 3, "height of fill above this level, without compensation fill")
_("h_zm", "h_{z,m}", "m", 3, "height of the middle of the zone above the level that the fill thrusts from")
_("t_zo", "t_{z,o}", "m", 3, "thickness of the zone above the level that the fill thrusts from")
_("gamma_eq", "γ_{eq}", "kN/m^3", 3, "unit weight of a fill without zones that thrusts as much")
_("gamma_eh", "γ_{eq,h}", "kN/m^3", 3, "unit weight of a side slope without zones that weighs as much")

_("d_v", "d_v", "m", 3, "distance of the place from the axis of the crest, 0 where it reaches over the axis")
_("n_v", "n_v", "-", 2, "run of the side slope on the side of the place")
_("h_v", "h_v", "m", 3, "height of fill at the place in this stage")
_("i_zv", "i_{z,v}", "-", 0, "the zone lies at the place (1) or not (0)")
_("t_zv", "t_{z,v}", "m", 3, "thickness of the zone within the height of fill at the place")
_("Dp_zv", "Δp_{z,v}", "kPa", 3, "pressure of the zone at the place beyond that of as much embankment fill")
_("Dp_zf", "Δp_{z,f}", "kPa", 3, "pressure of the zone at full height beyond that of as much embankment fill")
_("p_Zv", "p_{Z,v}", "kPa", 3, "pressure of the fill at the place beyond that of embankment fill of full height")
_(
    "p_Zvb",
    "p_{Z,v,b}",
    "kPa",
    3,
    "pressure of the fill at the place beyond that of embankment fill of full height, stage before",
)
_("p_Zf", "p_{Z,f}", "kPa", 3, "pressure of the zones at the place at full height, beyond that of as much fill")
_("Dp_ZL", "Δp_{Z,L}", "kPa", 3, "pressure of the lift at a place beyond that of as much embankment fill")
_("h_ze", "h_{z,e}", "m", 3, "height at which the side slope meets an end of the zone, the higher one")
_("h_zbE", "h_{z,b,E}", "m", 3, "bottom of that part of the zone that counts in the thrust")
_("h_zmk", "h_{z,m,k}", "m", 3, "height of the middle of that part above the level that the fill thrusts from")
_("i_zl", "i_{z,l}", "-", 0, "the zone is lighter than the fill (1) or not (0)")
_("Dp_Zv", "Δp_{Z,v}", "kPa", 3, "pressure of the lift at the place beyond that of as much embankment fill")
_("gamma_zn", "γ_{z,n}", "kN/m^3", 2, "unit weight of the zone where its weight gives resistance")
_("i_zSl", "i_{z,S,l}", "-", 0, "the zone counts in the weight of the left side slope that holds (1) or not (0)")
_("i_zSr", "i_{z,S,r}", "-", 0, "the zone counts in the weight of the right side slope that holds (1) or not (0)")
_("i_zS", "i_{z,S}", "-", 0, "the zone counts in the weight of the side slope that holds (1) or not (0)")
_("t_zk", "t_{z,k}", "m", 3, "thickness of the zone that counts in the thrust")
_("t_zs", "t_{z,s}", "m", 3, "thickness of the zone that counts in the weight of the side slope")

ZONES = Source("weight of horizontal zones by their thickness", evidence="derived")
MID = Source("project rule: mid-slope has the zones of the lower half of the fill", evidence="derived")
LEVELS = Source("geometry of the zones", evidence="derived")
THRUST = Source(
    "Rankine's active pressure with the vertical stress of the zones above, summed over the height; one coefficient, "
    "that of the least friction angle",
    evidence="derived",
)
LIFTED = Source(
    "project rule: of the soil pressure under a new lift the lift has the larger share, so that the largest lift with "
    "the largest whole is not exceeded at any place",
    evidence="derived",
)
BETWEEN_ENDS = Source(
    "project rule: of a lighter zone what lies above the place where the side slope meets its ends, a layer there; "
    "a heavier one as if it lay across the whole bank",
    evidence="derived",
)
BESIDE = Source(
    "project rule: a lighter zone counts where it lies anywhere below the side slope, a heavier one where it takes its "
    "whole width",
    evidence="derived",
)
WEDGE = Source("weight of the side slope with its zones", evidence="derived")


@formula("t_z", source=LEVELS)
def zone_thickness(h_zb, h_zt, H):
    """Thickness of the zone that lies within the fill of this stage."""
    return maximum(minimum(h_zt, H) - h_zb, 0)


@formula("Dp_z", source=ZONES)
def zone_pressure(gamma_z, gamma_E, t_z):
    """Pressure of the zone beyond that of as much fill."""
    return (gamma_z - gamma_E) * t_z


@formula("p_Z", source=ZONES)
def pressure_of_zones(Dp_z):
    """Pressure of all zones beyond that of as much fill."""
    return over_layers(Dp_z)


@formula("H_hf", source=MID)
def half_height(H):
    """Half the height of fill."""
    return H / 2


@formula("p_Zx", source=MID)
def pressure_of_zones_at_position(f_H, p_Z, p_Zh):
    """Pressure of the zones beyond that of as much fill at a position with its full or with half its height."""
    return where(f_H > 1 / 2, p_Z, p_Zh)


@formula("h_v", source=LEVELS)
def height_at_place(H, H_F, d_v, b_K, n_v):
    """Height of fill at a place: that of the stage, below the side slope what is left of it."""
    return maximum(minimum(H, H_F - (d_v - b_K / 2) / n_v), 0)


@formula("Dp_zv", source=ZONES)
def zone_pressure_at_place(i_zv, gamma_z, gamma_E, t_zv):
    """Pressure of the zone at a place beyond that of as much fill."""
    return i_zv * (gamma_z - gamma_E) * t_zv


@formula("p_Zv", source=ZONES)
def pressure_at_place(gamma_E, h_v, H, Dp_zv):
    """Pressure of fill and zones at a place beyond that of embankment fill of full height."""
    return gamma_E * (h_v - H) + over_layers(Dp_zv)


@formula("Dp_ZL", source=ZONES)
def pressure_of_lift_at_place(p_Zv, p_Zvb):
    """Pressure of the lift at a place beyond that of as much fill."""
    return p_Zv - p_Zvb


@formula("p_Zb", source=LIFTED)
def pressure_below_lift(p_Z, Dp_ZL):
    """Pressure of the zones below the lift, so that lift and whole are each the largest of all places."""
    return p_Z - Dp_ZL


@formula("h_zbE", source=BETWEEN_ENDS)
def bottom_of_what_thrusts(i_zl, h_zb, h_ze):
    """Bottom of that part of the zone that counts in the thrust: of a lighter one the part that is a layer."""
    return where(i_zl > 0, maximum(h_zb, h_ze), h_zb)


@formula("t_zs", source=BESIDE)
def thickness_that_holds(i_zS, t_zo):
    """Thickness of the zone that counts in the weight of the side slope."""
    return i_zS * t_zo


@formula("h_zw", source=LEVELS)
def height_above_water(z_P, h_zb, z_wx):
    """Height of the bottom of the zone above the highest water level, before it settles."""
    return z_P + h_zb - z_wx


@formula("z_o", source=LEVELS)
def level_of_thrust(z_g, z_R):
    """Ground level, or that of the reinforcement where it lies lower."""
    return minimum(z_g, z_R)


@formula("t_zo", source=LEVELS)
def zone_thickness_above(z_P, h_zb, h_zt, z_o, H_o):
    """Thickness of the zone between a level and the crest of the stage."""
    return maximum(minimum(z_P + h_zt, z_o + H_o) - maximum(z_P + h_zb, z_o), 0)


@formula("h_zm", source=LEVELS)
def zone_middle(z_P, h_zb, h_zt, z_o, H_o):
    """Height of the middle of that part of the zone above the level."""
    return (minimum(z_P + h_zt, z_o + H_o) + maximum(z_P + h_zb, z_o)) / 2 - z_o


@formula("gamma_eq", source=THRUST)
def thrusting_unit_weight(gamma_E, gamma_z, t_zo, h_zm, H):
    """Unit weight of a fill without zones with the same moment of the weight, which is the same thrust."""
    return where(H > 0, gamma_E + 2 * over_layers((gamma_z - gamma_E) * t_zo * h_zm) / H**2, gamma_E)


@formula("gamma_eh", source=WEDGE)
def holding_unit_weight(gamma_E, gamma_z, t_zo, h_zm, H):
    """Unit weight of a side slope without zones with the same weight."""
    return where(H > 0, gamma_E + 2 * over_layers((gamma_z - gamma_E) * t_zo * (H - h_zm)) / H**2, gamma_E)
