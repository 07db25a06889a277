"""Zones of the fill: recorded once, in the chapter on the columns, and read by every chapter after it.

Where zones end within the bank, the unit cell, bearing and extrusion take the place where the fill weighs most,
resistances that the load gives the one where its zones weigh least. Between two ends the fill is highest next to the
axis: this point of every stretch stands for it.
"""

from collections.abc import Callable, Sequence
from itertools import pairwise
from math import inf, isfinite

import numpy as np

from calc.chapters.shared.frame import POSITIONS, given_of_section, origin_of
from calc.engine.levels import above
from calc.engine.sheet import Origin, Scope, Sheet, Value
from calc.engine.sheet.values import Array
from calc.engine.words import words_of
from calc.formulas import zones as zo
from calc.inputs import Section
from calc.inputs.tables.embankment import Zone

say = words_of(__name__)

ZONES, HALF = "zones", "zones_half"  # scopes of the chapter on the columns
FULL, LIFT = "zones_full", "zones_lift"  # of a bank with zones that end within it
OF_A_ZONE = ("gamma_z", "h_zb", "h_zt")

Line = tuple[tuple[float, float], ...]
Stretch = tuple[float, float]


def record_zones(sheet: Sheet, section: Section, height: Value, lower: Value, places: Scope) -> None:
    """Record the zones and what they weigh beyond as much fill, at full height and at mid-slope; nothing without.

    ``lower`` is the height at the lower crest edge, above whose slope the middle counts.
    """
    zones = section.embankment.zones
    if not zones:
        return
    sheet.axis("zone", [zone.name for _, zone in zones])
    scope = sheet.scope(ZONES, say("scope-zones-title"))
    for name, field in (("gamma_z", "gamma"), ("h_zb", "bottom"), ("h_zt", "top")):
        origins = [origin_of(section, f"embankment.zone.{k}.{field}") for k, _ in zones]
        values = [getattr(zone, field) for _, zone in zones]
        scope.given(name, values, ["zone"], origin=origins, origin_axis="zone")
    given_of_section(scope, "gamma_E", section, "embankment.gamma", section.embankment.gamma)
    scope.take("H", height)
    scope(zo.zone_thickness)
    if section.embankment.is_cored:
        _at_places(scope, section, places)
    else:
        scope(zo.zone_pressure)
        scope(zo.pressure_of_zones)
    inputs = [scope["gamma_z"], scope["gamma_E"]]
    weights = [*scope["gamma_z"].array.tolist(), section.embankment.gamma]
    scope.reading("gamma_Ex", np.array(max(weights)), title=say("heaviest"), inputs=inputs)
    scope.reading("gamma_En", np.array(min(weights)), title=say("lightest"), inputs=inputs)
    sheet.limitation("zones", say("limitation-zones"), "project rule ◇")
    if section.embankment.is_cored:
        sheet.limitation("zones-end", say("limitation-zones-end"), "project rule ◇")
        return
    half = sheet.scope(HALF, say("scope-half-title"))
    half.take("H", lower)
    half(zo.half_height)
    for name in (*OF_A_ZONE, "gamma_E"):
        half.take(name, scope[name])
    half(zo.zone_thickness, H="H_hf")
    half(zo.zone_pressure)
    half(zo.pressure_of_zones, p_Z="p_Zh")


def stretches(section: Section) -> list[Stretch]:
    """The bank from left to right, cut where zones end within it."""
    bank = section.embankment
    ends = sorted({end for _, zone in bank.zones for end in bank.ends(zone) if isfinite(end)})
    return [*pairwise((-inf, *ends, inf))]


def stretch_labels(section: Section) -> list[str]:
    """The stretches in words, as labels of places and of positions of the unit cell."""
    return [stretch_text(stretch) for stretch in stretches(section)]


def stretch_text(stretch: Stretch) -> str:
    """A stretch in words."""
    left, right = (f"{x:.2f}".replace("-", "−") for x in stretch)
    if stretch[0] == -inf:
        return say("left-of", right=right)
    return say("right-of", left=left) if stretch[1] == inf else say("between", left=left, right=right)


