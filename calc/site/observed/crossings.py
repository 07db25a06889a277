"""Readings against the trigger levels of the plan: which was crossed, when, and what the plan says to do."""

from collections.abc import Iterator, Mapping, Sequence
from dataclasses import dataclass, field

import numpy as np
from numpy.typing import NDArray

from calc.chapters.monitoring.reading_dates import KIND_WORDS, stages_of, words_of_trigger
from calc.chapters.monitoring.triggers import Judged
from calc.engine.words import words_of
from calc.factors.monitored import AT_START, QUANTITIES
from calc.inputs.tables.monitoring import Trigger
from calc.site.observed.design_course import DesignCourse
from calc.site.observed.fresh_readings import last_alive
from calc.site.observed.series import SAME_DAY, Peak, Series
from calc.site.observed.trigger_courses import (
    MOMENT,
    RATES,
    SLACK,
    TOGETHER,
    Course,
    Recipe,
    courses_of,
    in_layer,
    spans_in,
)
from calc.site.observed.works_dates import FRESH, calendar_day

say = words_of(__name__)

Floats = NDArray[np.float64]
Marks = NDArray[np.bool_]
STARTED = 1.0  # day after the start of a stage up to which a strength counts as read before it


@dataclass(frozen=True, slots=True)
class Crossing:
    """A level that a series crossed: first and last day, the farthest value, the level at its unit inside.

    ``outlier`` says that readings marked as outliers alone did so, ``until`` is the day of the first later reading that
    does not lie beyond the level; None as long as there is none.
    """

    trigger: Trigger
    number: int
    series: str
    level: float
    first: float
    last: float
    worst: float
    count: int
    outlier: bool
    until: float | None
    doubtful: float | None = None
    """Last day of an outlier beyond the level, beside readings that are none; None without any."""
    day: float = 0.0
    """Day of the farthest value."""
    parts: Mapping[str, float] = field(default_factory=dict)
    """By symbol what the farthest value is made of; nothing where it is read as it is."""
    recipe: Recipe = ()

    @property
    def kind(self) -> str:
        """Amber or red."""
        return KIND_WORDS[self.trigger.kind]

    @property
    def when(self) -> str:
        """When the trigger holds."""
        return words_of_trigger(self.trigger)

    @property
    def stands(self) -> bool:
        """Whether a red level is crossed by more than outliers, and no later reading lies back."""
        return self.trigger.kind == "stop" and not self.outlier and self.until is None


@dataclass(frozen=True, slots=True)
class UnreadTrigger:
    """A red trigger that has held by the last reading, and that nothing was read for, or nothing that can be relied on.

    ``why`` names the instruments; empty where no reading was compared.
    """

    trigger: Trigger
    number: int
    why: str = ""


Seen = tuple[Course, str | None, float, Marks]
"""A course, the key of its layer, the level in it, and which of its readings are held to it."""


def crossings(course: DesignCourse, series: Sequence[Series]) -> tuple[list[Crossing], list[UnreadTrigger]]:
    """Every trigger that readings of the section crossed, red ones first; red ones that nothing was read for."""
    plan = course.section.monitoring
    judged = {each.number: each for each in course.done["monitoring"].kept.get("judged", [])}
    crossed: list[Crossing] = []
    unread: list[UnreadTrigger] = []
    for number, trigger in enumerate(plan.triggers if plan else (), start=1):
        seen = list(_courses_with_level(course, series, trigger, judged.get(number)))
        every = (_crossing(trigger, number, trace, level, which) for trace, _, level, which in seen)
        crossed += [crossing for crossing in every if crossing is not None]
        if trigger.kind == "stop" and spans_in(course, trigger)[0][0] < course.last - MOMENT:
            compared = any(which.any() for *_, which in seen)
            why = _conflicts(course, series, trigger) or _stale(course, series, trigger, judged.get(number), seen)
            if why or not compared:
                unread.append(UnreadTrigger(trigger, number, why if compared else ""))
    # What stands comes first: of many a page names some.
    crossed.sort(
        key=lambda crossing: (
            not crossing.stands,
            crossing.trigger.kind != "stop",
            crossing.first,
            crossing.number,
            crossing.series,
        )
    )
    return crossed, unread


