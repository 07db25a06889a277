"""Radial consolidation of the cell where columns and sleeve take load over, without the one exponential of the forms.

With uniform vertical strain, an elastic soil ring and any linear law of the column, the excess pore pressure obeys
u̇ = c_h ∇²u + (1 − 1/f)·dū/dt, ū its mean and f the factor f_tr on the coefficient of consolidation. The closed forms
keep the shape of u along the radius and so have one exponential. Here it is free: near the column the soil drains first
and hands load back, so that the end takes longer, the more so the larger f. Derived here; held to a coupled
finite-element solution of the cell.
"""

from typing import NamedTuple

import numpy as np
from numpy.typing import ArrayLike, NDArray

from calc.formulas import consolidation as co
from calc.procedures.failures import ProcedureError, refuse_where

Floats = NDArray[np.float64]

PROCEDURE = "radial consolidation"
METHOD = "exponentials of the ring divided into volumes"
VOLUMES = 60  # along the radius, narrower at the column
KEPT = 6  # exponentials; the quickest ones together are the last, which delays the start where f_tr is large


class RadialModes(NamedTuple):
    """Mean excess pore pressure as a sum of exponentials: rates (1/day), rising, and shares, which add up to 1.

    Both have the shape (exponentials, ..., layers).
    """

    rates: Floats
    shares: Floats


def radial_modes(
    *,
    c_hs: ArrayLike,
    d_e: ArrayLike,
    n_d: ArrayLike,
    s_sm: ArrayLike = 1.0,
    r_ks: ArrayLike = 1.0,
    mu_wr: ArrayLike = 0.0,
    f_tr: ArrayLike = 1.0,
) -> RadialModes:
    """Exponentials for the coefficient of the soil alone ``c_hs`` (m²/day) and the factor ``f_tr``, which broadcast.

    ``d_e`` (m) is the diameter of the cell, ``n_d`` that over the diameter of the column, ``s_sm`` and ``r_ks`` the
    smeared zone, ``mu_wr`` the mean well resistance. The integral of the course over time is that of the closed form.
    ``ProcedureError`` for impossible values.
    """
    factor = drainage_factor(n_d=n_d, s_sm=s_sm, r_ks=r_ks) + np.asarray(mu_wr, dtype=np.float64)
    numbers = [np.asarray(argument, dtype=np.float64) for argument in (c_hs, d_e, n_d, s_sm, r_ks, mu_wr, f_tr, factor)]
    for name, value in (("c_hs", numbers[0]), ("d_e", numbers[1]), ("f_tr", numbers[6])):
        if not (np.isfinite(value) & (value > 0)).all():
            message = f"{PROCEDURE}: {name} must be greater than 0 (got {value.min():g})"
            raise ProcedureError(message)
    if not (np.isfinite(numbers[5]) & (numbers[5] >= 0)).all():
        message = f"{PROCEDURE}: mu_wr must be 0 or greater (got {numbers[5].min():g})"
        raise ProcedureError(message)
    c, diameter, n, s, ratio, resistance, gain, F = np.broadcast_arrays(*numbers)  # noqa: N806 - the printed symbol
    # Layers and scenarios that differ in c_h alone have the same ring, whose matrix is the work.
    rings, place = np.unique(
        np.stack([n, s, ratio, resistance, gain], axis=-1).reshape(-1, 5), axis=0, return_inverse=True
    )
    different = _exponentials(*_ring(*rings.T[:4]), rings.T[4])
    rates, shares = (array[place.reshape(c.shape)] for array in different)
    # The slowest exponentials, and the others as one that has their share and their integral over time.
    rest = shares[..., KEPT - 1 :].sum(axis=-1, keepdims=True)
    quick = rest / (shares / rates)[..., KEPT - 1 :].sum(axis=-1, keepdims=True)
    join = np.concatenate
    rates = join([rates[..., : KEPT - 1], quick], axis=-1)
    shares = join([shares[..., : KEPT - 1], rest], axis=-1)
    # The division of the ring is a little off; the integral of the course over time is known.
    known = diameter**2 * F / (8 * c * gain)
    rates = rates * ((shares / rates).sum(axis=-1) / known)[..., None]
    return RadialModes(np.moveaxis(rates, -1, 0), np.moveaxis(shares, -1, 0))


def _ring(n: Floats, s: Floats, ratio: Floats, resistance: Floats) -> tuple[Floats, Floats]:
    """Share of each volume in the ring, and flow between them and to the column; lengths over the column radius."""
    edges = 1 + (n[..., None] - 1) * np.linspace(0, 1, VOLUMES + 1) ** 1.5
    area = np.diff(edges**2)
    middle = np.sqrt((edges[..., 1:] ** 2 + edges[..., :-1] ** 2) / 2)
    places = np.concatenate([np.ones((*n.shape, 1)), middle], axis=-1)
    inside, outside = (np.log(pick(places, s[..., None])) for pick in (np.minimum, np.maximum))
    way = ratio[..., None] * np.diff(inside) + np.diff(outside)
    way[..., 0] += resistance / (1 - 1 / n**2)
    return area / area.sum(axis=-1, keepdims=True), 1 / way


def _exponentials(share: Floats, flow: Floats, gain: Floats) -> tuple[Floats, Floats]:
    """Eigenvalues of the ring, and the part of each in the mean of a pressure that is even at first.

    With q the roots of the shares, the term of the mean makes the storage 1 − β·q·qᵀ, β = 1 − 1/f; its root is known.
    """
    root = np.sqrt(share)
    number = np.arange(VOLUMES)
    matrix = np.zeros((*share.shape, VOLUMES))
    matrix[..., number, number] = (flow + np.concatenate([flow[..., 1:], np.zeros((*gain.shape, 1))], axis=-1)) / share
    between = -flow[..., 1:] / (root[..., 1:] * root[..., :-1])
    matrix[..., number[1:], number[:-1]] = matrix[..., number[:-1], number[1:]] = between
    mean = root[..., :, None] * root[..., None, :]
    spread = np.eye(VOLUMES) + (np.sqrt(gain) - 1)[..., None, None] * mean
    rates, vectors = np.linalg.eigh(spread @ matrix @ spread)
    return rates, np.asarray((root[..., None, :] @ vectors)[..., 0, :] ** 2)


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
            f"drainage factor: the short form ln n − 3/4 is for n of {co.SHORT_FORM_FROM:g} and more "
            f"(got {ratio.min():g}); take the complete form"
        )
        raise ProcedureError(message)
    return np.asarray(co.short_drainage_factor(ratio, zone, loss, l_d=0.0, k_hs=1.0, q_w=1.0))


def _ratios(n_d: ArrayLike, s_sm: ArrayLike, r_ks: ArrayLike) -> tuple[Floats, Floats, Floats]:
    ratio, zone, loss = (np.asarray(argument, dtype=np.float64) for argument in (n_d, s_sm, r_ks))
    wrong = {
        "n_d must be greater than 1": ~((ratio > 1) & np.isfinite(ratio)),
        "s_sm must be 1 or greater": ~((zone >= 1) & np.isfinite(zone)),
        "r_ks must be 1 or greater": ~((loss >= 1) & np.isfinite(loss)),
        "the smeared zone must end inside the cell, s_sm less than n_d": zone >= ratio,
    }
    refuse_where("drainage factor", wrong)
    return ratio, zone, loss