def below_crest(section: Section) -> list[str]:
    """The labels of those stretches that lie below the final crest, if only in part."""
    half = section.embankment.crest_width / 2
    every = zip(stretches(section), stretch_labels(section), strict=True)
    return [label for (left, right), label in every if above(half, left) and above(right, -half)]


def positions_of(section: Section) -> tuple[str, ...]:
    """The positions of the unit cell: of a bank with zones that end within it every stretch as well."""
    return (*POSITIONS, *stretch_labels(section)) if section.embankment.is_cored else POSITIONS


def _origins(section: Section) -> list[Origin]:
    """Where the ends of the zones are typed."""
    return [
        origin_of(section, f"embankment.zone.{k}.{side}")
        for k, zone in section.embankment.zones for side in ("left", "right") if getattr(zone, side) is not None
    ]  # fmt: skip


def _at_places(scope: Scope, section: Section, places: Scope) -> None:
    """Record the pressure of the fill at every place and stage, its largest and least, and that of the positions."""
    sheet, bank = scope.sheet, section.embankment
    parts, origins = stretches(section), _origins(section)
    sheet.axis("place", stretch_labels(section))
    sheet.axis("position", positions_of(section))
    nearest = [min(max(0.0, left), right) for left, right in parts]
    scope.reading("d_v", [abs(x) for x in nearest], ["place"], title=say("reading-d-v-title"), origins=origins)
    slopes = {side: origin_of(section, f"embankment.slope_{side}") for side in ("left", "right")}
    sides = ["left" if x < 0 else "right" for x in nearest]
    scope.given("n_v", [getattr(bank, f"slope_{side}") for side in sides], ["place"],
                origin=[slopes[side] for side in sides], origin_axis="place")  # fmt: skip
    for name in ("b_K", "H_F"):
        scope.take(name, places[name])
    scope(zo.height_at_place)
    there = [[float(lies_at(section, zone, part)) for _, zone in bank.zones] for part in parts]
    scope.reading("i_zv", there, ["place", "zone"], title=say("reading-i-zv-title"), origins=origins)
    scope(zo.zone_thickness, t_z="t_zv", H="h_v")
    scope(zo.zone_pressure_at_place)
    local = scope(zo.pressure_at_place)
    whole = scope.take("p_Z", local.largest("stage"), note=say("take-p-z-note"))
    _of_positions(scope, section, places, whole, local)
    _lead(scope, local, np.argmax)
    full = sheet.scope(FULL, say("scope-full-title"))
    for name in ("gamma_z", "gamma_E", "i_zv", "t_z"):
        full.take(name, scope[name])
    full(zo.zone_pressure_at_place, Dp_zv="Dp_zf", t_zv="t_z")
    least = full(zo.pressure_of_zones, p_Z="p_Zf", Dp_z="Dp_zf")
    full.take("p_Zn", least.smallest("stage"), note=say("take-p-zn-note"))
    _lead(full, least, np.argmin)
    lift = sheet.scope(LIFT, say("scope-lift-title"))
    lift.take("p_Z", whole)
    lift.take("p_Zv", local)
    lift.take("p_Zvb", local.before("stage", 0.0))
    lifted = lift(zo.pressure_of_lift_at_place, Dp_ZL="Dp_Zv")
    lift.take("Dp_ZL", lifted.largest("stage"), note=say("take-lift-note"))
    _lead(lift, lifted, np.argmax)
    lift(zo.pressure_below_lift)
    _that_count(scope, section, places)


def _lead(scope: Scope, value: Value, which: Callable[[Array], np.intp]) -> None:
    """Print a scope at the place that it is taken of in the last stage."""
    last = value.at(stage=value.labels("stage")[-1])
    scope.sheet.leads[scope.name] = {"place": value.labels("place")[int(which(last.array))]}


def lies_at(section: Section, zone: Zone, stretch: Stretch) -> bool:
    """Whether a zone lies over a stretch, which no end of it cuts."""
    left, right = section.embankment.ends(zone)
    return left <= stretch[0] and stretch[1] <= right


