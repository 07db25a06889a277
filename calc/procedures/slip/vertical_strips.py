"""The cross-section in vertical strips: between two neighbouring places every boundary is one straight line.

Each strip holds its boundaries from the top down and the soil below each; a boundary that is missing in a strip lies
on the next one, with no thickness.
"""

from collections.abc import Iterable, Sequence
from dataclasses import dataclass, replace
from functools import cached_property
from itertools import combinations, pairwise, product
from typing import Any

import numpy as np
from numpy.typing import NDArray

from calc.procedures.slip.model import Columns, Grid, Layer, Line, Model, Soil

Floats = NDArray[np.float64]
Ints = NDArray[np.int64]

MOST_BYTES = 127  # marks that can be counted in a byte


def how_many(marks: Iterable[Any], shape: tuple[int, ...], most: int) -> Ints:
    """How many of up to ``most`` marks are set at each place; a few are added as bytes, which is twice as quick."""
    if most > MOST_BYTES:
        many: Ints = np.sum([np.broadcast_to(mark, shape) for mark in marks], axis=0, dtype=np.int64)
        return many
    number = np.zeros(shape, dtype=np.int8)
    for mark in marks:
        number += np.asarray(mark).view(np.int8)
    return number.astype(np.int64)


@dataclass(frozen=True)
class Straight:
    """One straight line per strip: its height at the left end of the strip, that end and its slope."""

    left: Floats
    slope: Floats
    begin: Floats

    def at(self, x: Floats, strip: Ints) -> Any:
        """Height at each place in its strip; one number where the line is level throughout."""
        if self.level is not None:
            return self.level
        return self.origin.take(strip) + self.slope.take(strip) * x

    @cached_property
    def level(self) -> float | None:
        """The height of a line that is level over the whole model."""
        return None if self.slope.any() or np.ptp(self.left) else float(self.left[0])

    @cached_property
    def origin(self) -> Floats:
        """Height at x = 0, continued."""
        return self.left - self.slope * self.begin


@dataclass(frozen=True, eq=False)
class Ground:
    """Strips of a model; arrays (strips,) or (boundaries, strips). Two are the same only if they are one object."""

    x: Floats  # places between the strips, one more than strips
    surface: Straight
    tops: tuple[Straight, ...]
    soil: Ints  # soil below each boundary
    heads: tuple[Straight, ...] | None  # line of heads in the part below each boundary, where a layer has its own
    own_head: NDArray[np.bool_]  # (boundaries, strips)
    table: Straight | None
    hard: Straight | None
    q: Floats
    in_field: NDArray[np.bool_]
    soils: tuple[Soil, ...]
    model: Model
    toes: Straight | None = None  # of the columns, where they follow a line
    firm: Straight | None = None  # the firm layer below them
    strong: tuple[Straight | None, ...] = ()  # the line from which the undrained strength of each soil grows

    @cached_property
    def slack(self) -> float:
        """The distance within which two lines touch."""
        return 1e-9 * max(1.0, float(np.ptp(self.surface.left)), float(self.x[-1] - self.x[0]))

    @cached_property
    def grids(self) -> NDArray[np.float64]:
        """Area ratio and stress shares of soil and column (rows) in every strip of a column field."""
        field = self.model.columns
        assert field is not None  # noqa: S101 - the caller has looked
        middle = (self.x[:-1] + self.x[1:]) / 2
        shares = np.tile([[field.a_E], [field.mu_s], [field.mu_c]], len(middle))
        for zone in field.zones:
            inside = (zone.x_left < middle) & (middle < zone.x_right)
            shares[:, inside] = [[zone.a_E], [zone.mu_s], [zone.mu_c]]
        return shares

    @cached_property
    def feet(self) -> tuple[Floats, Floats]:
        """Embedment of the columns in the firm layer, and the shear force that it holds, in every strip."""
        field = self.model.columns
        assert field is not None and field.bending is not None  # noqa: PT018, S101 - the caller has looked
        bend = field.bending
        own = [(zone, (zone.y_firm or 0.0) - (zone.y_toe or 0.0)) for zone in field.lengths]
        held = [(zone, zone.held or 0.0) for zone in field.lengths]
        return _by_zones(self.x, bend.y_firm - field.y_toe, own), _by_zones(self.x, bend.held, held)

    def level_line(self, level: float) -> Straight:
        """A level line over the whole model."""
        return Straight(np.full(len(self.q), level), np.zeros(len(self.q)), self.x[:-1])

    def strip_of(self, x: Floats) -> Ints:
        """The strip in which each place lies."""
        return how_many((x >= place for place in self.x[1:-1]), x.shape, len(self.x))


