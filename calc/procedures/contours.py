"""Lines of equal value over a grid."""

from typing import cast

from contourpy import LineType, contour_generator
from numpy.ma import masked_invalid

from calc.procedures.slip.ground import Floats
from calc.procedures.slip.model import Line


def isolines(x: Floats, y: Floats, values: Floats, level: float) -> list[Line]:
    """The lines on which ``values`` (rows along y, columns along x) equal ``level``; NaN is left out."""
    made = contour_generator(x=x, y=y, z=masked_invalid(values), line_type=LineType.Separate)
    lines = cast("list[Floats]", made.lines(level))
    return [tuple((float(one), float(other)) for one, other in line) for line in lines]
