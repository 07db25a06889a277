"""Columns that were installed too soon after a neighbour, or while their rig was at another one."""

from itertools import pairwise

import numpy as np
from scipy.spatial import cKDTree

from calc.engine.words import words_of
from calc.inputs.reading.scalars import show
from calc.site.installed.judging import HOURS, Finding, Item, finding, without_value
from calc.site.installed.recorded_columns import HAIR, Compared, places_of
from calc.site.plan.column_layout import Array

say = words_of(__name__)

KEY, SEQUENCE = "neighbours", "sequence"
MINUTE = 1 / (24 * 60)  # day, to which times are written


def judge_neighbours(compared: Compared) -> Item:
    """Time between the starts of every two columns that are neighbours in the plan."""
    limits = compared.limits
    if "start" not in compared.mapped:
        return Item(KEY, 0, say("no-start"))
    if limits.neighbour_distance is None or limits.neighbour_time is None:
        return Item(KEY, 0, say("no-limit"))
    start = compared.number("start")
    known = np.flatnonzero(~np.isnan(start))
    findings = [*without_value(compared, KEY, ~np.isnan(start))]
    reach = limits.neighbour_distance * compared.made.plan.scale_factor
    if len(known) > 1:
        pairs = known[cKDTree(places_of(compared.made)[known]).query_pairs(reach, output_type="ndarray")]
        apart = np.abs(start[pairs[:, 0]] - start[pairs[:, 1]])
        for k in np.flatnonzero(apart < limits.neighbour_time - HAIR).tolist():
            first, second = pairs[k].tolist()
            findings.append(_pair(compared, first, second, start, float(apart[k])))
    return Item(KEY, len(known), findings=tuple(findings))


def _pair(compared: Compared, k: int, other: int, start: Array, apart: float) -> Finding:
    """The later of two neighbours does not conform."""
    later, earlier = (k, other) if (start[k], k) > (start[other], other) else (other, k)
    return finding(
        compared, later, KEY, apart, compared.limits.neighbour_time, HOURS, say("after", other=compared.ids[earlier])
    )


def judge_sequence(compared: Compared) -> Item:
    """Whether a rig is at one column at a time: a slip in a day or an hour puts it at two."""
    needed = ("rig", "start", "end")
    if not {*needed} <= compared.mapped:
        return Item(SEQUENCE, 0, say("no-column", fields=" / ".join(needed)))
    start, end, rigs = compared.number("start"), compared.number("end"), compared.texts("rig")
    known = np.array([rig is not None for rig in rigs], dtype=bool) & ~np.isnan(start) & ~np.isnan(end)
    findings = [*without_value(compared, SEQUENCE, known)]
    # Of a column that ends before it starts the times are told already.
    whole = known & (end >= start)
    order = sorted(np.flatnonzero(whole).tolist(), key=lambda k: (str(rigs[k]), start[k], end[k], k))
    for k, after in pairwise(order):
        if rigs[k] == rigs[after] and start[after] < end[k] - MINUTE:
            # One that lasts beyond the whole of the next has more likely a wrong end than that a wrong start.
            told, other = (k, after) if end[k] > end[after] else (after, k)
            findings.append(
                finding(compared, told, SEQUENCE, note=say("together", rig=show(rigs[k]), other=compared.ids[other]))
            )
    return Item(SEQUENCE, int(known.sum()), findings=tuple(findings))
