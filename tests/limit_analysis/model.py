"""What a limit analysis is asked: strengths and weights of the triangles, and what happens on the boundary.

Plane strain, kN, m, kPa, tension positive, y upwards. Loads and cohesion are fixed + multiplier × live.
"""

from collections.abc import Callable
from dataclasses import dataclass

import numpy as np

from tests.limit_analysis.mesh import Floats, Ints, Mesh
from tests.limit_analysis.programme import Programme

FREE, ROUGH, SMOOTH, CONTACT = 0, 1, 2, 3


@dataclass(frozen=True)
class Boundary:
    """Sides on the boundary (triangle, side), what they are, and loads at their two ends, all over (sides, 2).

    A free side bears a downward ``pressure`` (fixed, live) per metre of its horizontal projection and may carry a shear
    of at most ``held`` (one per side). A rough side does not move, a smooth one is vertical and does not move across;
    what happens on a side in contact is said by the contact.
    """

    sides: Ints
    kind: Ints
    fixed: Floats
    live: Floats
    held: Floats


@dataclass(frozen=True)
class Outer:
    """Sides on the boundary (triangle, side) with their ends (sides, 2, 2) and middles (sides, 2)."""

    sides: Ints
    ends: Floats
    middle: Floats


def outer(mesh: Mesh) -> Outer:
    """The sides on the boundary of a mesh."""
    sides = mesh.edges[mesh.edges[:, 2] < 0][:, :2]
    triangle, side = sides.T
    ends = np.stack([mesh.corners[triangle, side], mesh.corners[triangle, (side + 1) % 3]], axis=1)
    return Outer(sides, ends, ends.mean(axis=1))


@dataclass(frozen=True)
class Body:
    """Mesh and boundary with cohesion at the corners (m, 3), friction, tie across, and weights of each triangle (m,).

    ``c_live`` is the cohesion (m, 3) that one of the multiplier adds; none where it is left out.
    Where ``phi`` is 0 the strength is undrained. ``tie`` is the greatest horizontal tension that a sleeve adds, kPa.
    """

    mesh: Mesh
    boundary: Boundary
    c: Floats
    phi: Floats
    tie: Floats
    fixed: Floats
    live: Floats
    c_live: Floats | None = None


@dataclass(frozen=True)
class Contact:
    """Fill on ground along a level line, with a sheet of reinforcement between.

    ``fill`` and ``ground`` are sides in contact (triangle, side); each side of the ground lies below the side ``below``
    of the fill and takes its normal stress times ``share``, so that the stresses on soil and column keep their ratio.
    ``strength`` is the greatest tension of the sheet, kN/m.
    """

    fill: Ints
    ground: Ints
    below: Ints
    share: Floats
    strength: float = 0.0


@dataclass(frozen=True)
class Stress:
    """Numbers of the variables of the stresses at corners (m, 3): mean, half difference xx − yy, shear, tie."""

    mean: Ints
    half: Ints
    shear: Ints
    tie: Ints

    def parts(self) -> tuple[list[tuple[Ints, float]], list[tuple[Ints, float]], list[tuple[Ints, float]]]:
        """Stresses xx, yy and xy as sums of variables; the tie, variable -1 where there is none, adds to xx."""
        return (
            [(self.mean, 1.0), (self.half, 1.0), (self.tie, 1.0)],
            [(self.mean, 1.0), (self.half, -1.0)],
            [(self.shear, 1.0)],
        )


def stresses(programme: Programme, body: Body, mean_of: Callable[[Floats], Floats]) -> Stress:
    """Stresses at the corners that do not exceed the strength of Coulomb: friction on the grains, the tie beside it.

    ``mean_of`` makes of the cohesion at the corners what each of them stands for.
    """
    count = len(body.phi)
    mean, half, shear = programme.variables(3, count, 3)
    sine, cosine = np.repeat(np.sin(body.phi), 3), np.repeat(np.cos(body.phi), 3)
    row = 3 * np.arange(3 * count)
    one = np.ones(3 * count)
    constants = np.zeros(9 * count)
    constants[::3] = mean_of(body.c).ravel() * cosine
    terms = [(row, mean.ravel(), sine), (row + 1, half.ravel(), -one), (row + 2, shear.ravel(), -one)]
    if body.c_live is not None:
        terms.append((row, np.zeros_like(row), -mean_of(body.c_live).ravel() * cosine))
    programme.in_cones(terms, constants)
    tie = np.full((count, 3), -1)
    tied = np.flatnonzero(body.tie > 0)
    if len(tied):
        tie[tied] = programme.variables(len(tied), 3)
        number = tie[tied].ravel()
        place, unit = np.arange(len(number)), np.ones(len(number))
        programme.at_most([(place, number, unit)], np.repeat(body.tie[tied], 3))
        programme.at_most([(place, number, -unit)], np.zeros(len(number)))
    return Stress(mean, half, shear, tie)


def sheet(programme: Programme, contact: Contact) -> tuple[Ints, Ints]:
    """Tensions of the sheet at the ends of the sides of the fill, from left to right, and the first of each side.

    The sheet ends without tension at the far end and is held by its other half on the axis.
    """
    count = len(contact.fill)
    first = np.arange(count)
    if not contact.strength:
        return np.zeros(0, dtype=np.int64), first
    tension = programme.variables(count + 1)
    row, one = np.arange(count + 1), np.ones(count + 1)
    limits = np.full(count + 1, contact.strength)
    limits[-1] = 0.0
    programme.at_most([(row, tension, one)], limits)
    programme.at_most([(row, tension, -one)], np.zeros(count + 1))
    return tension, first
