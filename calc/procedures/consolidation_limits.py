"""What the rates beside columns are worth, measured against a coupled solution of the cell, in words for the page.

In the coupled solution the pore pressure differs along the radius and the soil is free to move radially.
"""

LARGEST_FACTOR = 2.0
DEVIATION = (
    "Compared with coupled solutions of the cell with columns of 10 to 20 % of the area, elastic or yielding, a single "
    "equivalent coefficient gives the same pore pressure and strain at the start and at the end. Where it is up to "
    "twice that of the soil, it reaches a degree of 50 % up to 21 % later, 80 % up to 8 % earlier and 90 % up to 13 % "
    "earlier: the true time to 90 % is longer by this amount."
)
STIFF_DEVIATION = (
    "The equivalent coefficient exceeds twice that of the soil. At five times the true time to 90 % is up to 26 % "
    "longer than with a single coefficient and that to 95 % up to 38 %, at ten times 32 % and 61 %: the solution with "
    "several exponentials is to be used."
)
NO_BULGING = (
    "The factor for stiff columns neglects the radial expansion of the column and overestimates the rate: 1.95 "
    "instead of 1.65 of the encased elastic form at a stiffness ratio of 5.4; an elastic column overestimates the rate "
    "of a yielding one."
)
