"""Everything that the readings say as plain data, unrounded, in kN, m, kPa, rad, day."""

from typing import Any

import numpy as np

from calc.engine.sheet import Sheet
from calc.engine.sheet.printing import printed_expression
from calc.engine.symbols import symbol
from calc.site.observed.course_grid import factor_apart
from calc.site.observed.crossing_lines import crossing_sheet
from calc.site.observed.crossings import Crossing
from calc.site.observed.observed_run import Observation, ObservedSection
from calc.site.observed.observed_text import caution, date_text
from calc.site.observed.settlement_analysis import Analysis, Span
from calc.site.record_head import record_head

Json = dict[str, Any]


def record(of: Observation) -> Json:
    """The whole observation; days count from the start of works."""
    return {
        **record_head(of.design, of.outcome),
        "start": of.observed.start.isoformat(),
        "asked_on": None if of.asked is None else of.asked.isoformat(),
        "files": list(of.taken.files),
        "record_files": list(of.records),
        "files_not_read": [{"file": one.file, "why": one.why, "readings": one.readings} for one in of.taken.unread],
        "readings": len(of.taken.readings),
        "refused": [{"file": one.file, "line": one.line, "why": one.why, "repeated": one.repeated}
                    for one in of.taken.refused],
        "sections": [_section(of, part) for part in of.sections],
        "sections_without_instruments": list(of.unmapped),
        "sections_with_red_triggers_not_read": list(of.unwatched),
        "caution": caution(),
    }  # fmt: skip


def _section(of: Observation, part: ObservedSection) -> Json:
    course = part.course
    works = {} if course is None else {
        "starts": list(course.calendar.starts), "ends": list(course.calendar.ends), "read": list(course.works.read),
        "hand_over": course.calendar.hand_over, "note": course.works.note, "load_not_known": course.works.unknown,
    }  # fmt: skip
    return {
        "key": part.section.key,
        "last": part.last,
        "last_date": date_text(of, part.last),
        "age": None if part.age is None else {
            "days": part.age.days, "longest": part.age.longest, "longest_by_project_rule": part.age.given is None,
            "old": part.age.old,
        },
        "open": part.open,
        "stages": works,
        "series": [_series(part, k) for k in range(len(part.series))],
        "crossed": [_crossing(of, one) for one in part.crossed],
        "crossed_calculation": None if course is None else _sheet(crossing_sheet(course, part.crossed)),
        "red_triggers_without_reading": [{"trigger": one.number, "quantity": one.trigger.quantity, "why": one.why}
                                         for one in part.unread],
        "common_peaks": [{"day": one.day, "date": date_text(of, one.day), "places": list(one.names)}
                         for one in part.peaks],
        "plates": [_analysis(one) for one in part.analyses],
        "next_lift": None if part.lift is None else {
            "stage": part.lift.name, "start": part.lift.start, "answer": part.lift.answer,
            "degree_by_settlement": part.lift.by_settlement, "degree_by_pressure": part.lift.by_pressure,
            "calculation": _sheet(part.lift.sheet),
        },
    }  # fmt: skip


def _series(part: ObservedSection, place: int) -> Json:
    one = part.series[place]
    expected = part.expected_at(one, np.maximum(one.days, 0.0)) if one.days.size else None
    return {
        "instruments": list(one.names), "of": one.kind, "quantity": one.quantity, "offset": one.offset,
        "depth": one.depth, "days": one.days.tolist(), "values": one.values.tolist(),
        "outliers": one.outliers.tolist(), "days_of_two_values": list(one.conflicts), "remarks": list(one.remarks),
        "expected": None if expected is None else expected.tolist(),
    }  # fmt: skip


def _crossing(of: Observation, one: Crossing) -> Json:
    return {
        "trigger": one.number, "quantity": one.trigger.quantity, "kind": one.kind, "when": one.when,
        "series": one.series, "level": one.level, "first": one.first, "first_date": date_text(of, one.first),
        "last": one.last, "back_from": one.until, "farthest": one.worst, "readings": one.count,
        "outliers_alone": one.outlier,
        "action": one.trigger.action, "decides": one.trigger.decides,
    }  # fmt: skip


def _span(span: Span | None) -> Json | None:
    if span is None:
        return None
    ends = {"value": span.value, "low": span.low, "high": span.high}
    return {name: one if np.isfinite(one) else None for name, one in ends.items()}


def _analysis(one: Analysis) -> Json:
    found, fit = one.forecast, one.fit
    return {
        "name": one.series.name,
        "no_forecast": one.why_none,
        "factor_c_h": None if fit is None else float(fit.rate[0]),
        "factor_settlement": None if fit is None else float(fit.scale[0]),
        "standard_deviation": None if fit is None else float(fit.error[0]),
        "lag": None if fit is None else float(fit.lag[0]),
        "residuals": [] if fit is None else fit.residuals[0].tolist(),
        "degree": one.degree,
        "shapes": [{"share": each.shape.share, "factor_apart": factor_apart(each.shape.steps)}
                   for each in one.shapes],
        "final_by_steps": one.line.final if one.line else None,
        "final_by_hyperbola": one.hyperbola.final if one.hyperbola else None,
        "common_slope": one.common,
        "forecast": None if found is None or one.why_none else {
            "placed": _span(found.placed), "hand_over": _span(found.at_hand_over), "end_of_life": _span(found.at_end),
            "residual": _span(found.residual), "limit": found.limit, "limit_kept_from": _span(found.hand_over),
        },
        "calculation": _sheet(one.sheet),
    }  # fmt: skip


def _sheet(sheet: Sheet) -> Json:
    return {
        "steps": [
            {
                "key": step.key, "title": step.title, "symbol": step.symbol, "unit": symbol(step.symbol).unit,
                "expression": printed_expression(step) or None,
                "source": step.source.citation if step.source else None,
                "inputs": {name: given.value.step for name, given in step.inputs.items()},
                "value": step.value.lanes(), "note": step.note,
            }
            for step in sheet.steps
        ],
        "verdicts": [
            {
                "key": one.key, "title": one.title, "stamp": one.stamp, "effect": one.effect,
                "resistance": one.resistance, "unit": one.unit, "utilisation": one.utilisation, "note": one.note,
            }
            for one in sheet.verdicts
        ],
    }  # fmt: skip
