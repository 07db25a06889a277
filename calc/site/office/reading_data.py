"""Readings of the monitoring for the page: every place in time with expected range, trigger levels and crossings."""

from collections.abc import Iterator
from typing import Any

import numpy as np

from calc.chapters.monitoring.reading_dates import KIND_WORDS, spans_of
from calc.engine.words import words_of
from calc.site.observed.crossings import level_in
from calc.site.observed.observed_figures import BEYOND
from calc.site.observed.observed_run import Observation, ObservedSection
from calc.site.observed.observed_text import date_text, unit_of, value_shown
from calc.site.observed.series import Series
from calc.site.observed.trigger_courses import EITHER_WAY
from calc.site.plan.column_layout import Array

say = words_of(__name__)

POINTS, LEAST_DAYS = 100, 30.0


def reading_data(observation: Observation) -> dict[str, Any]:
    """All sections; days count from the start of works."""
    return {
        "start": observation.observed.start.isoformat(),
        "sections": [_section(observation, part) for part in observation.sections],
    }


def _section(observation: Observation, part: ObservedSection) -> dict[str, Any]:
    course = part.course
    stages = [] if course is None else [
        {"name": stage.name, "start": start, "end": end}
        for stage, start, end in zip(course.section.stages, course.calendar.starts, course.calendar.ends, strict=True)
    ]  # fmt: skip
    return {
        "key": part.section.key,
        "until": max(BEYOND * part.last, LEAST_DAYS),
        "stages": stages,
        "series": [_series(observation, part, series) for series in part.series if series.days.size],
    }


def _series(observation: Observation, part: ObservedSection, series: Series) -> dict[str, Any]:
    unit, factor, decimals = unit_of(series.quantity)

    def rounded(values: Array) -> list[float]:
        return [round(float(value), decimals + 1) for value in factor * values]

    days, expected = _expected_course(part, series)
    beside = part.expected_at(series, np.maximum(series.days, 0.0))
    return {
        "name": series.name, "names": list(series.names), "quantity": series.quantity, "unit": unit,
        "decimals": decimals,
        "place": _place(series), "down": series.quantity == "settlement",
        "days": [round(float(day), 3) for day in series.days], "values": rounded(series.values),
        "outliers": np.flatnonzero(series.outliers).tolist(),
        "remarks": {str(k): text for k, text in enumerate(series.remarks) if text},
        "expected": None if beside is None else [rounded(row) for row in beside],
        "course": None if expected is None else {"days": [round(float(day), 2) for day in days],
                                                 "rows": [rounded(row) for row in expected]},
        "levels": [] if part.course is None else [
            {"kind": kind, "text": text, "value": round(factor * level, decimals + 2), "spans": spans}
            for kind, text, level, spans in _levels(part, series)
        ],
        "crossed": [
            {"kind": crossing.kind, "first": crossing.first, "last": crossing.last,
             "text": say("crossing", kind=crossing.kind, quantity=crossing.trigger.quantity,
                         value=value_shown(crossing.trigger.quantity, crossing.worst),
                         level=value_shown(crossing.trigger.quantity, crossing.level),
                         date=date_text(observation, crossing.first))}
            for crossing in part.crossed if crossing.series == series.name
        ],
    }  # fmt: skip


def _place(series: Series) -> str:
    if series.depth is None:
        return say("place", offset=f"{series.offset:.1f}")
    return say("place-deep", offset=f"{series.offset:.1f}", depth=f"{series.depth:.2f}")


def _expected_course(part: ObservedSection, series: Series) -> tuple[Array, Array | None]:
    """The expected course beyond the last reading, with the days at which stages begin and end."""
    if part.course is None:
        return np.zeros(0), None
    until, calendar = max(BEYOND * part.last, LEAST_DAYS), part.course.calendar
    breaks = [day for day in (*calendar.starts, *calendar.ends) if day <= until]
    days = np.unique([*np.linspace(0.0, until, POINTS), *breaks])
    return days, part.expected_at(series, days)


def _levels(part: ObservedSection, series: Series) -> Iterator[tuple[str, str, float, list[tuple[float, float]]]]:
    """Amber or red, words, level inside and spans of the triggers of what an instrument reads itself."""
    course = part.course
    assert course is not None  # noqa: S101 - asked before
    layer = None if series.depth is None else course.layer_key(series.depth)
    plan = course.section.monitoring
    judged = {each.number: each for each in course.done["monitoring"].kept.get("judged", [])}
    for number, trigger in enumerate(plan.triggers if plan else (), start=1):
        if trigger.quantity != series.quantity or trigger.layer not in {None, layer}:
            continue
        level = level_in(trigger, judged.get(number), layer)
        if level is not None:
            kind = KIND_WORDS[trigger.kind]
            text = f"{kind} {value_shown(trigger.quantity, level)}"
            spans = [*spans_of(course.section, trigger, course.calendar)]
            yield kind, text, level, spans
            if trigger.quantity in EITHER_WAY and (series.values < 0).any():
                yield kind, text, -level, spans
