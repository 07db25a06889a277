"""The refusal of a model that cannot be analysed: every reason at once, each with what must be and what is."""

from collections.abc import Callable, Iterator
from itertools import combinations, pairwise
from math import isfinite, pi

import numpy as np

from calc.engine.levels import SAME
from calc.procedures.slip.model import Columns, Grid, Line, Model, SlipError, Soil
from calc.procedures.slip.vertical_strips import edges, layers_present

CLOSE = 1e-9  # share of the size of the model within which two lines touch


def refuse(model: Model) -> None:
    """``SlipError`` with every reason, one a line, for a model that cannot be analysed."""
    errors = [*_lines(model), *_layer_list(model), *_polygons(model)]
    if not errors:
        errors = [*_soils(model), *_boundaries(model), *_lenses(model), *_water(model), *_loads(model)]
        errors += [*_columns(model), *_reinforcement(model)]
    if errors:
        raise SlipError("\n".join(errors))


def refuse_numbers(model: Model) -> None:
    """The same for a model whose lines are those of one that can be analysed: its soils, loads, columns and layers."""
    if errors := [*_soils(model), *_loads(model), *_columns(model), *_reinforcement(model)]:
        raise SlipError("\n".join(errors))


def height(line: Line, x: float) -> float:
    """Height of a line at one place."""
    return float(np.interp(x, [point[0] for point in line], [point[1] for point in line]))


def _named_lines(model: Model) -> Iterator[tuple[str, Line, bool]]:
    """Every line with its name and whether it must cover the whole model."""
    yield "surface", model.surface, False
    for index, layer in enumerate(model.layers):
        if layer.top is not None:
            yield f"layers[{index}].top", layer.top, False
        if layer.piezometric is not None:
            yield f"layers[{index}].piezometric", layer.piezometric, True
    if model.water:
        yield "water.table", model.water.table, True
    if model.hard is not None:
        yield "hard", model.hard, True
    lenses = ((f"lenses[{index}]", lense.soil) for index, lense in enumerate(model.lenses))
    for name, soil in (*((f"layers[{index}]", layer.soil) for index, layer in enumerate(model.layers)), *lenses):
        if soil.c_u_line is not None:
            yield f"{name}.soil.c_u_line", soil.c_u_line, True
    field = model.columns
    if field is not None and field.toes is not None:
        yield "columns.toes", field.toes, True
    if field is not None and field.bending is not None and field.bending.firm is not None:
        yield "columns.bending.firm", field.bending.firm, True


def _lines(model: Model) -> Iterator[str]:
    for name, line, _ in _named_lines(model):
        if len(line) < 2 or not all(isfinite(value) for point in line for value in point):
            yield f"{name} must be at least two points of finite numbers (got {line})"
        elif any(after[0] <= before[0] for before, after in pairwise(line)):
            yield f"{name} must have growing x from point to point (got {line})"
    if not isfinite(model.bottom):
        yield f"bottom must be a finite number (got {model.bottom})"


def _layer_list(model: Model) -> Iterator[str]:
    if not model.layers:
        yield "layers must hold at least one layer"
    for index, layer in enumerate(model.layers):
        if (layer.top is None) != (index == 0):
            must = "must be left out: it is the surface" if index == 0 else "must be given"
            yield f"layers[{index}].top {must} (got {layer.top})"


def _polygons(model: Model) -> Iterator[str]:
    for index, lens in enumerate(model.lenses):
        if len(lens.polygon) < 3 or not all(isfinite(value) for point in lens.polygon for value in point):
            yield f"lenses[{index}].polygon must be at least three points of finite numbers (got {lens.polygon})"
        elif _crosses_itself(lens.polygon):
            yield f"lenses[{index}].polygon must not cross itself"


def _crosses_itself(polygon: Line) -> bool:
    sides = edges(polygon)
    return any(
        first[0] not in second
        and first[1] not in second
        and _on_different_sides(first, second)
        and _on_different_sides(second, first)
        for first, second in combinations(sides, 2)
    )


def _on_different_sides(line: Line, other: Line) -> bool:
    """Whether the two ends of the other piece lie on different sides of this one."""
    (ax, ay), (bx, by) = line
    first, second = ((bx - ax) * (y - ay) - (by - ay) * (x - ax) for x, y in other)
    return first * second < 0


def _refuse_outside(name: str, value: float, low: float, high: float, *, above: bool = False) -> Iterator[str]:
    """An error unless low <= value <= high, or low < value with ``above``."""
    if not (low < value if above else low <= value) or not value <= high:
        least = f"above {low:g}" if above else f"at least {low:g}"
        most = "" if high == float("inf") else f" and at most {high:g}"
        yield f"{name} must be {least}{most} (got {value:g})"


INFINITE = float("inf")
STEEPEST = pi / 2 - 1e-6


