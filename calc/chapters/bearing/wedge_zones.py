"""The columns in the extruding wedge where it reaches several grids: each counts along its own length."""

from collections.abc import Mapping, Sequence
from dataclasses import dataclass
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
from calc.chapters.shared.geometry import place_of
from calc.chapters.shared.soft_ground import Side
from calc.engine.levels import above
from calc.engine.sheet import Scope, Sheet, Value
from calc.engine.words import words_of
from calc.inputs import Section
from calc.inputs.tables.column_zones import GridStrip
from calc.inputs.tables.columns import ColumnZone

say = words_of(__name__)

LEAST = ("U_L", "Dc_u", "n_st")  # of the grids that the wedge reaches the least counts


@dataclass(frozen=True, slots=True)
class Grids:
    """Symbols in the wedge: area ratio for the soil, area to a column and stress of columns at inner plane and base."""

    mean: str = "a_E"
    inner: str = "A_E"
    base: str = "A_E"
    stress: str = "p_cN"


def grids_of_wedge(scope: Scope, section: Section, done: dict[str, Sheet], side: Side) -> Grids:
    """Record the ratios of the columns that the wedge of a side reaches; the one of the section without zones."""
    zones = zone_sheets(section, done)
    if not zones:
        return Grids()
    columns, stages = done["columns"], scope.sheet.axes["stage"]
    ratios = {zone: sheet["a_E"] for zone, sheet in by_grid(section, done, "columns").items()}
    strips = strips_of_grid(section, columns)
    outward = [_lengths(strips, *_ends(columns, side, label)) for label in stages]
    inner, mean, counted, largest = [], [], [], []
    reached = [{strips[k].zone for k in {*touched, *lengths}} for touched, lengths in outward]
    for touched, lengths in outward:
        known = {k: float(ratios[strips[k].zone].array) for k in {*touched, *lengths}}
        inner.append(min(known[k] for k in touched))
        mean.append(_mean(known, lengths, inner[-1]))
        counted.append(_mean(_falling(known, lengths), lengths, inner[-1]))
        largest.append(max(known.values()))
    inputs = [*ratios.values(), *places_of_fill(columns), *(place_of(columns, name) for name in ("x_cl", "x_cr"))]
    inputs += [one.done["columns"].scopes[ZONE][name] for one in zones for name in ("x_z1", "x_z2")]
    for name, values, title in (
        ("a_Ei", inner, say("inner-title")), ("a_Ew", mean, say("mean-title")),
        ("a_Eb", counted, say("counted-title")), ("a_Ex", largest, say("largest-title")),
    ):  # fmt: skip
        scope.reading(name, values, ["stage"], title=title, inputs=inputs)
    scope.take("a_E", scope["a_Ei"], note=say("take-a-e-note"))
    for name in LEAST:
        _least(scope, name, zones, reached)
    return Grids("a_Ew", "A_Ei", "A_Eb", "p_cNb")


def _mean(ratios: Mapping[int, float], lengths: Mapping[int, float], without: float) -> float:
    """Mean of the ratios by the lengths of their strips; ``without`` where there is no length."""
    run = sum(lengths.values())
    return sum(ratios[k] * one for k, one in lengths.items()) / run if run else without


def _falling(ratios: Mapping[int, float], lengths: Mapping[int, float]) -> dict[int, float]:
    """The ratios outward from the inner plane as far as they do not rise: outward the columns are stressed less."""
    found, least = {}, inf
    for k in lengths:
        least = min(least, ratios[k])
        found[k] = least
    return found


def _ends(columns: Sheet, side: Side, label: str) -> tuple[float, float]:
    """Crest edge of a stage and where its wedge or the columns end, whichever is nearer."""
    edge, last, toe = (
        place_of(columns, f"x_{name}{side.end}").number({"stage": label}) or 0.0 for name in ("e", "c", "t")
    )
    return edge, (max(last, toe) if side.end == "l" else min(last, toe))


def _lengths(strips: tuple[GridStrip, ...], edge: float, end: float) -> tuple[set[int], dict[int, float]]:
    """The strips at the inner plane, and the lengths from there to the end by strip, outward."""
    low, high = min(edge, end), max(edge, end)
    touched = {k for k, one in enumerate(strips) if not above(one.left, edge) and not above(edge, one.right)}
    # Beyond the outermost columns no strip is touched: the nearest one stands for it, along no length.
    touched = touched or {0 if edge < strips[0].left else len(strips) - 1}
    outward = range(len(strips)) if end > edge else range(len(strips) - 1, -1, -1)
    lengths = {k: min(strips[k].right, high) - max(strips[k].left, low) for k in outward}
    return touched, {k: one for k, one in lengths.items() if one > 0}


def _least(scope: Scope, name: str, zones: tuple[ZoneSheets, ...], reached: Sequence[set[ColumnZone | None]]) -> None:
    """The least of the grids that the wedge reaches in every stage; of all of them where no stage differs."""
    own = scope.sheet[name]
    every: dict[ColumnZone | None, Value] = {None: own}
    every |= {one.zone: one.done["bearing"][name] for one in zones}
    arrays = {zone: alike(value, own) for zone, value in every.items()}
    if own.axes:
        least = np.stack([np.minimum.reduce([arrays[one][k] for one in there]) for k, there in enumerate(reached)])
    else:
        least = np.minimum.reduce(list(arrays.values()))
    scope.reading(name, least, own.axis_names, title=say("reading-least-title"), inputs=list(every.values()))


def alike(value: Value, like: Value) -> NDArray[np.float64]:
    """The numbers of a value over the axes of another one, which may differ by the last, that of the stress ratio."""
    if value.axis_names == like.axis_names:
        return value.array
    if "ratio" in like.axis_names:
        return np.asarray(np.broadcast_to(value.array[:, None], like.array.shape), dtype=np.float64)
    return np.asarray(value.array.min(axis=-1), dtype=np.float64)
