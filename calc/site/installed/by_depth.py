"""Fill by depth: parts of every column where too little was placed (necking) or too much (loss)."""

from dataclasses import dataclass, replace

import numpy as np

from calc.engine.words import words_of
from calc.formulas.column_records import part_over_theory
from calc.formulas.geometry import column_area
from calc.site.installed.judging import HAIR, PLAIN, Finding, Item, finding
from calc.site.installed.recorded_columns import Compared, index_of
from calc.site.plan.column_layout import Array, Marks, Whole

say = words_of(__name__)

APART = 10_000.0  # m between the columns in one rising array; no depth comes near it
KEY = "depth"


@dataclass(frozen=True)
class Parts:
    """Parts of columns from a reading up to the first one a window above: column, from and to (m), over the theory."""

    of: Whole
    begins: Array
    ends: Array
    ratio: Array


def judge_by_depth(one: Compared) -> Item:
    """Fill of every part of every column against the limits of the parts."""
    limits, readings = one.limits, one.records.readings
    if not one.installed.reading:
        return Item(KEY, 0, say("no-readings"))
    if limits.depth_window is None:
        return Item(KEY, 0, say("no-limit"))
    places = {name: k for k, name in enumerate(one.ids)}
    of = index_of(readings.ids, places)[readings.of] if len(readings.of) else readings.of
    # Readings of columns without a record are listed with the ids.
    kept = (of >= 0) & one.has[of]
    of, depth, volume = of[kept], readings.depth[kept], readings.volume[kept]
    parts = parts_of(of, depth, volume, one.planned("diameter"), limits.depth_window, _fill_begins(one))
    judged = np.zeros(len(one.ids), dtype=bool)
    judged[parts.of] = True
    findings = [*_uncovered(one, of, depth)]
    for limit, sign, note in ((limits.depth_least, -1, say("necking")), (limits.depth_most, 1, say("loss"))):
        if limit is not None:
            findings += _beyond(one, parts, limit, sign, note)
    return Item(KEY, int(judged.sum()), findings=tuple(findings))


def parts_of(of: Whole, depth: Array, volume: Array, diameter: Array, window: float, begins: Array) -> Parts:
    """The parts of columns; readings come by column, from the toe up. Parts that begin in the plug are left out."""
    if not len(of):
        return Parts(of, depth, depth, depth)
    order = np.argsort(of, kind="stable")
    of, depth, volume = of[order], depth[order], volume[order]
    rank = np.cumsum(np.concatenate([[0], np.diff(of) != 0]))
    rising = rank * APART - depth
    above = np.searchsorted(rising, rising + window - HAIR)
    inside = above < len(of)
    above = np.minimum(above, len(of) - 1)
    kept = inside & (of[above] == of) & ~(depth > begins[of] + HAIR)
    lower, upper = np.flatnonzero(kept), above[kept]
    ratio = part_over_theory(
        dV_z=volume[upper] - volume[lower], A_c=column_area(d_c=diameter)[of[lower]],
        l_z=depth[lower] - depth[upper],
    )  # fmt: skip
    return Parts(of[lower], depth[lower], depth[upper], ratio)


def _fill_begins(one: Compared) -> Array:
    """Depth of the top of the plug below the working level; without a plug no reading lies below it."""
    toe = np.where(np.isnan(one.number("toe_level")), one.planned("toe"), one.number("toe_level"))
    found: Array = np.where(one.plug > 0, one.planned("working_level") - toe - one.plug, np.inf)
    return found


def _beyond(one: Compared, parts: Parts, limit: float, sign: int, note: str) -> list[Finding]:
    """The worst part of every column that has one beyond the limit."""
    over = np.flatnonzero(sign * (parts.ratio - limit) > HAIR)
    if not len(over):
        return []
    order = over[np.lexsort((-sign * parts.ratio[over], parts.of[over]))]
    first = np.concatenate([[True], np.diff(parts.of[order]) != 0])
    return [
        finding(one, int(parts.of[k]), KEY, float(parts.ratio[k]), limit, PLAIN,
                say("part", what=note, begins=f"{parts.begins[k]:.2f}", ends=f"{parts.ends[k]:.2f}"))
        for k in order[first]
    ]  # fmt: skip


def _uncovered(one: Compared, of: Whole, depth: Array) -> list[Finding]:
    """Columns whose readings leave more than a window of the fill out, at its bottom, at its top or between."""
    window = one.limits.depth_window or 0.0
    low, high = np.full(len(one.ids), -np.inf), np.full(len(one.ids), np.inf)
    np.maximum.at(low, of, depth)
    np.minimum.at(high, of, depth)
    begins, work = _fill_begins(one), one.planned("working_level")
    toe = np.where(np.isnan(one.number("toe_level")), one.planned("toe"), one.number("toe_level"))
    begins = np.where(np.isfinite(begins), begins, work - toe)
    bad: Marks = one.has & ((low < begins - window - HAIR) | (high > work - one.planned("head") + window + HAIR))
    gap = (np.diff(of) == 0) & (depth[:-1] - depth[1:] > 2 * window + HAIR)
    bad[of[:-1][gap]] = True
    return [replace(finding(one, int(k), KEY, note=say("not-covered")), open=True) for k in np.flatnonzero(bad)]
