"""What a slip analysis hands back: factor, slip line, slices, reinforcement and the record of a search."""

from collections.abc import Mapping
from dataclasses import dataclass, field
from typing import Any, cast

import numpy as np
from contourpy import LineType, contour_generator
from numpy.ma import masked_invalid
from numpy.typing import NDArray

from calc.procedures.slip import solve
from calc.procedures.slip.complete import interslice
from calc.procedures.slip.evaluate import Lines, shape_factor, solution
from calc.procedures.slip.forces import Tension
from calc.procedures.slip.model import Circle, Direction, Form, Line, Method, Point, Surface
from calc.procedures.slip.reasons import COMPLETE, REASONS, WEAK
from calc.procedures.slip.remarks import Remark, search_remarks, tension_remarks, thrust_levels, turning_of
from calc.procedures.slip.vertical_strips import Floats, Ground
from calc.procedures.slip.wish import Wish


@dataclass(frozen=True)
class SliceTable:
    """One row per part of a slice, from the upper end down; a slice in the column field has two parts.

    ``b`` and ``l`` are the width and base length of the part, ``W`` its whole vertical load, ``N`` the total base
    normal, ``N_eff`` that less the water pressure on the base (N where the base has no friction, as undrained), ``S``
    the base shear mobilised (resistance over factor). ``H`` (earthquake, open water, crack water, and in the complete
    methods less reinforcement of form A), the forces at the right face ``E_right`` and ``X_right`` and the level
    ``y_thrust`` at which the normal one acts belong to the slice and are repeated for its parts; NaN where the method
    has none.
    """

    index: NDArray[np.int64]
    part: tuple[str, ...]
    x: Floats
    b: Floats
    y_top: Floats
    y_base: Floats
    alpha: Floats
    l: Floats  # noqa: E741 - the printed symbol
    W: Floats
    u: Floats
    c: Floats
    phi: Floats
    m_alpha: Floats
    N: Floats
    S: Floats
    H: Floats
    E_right: Floats
    X_right: Floats
    N_eff: Floats
    y_thrust: Floats


@dataclass(frozen=True)
class LayerForce:
    """Tension of a layer of reinforcement at the slip line: the least of strength and pull-out on both sides."""

    name: str
    level: float
    x: float
    force: float
    strength: float
    pullout_inside: float
    pullout_outside: float
    governs: str


@dataclass(frozen=True)
class Contours:
    """Least factor over all radii at every centre of the grid, (y, x); NaN where no circle was admissible."""

    x: Floats
    y: Floats
    factor: Floats

    def lines(self, level: float) -> list[Line]:
        """The lines on which the factor equals a level; where it is NaN there is none."""
        made = contour_generator(x=self.x, y=self.y, z=masked_invalid(self.factor), line_type=LineType.Separate)
        lines = cast("list[Floats]", made.lines(level))
        return [tuple((float(x), float(y)) for x, y in line) for line in lines]


@dataclass(frozen=True)
class Record:
    """What a search has looked at."""

    tried: int = 1
    rejected: Mapping[str, int] = field(default_factory=dict)
    contours: Contours | None = None
    extended: int = 0
    at_edge: tuple[str, ...] = ()
    plain: Floats = field(default_factory=lambda: np.empty(0))


@dataclass(frozen=True)
class Result:
    """Factor of safety of the decisive slip line and everything that is needed to redo it by hand.

    ``resisting`` over ``driving`` is the factor (times ``f_0`` by the method of Janbu): moments about the centre, or
    horizontal forces by the method of Janbu. ``lam`` is NaN where the method has no interslice shear. ``warnings``
    limit the result; ``crack_depth`` is that of the tension crack they propose, NaN for none, and ``thrust`` the line
    on which the slices press on each other by the complete methods, empty by the others. ``k_v`` is that of the model.
    """

    factor: float
    method: Method
    direction: Direction
    form: Form
    surface: Circle | Surface
    centre: Point
    entry: Point
    exit: Point
    lam: float
    f_0: float
    table: SliceTable
    forces: tuple[LayerForce, ...]
    resisting: float
    driving: float
    points: Line
    tried: int
    rejected: Mapping[str, int]
    contours: Contours | None
    extended: int
    at_edge: tuple[str, ...]
    warnings: tuple[Remark, ...]
    crack_depth: float
    thrust: Line
    k_v: float = 0.0


