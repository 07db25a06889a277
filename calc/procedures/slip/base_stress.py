"""Weight, pore pressure and strength at the bases of the slices, split into soil and column where the field is cut."""

from collections.abc import Iterable
from dataclasses import dataclass
from functools import cached_property
from typing import Any

import numpy as np

from calc.procedures.slip.base import Base
from calc.procedures.slip.bending import Cut, cut_columns
from calc.procedures.slip.model import Line, SlipError
from calc.procedures.slip.vertical_strips import Floats, Ground, Ints, how_many
from calc.procedures.slip.weight import overburden_of


@dataclass(frozen=True)
class Parts:
    """Parts of every slice: soil, and column where the base lies in the field; arrays (parts, slices, lines).

    ``weight`` is the total vertical force on the base (kN/m), ``share`` the part of the width, ``c`` and ``u`` the
    cohesion and pore pressure on it, ``tangent`` that of the friction angle, ``bond`` = c l − u l tan φ.
    """

    weight: Floats
    share: Any
    c: Any
    u: Any
    tangent: Any
    bond: Floats
    push: Floats | None  # horizontal force outward on each slice, of earthquake and open water (slices, lines)
    push_moment: Any  # of these forces about the centre (slices, lines)
    surface: Any
    columns: Cut | None = None  # where their friction is capped by bending, at the bases below the heads in the field


@dataclass(frozen=True)
class _Places:
    """Heights and water of the slices' places."""

    ground: Ground
    x: Floats
    y: Floats
    strip: Ints

    @cached_property
    def surface(self) -> Any:
        """Level of the ground surface."""
        return self.ground.surface.at(self.x, self.strip)

    @cached_property
    def standing(self) -> Any:
        """Depth of open water on the ground."""
        water = self.ground.model.water
        if water is None or water.open_level is None:
            return 0.0
        return np.maximum(water.open_level - self.surface, 0.0)

    @cached_property
    def table(self) -> Any:
        """Level of the water table, which is that of open water where it stands on the ground; None without water."""
        if self.ground.table is None:
            return None
        table = self.ground.table.at(self.x, self.strip)
        standing = self.standing
        return table if isinstance(standing, float) else np.where(standing > 0, self.surface + standing, table)

    @cached_property
    def toes(self) -> Any:
        """Level of the toes of the columns."""
        field = self.ground.model.columns
        line = self.ground.toes
        return (field.y_toe if field else 0.0) if line is None else line.at(self.x, self.strip)

    @cached_property
    def firm(self) -> Any:
        """Level of the firm layer below columns that bend."""
        field, line = self.ground.model.columns, self.ground.firm
        level = field.bending.y_firm if field and field.bending else 0.0
        return level if line is None else line.at(self.x, self.strip)

    @cached_property
    def foot(self) -> tuple[Any, Any]:
        """Embedment of columns that bend in the firm layer, and the shear force that it holds."""
        field = self.ground.model.columns
        assert field is not None and field.bending is not None  # noqa: PT018, S101 - the caller has looked
        if not field.lengths:
            return field.bending.y_firm - field.y_toe, field.bending.held
        embedment, held = self.ground.feet
        return embedment.take(self.strip), held.take(self.strip)

    @property
    def gamma_w(self) -> float:
        """Unit weight of water, none without water."""
        return self.ground.model.water.gamma_w if self.ground.model.water else 0.0

    def pressure(self, level: Any, *, at_rest: bool = False) -> Any:
        """Pore pressure of the water table at a level."""
        water, table = self.ground.model.water, self.table
        if water is None or self.ground.table is None:
            return 0.0
        if water.heads is not None and not at_rest:
            return self._by_heads(water.heads, level)
        head = np.maximum(table - level, 0.0)
        if water.mode == "seepage" and not at_rest and self.ground.table.slope.any():
            slope = self.ground.table.slope.take(self.strip)
            head = head * np.where(self.standing > 0, 1.0, 1 / (1 + slope**2))
        return self.gamma_w * head

    def in_columns(self, level: Any) -> Any:
        """Pore pressure in the columns at a level."""
        water = self.ground.model.water
        if water is None or water.column_heads is None:
            return self.pressure(level, at_rest=True)
        return self._by_heads(water.column_heads, level)

    def _by_heads(self, heads: Line, level: Any) -> Any:
        """Pore pressure by heads over depth; at rest beyond both ends."""
        places, known = np.array(heads).T
        return self.gamma_w * np.maximum(np.interp(level, places, known) - level, 0.0)

    @cached_property
    def weighing(self) -> list[Any]:
        """Heights of the boundaries between which the weight grows evenly."""
        return [top.at(self.x, self.strip) for top in overburden_of(self.ground).tops]

    def overburden(self, level: Any) -> Any:
        """Total vertical stress of the ground above a level, none above the surface."""
        level = np.minimum(level, self.surface)
        return self._stress(level, self._cell((top > level for top in self.weighing), len(self.weighing)))

    @cached_property
    def at_base(self) -> Any:
        """Total vertical stress of the ground above the base."""
        water, cell = overburden_of(self.ground).water, self.cell
        if water is not None:
            cell = cell + len(self.ground.q) * (water.at(self.x, self.strip) > self.y)
        return self._stress(np.minimum(self.y, self.surface), cell)

    def _stress(self, level: Any, cell: Ints) -> Any:
        """Total vertical stress of the ground at levels in the part of a strip in which it grows evenly."""
        by = overburden_of(self.ground)
        stress = by.by_x.take(cell)
        stress *= self.x
        stress += by.at_zero.take(cell)
        stress -= by.by_depth.take(cell) * level
        return stress

    def _cell(self, marks: Iterable[Any], most: int) -> Ints:
        """Flat index of (boundary, strip) of places by the marks of the boundaries over each."""
        cell = how_many(marks, self.x.shape, most)
        cell *= len(self.ground.q)
        cell += self.strip
        return cell

    def stress_over_depth(self) -> Any:
        """Integral of the overburden from the base to the surface: the moment of the weight about the base."""
        levels = [np.clip(top, self.y, self.surface) for top in (self.surface, *self.weighing)] + [self.y]
        stress = [*(self.overburden(level) for level in levels[:-1]), self.at_base]
        moment: Any = 0.0
        for upper, lower, high, low in zip(stress[:-1], stress[1:], levels[:-1], levels[1:], strict=True):
            moment = moment + (upper + lower) / 2 * (high - low)
        return moment

    @cached_property
    def grid(self) -> tuple[Any, Any, Any]:
        """Area ratio and stress shares of soil and column, one number each where one grid is everywhere."""
        field = self.ground.model.columns
        assert field is not None  # noqa: S101 - the caller has looked
        if not field.zones:
            return field.a_E, field.mu_s, field.mu_c
        a, on_soil, on_column = (grid.take(self.strip) for grid in self.ground.grids)
        return a, on_soil, on_column

    @cached_property
    def cell(self) -> Ints:
        """Flat index of (boundary, strip) of the soil at the base."""
        tops = self.ground.tops[1:]
        return self._cell((top.at(self.x, self.strip) > self.y for top in tops), len(tops))

    def of_soil(self, values: list[float]) -> Any:
        """A value of the soil at the base, one number where all soils agree."""
        if len(set(values)) == 1:
            return values[0]
        return np.array(values)[self.ground.soil].ravel().take(self.cell)


