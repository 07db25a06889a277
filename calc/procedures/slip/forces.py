"""Horizontal reinforcement at a slip line: tension by design strength and pull-out on both sides."""

from dataclasses import dataclass
from functools import lru_cache

import numpy as np

from calc.procedures.slip.base import Base
from calc.procedures.slip.base_stress import vertical_stress
from calc.procedures.slip.model import Reinforcement
from calc.procedures.slip.vertical_strips import Floats, Ground

KEPT = 8  # cross-sections whose bonds are kept: a search asks for them again and again
STEPS = 4000  # of the integral of the bond along a layer


@dataclass(frozen=True)
class Bond:
    """Pull-out resistance of one layer from its left end to each place, before the design strength."""

    layer: Reinforcement
    x: Floats
    resistance: Floats

    def between(self, left: Floats, right: Floats) -> Floats:
        """Pull-out resistance of the piece between two places; nothing outside the layer."""
        upper = np.interp(right, self.x, self.resistance)
        force: Floats = np.maximum(upper - np.interp(left, self.x, self.resistance), 0.0)
        return force


@dataclass(frozen=True)
class Tension:
    """Tension of one layer at each slip line and where it comes from; NaN places where it is not cut."""

    layer: Reinforcement
    x: Floats
    force: Floats
    outside: Floats  # pull-out in the ground that stays
    inside: Floats  # pull-out in the mass that slides


@lru_cache(maxsize=KEPT)
def bonds_of(ground: Ground) -> tuple[Bond, ...]:
    """The integrals of the bond of all layers."""
    return tuple(_bond(ground, layer) for layer in ground.model.reinforcement)


def _bond(ground: Ground, layer: Reinforcement) -> Bond:
    """Effective vertical stress without traffic, times the bond of both faces, summed by trapezia."""
    inside = ground.x[(ground.x > layer.x_left) & (ground.x < layer.x_right)]
    x = np.union1d(np.linspace(layer.x_left, layer.x_right, STEPS), inside)
    stress = np.maximum(vertical_stress(ground, x, layer.level), 0.0)
    bond = (stress * (layer.bond_above + layer.bond_below) + layer.adhesion) / layer.factor
    pieces = (bond[1:] + bond[:-1]) / 2 * np.diff(x)
    return Bond(layer, x, np.concatenate([[0.0], np.cumsum(pieces)]))


def tensions(bonds: tuple[Bond, ...], base: Base) -> tuple[Tension, ...]:
    """Tension of every layer where each slip line falls through its level."""
    return tuple(_tension(bond, base) for bond in bonds)


def _tension(bond: Bond, base: Base) -> Tension:
    """A layer that ends before the slip line, or that the line does not reach, gives nothing."""
    cut, leaves = places_at_level(base, bond.layer.level)
    outside = bond.between(np.full_like(cut, bond.layer.x_left), cut)
    inside = bond.between(cut, leaves)
    force = np.minimum(np.minimum(outside, inside), bond.layer.strength)
    missed = np.isnan(cut)
    return Tension(bond.layer, cut, np.where(missed, 0.0, force), outside, inside)


def places_at_level(base: Base, level: float) -> tuple[Floats, Floats]:
    """Where each slip line falls through a level, and where it rises through it or ends; NaN where it does not fall.

    The line is taken straight from slice to slice; a line that only touches the level slides on it.
    """
    x = np.concatenate([base.left[None], base.x, base.right[None]])
    y = np.concatenate([base.y_left[None], base.y, base.y_right[None]])
    tolerance = 1e-9 * np.maximum(1.0, np.abs(level))
    below = y < level - tolerance
    falls = ~below[:-1] & below[1:]
    rises = below[:-1] & ~below[1:]
    first = falls.argmax(axis=0)
    back = np.where(rises.any(axis=0), rises.argmax(axis=0), len(y) - 2)
    cut = _place_at_level(x, y, first, level)
    leaves = np.where(rises.any(axis=0), _place_at_level(x, y, back, level), base.right)
    return np.where(falls.any(axis=0), cut, np.nan), leaves


def _place_at_level(x: Floats, y: Floats, index: Floats, level: float) -> Floats:
    """Place at which the straight piece behind ``index`` is at the level."""
    lane = np.arange(x.shape[1])
    x0, x1, y0, y1 = x[index, lane], x[index + 1, lane], y[index, lane], y[index + 1, lane]
    with np.errstate(divide="ignore", invalid="ignore"):
        share = np.where(y1 == y0, 0.0, (level - y0) / (y1 - y0))
    place: Floats = x0 + np.clip(share, 0.0, 1.0) * (x1 - x0)
    return place