def result_of(
    ground: Ground, lines: Lines, wish: Wish, surface: Circle | Surface, record: Record, sign: float,
    direction: Direction,
) -> Result:  # fmt: skip
    """The result of one slip line; ``sign`` is −1 where the model was mirrored."""
    solved, p = solution(lines, wish)
    f_0 = float(shape_factor(lines)[0]) if wish.method == "janbu" else 1.0
    equation = solved.factor / f_0
    shear, push = _interslice_forces(p, equation, solved.lam, wish)
    normal, strength = _bases(p, equation, shear, wish)
    if wish.method == "janbu":
        resisting = (strength.sum(axis=0) * p.cosine).sum(axis=0) + p.force_in_strength
        driving = solve.force_of_load(p, normal)
    else:
        resisting = (strength.sum(axis=0) * p.arm).sum(axis=0) + p.moment_in_strength
        driving = solve.moment_of_load(p, normal)
    points = _points(lines, sign)
    table = _table(lines, p, equation, normal, strength, shear, push, sign)
    word = wish.method.title()
    remarks, crack = tension_remarks(ground, lines, equation, push, effective_normals(lines, p, normal), word, sign)
    weak = record.rejected.get(REASONS[WEAK], 0)
    return Result(
        factor=float(solved.factor[0]), method=wish.method, direction=direction, form=wish.form, surface=surface,
        centre=(sign * float(lines.base.centre_x[0]), float(lines.base.centre_y[0])),
        entry=points[0] if sign > 0 else points[-1], exit=points[-1] if sign > 0 else points[0],
        lam=float(solved.lam[0]) if wish.method in COMPLETE else np.nan, f_0=f_0,
        table=table,
        forces=tuple(_layer_force(tension, sign) for tension in lines.tensions),
        resisting=float(resisting[0]), driving=float(driving[0]), points=points,
        tried=record.tried, rejected=dict(record.rejected), contours=mirrored_contours(record.contours, sign),
        extended=record.extended, at_edge=record.at_edge,
        warnings=(*search_remarks(record.plain, weak, float(solved.factor[0]), word), *remarks),
        crack_depth=crack, thrust=_thrust(lines, table, sign),
        k_v=ground.model.k_v,
    )  # fmt: skip


def effective_normals(lines: Lines, p: solve.Problem, normal: Floats) -> Floats:
    """Base normals less the water pressure on bases with friction; 0 for parts that there are not."""
    length = lines.parts.share * lines.base.b / lines.base.cosine
    drained = normal - np.where(lines.parts.tangent > 0, lines.parts.u, 0.0) * length
    return np.asarray(np.where(p.weight > 0, drained, 0.0))


def _thrust(lines: Lines, table: SliceTable, sign: float) -> Line:
    """The line of thrust through the right faces at which there is a force, with growing x."""
    first = np.unique(table.index, return_index=True)[1]
    levels, faces = table.y_thrust[first], lines.base.right_faces()[table.index[first], 0]
    points = [(sign * float(x), float(y)) for x, y in zip(faces, levels, strict=True) if np.isfinite(y)]
    return tuple(points if sign > 0 else points[::-1])


def _interslice_forces(p: solve.Problem, factor: Floats, lam: Floats, wish: Wish) -> tuple[Any, Floats | None]:
    """Shear and normal forces at the faces between the slices, where the method knows them."""
    if wish.method in {"ordinary", "bishop"}:
        return None, None
    push = interslice(p, factor, lam)
    return (lam * p.function * push if wish.method in COMPLETE else None), push


