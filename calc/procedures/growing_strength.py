"""Factor for the bearing of a strip on ground whose undrained strength grows with depth, by a table."""

from collections.abc import Mapping

import numpy as np
from numpy.typing import ArrayLike, NDArray

from calc.procedures.failures import ProcedureError

PROCEDURE = "factor for strength increasing with depth"
METHOD = (
    "table by the method of characteristics for a smooth strip, at 1 and 2 the lower fit, linear between its values"
)

# Growth of strength over the width of the strip, in strengths at the top, and the factor on (2 + π) c_u0 + ρ B/4.
# Calculated, not read from the chart of Davis & Booker (1973), Géotechnique 23(4), 551–563, whose form the
# equation has.
# At 1 and 2 the characteristics give 1.109 and 1.181; the fit of API RP 2GEO (2011), as quoted, gives the lower values
# that stand here. Elsewhere the fit lies above the table or, from 8 on, less than 1.3 % above it.
# Smooth strip: a rough one bears more and needs a reinforced base. The curve bends downward, so a straight line between
# two values lies below it.
GROWTH = (0.0, 1.0, 2.0, 3.0, 4.0, 5.0, 6.0, 8.0, 10.0, 12.0, 16.0, 20.0, 30.0)
FACTOR = (1.0, 1.095, 1.170, 1.233, 1.273, 1.305, 1.331, 1.370, 1.396, 1.415, 1.437, 1.447, 1.448)


def bracket(k_rho: ArrayLike, valid: ArrayLike) -> Mapping[str, NDArray[np.float64]]:
    """The values of the table between which each growth ratio lies, by their symbols, in the shape of ``k_rho``.

    Beyond the table the factor falls again toward 1, so there it is 1 at both ends, on the safe side. Lanes that are
    not ``valid`` get the first row. ``ProcedureError`` for a ratio that is no number, not finite or negative.
    """
    ratio = np.where(np.asarray(valid), np.asarray(k_rho, dtype=np.float64), 0.0)
    possible = np.isfinite(ratio) & (ratio >= 0)
    if not possible.all():
        message = f"{PROCEDURE}: the ratio of strength increase must be zero or more, got {ratio[~possible].flat[0]}"
        raise ProcedureError(message)
    growth, factor = np.array(GROWTH), np.array(FACTOR)
    above = np.clip(np.searchsorted(growth, ratio), 1, len(GROWTH) - 1)
    beyond = ratio > GROWTH[-1]
    return {
        "k_r1": growth[above - 1],
        "k_r2": growth[above],
        "F_r1": np.where(beyond, 1.0, factor[above - 1]),
        "F_r2": np.where(beyond, 1.0, factor[above]),
    }
