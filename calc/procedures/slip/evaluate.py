"""From circles or lines to factors of safety, in blocks that bound the memory, with the reason of every rejection."""

from collections.abc import Callable, Iterator
from dataclasses import dataclass, replace
from math import inf
from typing import Any

import numpy as np

from calc.procedures.slip import complete, solve
from calc.procedures.slip.base import Base, slices_of_circles, slices_of_lines
from calc.procedures.slip.circles import Ends, ends_of
from calc.procedures.slip.forces import Bond, Tension, bonds_of, tensions
from calc.procedures.slip.ground import Floats, Ground, Ints
from calc.procedures.slip.model import Form, Method, Range
from calc.procedures.slip.solve import Bools, Problem, Solved
from calc.procedures.slip.stress import Parts, parts_of

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
)
CUT, LEAVES, RANGE, HARD, SHALLOW, DRIVING, HELD, M_ALPHA, OPEN, NOT_HELPED, PULLED = range(1, 12)
CELLS = 60_000  # slices that are looked at together: some 30 arrays of half a megabyte
RETAINED = 30 * 2**17  # numbers, just under the largest block that glibc learns from
TINY = 1e-4  # share of the length of the model
NOTHING = 1e-9  # driving moment over weight times arm that is rounding
HOPELESS = 0.1  # m_α by the simplified method below which no complete method is tried
RELIEFS = 4  # rounds of taking strength away from bases that are pulled
COMPLETE = ("spencer", "morgenstern-price")


@dataclass(frozen=True)
class Wish:
    """What is asked of every slip line."""

    method: Method
    form: Form = "A"
    slices: int = 50
    entry: Range = (-inf, inf)
    exit: Range = (-inf, inf)
    min_depth: float = 0.0
    below: float = inf


@dataclass(frozen=True)
class Interface:
    """Pieces of a line along which a strength of its own holds."""

    pieces: tuple[int, ...]
    c: float
    tangent: float


@dataclass(frozen=True)
class Lines:
    """Slip lines of one block with all that stands on them."""

    base: Base
    parts: Parts
    tensions: tuple[Tension, ...]
    problem: Problem
    circular: bool


Solver = Callable[[Ground, Lines, Wish], tuple[Solved, Ints]]


@dataclass(frozen=True)
class Factors:
    """Factor and λ of every slip line (NaN where rejected) and the index into ``REASONS``."""

    factor: Floats
    lam: Floats
    reason: Ints

    def counts(self) -> dict[str, int]:
        """Rejected lines by reason."""
        number = np.bincount(self.reason, minlength=len(REASONS))
        return {name: int(count) for name, count in zip(REASONS[1:], number[1:], strict=True) if count}


