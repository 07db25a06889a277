"""What the rates beside columns are worth, measured against a coupled solution of the cell, in words for the page.

In the coupled solution the pore pressure differs along the radius and the soil is free to move radially.
"""

LARGEST_STRESS_RATIO = 6.0
DEVIATION = (
    "Against coupled solutions of the cell with columns of 10 to 20 % of the area, elastic or yielding, the course "
    "with one equivalent coefficient gives pore pressure and strain at the start and at the end alike, reaches a "
    "degree of 50 % up to 21 % later, 80 % up to 8 % earlier and 90 % up to 13 % earlier: the true time to 90 % is "
    "that much longer."
)
STIFF_DEVIATION = (
    "The ratio of the stresses on column and soil exceeds 6, the end of the range for which the equivalent "
    "coefficients were made. With an elastic column 40 times stiffer than the soil the true time to 90 % is 29 % "
    "longer than found."
)
NO_BULGING = (
    "The factor for stiff columns neglects that the column bulges and overstates the rate: 1.95 for 1.65 of the "
    "encased elastic form at a stiffness ratio of 5.4, and an elastic column overstates the rate of one that yields."
)
