"""The extruding wedge over two grids of columns, its inner plane wherever the program tries one."""

from collections.abc import Iterator
from dataclasses import replace
from math import pi, radians

import numpy as np

from calc.procedures.extrusion import Wedge, critical_thickness
from tests.limit_analysis.extrusion import Ground

CLOSE = 1e-9


def extruded_over_grids(ground: Ground) -> float:
    """Pressure (kPa) at the crest edge at which the wedge of the program gives way, all of it permanent.

    Inner planes stand at the crest edge and on both sides of the border. From there to the last column the soil has the
    mean ratio, the base the mean of what does not rise outward, and its columns the stress of the densest ones. Of a
    bank with two slopes the wedges of both sides are tried.
    """
    sides = [ground, *([_mirrored(ground)] if ground.back else [])]
    return min(extruded_outward(side) for side in sides)


def extruded_outward(ground: Ground) -> float:
    """The same of the wedge that moves outward alone."""
    return min(_pressure(ground, *plane) for plane in _planes(ground))


def extruded_at_crest_edge(ground: Ground) -> float:
    """The same with its inner plane at the crest edge alone."""
    return _pressure(ground, *next(_planes(ground)))


def _mirrored(ground: Ground) -> Ground:
    """The bank from the other side, columns up to its toe."""
    found = replace(ground, L=ground.back, x_e=ground.back, back=ground.L, a=ground.a_in, a_in=ground.a)
    return replace(found, cells=(found.x_e + ground.border + ground.crest) / found.spacing)


def _planes(ground: Ground) -> Iterator[tuple[float, float]]:
    """Place from the crest edge outward, and the area ratio on the side of the plane."""
    yield 0.0, (ground.a if ground.border <= 0 else ground.a_in)
    for ratio in (ground.a_in, ground.a):
        yield ground.border, ratio


def _pressure(ground: Ground, place: float, inner: float) -> float:
    inward, outward = max(ground.border - place, 0.0), ground.x_e - max(ground.border, place)
    strips = [(length, ratio) for length, ratio in ((inward, ground.a_in), (outward, ground.a)) if length > 0]
    run = sum(length for length, _ in strips)
    mean = sum(length * ratio for length, ratio in strips) / run
    counted = sum(length * min(ratio, strips[0][1]) for length, ratio in strips) / run
    column, left = pi * ground.d**2 / 4, float(ground.height(np.asarray(place)))
    wedge = Wedge(
        ground.c_u0, ground.c_u0, ground.c_u0, ground.rho, ground.L - place, ground.x_e - place, ground.alpha_t, mean,
        column / inner, ground.d, radians(ground.phi_c), ground.gamma_c, 0.0, min(ground.L - place, ground.L),
        A_Eb=column / counted, p_cNb=0.0,
    )  # fmt: skip
    pressure = 0.0
    for _ in range(200):
        stresses = [left * ground.shares(ratio)[1] * pressure for ratio in (inner, max(ratio for _, ratio in strips))]
        loaded = replace(wedge, p_cN=stresses[0], p_cNb=stresses[1])
        before = pressure
        _, least = critical_thickness(loaded.resistance, np.asarray(ground.t))
        pressure = float(least) / (left * ground.shares(inner)[0])
        if abs(pressure - before) <= CLOSE * pressure:
            return pressure
    message = "the pressure of the wedge over two grids has not settled"
    raise ArithmeticError(message)
