"""Readings against the trigger levels of the plan: which was crossed, when, and what the plan says to do."""

from collections.abc import Iterator, Sequence
from dataclasses import dataclass, replace

import numpy as np
from numpy.typing import NDArray

from calc.chapters.monitoring.reading_dates import KIND_WORDS, Spans, spans_of, stages_of, words_of_trigger
from calc.chapters.monitoring.triggers import Judged
from calc.engine.words import words_of
from calc.factors.monitored import AT_START, QUANTITIES
from calc.formulas.monitoring import settlement_rate
from calc.formulas.observation import displacement_ratio
from calc.formulas.unit_cell import stress_ratio
from calc.inputs.tables.monitoring import Trigger
from calc.site.observed.design_course import DesignCourse
from calc.site.observed.fresh_readings import last_alive
from calc.site.observed.series import Series
from calc.site.observed.settlement_analysis import degree_before
from calc.site.observed.works_dates import FRESH, calendar_day

say = words_of(__name__)

Floats = NDArray[np.float64]
Marks = NDArray[np.bool_]
SLACK = 1e-9
MOMENT = 1e-5  # day; a stage whose start is put off to the last reading has not begun by it
LEAST_LOAD = 10.0  # kPa; under less the scatter of the cells makes the ratio: project rule
LEAST_SETTLEMENT = 0.02  # m; over less the scatter of readings would make the displacement ratio: project rule
DAY = 1.0
HALF_DAY = 0.5  # day; readings of two cells within it are of one time
RATES = {"settlement rate", "lateral rate"}
EITHER_WAY = {"lateral displacement", "lateral rate"}  # the magnitude counts, whatever way an instrument calls positive
RATIO, INCREMENTS = "displacement ratio", "displacement increment ratio"
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


@dataclass(frozen=True)
class Course:
    """What a trigger is compared with: values of a quantity in time, with the series that they come from."""

    name: str
    days: Floats
    values: Floats
    outliers: Marks
    depth: float | None = None
    kind: str = ""
    """The instruments of the plan that its own is one of, where the name is of several."""


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
        if trigger.kind == "stop" and _spans(course, trigger)[0][0] < course.last - MOMENT:
            compared = any(which.any() for *_, which in seen)
            why = _conflicts(course, series, trigger) or _stale(course, series, trigger, judged.get(number), seen)
            if why or not compared:
                unread.append(UnreadTrigger(trigger, number, why if compared else ""))
    found.sort(key=lambda one: (one.trigger.kind != "stop", one.first, one.number, one.series))
    return found, unread


def _seen(course: DesignCourse, series: Sequence[Series], trigger: Trigger, judged: Judged | None) -> Iterator[Seen]:
    """Every course that has a level, with the readings that are held to it."""
    for one in _courses(course, series, trigger):
        key = None if one.depth is None else course.layer_key(one.depth)
        level = level_in(trigger, judged, key)
        if level is not None:
            yield one, key, level, _held(course, trigger, one)


def _conflicts(course: DesignCourse, series: Sequence[Series], trigger: Trigger) -> str:
    """The instruments of a trigger with two values at one time, of which nobody knows the right one."""
    read = QUANTITIES[trigger.quantity].read_by
    own = [one for one in series if one.conflicts and one.quantity in read and _in_layer(course, one, trigger)]
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
    if not any(first - SLACK <= course.last <= end + SLACK for first, end in _spans(course, trigger)):
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
        if one.quantity in QUANTITIES[trigger.quantity].read_by and _in_layer(course, one, trigger):
            yield one, None if one.depth is None else course.layer_key(one.depth)


def names_of(unread: Sequence[UnreadTrigger]) -> str:
    """The quantities and numbers of triggers that nothing was read for, or nothing that can be relied on."""
    by_reason: dict[tuple[str, str], list[str]] = {}
    for one in unread:
        by_reason.setdefault((one.trigger.quantity, one.why), []).append(f"T{one.number}")
    return "; ".join(f"{quantity} ({', '.join(numbers)}{f': {why}' if why else ''})"
                     for (quantity, why), numbers in by_reason.items())  # fmt: skip


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


