"""Rules of the tables [filters], [plug], [construction] and [platform.rig]."""

from itertools import pairwise

from calc.engine.levels import above
from calc.inputs.reading.locate import Path
from calc.inputs.tables.columns import Columns
from calc.inputs.tables.construction import Construction
from calc.inputs.tables.earthquake import SEISMIC
from calc.inputs.tables.embankment import Platform
from calc.inputs.tables.filters import PLUG_NEEDS, Filters, Grading, Plug
from calc.inputs.tables.ground import Layer
from calc.inputs.tables.problem import Problem, Problems, unique
from calc.inputs.tables.rig import problems_of_rig
from calc.inputs.tables.stages import Stage

FINE_GRAIN = 0.075e-3  # m
PASSING = (("D_10", 0.10), ("D_15", 0.15), ("D_60", 0.60), ("D_85", 0.85))


def gradings(filters: Filters | None) -> Problems:
    """Every grading grows with the share that passes, and its fines lie where its grains say."""
    if filters is None:
        return
    yield from unique([soil.layer for soil in filters.soils], ("filters", "soil"), "layer")
    for index, soil in enumerate(filters.soils):
        yield from _grading(soil, ("filters", "soil", index))
    if filters.fill is not None:
        yield from _grading(filters.fill, ("filters", "fill"))


def soil_layers(filters: Filters | None, known_soils: tuple[str, ...]) -> Problems:
    """A grading is that of a soft layer."""
    for index, soil in enumerate(filters.soils if filters else ()):
        if soil.layer not in known_soils:
            yield Problem(("filters", "soil", index, "layer"), f"name a layer ({', '.join(known_soils)})")


def _grading(grading: Grading, path: Path) -> Problems:
    for (finer, _), (coarser, _) in pairwise(PASSING):
        if getattr(grading, coarser) < getattr(grading, finer):
            yield Problem((*path, coarser), f"not be less than {finer} ({getattr(grading, finer) * 1e3:g} mm)")
    below = [share for name, share in PASSING if getattr(grading, name) < FINE_GRAIN]
    above = [share for name, share in PASSING if getattr(grading, name) > FINE_GRAIN]
    low, high = max(below, default=0.0), min(above, default=1.0)
    if low <= high and not low <= grading.fines <= high:
        yield Problem((*path, "fines"), f"lie between {low:g} and {high:g}, as the grain diameters say")


def reversing_flow(filters: Filters | None) -> Problems:
    """The rule for reversing flow has its coefficient."""
    criteria = filters.criteria if filters else None
    if criteria is not None and criteria.flow == "reversing" and criteria.reversing is None:
        yield Problem(("filters", "criteria", "reversing"), 'be given where flow is "reversing"', "nothing")


def plug_complete(plug: Plug | None) -> Problems:
    """A plug that is needed is described in full."""
    if plug is None or not plug.needed:
        return
    for name in PLUG_NEEDS:
        if getattr(plug, name) is None:
            yield Problem(("plug", name), "be given where needed is true", "nothing")


def plug_possible(plug: Plug | None, columns: Columns, layers: tuple[Layer, ...], gamma_w: float) -> Problems:
    """A plug fits into the column and weighs no less than water."""
    if plug is None:
        return
    length = sum(layer.thickness for layer in layers) + columns.embedment
    if plug.length is not None and above(plug.length, length):
        yield Problem(("plug", "length"), f"not be greater than the column below the ground ({length:g} m)")
    if plug.gamma_sat is not None and plug.gamma_sat < gamma_w:
        yield Problem(("plug", "gamma_sat"), f"be at least gamma_w ({gamma_w:g} kN/m^3)")


def plug_closes(filters: Filters | None, plug: Plug | None) -> Problems:
    """Water does not leave at a toe that is closed."""
    drainage = filters.drainage if filters else None
    if drainage is not None and plug is not None and plug.needed and drainage.ends == "both":
        yield Problem(("filters", "drainage", "ends"), 'be "top" where a plug closes the toe')


def hold_points(construction: Construction | None, stages: tuple[Stage, ...]) -> Problems:
    """Names are unique, and a stage that waits is one of the programme that somebody begins."""
    if construction is None:
        return
    yield from unique([point.name for point in construction.hold_points], ("construction", "hold_point"), "name")
    names = [stage.name for stage in stages if stage.situation != SEISMIC]
    shaken = [stage.name for stage in stages if stage.situation == SEISMIC]
    for index, point in enumerate(construction.hold_points):
        if point.stage in shaken:
            must = f'name a stage that waits for it, not one of the situation "{SEISMIC}" ({", ".join(names)})'
            yield Problem(("construction", "hold_point", index, "stage"), must)
        elif point.stage is not None and point.stage not in names:
            yield Problem(("construction", "hold_point", index, "stage"), f"name a stage ({', '.join(names)})")


def rolls(construction: Construction | None) -> Problems:
    """Rolls overlap by less than their width."""
    quantities = construction.quantities if construction else None
    if quantities is None or quantities.roll_width is None or quantities.roll_overlap is None:
        return
    if quantities.roll_overlap >= quantities.roll_width:
        path = ("construction", "quantities", "roll_overlap")
        yield Problem(path, f"be less than the width of the roll ({quantities.roll_width:g} m)")


def rig_on_platform(platform: Platform | None) -> Problems:
    """Operations, mats, geosynthetic and strengths of the rig go together."""
    if platform is not None and platform.rig is not None:
        for path, must, got in problems_of_rig(platform.rig):
            yield Problem(("platform", "rig", *path), must, got)


SITE_RULES = (
    gradings, soil_layers, reversing_flow, plug_complete, plug_possible, plug_closes, hold_points, rolls,
    rig_on_platform,
)  # fmt: skip
