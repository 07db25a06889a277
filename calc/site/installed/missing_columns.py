"""Columns without a record where the work has gone past them, told from those that are not installed yet.

Records do not say where a rig has still to work. Three project rules tell it from where and when the others were
installed; what they cannot tell (ground left aside along a straight front) the project says by ``finished``.
"""

from collections.abc import Sequence

import numpy as np
from scipy.sparse import coo_array
from scipy.sparse.csgraph import connected_components
from scipy.spatial import cKDTree

from calc.site.plan.column_layout import Array, Marks, Whole

AROUND = 2.0  # spacings about a column: project rule
PASSED = 0.8  # of the columns around have a record: project rule
WEEK = 5  # last days with records of a rig: beside their columns it may still come back: project rule
NEAR_WIDE = 2.5  # spacings from a column without records around it that are the front with it: project rule
BESIDE = 1.5  # spacings, in which neighbours stand, those of the second row do not
WHOLE_ROUND = 19  # columns within two spacings of one in a triangular grid, itself included
ENCLOSED = 0.5  # of the border has records: a front and the corner of a field have less


def missing_columns(
    spots: Array, scale: Array, beyond: Array, has: Marks, begun: Array, rigs: Sequence[str | None]
) -> Marks:
    """Columns without a record that the work has gone past.

    ``spots`` are the places of the plan in m, ``scale`` their spacings, ``beyond`` the places that bound the field;
    ``begun`` are days, nan where none is known: without days a rig is at work nowhere.
    """
    missing: Marks = np.zeros(len(has), dtype=bool)
    if has.all() or not has.any():
        return missing
    tree = cKDTree(spots)
    bare = np.flatnonzero(~has)
    centre, neighbour = _pairs(tree, spots[bare], AROUND * scale[bare])

    def around(which: Marks) -> Whole:
        return np.bincount(centre[which[neighbour]], minlength=len(bare))

    installed, whole = around(has), around(np.ones(len(has), dtype=bool)) - 1
    today, this_week = (_last_days(has, begun, rigs, days) for days in (1, WEEK))
    single = (whole > 0) & (installed >= PASSED * whole) & (around(today) == 0)
    bare_round = bare[installed == 0]
    wide: Marks = cKDTree(spots[bare_round]).query(spots[bare])[0] <= NEAR_WIDE * scale[bare]
    missing[bare] = single | (~wide & (around(this_week) == 0))
    left = bare[wide]
    if len(left):
        missing[left] |= _enclosed_ground(tree, spots, cKDTree(beyond), left, scale, has, this_week)
    return missing


def _pairs(tree: cKDTree, spots: Array, reach: Array) -> tuple[Whole, Whole]:
    """Index of a spot and index of a point of the tree for every two that are near."""
    near = tree.query_ball_point(spots, reach)
    counts = np.array([len(neighbours) for neighbours in near], dtype=np.int64)
    others = (
        np.concatenate([np.asarray(neighbours, dtype=np.int64) for neighbours in near])
        if len(near)
        else np.zeros(0, np.int64)
    )
    return np.repeat(np.arange(len(spots)), counts), others


def _last_days(has: Marks, begun: Array, rigs: Sequence[str | None], days: int) -> Marks:
    """Columns of the last days on which their rig worked."""
    at_work: Marks = np.zeros(len(has), dtype=bool)
    day = np.floor(begun)
    for rig in {rigs[k] for k in np.flatnonzero(has).tolist()}:
        own = has & np.isfinite(day) & np.array([name == rig for name in rigs], dtype=bool)
        at_work |= own & np.isin(day, np.unique(day[own])[-days:])
    return at_work


def _enclosed_ground(
    tree: cKDTree, spots: Array, beyond: cKDTree, left: Whole, scale: Array, has: Marks, at_work: Marks
) -> Marks:
    """Of wide ground without records the parts that the work lies around, and small ones that it has left."""
    centre, neighbour = _pairs(tree, spots[left], BESIDE * scale[left])
    place = np.full(len(has), -1, dtype=np.int64)
    place[left] = np.arange(len(left))
    inner = place[neighbour] >= 0
    links = coo_array(
        (np.ones(int(inner.sum())), (centre[inner], place[neighbour[inner]])), shape=(len(left), len(left))
    )
    count, part = connected_components(links, directed=False)
    records = np.bincount(part[centre], has[neighbour], count)
    busy = np.bincount(part[centre], at_work[neighbour], count) > 0
    outer, _ = _pairs(beyond, spots[left], BESIDE * scale[left])
    edge = np.bincount(part[outer], minlength=count)
    small = np.bincount(part, minlength=count) < WHOLE_ROUND
    gone = (records > 0) & ~busy & (small | (records > ENCLOSED * (records + edge)))
    enclosed: Marks = gone[part]
    return enclosed
