"""Fill by depth: parts of every column where too little was placed (necking) or too much (loss)."""

from dataclasses import dataclass, replace

import numpy as np

from calc.engine.words import words_of
from calc.formulas.column_records import part_over_theory
from calc.formulas.geometry import column_area
from calc.site.installed.judging import METRE, PLAIN, Finding, Item, finding
from calc.site.installed.recorded_columns import HAIR, Compared, index_of
from calc.site.plan.column_layout import Array, Marks, Whole

say = words_of(__name__)

MILLIMETRE = 1e-3
KEY = "depth"


@dataclass(frozen=True)
class Parts:
    """Parts of columns from a reading up to the last one within a window: column, from and to (m), over the theory."""

    of: Whole
    begins: Array
    ends: Array
    ratio: Array


@dataclass(frozen=True)
class Placed:
    """Readings of columns of the plan, by column and from the toe up, with their parts; ``slips`` are none."""

    of: Whole
    depth: Array
    volume: Array
    parts: Parts
    slips: tuple[tuple[int, float], ...]
    """Column and depth of readings that no column of the plan can have, one a column."""


def placed_of(compared: Compared) -> Placed:
    """The readings that can be compared: not those of columns without a record, or without a toe."""
    readings, places = compared.records.readings, {name: k for k, name in enumerate(compared.ids)}
    of = index_of(readings.ids, places)[readings.of] if len(readings.of) else readings.of
    kept = (of >= 0) & compared.has[of] & np.isfinite(compared.toe)[of]
    of, depth, volume = of[kept], readings.depth[kept], readings.volume[kept]
    deepest = compared.planned("working_level") - compared.toe
    wrong: Marks = depth > (deepest + compared.planned("length"))[of]
    first = np.flatnonzero(wrong)[np.unique(of[wrong], return_index=True)[1]]
    slips = tuple((int(of[k]), float(depth[k])) for k in first)
    of, depth, volume = of[~wrong], depth[~wrong], volume[~wrong]
    parts = parts_of(
        of, depth, volume, compared.planned("diameter"), compared.limits.depth_window or 0.0, _fill_begins(compared)
    )
    return Placed(of, depth, volume, parts, slips)


def judge_by_depth(compared: Compared) -> Item:
    """Fill of every part of every column against the limits of the parts."""
    limits = compared.limits
    if not compared.installed.reading:
        return Item(KEY, 0, say("no-readings"))
    if limits.depth_window is None:
        return Item(KEY, 0, say("no-limit"))
    if not compared.mapped & {"toe_level", "length"}:
        return Item(KEY, 0, say("no-toe"))
    placed, deepest = placed_of(compared), compared.planned("working_level") - compared.toe
    judged = np.zeros(len(compared.ids), dtype=bool)
    judged[placed.parts.of] = True
    findings = [
        finding(compared, k, KEY, depth, float(deepest[k]), METRE, say("too-deep")) for k, depth in placed.slips
    ]
    findings += _uncovered(compared, placed.of, placed.depth)
    for limit, sign, note in ((limits.depth_least, -1, say("necking")), (limits.depth_most, 1, say("loss"))):
        if limit is not None:
            findings += _beyond(compared, placed.parts, limit, sign, note)
    return Item(KEY, int(judged.sum()), findings=tuple(findings))


def parts_of(of: Whole, depth: Array, volume: Array, diameter: Array, window: float, begins: Array) -> Parts:
    """The parts of columns; readings come by column, from the toe up. Parts that begin in the plug are left out.

    A part ends at the last reading within a window above, so that it is never longer: a longer one would even out what
    is missing in a part of it. It is not shorter than half a window, in which a slip of some centimetres in a depth
    would count for much. What then lies between two readings and in no part, because readings are uneven, is judged
    with as much of its neighbours, taken as evenly filled, as makes half a window.
    """
    if not len(of):
        return Parts(of, depth, depth, depth)
    order = np.argsort(of, kind="stable")
    of, depth, volume = of[order], depth[order], volume[order]
    rank = np.cumsum(np.concatenate([[0], np.diff(of) != 0]))
    # All columns in one rising array, farther from one another than any of them is deep.
    apart = float(depth.max()) + 2 * window + 1.0
    rising = rank * apart - depth
    above = np.searchsorted(rising, rising + window + MILLIMETRE, side="right") - 1
    filled = depth <= begins[of] + HAIR
    kept = (depth - depth[above] > window / 2 - MILLIMETRE) & (above > np.arange(len(of))) & filled
    lower, upper = np.flatnonzero(kept), above[kept]
    short, low, high = _short(_bare(rank, filled, lower, upper), rank, depth, filled, window / 2)
    lows, highs = np.concatenate([depth[lower], low]), np.concatenate([depth[upper], high])
    at = np.concatenate([lower, short])
    to_top, to_base = (np.interp(rank[at] * apart - ends, rising, volume) for ends in (highs, lows))
    ratio = part_over_theory(dV_z=to_top - to_base, A_c=column_area(d_c=diameter)[of[at]], l_z=lows - highs)
    return Parts(of[at], lows, highs, ratio)


