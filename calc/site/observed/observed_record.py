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
        "files_not_read": [{"file": file.file, "why": file.why, "readings": file.readings} for file in of.taken.unread],
        "readings": len(of.taken.readings),
        "refused": [{"file": row.file, "line": row.line, "why": row.why, "repeated": row.repeated}
                    for row in of.taken.refused],
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
        "crossed": [_crossing(of, crossing) for crossing in part.crossed],
        "crossed_calculation": None if course is None else _sheet(crossing_sheet(course, part.crossed)),
        "red_triggers_without_reading": [{"trigger": missed.number, "quantity": missed.trigger.quantity,
                                          "why": missed.why}
                                         for missed in part.unread],
        "common_peaks": [{"day": peak.day, "date": date_text(of, peak.day), "places": list(peak.names)}
                         for peak in part.peaks],
        "plates": [_analysis(analysis) for analysis in part.analyses],
        "next_lift": None if part.lift is None else {
            "stage": part.lift.name, "start": part.lift.start, "answer": part.lift.answer,
            "degree_by_settlement": part.lift.by_settlement, "degree_by_pressure": part.lift.by_pressure,
            "calculation": _sheet(part.lift.sheet),
        },
    }  # fmt: skip


def _series(part: ObservedSection, place: int) -> Json:
    series = part.series[place]
    expected = part.expected_at(series, np.maximum(series.days, 0.0)) if series.days.size else None
    return {
        "instruments": list(series.names), "of": series.kind, "quantity": series.quantity, "offset": series.offset,
        "depth": series.depth, "days": series.days.tolist(), "values": series.values.tolist(),
        "outliers": series.outliers.tolist(), "days_of_two_values": list(series.conflicts),
        "remarks": list(series.remarks),
        "expected": None if expected is None else expected.tolist(),
    }  # fmt: skip


def _crossing(of: Observation, crossing: Crossing) -> Json:
    return {
        "trigger": crossing.number, "quantity": crossing.trigger.quantity, "kind": crossing.kind, "when": crossing.when,
        "series": crossing.series, "level": crossing.level, "first": crossing.first,
        "first_date": date_text(of, crossing.first),
        "last": crossing.last, "back_from": crossing.until, "farthest": crossing.worst, "readings": crossing.count,
        "outliers_alone": crossing.outlier,
        "action": crossing.trigger.action, "decides": crossing.trigger.decides,
    }  # fmt: skip


def _span(span: Span | None) -> Json | None:
    if span is None:
        return None
    ends = {"value": span.value, "low": span.low, "high": span.high}
    return {name: value if np.isfinite(value) else None for name, value in ends.items()}


def _analysis(analysis: Analysis) -> Json:
    forecast, fit = analysis.forecast, analysis.fit
    return {
        "name": analysis.series.name,
        "no_forecast": analysis.why_none,
        "factor_c_h": None if fit is None else float(fit.rate[0]),
        "factor_settlement": None if fit is None else float(fit.scale[0]),
        "standard_deviation": None if fit is None else float(fit.error[0]),
        "lag": None if fit is None else float(fit.lag[0]),
        "residuals": [] if fit is None else fit.residuals[0].tolist(),
        "degree": analysis.degree,
        "shapes": [{"share": each.shape.share, "factor_apart": factor_apart(each.shape.steps)}
                   for each in analysis.shapes],
        "final_by_steps": analysis.line.final if analysis.line else None,
        "final_by_hyperbola": analysis.hyperbola.final if analysis.hyperbola else None,
        "common_slope": analysis.common,
        "forecast": None if forecast is None or analysis.why_none else {
            "placed": _span(forecast.placed), "hand_over": _span(forecast.at_hand_over),
            "end_of_life": _span(forecast.at_end),
            "residual": _span(forecast.residual), "limit": forecast.limit, "limit_kept_from": _span(forecast.hand_over),
        },
        "calculation": _sheet(analysis.sheet),
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
                "key": verdict.key, "title": verdict.title, "stamp": verdict.stamp, "effect": verdict.effect,
                "resistance": verdict.resistance, "unit": verdict.unit, "utilisation": verdict.utilisation,
                "note": verdict.note,
            }
            for verdict in sheet.verdicts
        ],
    }  # fmt: skip