def _soils(model: Model) -> Iterator[str]:
    named = [(f"layers[{index}].soil", layer.soil, _base_of(model, index)) for index, layer in enumerate(model.layers)]
    named += [(f"lenses[{index}].soil", lense.soil, min((y for _, y in lense.polygon), default=model.bottom))
              for index, lense in enumerate(model.lenses)]  # fmt: skip
    for name, soil, lowest in named:
        yield from _soil(f"{name} {soil.name!r}", soil, lowest)
    for index, layer in enumerate(model.layers):
        if layer.piezometric is not None and model.water is None:
            yield f"layers[{index}].piezometric must come with a water table, which gives the unit weight of water"
        if layer.piezometric is not None and layer.soil.r_u is not None:
            yield f"layers[{index}] must have either a piezometric line or r_u, not both"


def _base_of(model: Model, index: int) -> float:
    """The lowest level of a layer: that of the top of the next one where it covers the model, else the bottom."""
    below = model.layers[index + 1].top if index + 1 < len(model.layers) else None
    if not below or not model.surface or below[0][0] > model.surface[0][0] or below[-1][0] < model.surface[-1][0]:
        return model.bottom
    return min(y for _, y in below)


def _soil(name: str, soil: Soil, lowest: float) -> Iterator[str]:
    yield from _refuse_outside(f"{name} gamma", soil.gamma, 0, INFINITE, above=True)
    yield from _refuse_outside(f"{name} gamma_sat", soil.gamma_sat, 0, INFINITE, above=True)
    yield from _refuse_outside(f"{name} c", soil.c, 0, INFINITE)
    yield from _refuse_outside(f"{name} phi", soil.phi, 0, STEEPEST)
    if soil.c_u is not None:
        yield from _refuse_outside(f"{name} c_u", soil.c_u, 0, INFINITE)
    yield from _refuse_outside(f"{name} c_u_growth", soil.c_u_growth, -INFINITE, INFINITE)
    if soil.c_u_growth and soil.c_u_level is None:
        yield f"{name} c_u_level must be given where c_u grows with depth"
    if soil.c_u_level is not None and not isfinite(soil.c_u_level):
        yield f"{name} c_u_level must be a finite number (got {soil.c_u_level})"
    elif soil.c_u is not None and soil.c_u_growth < 0 and soil.c_u_level is not None:
        least = soil.c_u + soil.c_u_growth * max(soil.c_u_level - lowest, 0.0)
        if not least > 0:
            yield f"{name} c_u must stay above 0 down to the base of the soil at {lowest:g} (got {least:g})"
    if soil.r_u is not None:
        yield from _refuse_outside(f"{name} r_u", soil.r_u, 0, 1)


def _places(model: Model) -> list[float]:
    """The ends of the model and every place in it at which a line bends."""
    first, last = model.surface[0][0], model.surface[-1][0]
    inside = {point[0] for _, line, _ in _named_lines(model) for point in line if first < point[0] < last}
    return [first, *sorted(inside), last]


def _slack(model: Model) -> float:
    """The distance within which two lines touch."""
    values = [value for point in model.surface for value in point]
    return CLOSE * max(1.0, max(values) - min(values))


def _boundaries(model: Model) -> Iterator[str]:
    first, last = model.surface[0][0], model.surface[-1][0]
    for name, line, whole in _named_lines(model):
        if whole and (line[0][0] > first or line[-1][0] < last):
            yield f"{name} must cover the model from x = {first:g} to {last:g} (got {line[0][0]:g} to {line[-1][0]:g})"
    yield from _crossed_layers(model)
    lowest = min(y for name, line, _ in _named_lines(model) for _, y in line if "top" in name or name == "surface")
    if not model.bottom < lowest:
        yield f"bottom must be below every layer, {lowest:g} (got {model.bottom:g})"
    if model.hard is not None:
        yield from _below_surface(model, "hard", model.hard)
        yield from _refuse_outside("the lowest level of hard", min(y for _, y in model.hard), model.bottom, INFINITE)


def _crossed_layers(model: Model) -> Iterator[str]:
    """Every two layers of which the lower one rises above the upper one, at the first place where it does."""
    slack = _slack(model)
    crossed: set[tuple[int, int]] = set()
    for left, right in pairwise(_places(model)):
        present = layers_present(model, (left + right) / 2)
        lines = [(model.layers.index(layer), layer.top or model.surface) for layer in present]
        for (upper, line), (lower, other) in pairwise(lines):
            over = max(height(other, x) - height(line, x) for x in (left, right))
            if over > slack and (upper, lower) not in crossed:
                crossed.add((upper, lower))
                above = f"layers[{upper}].top" if upper else "the surface"
                yield (
                    f"layers[{lower}].top must not cross {above} between x = {left:g} and {right:g} "
                    f"(got {over:g} m above it)"
                )


