"""Readings against the trigger levels of the plan: which was crossed, when, and what the plan says to do."""

from collections.abc import Iterator, Mapping, Sequence
from dataclasses import dataclass, field

import numpy as np
from numpy.typing import NDArray

from calc.chapters.monitoring.reading_dates import KIND_WORDS, Spans, stages_of, words_of_trigger
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
    judged = {one.number: one for one in course.done["monitoring"].kept.get("judged", [])}
    found: list[Crossing] = []
    unread: list[UnreadTrigger] = []
    for number, trigger in enumerate(plan.triggers if plan else (), start=1):
        seen = list(_seen(course, series, trigger, judged.get(number)))
        every = (_crossed(trigger, number, one, level, which) for one, _, level, which in seen)
        found += [one for one in every if one is not None]
        if trigger.kind == "stop" and spans_in(course, trigger)[0][0] < course.last - MOMENT:
            compared = any(which.any() for *_, which in seen)
            why = _conflicts(course, series, trigger) or _stale(course, series, trigger, judged.get(number), seen)
            if why or not compared:
                unread.append(UnreadTrigger(trigger, number, why if compared else ""))
    # What stands comes first: of many a page names some.
    found.sort(key=lambda one: (not one.stands, one.trigger.kind != "stop", one.first, one.number, one.series))
    return found, unread


def _seen(course: DesignCourse, series: Sequence[Series], trigger: Trigger, judged: Judged | None) -> Iterator[Seen]:
    """Every course that has a level, with the readings that are held to it."""
    for one in courses_of(course, series, trigger):
        key = None if one.depth is None else course.layer_key(one.depth)
        level = level_in(trigger, judged, key)
        if level is not None:
            yield one, key, level, _held(course, trigger, one)


def _conflicts(course: DesignCourse, series: Sequence[Series], trigger: Trigger) -> str:
    """The instruments of a trigger with two values at one time, of which nobody knows the right one."""
    read = QUANTITIES[trigger.quantity].read_by
    own = [one for one in series if one.conflicts and one.quantity in read and in_layer(course, one, trigger)]
    return "; ".join(conflict_text(course, one) for one in own)


def conflict_text(course: DesignCourse, one: Series) -> str:
    """An instrument with two values at one time, and the first day of them."""
    return say("conflict", name=one.name, date=calendar_day(course.design, one.conflicts[0]))


def _stale(
    course: DesignCourse, series: Sequence[Series], trigger: Trigger, judged: Judged | None, seen: Sequence[Seen]
) -> str:  # fmt: skip
    """Kinds of instruments in a layer that say nothing of today, where a trigger holds at the last reading.

    One instrument of a kind in a layer is enough: others may be lost.
    """
    if not any(first - SLACK <= course.last <= end + SLACK for first, end in spans_in(course, trigger)):
        return ""
    known = {one.name: one for one in series}
    # An instrument that was never read is missed as much as one that is read no longer.
    newest = {(one.kind, key): (-np.inf, one.name) for one, key in _mapped(course, series, trigger)
              if level_in(trigger, judged, key) is not None}  # fmt: skip
    for one, key, _, _ in seen:
        days, own = one.days[~one.outliers], known.get(one.name)
        day = float(days[-1]) if days.size else -np.inf
        day = day if own is None else min(day, last_alive(own))
        group = (own.kind if own is not None else one.kind or one.name, key)
        newest[group] = max(newest.get(group, (-np.inf, one.name)), (day, one.name))
    old = sorted(one for one in newest.values() if one[0] < course.last - FRESH)
    return "; ".join(say("stale", name=name, date=calendar_day(course.design, day)) if np.isfinite(day)
                     else say("never", name=name) for day, name in old)  # fmt: skip


def _mapped(
    course: DesignCourse, series: Sequence[Series], trigger: Trigger
) -> Iterator[tuple[Series, str | None]]:  # fmt: skip
    """The instruments that read the quantity of a trigger by themselves, with the key of their layer."""
    if trigger.quantity in TOGETHER:
        return
    for one in series:
        if one.quantity in QUANTITIES[trigger.quantity].read_by and in_layer(course, one, trigger):
            yield one, None if one.depth is None else course.layer_key(one.depth)


