"""The columns in the extruding wedge where it reaches several grids: each counts along its own length.

The inner plane stands at the crest edge of the stage and, where grids meet, on either side of their border, below the
crest and below the side slope: the worst of these planes governs. Inward of a border more soil resists, but in a wider
grid the soil carries more of the pressure and columns less of the shear.
"""

from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from itertools import pairwise
from math import inf

import numpy as np
from numpy.typing import NDArray

from calc.chapters.shared.column_zones import (
    ZONE,
    ZoneSheets,
    by_grid,
    places_of_fill,
    strips_of_grid,
    zone_sheets,
)
from calc.chapters.shared.frame import given_of_section
from calc.chapters.shared.geometry import place_of
from calc.chapters.shared.soft_ground import Side, slope
from calc.engine.levels import above
from calc.engine.sheet import Scope, Sheet, Value
from calc.engine.words import words_of
from calc.formulas import column_zones as cz
from calc.inputs import Section
from calc.inputs.tables.column_zones import GridStrip
from calc.inputs.tables.columns import ColumnZone

say = words_of(__name__)

LEAST = ("U_L", "Dc_u", "n_st")  # of the grids that the wedge reaches the least counts
PLANES = "wedge_planes"  # scope of what every inner plane reaches
AT_EDGE = say("at-edge")


@dataclass(frozen=True, slots=True)
class Grids:
    """Symbols in the wedge: lengths, area ratio for the soil, area to a column and stress at inner plane and base."""

    mean: str = "a_E"
    inner: str = "A_E"
    base: str = "A_E"
    stress: str = "p_cN"
    stress_below: str = "p_cN"
    run: str = "L_S"
    field: str = "b_gs"

    @property
    def several(self) -> bool:
        """Whether there is more than one grid."""
        return self.run == "L_w"


ZONED = Grids("a_Ew", "A_Ei", "A_Eb", "p_cNp", "p_cNbp", "L_w", "b_w")


@dataclass(frozen=True, slots=True)
class _Plane:
    """An inner plane: its label, its place from the axis outward in m or None at the crest edge, and its inner strip.

    ``strip`` is the number of the strip on its side of the border; None at the crest edge.
    """

    label: str
    place: float | None = None
    strip: int | None = None


@dataclass(frozen=True, slots=True)
class _Reach:
    """What one wedge reaches: the strips at its inner plane, and the lengths of those beyond it outward, in m."""

    touched: frozenset[int]
    lengths: Mapping[int, float]

    @property
    def strips(self) -> set[int]:
        return {*self.touched, *self.lengths}


def record_planes(sheet: Sheet, section: Section, done: dict[str, Sheet], side: Side) -> None:
    """Record the inner planes of a side and the columns that each wedge reaches; nothing where one grid is everywhere."""
    if not zone_sheets(section, done):
        return
    columns, strips = done["columns"], strips_of_grid(section, done["columns"])
    planes = _planes(strips, side)
    sheet.axis("plane", [one.label for one in planes])
    sheet.axis("strip", [_strip_label(section, one) for one in strips])
    scope = sheet.scope(f"{PLANES}{side.ending}", say("scope-planes-title", side_words=side.words))
    _places(scope, section, done, side, planes)
    stages = sheet.axes["stage"]
    reached = [[_reach(strips, side, one, columns, label) for one in planes] for label in stages]
    sheet.kept[scope.name] = [[{strips[k].zone for k in one.strips} for one in row] for row in reached]
    _ratios(scope, section, done, strips, reached)


def _planes(strips: tuple[GridStrip, ...], side: Side) -> list[_Plane]:
    found = [_Plane(AT_EDGE)]
    for k, (one, other) in enumerate(pairwise(strips)):
        place = -one.right if side.end == "l" else one.right
        for strip, words in ((k, "left"), (k + 1, "right")):
            found.append(_Plane(say(f"plane-{words}", x=one.right), place, strip))
        assert one.right == other.left  # noqa: S101 - neighbours meet
    return found


def _strip_label(section: Section, strip: GridStrip) -> str:
    return f"{strip.left:g} to {strip.right:g} m ({strip.zone.key if strip.zone else section.key})"


