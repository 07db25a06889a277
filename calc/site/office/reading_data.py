"""Readings of the monitoring for the page: every place in time with expected range, trigger levels and crossings."""

from collections.abc import Iterator
from typing import Any

import numpy as np

from calc.chapters.monitoring.reading_dates import KIND_WORDS, spans_of
from calc.engine.words import words_of
from calc.site.observed.crossings import level_in
from calc.site.observed.observed_figures import BEYOND
from calc.site.observed.observed_run import Observation, ObservedSection
from calc.site.observed.observed_text import date_text, shown, unit_of
from calc.site.observed.series import Series
from calc.site.observed.trigger_courses import EITHER_WAY
from calc.site.plan.column_layout import Array

say = words_of(__name__)

POINTS, LEAST_DAYS = 100, 30.0


def reading_data(found: Observation) -> dict[str, Any]:
    """All sections; days count from the start of works."""
    return {
        "start": found.observed.start.isoformat(),
        "sections": [_section(found, part) for part in found.sections],
    }


def _section(found: Observation, part: ObservedSection) -> dict[str, Any]:
    course = part.course
    stages = [] if course is None else [
        {"name": stage.name, "start": start, "end": end}
        for stage, start, end in zip(course.section.stages, course.calendar.starts, course.calendar.ends, strict=True)
    ]  # fmt: skip
    return {
        "key": part.section.key,
        "until": max(BEYOND * part.last, LEAST_DAYS),
        "stages": stages,
        "series": [_series(found, part, one) for one in part.series if one.days.size],
    }


def _series(found: Observation, part: ObservedSection, one: Series) -> dict[str, Any]:
    unit, factor, decimals = unit_of(one.quantity)

    def rounded(values: Array) -> list[float]:
        return [round(float(value), decimals + 1) for value in factor * values]

    days, expected = _expected(part, one)
    beside = part.expected_at(one, np.maximum(one.days, 0.0))
    return {
        "name": one.name, "names": list(one.names), "quantity": one.quantity, "unit": unit, "decimals": decimals,
        "place": _place(one), "down": one.quantity == "settlement",
        "days": [round(float(day), 3) for day in one.days], "values": rounded(one.values),
        "outliers": np.flatnonzero(one.outliers).tolist(),
        "remarks": {str(k): text for k, text in enumerate(one.remarks) if text},
        "expected": None if beside is None else [rounded(row) for row in beside],
        "course": None if expected is None else {"days": [round(float(day), 2) for day in days],
                                                 "rows": [rounded(row) for row in expected]},
        "levels": [] if part.course is None else [
            {"kind": kind, "text": text, "value": round(factor * level, decimals + 2), "spans": spans}
            for kind, text, level, spans in _levels(part, one)
        ],
        "crossed": [
            {"kind": crossing.kind, "first": crossing.first, "last": crossing.last,
             "text": say("crossing", kind=crossing.kind, quantity=crossing.trigger.quantity,
                         value=shown(crossing.trigger.quantity, crossing.worst),
                         level=shown(crossing.trigger.quantity, crossing.level),
                         date=date_text(found, crossing.first))}
            for crossing in part.crossed if crossing.series == one.name
        ],
    }  # fmt: skip


def _place(one: Series) -> str:
    if one.depth is None:
        return say("place", offset=f"{one.offset:.1f}")
    return say("place-deep", offset=f"{one.offset:.1f}", depth=f"{one.depth:.2f}")


def _expected(part: ObservedSection, one: Series) -> tuple[Array, Array | None]:
    """The expected course beyond the last reading, with the days at which stages begin and end."""
    if part.course is None:
        return np.zeros(0), None
    until, calendar = max(BEYOND * part.last, LEAST_DAYS), part.course.calendar
    breaks = [day for day in (*calendar.starts, *calendar.ends) if day <= until]
    days = np.unique([*np.linspace(0.0, until, POINTS), *breaks])
    return days, part.expected_at(one, days)


def _levels(part: ObservedSection, one: Series) -> Iterator[tuple[str, str, float, list[tuple[float, float]]]]:
    """Amber or red, words, level inside and spans of the triggers of what an instrument reads itself."""
    course = part.course
    assert course is not None  # noqa: S101 - asked before
    layer = None if one.depth is None else course.layer_key(one.depth)
    plan = course.section.monitoring
    judged = {each.number: each for each in course.done["monitoring"].kept.get("judged", [])}
    for number, trigger in enumerate(plan.triggers if plan else (), start=1):
        if trigger.quantity != one.quantity or trigger.layer not in {None, layer}:
            continue
        level = level_in(trigger, judged.get(number), layer)
        if level is not None:
            kind = KIND_WORDS[trigger.kind]
            text = f"{kind} {shown(trigger.quantity, level)}"
            spans = [*spans_of(course.section, trigger, course.calendar)]
            yield kind, text, level, spans
            if trigger.quantity in EITHER_WAY and (one.values < 0).any():
                yield kind, text, -level, spans