def compile_ground(model: Model) -> Ground:
    """Cut the model into strips; the model has been checked before."""
    x = _places(model)
    middle = (x[:-1] + x[1:]) / 2
    soils = soils_of(model)
    stacks = [_stack(model, soils, left, right) for left, right in pairwise(x)]
    columns = model.columns
    bending = columns.bending if columns else None
    depth = max(len(stack) for stack in stacks)
    padded = [stack + [stack[-1].at_level(model.bottom)] * (depth - len(stack)) for stack in stacks]
    tops = tuple(_straight(x, [(stack[k].left, stack[k].right) for stack in padded]) for k in range(depth))
    has_head = np.array([[stack[k].head is not None for stack in padded] for k in range(depth)])
    return Ground(
        x=x,
        surface=line_by_strip(model.surface, x),
        tops=tops,
        soil=np.array([[stack[k].soil for stack in padded] for k in range(depth)]),
        heads=_heads(x, padded, depth) if has_head.any() else None,
        own_head=has_head,
        table=line_by_strip(model.water.table, x) if model.water else None,
        hard=line_by_strip(model.hard, x) if model.hard else None,
        q=_loads_of_strips(model, middle),
        in_field=np.array([_in_field(model, place) for place in middle]),
        soils=soils,
        model=model,
        toes=_with_lengths(columns, x, columns.toes, columns.y_toe, "y_toe") if columns else None,
        firm=_with_lengths(columns, x, bending.firm, bending.y_firm, "y_firm") if columns and bending else None,
        strong=tuple(line_by_strip(soil.c_u_line, x) if soil.c_u_line else None for soil in soils),
    )  # fmt: skip


def soils_of(model: Model) -> tuple[Soil, ...]:
    """The soils of a model, each once."""
    return tuple(dict.fromkeys([*(layer.soil for layer in model.layers), *(lense.soil for lense in model.lenses)]))


def _loads_of_strips(model: Model, middle: Floats) -> Floats:
    """Load on every strip, by its middle."""
    return sum((np.where((strip.x_left < middle) & (middle < strip.x_right), strip.q, 0.0) for strip in model.strips),
               np.zeros(len(middle)))  # fmt: skip


def of_other_numbers(ground: Ground, model: Model) -> Ground:
    """The strips of a model that differs from that of a ground in numbers of soils, loads and columns alone."""
    middle = (ground.x[:-1] + ground.x[1:]) / 2
    return replace(ground, soils=soils_of(model), q=_loads_of_strips(model, middle), model=model)


def _by_zones(x: Floats, level: float, zones: Sequence[tuple[Grid, float]]) -> Floats:
    """A number in every strip: one of the whole, and in some zones another."""
    middle = (x[:-1] + x[1:]) / 2
    numbers = np.full(len(middle), level)
    for zone, own in zones:
        numbers[(zone.x_left < middle) & (middle < zone.x_right)] = own
    return numbers


def _with_lengths(columns: Columns, x: Floats, line: Line | None, level: float, name: str) -> Straight | None:
    """The line of toes or firm layer by strips, which jumps where columns have another length; None where level."""
    if columns.lengths:
        left = _by_zones(x, level, [(zone, getattr(zone, name)) for zone in columns.lengths])
        return Straight(left, np.zeros(len(left)), x[:-1])
    return line_by_strip(line, x) if line else None


def _in_field(model: Model, x: float) -> bool:
    return model.columns is not None and model.columns.x_left < x < model.columns.x_right


@dataclass(frozen=True)
class _Part:
    """A boundary in one strip: heights at both ends, the soil below it and the line of heads in that soil."""

    left: float
    right: float
    soil: int
    head: Line | None

    def at_level(self, level: float) -> "_Part":
        return _Part(level, level, self.soil, self.head)


def _heads(x: Floats, padded: Sequence[Sequence[_Part]], depth: int) -> tuple[Straight, ...]:
    made = []
    for k in range(depth):
        ends = []
        for index, stack in enumerate(padded):
            head = stack[k].head
            ends.append(tuple(np.interp(x[index : index + 2], *_xy(head))) if head else (0.0, 0.0))
        made.append(_straight(x, ends))
    return tuple(made)


def _straight(x: Floats, ends: Sequence[Any]) -> Straight:
    left, right = np.array(ends, dtype=np.float64).T
    return Straight(np.ascontiguousarray(left), (right - left) / np.diff(x), x[:-1])


def _xy(line: Line) -> tuple[Floats, Floats]:
    points = np.array(line, dtype=np.float64)
    return points[:, 0], points[:, 1]


