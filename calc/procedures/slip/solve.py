"""Factors of safety of any number of slip lines by one general formulation (Fredlund & Krahn 1977).

Moments and horizontal forces ask for a factor each. Without shear between the slices the moment factor is Bishop's and
the force factor Janbu's; with it both are solved together in :mod:`calc.procedures.slip.complete`.
"""

from dataclasses import dataclass, fields, replace
from functools import cached_property
from typing import Any

import numpy as np
from numpy.typing import NDArray

from calc.procedures.slip.base import Base
from calc.procedures.slip.base_stress import Parts
from calc.procedures.slip.vertical_strips import Floats

Bools = NDArray[np.bool_]

TOLERANCE = 1e-6  # change of the factor at which a line has converged, and imbalance allowed, unless told otherwise
LEAST_M = 0.2  # m_α below which the base normal is not to be trusted
CLAMP = 0.02  # on the way, m_α is not let through zero
MOST = 40
FAR = 1e6  # a factor at which m_α is cos α
LEAST_F = 1e-3  # below, the factor is the meaningless root at zero


@dataclass(frozen=True)
class Problem:
    """Everything that the equilibrium of the lines needs; arrays (parts, slices, lines) to (lines,)."""

    weight: Floats
    bond: Floats
    tangent: Floats
    sine: Floats
    cosine: Floats
    arm: Floats
    offset: Floats | None
    driving: Floats  # moment of weights and horizontal forces
    push: Floats | None  # horizontal forces on the slices, tension of the reinforcement left out
    push_moment: Floats | None  # their moments about the centre
    moment_in_load: Floats  # moment and force of reinforcement that act against the load (form A)
    force_in_load: Floats
    moment_in_strength: Floats  # those that count as strength (form B)
    force_in_strength: Floats
    pull_in_load: Floats | None  # tension in the slice where it acts
    pull_in_strength: Floats | None
    function: Floats  # f(x) at the faces between the slices
    tolerance: float = TOLERANCE

    def at(self, lines: Any) -> "Problem":
        """The same for some of the lines."""
        arrays = {
            field.name: value for field in fields(self) if isinstance(value := getattr(self, field.name), np.ndarray)
        }
        chosen: dict[str, Any] = {name: value[..., lines] for name, value in arrays.items()}
        return replace(self, **chosen)

    def for_tries(self) -> "Problem":
        """The same for unknowns (tries, lines): several of every line at once."""
        arrays = {field.name: value for field in fields(self) if np.ndim(value := getattr(self, field.name)) > 1}
        tried: dict[str, Any] = {name: value[..., None, :] for name, value in arrays.items()}
        return replace(self, **tried)

    def with_strength(self, part: "Problem", lines: Any) -> "Problem":
        """The same with the strength of some of the lines from another problem."""
        bond, tangent = self.bond.copy(), self.tangent.copy()
        bond[..., lines], tangent[..., lines] = part.bond, part.tangent
        return replace(self, bond=bond, tangent=tangent)

    @cached_property
    def shares(self) -> Floats:
        """Shares of the parts in the shear between slices: by their weights, a project rule."""
        if len(self.weight) == 1:
            return np.ones_like(self.weight)
        whole = self.weight.sum(axis=0)
        shares: Floats = self.weight / np.where(whole > 0, whole, 1.0)
        return shares

    @cached_property
    def turn(self) -> Floats:
        """What F divides in m_α."""
        turn: Floats = self.sine * self.tangent
        return turn

    @cached_property
    def lift(self) -> Floats:
        """What F divides in the normal force: the bond carries a part of the weight where the base falls."""
        lift: Floats = self.bond * self.sine
        return lift

    @cached_property
    def floor(self) -> Any:
        """What m_α is kept above: a base without friction has that of its inclination, however steep it is."""
        if self.cosine.min() >= CLAMP:
            return CLAMP
        return np.where(self.tangent > 0, CLAMP, np.minimum(self.cosine, CLAMP))

    @cached_property
    def grip(self) -> Floats:
        """Resistance times m_α without shear between the slices."""
        grip: Floats = self.bond * self.cosine
        grip += self.weight * self.tangent
        return grip


@dataclass(frozen=True)
class Solved:
    """Factor, λ, whether each line has converged, and whether its slices do not pull at each other downhill."""

    factor: Floats
    lam: Floats
    converged: Bools
    pressed: Bools | None = None
    plain: Floats | None = None  # factor by Bishop of the circles that a complete method has none for


def normal_factor(p: Problem, F: Any) -> Floats:  # noqa: N803 - the printed symbol
    """m_α of every part of every slice."""
    m_alpha: Floats = p.turn / F
    m_alpha += p.cosine
    return m_alpha


def held_off(p: Problem, F: Any) -> Floats:  # noqa: N803
    """m_α, kept away from zero on the way to the solution."""
    m = normal_factor(p, F)
    np.maximum(m, p.floor, out=m)
    return m


def over_parts(values: Floats) -> Floats:
    """Sum over the parts of the slices."""
    if len(values) == 1:
        total: Floats = values[0]
        return total
    return np.asarray(values.sum(axis=0))


