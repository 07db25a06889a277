"""Rules of heads over depth: their points, the effective stress they leave, what needs or excludes them."""

from collections.abc import Iterator, Sequence
from itertools import accumulate, pairwise

from calc.engine.levels import above, same
from calc.inputs.reading.locate import Path
from calc.inputs.tables.columns import Columns
from calc.inputs.tables.embankment import Platform
from calc.inputs.tables.filters import Plug
from calc.inputs.tables.ground import Layer, Water
from calc.inputs.tables.heads import HeadPoint, Line, bends, head_at, head_line
from calc.inputs.tables.problem import Problem, Problems, unique
from calc.inputs.tables.stages import Stage
from calc.inputs.tables.uplift import Casing, Uplift


def _boundaries(layers: Sequence[Layer], ground: float) -> list[float]:
    """The levels of the bottoms of the soft layers."""
    return [ground - depth for depth in accumulate(layer.thickness for layer in layers)]


def head_points(water_table: Water, ground_level: float, layers: tuple[Layer, ...]) -> Problems:
    """Heads belong to a water level that is given, and their points lead from it to the base of the soft layers."""
    yield from unique([head.water for head in water_table.heads], ("water", "head"), "water")
    known = {level.name: level.level for level in water_table.levels()}
    for index, head in enumerate(water_table.heads):
        path: Path = ("water", "head", index)
        if head.water not in known:
            yield Problem((*path, "water"), f"name a level that the table water gives ({', '.join(known) or 'none'})")
            continue
        yield from _points(head.points, path, min(known[head.water], ground_level), _boundaries(layers, ground_level))


def heads_of_every_level(
    water_table: Water, ground_level: float, layers: tuple[Layer, ...], initial_water: str | None,
    stages: tuple[Stage, ...],
) -> Problems:  # fmt: skip
    """Where one water level has heads every one in use has, so that none of them is at rest by oversight."""
    levels = {level.name: level.level for level in water_table.levels()}
    named = {head.water for head in water_table.heads}
    used = dict.fromkeys([initial_water or stages[0].water, *(stage.water for stage in stages)] if stages else [])
    bare = [name for name in used if name in levels and name not in named]
    if bare and named and named <= set(levels) and len(named) == len(water_table.heads):  # else refused on its own
        base = _boundaries(layers, ground_level)[-1]
        rest = ", ".join(f"{name} ({levels[name]:g} m)" for name in bare)
        must = (
            f"hold heads for every water level in use, {rest} too; where its water is at rest, one point at {base:g} m "
            "with the head of the water level"
        )
        yield Problem(("water", "head"), must, f"heads for {', '.join(sorted(named))}")


def _points(points: Sequence[HeadPoint], path: Path, top: float, boundaries: Sequence[float]) -> Problems:
    def level(index: int) -> Path:
        return (*path, "points", index, "level")

    if not above(top, points[0].level):
        yield Problem(level(0), f"be below the water level and the ground ({top:g} m)")
    for index, (before, point) in enumerate(pairwise(points), start=1):
        if above(point.level, before.level):
            yield Problem(level(index), f"not be above the point before it ({before.level:g} m)")
        elif same(point.level, before.level):
            if index > 1 and same(points[index - 2].level, point.level):
                yield Problem(level(index), "be that of two points at most")
            elif not any(same(point.level, boundary) for boundary in boundaries):
                yield Problem(level(index), "differ from that before it: heads jump at the bottom of a layer only")
    if not same(points[-1].level, boundaries[-1]):
        must = f"be that of the base of the soft layers ({boundaries[-1]:g} m): the last point is the aquifer's"
        yield Problem(level(len(points) - 1), must)


def effective_stress(
    water_table: Water, ground_level: float, layers: tuple[Layer, ...], platform: Platform | None,
    columns: Columns, plug: Plug | None, gamma_w: float,
) -> Problems:  # fmt: skip
    """Heads leave an effective stress in the soft layers, and in columns that water flows up through."""
    start = platform.gamma * platform.thickness if platform is not None and platform.role == "initial" else 0.0
    levels = {level.name: level.level for level in water_table.levels()}
    bottoms = _boundaries(layers, ground_level)
    fill = columns.fill
    for index, head in enumerate(water_table.heads):
        if head.water not in levels or not same(head.points[-1].level, bottoms[-1]):
            continue  # refused on its own
        line = head_line(levels[head.water], ground_level, head.points)
        soils = [(bottom, layer.gamma, layer.gamma_sat) for bottom, layer in zip(bottoms, layers, strict=True)]
        stresses = [("", pair) for pair in _stresses(soils, line, ground_level, levels[head.water], gamma_w)]
        if plug is None or not plug.needed:
            column = [(bottoms[-1], fill.gamma, fill.gamma_sat)]
            flow = (line[0], line[-1])
            stresses += [
                (" of the columns", pair) for pair in _stresses(column, flow, ground_level, line[0][1], gamma_w)
            ]
        least = min(((stress + start, depth, where) for where, (stress, depth) in stresses), default=None)
        if least is not None and least[0] <= 0:
            stress, depth, where = least
            must = f"leave an effective vertical stress{where} greater than 0 at every depth"
            yield Problem(("water", "head", index, "points"), must, f"{stress:.2f} kPa at a depth of {depth:.2f} m")


def _stresses(
    soils: Sequence[tuple[float, float, float]], line: Line, ground: float, water: float, gamma_w: float
) -> Iterator[tuple[float, float]]:
    """Total vertical stress less pore pressure and the depth, wherever either bends below the ground."""
    places = {ground, water, *bends(line), *(bottom for bottom, _, _ in soils)}
    base = soils[-1][0]
    stress = gamma_w * max(water - ground, 0.0)
    for upper, lower in pairwise(sorted((place for place in places if ground >= place >= base), reverse=True)):
        middle = (upper + lower) / 2
        gamma, wet = next((gamma, wet) for bottom, gamma, wet in soils if middle > bottom)
        stress += (upper - lower) * (gamma if middle > water else wet)
        if above(upper, lower):
            head = max(head_at(line, lower), head_at(line, lower, below=True))
            yield stress - gamma_w * max(head - lower, 0.0), ground - lower