def parts_of(ground: Ground, base: Base, interface: tuple[float, float] | None = None) -> Parts:
    """Forces and strengths of all slices; ``interface`` is cohesion and tangent where the base is marked."""
    at = _Places(ground, base.x, base.y, base.strip)
    load = ground.q.take(base.strip) if ground.q.any() else 0.0
    load = load + at.gamma_w * at.standing
    soil_stress = at.at_base
    stress = soil_stress + load if np.ndim(load) else soil_stress
    c, tangent, u = _strength(at, stress)
    if interface is not None:
        c, tangent = np.where(base.interface, interface[0], c), np.where(base.interface, interface[1], tangent)
    columns: Cut | None = None
    if ground.model.columns is None:
        share: Any = 1.0
        stress, c, tangent, u = (_part_per_slice(value, base.x.shape) for value in (stress, c, tangent, u))
    else:
        share, stress, c, tangent, u, columns = _with_columns(at, base.cosine, load, soil_stress, (c, tangent, u))
    width = base.b[None] if isinstance(share, float) else share * base.b
    weight = stress * width
    bond = u * tangent
    np.subtract(c, bond, out=bond)
    bond *= width
    bond /= base.cosine
    push, moment = _push(at, base, weight, soil_stress)
    return Parts(weight, share, c, u, tangent, bond, push, moment, at.surface, columns)


def _part_per_slice(value: Any, shape: tuple[int, ...]) -> Floats:
    """One part to a slice."""
    return np.broadcast_to(value, shape)[None]