def without_tension(parts: Parts, base: Base) -> tuple[Floats, Floats]:
    """Bond and tangent, both none where a cohesionless base would be pulled without interslice shear."""
    tangent = np.broadcast_to(parts.tangent, parts.weight.shape)
    loose = np.asarray(parts.c) <= 0
    if not loose.any():
        return parts.bond, tangent
    pulled: Bools = (parts.bond * base.cosine + parts.weight * tangent < 0) & loose
    if not pulled.any():
        return parts.bond, tangent
    return np.where(pulled, 0.0, parts.bond), np.where(pulled, 0.0, tangent)


def plain_normals(p: Problem) -> Floats:
    """Base normals of the ordinary method: from the forces on the slice alone, across its base."""
    if p.push is None:
        forces: Floats = p.weight * p.cosine
        return forces
    return p.weight * p.cosine - p.shares * p.push * p.sine


def ordinary_factor(p: Problem) -> Floats:
    """Factor by the ordinary method; no base resists with less than nothing."""
    normal = plain_normals(p)
    return _ratio(p, np.maximum(p.bond + normal * p.tangent, 0.0), normal)


def _ratio(p: Problem, strength: Floats, normal: Floats) -> Floats:
    """Resisting over driving moment."""
    resisting = (over_parts(strength) * p.arm).sum(axis=0) + p.moment_in_strength
    ratio: Floats = resisting / moment_of_load(p, normal)
    return ratio


def moment_of_load(p: Problem, normal: Floats) -> Floats:
    """Driving moment, less that of the base normals and of the reinforcement of form A."""
    driving = p.driving - p.moment_in_load
    return driving if p.offset is None else driving - (over_parts(normal) * p.offset).sum(axis=0)


def normals(p: Problem, F: Any, shear: Any) -> tuple[Floats, Floats]:  # noqa: N803
    """Base normal and shear resistance of every part, for the difference of shear X_L − X_R on each slice."""
    m = held_off(p, F)
    normal: Floats = p.lift / F
    np.subtract(p.weight if shear is None else p.weight + shear * p.shares, normal, out=normal)
    normal /= m
    strength: Floats = normal * p.tangent
    strength += p.bond
    return normal, strength


def moment_factor(p: Problem, F: Any, shear: Any = None) -> Floats:  # noqa: N803
    """The factor that moments ask for when the normals are taken with F."""
    if shear is None and p.offset is None:
        m = held_off(p, F)
        strength = np.divide(p.grip, m, out=m).sum(axis=(0, 1))
        factor: Floats = (strength * p.arm + p.moment_in_strength) / (p.driving - p.moment_in_load)
        return factor
    normal, strength = normals(p, F, shear)
    return _ratio(p, strength, normal)


def force_factor(p: Problem, F: Any, shear: Any = None) -> Floats:  # noqa: N803
    """The factor that horizontal forces ask for when the normals are taken with F."""
    normal, strength = normals(p, F, shear)
    resisting = (over_parts(strength) * p.cosine).sum(axis=0) + p.force_in_strength
    factor: Floats = resisting / force_of_load(p, normal)
    return factor


def force_of_load(p: Problem, normal: Floats) -> Floats:
    """Driving horizontal force, less the reinforcement of form A."""
    driving: Floats = (over_parts(normal) * p.sine).sum(axis=0) - p.force_in_load
    return driving if p.push is None else driving + p.push.sum(axis=0)


def solve_single(p: Problem, factor: Any) -> Solved:
    """The factor of one equation without interslice shear, by the secant method on what the equation asks for.

    It starts from above: where no base rises, a factor of zero solves the equation, too, and means nothing.
    """
    with np.errstate(all="ignore"):
        previous = factor(p, np.full(p.weight.shape[-1], FAR))
        previous = np.where(previous > 0, previous, 1.0)
        improved = factor(p, previous)
        gap, current = previous - improved, np.where(improved > 0, improved, 2 * previous)
        factors, lines = np.full(len(current), np.nan), np.arange(len(current))
        for _ in range(MOST):
            new_gap = current - factor(p, current)
            slope = (new_gap - gap) / (current - previous)
            step = np.where(np.abs(slope) > 0.05, new_gap / slope, new_gap)
            step = np.clip(step, -current, current / 2)
            previous, gap, current = current, new_gap, np.where(new_gap == 0, current, current - step)
            done = (np.abs(current - previous) < p.tolerance) & (np.abs(gap) < p.tolerance)
            factors[lines] = np.where(done, current, np.nan)
            going = ~done & np.isfinite(current)
            if not going.any():
                break
            # To leave lines out means to copy all others: worth it when they are few.
            if going.sum() < len(lines) / 2:
                lines, p, previous, gap, current = (
                    lines[going],
                    p.at(going),
                    previous[going],
                    gap[going],
                    current[going],
                )
        converged = factors > LEAST_F
    return Solved(np.where(converged, factors, np.nan), np.zeros_like(factors), converged)


def replace_lines(solved: Solved, part: Solved, lines: Any) -> Solved:
    """The solution with some of its lines replaced."""
    values = {field.name: getattr(solved, field.name) for field in fields(solved)}
    values = {name: value.copy() for name, value in values.items() if value is not None}
    for name, value in values.items():
        value[lines] = getattr(part, name)
    return Solved(**values)


def release_bases(p: Problem, pulled: Bools) -> Problem:
    """The problem without strength at the bases that are pulled."""
    return replace(p, bond=np.where(pulled, 0.0, p.bond), tangent=np.where(pulled, 0.0, p.tangent))
