"""Which readings say something of today: how old they are, and whether the sensor still moves."""

import numpy as np

from calc.site.observed.series import Series
from calc.site.observed.works_dates import FRESH

STILL = 3  # readings of one value over FRESH days, from which a sensor for pore pressure counts as dead: project rule


def last_alive(series: Series) -> float:
    """Day of the last reading of a series that says something; of a dead sensor the first of its equal readings.

    Pore pressure alone is looked at: with the weather it never rests, while a plate or an inclinometer may.
    """
    used = series.used
    if not used.days.size:
        return -np.inf
    last = float(used.days[-1])
    if series.quantity != "pore pressure":
        return last
    other = np.flatnonzero(used.values != used.values[-1])
    first = int(other[-1]) + 1 if other.size else 0
    dead = last - used.days[first] >= FRESH and used.days.size - first >= STILL
    return float(used.days[first]) if dead else last


def is_fresh(series: Series, last: float) -> bool:
    """Whether a series says something of the day of the last reading of its section."""
    return last_alive(series) >= last - FRESH
