"""Figures of a study: tornado, shares, how the estimate settles, points of the sampling."""

import math
from collections.abc import Sequence

from calc.engine.words import words_of
from calc.package.axes import BAND, FRAME, GRID, Scale, draw_mark, round_range, tick_text
from calc.package.canvas import ACCENT, INK, QUIET, SIZES, Canvas, Pen, shorten
from calc.package.equations import Picture
from calc.package.figures import PIXELS_PER_MM
from calc.study.vary.one_at_a_time import Swing
from calc.study.vary.read_vary import Scatter, State
from calc.study.vary.vary_text import infinite

say = words_of(__name__)

WIDE, NAMES, RIGHT, ROW = 172.0, 52.0, 6.0, 5.6
HALF, LEFT, TOP, HEIGHT, BOTTOM = 84.0, 15.0, 4.0, 50.0, 10.0
MOST = 15  # bars of a figure
LOW_BAR, HIGH_BAR = "#a9c9ce", "#4d6468"
LIMIT_LINE = Pen(0.5, INK, "2 1")
SMALL = SIZES["small"]


def _picture(canvas: Canvas, alt: str) -> Picture:
    return Picture(canvas.uri(), canvas.width * PIXELS_PER_MM, canvas.height * PIXELS_PER_MM, 0.0, alt)


def tornado_picture(state: State, labels: dict[str, tuple[str, str]]) -> Picture | None:
    """Utilisation at both ends of every range, largest change first; `labels` are both ends of an input as text."""
    swings = [Swing(swing.path, infinite(swing.at_low), infinite(swing.at_high)) for swing in state.swings]
    bars = [swing for swing in swings if swing.size > 0 and math.isfinite(swing.size)][:MOST]
    base = infinite(state.utilisation_factors_of_one)
    if not bars or not math.isfinite(base):
        return None
    low, high = round_range([end for swing in bars for end in (swing.at_low, swing.at_high)] + [base, 1.0], 6,
                            from_zero=False)  # fmt: skip
    bottom = TOP + ROW * len(bars)
    canvas = Canvas(WIDE, bottom + BOTTOM)
    across = Scale(low, high, NAMES + 14.0, WIDE - RIGHT - 14.0)
    _ticks_across(canvas, across, TOP, bottom)
    for k, swing in enumerate(bars):
        middle = TOP + ROW * (k + 0.5)
        canvas.text((0.0, middle + 0.7), shorten(swing.path, SMALL, NAMES), size=SMALL)
        ends = sorted(
            ((swing.at_low, LOW_BAR, labels[swing.path][0]), (swing.at_high, HIGH_BAR, labels[swing.path][1]))
        )
        for end, colour, _ in sorted(ends, key=lambda bar: -abs(bar[0] - base)):
            x, y = across(base), across(end)
            canvas.area([(x, middle - 1.7), (y, middle - 1.7), (y, middle + 1.7), (x, middle + 1.7)], colour)
        left, right = min(across(ends[0][0]), across(base)), max(across(ends[1][0]), across(base))
        canvas.text((left - 1.0, middle + 0.7), ends[0][2], size=SMALL, anchor="end", backed=True)
        canvas.text((right + 1.0, middle + 0.7), ends[1][2], size=SMALL, backed=True)
    canvas.line([(across(base), TOP), (across(base), bottom)], Pen(0.3, INK))
    canvas.line([(across(1.0), TOP), (across(1.0), bottom)], LIMIT_LINE)
    canvas.text(((across.start + across.end) / 2, bottom + 7.6), say("utilisation"), size=SMALL, anchor="middle")
    return _picture(canvas, say("tornado-alt", verdict=state.verdict))


def shares_picture(state: State) -> Picture | None:
    """Bars of total shares with their bounds and the part of the input alone; without shares those of Morris."""
    rows: list[tuple[str, float, float, float | None]] = [
        (share.path, share.total, share.total_bound, share.first) for share in state.shares
    ] or [(effect.path, effect.mean_size, effect.bound, None) for effect in state.effects]
    if not rows:
        return None
    rows = rows[:MOST]
    bottom = TOP + ROW * len(rows)
    canvas = Canvas(WIDE, bottom + BOTTOM)
    across = Scale(*round_range([row[1] + row[2] for row in rows], 6), NAMES, WIDE - RIGHT)
    _ticks_across(canvas, across, TOP, bottom)
    for k, (path, size, bound, first) in enumerate(rows):
        middle = TOP + ROW * (k + 0.5)
        canvas.text((0.0, middle + 0.7), shorten(path, SMALL, NAMES - 2.0), size=SMALL)
        _bar(canvas, across, max(size, 0.0), middle, LOW_BAR)
        if first is not None:
            _bar(canvas, across, max(first, 0.0), middle, HIGH_BAR)
        ends = across(max(size - bound, 0.0)), across(size + bound)
        canvas.line([(ends[0], middle), (ends[1], middle)], Pen(0.25, INK))
        for x in ends:
            canvas.line([(x, middle - 1.0), (x, middle + 1.0)], Pen(0.25, INK))
    title = say("shares") if state.shares else say("effects")
    canvas.text(((across.start + across.end) / 2, bottom + 7.6), title, size=SMALL, anchor="middle")
    return _picture(canvas, say("shares-alt", verdict=state.verdict))