def _of_positions(scope: Scope, section: Section, places: Scope, whole: Value, local: Value) -> None:
    """Record the pressure beyond that of as much fill at the positions of the unit cell.

    The centre stands for the place with the largest load, the crest edge for the lighter one of both, mid-slope for
    the heavier one.
    """
    bank, heights = section.embankment, scope["H"].array
    edges = np.stack([places[name].array for name in ("x_el", "x_er")], axis=-1)
    at_edge, middle = [], []
    for height, ends in zip(heights, edges, strict=True):
        lighter = [_pressure(section, height, [x]) for x in ends + EDGE * np.array([1.0, -1.0])]
        at_edge.append(min(lighter))
        half = height / 2
        sides = [-bank.face("left", half), bank.face("right", half)]
        middle.append(_pressure(section, half, [x + step for x in sides for step in (-EDGE, EDGE)]))
    inputs = [whole, local, scope["gamma_z"], scope["gamma_E"], scope["H"], places["x_el"], places["x_er"]]
    array = np.column_stack([whole.array, at_edge, middle, local.array])
    scope.reading("p_Zx", array, ["stage", "position"], title=say("reading-p-zx-title"), inputs=inputs,
                  origins=_origins(section), note=say("reading-p-zx-note"))  # fmt: skip


EDGE = 1e-6  # m beside a place: on which side of it a zone ends


def _pressure(section: Section, height: float, at: Sequence[float]) -> float:
    """The largest pressure of the zones at some places under a height of fill, beyond that of as much fill."""
    bank = section.embankment
    pressures = []
    for x in at:
        parts = [zone for _, zone in bank.zones if bank.ends(zone)[0] < x < bank.ends(zone)[1]]
        pressures.append(sum(
            (zone.gamma - bank.gamma) * float(zo.zone_thickness(zone.bottom, zone.top, height)) for zone in parts
        ))  # fmt: skip
    return max(pressures)


def _that_count(scope: Scope, section: Section, places: Scope) -> None:
    """Record from which height zones count in the weight that thrusts, and which in that of either side slope."""
    bank = section.embankment
    first, last = places["x_el"].array, places["x_er"].array
    holds: dict[str, list[list[float]]] = {"l": [], "r": []}
    for low, high in zip(first, last, strict=True):
        for end, edge in (("l", low), ("r", high)):
            holds[end].append([_holds(section, zone, end, edge) for _, zone in bank.zones])
    inputs, origins = [places["x_el"], places["x_er"], scope["gamma_z"], scope["gamma_E"]], _origins(section)
    light = [float(zone.gamma < bank.gamma) for _, zone in bank.zones]
    scope.reading("i_zl", light, ["zone"], title=say("reading-i-zl-title"), inputs=[scope["gamma_z"], scope["gamma_E"]])
    meets = [_end_at_slope(section, zone) for _, zone in bank.zones]
    scope.reading(
        "h_ze",
        meets,
        ["zone"],
        title=say("reading-h-ze-title"),
        inputs=[scope["H_F"], scope["b_K"], scope["h_zb"]],
        origins=[*origins, *(origin_of(section, f"embankment.slope_{side}") for side in ("left", "right"))],
    )
    scope(zo.bottom_of_what_thrusts)
    for end, counted in holds.items():
        scope.reading(f"i_zS{end}", counted, ["stage", "zone"], title=say("reading-i-zs-title", side=SIDE[end]),
                      inputs=inputs, origins=origins)  # fmt: skip
    weights = [min(zone.gamma, bank.gamma) if any(map(isfinite, bank.ends(zone))) else zone.gamma
               for _, zone in bank.zones]  # fmt: skip
    scope.reading("gamma_zn", weights, ["zone"], title=say("reading-gamma-zn-title"),
                  inputs=[scope["gamma_z"], scope["gamma_E"]])  # fmt: skip


SIDE = {"l": "left", "r": "right"}


def _end_at_slope(section: Section, zone: Zone) -> float:
    """Height from which a zone reaches both side slopes, the crest at most.

    A vertical out in the slope is pushed by what lies beyond the end of a core, too: of a light zone counts only
    what is a layer.
    """
    bank = section.embankment
    left, right = bank.ends(zone)
    heights = [zone.bottom]
    for end, run in ((-left, bank.slope_left), (right, bank.slope_right)):
        if isfinite(end):
            heights.append(min(bank.height - (end - bank.crest_width / 2) / run, bank.height))
    return max(heights)


