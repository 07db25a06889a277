"""A bank of fill with weight and friction on soft ground with columns as walls."""

from dataclasses import dataclass, replace
from math import atan, degrees, radians, tan

import numpy as np

from tests.limit_analysis.extrusion import Fineness, Ground, filled, ground_mesh, kinds, shares
from tests.limit_analysis.mesh import MERGED, Floats, Mesh, grid
from tests.limit_analysis.model import CONTACT, FREE, SMOOTH, Body, Boundary, Contact, outer


@dataclass(frozen=True)
class Bank:
    """Fill of height H over the ground; T is the tension that the reinforcement at its base holds, kN/m.

    The field ends, and the toe lies, where a wall's share of the ground does: L and x_e are whole spacings.
    """

    ground: Ground
    H: float
    gamma: float = 19.0
    phi: float = 35.0
    T: float = 0.0

    def reduced(self, safety: float) -> "Bank":
        """The bank with all strengths of the ground and the fill divided by a safety."""
        ground = self.ground
        return replace(
            self, phi=_less(self.phi, safety),
            ground=replace(
                ground, c_u0=ground.c_u0 / safety, rho=ground.rho / safety, phi_c=_less(ground.phi_c, safety)
            ),
        )  # fmt: skip


def _less(phi: float, safety: float) -> float:
    return degrees(atan(tan(radians(phi)) / safety))


def bank_bodies(bank: Bank, fine: Fineness | None = None) -> tuple[Body, Body, Contact]:
    """Ground, fill and contact; multiplier: less the share of the undrained strength that the weights ask for."""
    ground, fine = bank.ground, fine or Fineness()
    mesh = ground_mesh(ground, fine)
    edge = outer(mesh)
    kind = kinds(mesh, edge)
    kind[(kind == FREE) & (edge.middle[:, 0] < ground.L)] = CONTACT
    none = np.zeros((len(kind), 2))
    below = filled(ground, mesh, Boundary(edge.sides, kind, none, none, none[:, 0]))
    below = replace(below, c=np.zeros_like(below.c), c_live=-below.c)
    fill = _fill(bank, mesh, fine)
    lying, touching = fill.boundary.kind == CONTACT, np.flatnonzero(kind == CONTACT)
    lower = fill.boundary.sides[lying]
    lower = lower[np.argsort(fill.mesh.corners[lower[:, 0], lower[:, 1], 0])]
    starts = fill.mesh.corners[lower[:, 0], lower[:, 1], 0]
    x = edge.middle[touching, 0]
    over = np.searchsorted(starts, x) - 1
    share = shares(ground, x, mesh.zone[edge.sides[touching, 0]])
    return below, fill, Contact(lower, edge.sides[touching], over, share, bank.T)


def _fill(bank: Bank, mesh: Mesh, fine: Fineness) -> Body:
    """Columns of quadrilaterals over whole shares of walls, and over the lines of the ground beyond the field."""
    ground = bank.ground
    lines = np.unique(mesh.points[np.abs(mesh.points[:, 1]) < 1e-6, 0])
    x = lines[lines < ground.L + 1e-6]
    if ground.a:
        count = round((ground.x_e - lines[0]) / ground.spacing)
        cells = ground.x_e - ground.spacing * np.arange(count + 1)
        x = np.unique(np.round([*cells, *x[x > ground.x_e + 1e-6]], MERGED) + 0.0)
    top = np.clip(1 - x / ground.L, 0.0, 1.0) * bank.H
    share = np.linspace(0.0, 1.0, max(2, round(bank.H / ground.t * fine.rows)) + 1)
    made = grid(_points(x, 0 * x), _points(x, top), share, np.zeros(len(x) - 1, dtype=np.int64))
    edge = outer(made)
    kind = np.full(len(edge.sides), FREE)
    kind[edge.middle[:, 0] < lines[0] + 1e-6] = SMOOTH
    kind[edge.middle[:, 1] < 1e-6] = CONTACT
    none, count = np.zeros((len(kind), 2)), len(made.area)
    return Body(
        made, Boundary(edge.sides, kind, none, none, none[:, 0]), np.zeros((count, 3)),
        np.full(count, radians(bank.phi)), np.zeros(count), np.full(count, bank.gamma), np.zeros(count),
    )  # fmt: skip


def _points(x: Floats, y: Floats) -> Floats:
    return np.stack([x, y], axis=1)
