"""Quantities over time: until a date on a linear scale at the left, to the end on a logarithmic scale at the right."""

from collections.abc import Sequence
from dataclasses import dataclass
from math import floor, log10

import numpy as np

from calc.engine.figure import Curve, Level, TimeChart, Track
from calc.engine.sheet import number_text
from calc.package.axes import (
    BAND,
    FRAME,
    GRID,
    Scale,
    curve_pens,
    draw_mark,
    legend,
    points_legend,
    polyline,
    round_range,
    tick_text,
)
from calc.package.canvas import INK, QUIET, SIZES, Canvas, Pen, Place, text_width

WIDTH = 170.0
LEFT, GAP, RIGHT = 14.0, 7.0, 3.0
SHARE = 0.62  # of the room, for the linear part
HEIGHT = 52.0
TOP = 4.5
BETWEEN = 5.5
SMALL = SIZES["small"]
ABOVE = 1.05  # of a level, the least that the axis shows
LATE = 0.25  # share of the width of an axis from whose end on a name is set to the left
CROWDED, BELOW = (1.0, 2.3), 2.4  # mm: least room between names, and how far below its line a name then stands
LEVEL = Pen(0.3, INK, "5 1 0.8 1 0.8 1")
MARK = Pen(0.12, QUIET, "1.4 0.9")


def draw_time_chart(chart: TimeChart) -> Canvas:
    """Tracks one below the other on two common time axes, each with its legend where the next has another one."""
    names = [_legend(track) for track in chart.tracks]
    legends = [0 if own == following else _rows(track)
               for track, own, following in zip(chart.tracks, names, [*names[1:], None], strict=True)]  # fmt: skip
    room = WIDTH - LEFT - GAP - RIGHT
    middle = LEFT + SHARE * room
    first = max(1.0, chart.until / 20.0)
    times = (
        Scale(0.0, chart.until, LEFT, middle),
        Scale(first, chart.last, middle + GAP, WIDTH - RIGHT, log=True),
    )
    marks = _labels_of_dates(times[0], chart.marks)
    below = _lines([text for mark in marks for text in mark.texts if text != mark.words])
    canvas = Canvas(WIDTH, TOP + HEIGHT + BETWEEN * len(chart.tracks) + 3.2 * (sum(legends) + len(below)) + 5.7)
    whole, top = sum(track.share for track in chart.tracks), TOP
    for index, track in enumerate(chart.tracks):
        bottom = top + HEIGHT * track.share / whole
        _track(canvas, track, times, (top, bottom), marks, named=not index)
        if index == len(chart.tracks) - 1:
            for time in times:
                for value in time.ticks(7):
                    canvas.text((time(value), bottom + 3.2), tick_text(value), size=SMALL, anchor="middle")
            for time, words in zip(times, ("days", "days, logarithmic"), strict=True):
                canvas.text(((time.start + time.end) / 2, bottom + 6.6), words, size=SMALL, anchor="middle")
            bottom += 6.6
        if legends[index]:
            entries = [
                (curve.label, pen) for curve, pen in zip(track.curves, curve_pens(), strict=False) if curve.label
            ]
            low = legend(canvas, entries, LEFT, bottom + 3.6, WIDTH - RIGHT) if entries else bottom + 3.6
            points_legend(canvas, [points.label for points in _marked(track)], LEFT, low, WIDTH - RIGHT)
        top = bottom + 3.2 * legends[index] + BETWEEN
    for k, line in enumerate(below):
        canvas.text((LEFT, top - BETWEEN + 3.6 + 3.2 * k), line, size=SMALL, colour=QUIET)
    return canvas


@dataclass(frozen=True, slots=True)
class Mark:
    """Dates that are written at one place, with what is written there."""

    places: tuple[float, ...]
    texts: tuple[str, ...]
    words: str