def _holds(section: Section, zone: Zone, end: str, edge: float) -> float:
    """Whether a zone counts in the weight beyond the crest edge of a stage, which holds."""
    left, right = section.embankment.ends(zone)
    if end == "l":
        left, right, edge = -right, -left, -edge
    if zone.gamma < section.embankment.gamma:
        return float(above(right, edge))
    return float(right == inf and not above(left, edge))


def outline_of_zone(outline: Line, zone: Zone, base: float, ends: tuple[float, float]) -> Line:
    """The part of a zone below an outline, as a polygon: from its bottom to its top, from end to end or to the slopes.

    Nothing where the outline does not reach above its bottom.
    """
    bottom, top = base + zone.bottom, base + zone.top
    upper = line_below_level(outline, top)
    inside = [x for x, y in line_below_level(outline, bottom) if not above(bottom, y)]
    if not inside:
        return ()
    left, right = max(ends[0], min(inside)), min(ends[1], max(inside))
    if not above(right, left):
        return ()
    xs, ys = zip(*upper, strict=True)
    between = [(x, y) for x, y in upper if left < x < right and y > bottom]
    roof = [(left, float(np.interp(left, xs, ys))), *between, (right, float(np.interp(right, xs, ys)))]
    corners = [(left, bottom), *roof, (right, bottom)]
    return tuple(dict.fromkeys((x, max(y, bottom)) for x, y in corners))


def line_below_level(outline: Line, level: float) -> Line:
    """A line that follows the outline where it lies below a level, and the level elsewhere."""
    points = [outline[0]]
    for (x, y), (far, end) in pairwise(outline):
        if (y - level) * (end - level) < 0:
            points.append((x + (far - x) * (level - y) / (end - y), level))
        points.append((far, min(end, level)))
    return tuple(points)


def zones_of(done: dict[str, Sheet]) -> Scope | None:
    """The recorded zones, None without any."""
    return done["columns"].scopes.get(ZONES)


def heaviest(scope: Scope | Sheet, done: dict[str, Sheet], name: str = "gamma_E") -> None:
    """Take the largest unit weight of fill and zones, of a fill that has zones."""
    scope.take(name, done["columns"].scopes[ZONES]["gamma_Ex"], note=say("heaviest-note"))


def friction_of_fill(scope: Scope | Sheet, section: Section) -> None:
    """Give the friction angle of the fill, the least of its zones where they have less."""
    fill = section.embankment
    known = [("embankment.phi", fill.phi), *((f"embankment.zone.{k}.phi", zone.phi) for k, zone in fill.zones)]
    path, value = min(known, key=lambda angle: angle[1])
    given_of_section(scope, "phi_Ek", section, path, value)


def take_zones(scope: Scope | Sheet, done: dict[str, Sheet], *, resisting: bool = False) -> None:
    """Take what the zones are made of, of a fill that has zones.

    ``resisting``: of those that end within the bank none counts as heavier than the fill.
    """
    zones = done["columns"].scopes[ZONES]
    scope.sheet.axis("zone", zones["gamma_z"].labels("zone"))
    for name in OF_A_ZONE:
        if resisting and name == "gamma_z" and "gamma_zn" in zones:
            scope.take(name, zones["gamma_zn"], note=say("take-gamma-zn-note"))
        else:
            scope.take(name, zones[name])


def least_pressure(done: dict[str, Sheet]) -> Value:
    """Pressure of the zones beyond that of as much fill, the least of all places, where it gives resistance."""
    columns = done["columns"]
    return columns.scopes[FULL]["p_Zn"] if FULL in columns.scopes else columns.scopes[ZONES]["p_Z"]


def pressure_before(done: dict[str, Sheet]) -> Value:
    """The same of the stage before, below a lift that is the largest of all places."""
    columns = done["columns"]
    if LIFT in columns.scopes:
        return columns.scopes[LIFT]["p_Zb"]
    return columns.scopes[ZONES]["p_Z"].before("stage", 0.0)
