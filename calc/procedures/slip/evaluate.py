"""From circles or lines to factors of safety, in blocks that bound the memory, with the reason of every rejection."""

from collections.abc import Callable, Iterator
from dataclasses import dataclass, replace
from math import inf
from typing import Any

import numpy as np

from calc.procedures.slip import complete, solve
from calc.procedures.slip.base import (
    Base,
    alike_lines,
    arcs_of,
    shares_of_places,
    slices_of_circles,
    slices_of_lines,
)  # fmt: skip
from calc.procedures.slip.base_stress import Parts, parts_of
from calc.procedures.slip.circles import Ends, ends_of
from calc.procedures.slip.forces import Bond, Tension, bonds_of, tensions
from calc.procedures.slip.model import Form
from calc.procedures.slip.reasons import (
    COMPLETE,
    REASONS,
    SHALLOW,
    least_m,
    places,
    reasons_after,
    reasons_before,
    reasons_without_stretch,
)
from calc.procedures.slip.solve import Bools, Problem, Solved
from calc.procedures.slip.vertical_strips import Floats, Ground, Ints
from calc.procedures.slip.wish import Wish

CELLS = 60_000  # slices that are looked at together: some 30 arrays of half a megabyte
RETAINED = 30 * 2**17  # numbers, just under the largest block that glibc learns from
HOPELESS = 0.1  # m_α by the simplified method below which no complete method is tried
RELIEFS = 4  # rounds of taking strength away from bases that are pulled


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
    form: Form = "B"

    def in_slice(self, x: Floats) -> Floats:
        """1 in the slice that each place lies in, 0 in the others."""
        return in_slice(self.base, x)


Solver = Callable[[Ground, Lines, Wish], tuple[Solved, Ints]]


@dataclass(frozen=True)
class Factors:
    """Factor and λ of every slip line (NaN where rejected) and the index into ``REASONS``.

    ``plain`` is the factor by Bishop of circles that a complete method has no equilibrium for, NaN for all others;
    ``left`` and ``right`` are the ends of the stretch of a circle that decides.
    """

    factor: Floats
    lam: Floats
    reason: Ints
    plain: Floats
    left: Floats
    right: Floats

    @classmethod
    def none(cls, count: int) -> "Factors":
        """Nothing yet."""
        factor, lam, plain, left, right = (np.full(count, np.nan) for _ in range(5))
        return cls(factor, lam, np.zeros(count, dtype=np.int64), plain, left, right)

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
    factors = Factors.none(len(x))
    for block in blocks(len(x), wish.slices):
        _circles(ground, bonds, (x[block], y[block], r[block]), wish, solver or solve_lines, factors, block)
    return factors


def factors_of_cut(
    ground: Ground, circles: tuple[Floats, Floats, Floats], cut: "CutCircles", wish: Wish
) -> Factors:  # fmt: skip
    """Factors of circles that the lines of the ground have cut before, all in one block."""
    factors = Factors.none(len(circles[0]))
    _circles(ground, bonds_of(ground), circles, wish, solve_lines, factors, slice(0, len(circles[0])), cut)
    return factors


def _circles(
    ground: Ground,
    bonds: tuple[Bond, ...],
    circles: tuple[Floats, Floats, Floats],
    wish: Wish,
    solver: Solver,
    factors: Factors,
    block: slice,
    cut: "CutCircles | None" = None,
) -> None:
    """Factors of one block, written into the result: of every circle the stretch with the least."""
    cut = cut or cut_circles(ground, circles, wish)
    factors.reason[block] = cut.none
    lane, ends, reason = cut.lane, cut.ends, cut.reason.copy()
    factor, lam = np.full(len(lane), np.nan), np.full(len(lane), np.nan)
    for alike, base in cut.bases:
        result, reason[alike] = solver(ground, lines_of(ground, bonds, base, wish), wish)
        factor[alike], lam[alike] = result.factor, result.lam
        if result.plain is not None:
            np.fmin.at(factors.plain[block], lane[alike], result.plain)
    best = _decisive_stretches(lane, factor, reason, ends)
    values = (factor, lam, reason, ends.left, ends.right)
    for into, value in zip(
        (factors.factor, factors.lam, factors.reason, factors.left, factors.right), values, strict=True
    ):
        into[block][lane[best]] = value[best]


@dataclass(frozen=True)
class CutCircles:
    """Circles cut by the lines of a ground: what hangs on places alone, whatever the ground weighs and holds.

    ``none`` is the reason of a circle without a stretch below the ground; the stretches have the ``lane`` of their
    circle, their ``ends``, a ``reason`` where they are not looked at, and else ``bases``, by the number of slices.
    """

    none: Ints
    lane: Ints
    ends: Ends
    reason: Ints
    bases: tuple[tuple[Ints, Base], ...]


