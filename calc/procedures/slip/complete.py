"""The complete methods: one factor F and one λ that satisfy moments and horizontal forces of every line.

The shear between slices is X = λ f(x) E (Morgenstern & Price 1965). For F and λ the normal forces E follow from slice
to slice downhill; the last one is what the horizontal forces miss.
"""

from dataclasses import dataclass
from typing import Any, NamedTuple, Protocol

import numpy as np

from calc.procedures.slip.solve import LEAST_F, Bools, Problem, Solved, held_off, normals, over_parts
from calc.procedures.slip.vertical_strips import Floats

STARTS = (0.2, 0.0, 0.5)  # of λ, one after the other for the lines that have not converged
STEPS = 12  # of Newton's method from one start; usual are five
SPREAD = 1e4  # product of shares up to which sums over all faces at once keep their digits
BESIDE = (0, 1, 0)  # first unknowns at a place, beside it, and at it with another λ
PULL = 0.01  # share of the largest force between slices that may be tension, which is rounding of the slices
PULL_UPHILL = 0.5  # share of it that may be tension uphill where λ is negative


class Terms(NamedTuple):
    """What F alone decides, (slices, lines): normals and strengths without shear between slices, and per such shear."""

    normal: Floats
    normal_by_shear: Floats
    strength: Floats
    strength_by_shear: Floats


def terms(p: Problem, F: Any) -> Terms:  # noqa: N803 - the printed symbol
    """The terms of all slices for one factor to a line."""
    m = held_off(p, F)
    normal = (p.weight - p.bond * (p.sine / F)) / m
    by_shear = p.shares / m
    return Terms(
        over_parts(normal), over_parts(by_shear), over_parts(p.bond + normal * p.tangent),
        over_parts(by_shear * p.tangent),
    )  # fmt: skip


def interslice(p: Problem, F: Any, lam: Floats, known: Terms | None = None) -> Floats:  # noqa: N803
    """Normal forces at the faces between slices (slices + 1, lines), downhill; the last is the imbalance."""
    t = terms(p, F) if known is None else known
    back = p.cosine / F
    gain = p.sine * t.normal - back * t.strength
    gain = gain if p.push is None else gain + p.push
    gain = gain if p.pull_in_load is None else gain - p.pull_in_load
    gain = gain if p.pull_in_strength is None else gain - p.pull_in_strength / F
    by_shear = force_by_shear(p, F, lam, t)
    behind = 1 / (1 + p.function[1:] * by_shear)
    ahead = (1 + p.function[:-1] * by_shear) * behind
    gain *= behind
    return passed_on(ahead, gain)


def force_by_shear(p: Problem, F: Any, lam: Floats, t: Terms) -> Floats:  # noqa: N803
    """Horizontal force that the shear on a slice brings with it, per normal force between slices and f(x)."""
    force: Floats = lam * (p.sine * t.normal_by_shear - p.cosine / F * t.strength_by_shear)
    return force


def passed_on(share: Floats, gain: Floats) -> Floats:
    """Forces at the faces, the first 0: each is a share of the one before and the gain of the slice between them."""
    push = np.zeros((len(gain) + 1, *gain.shape[1:]))
    whole = np.cumprod(share, axis=0)
    if whole.min() > 1 / SPREAD and whole.max() < SPREAD:
        push[1:] = whole * np.cumsum(gain / whole, axis=0)
        return push
    for index in range(len(gain)):
        push[index + 1] = push[index] * share[index] + gain[index]
    return push


def gaps(p: Problem, F: Any, lam: Floats, t: Terms) -> tuple[Floats, Floats]:  # noqa: N803
    """By how much the moments and the forces miss the factor."""
    push = interslice(p, F, lam, t)
    shear = lam * p.function * push
    shear = shear[:-1] - shear[1:]
    strength = t.strength + shear * t.strength_by_shear
    resisting = (strength * p.arm).sum(axis=0) + p.moment_in_strength
    driving = p.driving - p.moment_in_load
    if p.offset is not None:
        driving = driving - ((t.normal + shear * t.normal_by_shear) * p.offset).sum(axis=0)
    held = (strength * p.cosine).sum(axis=0) + p.force_in_strength
    return F - resisting / driving, push[-1] / held * F**2


class System(Protocol):
    """Two equations for two unknowns of every line: something and λ."""

    @property
    def problem(self) -> Problem:
        """The lines."""

    @property
    def step(self) -> Any:
        """Largest step of the first unknown, by line."""

    def terms(self, first: Floats) -> Terms:
        """What the first unknown decides; unknowns are (tries, lines), and what they decide (slices, tries, lines)."""

    def gaps(self, first: Floats, lam: Floats, known: Terms) -> tuple[Floats, Floats]:
        """By how much moments and forces miss (tries, lines), as parts of the factor."""

    def at(self, lines: Any) -> "System":
        """The same for some of the lines."""


@dataclass(frozen=True)
class Balance:
    """Moments and forces with the factor and λ as the unknowns."""

    problem: Problem
    step: Floats

    def terms(self, first: Floats) -> Terms:
        """What the factor decides."""
        return terms(self.problem, first)

    def gaps(self, first: Floats, lam: Floats, known: Terms) -> tuple[Floats, Floats]:
        """By how much moments and forces miss the factor."""
        return gaps(self.problem, first, lam, known)

    def at(self, lines: Any) -> "Balance":
        """The same for some of the lines."""
        return Balance(self.problem.at(lines), self.step[lines])