def _places(scope: Scope, section: Section, done: dict[str, Sheet], side: Side, planes: Sequence[_Plane]) -> None:
    """Distance of every plane from the axis, the lengths beyond it, and the share of the height over it."""
    bare = scope.sheet.scopes[f"untreated{side.ending}"]  # of every stage, also where nothing is placed
    given_of_section(scope, "b_K", section, "embankment.crest_width", section.embankment.crest_width)
    given_of_section(scope, "b_g", section, side.extent_path, side.extent or 0.0)
    slope(scope, section, side)
    height = scope.take("H_q", bare["H_q"])
    scope.take("H_GF", bare["H_q"].at(stage=height.labels("stage")[-1]))
    scope.take("L_S", bare["L_S"])
    edge = scope(cz.crest_edge_of_stage)
    places = np.stack([edge.array if one.place is None else np.full(edge.array.shape, one.place) for one in planes], -1)
    borders = [one.done["columns"].scopes[ZONE][name] for one in zone_sheets(section, done) for name in ("x_z1", "x_z2")]
    none = np.broadcast_to(~edge.valid[:, None], places.shape)
    scope.reading("x_ip", places, ["stage", "plane"], title=say("reading-x-ip-title"), inputs=[edge, *borders],
                  mask=none if none.any() else None, reason=edge.reason)  # fmt: skip
    scope(cz.distance_to_crest_edge)
    run = scope(cz.length_from_inner_plane)
    beyond = run.valid & ~above(run.array, 0.0)
    scope(cz.length_below_slope, L_w=run.without(beyond, say("beyond-toe")))
    scope(cz.field_beyond_inner_plane)
    scope(cz.height_over_inner_plane)


def _ratios(
    scope: Scope, section: Section, done: dict[str, Sheet], strips: tuple[GridStrip, ...],
    reached: Sequence[Sequence[_Reach]],
) -> None:  # fmt: skip
    """The ratio at every inner plane and along its wedge, from the shares of the strips in its length."""
    columns = done["columns"]
    own = {zone: sheet["a_E"] for zone, sheet in by_grid(section, done, "columns").items()}
    values = [float(own[one.zone].array) for one in strips]
    borders = [one.done["columns"].scopes[ZONE][name] for one in zone_sheets(section, done) for name in ("x_z1", "x_z2")]
    ends = [*places_of_fill(columns), *(place_of(columns, name) for name in ("x_cl", "x_cr")), *borders]
    scope.reading("a_Es", values, ["strip"], title=say("strips-title"), inputs=[*own.values(), *borders])
    inner = [[min(values[k] for k in one.touched) for one in row] for row in reached]
    largest = [[max(values[k] for k in one.lengths or one.touched) for one in row] for row in reached]
    axes = ["stage", "plane"]
    scope.reading("a_Ei", inner, axes, title=say("inner-title"), inputs=[scope["a_Es"], scope["x_ip"]])
    scope.reading("a_Ex", largest, axes, title=say("largest-title"), inputs=[scope["a_Es"], scope["x_ip"]])
    shares = [[_shares(one, len(strips)) for one in row] for row in reached]
    least = [[_falling(one, values) for one in row] for row in reached]
    scope.reading("w_st", shares, [*axes, "strip"], title=say("shares-title"), inputs=[scope["x_ip"], *ends])
    scope.reading("a_Em", least, [*axes, "strip"], title=say("falling-title"), inputs=[scope["a_Es"], scope["x_ip"]])
    scope(cz.mean_ratio_in_wedge)
    scope(cz.counted_ratio_in_wedge)


def grids_of_wedge(scope: Scope, section: Section, done: dict[str, Sheet], side: Side) -> Grids:
    """Take the ratios of the columns that the wedge of a side reaches; the one of the section without zones."""
    planes = scope.sheet.scopes.get(f"{PLANES}{side.ending}")
    if planes is None:
        return Grids()
    for name in ("a_Ei", "a_Ew", "a_Eb", "a_Ex"):
        scope.take(name, planes[name])
    scope.take("a_E", scope["a_Ei"], note=say("take-a-e-note"))
    reached = scope.sheet.kept[planes.name]
    for name in LEAST:
        _least(scope, name, zone_sheets(section, done), reached)
    return ZONED


