"""A crest that falls from one edge to the other: heights of each side, the fall, and what thrusts below it.

The formulas of one side are written for the left one; the right one has the same with its own symbols.
"""

from numpy import arctan, cos, minimum, sin, sqrt, where

from calc.engine.formula import Source, formula
from calc.engine.symbols import declare as _

_("H_Fl", "H_{F,l}", "m", 2, "height of the fill at the left crest edge in the final state")
_("H_Fr", "H_{F,r}", "m", 2, "height of the fill at the right crest edge in the final state")
_("H_l", "H_l", "m", 3, "height of the fill at the left crest edge in this stage")
_("H_r", "H_r", "m", 3, "height of the fill at the right crest edge in this stage")
_("H_n", "H_n", "m", 3, "height of the fill at the lower crest edge in this stage")
_("H_Fn", "H_{F,n}", "m", 2, "height of the fill at the lower crest edge in the final state")
_("H_finl", "H_{fin,l}", "m", 3, "height of fill and platform over the ground at the left crest edge, final state")
_("H_finr", "H_{fin,r}", "m", 3, "height of fill and platform over the ground at the right crest edge, final state")
_("H_stl", "H_{st,l}", "m", 3, "height of fill and platform over the ground at the left crest edge in this stage")
_("H_str", "H_{st,r}", "m", 3, "height of fill and platform over the ground at the right crest edge in this stage")
_("z_csl", "z_{C,st,l}", "m", 3, "level of the left crest edge in this stage")
_("z_csr", "z_{C,st,r}", "m", 3, "level of the right crest edge in this stage")
_("beta_Cl", "β_{C,l}", "rad", 2, "inclination at which the crest rises from its left edge", shown="deg")
_("beta_Cr", "β_{C,r}", "rad", 2, "inclination at which the crest rises from its right edge", shown="deg")
_("x_bd", "x_{b,C}", "m", 3, "place where the level part of the crest ends and its fall begins in this stage")

LAYERS = Source(
    "project rule: fill is placed in level layers, each up to where the final crest line cuts it", evidence="derived"
)
SECTION = Source("plane geometry of the cross-section", evidence="derived")
WEDGE = Source(
    "largest thrust of plane wedges behind a vertical plane without friction (Coulomb 1776), ground rising from it; "
    "derived here",
    evidence="derived",
)


@formula("H_l", source=LAYERS)
def height_at_crest_edge(H, H_Fl):
    """Height of the fill at a crest edge in this stage."""
    return minimum(H, H_Fl)


@formula("beta_Cl", source=SECTION)
def rise_of_crest(H, H_F, H_Fl, b_K):
    """Inclination at which the crest rises from one edge to the other; none where the fill is level so far."""
    return where(H > H_Fl, arctan((H_F - H_Fl) / b_K), 0)


@formula("x_bd", source=SECTION)
def end_of_level_crest(b_K, H, H_Fl, H_Fr):
    """Place where the level of this stage cuts the final crest line."""
    return b_K * ((H - H_Fl) / (H_Fr - H_Fl) - 1 / 2)


@formula("K_a", source=WEDGE)
def active_coefficient_below_rising_ground(phi, beta_C):
    """Active coefficient on a vertical plane without friction from which the ground rises."""
    return cos(phi) ** 2 / (1 + sqrt(sin(phi) * sin(phi - beta_C) / cos(beta_C))) ** 2
