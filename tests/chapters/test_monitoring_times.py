"""The time in which a level holds, and the days that are looked at in it."""

from pathlib import Path
from typing import Any

import numpy as np
import pytest

from calc.chapters.monitoring.reading_dates import spans_of, stages_of, times_of, words_of_trigger
from calc.chapters.shared.programme import Calendar
from tests.chapters.monitoring_case import FINAL, FIRST, read, timed, trigger, watched

approx = pytest.approx

DAYS = Calendar((30.0, 130.0), (44.0, 158.0), 500.0, 37025.0)  # of the test project


@pytest.mark.parametrize(("change", "spans", "words"), [
    ({}, ((30, 130), (130, 500)), "until hand-over"),
    ({"stage": FINAL}, ((130, 500),), FINAL),
    ({"phase": "filling"}, ((30, 44), (130, 158)), "every stage, filling"),
    ({"stage": FIRST, "phase": "waiting"}, ((44, 130),), f"{FIRST}, waiting"),
    ({"phase": "in service"}, ((500, 37025),), "in service"),
])  # fmt: skip
def test_time_in_which_a_level_holds(
    tmp_path: Path, change: dict[str, str], spans: tuple[Any, ...], words: str
) -> None:
    made = read(tmp_path, timed(watched(trigger("settlement", "0.9 m", **change)))).sections[0]
    assert made.monitoring is not None
    one = made.monitoring.triggers[0]

    assert [list(map(float, span)) for span in spans_of(made, one, DAYS)] == [list(map(float, span)) for span in spans]
    assert words_of_trigger(one) == words


def test_levels_at_the_start_and_after_hand_over_have_their_own_time(tmp_path: Path) -> None:
    given = (trigger("undrained strength", "25 kPa", stage=FINAL), trigger("residual settlement", "0.2 m"))
    made = read(tmp_path, timed(watched(*given))).sections[0]
    assert made.monitoring is not None
    start, rest = made.monitoring.triggers

    assert np.array(spans_of(made, start, DAYS)) == approx(np.array([[130.0, 130.0]]), abs=1e-5)
    assert spans_of(made, rest, DAYS) == ((500.0, 37025.0),)
    assert (words_of_trigger(start), words_of_trigger(rest)) == (f"start of {FINAL}", "from hand-over")
    assert stages_of(made, rest) == (1,)


def test_dates_of_the_programme_are_among_the_days_looked_at() -> None:
    days = times_of(((0.0, 100.0), (200.0, 200.0)), (44.0, 30.0, 300.0))

    assert {0.0, 30.0, 44.0, 100.0, 200.0} <= set(days)
    assert days.max() == 200.0
    assert (np.diff(days) > 0).all()
