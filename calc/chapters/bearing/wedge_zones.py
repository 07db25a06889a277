"""The columns in the extruding wedge where it reaches several grids: each counts along its own length.

The inner plane stands at the crest edge of the stage and, where grids meet, on either side of their border, below the
crest and below either side slope: the worst of these planes governs. Inward of a border more soil resists, but in a
wider grid the soil carries more of the pressure and columns less of the shear; below the other slope less fill stands
on the plane.
"""

from collections.abc import Sequence
from dataclasses import dataclass
from math import inf

import numpy as np
from numpy.typing import NDArray

from calc.chapters.shared.column_zones import ZoneSheets, by_grid, strips_of_grid, zone_sheets
from calc.chapters.shared.frame import given_of_section, origin_of
from calc.chapters.shared.soft_ground import Side, slope
from calc.engine.levels import above
from calc.engine.sheet import Scope, Sheet, Value
from calc.engine.words import words_of
from calc.formulas import column_zones as cz
from calc.formulas import squeezing as sq
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
    """What one wedge reaches: the strip at its inner plane, and those beyond it outward, without it where it is none.

    ``strips`` are in their order outward.
    """

    inner: int
    strips: tuple[int, ...]

    @property
    def every(self) -> set[int]:
        """With that at the inner plane."""
        return {self.inner, *self.strips}


def record_planes(sheet: Sheet, section: Section, done: dict[str, Sheet], side: Side) -> None:
    """Record the inner planes of a side and the columns that each wedge reaches.

    Nothing with one grid everywhere, or where a zone floats and no wedge has columns.
    """
    if not zone_sheets(section, done) or section.columns.short:
        return
    strips, known = strips_of_grid(section, done["columns"]), by_grid(section, done, "columns")
    planes = _planes(strips, side)
    sheet.axis("plane", [plane.label for plane in planes])
    sheet.axis("strip", [f"{strip.left:g} to {strip.right:g} m ({(strip.zone or section).key})" for strip in strips])
    scope = sheet.scope(f"{PLANES}{side.ending}", say("scope-planes-title", side_words=side.words))
    ends = [(strip.left, strip.right) if side.end == "r" else (-strip.right, -strip.left) for strip in strips]
    _places(scope, section, side, planes, ends)
    ratios = [known[strip.zone]["a_E"] for strip in strips]
    values = [float(ratio.array) for ratio in ratios]
    reached = _reaches(scope, planes, ends, values)
    sheet.kept[scope.name] = [[{strips[k].zone for k in reach.every} for reach in row] for row in reached]
    scope.reading(
        "a_Es",
        values,
        ["strip"],
        title=say("strips-title"),
        inputs=list({ratio.step: ratio for ratio in ratios}.values()),
    )
    _ratios(scope, reached, values)


def _planes(strips: tuple[GridStrip, ...], side: Side) -> list[_Plane]:
    """At the crest edge of the stage, and on both sides of every border."""
    planes = [_Plane(AT_EDGE)]
    for k, strip in enumerate(strips[:-1]):
        place = strip.right if side.end == "r" else -strip.right
        planes += [
            _Plane(say("plane-left", x=strip.right), place, k),
            _Plane(say("plane-right", x=strip.right), place, k + 1),
        ]
    return planes


def _places(
    scope: Scope, section: Section, side: Side, planes: Sequence[_Plane], ends: Sequence[tuple[float, float]]
) -> None:  # fmt: skip
    """Distance of every plane from the axis, the lengths beyond it, and the share of the height over it."""
    bare = scope.sheet.scopes[f"untreated{side.ending}"]  # of every stage, also where nothing is placed
    given_of_section(scope, "b_K", section, "embankment.crest_width", section.embankment.crest_width)
    given_of_section(scope, "b_g", section, side.extent_path, side.extent or 0.0)
    slope(scope, section, side)
    height = scope.take("H_q", bare["H_q"])
    scope.take("H_GF", bare["H_q"].at(stage=height.labels("stage")[-1]))
    scope.take("L_S", bare["L_S"])
    fields = ["embankment.crest_width", "field.beyond_left", "field.beyond_right"]
    fields += [f"columns.zone.{zone.key}.{name}" for _, zone in section.columns.zones for name in ("x_left", "x_right")]
    for k, (name, title) in enumerate((("x_s1", say("border-1-title")), ("x_s2", say("border-2-title")))):
        scope.reading(name, [end[k] for end in ends], ["strip"], title=title, note=say("borders-note"),
                      origins=[origin_of(section, path) for path in fields])  # fmt: skip
    edge = scope(cz.crest_edge_of_stage)
    places = np.stack(
        [edge.array if plane.place is None else np.full(edge.array.shape, plane.place) for plane in planes], -1
    )
    none = np.broadcast_to(~edge.valid[:, None], places.shape)
    scope.reading("x_ip", places, ["stage", "plane"], title=say("reading-x-ip-title"), reason=edge.reason,
                  inputs=[edge, scope["x_s1"], scope["x_s2"]], mask=none if none.any() else None)  # fmt: skip
    scope(cz.distance_to_crest_edge)
    run = scope(cz.length_from_inner_plane)
    other = "right" if side.end == "l" else "left"
    given_of_section(scope, "n_So", section, f"embankment.slope_{other}", getattr(section.embankment, f"slope_{other}"))
    scope(sq.slope_length, L_S="L_So", n_S="n_So", H="H_q")
    inside = scope(cz.distance_from_other_toe)
    berm = other in section.embankment.berms
    for end in (run, *([] if berm else [inside])):
        run = run.without(run.valid & ~above(np.where(end.valid, end.array, 0.0), 0.0), say("beyond-toe"))
    scope(cz.length_below_slope, L_w=run)
    scope(cz.field_beyond_inner_plane)
    scope(cz.height_over_inner_plane_before_berm if berm else cz.height_over_inner_plane)
    scope(cz.outer_end_of_columns)