def solve_both(p: Problem, start: Floats) -> Solved:
    """F and λ that satisfy moments and forces, by Newton's method on both, each line on its own."""
    first = np.where(np.isfinite(start) & (start > 0), start, 1.0)
    factor, lam, converged = newton(Balance(p.for_tries(), 0.3 * first), first)
    converged &= factor > LEAST_F
    factor, lam = np.where(converged, factor, np.nan), np.where(converged, lam, np.nan)
    return Solved(factor, lam, converged, in_compression(p, factor, lam))


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
    lines, going = np.arange(len(start)), np.ones(len(start), dtype=np.bool_)
    close = system.problem.tolerance
    with np.errstate(all="ignore"):
        for _ in range(STEPS):
            step, turn, gap = _step(system, first[lines], lam[lines])
            first[lines] += np.where(going, step, 0.0)
            lam[lines] += np.where(going, turn, 0.0)
            scale = system.step / 0.3
            done = (np.abs(step) < close * scale) & (np.abs(turn) < close) & (gap < close)
            converged[lines[going & done]] = True
            going = going & ~done & np.isfinite(first[lines]) & np.isfinite(lam[lines])
            if not going.any():
                break
            # To leave lines out means to copy all others: worth it when they are few.
            if going.sum() < len(lines) / 2:
                lines, system, going = lines[going], system.at(going), np.ones(going.sum(), dtype=np.bool_)
    return first, lam, converged


def _step(system: System, floats: Floats, two: Floats) -> tuple[Floats, Floats, Floats]:
    """One step of both unknowns, held back, and the larger of the two imbalances before it."""
    h_1, h_2 = 1e-6 * system.step, 1e-6
    # The place and a little beside it in either unknown, all at once: most of the lines are few.
    tries = np.array([floats, floats + h_1])
    known = Terms(*(term.take(BESIDE, axis=1) for term in system.terms(tries)))
    (m, *beside_m), (f, *beside_f) = system.gaps(tries.take(BESIDE, axis=0), np.array([two, two, two + h_2]), known)
    m_1, m_2 = ((new - m) / h for new, h in zip(beside_m, (h_1, h_2), strict=True))
    f_1, f_2 = ((new - f) / h for new, h in zip(beside_f, (h_1, h_2), strict=True))
    turn = m_1 * f_2 - m_2 * f_1
    d_1, d_2 = (m_2 * f - f_2 * m) / turn, (f_1 * m - m_1 * f) / turn
    back = np.maximum(1.0, np.maximum(np.abs(d_1) / system.step, np.abs(d_2) / 0.3))
    return d_1 / back, d_2 / back, np.maximum(np.abs(m), np.abs(f))


def in_compression(p: Problem, F: Any, lam: Floats) -> Bools:  # noqa: N803
    """Whether the slices press on each other everywhere downhill of the largest force between them.

    Project rule: the equations may hold with large tension between the slices at the lower end, which no soil gives.
    Uphill the ground at the crest and layers of reinforcement take some; but where λ is negative, tension of more than
    half the largest force is no equilibrium either (blocks: roots at a third of the factor).
    Nor is it an equilibrium where the shear that a force brings with it outweighs the force itself: there the forces
    jump through infinity from one slice to the next, and the largest hides the tension.
    """
    with np.errstate(all="ignore"):
        t = terms(p, F)
        push = interslice(p, F, lam, t)
        behind = np.arange(len(push))[:, None] > push.argmax(axis=0)
        sound: Bools = np.where(behind, push, 0.0).min(axis=0) >= -PULL * push.max(axis=0)
        uphill = np.where(behind, 0.0, push + pulled_before(p, F)).min(axis=0)
        sound &= (lam >= 0) | (uphill >= -PULL_UPHILL * push.max(axis=0))
        sound &= (1 + p.function[1:] * force_by_shear(p, F, lam, t)).min(axis=0) > 0
    return sound


def pulled_before(p: Problem, F: Any) -> Floats:  # noqa: N803
    """Tension (slices + 1, lines) of the layers that a line has cut before each face: they carry it on in the mass."""
    forces = np.zeros((len(p.function), p.weight.shape[-1]))
    if p.pull_in_load is not None:
        forces[1:] += p.pull_in_load.cumsum(axis=0)
    if p.pull_in_strength is not None:
        forces[1:] += p.pull_in_strength.cumsum(axis=0) / F
    return forces


def bases_in_tension(p: Problem, solved: Solved, loose: Any) -> Bools:
    """Where a ``loose`` (cohesionless) base is pulled in the complete solution; arrays (parts, slices, lines)."""
    if not np.any(loose):
        return np.zeros(p.weight.shape, dtype=np.bool_)
    with np.errstate(all="ignore"):
        push = interslice(p, solved.factor, solved.lam)
        shear = solved.lam * p.function * push
        normal, _ = normals(p, solved.factor, shear[:-1] - shear[1:])
        pulled: Bools = (p.tangent > 0) & (normal * p.tangent + p.bond < 0) & loose
    return pulled