def _labels_of_dates(time: Scale, marks: Sequence[tuple[float, str]]) -> list[Mark]:
    """Each date with its text, or by its number where there is no room; numbers without room stand beside another."""
    shown = [(time(x), text) for x, text in marks if time.low <= x <= time.high]
    labels: list[Mark] = []
    for k, (x, text) in enumerate(shown):
        room = (shown[k + 1][0] if k + 1 < len(shown) else time.end + GAP) - x
        mark = Mark((x,), (text,), text if text_width(text, SMALL) + 1.0 < room else text.partition(" ")[0])
        while labels and mark.places[0] < labels[-1].places[0] + text_width(labels[-1].words, SMALL) + 0.6:
            near = labels.pop()
            texts = (*near.texts, *mark.texts)
            mark = Mark((*near.places, *mark.places), texts, ", ".join(each.partition(" ")[0] for each in texts))
        labels.append(mark)
    return labels


def _lines(texts: Sequence[str]) -> list[str]:
    """Texts one behind the other in lines of the width of the figure."""
    lines: list[str] = []
    for text in texts:
        longer = f"{lines[-1]} · {text}" if lines else text
        if lines and text_width(longer, SMALL) <= WIDTH - LEFT - RIGHT:
            lines[-1] = longer
        else:
            lines.append(text)
    return lines


def _rows(track: Track) -> int:
    """Rows of the legend, at most."""
    named = sum(bool(curve.label) for curve in track.curves)
    return (named + 3) // 4 + (len(_marked(track)) + 3) // 4


def _legend(track: Track) -> tuple[str, ...]:
    return *(curve.label for curve in track.curves), "", *(points.label for points in _marked(track))


def _marked(track: Track) -> list[Curve]:
    """What is drawn by marks, those that set no scale last."""
    return [*track.points, *([track.aside] if track.aside is not None else [])]


def _track(
    canvas: Canvas, track: Track, times: tuple[Scale, Scale], ends: tuple[float, float],
    marks: Sequence[Mark], *, named: bool,
) -> None:  # fmt: skip
    top, bottom = ends
    # A level stays off the frame.
    values = [y for curve in (*track.curves, *track.points) for y in curve.y] + [
        ABOVE * level.value for level in track.levels
    ]
    low, high = round_range(values, 4)
    up = Scale(low, high, top, bottom) if track.downward else Scale(low, high, bottom, top)
    for time in times:
        _frame(canvas, time, up, (top, bottom))
        _curves(canvas, track, time, up)
    for mark in marks:
        for x in mark.places:
            canvas.line([(x, top), (x, bottom)], MARK)
        if named:
            canvas.text((mark.places[0] + 0.3, top - 1.0), mark.words, size=SMALL, colour=QUIET)
    # Over the dates, which would cross their names.
    named_at: list[tuple[float, float, float]] = []
    for level in sorted(track.levels, key=lambda level: up(level.value)):
        _level(canvas, level, times[level.late], up, named_at)
    for value in up.ticks(5 if bottom - top > 30 else 3):
        canvas.text((LEFT - 1.2, up(value) + 0.7), tick_text(value), size=SMALL, anchor="end")
    canvas.text((4.0, (top + bottom) / 2), f"{track.title}, {track.unit}", size=SMALL, anchor="middle", turned=True)


def _level(
    canvas: Canvas, level: Level, time: Scale, up: Scale, named: list[tuple[float, float, float]],
) -> None:  # fmt: skip
    """A level over the whole axis or in its spans, named at its start; `named` are the names above it so far."""
    ends = [(time(max(first, time.low)), time(min(last, time.high))) for first, last in level.spans]
    for start, end in ends or [(time.start, time.end)]:
        canvas.line([(start, up(level.value)), (end, up(level.value))], LEVEL)
    start, y = ends[0][0] if ends else time.start, up(level.value)
    late = start > time.end - LATE * (time.end - time.start)
    width = text_width(level.text, SMALL)
    x, step = (time.end - 0.8 - width, -width - CROWDED[0]) if late else (start + 0.8, width + CROWDED[0])
    # Below its line, then further along it, where another name stands.
    places = [(x + step * k, y + down) for k in range(len(named) + 1) for down in (-0.8, BELOW)]
    free = (place for place in places if not any(_touches(place, width, name) for name in named))
    place = next(free, places[0])
    named.append((*place, width))
    canvas.text(place, level.text, size=SMALL, backed=True)