def _courses_with_level(
    course: DesignCourse, series: Sequence[Series], trigger: Trigger, judged: Judged | None
) -> Iterator[Seen]:
    """Every course that has a level, with the readings that are held to it."""
    for trace in courses_of(course, series, trigger):
        key = None if trace.depth is None else course.layer_key(trace.depth)
        level = level_in(trigger, judged, key)
        if level is not None:
            yield trace, key, level, _readings_in_time(course, trigger, trace)


def _conflicts(course: DesignCourse, series: Sequence[Series], trigger: Trigger) -> str:
    """The instruments of a trigger with two values at one time, of which nobody knows the right one."""
    read = QUANTITIES[trigger.quantity].read_by
    own = [
        instrument
        for instrument in series
        if instrument.conflicts and instrument.quantity in read and in_layer(course, instrument, trigger)
    ]
    return "; ".join(conflict_text(course, instrument) for instrument in own)


def conflict_text(course: DesignCourse, instrument: Series) -> str:
    """An instrument with two values at one time, and the first day of them."""
    return say("conflict", name=instrument.name, date=calendar_day(course.design, instrument.conflicts[0]))


def _stale(
    course: DesignCourse, series: Sequence[Series], trigger: Trigger, judged: Judged | None, seen: Sequence[Seen]
) -> str:  # fmt: skip
    """Kinds of instruments in a layer that say nothing of today, where a trigger holds at the last reading.

    One instrument of a kind in a layer is enough: others may be lost.
    """
    if not any(first - SLACK <= course.last <= end + SLACK for first, end in spans_in(course, trigger)):
        return ""
    known = {instrument.name: instrument for instrument in series}
    # An instrument that was never read is missed as much as one that is read no longer.
    newest = {(instrument.kind, key): (-np.inf, instrument.name)
              for instrument, key in _instruments_of(course, series, trigger)
              if level_in(trigger, judged, key) is not None}  # fmt: skip
    for trace, key, _, _ in seen:
        days, own = trace.days[~trace.outliers], known.get(trace.name)
        day = float(days[-1]) if days.size else -np.inf
        day = day if own is None else min(day, last_alive(own))
        group = (own.kind if own is not None else trace.kind or trace.name, key)
        newest[group] = max(newest.get(group, (-np.inf, trace.name)), (day, trace.name))
    old = sorted(entry for entry in newest.values() if entry[0] < course.last - FRESH)
    return "; ".join(say("stale", name=name, date=calendar_day(course.design, day)) if np.isfinite(day)
                     else say("never", name=name) for day, name in old)  # fmt: skip


def _instruments_of(
    course: DesignCourse, series: Sequence[Series], trigger: Trigger
) -> Iterator[tuple[Series, str | None]]:  # fmt: skip
    """The instruments that read the quantity of a trigger by themselves, with the key of their layer."""
    if trigger.quantity in TOGETHER:
        return
    for instrument in series:
        if instrument.quantity in QUANTITIES[trigger.quantity].read_by and in_layer(course, instrument, trigger):
            yield instrument, None if instrument.depth is None else course.layer_key(instrument.depth)


def names_of(unread: Sequence[UnreadTrigger]) -> str:
    """The quantities and numbers of triggers that nothing was read for, or nothing that can be relied on."""
    by_reason: dict[tuple[str, str], list[str]] = {}
    for missed in unread:
        by_reason.setdefault((missed.trigger.quantity, missed.why), []).append(f"T{missed.number}")
    return "; ".join(f"{quantity} ({', '.join(numbers)}{f': {why}' if why else ''})"
                     for (quantity, why), numbers in by_reason.items())  # fmt: skip


def new_peaks(peaks: Sequence[Peak], last: float) -> list[Peak]:
    """Days of outliers of several places that are not older than FRESH days: nobody knows yet what they are."""
    return [peak for peak in peaks if peak.day >= last - FRESH]


