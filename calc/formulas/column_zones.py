"""Zones of the column grid across a section: heights over them, settlement at their borders, extrusion."""

from numpy import absolute, minimum

from calc.engine.formula import Source, formula
from calc.engine.symbols import declare as _

_("x_z1", "x_{z,1}", "m", 3, "left border of the zone of columns")
_("x_z2", "x_{z,2}", "m", 3, "right border of the zone of columns")
_("H_z", "H_z", "m", 3, "greatest height of fill over the zone of columns in this stage")
_("H_bo", "H_{bo}", "m", 3, "height of fill over the border of two grids in this stage")
_("x_bo", "x_{bo}", "m", 3, "place of the border of two grids")
_("s_bo1", "s_{bo,1}", "m", 1, "settlement at the border with the grid on its left", shown="mm")
_("s_bo2", "s_{bo,2}", "m", 1, "settlement at the border with the grid on its right", shown="mm")
_("Ds_bo", "Δs_{bo}", "m", 1, "difference of the settlements of both grids at their border", shown="mm")
_("a_Ew", "a_{E,w}", "-", 4, "mean area ratio of the columns in the wedge, by the lengths of its zones")
_("a_Ei", "a_{E,i}", "-", 4, "area ratio of the columns at the inner plane of the wedge")
_("a_Eb", "a_{E,b}", "-", 4, "area ratio that counts for the shear force of the columns in the wedge")
_("a_Ex", "a_{E,x}", "-", 4, "largest area ratio of the columns in the wedge")
_("A_Ew", "A_{E,w}", "m^2", 4, "area to a column that counts for the shear force of the columns in the wedge")

DIFFERENCE = Source("definition, both grids under the load at their border", evidence="derived")
LESS = Source("project rule: the lesser of the ratio at the inner plane and of the mean along the base", "derived")
AREA = Source("area of a column over the area ratio", evidence="derived")


@formula("Ds_bo", source=DIFFERENCE)
def difference_at_border(s_bo1, s_bo2):
    """Difference of the settlements that both grids have at their border."""
    return absolute(s_bo1 - s_bo2)


@formula("a_Eb", source=LESS)
def ratio_for_shear(a_Ei, a_Ew):
    """Area ratio that counts for the shear force of the columns, at the inner plane and along the base."""
    return minimum(a_Ei, a_Ew)


@formula("A_Ew", source=AREA)
def area_for_shear(A_c, a_Eb):
    """Area to a column that counts for the shear force of the columns."""
    return A_c / a_Eb
