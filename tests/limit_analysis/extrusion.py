"""Soft ground with columns as walls under a load that falls from the crest edge to the toe."""

from dataclasses import dataclass
from itertools import pairwise

import numpy as np

from tests.limit_analysis.mesh import Floats, Ints, Mesh, grid
from tests.limit_analysis.model import FREE, ROUGH, SMOOTH, Body, Boundary, outer

SOIL, WALL = 0, 1
SLEEVE = 100.0  # kPa, horizontal tension that the sleeve adds to a wall
WEIGHT = 5.0  # kN/m³, effective weight of the soft ground


@dataclass(frozen=True)
class Ground:
    """Soft ground of thickness t under a slope of width L; columns reach x_e beyond the crest edge (x 0), or none.

    ``n`` is the stress ratio in which the load stands on column and soil, ``alpha_t`` the share of the strength that
    the reinforcement holds at the top under the slope.
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

    @property
    def spacing(self) -> float:
        """Of walls of a quarter of the diameter with the area ratio of the columns."""
        return self.d / (4 * self.a)

    @property
    def shares(self) -> tuple[float, float]:
        """Stress on soil and on column over the mean."""
        mean = 1 + (self.n - 1) * self.a
        return 1 / mean, self.n / mean


@dataclass(frozen=True)
class Fineness:
    """Rows over the thickness, intervals between two walls, width beyond the crest edge and the toe over t."""

    rows: int = 8
    gap: int = 1
    inside: float = 1.5
    beyond: float = 2.0


def lines(ground: Ground, fine: Fineness) -> tuple[Floats, Ints]:
    """Places of vertical lines, from the axis of the bank to the far side, and the zone of each interval."""
    left, size = -fine.inside * ground.t, ground.t / fine.rows
    end = ground.L + fine.beyond * ground.t
    walls: list[tuple[float, float]] = []
    if ground.a:
        cells = int(np.ceil((ground.x_e - left) / ground.spacing))
        left = ground.x_e - cells * ground.spacing
        middle = ground.x_e - (np.arange(cells)[::-1] + 0.5) * ground.spacing
        walls = [(x - ground.d / 8, x + ground.d / 8) for x in middle]
    field = ground.x_e if ground.a else left
    fixed = np.unique(np.round([left, 0.0, field, ground.L, end, *np.ravel(walls)], 9))
    made: list[float] = [fixed[0]]
    for a, b in pairwise(fixed):
        inside = any(low - 1e-6 < (a + b) / 2 < high + 1e-6 for low, high in walls)
        count = 1 if inside else max(1, round((b - a) / size))
        if b <= field + 1e-6 and not inside:
            count = max(1, round(fine.gap * (b - a) / (ground.spacing * 0.85)))
        made.extend(np.linspace(a, b, count + 1)[1:])
    x = np.array(made)
    middle = (x[1:] + x[:-1]) / 2
    zone = np.array([any(low < m < high for low, high in walls) for m in middle], dtype=np.int64)
    return x, zone


def ground_mesh(ground: Ground, fine: Fineness) -> Mesh:
    """The soft ground; the lowest row is thin, where it slides on the firm base."""
    x, zone = lines(ground, fine)
    share = np.concatenate([[0.0, 0.25], np.arange(1, fine.rows + 1)]) / fine.rows
    bottom = np.stack([x, np.full_like(x, -ground.t)], axis=1)
    return grid(bottom, np.stack([x, np.zeros_like(x)], axis=1), share, zone)


def body(ground: Ground, fine: Fineness | None = None) -> Body:
    """Multiplier: the pressure p under the crest."""
    mesh = ground_mesh(ground, fine or Fineness())
    wall = mesh.zone == WALL
    c = ground.c_u0 - ground.rho * mesh.corners[:, :, 1]
    c[wall] = 0.0
    return Body(
        mesh, _boundary(mesh, ground), c, np.where(wall, np.radians(ground.phi_c), 0.0),
        np.where(wall, SLEEVE, 0.0), np.where(wall, ground.gamma_c, WEIGHT), np.zeros(len(wall)),
    )  # fmt: skip


def _boundary(mesh: Mesh, ground: Ground) -> Boundary:
    edge = outer(mesh)
    sides, ends, middle = edge.sides, edge.ends, edge.middle
    triangle = sides[:, 0]
    kind = np.full(len(sides), ROUGH)
    kind[middle[:, 1] > -1e-6] = FREE
    kind[middle[:, 0] < mesh.points[:, 0].min() + 1e-6] = SMOOTH
    falling = np.clip(1 - ends[:, :, 0] / ground.L, 0.0, 1.0)
    share = np.ones(len(sides))
    if ground.a:
        soil, wall = ground.shares
        share = np.where(middle[:, 0] > ground.x_e, 1.0, np.where(mesh.zone[triangle] == WALL, wall, soil))
    on_top = kind == FREE
    under = on_top & (middle[:, 0] > 0) & (middle[:, 0] < ground.L) & (mesh.zone[triangle] == SOIL)
    return Boundary(
        sides, kind, np.zeros((len(sides), 2)), np.where(on_top[:, None], share[:, None] * falling, 0.0),
        np.where(under, ground.alpha_t * ground.c_u0, 0.0),
    )  # fmt: skip