def _bar(canvas: Canvas, across: Scale, end: float, middle: float, colour: str) -> None:
    x, y = across(0.0), across(end)
    canvas.area([(x, middle - 1.7), (y, middle - 1.7), (y, middle + 1.7), (x, middle + 1.7)], colour)


def _ticks_across(canvas: Canvas, across: Scale, top: float, bottom: float) -> None:
    for value in across.ticks(6):
        canvas.line([(across(value), top), (across(value), bottom)], GRID)
        canvas.text((across(value), bottom + 3.4), tick_text(value), size=SMALL, anchor="middle")


def course_picture(state: State) -> Picture | None:
    """The estimate of the probability of failure with its bounds over the number of points.

    One number of points, as of replicates that are no longer than where the course begins, has no course.
    """
    if state.monte_carlo is None or len(state.monte_carlo.course) == 1:
        return None
    course = state.monte_carlo.course
    canvas = Canvas(HALF, TOP + HEIGHT + BOTTOM)
    across = Scale(course[0][0], course[-1][0], LEFT, HALF - 4.0, log=True)
    up = Scale(*round_range([high for *_, high in course], 4), TOP + HEIGHT, TOP)
    band = [(across(n), up(low)) for n, _, low, _ in course] + [(across(n), up(high)) for n, _, _, high in course[::-1]]
    canvas.area(band, BAND)
    _axes(canvas, across, up, say("points"), say("probability"))
    canvas.line([(across(n), up(value)) for n, value, _, _ in course], Pen(0.45, ACCENT))
    return _picture(canvas, say("course-alt", verdict=state.verdict))


def scatter_picture(verdict: str, scatter: Scatter, label: str, factor: float) -> Picture:
    """The values of g at the first points over the input that the verdict hangs on most."""
    x = [value / factor for value in scatter.values]
    points = [(value, 1.0 - ratio) for value, ratio in zip(x, scatter.utilisations, strict=True) if ratio is not None]
    canvas = Canvas(HALF, TOP + HEIGHT + BOTTOM)
    across = Scale(*round_range(x, 5, from_zero=False), LEFT, HALF - 4.0)
    up = Scale(*round_range([*(g for _, g in points), 0.0], 4, from_zero=False), TOP + HEIGHT, TOP)
    _axes(canvas, across, up, label, say("g"))
    canvas.line([(across.start, up(0.0)), (across.end, up(0.0))], LIMIT_LINE)
    for value, height in points:
        draw_mark(canvas, (across(value), up(height)), 0 if height >= 0 else 2, 0.3)
    return _picture(canvas, say("scatter-alt", verdict=verdict, path=scatter.path))


def _axes(canvas: Canvas, across: Scale, up: Scale, x_title: str, y_title: str) -> None:
    # On the axis of points every doubling but the first two in four would crowd.
    doublings = [across.low * 4**k for k in range(20) if across.low * 4**k <= across.high]
    for value in doublings if across.log else across.ticks(5):
        canvas.line([(across(value), up.start), (across(value), up.end)], GRID)
        canvas.text((across(value), up.start + 3.2), tick_text(value), size=SMALL, anchor="middle")
    for value in up.ticks(4):
        canvas.line([(across.start, up(value)), (across.end, up(value))], GRID)
        canvas.text((across.start - 1.2, up(value) + 0.7), tick_text(value), size=SMALL, anchor="end")
    corners: Sequence[tuple[float, float]] = [
        (across.start, up.start), (across.end, up.start), (across.end, up.end), (across.start, up.end),
    ]  # fmt: skip
    canvas.line([*corners, corners[0]], FRAME)
    middle = (across.start + across.end) / 2, (up.start + up.end) / 2
    canvas.text((middle[0], up.start + 7.6), x_title, size=SMALL, anchor="middle", colour=QUIET)
    canvas.text((3.0, middle[1]), y_title, size=SMALL, anchor="middle", turned=True, colour=QUIET)
