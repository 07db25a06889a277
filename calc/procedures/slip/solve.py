"""Factors of safety of any number of slip lines by one general formulation (Fredlund & Krahn 1977).

The interslice shear is X = λ f(x) E. For a factor F and a λ the interslice forces follow from slice to slice, the
moments and the horizontal forces then ask for a factor each. Bishop is the moment factor and Janbu the force factor
without interslice shear; the complete methods have one F and one λ that satisfy both.
"""

from dataclasses import dataclass, fields, replace
from functools import cached_property
from typing import Any, Protocol

import numpy as np
from numpy.typing import NDArray

from calc.procedures.slip.base import Base
from calc.procedures.slip.ground import Floats
from calc.procedures.slip.stress import Parts

Bools = NDArray[np.bool_]

TOLERANCE = 1e-6  # change of the factor at which a line has converged, and the imbalance allowed
LEAST_M = 0.2  # m_α below which the base normal is not to be trusted
CLAMP = 0.02  # on the way, m_α is not let through zero
MOST = 40
STEPS = 25  # of Newton's method from one start; usual are five
FAR = 1e6  # a factor at which m_α is cos α
LEAST_F = 1e-3  # below, the factor is the meaningless root at zero
PULL = 0.01  # share of the largest force between slices that may be tension, which is rounding of the slices
STARTS = (0.2, 0.0, 0.5)  # of λ, one after the other for the lines that have not converged


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
    moment_in_load: Floats  # moment and force of reinforcement that act against the load (form A)
    force_in_load: Floats
    moment_in_strength: Floats  # those that count as strength (form B)
    force_in_strength: Floats
    pull_in_load: Floats | None  # tension in the slice where it acts
    pull_in_strength: Floats | None
    function: Floats  # f(x) at the faces between the slices

    def at(self, lines: Any) -> "Problem":
        """The same for some of the lines."""
        values = {one.name: getattr(self, one.name) for one in fields(self)}
        chosen: dict[str, Any] = {name: None if value is None else value[..., lines] for name, value in values.items()}
        return Problem(**chosen)

    @cached_property
    def turn(self) -> Floats:
        """What F divides in m_α."""
        found: Floats = self.sine * self.tangent
        return found

    @cached_property
    def grip(self) -> Floats:
        """Resistance times m_α without shear between the slices."""
        found: Floats = self.bond * self.cosine
        found += self.weight * self.tangent
        return found


@dataclass(frozen=True)
class Solved:
    """Factor, λ, whether each line has converged, and whether its slices do not pull at each other downhill."""

    factor: Floats
    lam: Floats
    converged: Bools
    pressed: Bools | None = None


def normal_factor(p: Problem, F: Any) -> Floats:  # noqa: N803 - the printed symbol
    """m_α of every part of every slice."""
    found: Floats = p.turn / F
    found += p.cosine
    return found


def held_off(p: Problem, F: Any) -> Floats:  # noqa: N803
    """m_α, kept away from zero on the way to the solution."""
    m = normal_factor(p, F)
    return np.maximum(m, CLAMP, out=m)


def over_parts(values: Floats) -> Floats:
    """Sum over the parts of the slices."""
    if len(values) == 1:
        found: Floats = values[0]
        return found
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
        found: Floats = p.weight * p.cosine
        return found
    return p.weight * p.cosine - share_of_weight(p) * p.push * p.sine


def ordinary(p: Problem) -> Floats:
    """Factor by the ordinary method; no base resists with less than nothing."""
    normal = plain_normals(p)
    return _ratio(p, np.maximum(p.bond + normal * p.tangent, 0.0), normal)


def _ratio(p: Problem, strength: Floats, normal: Floats) -> Floats:
    """Resisting over driving moment."""
    resisting = (over_parts(strength) * p.arm).sum(axis=0) + p.moment_in_strength
    found: Floats = resisting / moment_of_load(p, normal)
    return found


def moment_of_load(p: Problem, normal: Floats) -> Floats:
    """Driving moment, less that of the base normals and of the reinforcement of form A."""
    driving = p.driving - p.moment_in_load
    return driving if p.offset is None else driving - (over_parts(normal) * p.offset).sum(axis=0)


def normals(p: Problem, F: Any, shear: Any) -> tuple[Floats, Floats]:  # noqa: N803
    """Base normal and shear resistance of every part, for the difference of shear X_L − X_R on each slice."""
    m = held_off(p, F)
    load = p.weight if shear is None else p.weight + shear * share_of_weight(p)
    normal = (load - p.bond * p.sine / F) / m
    return normal, p.bond + normal * p.tangent


