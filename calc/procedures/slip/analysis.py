"""The one question and its answer: a cross-section and a surface or a search give a factor and its slices."""

from dataclasses import dataclass, replace
from functools import lru_cache
from itertools import pairwise
from math import inf, isfinite, nan, tan
from typing import get_args

import numpy as np
from numpy.typing import ArrayLike, NDArray

from calc.procedures.slip import mirror, refusal
from calc.procedures.slip.base import slices_of_circles
from calc.procedures.slip.base_stress import columns_at
from calc.procedures.slip.bending import Cut
from calc.procedures.slip.blocks import search_blocks
from calc.procedures.slip.circle_search import search_circles
from calc.procedures.slip.circles import Ends
from calc.procedures.slip.evaluate import (
    Interface,
    Lines,
    Solver,
    factors_of_circles,
    lines_of,
    lines_of_corners,
    solve_lines,
)
from calc.procedures.slip.forces import bonds_of
from calc.procedures.slip.model import BlockSearch, Circle, Direction, Form, Method, Model, Search, SlipError, Surface
from calc.procedures.slip.reasons import COMPLETE, REASONS
from calc.procedures.slip.result import Record, Result, result_of
from calc.procedures.slip.shaken import accelerated_model
from calc.procedures.slip.solve import TOLERANCE
from calc.procedures.slip.vertical_strips import Floats, Ground, Ints, compile_ground
from calc.procedures.slip.wish import Wish

LEAST_SLICES = 5
KEPT = 64  # cross-sections that are kept: each is asked for its circles, blocks and methods


def analyse(
    model: Model,
    surface: mirror.Asked,
    method: Method = "bishop",
    *,
    direction: Direction = "right",
    form: Form = "A",
    slices: int = 50,
    tolerance: float = TOLERANCE,
) -> Result:
    """Factor of safety of a slip surface, or of the decisive one of a search, with its slice table.

    Parameters
    ----------
    model
        Cross-section in coherent units (kN, m, kPa, rad), with design values.
    surface
        ``Circle``, ``Surface`` (a line of straight pieces), ``Search`` (circles) or ``BlockSearch``.
    method
        "ordinary", "bishop", "janbu" (with its factor f0), "spencer" or "morgenstern-price" (half a sine wave). The
        first two are for circles, also circles that follow a hard layer.
    direction
        The way the mass slides.
    form
        "A": the tension of the reinforcement lowers the load; "B": it counts as strength and is divided by the factor.
    slices
        Slices of equal arcs to a circle, or of equal widths in every piece of a line, all pieces together.
    tolerance
        Change of the factor at which its iteration ends.

    Raises
    ------
    SlipError
        For a model that cannot be analysed (every reason, one a line), and where no surface is admissible.
    """
    refuse_request(method, direction, form, slices)
    sign = 1.0 if direction == "right" else -1.0
    ground = ground_of(model, direction)
    if sign < 0:
        surface = mirror.mirrored_question(surface)
    wish = Wish(method, form, slices, tolerance=tolerance)
    if isinstance(surface, Circle):
        return _of_circle(ground, surface, wish, Record(), sign, direction)
    if isinstance(surface, Search):
        wish = wish_of(surface, wish)
        circle, record = search_circles(
            ground, surface, lambda x, y, r: factors_of_circles(ground, x, y, r, wish), sign
        )
        return _of_circle(ground, circle, wish, record, sign, direction)
    if method in {"ordinary", "bishop"}:
        message = f"method must be one of forces for a line of straight pieces (got {method!r})"
        raise SlipError(message)
    if isinstance(surface, BlockSearch):
        line, record = search_blocks(ground, surface, replace(wish, min_depth=surface.min_depth))
        return _of_line(ground, line, wish, record, sign, direction)
    return _of_line(ground, surface, wish, Record(), sign, direction)


def columns_cut(model: Model, result: Result) -> tuple[NDArray[np.int64], Cut]:
    """Rows of the slice table of a result that are columns, and these columns as they bend there."""
    table = result.table
    rows = np.array([k for k, part in enumerate(table.part) if part == "column"], dtype=np.int64)
    ground = ground_of(model, "right")
    return rows, columns_at(ground, table.x[rows], table.y_base[rows], np.cos(table.alpha[rows]))


@dataclass(frozen=True)
class CircleFactors:
    """Factors of many circles, NaN where rejected, and what each is rejected for; all (circles,).

    ``reason`` is a word of ``REASONS``, "admissible" where there is a factor; ``entry`` and ``exit`` are the places of
    the upper and the lower end, ``lam`` is NaN where the method has no interslice shear.
    """

    factor: Floats
    reason: NDArray[np.str_]
    lam: Floats
    entry: Floats
    exit: Floats


def factors(
    model: Model,
    x: ArrayLike,
    y: ArrayLike,
    r: ArrayLike,
    method: Method = "bishop",
    *,
    direction: Direction = "right",
    form: Form = "A",
    slices: int = 50,
    min_depth: float = 0.0,
) -> CircleFactors:
    """Factors of safety of any number of circles, centres ``x``, ``y`` and radii ``r`` in m, in one call.

    ``SlipError`` as from :func:`analyse` for the model and the request; a circle that is not admissible is none.
    """
    refuse_request(method, direction, form, slices)
    sign = 1.0 if direction == "right" else -1.0
    coordinates = np.broadcast_arrays(*(np.asarray(argument, dtype=np.float64) for argument in (x, y, r)))
    across, up, radius = (np.ascontiguousarray(coordinate.ravel()) for coordinate in coordinates)
    if not (np.isfinite(np.array([across, up, radius])).all() and (radius > 0).all()):
        message = "x, y and r must be finite numbers, r above 0"
        raise SlipError(message)
    wish = Wish(method, form, slices, min_depth=min_depth)
    results = factors_of_circles(ground_of(model, direction), sign * across, up, radius, wish)
    lam = results.lam if method in COMPLETE else np.full_like(results.lam, np.nan)
    return CircleFactors(
        results.factor, np.array(REASONS)[results.reason], lam, sign * results.left, sign * results.right
    )


