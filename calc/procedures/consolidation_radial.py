"""Radial consolidation of the cell where columns and sleeve take load over, without the one exponential of the forms.

With uniform vertical strain, an elastic soil ring and any linear law of the column, the excess pore pressure obeys
u̇ = c_h ∇²u + (1 − 1/f)·dū/dt, ū its mean and f the factor f_tr on the coefficient of consolidation. The closed forms
keep the shape of u along the radius and so have one exponential. Here it is free: near the column the soil drains first
and hands load back, so that the end takes longer, the more so the larger f. Derived here; held to a coupled
finite-element solution of the cell.
"""

from functools import lru_cache
from typing import NamedTuple

import numpy as np
from numpy.typing import ArrayLike, NDArray

from calc.formulas import consolidation as co
from calc.procedures.failures import ProcedureError, refuse_where

Floats = NDArray[np.float64]

PROCEDURE = "radial consolidation"
METHOD = "exponentials of the ring divided into volumes"
VOLUMES = 60  # along the radius, narrower at the column
STEPS, CLOSE = 80, 1e-14  # of Newton's method, which needs about eight; halvings exhaust the digits
REST = 1e-9  # relative; a root that moves by more in the last step is none
RINGS = 256  # of other proportions that are kept
KEPT = 6
"""Exponentials; the quickest ones together are the last. Against all of them, and with the same integral over time, the
mean pressure is too high at the very start (by up to 0.1 of the load at f_tr 20) and then too low by up to 0.0025 of it
at f_tr 2, 0.006 at 5, 0.018 at 20 and 0.035 at 60 (cells of n_d 1.5 to 5)."""


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
    ``ProcedureError`` for impossible values, and where a rate is not found.
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
    # Layers and scenarios that differ in c_h alone have the same exponentials but for the scale of time.
    rings, place = np.unique(
        np.stack([n, s, ratio, resistance, gain], axis=-1).reshape(-1, 5), axis=0, return_inverse=True
    )
    poles, weights = np.stack([_drained_ring(*map(float, ring), VOLUMES) for ring in rings[:, :4]], axis=1)
    rates, shares = (array[place.reshape(c.shape)] for array in _exponentials(poles, weights, rings[:, 4]))
    # The division of the ring is a little off; the integral of the course over time is known.
    known = diameter**2 * F / (8 * c * gain)
    rates = rates * ((shares / rates).sum(axis=-1) / known)[..., None]
    return RadialModes(np.moveaxis(rates, -1, 0), np.moveaxis(shares, -1, 0))


@lru_cache(maxsize=RINGS)
def _drained_ring(n: float, s: float, ratio: float, resistance: float, volumes: int) -> Floats:
    """Rates of a ring that takes no load over, rising, and the part of each in its mean pressure.

    Lengths are over the column radius. Its matrix has the flow between neighbouring volumes over the roots of their
    shares in the ring.
    """
    edges = 1 + (n - 1) * np.linspace(0, 1, volumes + 1) ** 1.5
    area = np.diff(edges**2)
    places = np.append(1.0, np.sqrt((edges[1:] ** 2 + edges[:-1] ** 2) / 2))
    way = ratio * np.diff(np.log(np.minimum(places, s))) + np.diff(np.log(np.maximum(places, s)))
    way[0] += resistance / (1 - 1 / n**2)
    share, flow = area / area.sum(), 1 / way
    root = np.sqrt(share)
    matrix = np.diag((flow + np.append(flow[1:], 0.0)) / share)
    number = np.arange(volumes - 1)
    matrix[number, number + 1] = matrix[number + 1, number] = -flow[1:] / (root[1:] * root[:-1])
    rates, vectors = np.linalg.eigh(matrix)
    return np.stack([rates, (root @ vectors) ** 2])


