"""The dates of reading: those of the programme and those that the project gives; the time in which a trigger holds."""

from dataclasses import dataclass
from itertools import pairwise

import numpy as np
from numpy.typing import NDArray

from calc.chapters.shared.frame import Frame
from calc.chapters.shared.programme import HAND_OVER, Calendar, Dates, dates_of, steps_of
from calc.engine.sheet import number_text
from calc.engine.words import words_of
from calc.factors.monitored import AFTER, AT_START, QUANTITIES
from calc.inputs import Section
from calc.inputs.tables.monitoring import FILLING, SERVICE, WAITING, Trigger

say = words_of(__name__)

Floats = NDArray[np.float64]
Spans = tuple[tuple[float, float], ...]
START = "start of"
MOMENT = 1e-6  # day
POINTS = 13  # looked at in every stretch between two dates of the programme


def before(day: float) -> float:
    """A moment before a day."""
    return max(0.0, day - MOMENT)


@dataclass(frozen=True)
class Reading:
    """Labels and days of the dates for which readings are expected; ``evaluation_days`` precede the load of the day."""

    labels: tuple[str, ...]
    days: tuple[float, ...]

    @property
    def evaluation_days(self) -> Floats:
        """Days at which the ground is asked: the start of a stage comes before its load, also one placed at once.

        So does the hand-over, with which traffic begins.
        """
        return np.array([before(day) if label.startswith(START) or label == HAND_OVER else day
                         for label, day in zip(self.labels, self.days, strict=True)])  # fmt: skip


def reading_dates(section: Section, shared: Frame, calendar: Calendar) -> Reading:
    """Dates of the programme and of the project in the order of time."""
    known: Dates = dates_of(section, shared, calendar)
    first = calendar.starts[steps_of(section)[0]]
    dates = section.monitoring.dates if section.monitoring is not None else ()
    rows = [*zip(known.labels, known.days, strict=True)]
    rows += [
        (say("day", day=number_text(day, 0 if float(day).is_integer() else 2)), day) for day in dates if day > first
    ]
    labels, days = zip(*sorted(rows, key=lambda row: row[1]), strict=True)
    return Reading(labels, days)


def spans_of(section: Section, trigger: Trigger, days: Calendar) -> Spans:
    """The stretches of time in which a trigger holds, in days."""
    if QUANTITIES[trigger.quantity].when == AFTER or trigger.phase == SERVICE:
        return ((days.hand_over, days.end_of_life),)
    starts, ends = days.starts, days.ends
    following = [*starts[1:], max(days.hand_over, ends[-1])]
    wanted = stages_of(section, trigger)
    if QUANTITIES[trigger.quantity].when == AT_START:
        return tuple((before(starts[k]), before(starts[k])) for k in wanted)
    if trigger.phase == FILLING:
        return tuple((starts[k], ends[k]) for k in wanted)
    if trigger.phase == WAITING:
        return tuple((ends[k], following[k]) for k in wanted)
    return tuple((starts[k], following[k]) for k in wanted)


def times_of(spans: Spans, breaks: tuple[float, ...]) -> Floats:
    """Days at which a quantity is looked at: ends, dates of the programme between them, and points between those."""
    days: list[float] = []
    for first, last in spans:
        inside = [first, *(day for day in sorted(set(breaks)) if first < day < last), last]
        for begin, end in pairwise(inside):
            days += list(np.linspace(begin, end, POINTS))
        days.append(last)
    return np.unique(days)


def stages_of(section: Section, trigger: Trigger) -> tuple[int, ...]:
    """Indices of the stages in which a trigger holds; the last one is there in service."""
    if QUANTITIES[trigger.quantity].when == AFTER or trigger.phase == SERVICE:
        return (len(section.stages) - 1,)
    return tuple(k for k, stage in enumerate(section.stages) if trigger.stage in {None, stage.name})


KIND_WORDS = {"attention": "amber", "stop": "red"}


def words_of_trigger(trigger: Trigger) -> str:
    """When a trigger holds, in words."""
    if QUANTITIES[trigger.quantity].when == AFTER:
        return say("from-hand-over")
    if trigger.phase == SERVICE:
        return SERVICE
    if QUANTITIES[trigger.quantity].when == AT_START:
        return f"{START} {trigger.stage}"
    stage = trigger.stage or say("every-stage")
    return f"{stage}, {trigger.phase}" if trigger.phase else (trigger.stage or say("until-hand-over"))
