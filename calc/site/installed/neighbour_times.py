"""Columns that were installed too soon after a neighbour."""

import numpy as np
from scipy.spatial import cKDTree

from calc.engine.words import words_of
from calc.site.installed.judging import HOURS, Finding, Item, finding, without_value
from calc.site.installed.recorded_columns import HAIR, Compared, places_of
from calc.site.plan.column_layout import Array

say = words_of(__name__)

KEY = "neighbours"


def judge_neighbours(one: Compared) -> Item:
    """Time between the starts of every two columns that are neighbours in the plan."""
    limits = one.limits
    if "start" not in one.mapped:
        return Item(KEY, 0, say("no-start"))
    if limits.neighbour_distance is None or limits.neighbour_time is None:
        return Item(KEY, 0, say("no-limit"))
    start = one.number("start")
    known = np.flatnonzero(~np.isnan(start))
    findings = [*without_value(one, KEY, ~np.isnan(start))]
    reach = limits.neighbour_distance * one.made.plan.scale_factor
    if len(known) > 1:
        pairs = known[cKDTree(places_of(one.made)[known]).query_pairs(reach, output_type="ndarray")]
        apart = np.abs(start[pairs[:, 0]] - start[pairs[:, 1]])
        for k in np.flatnonzero(apart < limits.neighbour_time - HAIR).tolist():
            first, second = pairs[k].tolist()
            findings.append(_pair(one, first, second, start, float(apart[k])))
    return Item(KEY, len(known), findings=tuple(findings))


def _pair(one: Compared, k: int, other: int, start: Array, apart: float) -> Finding:
    """The later of two neighbours does not conform."""
    later, earlier = (k, other) if (start[k], k) > (start[other], other) else (other, k)
    return finding(one, later, KEY, apart, one.limits.neighbour_time, HOURS, say("after", other=one.ids[earlier]))
