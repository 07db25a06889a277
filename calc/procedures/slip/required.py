"""The force that a horizontal layer must give so that no slip circle falls short of the safety asked for."""

from collections.abc import Mapping
from dataclasses import dataclass, replace
from typing import Any

import numpy as np

from calc.procedures.slip import analysis, complete, mirror, solve
from calc.procedures.slip.circle_search import search_circles
from calc.procedures.slip.complete import Terms
from calc.procedures.slip.evaluate import (
    Lines,
    Solver,
    before_solving,
    factors_of_circles,
    in_slice,
    shape_factor,
    solve_lines,
)
from calc.procedures.slip.forces import places_at_level
from calc.procedures.slip.model import Circle, Direction, Form, Method, Model, Range, Search, SlipError
from calc.procedures.slip.reasons import COMPLETE, DRIVING, HARD, NOT_HELPED, SHALLOW, reasons_after
from calc.procedures.slip.result import Contours, mirrored_contours
from calc.procedures.slip.solve import Problem, Solved
from calc.procedures.slip.vertical_strips import Floats, Ground, Ints
from calc.procedures.slip.wish import Wish


@dataclass(frozen=True)
class RequiredForce:
    """Force (kN/m) that the layer must give beside the reinforcement of the model, and the circle that asks for it.

    ``force`` is 0 where no circle that the layer cuts falls short. ``x`` is where the circle cuts the layer and
    ``factor_without`` its factor without the force, NaN where it has none of its own. ``uncovered`` is the least factor
    of the circles that the layer does not help, NaN where there is none: where it is below the safety asked for, no
    force of this layer is enough.
    """

    force: float
    safety: float
    level: float
    form: Form
    method: Method
    direction: Direction
    surface: Circle
    x: float
    factor_without: float
    uncovered: float
    tried: int
    rejected: Mapping[str, int]
    contours: Contours | None
    extended: int
    at_edge: tuple[str, ...]


@dataclass(frozen=True)
class _Question:
    """A force at a level between two places that lifts the factor to the safety asked for."""

    ground: Ground
    level: float
    reach: Range
    safety: float
    wish: Wish


def required_force(
    model: Model,
    search: Search,
    level: float,
    safety: float,
    *,
    form: Form = "A",
    method: Method = "bishop",
    direction: Direction = "right",
    slices: int = 50,
    tolerance: float = solve.TOLERANCE,
    x_left: float | None = None,
    x_right: float | None = None,
) -> RequiredForce:
    """The largest force over all circles of a search that a layer at ``level`` must give for ``safety``.

    With partial factors at their source ``safety`` is the factor on the resistance (1 without one). The layer reaches
    from ``x_left`` to ``x_right``, the whole model where they are left out; a circle that falls through the level
    outside of this is not helped. ``SlipError`` as from :func:`analyse`.
    """
    analysis.refuse_request(method, direction, form, slices)
    ground = analysis.ground_of(model, direction)
    first, last = model.surface[0][0], model.surface[-1][0]
    reach = (first if x_left is None else x_left, last if x_right is None else x_right)
    _refuse(model, level, safety, reach)
    sign = 1.0 if direction == "right" else -1.0
    if sign < 0:
        reach, search = mirror.mirrored_range(reach), mirror.mirrored_search(search)
    wish = analysis.wish_of(search, Wish(method, form, slices, tolerance=tolerance))
    question = _Question(ground, level, reach, safety, wish)
    uncovered: list[float] = []
    solver = _solver(question, uncovered)
    circle, record = search_circles(
        question.ground, search, lambda x, y, r: factors_of_circles(question.ground, x, y, r, wish, solver)
    )
    lines = analysis.lines_of_circle(question.ground, circle, wish, solver)
    result, cut = force_on(question, lines)
    factor, _ = solve_lines(question.ground, lines, wish)
    contours = mirrored_contours(record.contours, sign)
    contours = contours and replace(contours, factor=np.maximum(-contours.factor, 0.0))
    return RequiredForce(
        force=max(float(result.factor[0]), 0.0), safety=safety, level=level, form=form, method=method,
        direction=direction, surface=Circle(sign * circle.x, circle.y, circle.r), x=sign * float(cut[0]),
        factor_without=float(factor.factor[0]),
        uncovered=min(uncovered, default=np.nan), tried=record.tried, rejected=record.rejected, contours=contours,
        extended=record.extended, at_edge=record.at_edge,
    )  # fmt: skip


def _refuse(model: Model, level: float, safety: float, reach: Range) -> None:
    wrong = []
    top = max(y for _, y in model.surface)
    if not model.bottom < level < top:
        wrong.append(f"level must lie between the bottom, {model.bottom:g}, and the top of the ground, {top:g} "
                     f"(got {level:g})")  # fmt: skip
    if not 0 < safety < np.inf:
        wrong.append(f"safety must be above 0 (got {safety:g})")
    if not model.surface[0][0] <= reach[0] < reach[1] <= model.surface[-1][0]:
        wrong.append(
            f"x_left and x_right must run from left to right within the model (got {reach[0]:g}, {reach[1]:g})"
        )
    if wrong:
        raise SlipError("\n".join(wrong))