def _reaches(
    scope: Scope, planes: Sequence[_Plane], ends: Sequence[tuple[float, float]], values: Sequence[float]
) -> list[list[_Reach]]:  # fmt: skip
    """By stage and plane; every strip in a stage without fill, of which nothing is asked."""
    outward = sorted(range(len(ends)), key=lambda k: ends[k])
    rows = []
    for k, label in enumerate(scope.sheet.axes["stage"]):
        last, row = scope["x_oe"].number({"stage": label}), []
        for p, plane in enumerate(planes):
            if last is None:
                row.append(_Reach(outward[0], tuple(outward)))
                continue
            at = float(scope["x_ip"].array[k, p])
            inner = plane.strip
            if inner is None:
                touched = [
                    strip for strip in outward if not above(ends[strip][0], at) and not above(at, ends[strip][1])
                ]
                # Beyond the outermost columns no strip is touched: the outermost one stands for it, along no length.
                inner = min(touched or outward[-1:], key=lambda strip: values[strip])
            row.append(_Reach(inner, tuple(
                strip for strip in outward if above(min(ends[strip][1], last), max(ends[strip][0], at))
            )))  # fmt: skip
        rows.append(row)
    return rows


def _ratios(scope: Scope, reached: Sequence[Sequence[_Reach]], values: Sequence[float]) -> None:
    """The ratio at every inner plane and along its wedge, from the shares of the strips in its length."""
    places = [scope[name] for name in ("x_s1", "x_s2", "x_ip", "x_oe")]
    axes, count = ["stage", "plane"], len(values)
    inner = [[[float(k == reach.inner) for k in range(count)] for reach in row] for row in reached]
    scope.reading("i_st", inner, [*axes, "strip"], title=say("inner-title"), inputs=places[:3])
    scope(cz.share_of_strip)
    least = [[_falling(reach, values) for reach in row] for row in reached]
    scope.reading("a_Em", least, [*axes, "strip"], title=say("falling-title"), inputs=[scope["a_Es"], *places])
    largest = [[max(values[k] for k in reach.strips or (reach.inner,)) for reach in row] for row in reached]
    scope.reading("a_Ex", largest, axes, title=say("largest-title"), inputs=[scope["a_Es"], scope["w_st"]])
    for step in (cz.ratio_at_inner_plane, cz.mean_ratio_in_wedge, cz.counted_ratio_in_wedge):
        scope(step)


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
    scope.take("L_w", planes["L_w"].without(~planes["L_ws"].valid, say("beyond-toe")))
    for name in ("L_ws", "b_w", "f_ip", "L_So", "d_io"):
        scope.take(name, planes[name])


def _falling(reach: _Reach, values: Sequence[float]) -> list[float]:
    """The ratios outward from the inner plane as far as they do not rise: outward the columns are stressed less."""
    numbers, least = list(values), inf
    for k in reach.strips or (reach.inner,):
        least = numbers[k] = min(least, values[k])
    return numbers


def _least(
    scope: Scope, name: str, zones: tuple[ZoneSheets, ...], reached: Sequence[Sequence[set[ColumnZone | None]]]
) -> None:  # fmt: skip
    """The least of the grids that the wedge reaches from every inner plane; of all where no stage differs."""
    value_of_field = scope.sheet[name]
    every: dict[ColumnZone | None, Value] = {None: value_of_field}
    every |= {zone.zone: zone.done["bearing"][name] for zone in zones}
    arrays = {zone: alike(value, value_of_field) for zone, value in every.items()}
    if not value_of_field.axes:
        least, axes = np.minimum.reduce(list(arrays.values())), value_of_field.axis_names
    else:
        by_plane = [
            np.stack([np.minimum.reduce([arrays[zone][k] for zone in row[p]]) for k, row in enumerate(reached)])
            for p in range(len(reached[0]))
        ]
        least, axes = np.stack(by_plane, axis=-1), (*value_of_field.axis_names, "plane")
    scope.reading(name, least, axes, title=say("reading-least-title"), inputs=list(every.values()))


def alike(value: Value, like: Value) -> NDArray[np.float64]:
    """The numbers of a value over the axes of another one, which may differ by the last, that of the stress ratio."""
    if value.axis_names == like.axis_names:
        return value.array
    if "ratio" in like.axis_names:
        return np.asarray(np.broadcast_to(value.array[:, None], like.array.shape), dtype=np.float64)
    return np.asarray(value.array.min(axis=-1), dtype=np.float64)
