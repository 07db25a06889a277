"""Triangles over a cross-section: grids of quadrilaterals, each cut into four triangles at its middle."""

from dataclasses import dataclass
from functools import cached_property

import numpy as np
from numpy.typing import NDArray

Floats = NDArray[np.float64]
Ints = NDArray[np.int64]
MERGED = 6  # decimals of a metre to which two places are one point


@dataclass(frozen=True)
class Mesh:
    """Points (n, 2), triangles (m, 3) that turn to the left, and the zone of each triangle (m,)."""

    points: Floats
    triangles: Ints
    zone: Ints

    @cached_property
    def corners(self) -> Floats:
        """Coordinates of the corners of each triangle (m, 3, 2)."""
        return self.points[self.triangles]

    @cached_property
    def area(self) -> Floats:
        a, b, c = self.corners.transpose(1, 2, 0)
        return np.asarray((b[0] - a[0]) * (c[1] - a[1]) - (c[0] - a[0]) * (b[1] - a[1])) / 2

    @cached_property
    def slopes(self) -> Floats:
        """Derivatives by x and y of the three area coordinates of each triangle (m, 3, 2)."""
        after, before = np.roll(self.corners, -1, axis=1), np.roll(self.corners, 1, axis=1)
        edge = before - after
        return np.stack([-edge[:, :, 1], edge[:, :, 0]], axis=2) / (2 * self.area[:, None, None])

    @cached_property
    def edges(self) -> Ints:
        """Rows (triangle, side, other triangle, other side), side k from corner k to corner k + 1; -1: no other."""
        first: dict[tuple[int, int], tuple[int, int]] = {}
        rows = []
        for t, corners in enumerate(self.triangles.tolist()):
            for k in range(3):
                a, b = corners[k], corners[(k + 1) % 3]
                other = first.pop((b, a), None)
                if other is None:
                    first[a, b] = (t, k)
                else:
                    rows.append((*other, t, k))
        rows.extend((*one, -1, -1) for one in first.values())
        return np.array(rows)


def joined(*meshes: Mesh) -> Mesh:
    """One mesh of several, points at the same place joined, with the zones of the parts."""
    points = np.concatenate([mesh.points for mesh in meshes])
    start = np.cumsum([0, *(len(mesh.points) for mesh in meshes)])
    triangles = np.concatenate([mesh.triangles + first for mesh, first in zip(meshes, start, strict=False)])
    return _merged(points, triangles, np.concatenate([mesh.zone for mesh in meshes]))


def grid(low: Floats, high: Floats, share: Floats, zone: Ints) -> Mesh:
    """Quadrilaterals between two lines of as many points (n, 2); shares from 0 to 1 divide the way between them.

    ``zone`` is one number for each interval of the lines. Where the lines meet, the quadrilaterals become triangles.
    """
    place = low[:, None] + share[:, None] * (high - low)[:, None]
    corners = np.stack([place[:-1, :-1], place[1:, :-1], place[1:, 1:], place[:-1, 1:]], axis=2).reshape(-1, 4, 2)
    middle = _crossing(corners)
    quads = len(corners)
    points = np.concatenate([corners.reshape(-1, 2), middle])
    first = 4 * np.arange(quads)[:, None]
    centre = np.broadcast_to(4 * quads + np.arange(quads)[:, None], (quads, 4))
    side = np.arange(4)
    triangles = np.stack([first + side, first + (side + 1) % 4, centre], axis=2).reshape(-1, 3)
    return _merged(points, triangles, np.repeat(zone, 4 * (len(share) - 1)))


def _crossing(corners: Floats) -> Floats:
    """Where the diagonals of quadrilaterals cross; the middle of those that have become triangles."""
    a, b, c, d = corners.transpose(1, 2, 0)
    along, across, to = c - a, d - b, b - a
    with np.errstate(divide="ignore", invalid="ignore"):
        share = (to[0] * across[1] - to[1] * across[0]) / (along[0] * across[1] - along[1] * across[0])
    proper = (share > 0.01) & (share < 0.99)
    crossing: Floats = np.where(proper[:, None], (a + np.where(proper, share, 0.0) * along).T, corners.mean(axis=1))
    return crossing


def _merged(points: Floats, triangles: Ints, zone: Ints) -> Mesh:
    """Join points at the same place and leave out triangles without an area."""
    found, index = np.unique(np.round(points, MERGED) + 0.0, axis=0, return_inverse=True)
    mesh = Mesh(found, index.reshape(-1)[triangles], zone)
    kept = mesh.area > 10.0 ** (1 - MERGED)
    return Mesh(found, mesh.triangles[kept], zone[kept])
