"""Total vertical stress of the ground, by boundaries between which it grows evenly with depth."""

from dataclasses import dataclass
from functools import lru_cache

import numpy as np

from calc.procedures.slip.vertical_strips import Floats, Ground, Straight

KEPT = 8  # cross-sections whose weights are kept: a search asks for them again and again


@dataclass(frozen=True)
class Overburden:
    """Total vertical stress of the ground, linear in x and y below every boundary, which the water table is one of.

    ``tops`` are the boundaries, the surface left out, and ``water`` the one of them at which the soil does not change:
    the water table, or the surface below open water, None without. ``at_zero`` is the stress at x = y = 0, continued,
    ``by_x`` and ``by_depth`` what it grows by with x and with depth, flat over (boundaries, strips).
    """

    tops: tuple[Straight, ...]
    at_zero: Floats
    by_x: Floats
    by_depth: Floats
    water: Straight | None


@lru_cache(maxsize=KEPT)
def overburden_of(ground: Ground) -> Overburden:
    """Every boundary passes on what its top bears and adds the weight below it."""
    soils = ground.soils
    gamma = np.array([soil.gamma for soil in soils])[ground.soil]
    gamma_sat = np.array([soil.gamma_sat for soil in soils])[ground.soil]
    # Heights of the boundaries: at x = 0, continued, and what they grow by with x.
    height = np.array([[top.origin, top.slope] for top in ground.tops])
    begin, water = ground.x[:-1], None
    if ground.table is not None and (gamma != gamma_sat).any():
        height, gamma, water = _with_water(ground, height, gamma, gamma_sat)
    borne = np.zeros_like(height)
    borne[1:] = np.cumsum(gamma[:-1, None] * (height[:-1] - height[1:]), axis=0)
    borne += gamma[:, None] * height
    tops = tuple(Straight(origin + slope * begin, slope, begin) for origin, slope in height[1:])
    return Overburden(tops, borne[:, 0].ravel(), borne[:, 1].ravel(), gamma.ravel(), water)


def _with_water(
    ground: Ground, height: Floats, gamma: Floats, gamma_sat: Floats
) -> tuple[Floats, Floats, Straight]:  # fmt: skip
    """Boundaries and unit weights with the water table, or the surface below open water, put in among them.

    In no strip does the water table cross a boundary, nor open water the surface.
    """
    table = ground.table
    assert table is not None  # noqa: S101 - the caller has looked
    middle = (ground.x[:-1] + ground.x[1:]) / 2
    level = height[:, 0] + height[:, 1] * middle
    water = table.origin + table.slope * middle
    flooded = water >= level[0]
    standing = ground.model.water.open_level if ground.model.water else None
    if standing is not None:
        flooded |= standing > level[0]
    place = np.where(flooded, 1, (level >= water).sum(axis=0))
    rows, strip = np.arange(len(level) + 1)[:, None], np.arange(len(middle))
    # The table begins a part of the soil that it lies in.
    before = np.where(rows < place, rows, rows - 1)
    made = height[before, :, strip].transpose(0, 2, 1)
    begin, (origin, slope) = ground.x[:-1], np.where(flooded, height[0], [table.origin, table.slope])
    made[place, :, strip] = np.array([origin, slope]).T
    line = Straight(origin + slope * begin, slope, begin)
    return made, np.where(rows < place, gamma[before, strip], gamma_sat[before, strip]), line