def _touches(place: Place, width: float, name: tuple[float, float, float]) -> bool:
    """Whether a name at a place would touch another one."""
    left, baseline, long = name
    beside = place[0] + width + CROWDED[0] <= left or left + long + CROWDED[0] <= place[0]
    return not beside and abs(place[1] - baseline) < CROWDED[1]


def _frame(canvas: Canvas, time: Scale, up: Scale, ends: tuple[float, float]) -> None:
    top, bottom = ends
    for value in time.ticks(7):
        canvas.line([(time(value), top), (time(value), bottom)], GRID)
    for value in up.ticks(5 if bottom - top > 30 else 3):
        canvas.line([(time.start, up(value)), (time.end, up(value))], GRID)
    corners = [(time.start, top), (time.end, top), (time.end, bottom), (time.start, bottom), (time.start, top)]
    canvas.line(corners, FRAME)


def _curves(canvas: Canvas, track: Track, time: Scale, up: Scale) -> None:
    if track.band is not None:
        upper, lower = (list(_inside(curve, time, up)) for curve in track.band)
        if len(upper) > 1:
            canvas.area([*upper, *reversed(lower)], BAND)
    for curve, pen in zip(track.curves, curve_pens(), strict=False):
        places = list(_inside(curve, time, up))
        if len(places) > 1:
            canvas.line(places, pen)
    for kind, points in enumerate(track.points):
        for x, y in zip(points.x, points.y, strict=True):
            if time.low <= x <= time.high:
                draw_mark(canvas, (time(x), up(y)), kind)
    if track.aside is not None:
        _aside(canvas, track.aside, len(track.points), time, up)


def _aside(canvas: Canvas, points: Curve, kind: int, time: Scale, up: Scale) -> None:
    """Marks in their places, and those beyond the scale just inside its edge with an arrow and their value."""
    for x, y in zip(points.x, points.y, strict=True):
        if not time.low <= x <= time.high:
            continue
        if up.low <= y <= up.high:
            draw_mark(canvas, (time(x), up(y)), kind)
            continue
        edge = up.high if y > up.high else up.low
        inwards = 1.0 if up(edge) == min(up.start, up.end) else -1.0
        across, tip = time(x), up(edge) + 0.3 * inwards
        canvas.line([(across - 0.7, tip + 1.0 * inwards), (across, tip), (across + 0.7, tip + 1.0 * inwards)],
                    Pen(0.25, INK))  # fmt: skip
        draw_mark(canvas, (across, tip + 1.9 * inwards), kind)
        late = across > time.end - LATE * (time.end - time.start)
        place = (across + (-1.4 if late else 1.4), tip + 1.9 * inwards + 0.7)
        canvas.text(place, number_text(y, _decimals(y)), size=SMALL, anchor="end" if late else "start", backed=True)


def _decimals(value: float) -> int:
    """Decimals of three digits."""
    return max(0, 2 - floor(log10(abs(value)))) if value else 0


def _inside(curve: Curve, time: Scale, up: Scale) -> list[Place]:
    """The part of a curve that a time axis shows, from its beginning to its end."""
    shown = [(x, y) for x, y in zip(curve.x, curve.y, strict=True) if time.low <= x <= time.high]
    first, last = max(curve.x[0], time.low), min(curve.x[-1], time.high)
    if first < last:
        ends = [(x, float(np.interp(x, curve.x, curve.y))) for x in (first, last)]
        shown = [*(ends[:1] if not shown or shown[0][0] > first else []), *shown,
                 *(ends[1:] if not shown or shown[-1][0] < last else [])]  # fmt: skip
    return list(polyline([x for x, _ in shown], [y for _, y in shown], time, up))