def _exponentials(poles: Floats, weights: Floats, gain: Floats) -> tuple[Floats, Floats]:
    """The slowest exponentials of rings that take load over, and the others as one; arrays (rings, exponentials).

    Without load taken over the mean pressure goes by ``weights`` at the rates ``poles`` (rings, volumes). The term of
    the mean, β = 1 − 1/f of it, moves each rate to the root λ of 1/f + β Σ w μ/(μ − λ) = 0 between its pole and the
    next, or the one before for f below 1, with the share 1/((f − 1)² λ²/f Σ w/(μ − λ)² − (f − 1)). The others have
    what these lack of 1 and of the integral over time, Σ w/μ over f.
    """
    first = np.arange(KEPT - 1)
    f = gain[:, None]
    low = np.where(f > 1, poles[:, first], np.concatenate([np.zeros_like(f), poles[:, first[:-1]]], axis=1))
    high = np.where(f > 1, poles[:, first + 1], poles[:, first])
    rates, shares = poles[:, first], weights[:, first]
    moved = gain != 1
    if moved.any():
        rates[moved], shares[moved] = _moved(poles[moved], weights[moved], f[moved], low[moved], high[moved])
    rest = np.maximum(1 - shares.sum(axis=1), 0.0)
    lacking = (weights / poles).sum(axis=1) / gain - (shares / rates).sum(axis=1)
    # They are quicker than the last of the slow ones, which rounding may hide where they have next to nothing.
    with np.errstate(divide="ignore", invalid="ignore"):
        quick = np.fmax(np.where(lacking > 0, rest / lacking, rates[:, -1]), rates[:, -1])
    return np.concatenate([rates, quick[:, None]], axis=1), np.concatenate([shares, rest[:, None]], axis=1)


def _moved(poles: Floats, weights: Floats, f: Floats, low: Floats, high: Floats) -> tuple[Floats, Floats]:
    """Roots between ``low`` and ``high`` and their shares, by Newton's method inside a bracket.

    It goes on what the sum is times the distances from both ends, which has no poles there; the unknown is the
    distance from the nearer end, so that it keeps its digits beside a pole.
    """
    beta, sign = (f - 1) / f, np.where(f > 1, 1.0, -1.0)
    scaled = (weights * poles)[:, None, :]
    # The weights add up to 1, so that the sum is 1 + β λ Σ w/(μ − λ) as well, which keeps its digits for f below 1.
    parts, alone = np.where(f < 1, weights, weights * poles)[:, None, :], np.where(f < 1, 1.0, 1 / f)

    def terms(base: Floats, x: Floats) -> tuple[Floats, Floats, Floats]:
        away = (poles[:, None, :] - base[..., None]) - x[..., None]
        value = alone + beta * np.where(f < 1, base + x, 1.0) * (parts / away).sum(axis=-1)
        return away, value, beta * (scaled / away**2).sum(axis=-1)

    half = (high - low) / 2
    nearer_low = sign * terms(low, half)[1] > 0
    base = np.where(nearer_low, low, high)
    left, right = np.where(nearer_low, 0.0, -half), np.where(nearer_low, half, 0.0)
    ends = low - base, high - base
    open_below = np.where(low > 0, 0.0, 1.0)  # there is no pole at 0
    x = (left + right) / 2
    for _ in range(STEPS):
        _, value, slope = terms(base, x)
        below = (x - ends[0]) * (1 - open_below) + open_below
        over = ends[1] - x
        rises = sign * value > 0
        left, right = np.where(rises, left, x), np.where(rises, x, right)
        turn = slope * below * over + value * (over * (1 - open_below) - below)
        step = x - value * below * over / turn
        new = np.where((step >= left) & (step <= right), step, (left + right) / 2)
        change, x = np.abs(new - x), new
        if (change <= CLOSE * np.abs(x)).all():
            break
    refuse_where(f"{PROCEDURE}, {METHOD}", {f"a rate is not found in {STEPS} steps": ~(change <= REST * np.abs(x))})
    away = terms(base, x)[0]
    rates = base + x
    share = 1 / ((f - 1) ** 2 / f * rates**2 * (weights[:, None, :] / away**2).sum(axis=-1) - (f - 1))
    return rates, share


def drainage_factor(*, n_d: ArrayLike, s_sm: ArrayLike, r_ks: ArrayLike) -> Floats:
    """Complete drainage factor of cells with a smeared zone (s_sm and r_ks 1: none), in the broadcast shape.

    All values are ratios; the well resistance is added to it. ``ProcedureError`` where the smeared zone does not lie
    between column and edge of the cell or would be more permeable than the soil.
    """
    ratio, zone, loss = _ratios(n_d, s_sm, r_ks)
    parts = (co.logarithmic_part(ratio, zone, loss), co.undisturbed_part(ratio, zone))
    return np.asarray(co.drainage_factor(*parts, co.smeared_part(ratio, zone, loss), 0.0))


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
