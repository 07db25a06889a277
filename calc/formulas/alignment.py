"""Settlement along the alignment: change of gradient where it changes from one section to what follows on it."""

from numpy import absolute

from calc.engine.formula import Source, formula
from calc.engine.symbols import declare as _

_("s_hoa", "s_{hand,tot}", "m", 1, "settlement at hand-over, ground below the toes included", shown="mm")
_("s_fs", "s_{f}", "m", 1, "settlement of the soft ground from hand-over to the date", shown="mm")
_("s_fa", "s_{f,tot}", "m", 1, "settlement from hand-over to the date, ground below the toes included", shown="mm")
_("s_hob", "s_{hand,next}", "m", 1, "settlement at hand-over of what follows on the section", shown="mm")
_("s_fb", "s_{f,next}", "m", 1, "settlement from hand-over to the date of what follows on the section", shown="mm")
_("L_tn", "L_{tn}", "m", 1, "length of the transition")
_("i_ho", "i_{hand}", "-", 2, "change of gradient by the settlement up to hand-over", shown="%")
_("i_f", "i_{f}", "-", 2, "change of gradient by the settlement from hand-over to the date", shown="%")
_("R_ho", "R_{hand}", "m", 0, "least radius of curvature by the settlement up to hand-over")
_("R_f", "R_{f}", "m", 0, "least radius of curvature by the settlement from hand-over to the date")
_("i_x", "i_x", "-", 2, "change of gradient with unlike rates of consolidation on both sides", shown="%")
_("i_hlim", "i_{hand,lim}", "-", 2, "limit of the change of gradient by the settlement up to hand-over", shown="%")
_("i_flim", "i_{f,lim}", "-", 2, "limit of the change of gradient by the settlement after hand-over", shown="%")

PARTS = Source("sum of the parts", evidence="derived")
PARABOLAS = Source("two parabolas that meet in the middle of the transition, level at its ends", evidence="derived")


@formula("s_hoa", source=PARTS)
def hand_over_with_ground_below(s_hand, s_b, s_bre):
    """Settlement at hand-over, soft ground and what of the ground below the toes does not count as residual."""
    return s_hand + s_b - s_bre


@formula("s_fa", source=PARTS)
def later_with_ground_below(s_fs, s_bre):
    """Settlement from hand-over to the date, soft ground and ground below the toes."""
    return s_fs + s_bre


@formula("i_ho", source=PARABOLAS)
def change_of_gradient(s_hoa, s_hob, L_tn):
    """Greatest change of gradient, in the middle of a transition that settles in two parabolas."""
    return 2 * absolute(s_hoa - s_hob) / L_tn


@formula("R_ho", source=PARABOLAS)
def radius_of_curvature(L_tn, i_ho):
    """Radius of both parabolas, sagging and hogging: the square of the length over four times the difference."""
    return L_tn / (2 * i_ho)