def take_lengths(scope: Scope, side: Side) -> None:
    """Take the lengths beyond the inner plane, and the share of the height over it."""
    planes = scope.sheet.scopes[f"{PLANES}{side.ending}"]
    run = planes["L_w"]
    scope.take("L_w", run.without(run.valid & ~above(run.array, 0.0), say("beyond-toe")))
    for name in ("L_ws", "b_w", "f_ip"):
        scope.take(name, planes[name])


def _shares(reach: _Reach, count: int) -> list[float]:
    """The share of every strip in the length with columns; where there is no length that of the inner plane is 1."""
    run = sum(reach.lengths.values())
    known = {k: one / run for k, one in reach.lengths.items()} if run else {min(reach.touched): 1.0}
    return [known.get(k, 0.0) for k in range(count)]


def _falling(reach: _Reach, values: Sequence[float]) -> list[float]:
    """The ratios outward from the inner plane as far as they do not rise: outward the columns are stressed less."""
    found, least = list(values), inf
    for k in reach.lengths or reach.touched:
        least = found[k] = min(least, values[k])
    return found


def _reach(strips: tuple[GridStrip, ...], side: Side, plane: _Plane, columns: Sheet, label: str) -> _Reach:
    """The strips at an inner plane, and the lengths from there to the last column or the toe, outward."""
    edge, last, toe = (
        place_of(columns, f"x_{name}{side.end}").number({"stage": label}) or 0.0 for name in ("e", "c", "t")
    )
    end = max(last, toe) if side.end == "l" else min(last, toe)
    outward = range(len(strips)) if side.end == "r" else range(len(strips) - 1, -1, -1)
    at = edge
    if plane.place is not None:
        at = -plane.place if side.end == "l" else plane.place
    low, high = min(at, end), max(at, end)
    lengths = {k: min(strips[k].right, high) - max(strips[k].left, low) for k in outward}
    if (end < at) if side.end == "r" else (end > at):
        lengths = {}
    touched = {plane.strip} if plane.strip is not None else {
        k for k, one in enumerate(strips) if not above(one.left, at) and not above(at, one.right)
    }  # fmt: skip
    # Beyond the outermost columns no strip is touched: the nearest one stands for it, along no length.
    touched = touched or {0 if at < strips[0].left else len(strips) - 1}
    return _Reach(frozenset(touched), {k: one for k, one in lengths.items() if one > 0})


def _least(
    scope: Scope, name: str, zones: tuple[ZoneSheets, ...], reached: Sequence[Sequence[set[ColumnZone | None]]]
) -> None:  # fmt: skip
    """The least of the grids that the wedge reaches from every inner plane; of all where no stage differs."""
    own = scope.sheet[name]
    every: dict[ColumnZone | None, Value] = {None: own}
    every |= {one.zone: one.done["bearing"][name] for one in zones}
    arrays = {zone: alike(value, own) for zone, value in every.items()}
    if not own.axes:
        least, axes = np.minimum.reduce(list(arrays.values())), own.axis_names
    else:
        by_plane = [
            np.stack([np.minimum.reduce([arrays[one][k] for one in row[p]]) for k, row in enumerate(reached)])
            for p in range(len(reached[0]))
        ]
        least, axes = np.stack(by_plane, axis=-1), (*own.axis_names, "plane")
    scope.reading(name, least, axes, title=say("reading-least-title"), inputs=list(every.values()))


def alike(value: Value, like: Value) -> NDArray[np.float64]:
    """The numbers of a value over the axes of another one, which may differ by the last, that of the stress ratio."""
    if value.axis_names == like.axis_names:
        return value.array
    if "ratio" in like.axis_names:
        return np.asarray(np.broadcast_to(value.array[:, None], like.array.shape), dtype=np.float64)
    return np.asarray(value.array.min(axis=-1), dtype=np.float64)