def _below_surface(model: Model, name: str, line: Line) -> Iterator[str]:
    """An error where a line lies above the ground surface."""
    over = max(height(line, x) - height(model.surface, x) for x in _places(model))
    if over > _slack(model):
        yield f"{name} must not lie above the surface (got {over:g} m above it)"


def _lenses(model: Model) -> Iterator[str]:
    first, last = model.surface[0][0], model.surface[-1][0]
    slack = _slack(model)
    for index, lens in enumerate(model.lenses):
        xs = [x for x, _ in lens.polygon]
        if min(xs) < first or max(xs) > last:
            yield f"lenses[{index}].polygon must lie within x = {first:g} to {last:g} (got {min(xs):g} to {max(xs):g})"
        kinks = [(x, height(model.surface, x)) for x, _ in model.surface if min(xs) < x < max(xs)]
        over = any(y > height(model.surface, x) + slack for x, y in lens.polygon)
        if over or any(_inside(lens.polygon, x, y + slack) for x, y in kinks):
            yield f"lenses[{index}].polygon must lie below the surface"
        if min(y for _, y in lens.polygon) < model.bottom - slack:
            yield f"lenses[{index}].polygon must lie above the bottom, {model.bottom:g}"
    for (k, lens), (j, other) in combinations(enumerate(model.lenses), 2):
        crossing = any(
            _on_different_sides(a, b) and _on_different_sides(b, a)
            for a in edges(lens.polygon)
            for b in edges(other.polygon)
        )
        if crossing or _inside(lens.polygon, *_middle(other.polygon)) or _inside(other.polygon, *_middle(lens.polygon)):
            yield f"lenses[{j}].polygon must not overlap lenses[{k}].polygon"


def _middle(polygon: Line) -> tuple[float, float]:
    return sum(x for x, _ in polygon) / len(polygon), sum(y for _, y in polygon) / len(polygon)


def _inside(polygon: Line, x: float, y: float) -> bool:
    """Whether a point lies in the polygon: a ray upward leaves it an odd number of times."""
    above = [
        ay + (by - ay) * (x - ax) / (bx - ax) > y for (ax, ay), (bx, by) in edges(polygon) if (ax <= x) != (bx <= x)
    ]
    return sum(above) % 2 == 1


def _water(model: Model) -> Iterator[str]:
    water = model.water
    if water is None:
        return
    yield from _refuse_outside("water.gamma_w", water.gamma_w, 0, INFINITE, above=True)
    for name in ("heads", "column_heads"):
        points = getattr(water, name) or ()
        if any(upper[0] < lower[0] for lower, upper in pairwise(points)) or not all(map(isfinite, sum(points, ()))):
            yield f"water.{name} must be finite, with levels from the bottom up (got {points})"
    if water.mode not in {"vertical", "seepage"}:
        yield f'water.mode must be "vertical" or "seepage" (got {water.mode!r})'
    standing = -INFINITE if water.open_level is None else water.open_level
    over = [(height(water.table, x) - max(height(model.surface, x), standing), x) for x in _places(model)]
    most, where = max(over)
    if most > _slack(model):
        yield (
            "water.table must not lie above the ground or above open water standing on it "
            f"(got {most:g} m above at x = {where:g})"
        )


def _between_sides(model: Model, name: str, left: float, right: float) -> Iterator[str]:
    first, last = model.surface[0][0], model.surface[-1][0]
    if not first <= left < right <= last:
        yield f"{name} must run from left to right within x = {first:g} to {last:g} (got {left:g} to {right:g})"


def _loads(model: Model) -> Iterator[str]:
    for index, strip in enumerate(model.strips):
        yield from _between_sides(model, f"strips[{index}]", strip.x_left, strip.x_right)
        yield from _refuse_outside(f"strips[{index}].q", strip.q, 0, INFINITE)
    yield from _refuse_outside("k_h", model.k_h, 0, 1)
    yield from _refuse_outside("k_v", model.k_v, -0.9, 0.9)
    if model.crack:
        thickness = max(y for _, y in model.surface) - model.bottom
        yield from _refuse_outside("crack.depth", model.crack.depth, 0, thickness, above=True)
        yield from _refuse_outside("crack.water", model.crack.water, 0, model.crack.depth)
        if model.crack.water and not model.water:
            yield "crack.water must come with a water table, which gives the unit weight of water"