def _strength(at: _Places, stress: Any) -> tuple[Any, Any, Any]:
    """Cohesion, tangent of the friction angle and pore pressure of the soil at the base."""
    soils, y = at.ground.soils, at.y
    c = at.of_soil([soil.c if soil.c_u is None else soil.c_u for soil in soils])
    growth = [0.0 if soil.c_u is None else soil.c_u_growth for soil in soils]
    if any(growth):
        level = _growing_from(at)
        c = c + at.of_soil(growth) * np.maximum(level - y, 0.0)
    tangent = at.of_soil([np.tan(soil.phi) if soil.c_u is None else 0.0 for soil in soils])
    u = at.pressure(y)
    if at.ground.heads is not None:
        flags = at.ground.own_head.ravel().take(at.cell)
        origin = np.array([head.origin for head in at.ground.heads]).ravel().take(at.cell)
        slope = np.array([head.slope for head in at.ground.heads]).ravel().take(at.cell)
        u = np.where(flags, at.gamma_w * np.maximum(origin + slope * at.x - y, 0.0), u)
    if any(soil.r_u is not None for soil in soils):
        ratio = at.of_soil([-1.0 if soil.r_u is None else soil.r_u for soil in soils])
        u = np.where(ratio >= 0, ratio * stress, u)
    return c, tangent, u


def _growing_from(at: _Places) -> Any:
    """Level from which the undrained strength of the soil at the base grows."""
    level = at.of_soil([soil.c_u_level or 0.0 for soil in at.ground.soils])
    if any(at.ground.strong):
        layer = at.ground.soil.ravel().take(at.cell)
        for k, line in enumerate(at.ground.strong):
            if line is not None:
                level = np.where(layer == k, line.at(at.x, at.strip), level)
    return level


def _with_columns(at: _Places, cosine: Any, load: Any, soil_stress: Any, soil: tuple[Any, Any, Any]) -> tuple[Any, ...]:
    """Share of the width, stress, cohesion, tangent and pore pressure of the parts, and the columns that bend.

    Columns are looked at where bases lie below their heads: most lie elsewhere.
    """
    field, (c, tangent, u) = at.ground.model.columns, soil
    assert field is not None  # noqa: S101 - the caller has looked
    where = np.flatnonzero(at.ground.in_field.take(at.strip) & (at.y < field.y_top))

    def there(value: Any) -> Any:
        return value.take(where) if np.ndim(value) else value

    own = _Places(at.ground, at.x.take(where), at.y.take(where), at.strip.take(where))
    (a, mu_s, mu_c), load_there, soil_there = own.grid, there(load), there(soil_stress)
    level, cut = np.maximum(own.y, own.toes), own.y > own.toes
    above = own.overburden(field.y_top)
    fill = own.overburden(level) - above
    table = -np.inf if own.table is None else own.table
    wet = np.maximum(np.minimum(field.y_top, table) - level, 0.0)
    column = field.gamma * (field.y_top - level - wet) + field.gamma_sat * wet
    stress = soil_stress + load
    stress_there = soil_there + load_there + a * (column - fill)
    friction = field.reduction * np.tan(field.phi)
    sleeve = field.reduction * field.c_eq
    if field.mode == "averaged":
        stress.put(where, stress_there)
        in_column = np.zeros(at.x.shape, dtype=np.bool_)
        in_column.put(where, cut)
        return _averaged_parts(at, in_column, (stress, c, tangent, u), (friction, sleeve, at.in_columns(at.y)))
    u_c = own.in_columns(own.y)
    at_top = own.pressure(field.y_top, at_rest=True)
    added = above + load_there - at_top
    on_soil, on_column = stress.copy(), at_top + mu_c * added + column
    on_soil.put(where, np.where(cut, at_top + mu_s * added + soil_there - above, stress_there))
    bent = None
    if field.bending is not None:
        on_top = field.bending.share * above + own.gamma_w * own.standing - at_top
        undrained = at.of_soil([float(material.c_u is not None) for material in at.ground.soils])
        effective = at_top + mu_s * on_top + soil_there - above - there(u)
        bent = cut_columns(
            field, (own.y, own.firm, own.toes), cosine.take(where), at_top + mu_c * on_top + column - u_c,
            (there(undrained), there(c), there(tangent), effective), field.c_eq, own.foot,
        )  # fmt: skip
        sleeve, friction = bent.strength, 0.0
    # Where the pore pressure is a share of the stress, in the field of that on the soil alone; None for nowhere.
    has_ratio = [float(material.r_u is not None) for material in at.ground.soils]
    by_ratio = at.of_soil(has_ratio) > 0 if any(has_ratio) else None
    if by_ratio is not None:
        u = np.where(by_ratio, u * on_soil / stress, u)
    soil_share = np.ones(at.x.shape)
    soil_share.put(where, np.where(cut, 1 - a, 1.0))
    pairs: tuple[tuple[Any, Any], ...] = (
        (soil_share, np.where(cut, a, 0.0)),
        (on_soil, on_column),
        (c, sleeve),
        (tangent, friction),
        (u, u_c),
    )
    return *(_two_parts(*pair, where, at.x.shape) for pair in pairs), bent


