"""Soft ground with columns as walls under a load that falls from the crest edge to the toe."""

from dataclasses import dataclass
from itertools import pairwise

import numpy as np

from tests.limit_analysis.mesh import MERGED, Floats, Ints, Mesh, grid
from tests.limit_analysis.model import FREE, ROUGH, SMOOTH, Body, Boundary, Outer, outer

SOIL, WALL = 0, 1
WEIGHT = 5.0  # kN/m³, effective weight of the soft ground


@dataclass(frozen=True)
class Ground:
    """Soft ground of thickness t under a slope of width L; columns reach x_e beyond the crest edge (x 0), or none.

    ``n`` is the stress ratio in which the load stands on column and soil, ``alpha_t`` the share of the strength that
    the reinforcement holds at the top under the slope, ``sleeve`` the horizontal tension (kPa) that the sleeve adds to
    a wall. With ``a_in`` another grid begins ``cells`` walls inward of x_e and has this area ratio. With ``back`` the
    bank has another slope of this width behind a crest of width ``crest``, and columns up to its toe.
    """

    t: float
    L: float
    c_u0: float
    rho: float = 0.0
    a: float = 0.0
    x_e: float = 0.0
    d: float = 0.8
    phi_c: float = 30.0
    gamma_c: float = 9.0
    n: float = 2.5
    alpha_t: float = 0.0
    sleeve: float = 100.0
    a_in: float = 0.0
    cells: float = 0
    crest: float = np.inf
    back: float = 0.0

    def height(self, x: Floats) -> Floats:
        """Height of fill over places, over that of the crest."""
        found = np.clip(1 - x / self.L, 0.0, 1.0)
        return np.minimum(found, np.clip(1 + (x + self.crest) / self.back, 0.0, 1.0)) if self.back else found

    @property
    def spacing(self) -> float:
        """Of walls of a quarter of the diameter with the area ratio of the columns."""
        return self.d / (4 * self.a)

    @property
    def border(self) -> float:
        """Place of the border of both grids; behind everything without a second one."""
        return self.x_e - self.cells * self.spacing if self.a_in else -np.inf

    def bounds(self, left: float) -> Floats:
        """Ends of the shares of the walls from x_e inward to ``left`` or a little beyond it, from left to right."""
        count = int(np.ceil((self.x_e - max(left, self.border)) / self.spacing - 1e-9))
        found = self.x_e - np.arange(count + 1) * self.spacing
        if self.a_in:
            spacing = self.d / (4 * self.a_in)
            count = int(np.ceil((self.border - left) / spacing - 1e-9))
            found = np.concatenate([found, self.border - np.arange(1, count + 1) * spacing])
        return np.asarray(found[::-1], dtype=np.float64)

    def shares(self, a: float) -> tuple[float, float]:
        """Stress on soil and on column over the mean, where the area ratio is ``a``."""
        mean = 1 + (self.n - 1) * a
        return 1 / mean, self.n / mean


@dataclass(frozen=True)
class Fineness:
    """Rows over the thickness and intervals from a wall to the end of its share of the ground.

    ``inside`` and ``beyond`` are the widths behind the crest edge and past the toe over the thickness.
    """

    rows: int = 8
    gap: int = 1
    inside: float = 1.5
    beyond: float = 2.0


def lines(ground: Ground, fine: Fineness) -> tuple[Floats, Ints]:
    """Places of vertical lines, from the axis of the bank to the far side, and the zone of each interval."""
    left, size = -fine.inside * ground.t, ground.t / fine.rows
    fixed = [0.0, ground.L, ground.L + fine.beyond * ground.t]
    if ground.back:
        left = -ground.crest - ground.back
        fixed += [left, left - fine.beyond * ground.t]
    walls, field = np.zeros((0, 2)), left
    if ground.a:
        bounds = ground.bounds(left)
        middle = (bounds[1:] + bounds[:-1]) / 2
        walls = np.stack([middle - ground.d / 8, middle + ground.d / 8], axis=1)
        field = ground.x_e
        left = bounds[0]
        fixed.extend(bounds)
    places = np.unique(np.round([left, *fixed, *walls.ravel()], MERGED) + 0.0)
    made: list[float] = [places[0]]
    for a, b in pairwise(places):
        inside = left - 1e-6 < a and b < field + 1e-6
        count = fine.gap if inside else max(1, round((b - a) / size))
        if ((walls[:, 0] < (a + b) / 2) & (walls[:, 1] > (a + b) / 2)).any():
            count = 1
        made.extend(np.linspace(a, b, count + 1)[1:])
    x = np.round(made, MERGED)
    middle = ((x[1:] + x[:-1]) / 2)[:, None]
    return x, ((walls[:, 0] < middle) & (walls[:, 1] > middle)).any(axis=1).astype(np.int64)


def ground_mesh(ground: Ground, fine: Fineness) -> Mesh:
    """The soft ground; the lowest row is thin, where it slides on the firm base."""
    x, zone = lines(ground, fine)
    share = np.concatenate([[0.0, 0.25], np.arange(1, fine.rows + 1)]) / fine.rows
    bottom = np.stack([x, np.full_like(x, -ground.t)], axis=1)
    return grid(bottom, np.stack([x, np.zeros_like(x)], axis=1), share, zone)


def body(ground: Ground, fine: Fineness | None = None) -> Body:
    """The soft ground under the falling load; multiplier: the pressure p under the crest."""
    mesh = ground_mesh(ground, fine or Fineness())
    edge = outer(mesh)
    falling = ground.height(edge.ends[:, :, 0])
    kind = kinds(mesh, edge)
    x, zone = edge.middle[:, 0], mesh.zone[edge.sides[:, 0]]
    live = np.where((kind == FREE)[:, None], shares(ground, x, zone)[:, None] * falling, 0.0)
    under = (kind == FREE) & (x > 0) & (x < ground.L) & (zone == SOIL)
    held = np.where(under, ground.alpha_t * ground.c_u0, 0.0)
    return filled(ground, mesh, Boundary(edge.sides, kind, np.zeros_like(live), live, held))


def filled(ground: Ground, mesh: Mesh, boundary: Boundary) -> Body:
    """The mesh with the strengths and weights of soft ground and walls."""
    wall = mesh.zone == WALL
    c = ground.c_u0 - ground.rho * mesh.corners[:, :, 1]
    c[wall] = 0.0
    return Body(
        mesh, boundary, c, np.where(wall, np.radians(ground.phi_c), 0.0),
        np.where(wall, ground.sleeve, 0.0), np.where(wall, ground.gamma_c, WEIGHT), np.zeros(len(wall)),
    )  # fmt: skip


def kinds(mesh: Mesh, edge: Outer) -> Ints:
    """Free top, smooth axis, rough base and far side."""
    kind = np.full(len(edge.sides), ROUGH)
    kind[edge.middle[:, 1] > -1e-6] = FREE
    kind[edge.middle[:, 0] < mesh.points[:, 0].min() + 1e-6] = SMOOTH
    return kind


def shares(ground: Ground, x: Floats, zone: Ints) -> Floats:
    """Stress at the top over the mean, on soil and columns of the field and 1 beyond it."""
    if not ground.a:
        return np.ones(len(x))
    soil, wall = ground.shares(ground.a)
    found = np.where(zone == WALL, wall, soil)
    if ground.a_in:
        soil, wall = ground.shares(ground.a_in)
        found = np.where(x < ground.border, np.where(zone == WALL, wall, soil), found)
    return np.where(x > ground.x_e, 1.0, found)
