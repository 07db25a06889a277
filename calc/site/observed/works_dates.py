"""When the stages were placed, by the fill that was read: starts, ends, and what is not known of them."""

import datetime as dt
from dataclasses import dataclass
from itertools import pairwise

import numpy as np
from numpy.typing import NDArray

from calc.chapters.shared.programme import Calendar
from calc.engine.words import words_of
from calc.inputs import Design, Section
from calc.site.observed.series import Series

say = words_of(__name__)

Floats = NDArray[np.float64]
FRESH = 14.0  # day before the last reading of a section, from which a reading says nothing of today: project rule
LIFT_SHARE = 0.05  # of a lift, by which readings of the fill may differ from its ends: project rule
FALLEN = 0.05  # of the highest fill read; where a reading lies lower by more, fill was taken off: project rule
SUBTLE = 1e-6  # day
AFTER = 1e-4  # day; what has not begun by the last reading begins so long after it at the earliest


@dataclass(frozen=True)
class Works:
    """Starts and ends of the stages (day) and which of them were read off the fill.

    ``note`` is what is to be known of the dates, ``unknown`` why the load that lies there is not known.
    """

    starts: tuple[float, ...]
    ends: tuple[float, ...]
    read: tuple[bool, ...]
    note: str = ""
    unknown: str = ""


def works_of(design: Design, section: Section, planned: Calendar, fill: Series | None, last: float) -> Works:
    """By the fill where it was read; what has not begun by it is put off by the delay, behind the last reading."""
    count = len(section.stages)
    by_plan = Works(planned.starts, planned.ends, (False,) * count)
    if fill is None or not fill.used.days.size:
        return Works(by_plan.starts, by_plan.ends, by_plan.read, say("no-fill"))
    base = section.platform.thickness if section.platform is not None else 0.0
    heights = [0.0, *(base + stage.fill_height for stage in section.stages)]
    doubt = _doubt(design, fill, heights)
    if any(after < before for before, after in pairwise(heights)):
        return Works(by_plan.starts, by_plan.ends, by_plan.read, say("fill-taken-off"), doubt)
    days, level = fill.used.days, np.maximum.accumulate(fill.used.values)
    starts, ends, read = list(planned.starts), list(planned.ends), [False] * count
    late, due = 0.0, ""
    for k, stage in enumerate(section.stages):
        low, high = heights[k], heights[k + 1]
        done = (float(level[-1]) - low) / (high - low) if high > low else 0.0
        before = ends[k - 1] if k else 0.0
        if done > LIFT_SHARE:
            start, end = _lift(days, level, low, high)
            if done < 1 - LIFT_SHARE:
                # How far it has come since is not known: what is missing comes after the last reading of anything.
                end = last + (1 - done) * stage.duration
                due = due or stage.name
            starts[k] = max(start, before)
            ends[k], read[k] = max(starts[k], end), True
        else:
            begins = max(planned.starts[k] + late, before)
            if high > low and begins <= last:
                begins, due = last + AFTER, due or stage.name
            starts[k], ends[k] = begins, begins + stage.duration
        late = max(late, ends[k] - planned.ends[k])
    lower, unknown = _lower(design, fill)
    unknown = doubt or unknown
    old = ""
    if float(days[-1]) < last - FRESH and float(level[-1]) < heights[-1] - LIFT_SHARE * (heights[-1] - heights[-2]):
        date, since = calendar_day(design, float(days[-1])), f"{last - float(days[-1]):.0f}"
        old = "" if due else say("old", date=date, days=since)
        unknown = unknown or (say("stale", date=date, days=since, stage=due) if due else "")
    note = " ".join(text for text in (_first(design, days, level, heights), lower, old) if text)
    return Works(tuple(starts), tuple(ends), tuple(read), note, unknown)


def _doubt(design: Design, fill: Series, heights: list[float]) -> str:
    """Why the fill as it was read is not known, or not that of the design: two values at one time, or too high."""
    if fill.conflicts:
        return say("conflict", name=fill.name, date=calendar_day(design, fill.conflicts[0]))
    top = max(heights)
    below = max((height for height in heights if height < top), default=top)
    days, values = fill.used.days, fill.used.values
    most = int(np.argmax(values))
    if values[most] <= top + LIFT_SHARE * (top - below):
        return ""
    return say("too-high", height=f"{values[most]:.2f}", date=calendar_day(design, float(days[most])),
               top=f"{top:.2f}", share=f"{100 * LIFT_SHARE:.0f}")  # fmt: skip


def _first(design: Design, days: Floats, level: Floats, heights: list[float]) -> str:
    """What is said where fill lay there when it was first read."""
    first = next((height for height in heights if height > 0), 0.0)
    if float(level[0]) <= LIFT_SHARE * first:
        return ""
    return say("first", height=f"{level[0]:.2f}", date=calendar_day(design, float(days[0])))


def _lower(design: Design, fill: Series) -> tuple[str, str]:
    """What readings of the fill that lie below an earlier one make of the dates, and of the load."""
    days, values = fill.used.days, fill.used.values
    drop = np.maximum.accumulate(values) - values
    worst = int(np.argmax(drop))
    if drop[worst] <= 0:
        return "", ""
    by, date = f"{drop[worst]:.2f}", calendar_day(design, float(days[worst]))
    if drop[worst] > FALLEN * float(values.max()):
        return "", say("taken-off", drop=by, date=date, share=f"{100 * FALLEN:.0f}")
    return say("lower", drop=by, date=date), ""


def _lift(days: Floats, level: Floats, low: float, high: float) -> tuple[float, float]:
    """Start and end of a lift between two heights, carried on to both from where it has 5 % and 95 % of its fill."""
    margin = LIFT_SHARE * (high - low)
    first = _reaches(days, level, low + margin)
    if float(level[-1]) < high - margin:
        return first, first
    last = _reaches(days, level, high - margin)
    beyond = LIFT_SHARE / (1 - 2 * LIFT_SHARE) * (last - first)
    return max(0.0, first - beyond), last + beyond


def _reaches(days: Floats, level: Floats, height: float) -> float:
    """The day at which the fill reaches a height, on straight lines between its readings."""
    k = int(np.argmax(level >= height))
    if k == 0:
        return max(0.0, float(days[0]))
    share = (height - level[k - 1]) / (level[k] - level[k - 1])
    return max(0.0, float(days[k - 1] + share * (days[k] - days[k - 1])))


def calendar_day(design: Design, day: float) -> str:
    """The day of the calendar of a day from the start of works."""
    assert design.observed is not None  # noqa: S101 - without it nothing is observed
    return (design.observed.start + dt.timedelta(days=int(np.floor(day + SUBTLE)))).isoformat()
