"""Sleeves packed into boxes in the order in which the columns are made, by row or by shift."""

from collections.abc import Sequence
from itertools import groupby
from math import ceil

from calc.inputs.tables.plan import BY_ROW, SleeveCuts
from calc.site.plan.column_list import Column


def boxes(columns: Sequence[Column], given: SleeveCuts) -> tuple[str, ...]:
    """The box of every column, of columns in the order of their ids; a box holds one type, for one row or shift.

    Boxes of one type and row or shift are filled alike.
    """
    if given.boxes_by == BY_ROW:
        names = [column.id.rpartition("-")[0] for column in columns]
    else:
        names = [f"S{k // (given.shift or 1) + 1:04d}" for k in range(len(columns))]
    packed, full = list[str](), dict[str, int]()
    for (name, _), own in groupby(zip(names, columns, strict=True), lambda pair: (pair[0], pair[1].sleeve_type)):
        count, before = len(list(own)), full.get(name, 0)
        number = ceil(count / given.box)
        packed += [f"{name}/{before + k * number // count + 1}" for k in range(count)]
        full[name] = before + number
    return tuple(packed)