def _solver(question: _Question, uncovered: list[float]) -> Solver:
    """Minus the force of every circle; the least factor of the circles that the layer does not help is noted aside."""

    def solver(ground: Ground, lines: Lines, wish: Wish) -> tuple[Solved, Ints]:
        result, cut = force_on(question, lines)
        after = reasons_after(lines.problem, result, np.full_like(cut, question.safety), wish.method)
        before = before_solving(ground, lines, wish)
        reason = np.where(before > 0, before, after)
        missed = np.isnan(cut)
        if missed.any():
            without, why = solve_lines(ground, lines, wish)
            least = without.factor[missed & (why == 0)]
            uncovered.extend([float(least.min())] if len(least) else [])
            reason[missed & ~np.isin(reason, (SHALLOW, HARD, DRIVING))] = NOT_HELPED
        good = reason == 0
        return Solved(np.where(good, -result.factor, np.nan), result.lam, good), reason

    return solver


def force_on(question: _Question, lines: Lines) -> tuple[Solved, Floats]:
    """Force on each line that lifts its factor to the safety asked for, and where the line falls through the layer.

    A force below zero is what the line has to spare; the place is NaN where the layer does not help.
    """
    base, p = lines.base, lines.problem
    cut, _ = places_at_level(base, question.level)
    arm = base.centre_y - question.level
    with np.errstate(invalid="ignore"):
        cut = np.where((cut >= question.reach[0]) & (cut <= question.reach[1]) & (arm > 0), cut, np.nan)
    method = question.wish.method
    F: Any = question.safety / (shape_factor(lines) if method == "janbu" else 1.0)  # noqa: N806 - the printed symbol
    resisting, driving = _sides(p, F, method)
    # Form A lowers the load by the force, form B adds it to the strength.
    force = driving - resisting / F if question.wish.form == "A" else F * driving - resisting
    force = force if method == "janbu" else force / arm
    if method not in COMPLETE:
        return Solved(force, np.zeros_like(force), np.isfinite(force)), cut
    scale = np.maximum(np.abs(force), 0.05 * np.abs(resisting / arm))
    place = np.where(np.isnan(cut), 0.0, in_slice(base, cut))
    start = ForceBalance(p, arm, place, np.full_like(force, question.safety), question.wish.form, 0.3 * scale)
    tried = replace(start, problem=p.for_tries(), place=place[:, None])
    force, lam, converged = complete.newton(tried, force)
    return Solved(force, lam, converged, complete.in_compression(start.with_force(force), start.factor, lam)), cut


def _sides(p: Problem, F: Any, method: Method) -> tuple[Floats, Floats]:  # noqa: N803
    """Resistance and load without the force, as moments or, by the method of Janbu, horizontal forces."""
    if method == "ordinary":
        normal = solve.plain_normals(p)
        strength = np.maximum(p.bond + normal * p.tangent, 0.0)
    else:
        normal, strength = solve.normals(p, F, None)
    if method == "janbu":
        resisting = (strength.sum(axis=0) * p.cosine).sum(axis=0) + p.force_in_strength
        return resisting, solve.force_of_load(p, normal)
    resisting = (strength.sum(axis=0) * p.arm).sum(axis=0) + p.moment_in_strength
    return resisting, solve.moment_of_load(p, normal)


@dataclass(frozen=True)
class ForceBalance:
    """Moments and forces with the force of the layer and λ as the unknowns, the factor given."""

    problem: Problem
    arm: Floats
    place: Floats
    factor: Floats
    form: Form
    step: Floats

    def terms(self, first: Floats) -> Terms:
        """What the factor decides, which is given."""
        return complete.terms(self.problem, np.broadcast_to(self.factor, first.shape))

    def gaps(self, first: Floats, lam: Floats, known: Terms) -> tuple[Floats, Floats]:
        """By how much moments and forces miss the factor when the layer pulls with the force ``first``."""
        return complete.gaps(self.with_force(first), self.factor, lam, known)

    def with_force(self, first: Floats) -> Problem:
        """The problem with the force ``first`` in the layer."""
        p, form = self.problem, "load" if self.form == "A" else "strength"
        pull = getattr(p, f"pull_in_{form}")
        more = {
            f"moment_in_{form}": getattr(p, f"moment_in_{form}") + first * self.arm,
            f"force_in_{form}": getattr(p, f"force_in_{form}") + first,
            f"pull_in_{form}": first * self.place + (0.0 if pull is None else pull),
        }
        return replace(p, **more)

    def at(self, lines: Any) -> "ForceBalance":
        """The same for some of the lines."""
        return ForceBalance(
            self.problem.at(lines),
            self.arm[lines],
            self.place[..., lines],
            self.factor[lines],
            self.form,
            self.step[lines],
        )