def _courses(course: DesignCourse, series: Sequence[Series], trigger: Trigger) -> Iterator[Course]:
    """The values of the quantity of a trigger, by every instrument that reads it."""
    quantity = trigger.quantity
    if quantity in TOGETHER:
        yield from TOGETHER[quantity](course, series, trigger)
        return
    for one in series:
        if one.quantity not in QUANTITIES[quantity].read_by or not one.days.size:
            continue
        if not _in_layer(course, one, trigger):
            continue
        if quantity in RATES:
            rates = _rates(one)
            yield replace(rates, values=np.abs(rates.values)) if quantity in EITHER_WAY else rates
        elif quantity == "residual settlement":
            yield from _residual(course, one)
        elif quantity == "ring tension":
            stiffness = course.known.ground.stiffness.at(np.maximum(one.days, 0.0))
            yield Course(one.name, one.days, one.values * stiffness, one.outliers)
        else:
            values = np.abs(one.values) if quantity in EITHER_WAY else one.values
            yield Course(one.name, one.days, values, one.outliers, one.depth)


def _in_layer(course: DesignCourse, one: Series, trigger: Trigger) -> bool:
    return trigger.layer is None or (one.depth is not None and course.layer_key(one.depth) == trigger.layer)


def _by_load(course: DesignCourse, series: Sequence[Series], _trigger: Trigger) -> Iterator[Course]:
    """Stress ratios; a light load is read, and says nothing of them."""
    for ratio in stress_ratios(series):
        heavy = course.known.load_at(np.maximum(ratio.days, 0.0)) >= LEAST_LOAD
        yield replace(ratio, values=np.where(heavy, ratio.values, np.inf))


def _displaced(course: DesignCourse, series: Sequence[Series], trigger: Trigger) -> Iterator[Course]:
    starts = [start for start, _ in _spans(course, trigger)] if trigger.quantity == INCREMENTS else []
    yield from displacement_ratios(series, starts)


def _rates(one: Series) -> Course:
    """Change per day since the last reading at least a day before: over less the scatter would make the rate.

    It counts from a reading that is no outlier; a rate up to an outlier is marked as one.
    """
    used, every = one.used, one.chosen(one.days >= 0)
    before = np.searchsorted(used.days, every.days - DAY + SLACK, side="right") - 1
    which = before >= 0
    now, then = np.flatnonzero(which), before[which]
    values = settlement_rate(every.values[now], used.values[then], every.days[now] - used.days[then])
    return Course(one.name, every.days[now], np.asarray(values), every.outliers[now])


def _degrees(course: DesignCourse, series: Sequence[Series], trigger: Trigger) -> Iterator[Course]:
    """Degree by settlement that every plate gave before the stage that asks for it."""
    day = _spans(course, trigger)[0][0]
    for one in series if day < course.last - MOMENT else ():
        degree = degree_before(course, one, day) if one.quantity == "settlement" else None
        if degree is not None:
            yield Course(one.name, np.array([day]), np.array([degree]), np.zeros(1, dtype=bool))


def _residual(course: DesignCourse, one: Series) -> Iterator[Course]:
    """Settlement since the hand-over, from its reading interpolated at that day."""
    used, day = one.used, course.calendar.hand_over
    if used.days.size and used.days[0] <= day < used.days[-1]:
        start, later = float(np.interp(day, used.days, used.values)), one.days > day
        yield Course(one.name, one.days[later], one.values[later] - start, one.outliers[later])


def stress_ratios(series: Sequence[Series]) -> Iterator[Course]:
    """Mean pressure on the columns over mean pressure on the soil, at every time at which both were read."""
    cells = [[one.used for one in series if one.quantity == name and one.used.days.size]
             for name in ("pressure on columns", "pressure on soil")]  # fmt: skip
    if not all(cells):
        return
    days = np.unique(np.concatenate([one.days for one in cells[0]]))
    means = [np.array([_mean_near(own, day) for day in days]) for own in cells]
    both = np.isfinite(means[0]) & np.isfinite(means[1]) & (np.nan_to_num(means[1]) > 0)
    if both.any():
        values = np.asarray(stress_ratio(means[0][both], means[1][both]))
        names = "+".join(dict.fromkeys(one.kind for own in cells for one in own))
        yield Course(names, days[both], values, np.zeros(int(both.sum()), dtype=bool))