def share_of_weight(p: Problem) -> Floats:
    """Project rule: soil and column share the interslice shear by their weights."""
    if len(p.weight) == 1:
        return np.ones_like(p.weight)
    whole = p.weight.sum(axis=0)
    found: Floats = p.weight / np.where(whole > 0, whole, 1.0)
    return found


def moment_factor(p: Problem, F: Any, shear: Any = None) -> Floats:  # noqa: N803
    """The factor that moments ask for when the normals are taken with F."""
    if shear is None and p.offset is None:
        m = held_off(p, F)
        strength = np.divide(p.grip, m, out=m).sum(axis=(0, 1))
        found: Floats = (strength * p.arm + p.moment_in_strength) / (p.driving - p.moment_in_load)
        return found
    normal, strength = normals(p, F, shear)
    return _ratio(p, strength, normal)


def force_factor(p: Problem, F: Any, shear: Any = None) -> Floats:  # noqa: N803
    """The factor that horizontal forces ask for when the normals are taken with F."""
    normal, strength = normals(p, F, shear)
    resisting = (over_parts(strength) * p.cosine).sum(axis=0) + p.force_in_strength
    found: Floats = resisting / force_of_load(p, normal)
    return found


def force_of_load(p: Problem, normal: Floats) -> Floats:
    """Driving horizontal force, less the reinforcement of form A."""
    driving: Floats = (over_parts(normal) * p.sine).sum(axis=0) - p.force_in_load
    return driving if p.push is None else driving + p.push.sum(axis=0)


def single(p: Problem, factor: Any) -> Solved:
    """The factor of one equation without interslice shear, by the secant method on what the equation asks for.

    It starts from above: where no base rises, a factor of zero solves the equation, too, and means nothing.
    """
    with np.errstate(all="ignore"):
        one = factor(p, np.full(p.weight.shape[-1], FAR))
        one = np.where(one > 0, one, 1.0)
        asked = factor(p, one)
        gap, two = one - asked, np.where(asked > 0, asked, 2 * one)
        for _ in range(MOST):
            new_gap = two - factor(p, two)
            slope = (new_gap - gap) / (two - one)
            step = np.where(np.abs(slope) > 0.05, new_gap / slope, new_gap)
            step = np.clip(step, -two, two / 2)
            one, gap, two = two, new_gap, np.where(new_gap == 0, two, two - step)
            done = (np.abs(two - one) < TOLERANCE) & (np.abs(gap) < TOLERANCE)
            if done.all() or not np.isfinite(two[~done]).any():
                break
        converged = done & (two > LEAST_F)
    return Solved(np.where(converged, two, np.nan), np.zeros_like(two), converged)


def interslice(p: Problem, F: Floats, lam: Floats) -> Floats:  # noqa: N803
    """Normal forces at the faces between slices (slices + 1, lines), downhill; the last is the imbalance."""
    m = held_off(p, F)
    k = (p.sine - p.tangent * p.cosine / F) / m
    bond = p.bond / F
    gain = (k * (p.weight - bond * p.sine) - bond * p.cosine).sum(axis=0)
    gain = gain if p.push is None else gain + p.push
    gain = gain if p.pull_in_load is None else gain - p.pull_in_load
    gain = gain if p.pull_in_strength is None else gain - p.pull_in_strength / F
    carried = lam * (k * share_of_weight(p)).sum(axis=0)
    push = np.empty((len(gain) + 1, gain.shape[1]))
    push[0] = 0.0
    ahead = 1 + p.function[:-1] * carried
    behind = 1 / (1 + p.function[1:] * carried)
    for index in range(len(gain)):
        push[index + 1] = (push[index] * ahead[index] + gain[index]) * behind[index]
    return push


class System(Protocol):
    """Two equations for two unknowns of every line: something and λ."""

    @property
    def step(self) -> Any:
        """Largest step of the first unknown, by line."""

    def gaps(self, first: Floats, lam: Floats) -> tuple[Floats, Floats]:
        """By how much moments and forces miss, as parts of the factor."""

    def at(self, lines: Any) -> "System":
        """The same for some of the lines."""


@dataclass(frozen=True)
class Balance:
    """Moments and forces with the factor and λ as the unknowns."""

    problem: Problem
    step: Floats

    def gaps(self, first: Floats, lam: Floats) -> tuple[Floats, Floats]:
        """By how much moments and forces miss the factor."""
        return gaps(self.problem, first, lam)

    def at(self, lines: Any) -> "Balance":
        """The same for some of the lines."""
        return Balance(self.problem.at(lines), self.step[lines])


