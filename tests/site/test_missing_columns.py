"""Columns without a record: gone past by the work, or still to come. An invented square field."""

from collections.abc import Callable

import numpy as np
import pytest

from calc.site.installed.missing_columns import missing_columns
from calc.site.plan.column_layout import Array, Marks

LONG, WIDE, SPACING, A_DAY = 40, 14, 2.0, 28
X, Y = (one.ravel() for one in np.meshgrid(np.arange(LONG), np.arange(WIDE), indexing="ij"))
SPOTS = SPACING * np.column_stack([X, Y]).astype(float)
RING_X, RING_Y = (one.ravel() for one in np.meshgrid(np.arange(-1, LONG + 1), np.arange(-1, WIDE + 1), indexing="ij"))
OUTSIDE = (RING_X < 0) | (RING_X == LONG) | (RING_Y < 0) | (RING_Y == WIDE)
BEYOND = SPACING * np.column_stack([RING_X, RING_Y])[OUTSIDE].astype(float)
DAY = 20_000.0 + np.floor((X * WIDE + Y) / A_DAY)  # two cross rows a day, from one end to the other


def found(has: Marks, day: Array = DAY) -> Marks:
    begun = np.where(has, day, np.nan)
    scale = np.full(len(has), SPACING)
    return missing_columns(SPOTS, scale, BEYOND, has, begun, ["R1" if one else None for one in has])


HOLES: dict[str, Callable[[], Marks]] = {
    "one": lambda: (X == 8) & (Y == 7),
    "a row along the edge": lambda: (Y == 0) & (X < 12),
    "a row from the middle of the work to its front": lambda: (Y == 6) & (X > 3),
    "two rows": lambda: (Y >= 6) & (Y < 8) & (X > 2) & (X < 14),
    "a row across": lambda: X == 9,
    "a block": lambda: (abs(X - 8) <= 3) & (abs(Y - 7) <= 3),
    "a block at the edge": lambda: (abs(X - 8) <= 3) & (Y < 6),
    "the corner": lambda: (X == 0) & (Y == 0),
    "a corner of four by four": lambda: (X < 4) & (Y < 4),
}


@pytest.mark.parametrize("hole", HOLES)
def test_what_the_work_has_gone_past_is_missing_and_its_front_is_not(hole: str) -> None:
    gone = HOLES[hole]()
    worked = X < 25
    missing = found(worked & ~gone)

    # Ten cross rows are those of the last five days, to which a rig may still come back.
    assert (missing & (X < 14)).tolist() == (gone & (X < 14)).tolist()
    assert not (missing & ~worked).any(), "the ground before the front is not begun"


@pytest.mark.parametrize("front", [
    lambda: X < 20,
    lambda: (X < 20) & ((X < 16) | (Y % 2 == 0)),
    lambda: X + Y < 24,
    lambda: (X < 20) | (X >= 30),
    lambda: (X < 12) | ((X < 22) & (Y < 7)),
    lambda: X < 2,
])  # fmt: skip
def test_fronts_of_the_work_are_not_accused(front: Callable[[], Marks]) -> None:
    has = front()
    day = np.where(X >= 30, DAY - 5, DAY)  # of two ends one is later

    assert not found(has, day).any()


def test_a_gap_that_is_left_behind_on_both_sides_is_missing_once_the_work_is_elsewhere() -> None:
    gap = (X >= 10) & (X < 16)

    assert found((X < 39) & ~gap)[gap].all()
    assert not found((X < 17) & ~gap).any(), "the rig is still beside it"


def test_without_days_or_records_nothing_is_still_at_work() -> None:
    row = Y == 6
    nowhere = np.zeros(len(X), dtype=bool)

    assert found((X < 25) & ~row, np.full(len(X), np.nan))[row & (X < 22)].all()
    assert not found(nowhere).any()
    assert not found(~nowhere).any()
