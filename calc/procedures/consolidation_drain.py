"""What a drainage factor may be asked for: a smeared zone inside the cell, the short form for wide spacing only."""

import numpy as np
from numpy.typing import ArrayLike, NDArray

from calc.formulas import consolidation as co
from calc.procedures.failures import ProcedureError

Floats = NDArray[np.float64]

PROCEDURE = "drainage factor"


def drainage_factor(*, n_d: ArrayLike, s_sm: ArrayLike, r_ks: ArrayLike) -> Floats:
    """Complete drainage factor of cells with a smeared zone (s_sm and r_ks 1: none), in the broadcast shape.

    All values are ratios; the well resistance is added to it. ``ProcedureError`` where the smeared zone does not lie
    between column and edge of the cell or would be more permeable than the soil.
    """
    ratio, zone, loss = _ratios(n_d, s_sm, r_ks)
    parts = (co.logarithmic_part(ratio, zone, loss), co.undisturbed_part(ratio, zone))
    return np.asarray(co.drainage_factor(*parts, co.smeared_part(ratio, zone, loss), 0.0))


def short_factor(*, n_d: ArrayLike, s_sm: ArrayLike, r_ks: ArrayLike) -> Floats:
    """Short form of the drainage factor, for comparison with texts on widely spaced drains.

    ``ProcedureError`` for cells narrower than ten drain diameters, as those of all columns in use.
    """
    ratio, zone, loss = _ratios(n_d, s_sm, r_ks)
    if (ratio < co.SHORT_FORM_FROM).any():
        message = (
            f"{PROCEDURE}: the short form ln n − 3/4 is for n of {co.SHORT_FORM_FROM:g} and more "
            f"(got {ratio.min():g}); take the complete form"
        )
        raise ProcedureError(message)
    return np.asarray(co.short_drainage_factor(ratio, zone, loss, l_d=0.0, k_hs=1.0, q_w=1.0))


def _ratios(n_d: ArrayLike, s_sm: ArrayLike, r_ks: ArrayLike) -> tuple[Floats, Floats, Floats]:
    ratio, zone, loss = (np.asarray(one, dtype=np.float64) for one in (n_d, s_sm, r_ks))
    wrong = {
        "n_d must be greater than 1": ~((ratio > 1) & np.isfinite(ratio)).all(),
        "s_sm must be 1 or greater": ~((zone >= 1) & np.isfinite(zone)).all(),
        "r_ks must be 1 or greater": ~((loss >= 1) & np.isfinite(loss)).all(),
        "the smeared zone must end inside the cell, s_sm less than n_d": (zone >= ratio).any(),
    }
    found = [words for words, bad in wrong.items() if bad]
    if found:
        message = f"{PROCEDURE}: {'; '.join(found)}"
        raise ProcedureError(message)
    return ratio, zone, loss