def blocks(total: int, slices: int) -> Iterator[slice]:
    """Blocks of lines of a bounded size, for which memory is taken once.

    glibc gives every freed array of this size back to the system and takes it again, which costs more than the
    arithmetic (measured: half of the time). Freeing one large block that nobody writes to makes it keep them.
    """
    np.empty(RETAINED)
    step = max(CELLS // slices, 1)
    return (slice(start, min(start + step, total)) for start in range(0, total, step))


def factors_of_circles(
    ground: Ground, x: Floats, y: Floats, r: Floats, wish: Wish, solver: Solver | None = None
) -> Factors:
    """Factors of circles that slide to the right, or what another solver gives for them."""
    bonds = bonds_of(ground)
    found = Factors(np.full(len(x), np.nan), np.full(len(x), np.nan), np.zeros(len(x), dtype=np.int64))
    for block in blocks(len(x), wish.slices):
        _circles(ground, bonds, (x[block], y[block], r[block]), wish, solver or solved, found, block)
    return found


def _circles(
    ground: Ground,
    bonds: tuple[Bond, ...],
    circles: tuple[Floats, Floats, Floats],
    wish: Wish,
    solver: Solver,
    found: Factors,
    block: slice,
) -> None:
    """Factors of one block, written into the result."""
    with np.errstate(invalid="ignore"):
        ends = ends_of(ground, *circles)
        reason = _places(ground, *circles, ends, wish)
    good = np.flatnonzero(reason == 0)
    if len(good):
        x, y, r = (one[good] for one in circles)
        base = slices_of_circles(ground, x, y, r, Ends(ends.left[good], ends.right[good]), wish.slices)
        result, reason[good] = solver(ground, lines_of(ground, bonds, base, wish), wish)
        found.factor[block][good], found.lam[block][good] = result.factor, result.lam
    found.reason[block] = reason


def _places(ground: Ground, x: Floats, y: Floats, r: Floats, ends: Ends, wish: Wish) -> Ints:
    """Why circles are not looked at, by their place alone."""
    model = ground.model
    reason = np.zeros(len(x), dtype=np.int64)
    lowest = y - np.sqrt(np.maximum(r**2 - (np.clip(x, ends.left, ends.right) - x) ** 2, 0.0))
    outside = (ends.left < wish.entry[0]) | (ends.left > wish.entry[1])
    outside |= (ends.right < wish.exit[0]) | (ends.right > wish.exit[1])
    reason[outside] = RANGE
    if ground.hard is None or not model.truncate:
        reason[lowest < model.bottom - ground.slack] = LEAVES
    # What is cut off by less than this is no slope but a rounding error.
    reason[~(ends.right - ends.left > TINY * (ground.x[-1] - ground.x[0]))] = CUT
    sides = ((model.surface[0], ground.x[0]), (model.surface[-1], ground.x[-1]))
    for (_, level), side in sides:
        under = np.abs(side - x) < r
        under &= y - np.sqrt(np.maximum(r**2 - (side - x) ** 2, 0.0)) < level
        reason[under & np.isnan(ends.left)] = LEAVES
    return reason


def factors_of_lines(ground: Ground, px: Floats, py: Floats, wish: Wish, interface: Interface | None = None) -> Factors:
    """Factors of lines with the corners ``px``, ``py`` (corners, lines)."""
    bonds, total = bonds_of(ground), px.shape[1]
    found = Factors(np.full(total, np.nan), np.full(total, np.nan), np.zeros(total, dtype=np.int64))
    for block in blocks(total, wish.slices):
        lines = lines_of_corners(ground, bonds, px[:, block], py[:, block], wish, interface)
        result, found.reason[block] = solved(ground, lines, wish)
        found.factor[block], found.lam[block] = result.factor, result.lam
    return found


def lines_of_corners(
    ground: Ground,
    bonds: tuple[Bond, ...],
    px: Floats,
    py: Floats,
    wish: Wish,
    interface: Interface | None,
) -> Lines:
    """Slip lines of straight pieces with all that stands on them."""
    base = slices_of_lines(ground, px, py, wish.slices, interface.pieces if interface else ())
    return lines_of(ground, bonds, base, wish, (interface.c, interface.tangent) if interface else None)


def lines_of(
    ground: Ground, bonds: tuple[Bond, ...], base: Base, wish: Wish, interface: tuple[float, float] | None = None
) -> Lines:
    """Slip lines with the stresses on their bases, the reinforcement and the equations."""
    parts = parts_of(ground, base, interface)
    pulls = tensions(bonds, base)
    return Lines(base, parts, pulls, _problem(ground, base, parts, pulls, wish), base.interface is None)


def _problem(ground: Ground, base: Base, parts: Parts, pulls: tuple[Tension, ...], wish: Wish) -> Problem:
    driving = (solve.over_parts(parts.weight) * (base.centre_x - base.x)).sum(axis=0) + parts.push_moment
    push = parts.push
    crack = ground.model.crack
    if crack is not None and crack.water and ground.model.water is not None:
        thrust = 0.5 * ground.model.water.gamma_w * crack.water**2
        push = np.zeros_like(base.x) if push is None else push.copy()
        push[0] += thrust
        driving = driving + thrust * (base.centre_y - base.y_left - crack.water / 3)
    none = np.zeros_like(driving)
    force = sum((pull.force for pull in pulls), none)
    moment = sum((pull.force * (base.centre_y - pull.layer.level) for pull in pulls), none)
    by_slice = _by_slice(base, pulls) if pulls and wish.method in COMPLETE else None
    load = wish.form == "A"
    bond, tangent = solve.without_tension(parts, base)
    return Problem(
        weight=parts.weight, bond=bond, tangent=tangent, sine=base.sine, cosine=base.cosine,
        arm=base.arm, offset=base.offset, driving=driving, push=push,
        moment_in_load=moment if load else none, force_in_load=force if load else none,
        moment_in_strength=none if load else moment, force_in_strength=none if load else force,
        pull_in_load=by_slice if load else None, pull_in_strength=None if load else by_slice,
        function=_function(base, wish),
    )  # fmt: skip


def _by_slice(base: Base, pulls: tuple[Tension, ...]) -> Floats:
    """Tension of the layers in the slice in which it acts."""
    found: Floats = sum((pull.force * in_slice(base, pull.x) for pull in pulls), np.zeros_like(base.x))
    return found


def in_slice(base: Base, x: Floats) -> Floats:
    """1 in the slice that each place lies in, 0 in the others."""
    index = np.minimum((base.right_faces() < x).sum(axis=0), len(base.x) - 1)
    made = np.zeros_like(base.x)
    made[index, np.arange(made.shape[1])] = 1.0
    return made


def _function(base: Base, wish: Wish) -> Floats:
    """f(x) at the faces: 1 by Spencer, half a sine wave by Morgenstern and Price."""
    if wish.method != "morgenstern-price":
        return np.ones((len(base.x) + 1, base.x.shape[1]))
    faces = np.concatenate([base.left[None], base.right_faces()])
    found: Floats = np.sin(np.pi * (faces - base.left) / (base.right - base.left))
    return found


def solved(ground: Ground, lines: Lines, wish: Wish) -> tuple[Solved, Ints]:
    """Factors of the lines of one block and the reasons where there is none."""
    before = reasons_before(ground, lines, wish)
    found, p = solution(lines, wish, before == 0)
    reason = np.where(before > 0, before, reasons_after(p, found, found.factor, wish))
    return _only(found, reason == 0), reason


def reasons_before(ground: Ground, lines: Lines, wish: Wish) -> Ints:
    """Why lines are not solved at all: depth, hard layer, nothing that drives; 0 for the others."""
    base, p = lines.base, lines.problem
    reason = np.zeros(p.weight.shape[-1], dtype=np.int64)
    reason[(p.moment_in_load > 0) & (p.driving <= p.moment_in_load)] = HELD
    size = solve.over_parts(p.weight).sum(axis=0) * (base.right - base.left)
    reason[p.driving <= NOTHING * size] = DRIVING
    if wish.min_depth > 0:
        reason[(lines.parts.surface - base.y).max(axis=0) < wish.min_depth] = SHALLOW
    if wish.below < inf:
        reason[base.y.min(axis=0) > wish.below] = SHALLOW
    if ground.hard is not None:
        # A circle that is truncated lies on the hard layer; a line or a circle that may not be goes below it.
        reason[(base.y < ground.hard.at(base.x, base.strip) - ground.slack).any(axis=0)] = HARD
    return reason


def reasons_after(p: Problem, found: Solved, factor: Floats, wish: Wish) -> Ints:
    """Why solved lines have no result, with m_α taken at a factor; 0 where they have one."""
    reason = np.zeros(p.weight.shape[-1], dtype=np.int64)
    reason[~found.converged] = OPEN
    if found.pressed is not None:
        reason[found.converged & ~found.pressed] = PULLED
    if wish.method != "ordinary":
        reason[found.converged & (least_m(p, factor) < solve.LEAST_M)] = M_ALPHA
    return reason


def least_m(p: Problem, factor: Floats) -> Floats:
    """Least m_α of the parts that there are: outside the field a slice has no column."""
    with np.errstate(all="ignore"):
        m = solve.normal_factor(p, factor)
        found: Floats = (np.where(p.weight > 0, m, 1.0) if len(m) > 1 else m).min(axis=(0, 1))
    return found


def _only(solved: Solved, good: Bools) -> Solved:
    """No number where there is a reason against it."""
    return Solved(np.where(good, solved.factor, np.nan), np.where(good, solved.lam, np.nan), solved.converged & good)


def solution(lines: Lines, wish: Wish, wanted: Bools | None = None) -> tuple[Solved, Problem]:
    """Factor by the method asked for, and the problem that was solved: without strength where bases are pulled.

    The complete methods, which cost most, leave out the lines that are not ``wanted`` and those whose m_α is far below
    its limit by the simplified method already.
    """
    p = lines.problem
    if wish.method == "ordinary":
        with np.errstate(all="ignore"):
            factor = solve.ordinary(p)
        return Solved(factor, np.zeros_like(factor), np.isfinite(factor) & (factor > 0)), p
    if wish.method == "janbu":
        found = solve.single(p, solve.force_factor)
        return Solved(found.factor * shape_factor(lines), found.lam, found.converged), p
    # Moments about an arbitrary centre are no start for a line: its forces are.
    found = solve.single(p, solve.moment_factor if lines.circular else solve.force_factor)
    if wish.method == "bishop":
        return found, p
    hopeless = found.converged & (least_m(p, found.factor) < HOPELESS)
    if wanted is None or (wanted & ~hopeless).all():
        return _relieved(p, complete.complete(p, found.factor), np.asarray(lines.parts.c) <= 0)
    # The factor of a hopeless line stays: it says why there is none.
    pressed = np.ones_like(hopeless)
    found = replace(found, converged=hopeless, pressed=pressed)
    chosen = np.flatnonzero(wanted & ~hopeless)
    if not len(chosen):
        return found, p
    loose = np.broadcast_to(np.asarray(lines.parts.c) <= 0, p.weight.shape)[..., chosen]
    part, q = _relieved(p.at(chosen), complete.complete(p.at(chosen), found.factor[chosen]), loose)
    return solve.merged(found, part, chosen), p.with_strength(q, chosen)


def _relieved(p: Problem, found: Solved, loose: Any) -> tuple[Solved, Problem]:
    """Solved again, line by line, without strength at cohesionless bases that the solution pulls at."""
    for _ in range(RELIEFS):
        pulled = complete.clipped(p, found, loose)
        again = np.flatnonzero(pulled.any(axis=(0, 1)))
        if not len(again):
            return found, p
        p = solve.relieved(p, pulled)
        part = complete.complete(p.at(again), found.factor[again])
        found = solve.merged(found, part, again)
    pulled = complete.clipped(p, found, loose)
    return replace(found, converged=found.converged & ~pulled.any(axis=(0, 1))), p


def shape_factor(lines: Lines) -> Floats:
    """Janbu's f0 by the depth of the line below its chord and by the soils that it cuts."""
    base, p = lines.base, lines.problem
    run, fall = base.right - base.left, base.y_left - base.y_right
    chord = np.hypot(run, fall)
    below = base.y_left - fall * (base.x - base.left) / run - base.y
    ratio = (below * run / chord).max(axis=0) / chord
    cut = p.weight > 0
    friction = (cut & (lines.parts.tangent > 0)).any(axis=(0, 1))
    cohesion = (cut & (np.asarray(lines.parts.c) > 0)).any(axis=(0, 1))
    b_1 = np.where(friction & cohesion, 0.5, np.where(friction, 0.31, 0.69))
    found: Floats = 1 + b_1 * (ratio - 1.4 * ratio**2)
    return found