def line_by_strip(line: Line, x: Floats) -> Straight:
    """A line that covers the whole model, by strips."""
    heights = np.interp(x, *_xy(line))
    return Straight(heights[:-1], np.diff(heights) / np.diff(x), x[:-1])


def edges(polygon: Line) -> list[tuple[tuple[float, float], tuple[float, float]]]:
    """The sides of a closed polygon."""
    return list(zip(polygon, (*polygon[1:], polygon[0]), strict=True))


def _places(model: Model) -> Floats:
    """Every place at which a line bends, begins or ends, or at which two lines meet."""
    water, first, last = model.water, model.surface[0][0], model.surface[-1][0]
    table = water.table if water else ()
    lines = (model.surface, *(layer.top for layer in model.layers), *(layer.piezometric for layer in model.layers),
             model.hard, table, model.columns.toes if model.columns else None)  # fmt: skip
    pieces = [piece for line in lines for piece in pairwise(line or ())]
    pieces += [side for lens in model.lenses for side in edges(lens.polygon)]
    spans = [(strip.x_left, strip.x_right) for strip in model.strips]
    if model.columns:
        spans += [(model.columns.x_left, model.columns.x_right)]
        spans += [(zone.x_left, zone.x_right) for zone in model.columns.zones]
    pairs = [*combinations(pieces, 2)] if model.lenses else [*product(pairwise(table), pieces)]
    if water and water.open_level is not None:
        shore = ((first, water.open_level), (last, water.open_level))
        pairs += [(shore, piece) for piece in pairwise(model.surface)]
    places = {point[0] for piece in pieces for point in piece} | {place for span in spans for place in span}
    places.update(place for piece, across in pairs for place in _crossing(piece, across))
    spread = 1e-9 * (last - first)
    kept = [first]
    for place in sorted(place for place in places if first < place < last):
        if place - kept[-1] > spread and last - place > spread:
            kept.append(place)
    return np.array([*kept, last])


def _crossing(first: Any, second: Any) -> list[float]:
    """The place at which two straight pieces cross, if they do."""
    (ax, ay), (bx, by) = first
    (cx, cy), (dx, dy) = second
    turn = (bx - ax) * (dy - cy) - (by - ay) * (dx - cx)
    if turn == 0:
        return []
    s = ((cx - ax) * (dy - cy) - (cy - ay) * (dx - cx)) / turn
    t = ((cx - ax) * (by - ay) - (cy - ay) * (bx - ax)) / turn
    return [ax + s * (bx - ax)] if 0 <= s <= 1 and 0 <= t <= 1 else []


def layers_present(model: Model, x: float) -> list[Layer]:
    """The layers whose top covers this place, top down."""
    return [layer for layer in model.layers if layer.top is None or layer.top[0][0] <= x <= layer.top[-1][0]]


def _stack(model: Model, soils: tuple[Soil, ...], left: float, right: float) -> list[_Part]:
    """The boundaries of one strip, top down."""
    middle = (left + right) / 2
    layers = layers_present(model, middle)
    lines = [_ends(layer.top or model.surface, left, right) for layer in layers]
    parts = [
        _Part(*ends, soils.index(layer.soil), layer.piezometric) for ends, layer in zip(lines, layers, strict=True)
    ]
    for lens in model.lenses:
        parts = _with_lens(parts, _sides_in_strip(lens.polygon, left, right), soils.index(lens.soil))
    return parts


def _ends(line: Line, left: float, right: float) -> tuple[float, float]:
    first, second = np.interp([left, right], *_xy(line))
    return float(first), float(second)


def _sides_in_strip(polygon: Line, left: float, right: float) -> list[tuple[float, float]]:
    """The sides of the polygon that pass through the strip, top down, as heights at its ends."""
    middle = (left + right) / 2
    sides = []
    for (ax, ay), (bx, by) in edges(polygon):
        if min(ax, bx) < middle < max(ax, bx):
            slope = (by - ay) / (bx - ax)
            sides.append((ay + slope * (left - ax), ay + slope * (right - ax)))
    return sorted(sides, key=sum, reverse=True)


def _with_lens(parts: list[_Part], sides: list[tuple[float, float]], soil: int) -> list[_Part]:
    """The stack with the lens put into it: below its upper side the lens, below its lower side what was there."""
    for upper, lower in zip(sides[::2], sides[1::2], strict=True):
        above = [part for part in parts if part.left + part.right >= sum(upper)]
        inside = [part for part in parts if part.left + part.right > sum(lower)]
        below = [part for part in parts if part.left + part.right <= sum(lower)]
        resumed = inside[-1]
        parts = [*above, _Part(*upper, soil, None), _Part(*lower, resumed.soil, resumed.head), *below]
    return parts
