"""Waste of sleeves that are made in classes of length and cut from rolls."""

from calc.engine.formula import Source, formula
from calc.engine.symbols import declare as _

_("N_slc", "N_{sl}", "-", 0, "sleeves of the type")
_("l_need", "l_{need}", "m", 1, "metres of sleeve that the columns need, allowances included")
_("l_cls", "l_{cl}", "m", 1, "metres of sleeve as it is made, in the lengths of the classes")
_("l_roll", "l_{roll}", "m", 0, "length of all rolls that are cut")
_("l_bd", "l_{bd}", "m", 0, "length of rolls that any plan of cuts needs at least")
_("w_cls", "w_{cl}", "-", 2, "waste by the classes, over what is needed", shown="%")
_("w_cut", "w_{cut}", "-", 2, "waste by cutting, over what is made", shown="%")
_("g_cut", "g_{cut}", "-", 2, "length of the rolls above the bound, over the bound", shown="%")

WASTE = Source("definition of the waste", evidence="derived")


@formula("w_cls", source=WASTE)
def waste_of_classes(l_cls, l_need):
    """Waste by making sleeves in a few lengths, over what is needed."""
    return l_cls / l_need - 1


@formula("w_cut", source=WASTE)
def waste_of_cutting(l_roll, l_cls):
    """Waste by cutting the rolls, over what is made of them."""
    return l_roll / l_cls - 1


@formula("g_cut", source=WASTE)
def gap_of_cutting(l_roll, l_bd):
    """Length of the rolls above what any plan of cuts needs; nil where the plan is proven to be the best."""
    return l_roll / l_bd - 1
