"""What the rates beside columns are worth, measured against a coupled solution of the cell, in words for the page.

In the coupled solution the pore pressure differs along the radius and the soil is free to move radially.
"""

LARGEST_FACTOR = 2.0
DEVIATION = (
    "Against coupled solutions of the cell with columns of 10 to 20 % of the area, elastic or yielding, the course "
    "with one equivalent coefficient gives pore pressure and strain at the start and at the end alike. Where it is up "
    "to twice that of the soil, the course reaches a degree of 50 % up to 21 % later, 80 % up to 8 % earlier and 90 % "
    "up to 13 % earlier: the true time to 90 % is that much longer."
)
STIFF_DEVIATION = (
    "The equivalent coefficient exceeds twice that of the soil. At five times the true time to 90 % is up to 26 % "
    "longer than with one coefficient and that to 95 % up to 38 %, at ten times 32 % and 61 %: the course with several "
    "exponentials is to be taken."
)
NO_BULGING = (
    "The factor for stiff columns neglects that the column bulges and overstates the rate: 1.95 for 1.65 of the "
    "encased elastic form at a stiffness ratio of 5.4, and an elastic column overstates the rate of one that yields."
)