def _bare(rank: Whole, filled: Marks, lower: Whole, upper: Whole) -> Whole:
    """Readings above which, up to the next one of the same column, no part lies."""
    steps = np.zeros(len(rank) + 1, dtype=np.int64)
    np.add.at(steps, lower, 1)
    np.add.at(steps, upper, -1)
    inner = np.concatenate([np.diff(rank) == 0, [False]])
    return np.flatnonzero(inner & filled & (np.cumsum(steps)[:-1] == 0))


def _short(bare: Whole, rank: Whole, depth: Array, filled: Marks, least: float) -> tuple[Whole, Array, Array]:
    """Parts of a length, from and to, that hold what lies above readings and go on below it, and above it.

    Longer than that is a gap, which is told; below the deepest reading of the fill and above the last one no part goes.
    """
    deepest, top = np.full(rank[-1] + 1, -np.inf), np.full(rank[-1] + 1, np.inf)
    np.maximum.at(deepest, rank[filled], depth[filled])
    np.minimum.at(top, rank, depth)
    bare = bare[depth[bare] - depth[bare + 1] < least]
    at, low = np.concatenate([bare, bare]), np.concatenate([depth[bare + 1] + least, depth[bare]])
    there = (low <= deepest[rank[at]] + HAIR) & (low - least >= top[rank[at]] - HAIR)
    at, low = at[there], low[there]
    return at, np.minimum(low, deepest[rank[at]]), np.maximum(low - least, top[rank[at]])


def _fill_begins(compared: Compared) -> Array:
    """Depth of the top of the plug below the working level; without a plug no reading lies below it."""
    known = np.where(compared.plug > 0, compared.planned("working_level") - compared.toe - compared.plug, np.inf)
    begins: Array = np.where(np.isnan(compared.plug), -np.inf, known)
    return begins


def _beyond(compared: Compared, parts: Parts, limit: float, sign: int, note: str) -> list[Finding]:
    """The worst part of every column that has one beyond the limit."""
    over = np.flatnonzero(sign * (parts.ratio - limit) > HAIR)
    if not len(over):
        return []
    order = over[np.lexsort((-sign * parts.ratio[over], parts.of[over]))]
    first = np.concatenate([[True], np.diff(parts.of[order]) != 0])
    return [
        finding(compared, int(parts.of[k]), KEY, float(parts.ratio[k]), limit, PLAIN,
                say("part", what=note, begins=f"{parts.begins[k]:.2f}", ends=f"{parts.ends[k]:.2f}"))
        for k in order[first]
    ]  # fmt: skip


def _uncovered(compared: Compared, of: Whole, depth: Array) -> list[Finding]:
    """Columns without a toe, and those whose readings leave too much of the fill out.

    Between two readings that is more than a window. Above the last and below the first one nothing is judged, whatever
    part it is looked at in: there it is more than half a window, the shortest part that is judged.
    """
    window = compared.limits.depth_window or 0.0
    low, high = np.full(len(compared.ids), -np.inf), np.full(len(compared.ids), np.inf)
    np.maximum.at(low, of, depth)
    np.minimum.at(high, of, depth)
    work = compared.planned("working_level")
    begins = np.minimum(_fill_begins(compared), work - compared.toe)
    end = window / 2 + MILLIMETRE
    bad: Marks = (low < begins - end) | (high > work - compared.planned("head") + end)
    gap = (np.diff(of) == 0) & (depth[:-1] - depth[1:] > window + MILLIMETRE) & (depth[1:] < begins[of[1:]])
    bad[of[:-1][gap]] = True
    toeless: Marks = np.isnan(compared.toe) | np.isnan(compared.plug)
    return [replace(finding(compared, int(k), KEY, note=say("toeless" if toeless[k] else "not-covered")), open=True)
            for k in np.flatnonzero(compared.has & (bad | toeless))]  # fmt: skip
