"""The columns in the extruding wedge where it reaches several grids: each counts along its own length."""

from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from calc.chapters.shared.column_zones import ZONE, ZoneSheets, places_of_fill, strips_of_grid, zone_sheets
from calc.chapters.shared.geometry import place_of
from calc.chapters.shared.soft_ground import Side
from calc.engine.levels import above
from calc.engine.sheet import Scope, Sheet, Value
from calc.engine.words import words_of
from calc.inputs import Section
from calc.inputs.tables.column_zones import GridStrip

say = words_of(__name__)

LEAST = ("U_L", "Dc_u", "n_st")  # of all grids in the wedge the least counts


@dataclass(frozen=True, slots=True)
class Grids:
    """Symbols of the area ratio and of the area to a column in the wedge.

    ``mean`` is for the soil along base and top, ``area`` for the shear force of the columns, ``largest`` for their
    stress.
    """

    mean: str = "a_E"
    area: str = "A_E"
    largest: str = "a_E"


def grids_of_wedge(scope: Scope, section: Section, done: dict[str, Sheet], side: Side) -> Grids:
    """Record the ratios of the columns that the wedge of a side reaches; the one of the section without zones."""
    zones = zone_sheets(section, done)
    if not zones:
        return Grids()
    columns, stages = done["columns"], scope.sheet.axes["stage"]
    ratios = {None: columns["a_E"], **{one.zone: one.done["columns"]["a_E"] for one in zones}}
    strips = strips_of_grid(section, columns)
    outward = [_lengths(strips, *_ends(columns, side, label)) for label in stages]
    inner, mean, largest = [], [], []
    for touched, lengths in outward:
        known = {k: float(ratios[strips[k].zone].array) for k in {*touched, *lengths}}
        inner.append(min(known[k] for k in touched))
        run = sum(lengths.values())
        mean.append(sum(known[k] * one for k, one in lengths.items()) / run if run else inner[-1])
        largest.append(max(known.values()))
    inputs = [*ratios.values(), *places_of_fill(columns), *(place_of(columns, name) for name in ("x_cl", "x_cr"))]
    inputs += [one.done["columns"].scopes[ZONE][name] for one in zones for name in ("x_z1", "x_z2")]
    for name, values, title in (
        ("a_Ei", inner, say("inner-title")), ("a_Ew", mean, say("mean-title")), ("a_Ex", largest, say("largest-title")),
    ):  # fmt: skip
        scope.reading(name, values, ["stage"], title=title, inputs=inputs)
    scope.take("a_E", scope["a_Ei"], note=say("take-a-e-note"))
    for name in LEAST:
        _least(scope, name, zones)
    return Grids("a_Ew", "A_Ew", "a_Ex")


def _ends(columns: Sheet, side: Side, label: str) -> tuple[float, float]:
    """Crest edge of a stage and where its wedge or the columns end, whichever is nearer."""
    edge, last, toe = (
        place_of(columns, f"x_{name}{side.end}").number({"stage": label}) or 0.0 for name in ("e", "c", "t")
    )
    return edge, (max(last, toe) if side.end == "l" else min(last, toe))


def _lengths(strips: tuple[GridStrip, ...], edge: float, end: float) -> tuple[set[int], dict[int, float]]:
    """The strips at the inner plane, and the lengths from there to the end by strip."""
    low, high = min(edge, end), max(edge, end)
    touched = {k for k, one in enumerate(strips) if not above(one.left, edge) and not above(edge, one.right)}
    # Beyond the outermost columns no strip is touched: the nearest one stands for it, along no length.
    touched = touched or {0 if edge < strips[0].left else len(strips) - 1}
    lengths = {k: min(one.right, high) - max(one.left, low) for k, one in enumerate(strips)}
    return touched, {k: one for k, one in lengths.items() if one > 0}


def _least(scope: Scope, name: str, zones: tuple[ZoneSheets, ...]) -> None:
    """The least of all grids, whichever of them the wedge reaches."""
    own = scope.sheet[name]
    others = [one.done["bearing"][name] for one in zones]
    least = np.minimum.reduce([own.array, *(_alike(one, own) for one in others)])
    scope.reading(name, least, own.axis_names, title=say("reading-least-title"), inputs=[own, *others])


def _alike(value: Value, like: Value) -> NDArray[np.float64]:
    """The numbers of a value over the axes of another one, which may have one more for the stress ratio."""
    if value.axis_names == like.axis_names:
        return value.array
    if not value.axes:
        return np.broadcast_to(value.array, like.array.shape)
    more = "ratio" in like.axis_names and "ratio" not in value.axis_names
    array = np.broadcast_to(value.array[:, None], like.array.shape) if more else value.array.min(axis=-1)
    return np.asarray(array, dtype=np.float64)
