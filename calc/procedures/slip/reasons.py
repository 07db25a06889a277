"""Why a slip line has no factor: what is said of its place, of what drives it and of the solution."""

from typing import Any

import numpy as np

from calc.procedures.slip import solve
from calc.procedures.slip.base import Base
from calc.procedures.slip.circles import Ends
from calc.procedures.slip.solve import Bools, Problem, Solved
from calc.procedures.slip.vertical_strips import Floats, Ground, Ints
from calc.procedures.slip.wish import Wish

REASONS = (
    "admissible",
    "does not cut the ground",
    "leaves the model",
    "end outside its range",
    "below the hard layer",
    "not deep enough",
    "no driving moment",
    "held by the reinforcement alone",
    "m_alpha below 0.2",
    "not converged",
    "not helped by the layer",
    "tension between slices",
    "no driving force",
    "factor below 0.1",
    "no strength on the slip surface",
)
CUT, LEAVES, RANGE, HARD, SHALLOW, DRIVING, HELD, M_ALPHA, OPEN, NOT_HELPED, PULLED, PUSHING, WEAK, NO_STRENGTH = range(
    1, 15
)
NOTHING = 1e-9  # driving moment over weight times arm, or driving force over weight, that is rounding
TINY = 1e-4  # share of the length of the model below which a stretch is none
LITTLE = 0.1  # factor below which m_α, λ and the number itself mean nothing
COMPLETE = ("spencer", "morgenstern-price")


def reasons_without_stretch(ground: Ground, x: Floats, y: Floats, r: Floats) -> Ints:
    """Why circles without a stretch below the ground have none."""
    model = ground.model
    reason = np.full(len(x), CUT)
    sides = ((model.surface[0], ground.x[0]), (model.surface[-1], ground.x[-1]))
    for (_, level), side in sides:
        under = np.abs(side - x) < r
        with np.errstate(invalid="ignore"):  # a circle without end, of two ends on one another, is under nothing
            under &= y - np.sqrt(np.maximum(r**2 - (side - x) ** 2, 0.0)) < level
        reason[under] = LEAVES
    return reason


def places(ground: Ground, x: Floats, y: Floats, r: Floats, ends: Ends, wish: Wish) -> Ints:
    """Why stretches are not looked at, by their place alone."""
    model = ground.model
    reason = np.zeros(len(x), dtype=np.int64)
    lowest = y - np.sqrt(np.maximum(r**2 - (np.clip(x, ends.left, ends.right) - x) ** 2, 0.0))
    beyond = (ends.left < wish.entry[0]) | (ends.left > wish.entry[1])
    beyond |= (ends.right < wish.exit[0]) | (ends.right > wish.exit[1])
    reason[beyond] = RANGE
    if ground.hard is None or not model.truncate:
        reason[lowest < model.bottom - ground.slack] = LEAVES
    # What is cut off by less than this is no slope but a rounding error.
    reason[~(ends.right - ends.left > TINY * (ground.x[-1] - ground.x[0]))] = CUT
    return reason


def reasons_before(
    ground: Ground, base: Base, p: Problem, surface: Any, method: str, min_depth: float, *, circular: bool
) -> Ints:
    """Why lines are not solved at all: depth, hard layer, nothing that drives; 0 for the others."""
    reason = np.zeros(p.weight.shape[-1], dtype=np.int64)
    weight = solve.over_parts(p.weight).sum(axis=0)
    if circular:
        reason[(p.moment_in_load > 0) & (p.driving <= p.moment_in_load)] = HELD
        reason[p.driving <= NOTHING * weight * (base.right - base.left)] = DRIVING
    elif method == "janbu":
        # The centre of a line is arbitrary, and so is the sign of the moment about it.
        force = most_force(p)
        reason[(p.force_in_load > 0) & (force <= p.force_in_load)] = HELD
        reason[force <= NOTHING * weight] = PUSHING
    if min_depth > 0:
        reason[(surface - base.y).max(axis=0) < min_depth] = SHALLOW
    if ground.hard is not None:
        # A circle that is truncated lies on the hard layer; a line or a circle that may not be goes below it.
        reason[(base.y < ground.hard.at(base.x, base.strip) - ground.slack).any(axis=0)] = HARD
    return reason


def most_force(p: Problem) -> Floats:
    """Horizontal force of the load on bases without strength, more than there is with any, reinforcement left out."""
    force: Floats = (solve.over_parts(p.weight) * p.sine / p.cosine).sum(axis=0)
    return force if p.push is None else force + p.push.sum(axis=0)


def reasons_after(p: Problem, solved: Solved, factor: Floats, method: str, *, circular: bool = True) -> Ints:
    """Why solved lines have no result, with m_α taken at a factor; 0 where they have one."""
    reason = np.zeros(p.weight.shape[-1], dtype=np.int64)
    reason[~solved.converged] = OPEN
    if solved.pressed is not None:
        reason[solved.converged & ~solved.pressed] = PULLED
    if method != "ordinary":
        reason[solved.converged & (least_m(p, factor, method) < solve.LEAST_M)] = M_ALPHA
    left = np.flatnonzero(reason)
    if len(left):
        reason[left] = _in_words(p.at(left), reason[left], np.asarray(factor)[left], circular=circular)
    return reason


def _in_words(p: Problem, reason: Ints, factor: Floats, *, circular: bool) -> Ints:
    """The reasons of lines without a result, with those that have no strength, or nearly none, told apart."""
    equation = solve.moment_factor if circular else solve.force_factor
    plain = solve.solve_single(p, equation)
    with np.errstate(all="ignore"):
        excess = equation(p, np.full(len(reason), LITTLE))
        below = np.where(plain.converged, plain.factor < LITTLE, (excess >= 0) & (excess < LITTLE))
    weak = (factor < LITTLE) | ((reason == OPEN) & below)
    codes = np.where(weak, WEAK, reason)
    if not circular:
        codes = np.where((reason == OPEN) & (most_force(p) <= p.force_in_load), PUSHING, codes)
    none = ~((p.bond > 0) | (p.tangent > 0)).any(axis=(0, 1)) & (p.moment_in_strength <= 0)
    return np.where(none, NO_STRENGTH, codes)


def least_m(p: Problem, factor: Floats, method: str) -> Floats:
    """Least m_α of the parts whose normal force counts.

    Outside the field a slice has no column. A base without friction resists with its cohesion whatever presses on it;
    where forces are balanced its normal counts at a steep exit still.
    """
    with np.errstate(all="ignore"):
        m = solve.normal_factor(p, factor)
        if len(m) > 1 or not p.tangent.min() > 0:
            counts: Bools = p.tangent > 0
            counts = counts if method == "bishop" else counts | (p.sine < 0)
            m = np.where(counts & (p.weight > 0), m, 1.0)
        least: Floats = m.min(axis=(0, 1))
    return least