def complete(p: Problem, start: Floats) -> Solved:
    """F and λ that satisfy moments and forces, by Newton's method on both, each line on its own."""
    first = np.where(np.isfinite(start) & (start > 0), start, 1.0)
    found, lam, converged = newton(Balance(p, 0.3 * first), first)
    converged &= found > LEAST_F
    found, lam = np.where(converged, found, np.nan), np.where(converged, lam, np.nan)
    return Solved(found, lam, converged, pressed(p, found, lam))


def newton(system: System, start: Floats) -> tuple[Floats, Floats, Bools]:
    """First unknown and λ of every line, and which lines have converged, from one start of λ after the other."""
    first, lam, converged = _newton(system, start, STARTS[0])
    for begin in STARTS[1:]:
        left = np.flatnonzero(~converged)
        if len(left):
            first[left], lam[left], converged[left] = _newton(system.at(left), start[left], begin)
    return first, lam, converged


def _newton(system: System, start: Floats, begin: float) -> tuple[Floats, Floats, Bools]:
    """Newton's method from one start; a line that has converged is left alone."""
    first, lam = start.copy(), np.full(len(start), begin)
    converged = np.zeros(len(start), dtype=np.bool_)
    lines = np.arange(len(start))
    with np.errstate(all="ignore"):
        for _ in range(STEPS):
            step, turn, gap = _step(system, first[lines], lam[lines])
            first[lines] += step
            lam[lines] += turn
            scale = system.step / 0.3
            done = (np.abs(step) < TOLERANCE * scale) & (np.abs(turn) < TOLERANCE) & (gap < TOLERANCE)
            converged[lines] = done
            going = ~done & np.isfinite(first[lines]) & np.isfinite(lam[lines])
            if not going.any():
                break
            if not going.all():
                lines, system = lines[going], system.at(going)
    return first, lam, converged


def pressed(p: Problem, F: Any, lam: Floats) -> Bools:  # noqa: N803
    """Whether the slices press on each other everywhere downhill of the largest force between them.

    Project rule: the equations may hold with large tension between the slices at the lower end, which no soil gives.
    """
    with np.errstate(all="ignore"):
        push = interslice(p, F, lam)
        largest = push.max(axis=0)
        behind = np.arange(len(push))[:, None] > push.argmax(axis=0)
        found: Bools = np.where(behind, push, 0.0).min(axis=0) >= -PULL * largest
    return found


def _step(system: System, one: Floats, two: Floats) -> tuple[Floats, Floats, Floats]:
    """One step of both unknowns, held back, and the larger of the two imbalances before it."""
    h_1, h_2 = 1e-6 * system.step, 1e-6
    m, f = system.gaps(one, two)
    m_1, f_1 = ((new - old) / h_1 for new, old in zip(system.gaps(one + h_1, two), (m, f), strict=True))
    m_2, f_2 = ((new - old) / h_2 for new, old in zip(system.gaps(one, two + h_2), (m, f), strict=True))
    turn = m_1 * f_2 - m_2 * f_1
    d_1, d_2 = (m_2 * f - f_2 * m) / turn, (f_1 * m - m_1 * f) / turn
    back = np.maximum(1.0, np.maximum(np.abs(d_1) / system.step, np.abs(d_2) / 0.3))
    return d_1 / back, d_2 / back, np.maximum(np.abs(m), np.abs(f))


def gaps(p: Problem, F: Any, lam: Floats) -> tuple[Floats, Floats]:  # noqa: N803
    """By how much the moments and the forces miss the factor."""
    push = interslice(p, F, lam)
    shear = lam * p.function * push
    normal, strength = normals(p, F, shear[:-1] - shear[1:])
    moment = F - _ratio(p, strength, normal)
    held = (over_parts(strength) * p.cosine).sum(axis=0) + p.force_in_strength
    return moment, push[-1] / held * F**2


def clipped(p: Problem, found: Solved) -> Bools:
    """Where a cohesionless base is pulled in the complete solution; arrays (parts, slices, lines)."""
    with np.errstate(all="ignore"):
        push = interslice(p, found.factor, found.lam)
        shear = found.lam * p.function * push
        normal, _ = normals(p, found.factor, shear[:-1] - shear[1:])
        pulled: Bools = (p.tangent > 0) & (normal * p.tangent + p.bond < 0)
    return pulled


def merged(found: Solved, part: Solved, lines: Any) -> Solved:
    """The solution with some of its lines replaced."""
    values = {one.name: getattr(found, one.name).copy() for one in fields(found)}
    for name, value in values.items():
        value[lines] = getattr(part, name)
    return Solved(**values)


def relieved(p: Problem, pulled: Bools) -> Problem:
    """The problem without strength at the bases that are pulled."""
    return replace(p, bond=np.where(pulled, 0.0, p.bond), tangent=np.where(pulled, 0.0, p.tangent))
