"""Readings against the trigger levels of the plan: which was crossed, when, and what the plan says to do."""

from collections.abc import Iterator, Sequence
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from calc.chapters.monitoring.reading_dates import KIND_WORDS, Spans, spans_of, stages_of, words_of_trigger
from calc.chapters.monitoring.triggers import Judged
from calc.factors.monitored import AT_START, QUANTITIES
from calc.formulas.monitoring import settlement_rate
from calc.formulas.unit_cell import stress_ratio
from calc.inputs.tables.monitoring import Trigger
from calc.site.observed.design_course import DesignCourse
from calc.site.observed.series import Series

Floats = NDArray[np.float64]
SLACK = 1e-9
LEAST_LOAD = 10.0  # kPa; under less the scatter of the cells makes the ratio: project rule
DAY = 1.0
HALF_DAY = 0.5  # day; readings of two cells within it are of one time
RATES = {"settlement rate", "lateral rate"}
STARTED = 1.0  # day after the start of a stage up to which a strength counts as read before it


@dataclass(frozen=True, slots=True)
class Crossing:
    """A level that a series crossed: first and last day, the farthest value, the level at its unit inside.

    ``outlier`` says that readings marked as outliers alone did so.
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

    @property
    def kind(self) -> str:
        """Amber or red."""
        return KIND_WORDS[self.trigger.kind]

    @property
    def when(self) -> str:
        """When the trigger holds."""
        return words_of_trigger(self.trigger)


@dataclass(frozen=True)
class Course:
    """What a trigger is compared with: values of a quantity in time, with the series that they come from."""

    name: str
    days: Floats
    values: Floats
    outliers: NDArray[np.bool_]
    depth: float | None = None


def crossings(course: DesignCourse, series: Sequence[Series]) -> list[Crossing]:
    """Every trigger that readings of the section crossed, red ones first."""
    plan = course.section.monitoring
    judged = {one.number: one for one in course.done["monitoring"].kept.get("judged", [])}
    found: list[Crossing] = []
    for number, trigger in enumerate(plan.triggers if plan else (), start=1):
        if trigger.quantity == "degree of consolidation":
            continue  # what the next lift is asked for
        for one in _courses(course, series, trigger):
            level = level_of(course, trigger, judged.get(number), one.depth)
            crossed = None if level is None else _crossed(course, trigger, number, one, level)
            if crossed is not None:
                found.append(crossed)
    return sorted(found, key=lambda one: (one.trigger.kind != "stop", one.first, one.number, one.series))


def level_of(course: DesignCourse, trigger: Trigger, judged: Judged | None, depth: float | None) -> float | None:
    """The level inside; "design" has that of the layer where there is one."""
    if trigger.level.value is not None:
        return trigger.level.value
    if judged is None:
        return None
    if judged.by_layer and depth is not None:
        key = course.section.layers[course.shared.sublayers.layer[course.layer_at(depth)]].of
        return dict(judged.by_layer).get(key, judged.level)
    return judged.level


def _courses(course: DesignCourse, series: Sequence[Series], trigger: Trigger) -> Iterator[Course]:
    """The values of the quantity of a trigger, by every instrument that reads it."""
    quantity = trigger.quantity
    if quantity == "stress ratio":
        for ratio in stress_ratios(series):
            heavy = course.known.load_at(np.maximum(ratio.days, 0.0)) >= LEAST_LOAD
            yield Course(ratio.name, ratio.days[heavy], ratio.values[heavy], ratio.outliers[heavy])
        return
    for one in series:
        if one.quantity not in QUANTITIES[quantity].read_by or not one.days.size:
            continue
        if trigger.layer is not None and (one.depth is None or _layer_key(course, one.depth) != trigger.layer):
            continue
        if quantity in RATES:
            yield _rates(one)
        elif quantity == "residual settlement":
            yield from _residual(course, one)
        elif quantity == "ring tension":
            stiffness = course.known.ground.stiffness.at(np.maximum(one.days, 0.0))
            yield Course(one.name, one.days, one.values * stiffness, one.outliers)
        else:
            yield Course(one.name, one.days, one.values, one.outliers, one.depth)


def _rates(one: Series) -> Course:
    """Change per day since the last reading at least a day before: over less the scatter would make the rate."""
    used = one.used
    before = np.searchsorted(used.days, used.days - DAY + SLACK, side="right") - 1
    which = before >= 0
    now, then = np.flatnonzero(which), before[which]
    values = settlement_rate(used.values[now], used.values[then], used.days[now] - used.days[then])
    return Course(one.name, used.days[now], np.asarray(values), np.zeros(len(now), dtype=bool))


def _layer_key(course: DesignCourse, depth: float) -> str:
    return course.section.layers[course.shared.sublayers.layer[course.layer_at(depth)]].of


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


def _mean_near(cells: Sequence[Series], day: float) -> float:
    near = [one.values[np.abs(one.days - day) <= HALF_DAY] for one in cells]
    found = [float(values.mean()) for values in near if values.size]
    return float(np.mean(found)) if found else np.nan


def _crossed(course: DesignCourse, trigger: Trigger, number: int, one: Course, level: float) -> Crossing | None:
    falls = QUANTITIES[trigger.quantity].falls
    which = _within(one.days, _spans(course, trigger))
    if QUANTITIES[trigger.quantity].when == AT_START:
        which = _before_stage(course, trigger, one)
    over = which & (one.values < level - SLACK if falls else one.values > level + SLACK)
    if not over.any():
        return None
    sure = over & ~one.outliers
    counted = sure if sure.any() else over
    values = one.values[counted]
    worst = float(values.min() if falls else values.max())
    days = one.days[counted]
    return Crossing(trigger, number, one.name, level, float(days.min()), float(days.max()), worst,
                    int(counted.sum()), not sure.any())  # fmt: skip


def _spans(course: DesignCourse, trigger: Trigger) -> Spans:
    return spans_of(course.section, trigger, course.calendar)


def _within(days: Floats, spans: Spans) -> NDArray[np.bool_]:
    """Readings in the spans; the start belongs to a span, and its end to the next one where there is one."""
    found = np.zeros(len(days), dtype=bool)
    for first, last in spans:
        found |= (days >= first - SLACK) & (days <= last + SLACK)
    return found


def _before_stage(course: DesignCourse, trigger: Trigger, one: Course) -> NDArray[np.bool_]:
    """The last readings before a stage: those of the last campaign, where the stage has begun."""
    (place,) = stages_of(course.section, trigger)[:1]
    start = course.calendar.starts[place]
    before = (one.days <= start + STARTED) & (one.days >= (course.calendar.starts[place - 1] if place else -np.inf))
    if course.last < start or not before.any():
        return np.zeros(len(one.days), dtype=bool)
    return np.asarray(before & (one.days >= one.days[before].max() - HALF_DAY))
