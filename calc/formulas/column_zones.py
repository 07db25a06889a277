"""Zones of the column grid across a section: heights over them, settlement at their borders, extrusion."""

from numpy import absolute

from calc.engine.formula import Source, formula
from calc.engine.symbols import declare as _

_("x_z1", "x_{z,1}", "m", 3, "left border of the zone of columns")
_("x_z2", "x_{z,2}", "m", 3, "right border of the zone of columns")
_("H_z", "H_z", "m", 3, "greatest height of fill over the zone of columns in this stage")
_("H_bo", "H_{bo}", "m", 3, "height of fill over the border of two grids in this stage")
_("s_bo1", "s_{bo,1}", "m", 1, "settlement at the border with the grid on its left", shown="mm")
_("s_bo2", "s_{bo,2}", "m", 1, "settlement at the border with the grid on its right", shown="mm")
_("Ds_bo", "Δs_{bo}", "m", 1, "difference of the settlements of both grids at their border", shown="mm")
_("a_Ei", "a_{E,i}", "-", 4, "area ratio of the columns at the inner plane of the wedge")
_("a_Ew", "a_{E,w}", "-", 4, "mean area ratio of the columns in the wedge, for the soil between them")
_("a_Eb", "a_{E,b}", "-", 4, "area ratio that counts for the shear force of the columns along the base of the wedge")
_("a_Ex", "a_{E,x}", "-", 4, "largest area ratio of the columns in the wedge")
_("A_Ei", "A_{E,i}", "m^2", 4, "area to a column at the inner plane of the wedge")
_("A_Eb", "A_{E,b}", "m^2", 4, "area to a column that counts along the base of the wedge")
_("mu_cx", "μ_{c,x}", "-", 4, "stress on the column over the mean stress, with the largest area ratio in the wedge")
_("mu_cbx", "μ_{c,b,x}", "-", 4, "the same for the load of the stage before")
_("mu_cnx", "μ_{c,n,x}", "-", 4, "the same for the new lift")
_("p_cNb", "p_{c,N,b}", "kPa", 2, "permanent stress increment of the columns along the base of the wedge")

DIFFERENCE = Source("definition, both grids under the load at their border", evidence="derived")
AREA = Source("area of a column over the area ratio", evidence="derived")


@formula("Ds_bo", source=DIFFERENCE)
def difference_at_border(s_bo1, s_bo2):
    """Difference of the settlements that both grids have at their border."""
    return absolute(s_bo1 - s_bo2)


@formula("A_Ei", source=AREA)
def area_at_inner_plane(A_c, a_Ei):
    """Area to a column at the inner plane of the wedge."""
    return A_c / a_Ei


@formula("A_Eb", source=AREA)
def area_along_base(A_c, a_Eb):
    """Area to a column that counts along the base of the wedge."""
    return A_c / a_Eb