def _two_parts(soil: Any, column: Any, where: Ints, shape: tuple[int, ...]) -> Floats:
    """Soil of every slice, and column where there are any."""
    both = np.zeros((2, *shape))
    both[0] = soil
    if np.ndim(column):
        both[1].put(where, column)
    else:
        both[1] = column
    return both


def _averaged_parts(
    at: _Places, cut: Any, soil: tuple[Any, Any, Any, Any], column: tuple[float, float, Any]
) -> tuple[Any, ...]:
    """One part to a slice, with the averaged strength on its whole normal force where the field is cut."""
    (stress, c, tangent, u), (friction, sleeve, u_c) = soil, column
    a, mu_s, mu_c = at.grid
    drawn = a * u_c * friction + (1 - a) * u * tangent
    mean = a * mu_c * friction + (1 - a) * mu_s * tangent
    with np.errstate(divide="ignore", invalid="ignore"):
        # The pore pressure that, times the averaged tangent, takes away what water takes from soil and column.
        u_mean = np.where(mean > 0, drawn / mean, 0.0)
    parts = (stress, np.where(cut, (1 - a) * c + a * sleeve, c), np.where(cut, mean, tangent), np.where(cut, u_mean, u))
    return 1.0, *(_part_per_slice(value, at.x.shape) for value in parts), None


def _push(at: _Places, base: Base, parts: Floats, soil_stress: Any) -> tuple[Floats | None, Any]:
    """Horizontal forces on the slices and their moments about the centre: earthquake and open water.

    The earthquake acts on the weight of the slice at its centre of gravity and on traffic at the surface, not on open
    water. What columns weigh beyond the soil that they replace acts at half their height over the base.
    """
    k_h = at.ground.model.k_h
    if not k_h and isinstance(at.standing, float):
        return None, 0.0
    push = k_h * (parts.sum(axis=0) - at.gamma_w * at.standing * base.b)
    moment = push * (base.centre_y - at.surface)
    if k_h:
        load, soil = at.ground.q.take(base.strip) * base.b, soil_stress * base.b
        moment = moment + k_h * base.b * (soil_stress * (at.surface - base.y) - at.stress_over_depth())
        field = at.ground.model.columns
        if field is not None:
            middle = (field.y_top + np.clip(base.y, at.toes, field.y_top)) / 2
            moment = moment + (push - k_h * (load + soil)) * (at.surface - middle)
    if not isinstance(at.standing, float):
        slope = at.ground.surface.slope.take(base.strip)
        thrust = at.gamma_w * at.standing * base.b * slope
        push = push + thrust
        moment = moment + thrust * (base.centre_y - at.surface)
    return push, moment


def vertical_stress(ground: Ground, x: Floats, level: float) -> Floats:
    """Effective vertical stress at one level below each place, without traffic."""
    at = _Places(ground, x, np.full(len(x), level), ground.strip_of(x))
    stress: Floats = at.at_base + at.gamma_w * at.standing - at.pressure(at.y, at_rest=True)
    return stress


def columns_at(ground: Ground, x: Floats, y: Floats, cosine: Floats) -> Cut:
    """Columns that bend, at places of slip surfaces; ``cosine`` is that of the inclination of the base.

    ``SlipError`` where a place lies beside the field or above its heads: the columns would be those of other places.
    """
    none, unit = np.zeros(len(x)), np.ones(len(x))
    base = Base(x, unit, y, none, cosine, ground.strip_of(x), none, none, none, None, none, none, none, none)
    cut = parts_of(ground, base).columns
    assert cut is not None  # noqa: S101 - asked of a field that bends
    if len(cut.strength) < len(x):
        message = f"{len(x) - len(cut.strength)} places of columns lie beside the field or above its heads"
        raise SlipError(message)
    return cut