def _bases(p: solve.Problem, factor: Floats, shear: Any, wish: Wish) -> tuple[Floats, Floats]:
    """Normal and shear resistance at the bases."""
    if wish.method == "ordinary":
        normal = solve.plain_normals(p)
        return normal, np.maximum(p.bond + normal * p.tangent, 0.0)
    return solve.normals(p, factor, None if shear is None else shear[:-1] - shear[1:])


def _table(
    lines: Lines, p: solve.Problem, factor: Floats, normal: Floats, strength: Floats, shear: Any, push: Any, sign: float
) -> SliceTable:
    """The parts that have a width, slice by slice."""
    base, parts = lines.base, lines.parts
    there = np.argwhere((p.weight[:, :, 0] > 0).T)
    index, part = there[:, 0], there[:, 1]
    nothing = np.full((p.weight.shape[1] + 1, 1), np.nan)
    width = np.broadcast_to(parts.share * base.b, p.weight.shape)
    force = np.zeros_like(base.x) if p.push is None else p.push
    force = force if p.pull_in_load is None else force - p.pull_in_load

    def whole(values: Any) -> Floats:
        return np.asarray(np.broadcast_to(values, base.x.shape)[index, 0], dtype=np.float64)

    def each(values: Any) -> Floats:
        return np.asarray(np.broadcast_to(values, p.weight.shape)[part, index, 0], dtype=np.float64)

    alpha = np.arctan2(base.sine, base.cosine)
    level = np.full_like(base.x, np.nan)
    if shear is not None:
        level[:, 0] = thrust_levels(base, push, shear, turning_of(lines, factor))
    return SliceTable(
        index=index, part=tuple(("soil", "column")[kind] for kind in part), x=sign * whole(base.x), b=each(width),
        y_top=whole(parts.surface), y_base=whole(base.y), alpha=whole(alpha), l=each(width / base.cosine),
        W=each(p.weight), u=each(parts.u), c=each(parts.c), phi=np.arctan(each(parts.tangent)),
        m_alpha=each(solve.normal_factor(p, factor)), N=each(normal), S=each(strength / factor), H=whole(force),
        E_right=whole((nothing if push is None else push)[1:]),
        X_right=whole((nothing if shear is None else shear)[1:]),
        N_eff=each(effective_normals(lines, p, normal)), y_thrust=whole(level),
    )  # fmt: skip


def _layer_force(tension: Tension, sign: float) -> LayerForce:
    """The tension of a layer and what limits it."""
    limits = {
        "strength": tension.layer.strength,
        "pull-out inside": float(tension.inside[0]),
        "pull-out outside": float(tension.outside[0]),
    }
    cut = not np.isnan(tension.x[0])
    governs = min(limits, key=lambda name: limits[name]) if cut else "not cut"
    return LayerForce(
        tension.layer.name,
        tension.layer.level,
        sign * float(tension.x[0]),
        float(tension.force[0]),
        tension.layer.strength,
        limits["pull-out inside"],
        limits["pull-out outside"],
        governs,
    )


def _points(lines: Lines, sign: float) -> Line:
    """The slip line through the middles of the bases, for drawing, with growing x."""
    base = lines.base
    x = [base.left[0], *base.x[:, 0], base.right[0]]
    y = [base.y_left[0], *base.y[:, 0], base.y_right[0]]
    points = [(sign * float(middle_x), float(middle_y)) for middle_x, middle_y in zip(x, y, strict=True)]
    return tuple(points if sign > 0 else points[::-1])


def mirrored_contours(contours: Contours | None, sign: float) -> Contours | None:
    """The contours of the model before it was mirrored."""
    if contours is None or sign > 0:
        return contours
    return Contours(-contours.x[::-1], contours.y, contours.factor[:, ::-1])
