"""The radius at which the sleeve becomes taut: as typed, or wider than the column by its oversize."""

import numpy as np
from numpy.typing import NDArray

from calc.chapters.shared.frame import given_of_section
from calc.engine.sheet import Scope, Sheet
from calc.formulas.geometry import column_radius, installed_sleeve_radius
from calc.inputs import Section
from calc.inputs.tables.sleeve import Sleeve

Floats = NDArray[np.float64]


def record_sleeve_radius(scope: Sheet | Scope, section: Section) -> None:
    """Record the radius on a sheet that has that of the column."""
    sleeve = section.sleeve
    if sleeve.installed_radius is not None:
        given_of_section(scope, "r_geo", section, "sleeve.installed_radius", sleeve.installed_radius)
        return
    given_of_section(scope, "Dr_gap", section, "sleeve.oversize", sleeve.oversize or 0.0)
    scope(installed_sleeve_radius)


def sleeve_radius(sleeve: Sleeve, diameters: Floats) -> Floats:
    """The radius (m) for columns of some diameters."""
    if sleeve.installed_radius is not None:
        return np.full_like(diameters, sleeve.installed_radius)
    radii: Floats = installed_sleeve_radius(r_c=column_radius(d_c=diameters), Dr_gap=sleeve.oversize or 0.0)
    return radii