def ocr_states(
    water_table: Water, layers: tuple[Layer, ...], initial_water: str | None, stages: tuple[Stage, ...]
) -> Problems:
    """A preconsolidation ratio says in which state of the water it holds, where there is more than one."""
    used = [initial_water, *(stage.water for stage in stages)]
    several = bool(water_table.heads) and len(water_table.levels()) > 1
    for index, layer in enumerate(layers):
        path: Path = ("layer", index, "OCR_water")
        if layer.OCR_water is None:
            if layer.has_ratio and several:
                must = "be given where OCR is given and heads make effective stresses of several water levels differ"
                yield Problem(path, must, "nothing")
        elif not layer.has_ratio:
            yield Problem(path, "be left out where OCR is not given")
        elif not water_table.heads and stages and layer.OCR_water != (initial_water or stages[0].water):
            yield Problem(path, "name the water level of the initial state where no heads ([[water.head]]) are given")
        elif layer.OCR_water not in used:
            yield Problem(path, "name the water level of the initial state or of a stage")


def head_below_plug(plug: Plug | None, water_table: Water) -> Problems:
    """A plug closes the columns against a head, which the heads over depth state."""
    if plug is not None and plug.needed and not water_table.heads:
        must = "be given where plug.needed is true: its last point is the aquifer's"
        yield Problem(("water", "head"), must, "nothing")


def uplift_factors(uplift: Uplift | None, plug: Plug | None) -> Problems:
    """A rise of the head has its factor; where water flows, so have seepage force and submerged weight.

    The plug has the factors of the ground around it.
    """
    if uplift is None:
        return
    for name in ("gamma_dst", "gamma_stb"):
        other = getattr(plug, name, None)
        if plug is not None and plug.needed and other is not None and other != getattr(uplift, name):
            yield Problem(("plug", name), f"be that of uplift.{name} ({getattr(uplift, name):g}): one set of factors")
    if (uplift.rise is None) != (uplift.gamma_Q_dst is None):
        missing, present = ("rise", "gamma_Q_dst")[:: 1 if uplift.rise is None else -1]
        yield Problem(("uplift", missing), f"be given where {present} is given", "nothing")
    if not uplift.seals or plug is None or not plug.needed:
        for name in ("gamma_S_dst", "gamma_S_stb"):
            if getattr(uplift, name) is None:
                must = "be given unless seals is true and plug.needed is true: water flows in soil or columns"
                yield Problem(("uplift", name), must, "nothing")


def lightened_ground(
    uplift: Uplift | None, water_table: Water, ground_level: float, layers: tuple[Layer, ...],
    initial_water: str | None, stages: tuple[Stage, ...],
) -> Problems:  # fmt: skip
    """A pit and a casing lie in the soft layers, in a water level of the initial state or of a stage, with heads."""
    if uplift is None:
        return
    for name in ("excavation", "casing", "rise") if not water_table.heads else ():
        if getattr(uplift, name) is not None:
            must = (
                "be left out, or heads ([[water.head]]) be given: it is verified against the head of the aquifer, "
                "which is that of the water level where water is at rest"
            )
            yield Problem(("uplift", name), must, None if name == "rise" else "a table")
    used = {initial_water, *(stage.water for stage in stages)}
    for name in ("excavation", "casing"):
        state = getattr(uplift, name)
        if state is not None and state.water is not None and state.water not in used:
            must = "name the water level of the initial state or of a stage"
            yield Problem(("uplift", name, "water"), must)
    thickness = sum(layer.thickness for layer in layers)
    pit, casing, last = uplift.excavation, uplift.casing, layers[-1]
    if pit is not None and not above(thickness, pit.depth):
        yield Problem(("uplift", "excavation", "depth"), f"be less than the soft layers are thick ({thickness:g} m)")
    if pit is not None and above(pit.water_depth, pit.depth):
        yield Problem(("uplift", "excavation", "water_depth"), f"not be below the bottom of the pit ({pit.depth:g} m)")
    if casing is not None:
        yield from _casing(casing, last, ground_level - thickness)


def _casing(casing: Casing, last: Layer, base: float) -> Problems:
    path: Path = ("uplift", "casing")
    if not above(casing.water_level, base):
        yield Problem((*path, "water_level"), f"be above the base of the soft layers ({base:g} m)")
    if above(casing.water_level, casing.top):
        yield Problem((*path, "water_level"), f"not be above the top of the casing ({casing.top:g} m)")
    if above(casing.soil, last.thickness):
        yield Problem((*path, "soil"), f"not be greater than the lowest soft layer is thick ({last.thickness:g} m)")
    if not casing.adhesion:
        return
    for name in ("strength", "gamma_cu"):
        if getattr(casing, name) is None:
            yield Problem((*path, name), "be given where adhesion is above 0", "nothing")
    if not last.has_strength:
        yield Problem((*path, "adhesion"), "be 0 where the lowest soft layer has no c_u")
    elif casing.strength is not None and casing.strength > last.weakest[0]:
        must = f"not be greater than the undisturbed c_u of the lowest soft layer ({last.weakest[0]:g} kPa)"
        yield Problem((*path, "strength"), must)


HEAD_RULES = (
    head_points, heads_of_every_level, effective_stress, ocr_states, head_below_plug, uplift_factors, lightened_ground,
)  # fmt: skip