def _columns(model: Model) -> Iterator[str]:
    field = model.columns
    if field is None:
        return
    outside = list(_between_sides(model, "columns", field.x_left, field.x_right))
    yield from outside
    if not outside:
        lowest = _lowest(model, field.x_left, field.x_right)
        yield from _refuse_outside("columns.y_top", field.y_top, field.y_toe, lowest + _slack(model), above=True)
    yield from _refuse_outside("columns.y_toe", field.y_toe, model.bottom, INFINITE)
    checks: tuple[tuple[str, Callable[[Columns], float], float, float], ...] = (
        ("gamma", lambda columns: columns.gamma, 0, INFINITE),
        ("gamma_sat", lambda columns: columns.gamma_sat, 0, INFINITE),
        ("reduction", lambda columns: columns.reduction, 0, 1),
    )  # fmt: skip
    for name, value, low, high in checks:
        yield from _refuse_outside(f"columns.{name}", value(field), low, high, above=True)
    yield from _refuse_outside("columns.phi", field.phi, 0, STEEPEST)
    yield from _refuse_outside("columns.c_eq", field.c_eq, 0, INFINITE)
    yield from _shares("columns", field)
    for index, zone in enumerate(field.zones):
        yield from _shares(f"columns.zones[{index}]", zone)
        # Sums of typed lengths may miss the end of the field by their last digits, or by less than levels tell.
        if not field.x_left - SAME <= zone.x_left < zone.x_right <= field.x_right + SAME:
            yield f"columns.zones[{index}] must lie in the field (got x = {zone.x_left:g} to {zone.x_right:g})"
        yield from _length(model, field, zone, f"columns.zones[{index}]")
    if field.bending is not None:
        bend = field.bending
        yield from _refuse_outside("columns.bending.diameter", bend.diameter, 0, INFINITE, above=True)
        yield from _refuse_outside("columns.bending.y_firm", bend.y_firm, field.y_toe, field.y_top)
        yield from _refuse_outside("columns.bending.held", bend.held, 0, INFINITE)
        yield from _refuse_outside("columns.bending.factor", bend.factor, 0, INFINITE, above=True)
        yield from _refuse_outside("columns.bending.share", bend.share, 0, 1)
    if field.mode not in {"strict", "averaged"}:
        yield f'columns.mode must be "strict" or "averaged" (got {field.mode!r})'


def _length(model: Model, field: Columns, zone: Grid, name: str) -> Iterator[str]:
    """Toes of another length, with what holds them, below columns whose other toes are level."""
    given = [value for value in (zone.y_toe, zone.y_firm, zone.held) if value is not None]
    if len(given) not in {0, 3} or (given and (field.toes or (field.bending and field.bending.firm))):
        yield f"{name} must have y_toe, y_firm and held together or none of them, and no line of toes or firm layer"
    elif zone.y_toe is not None and zone.y_firm is not None and zone.held is not None:
        yield from _refuse_outside(f"{name}.y_toe", zone.y_toe, model.bottom, field.y_top)
        yield from _refuse_outside(f"{name}.y_firm", zone.y_firm, zone.y_toe, field.y_top)
        yield from _refuse_outside(f"{name}.held", zone.held, 0, INFINITE)


def _shares(name: str, grid: Columns | Grid) -> Iterator[str]:
    """Area ratio and stress shares of a grid."""
    yield from _refuse_outside(f"{name}.mu_s", grid.mu_s, 0, INFINITE, above=True)
    yield from _refuse_outside(f"{name}.mu_c", grid.mu_c, 0, INFINITE, above=True)
    yield from _refuse_outside(f"{name}.a_E", grid.a_E, 0, 1 - CLOSE, above=True)
    carried = grid.a_E * grid.mu_c + (1 - grid.a_E) * grid.mu_s
    if not abs(carried - 1) < 1e-6:
        yield f"{name}.mu_s and mu_c must carry the whole stress, a_E mu_c + (1 - a_E) mu_s = 1 (got {carried:g})"


def _lowest(model: Model, left: float, right: float) -> float:
    """The lowest level of the surface between two places."""
    inside = [y for x, y in model.surface if left < x < right]
    return min(height(model.surface, left), height(model.surface, right), *inside)


def _reinforcement(model: Model) -> Iterator[str]:
    for index, mat in enumerate(model.reinforcement):
        name = f"reinforcement[{index}] {mat.name!r}"
        outside = list(_between_sides(model, name, mat.x_left, mat.x_right))
        yield from outside
        if not outside and mat.level > _lowest(model, mat.x_left, mat.x_right) + _slack(model):
            yield (
                f"{name} must lie within the ground over its length: at level {mat.level:g} the base is shorter "
                f"(got x = {mat.x_left:g} to {mat.x_right:g})"
            )
        yield from _refuse_outside(f"{name} level", mat.level, model.bottom, INFINITE)
        for field in ("strength", "bond_above", "bond_below", "adhesion"):
            yield from _refuse_outside(f"{name} {field}", getattr(mat, field), 0, INFINITE)
        yield from _refuse_outside(f"{name} factor", mat.factor, 1, INFINITE)
