"""Sleeves packed into boxes in the order in which the columns are made, by row or by shift."""

from collections.abc import Sequence
from itertools import groupby
from math import ceil

from calc.inputs.tables.plan import BY_ROW, SleeveCuts
from calc.site.plan.column_list import Column


def boxes(columns: Sequence[Column], given: SleeveCuts) -> tuple[str, ...]:
    """The box of every column, of columns in the order of their ids; boxes of one row or shift are filled alike."""
    if given.boxes_by == BY_ROW:
        groups = [(row, len(list(own))) for row, own in groupby(columns, lambda one: one.id.rpartition("-")[0])]
    else:
        size = given.shift or 1
        groups = [(f"S{k // size + 1:04d}", min(size, len(columns) - k)) for k in range(0, len(columns), size)]
    found = list[str]()
    for name, count in groups:
        number = ceil(count / given.box)
        found += [f"{name}/{k * number // count + 1}" for k in range(count)]
    return tuple(found)