def displacement_ratios(series: Sequence[Series], starts: Sequence[float] = ()) -> Iterator[Course]:
    """Magnitude of lateral displacement over the settlement of the plate nearest to the axis on the same day.

    From the zero readings, or with ``starts`` the increments since the last of these days. Days on which the plate was
    not read yet, or no more, have no ratio; between its readings its settlement is interpolated.
    """
    plates = [one.used for one in series if one.quantity == "settlement" and one.used.days.size]
    if not plates:
        return
    plate = min(plates, key=lambda one: abs(one.offset))
    for one in series:
        if one.quantity != "lateral displacement" or not one.used.days.size:
            continue
        used = one.used
        both = (one.days >= max(plate.days[0], used.days[0])) & (one.days <= plate.days[-1])
        moved, days = one.values[both], one.days[both]
        settled = np.interp(days, plate.days, plate.values)
        if starts:
            since = np.array([max([start for start in starts if start <= day], default=np.nan) for day in days])
            # Before both were read there is nothing to count from.
            since = np.where(since < max(plate.days[0], used.days[0]) - SLACK, np.nan, since)
            moved = moved - np.interp(since, used.days, used.values)
            settled = settled - np.interp(since, plate.days, plate.values)
        known = np.isfinite(moved)
        values = np.asarray(displacement_ratio(np.abs(moved[known]), settled[known], LEAST_SETTLEMENT))
        name = f"{one.name}/{plate.name}"
        yield Course(name, days[known], values, one.outliers[both][known], kind=one.kind)


def _mean_near(cells: Sequence[Series], day: float) -> float:
    near = [one.values[np.abs(one.days - day) <= HALF_DAY] for one in cells]
    found = [float(values.mean()) for values in near if values.size]
    return float(np.mean(found)) if found else np.nan


def _crossed(trigger: Trigger, number: int, one: Course, level: float, which: Marks) -> Crossing | None:
    """What readings of the time in which a trigger holds make of it."""
    falls = QUANTITIES[trigger.quantity].falls
    beyond = one.values < level - SLACK if falls else one.values > level + SLACK
    over = which & beyond
    if not over.any():
        return None
    sure = over & ~one.outliers
    counted = sure if sure.any() else over
    values, days = one.values[counted], one.days[counted]
    worst = float(values.min() if falls else values.max())
    # Of whatever time: a level is left behind by a reading that lies on the right side of it, and by nothing else.
    # One calm day takes no rate back: works that are stopped make one.
    calm = FRESH if trigger.quantity in RATES else 0.0
    later = (one.days > days.max()) & (one.days >= days.max() + calm - SLACK)
    back = one.days[~beyond & ~one.outliers & np.isfinite(one.values) & later]
    return Crossing(trigger, number, one.name, level, float(days.min()), float(days.max()), worst,
                    int(counted.sum()), not sure.any(), float(back[0]) if back.size else None,
                    max(one.days[over & one.outliers].tolist(), default=None))  # fmt: skip


def _held(course: DesignCourse, trigger: Trigger, one: Course) -> Marks:
    """The readings in the time in which a trigger holds."""
    if QUANTITIES[trigger.quantity].when == AT_START:
        return _before_stage(course, trigger, one)
    return _within(one.days, _spans(course, trigger))


def _spans(course: DesignCourse, trigger: Trigger) -> Spans:
    return spans_of(course.section, trigger, course.calendar)


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
    return np.asarray(before & (one.days >= one.days[before].max() - HALF_DAY))


TOGETHER = {
    "stress ratio": _by_load, "degree of consolidation": _degrees, RATIO: _displaced, INCREMENTS: _displaced,
}  # fmt: skip
"""Quantities that several instruments read together, or a plate with the design."""