def peak_text(course: DesignCourse, peaks: Sequence[Peak]) -> str:
    """The days with the places that lie far from their neighbours together."""
    return "; ".join(
        say("peak", date=calendar_day(course.design, peak.day), names=", ".join(peak.names)) for peak in peaks
    )


def doubtful_crossings(crossed: Sequence[Crossing], last: float) -> list[Crossing]:
    """Red levels beyond which outliers lie that are not older than FRESH days: nobody knows yet whether they are."""
    return [crossing for crossing in crossed if crossing.trigger.kind == "stop" and crossing.doubtful is not None
            and ((crossing.outlier and crossing.until is None) or crossing.doubtful >= last - FRESH)]  # fmt: skip


def level_in(trigger: Trigger, judged: Judged | None, key: str | None) -> float | None:
    """The level inside, in a layer or anywhere; "design" has that of the layer where there is one."""
    if trigger.level.value is not None:
        return trigger.level.value
    return None if judged is None else dict(judged.by_layer).get(key or "", judged.level)


def layers_of(course: DesignCourse, trigger: Trigger, judged: Judged | None) -> list[str]:
    """Keys of the layers that a trigger holds in: its own, those that the design counts with, or every soft one."""
    if trigger.layer is not None:
        return [trigger.layer]
    counted = [key for key, _ in judged.by_layer] if judged is not None else []
    return counted or list(dict.fromkeys(layer.of for layer in course.section.soft_layers))


def _crossing(trigger: Trigger, number: int, trace: Course, level: float, which: Marks) -> Crossing | None:
    """What readings of the time in which a trigger holds make of it."""
    falls = QUANTITIES[trigger.quantity].falls
    beyond = trace.values < level - SLACK if falls else trace.values > level + SLACK
    over = which & beyond
    if not over.any():
        return None
    sure = over & ~trace.outliers
    counted = sure if sure.any() else over
    days, places = trace.days[counted], np.flatnonzero(counted)
    farthest = int(places[trace.values[counted].argmin() if falls else trace.values[counted].argmax()])
    # Of whatever time: a level is left behind by a reading that lies on the right side of it, and by nothing else.
    # One calm day takes no rate back: works that are stopped make one.
    calm = FRESH if trigger.quantity in RATES else 0.0
    later = (trace.days > days.max()) & (trace.days >= days.max() + calm - SLACK)
    back = trace.days[~beyond & ~trace.outliers & np.isfinite(trace.values) & later]
    return Crossing(trigger, number, trace.name, level, float(days.min()), float(days.max()),
                    float(trace.values[farthest]),
                    int(counted.sum()), not sure.any(), float(back[0]) if back.size else None,
                    max(trace.days[over & trace.outliers].tolist(), default=None), float(trace.days[farthest]),
                    {name: float(part[farthest]) for name, part in trace.parts.items()}, trace.recipe)  # fmt: skip


def _readings_in_time(course: DesignCourse, trigger: Trigger, trace: Course) -> Marks:
    """The readings in the time in which a trigger holds."""
    if QUANTITIES[trigger.quantity].when == AT_START:
        return _before_stage(course, trigger, trace)
    held = np.zeros(len(trace.days), dtype=bool)
    for first, last in spans_in(course, trigger):
        held |= (trace.days >= first - SLACK) & (trace.days <= last + SLACK)
    return held


def _before_stage(course: DesignCourse, trigger: Trigger, trace: Course) -> Marks:
    """The last readings before a stage: those of the last campaign, where the stage has begun."""
    (place,) = stages_of(course.section, trigger)[:1]
    start = course.calendar.starts[place]
    before = (trace.days <= start + STARTED) & (trace.days >= (course.calendar.starts[place - 1] if place else -np.inf))
    if start >= course.last - MOMENT or not before.any():
        return np.zeros(len(trace.days), dtype=bool)
    return np.asarray(before & (trace.days >= trace.days[before].max() - SAME_DAY))