def names_of(unread: Sequence[UnreadTrigger]) -> str:
    """The quantities and numbers of triggers that nothing was read for, or nothing that can be relied on."""
    by_reason: dict[tuple[str, str], list[str]] = {}
    for one in unread:
        by_reason.setdefault((one.trigger.quantity, one.why), []).append(f"T{one.number}")
    return "; ".join(f"{quantity} ({', '.join(numbers)}{f': {why}' if why else ''})"
                     for (quantity, why), numbers in by_reason.items())  # fmt: skip


def new_peaks(peaks: Sequence[Peak], last: float) -> list[Peak]:
    """Days of outliers of several places that are not older than FRESH days: nobody knows yet what they are."""
    return [one for one in peaks if one.day >= last - FRESH]


def peak_text(course: DesignCourse, peaks: Sequence[Peak]) -> str:
    """The days with the places that lie far from their neighbours together."""
    return "; ".join(
        say("peak", date=calendar_day(course.design, one.day), names=", ".join(one.names)) for one in peaks
    )


def doubted(crossed: Sequence[Crossing], last: float) -> list[Crossing]:
    """Red levels beyond which outliers lie that are not older than FRESH days: nobody knows yet whether they are."""
    return [one for one in crossed if one.trigger.kind == "stop" and one.doubtful is not None
            and ((one.outlier and one.until is None) or one.doubtful >= last - FRESH)]  # fmt: skip


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


def _crossed(trigger: Trigger, number: int, one: Course, level: float, which: Marks) -> Crossing | None:
    """What readings of the time in which a trigger holds make of it."""
    falls = QUANTITIES[trigger.quantity].falls
    beyond = one.values < level - SLACK if falls else one.values > level + SLACK
    over = which & beyond
    if not over.any():
        return None
    sure = over & ~one.outliers
    counted = sure if sure.any() else over
    days, places = one.days[counted], np.flatnonzero(counted)
    farthest = int(places[one.values[counted].argmin() if falls else one.values[counted].argmax()])
    # Of whatever time: a level is left behind by a reading that lies on the right side of it, and by nothing else.
    # One calm day takes no rate back: works that are stopped make one.
    calm = FRESH if trigger.quantity in RATES else 0.0
    later = (one.days > days.max()) & (one.days >= days.max() + calm - SLACK)
    back = one.days[~beyond & ~one.outliers & np.isfinite(one.values) & later]
    return Crossing(trigger, number, one.name, level, float(days.min()), float(days.max()), float(one.values[farthest]),
                    int(counted.sum()), not sure.any(), float(back[0]) if back.size else None,
                    max(one.days[over & one.outliers].tolist(), default=None), float(one.days[farthest]),
                    {name: float(part[farthest]) for name, part in one.parts.items()}, one.recipe)  # fmt: skip


def _held(course: DesignCourse, trigger: Trigger, one: Course) -> Marks:
    """The readings in the time in which a trigger holds."""
    if QUANTITIES[trigger.quantity].when == AT_START:
        return _before_stage(course, trigger, one)
    return _within(one.days, spans_in(course, trigger))


def _within(days: Floats, spans: Spans) -> Marks:
    """Readings in the spans; the start belongs to a span, and its end to the next one where there is one."""
    found = np.zeros(len(days), dtype=bool)
    for first, last in spans:
        found |= (days >= first - SLACK) & (days <= last + SLACK)
    return found


def _before_stage(course: DesignCourse, trigger: Trigger, one: Course) -> Marks:
    """The last readings before a stage: those of the last campaign, where the stage has begun."""
    (place,) = stages_of(course.section, trigger)[:1]
    start = course.calendar.starts[place]
    before = (one.days <= start + STARTED) & (one.days >= (course.calendar.starts[place - 1] if place else -np.inf))
    if start >= course.last - MOMENT or not before.any():
        return np.zeros(len(one.days), dtype=bool)
    return np.asarray(before & (one.days >= one.days[before].max() - SAME_DAY))
