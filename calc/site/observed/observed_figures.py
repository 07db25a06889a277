"""Figures of readings: courses in time with band, readings and triggers; the lines that the back-analysis draws."""

from collections.abc import Iterator, Sequence
from itertools import pairwise

import numpy as np
from numpy.typing import NDArray

from calc.chapters.monitoring.reading_dates import KIND_WORDS, spans_of
from calc.chapters.shared.frame import SCENARIOS
from calc.chapters.shared.programme import steps_of
from calc.engine.figure import Curve, Level, TimeChart, Track
from calc.engine.symbols import symbol
from calc.engine.words import words_of
from calc.factors.monitored import QUANTITIES
from calc.package.axes import FRAME, GRID, Scale, draw_mark, round_range, tick_text
from calc.package.canvas import ACCENT, INK, QUIET, SIZES, Canvas, Pen
from calc.package.equations import Picture
from calc.package.figures import PIXELS_PER_MM
from calc.site.observed.observed_run import ObservedSection
from calc.site.observed.observed_text import unit_of
from calc.site.observed.series import Series
from calc.site.observed.settlement_analysis import Analysis
from calc.site.observed.trigger_courses import EITHER_WAY

say = words_of(__name__)

Floats = NDArray[np.float64]

POINTS = 120
BEYOND = 1.15  # of the time read, that the linear axis shows
TRACKS = 3  # of a chart
MIRRORED = 0.25  # of a level of a magnitude, from which on the negative side it has a line there, too
SIDE, GAP, LEFT, BOTTOM, TOP = 66.0, 22.0, 14.0, 12.0, 6.0


def time_charts(of: ObservedSection) -> Iterator[TimeChart]:
    """Settlement with the fill, then three instruments a chart: all that something is expected of, or that crossed.

    Of the plates, beside the leading one, those whose readings crossed a trigger.
    """
    if of.course is None:
        return
    leading = leading_plate(of)
    if leading is not None:
        yield _chart(of, "settlement", [*_fill(of), _track(of, leading.series, leading)],
                     say("settlement-title", name=leading.series.name))  # fmt: skip
    crossed = _crossing_instruments(of)
    drawn = None if leading is None else leading.series.name
    others = [
        series for series in of.series if series.days.size and series.name != drawn
        and (series.name in crossed or (series.quantity != "settlement" and of.course.expected(series) is not None))
    ]  # fmt: skip
    plates = {analysis.series.name: analysis for analysis in of.analyses}
    for number, group in enumerate((others[k : k + TRACKS] for k in range(0, len(others), TRACKS)), start=1):
        tracks = [_track(of, series, plates.get(series.name)) for series in group]
        names = ", ".join(say("track", quantity=series.quantity, name=series.name) for series in group)
        yield _chart(of, f"others-{number}", tracks, say("others-title", names=names))


def _crossing_instruments(of: ObservedSection) -> set[str]:
    """The instruments by whose readings a trigger was crossed, alone or with others."""
    names = {crossing.series for crossing in of.crossed}
    moved, plates = ([series.name for series in of.series if series.quantity == name]
                     for name in ("lateral displacement", "settlement"))  # fmt: skip
    pairs = {f"{inclinometer}/{plate}": (inclinometer, plate) for inclinometer in moved for plate in plates}
    ratios = any(crossing.trigger.quantity == "stress ratio" for crossing in of.crossed)
    cells = {series.name for series in of.series if ratios and series.quantity.startswith("pressure on")}
    return names | cells | {name for words in names for name in pairs.get(words, ())}


def leading_plate(of: ObservedSection) -> Analysis | None:
    """The plate that has settled most, of those with a forecast where there are some."""
    plates = [analysis for analysis in of.analyses if analysis.series.used.days.size]
    return max(
        plates, key=lambda analysis: (not analysis.why_none, float(analysis.series.used.values[-1])), default=None
    )