@lru_cache(maxsize=KEPT)
def ground_of(model: Model, direction: Direction) -> Ground:
    """The strips of a model that can be analysed, mirrored where the mass slides to the left."""
    refusal.refuse(model)
    model = accelerated_model(model)
    return compile_ground(model if direction == "right" else mirror.mirrored_model(model))


def refuse_request(method: str, direction: str, form: str, slices: int) -> None:
    """``SlipError`` for a request that is not one."""
    wrong = [
        f"{name} must be one of {allowed} (got {got!r})"
        for name, got, allowed in (
            ("method", method, get_args(Method)),
            ("direction", direction, get_args(Direction)),
            ("form", form, get_args(Form)),
        )
        if got not in allowed
    ]
    if slices < LEAST_SLICES:
        wrong.append(f"slices must be at least {LEAST_SLICES} (got {slices})")
    if wrong:
        raise SlipError("\n".join(wrong))


def wish_of(search: Search, wish: Wish) -> Wish:
    """A wish with what a search asks of its circles."""
    return replace(
        wish, entry=search.entry or (-inf, inf), exit=search.exit or (-inf, inf), min_depth=search.min_depth,
        below=inf if search.below is None else search.below,
    )  # fmt: skip


def _refuse_rejected(reason: Ints, what: str, plain: float = nan) -> None:
    if reason[0]:
        message = f"the slip {what} is not admissible: {REASONS[reason[0]]}"
        if isfinite(plain):
            message += f"; by Bishop its factor is {plain:.3f}"
        raise SlipError(message)


def lines_of_circle(ground: Ground, circle: Circle, wish: Wish, solver: Solver | None = None) -> Lines:
    """The slices of the stretch of one circle that decides, with all that stands on them; a reason if none does."""
    x, y, r = np.array([circle.x]), np.array([circle.y]), np.array([circle.r])
    result = factors_of_circles(ground, x, y, r, wish, solver)
    _refuse_rejected(result.reason, "circle", float(result.plain[0]))
    base = slices_of_circles(ground, x, y, r, Ends(result.left, result.right), wish.slices)
    return lines_of(ground, bonds_of(ground), base, wish)


def _of_circle(ground: Ground, circle: Circle, wish: Wish, record: Record, sign: float, direction: Direction) -> Result:
    if not circle.r > 0:
        message = f"circle.r must be above 0 (got {circle.r:g})"
        raise SlipError(message)
    shown = Circle(sign * circle.x, circle.y, circle.r)
    return result_of(ground, lines_of_circle(ground, circle, wish), wish, shown, record, sign, direction)


def _of_line(ground: Ground, surface: Surface, wish: Wish, record: Record, sign: float, direction: Direction) -> Result:
    refuse_line(ground, surface)
    px, py = (np.array(coordinate, dtype=np.float64)[:, None] for coordinate in zip(*surface.points, strict=True))
    lines = lines_of_corners(ground, bonds_of(ground), px, py, wish, interface_of(surface))
    _refuse_rejected(solve_lines(ground, lines, wish)[1], "line")
    shown = surface if sign > 0 else mirror.mirrored_question(surface)
    assert isinstance(shown, Surface)  # noqa: S101 - the mirror keeps the kind
    return result_of(ground, lines, wish, shown, record, sign, direction)


def interface_of(surface: Surface) -> Interface | None:
    """The strength of the pieces that have one of their own."""
    if surface.c is None and surface.phi is None:
        return None
    return Interface(surface.interface, surface.c or 0.0, tan(surface.phi or 0.0))


def refuse_line(ground: Ground, surface: Surface) -> None:
    """``SlipError`` for a line that is none, that leaves the model or that does not run from surface to surface."""
    points = surface.points
    wrong = []
    if len(points) < 2 or any(after[0] <= before[0] and after != before for before, after in pairwise(points)):
        wrong.append(f"surface.points must be at least two with growing x (got {points})")
    elif points[0][0] < ground.x[0] or points[-1][0] > ground.x[-1]:
        wrong.append(f"surface.points must lie between the sides of the model (got {points})")
    else:
        depths = [refusal.height(ground.model.surface, x) - y for x, y in points]
        crack = ground.model.crack.depth if ground.model.crack else 0.0
        close = 1e-6 * float(ground.x[-1] - ground.x[0])
        if abs(depths[0] - crack) > close or abs(depths[-1]) > close:
            wrong.append("surface.points must begin and end on the ground surface, or begin at the bottom of the crack")
        if min(depths) < -close or min(y for _, y in points) < ground.model.bottom:
            wrong.append("surface.points must lie below the ground surface and above the bottom of the model")
    if any(not 0 <= piece < len(points) - 1 for piece in surface.interface):
        wrong.append(f"surface.interface must name pieces of the line (got {surface.interface})")
    if wrong:
        raise SlipError("\n".join(wrong))
