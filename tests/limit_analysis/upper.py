"""Upper bound: velocities quadratic in triangles and continuous, whose strain rates obey the flow rule at the corners.

Makrodimopoulos & Martin (2007), Int. J. Numer. Anal. Methods Geomech. 31, pp. 835-865 (from memory). Strain rates are
linear in a straight triangle, so that the rule holds everywhere, and the power that corners weigh bounds the integral.
Solved in the dual form: stresses at the corners in equilibrium in the mean that quadratic velocities take.
"""

from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from tests.limit_analysis.mesh import Floats, Ints, Mesh
from tests.limit_analysis.model import FREE, ROUGH, SMOOTH, Body, Contact, sheet, stresses
from tests.limit_analysis.programme import Programme

Terms = list[tuple[Ints, Ints, Floats]]


@dataclass(frozen=True)
class Balance:
    """Nodes of a body and the balance of forces at its velocities, two a node: terms, loads, and which are free."""

    nodes: Ints
    terms: Terms
    fixed: Floats
    live: Floats
    moves: NDArray[np.bool_]


def upper_bound(body: Body, fill: Body | None = None, contact: Contact | None = None) -> float:
    """The least multiplier at which a mechanism is found; the fill stands on the body by the contact."""
    programme = Programme()
    parts = [_balance(programme, body)]
    if fill is not None and contact is not None:
        parts.append(_balance(programme, fill))
        _touch(programme, contact, (body, parts[0]), (fill, parts[1]))
    for part in parts:
        number = np.cumsum(part.moves) - 1
        kept = [
            (number[row[part.moves[row]]], column[part.moves[row]], value[part.moves[row]])
            for row, column, value in part.terms
        ]
        programme.equal(kept, part.fixed[part.moves], part.live[part.moves])
    return programme.solve()


def _balance(programme: Programme, body: Body) -> Balance:
    mesh = body.mesh
    # The mean of the cohesion with the area coordinate of a corner as weight: linear cohesion is bounded exactly.
    stress = stresses(programme, body, lambda c: (c + c.sum(axis=1, keepdims=True)) / 4)
    nodes = _nodes(mesh)
    fixed, live = np.zeros(2 * int(nodes.max()) + 2), np.zeros(2 * int(nodes.max()) + 2)
    terms: Terms = []
    for k in range(3):
        by_x, by_y = _derivatives(mesh, k)
        for part, of_x, of_y in ((0, 0, 2), (1, 2, 1)):
            for which, by in ((of_x, by_x), (of_y, by_y)):
                for numbers, sign in stress.parts()[which]:
                    number = numbers[:, k]
                    there = number >= 0
                    row = 2 * nodes[there] + part
                    value = sign * (by * mesh.area[:, None] / 3)[there]
                    terms.append((row.ravel(), np.repeat(number[there], 6), value.ravel()))
    for side in range(3, 6):
        np.add.at(fixed, 2 * nodes[:, side] + 1, -body.fixed * mesh.area / 3)
        np.add.at(live, 2 * nodes[:, side] + 1, -body.live * mesh.area / 3)
    _pressures(body, nodes, fixed, live)
    terms += _held(programme, body, nodes)
    return Balance(nodes, terms, fixed, live, _moves(body, nodes))


def _nodes(mesh: Mesh) -> Ints:
    """Nodes of each triangle (m, 6): corners, then middles of the sides from corner k to k + 1."""
    side = np.sort(np.stack([mesh.triangles, np.roll(mesh.triangles, -1, axis=1)], axis=2), axis=2)
    _, number = np.unique(side.reshape(-1, 2), axis=0, return_inverse=True)
    return np.concatenate([mesh.triangles, len(mesh.points) + number.reshape(-1, 3)], axis=1)


def _moves(body: Body, nodes: Ints) -> NDArray[np.bool_]:
    """Which velocities (two a node) are free."""
    moves = np.zeros(2 * int(nodes.max()) + 2, dtype=bool)
    moves[2 * nodes.ravel()] = moves[2 * nodes.ravel() + 1] = True
    triangle, side = body.boundary.sides.T
    on = np.stack([nodes[triangle, side], nodes[triangle, (side + 1) % 3], nodes[triangle, side + 3]], axis=1)
    stopped = (body.boundary.kind == ROUGH) | (body.boundary.kind == SMOOTH)
    moves[2 * on[stopped].ravel()] = False
    moves[2 * on[body.boundary.kind == ROUGH].ravel() + 1] = False
    return moves


