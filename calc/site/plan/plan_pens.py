"""Pens and sizes of letters of the sheets of the plan."""

from calc.package.canvas import INK, QUIET, Pen

THIN, FINE, BOLD = Pen(0.18), Pen(0.12, QUIET), Pen(0.35)
AXIS = Pen(0.2, INK, "6 1.2 1 1.2")
SMALL, TEXT, LARGE = 2.1, 2.4, 3.4  # mm
