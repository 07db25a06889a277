"""Bodies whose collapse loads are known."""

from typing import Any

import numpy as np
from numpy.typing import NDArray

from tests.limit_analysis.mesh import Floats, Ints, Mesh, grid, joined
from tests.limit_analysis.model import FREE, ROUGH, SMOOTH, Body, Boundary, outer


def strip(rings: int, rays: int, *, width: float, depth: float, c: float, phi: float, beside: float) -> Body:
    """Half a strip of half width 1 on weightless ground: multiplier of the pressure under it.

    Rays and rings around its edge: a field of linear stresses turns there from ray to ray.
    """
    below = np.array([[0.0, -depth], [width, -depth]]) - [1.0, 0.0]
    angle = np.unique([*np.linspace(-np.pi, 0.0, rays + 1), *np.arctan2(below[:, 1], below[:, 0])])
    ray = np.round(np.stack([np.cos(angle), np.sin(angle)], axis=1), 12)
    with np.errstate(divide="ignore"):
        across = np.where(ray[:, 0] < 0, -1 / ray[:, 0], (width - 1) / ray[:, 0])
        length = np.minimum(across, np.where(ray[:, 1] < 0, -depth / ray[:, 1], np.inf))
    edge = np.array([1.0, 0.0])
    mesh = grid(edge + length[:, None] * ray, np.tile(edge, (len(ray), 1)), np.linspace(0, 1, rings + 1), zones(ray))
    sides = outer(mesh)
    kind = np.where(sides.middle[:, 1] > -1e-6, FREE, np.where(sides.middle[:, 0] < 1e-6, SMOOTH, ROUGH))
    under = (kind == FREE) & (sides.middle[:, 0] < 1)
    past = (kind == FREE) & ~under
    boundary = Boundary(sides.sides, kind, _even(past * beside), _even(under * 1.0), np.zeros(len(kind)))
    return _body(mesh, boundary, c, phi)


def cut(across: int) -> Body:
    """A vertical cut of height 1 and cohesion 1, ``across`` quadrilaterals over it: multiplier of the weight."""
    y = np.linspace(-0.5, 1.0, round(1.5 * across) + 1)
    behind, before = np.linspace(-1.5, 0.0, len(y)), np.linspace(0.0, 0.75, round(0.75 * across) + 1)
    mesh = joined(_block(behind, y), _block(before, y[y < 1e-9]))
    sides = outer(mesh)
    x, level = sides.middle.T
    stuck = (level < -0.5 + 1e-6) | (x > 0.75 - 1e-6) | (x < -1.5 + 1e-6)
    none = _even(np.zeros(len(x)))
    made = _body(mesh, Boundary(sides.sides, np.where(stuck, ROUGH, FREE), none, none, none[:, 0]), 1.0, 0.0)
    return Body(mesh, made.boundary, made.c, made.phi, made.tie, made.fixed, made.fixed + 1.0)


def post(across: int, *, phi: float, tie: float) -> Body:
    """A free-standing wall of width 1 and height 3 without cohesion, tied across: multiplier of the pressure on it."""
    mesh = _block(np.linspace(0.0, 1.0, across + 1), np.linspace(0.0, 3.0, 3 * across + 1))
    sides = outer(mesh)
    level = sides.middle[:, 1]
    boundary = Boundary(
        sides.sides, np.where(level < 1e-6, ROUGH, FREE), _even(np.zeros(len(level))),
        _even((level > 3 - 1e-6) * 1.0), np.zeros(len(level)),
    )  # fmt: skip
    made = _body(mesh, boundary, 0.0, phi)
    return Body(mesh, boundary, made.c, made.phi, made.tie + tie, made.fixed, made.live)


def zones(line: Floats) -> Ints:
    return np.zeros(len(line) - 1, dtype=np.int64)


def _even(value: NDArray[Any]) -> Floats:
    return np.stack([value, value], axis=1)


def _block(x: Floats, y: Floats) -> Mesh:
    low, high = (np.stack([x, np.full_like(x, level)], axis=1) for level in (y[0], y[-1]))
    return grid(low, high, (y - y[0]) / (y[-1] - y[0]), zones(x))


def _body(mesh: Mesh, boundary: Boundary, c: float, phi: float) -> Body:
    count, nothing = len(mesh.area), np.zeros(len(mesh.area))
    return Body(mesh, boundary, np.full((count, 3), c), np.full(count, phi), nothing, nothing, nothing)
