"""Layers that thicken or thin across the section: thickness and levels at the toes of the slopes and between them."""

from numpy import absolute, maximum, minimum

from calc.engine.formula import Source, formula
from calc.engine.symbols import declare as _

_("t_la", "t_{l,0}", "m", 3, "thickness of the layer at the axis")
_("t_ltl", "t_{l,tl}", "m", 3, "thickness of the layer at the left toe")
_("t_ltr", "t_{l,tr}", "m", 3, "thickness of the layer at the right toe")
_("t_lel", "t_{l,el}", "m", 3, "thickness of the layer at the left crest edge")
_("t_ler", "t_{l,er}", "m", 3, "thickness of the layer at the right crest edge")
_("d_ltl", "d_{l,tl}", "m", 3, "depth of the top of the layer at the left toe")
_("d_ltr", "d_{l,tr}", "m", 3, "depth of the top of the layer at the right toe")
_("t_wl", "t_{w,l}", "m", 3, "thickness of the soft layers at the left toe")
_("t_wr", "t_{w,r}", "m", 3, "thickness of the soft layers at the right toe")
_("t_wm", "t_{w,m}", "m", 3, "mean thickness of the soft layers over the rows of columns")
_("L_cm", "L_{c,m}", "m", 3, "mean length of the columns")
_("z_fl", "z_{firm,l}", "m", 3, "level of the top of the bearing layer at the left toe")
_("z_fr", "z_{firm,r}", "m", 3, "level of the top of the bearing layer at the right toe")
_("z_tol", "z_{toe,l}", "m", 3, "level of the toes of the columns at the left toe of the bank")
_("z_tor", "z_{toe,r}", "m", 3, "level of the toes of the columns at the right toe of the bank")
_("z_ton", "z_{toe,min}", "m", 3, "lowest level of the toes of the columns")
_("z_ltl", "z_{l,tl}", "m", 3, "level of the top of the layer at the left toe")
_("z_ltr", "z_{l,tr}", "m", 3, "level of the top of the layer at the right toe")
_("s_eL", "s_{e,l}", "m", 1, "settlement at the left crest edge", shown="mm")
_("s_eR", "s_{e,r}", "m", 1, "settlement at the right crest edge", shown="mm")
_("Ds_ax", "Δs_{ax}", "m", 1, "largest difference of settlement between axis and crest edges", shown="mm")
_("i_cf", "Δi_{cf}", "-", 5, "change of the cross-fall by settlement, from crest edge to crest edge")

STRAIGHT = Source("project rule: layers change their thickness in a straight line from axis to toe", evidence="derived")
LEVELS = Source("plane geometry of the cross-section", evidence="derived")
SETTLED = Source("definition of differences of settlement", evidence="derived")


@formula("t_lel", source=STRAIGHT)
def thickness_at_left_edge(t_la, t_ltl, b_K, x_tl):
    """Thickness of the layer at the left crest edge."""
    return t_la + (t_ltl - t_la) * b_K / (-2 * x_tl)


@formula("t_ler", source=STRAIGHT)
def thickness_at_right_edge(t_la, t_ltr, b_K, x_tr):
    """Thickness of the layer at the right crest edge."""
    return t_la + (t_ltr - t_la) * b_K / (2 * x_tr)


@formula("z_ton", source=LEVELS)
def lowest_toe_level(z_toe, z_tol, z_tor):
    """Lowest level of the toes of the columns."""
    return minimum(z_toe, minimum(z_tol, z_tor))


@formula("L_cm", source=LEVELS)
def mean_column_length(t_wm, t_emb, t_up):
    """Mean length of the columns over the rows across."""
    return t_wm + t_emb + t_up


@formula("Ds_ax", source=SETTLED)
def difference_across(s_cen, s_eL, s_eR):
    """Largest difference of settlement between the axis and the crest edges, each on its own ground."""
    return maximum(absolute(s_eL - s_cen), absolute(s_eR - s_cen))


@formula("i_cf", source=SETTLED)
def cross_fall_by_settlement(s_eL, s_eR, b_K):
    """Change of the cross-fall of the crest by unequal settlement of its edges."""
    return absolute(s_eR - s_eL) / b_K