def cut_circles(ground: Ground, circles: tuple[Floats, Floats, Floats], wish: Wish) -> CutCircles:
    """The stretches of circles below the ground and their slices."""
    none = reasons_without_stretch(ground, *circles)
    with np.errstate(invalid="ignore"):
        every = ends_of(ground, *circles)
        there = np.isfinite(every.left)
        lane, ends = np.nonzero(there)[1], every.at(there)
        x, y, r = (circle[lane] for circle in circles)
        reason = places(ground, x, y, r, ends, wish)
    good = np.flatnonzero(reason == 0)
    arcs = arcs_of(ground, x[good], y[good], r[good], ends.at(good))
    bases = tuple(
        (alike, slices_of_circles(ground, x[alike], y[alike], r[alike], ends.at(alike), wish.slices, arcs.at(chosen)))
        for chosen in alike_lines(arcs.share, wish.slices) for alike in [good[chosen]]
    )  # fmt: skip
    return CutCircles(none, lane, ends, reason, bases)


def _decisive_stretches(lane: Ints, factor: Floats, reason: Ints, ends: Ends) -> Ints:
    """Of the stretches of every circle the one with the least factor, or the widest where none has one."""
    if (np.diff(lane) > 0).all():
        return np.arange(len(lane))
    first = np.where(reason == 0, factor, ends.left - ends.right)
    order = np.lexsort((first, reason > 0, lane))
    return np.asarray(order[np.unique(lane[order], return_index=True)[1]])


def factors_of_lines(ground: Ground, px: Floats, py: Floats, wish: Wish, interface: Interface | None = None) -> Factors:
    """Factors of lines with the corners ``px``, ``py`` (corners, lines)."""
    bonds, total = bonds_of(ground), px.shape[1]
    factors = Factors.none(total)
    for block in blocks(total, wish.slices):
        shares = shares_of_places(ground, px[:, block], py[:, block])
        for chosen in alike_lines(shares, wish.slices):
            alike = np.arange(total)[block][chosen]
            lines = lines_of_corners(ground, bonds, px[:, alike], py[:, alike], wish, interface, shares[:, chosen])
            result, factors.reason[alike] = solve_lines(ground, lines, wish)
            factors.factor[alike], factors.lam[alike] = result.factor, result.lam
    return factors


def lines_of_corners(
    ground: Ground, bonds: tuple[Bond, ...], px: Floats, py: Floats, wish: Wish, interface: Interface | None,
    places: Floats | None = None,
) -> Lines:  # fmt: skip
    """Slip lines of straight pieces with all that stands on them; ``places`` are those of `shares_of_places`."""
    base = slices_of_lines(ground, px, py, wish.slices, interface.pieces if interface else (), places)
    return lines_of(ground, bonds, base, wish, (interface.c, interface.tangent) if interface else None)


def lines_of(
    ground: Ground, bonds: tuple[Bond, ...], base: Base, wish: Wish, interface: tuple[float, float] | None = None
) -> Lines:
    """Slip lines with the stresses on their bases, the reinforcement and the equations."""
    parts = parts_of(ground, base, interface)
    pulls = tensions(bonds, base)
    return Lines(base, parts, pulls, _problem(ground, base, parts, pulls, wish), base.interface is None, wish.form)


def _problem(ground: Ground, base: Base, parts: Parts, pulls: tuple[Tension, ...], wish: Wish) -> Problem:
    driving = (solve.over_parts(parts.weight) * (base.centre_x - base.x)).sum(axis=0)
    push, turning = parts.push, parts.push_moment
    crack = ground.model.crack
    if crack is not None and crack.water and ground.model.water is not None:
        thrust = 0.5 * ground.model.water.gamma_w * crack.water**2
        push = np.zeros_like(base.x) if push is None else push.copy()
        push[0] += thrust
        turning = np.zeros_like(base.x) + turning
        turning[0] += thrust * (base.centre_y - base.y_left - crack.water / 3)
    driving = driving if push is None else driving + turning.sum(axis=0)
    none = np.zeros_like(driving)
    force = sum((pull.force for pull in pulls), none)
    moment = sum((pull.force * (base.centre_y - pull.layer.level) for pull in pulls), none)
    by_slice = _by_slice(base, pulls) if pulls and wish.method in COMPLETE else None
    load = wish.form == "A"
    bond, tangent = solve.without_tension(parts, base)
    return Problem(
        weight=parts.weight, bond=bond, tangent=tangent, sine=base.sine, cosine=base.cosine,
        arm=base.arm, offset=base.offset, driving=driving, push=push, push_moment=None if push is None else turning,
        moment_in_load=moment if load else none, force_in_load=force if load else none,
        moment_in_strength=none if load else moment, force_in_strength=none if load else force,
        pull_in_load=by_slice if load else None, pull_in_strength=None if load else by_slice,
        function=_function(base, wish), tolerance=wish.tolerance,
    )  # fmt: skip


def _by_slice(base: Base, pulls: tuple[Tension, ...]) -> Floats:
    """Tension of the layers in the slice in which it acts."""
    forces: Floats = sum((pull.force * in_slice(base, pull.x) for pull in pulls), np.zeros_like(base.x))
    return forces


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
    ordinates: Floats = np.sin(np.pi * (faces - base.left) / (base.right - base.left))
    return ordinates