def _derivatives(mesh: Mesh, k: int) -> tuple[Floats, Floats]:
    """Derivatives of the six shape functions at corner k by x and by y (m, 6)."""
    slopes = mesh.slopes
    made = np.empty((len(mesh.area), 6, 2))
    for i in range(3):
        made[:, i] = slopes[:, i] * (3.0 if i == k else -1.0)
        j = (i + 1) % 3
        made[:, i + 3] = 4 * (slopes[:, j] * (i == k) + slopes[:, i] * (j == k))
    return made[:, :, 0], made[:, :, 1]


def _pressures(body: Body, nodes: Ints, fixed: Floats, live: Floats) -> None:
    """Forces of linear pressures on quadratic velocities, by Simpson's rule, which is exact for their product."""
    edge = body.boundary
    free = edge.kind == FREE
    triangle, side = edge.sides[free].T
    corners = body.mesh.corners
    width = corners[triangle, side, 0] - corners[triangle, (side + 1) % 3, 0]
    for load, made in ((edge.fixed[free], fixed), (edge.live[free], live)):
        for node, value in (
            (nodes[triangle, side], load[:, 0] / 6),
            (nodes[triangle, side + 3], load.mean(axis=1) * 4 / 6),
            (nodes[triangle, (side + 1) % 3], load[:, 1] / 6),
        ):
            np.add.at(made, 2 * node + 1, -value * width)


def _held(programme: Programme, body: Body, nodes: Ints) -> Terms:
    """Shear on held sides, against the velocity at its three Bernstein points: their mean bounds the mean speed."""
    edge = body.boundary
    held = np.flatnonzero((edge.kind == FREE) & (edge.held > 0))
    if not len(held):
        return []
    triangle, side = edge.sides[held].T
    corners = body.mesh.corners
    length = np.hypot(*(corners[triangle, (side + 1) % 3] - corners[triangle, side]).T)
    number = programme.variables(len(held), 3)
    limits, row = np.repeat(edge.held[held], 3), np.arange(3 * len(held))
    for sign in (1.0, -1.0):
        programme.at_most([(row, number.ravel(), np.full(len(row), sign))], limits)
    first, last, middle = (2 * nodes[triangle, at] for at in (side, (side + 1) % 3, side + 3))
    third = length / 3
    return [
        (first, number[:, 0], third), (last, number[:, 2], third), (middle, number[:, 1], 2 * third),
        (first, number[:, 1], -third / 2), (last, number[:, 1], -third / 2),
    ]  # fmt: skip


def _touch(programme: Programme, contact: Contact, below: tuple[Body, Balance], above: tuple[Body, Balance]) -> None:
    """Stresses between fill and ground, linear along each side of the fill; the ground takes its share of them.

    Forces of a linear stress on quadratic velocities are those of Simpson's rule.
    """
    (body, ground), (fill, lying) = below, above
    normal, shear = programme.variables(2, len(contact.fill), 2)
    tension, first = sheet(programme, contact)
    left, right = _ends(fill, contact.fill)
    for node, weights in _simpson(contact.fill, lying.nodes):
        for end in range(2):
            value = weights[end] * (right - left)
            lying.terms.append((2 * node + 1, normal[:, end], value))
            lying.terms.append((2 * node, shear[:, end], value))
    start, stop = _ends(body, contact.ground)
    over = contact.below
    # Sides of the ground run from right to left: shares of the right end of the fill's side at both of their ends.
    shares = [(at - left[over]) / (right - left)[over] for at in (start, stop)]
    for node, weights in _simpson(contact.ground, ground.nodes):
        for end in range(2):
            value = -weights[end] * (start - stop)
            for corner, share in ((0, 1 - shares[end]), (1, shares[end])):
                ground.terms.append((2 * node + 1, normal[over, corner], value * share * contact.share))
                ground.terms.append((2 * node, shear[over, corner], value * share))
            if len(tension):
                slope = value / (right - left)[over]
                ground.terms.append((2 * node, tension[first[over] + 1], slope))
                ground.terms.append((2 * node, tension[first[over]], -slope))


def _ends(body: Body, sides: Ints) -> tuple[Floats, Floats]:
    """Places of the first and the second end of sides."""
    triangle, side = sides.T
    return body.mesh.corners[triangle, side, 0], body.mesh.corners[triangle, (side + 1) % 3, 0]


def _simpson(sides: Ints, nodes: Ints) -> list[tuple[Ints, tuple[float, float]]]:
    """Nodes of sides with the parts of the values at the first and the second end that act on them."""
    triangle, side = sides.T
    return [
        (nodes[triangle, side], (1 / 6, 0.0)),
        (nodes[triangle, side + 3], (1 / 3, 1 / 3)),
        (nodes[triangle, (side + 1) % 3], (0.0, 1 / 6)),
    ]