def _chart(of: ObservedSection, key: str, tracks: Sequence[Track], title: str) -> TimeChart:
    assert of.course is not None  # noqa: S101 - asked before
    course = of.course
    marks = tuple((course.calendar.starts[k], f"{k + 1} {course.section.stages[k].name}")
                  for k in steps_of(course.section))  # fmt: skip
    until, last = max(BEYOND * of.last, 30.0), course.calendar.end_of_life
    alt = say("alt", title=title, section=of.section.key, day=f"{of.last:.0f}")
    return TimeChart(f"{of.section.key}-{key}", title, alt, tuple(tracks), until, last, marks, say("note"))


def _fill(of: ObservedSection) -> Iterator[Track]:
    for series in of.series:
        if series.quantity == "fill" and series.used.days.size:
            curve = _curve(say("fill"), series.used.days, series.used.values)
            yield Track(say("fill-track"), "m", (curve,), share=0.45)


def _curve(label: str, days: Floats, values: Floats) -> Curve:
    return Curve(label, tuple(map(float, days)), tuple(map(float, values)))


def _track(of: ObservedSection, series: Series, analysis: Analysis | None) -> Track:
    """Band of the design, readings, outliers, levels, and the fitted course of a plate."""
    assert of.course is not None  # noqa: S101 - asked before
    course, (unit, factor, _) = of.course, unit_of(series.quantity)
    until = max(BEYOND * of.last, 30.0)
    breaks = [*course.calendar.starts, *course.calendar.ends]
    days = np.unique([*np.linspace(0.0, until, POINTS), *(day for day in breaks if day <= until),
                      *np.geomspace(until, course.calendar.end_of_life, POINTS // 2)])  # fmt: skip
    expected = of.expected_at(series, days)
    curves = [] if expected is None else [
        _curve(words, days, factor * row) for words, row in zip(SCENARIOS, expected, strict=True)
    ]  # fmt: skip
    band = (curves[2], curves[1]) if curves else None
    if analysis is not None and analysis.forecast is not None and not analysis.why_none:
        at, fitted = analysis.forecast.curve
        curves.append(_curve(say("fitted"), at, factor * fitted))
    used = series.used
    readings = _curve(say("readings", name=series.name), used.days, factor * used.values)
    wrong = series.outliers & (series.days >= 0)
    aside = _curve(say("outliers"), series.days[wrong], factor * series.values[wrong]) if wrong.any() else None
    levels = tuple(_levels(of, series, factor))
    title = say("settled", name=series.name) if analysis is not None else series.name
    return Track(title, unit, tuple(curves), series.quantity == "settlement", levels, band, points=(readings,),
                 aside=aside)  # fmt: skip


def _levels(of: ObservedSection, series: Series, factor: float) -> Iterator[Level]:
    """The trigger levels of what an instrument reads; on both sides where the magnitude counts."""
    assert of.course is not None  # noqa: S101 - asked before
    plan, course = of.section.monitoring, of.course
    layer = None
    if series.depth is not None:
        layer = course.section.layers[course.shared.sublayers.layer[course.layer_at(series.depth)]].of
    for trigger in plan.triggers if plan else ():
        if trigger.quantity != series.quantity or trigger.level.value is None or trigger.layer not in {None, layer}:
            continue
        spans = spans_of(course.section, trigger, course.calendar) if trigger.stage else ()
        value = factor * trigger.level.value
        quantity = QUANTITIES[trigger.quantity]
        unit = symbol(f"{quantity.symbols.key}_T").unit_text if quantity.symbols else unit_of(series.quantity)[0]
        words = f"{KIND_WORDS[trigger.kind]} {value:g} {unit}".rstrip()
        yield Level(value, words, spans=spans)
        if series.quantity in EITHER_WAY and (series.values < -MIRRORED * trigger.level.value).any():
            yield Level(-value, words, spans=spans)


def lines_picture(analysis: Analysis) -> Picture | None:
    """The line of equal steps, with the hyperbola beside it where there is one; None without the line."""
    line, hyperbola = analysis.line, analysis.hyperbola
    if line is None:
        return None
    canvas = Canvas(LEFT + SIDE + 6.0 + (SIDE + GAP if hyperbola else 0.0), TOP + SIDE + BOTTOM)
    before, after = 1000 * line.steps.values[:-1], 1000 * line.steps.values[1:]
    whole = 1000 * analysis.lines["all"].steps.values
    end = [1000 * line.final] if line.final is not None else []
    low, high = round_range([*whole, *end], 5, from_zero=False)
    across, up = Scale(low, high, LEFT, LEFT + SIDE), Scale(low, high, TOP + SIDE, TOP)
    _axes(canvas, across, up, say("start-axis"), say("end-axis"))
    canvas.line([(across(low), up(low)), (across(high), up(high))], Pen(0.2, QUIET, "1.4 0.9"))
    for x, y in pairwise(whole):
        draw_mark(canvas, (across(x), up(y)), 1)
    for x, y in zip(before, after, strict=True):
        draw_mark(canvas, (across(x), up(y)), 0)
    if line.final is not None:
        slope, final = line.slope, 1000 * line.final
        first = max(low, (low - final * (1 - slope)) / slope)
        canvas.line([(across(first), up(final * (1 - slope) + slope * first)), (across(final), up(final))],
                    Pen(0.45, ACCENT))  # fmt: skip
        text = say("final", value=f"{final:.0f}")
        canvas.text((across(final) - 1.2, up(final) - 1.0), text, size=SIZES["small"], anchor="end", backed=True)
    if hyperbola is not None:
        _hyperbola(canvas, hyperbola.days, hyperbola.values, LEFT + SIDE + GAP)
    name = analysis.series.name
    alt = say("lines-alt", name=name) if hyperbola else say("line-alt", name=name)
    return Picture(canvas.uri(), canvas.width * PIXELS_PER_MM, canvas.height * PIXELS_PER_MM, 0.0, alt)


def _hyperbola(canvas: Canvas, days: Floats, values: Floats, left: float) -> None:
    quotient = days / (1000 * values)
    slope, start = np.polyfit(days, quotient, 1)
    across = Scale(*round_range(list(days), 5), left, left + SIDE)
    up = Scale(*round_range([*quotient, float(start)], 5), TOP + SIDE, TOP)
    _axes(canvas, across, up, say("time-axis"), say("quotient-axis"))
    ends = [max(across.low, (up.low - start) / slope), across.high]
    canvas.line([(across(x), up(min(start + slope * x, up.high))) for x in ends], Pen(0.45, ACCENT))
    for x, y in zip(days, quotient, strict=True):
        draw_mark(canvas, (across(x), up(float(y))), 0)


def _axes(canvas: Canvas, across: Scale, up: Scale, x_title: str, y_title: str) -> None:
    """Frame, grid and numbers of a plot."""
    small = SIZES["small"]
    for value in across.ticks(5):
        canvas.line([(across(value), up.start), (across(value), up.end)], GRID)
        canvas.text((across(value), up.start + 3.2), tick_text(value), size=small, anchor="middle")
    for value in up.ticks(5):
        canvas.line([(across.start, up(value)), (across.end, up(value))], GRID)
        canvas.text((across.start - 1.2, up(value) + 0.7), tick_text(value), size=small, anchor="end")
    corners = [(across.start, up.start), (across.end, up.start), (across.end, up.end), (across.start, up.end)]
    canvas.line([*corners, corners[0]], FRAME)
    middle = ((across.start + across.end) / 2, (up.start + up.end) / 2)
    canvas.text((middle[0], up.start + 6.8), x_title, size=small, anchor="middle", colour=INK)
    canvas.text((across.start - 10.0, middle[1]), y_title, size=small, anchor="middle", turned=True)