def solve_lines(ground: Ground, lines: Lines, wish: Wish) -> tuple[Solved, Ints]:
    """Factors of the lines of one block and the reasons where there is none."""
    before = before_solving(ground, lines, wish)
    result, p = solution(lines, wish, before == 0)
    after = reasons_after(p, result, result.factor, wish.method, circular=lines.circular)
    reason = np.where(before > 0, before, after)
    plain = _by_bishop(lines, (before == 0) & (after > 0)) if wish.method in COMPLETE and lines.circular else None
    return replace(_without_rejected(result, reason == 0), plain=plain), reason


def before_solving(ground: Ground, lines: Lines, wish: Wish) -> Ints:
    """Why lines of one block are not solved at all."""
    reason = reasons_before(
        ground, lines.base, lines.problem, lines.parts.surface, wish.method, wish.min_depth, circular=lines.circular
    )
    if wish.below < inf:
        reason[lines.base.y.min(axis=0) > wish.below] = SHALLOW
    return reason


def _by_bishop(lines: Lines, missed: Bools) -> Floats:
    """Factors by Bishop, where he has one, of the circles for which a complete method has none; NaN for the others."""
    plain = np.full(len(missed), np.nan)
    chosen = np.flatnonzero(missed)
    if len(chosen):
        p = lines.problem.at(chosen)
        result = solve.solve_single(p, solve.moment_factor)
        good = reasons_after(p, result, result.factor, "bishop") == 0
        plain[chosen] = np.where(good, result.factor, np.nan)
    return plain


def _without_rejected(solved: Solved, good: Bools) -> Solved:
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
            factor = solve.ordinary_factor(p)
        return Solved(factor, np.zeros_like(factor), np.isfinite(factor) & (factor > 0)), p
    if wish.method == "janbu":
        solved = solve.solve_single(p, solve.force_factor)
        return Solved(solved.factor * shape_factor(lines), solved.lam, solved.converged), p
    # Moments about an arbitrary centre are no start for a line: its forces are.
    solved = solve.solve_single(p, solve.moment_factor if lines.circular else solve.force_factor)
    if wish.method == "bishop":
        return solved, p
    hopeless = solved.converged & (least_m(p, solved.factor, wish.method) < HOPELESS)
    if wanted is None or (wanted & ~hopeless).all():
        return _release_tension(p, complete.solve_both(p, solved.factor), np.asarray(lines.parts.c) <= 0)
    # The factor of a hopeless line stays: it says why there is none.
    pressed = np.ones_like(hopeless)
    solved = replace(solved, converged=hopeless, pressed=pressed)
    chosen = np.flatnonzero(wanted & ~hopeless)
    if not len(chosen):
        return solved, p
    loose = np.broadcast_to(np.asarray(lines.parts.c) <= 0, p.weight.shape)[..., chosen]
    part, q = _release_tension(p.at(chosen), complete.solve_both(p.at(chosen), solved.factor[chosen]), loose)
    return solve.replace_lines(solved, part, chosen), p.with_strength(q, chosen)


def _release_tension(p: Problem, solved: Solved, loose: Any) -> tuple[Solved, Problem]:
    """Solved again, line by line, without strength at cohesionless bases that the solution pulls at."""
    for _ in range(RELIEFS):
        pulled = complete.bases_in_tension(p, solved, loose)
        again = np.flatnonzero(pulled.any(axis=(0, 1)))
        if not len(again):
            return solved, p
        p = solve.release_bases(p, pulled)
        part = complete.solve_both(p.at(again), solved.factor[again])
        solved = solve.replace_lines(solved, part, again)
    pulled = complete.bases_in_tension(p, solved, loose)
    return replace(solved, converged=solved.converged & ~pulled.any(axis=(0, 1))), p


def shape_factor(lines: Lines) -> Floats:
    """Janbu's f0 by the depth of the line below its chord and by the soils that it cuts.

    Without friction 0.67 and 0.69 are both in print; the smaller one is on the safe side.
    """
    base, p = lines.base, lines.problem
    run, fall = base.right - base.left, base.y_left - base.y_right
    chord = np.hypot(run, fall)
    # A line is deepest at a corner, which is a face; an arc in the middle of a slice as well as anywhere.
    x, y = (base.x, base.y) if lines.circular else (base.right_faces(), base.y - base.b * base.sine / base.cosine / 2)
    below = base.y_left - fall * (x - base.left) / run - y
    ratio = (below * run / chord).max(axis=0) / chord
    cut = p.weight > 0
    friction = (cut & (lines.parts.tangent > 0)).any(axis=(0, 1))
    cohesion = (cut & (np.asarray(lines.parts.c) > 0)).any(axis=(0, 1))
    b_1 = np.where(friction & cohesion, 0.5, np.where(friction, 0.31, 0.67))
    factor: Floats = 1 + b_1 * (ratio - 1.4 * ratio**2)
    return factor
