"""Quantities against depth, side by side; values along a line."""

from collections.abc import Iterator, Sequence
from itertools import cycle

from markupsafe import Markup

from calc.engine.figure import Chart, Panel, Profile, Series
from calc.package.axes import (
    BAND,
    FRAME,
    GRID,
    LIMIT,
    LIMITS,
    Scale,
    curve_pens,
    draw_mark,
    legend,
    polyline,
    round_range,
    tick_text,
)
from calc.package.canvas import INK, QUIET, SIZES, Canvas, Pen, shorten, text_width
from calc.package.scenes import spread

WIDTH = 170.0
NAMES = 30.0
WIDEST_PANEL = 50.0
MANY = 3  # curves from which a panel that stands alone takes the whole width
SMALL = SIZES["small"]
CROSS, POINT = 0.7, Pen(0.2, INK)


def draw_profile(profile: Profile) -> Canvas:
    """Panels on one depth axis with the layers named at the left."""
    depths = [depth for panel in profile.panels for curve in panel.series for depth in curve.depths]
    deepest = max([*depths, *(depth for depth, _ in profile.boundaries), 0.1])
    lines = max(len(panel.series) for panel in profile.panels)
    height = min(95.0, max(42.0, 3.0 * len(profile.boundaries)))
    room = WIDTH - NAMES - 8.0
    alone = len(profile.panels) == 1 and lines > MANY
    width = room if alone else min(WIDEST_PANEL, room / len(profile.panels))
    if alone:
        (panel,) = profile.panels
        lines = _legend_rows([curve.label for curve in panel.series if not curve.limit], room) + sum(
            curve.limit for curve in panel.series
        )
    canvas = Canvas(NAMES + 8.0 + width * len(profile.panels), 9.0 + height + 2.2 + 3.2 * lines)
    down = Scale(0.0, deepest, 9.0, 9.0 + height)
    _layer_names(canvas, profile, down)
    for index, panel in enumerate(profile.panels):
        left = NAMES + 8.0 + index * width
        _panel(canvas, panel, profile, down, (left, left + width - 5.0))
    return canvas


def _layer_names(canvas: Canvas, profile: Profile, down: Scale) -> None:
    left = NAMES + 8.0
    for depth in down.ticks(8):
        canvas.text((left - 1.2, down(depth) + 0.7), tick_text(depth), size=SMALL, anchor="end")
    canvas.text((0.0, down.start - 5.2), profile.depth_label, size=SMALL, colour=QUIET)
    wanted = [down(depth) + 2.6 for depth, _ in profile.boundaries]
    for (_, name), place in zip(profile.boundaries, spread(wanted, 2.9, down.start, down.end), strict=True):
        canvas.text((0.0, place), shorten(name, SMALL, NAMES - 1.0), size=SMALL)


def _panel(canvas: Canvas, panel: Panel, profile: Profile, down: Scale, sides: tuple[float, float]) -> None:
    left, right = sides
    values = [value for curve in panel.series for value in curve.values]
    low, high = round_range(values or [0.0], 3, from_zero=panel.from_zero)
    across = Scale(low, high, left, right)
    top, bottom = down.start, down.end
    for value in across.ticks(3):
        canvas.line([(across(value), top), (across(value), bottom)], GRID)
        canvas.text((across(value), top - 1.0), tick_text(value), size=SMALL, anchor="middle")
    for depth, _ in profile.boundaries:
        canvas.line([(left, down(depth)), (right, down(depth))], Pen(0.12, QUIET, "1.4 0.9"))
    canvas.line([(left, top), (right, top), (right, bottom), (left, bottom), (left, top)], FRAME)
    unit = panel.unit
    title = Markup(panel.title)  # noqa: S704 - only symbols' own tags are read from it, everything else is escaped
    canvas.text((left, top - 5.2), title, size=SIZES["normal"], bold=True)
    behind = left + text_width(title, SIZES["normal"], bold=True) + 1.5
    canvas.text((behind, top - 5.2), unit, size=SMALL, colour=QUIET)
    pens = list(_pens(panel.series))
    for curve, pen in zip(panel.series, pens, strict=True):
        places = list(polyline(curve.values, curve.depths, across, down))
        if curve.points:
            for x, y in places:
                canvas.line([(x - CROSS, y - CROSS), (x + CROSS, y + CROSS)], POINT)
                canvas.line([(x - CROSS, y + CROSS), (x + CROSS, y - CROSS)], POINT)
        else:
            canvas.line(places, pen)
    names = [(curve.label, pen) for curve, pen in zip(panel.series, pens, strict=True) if not curve.points]
    if len(profile.panels) == 1 and len(names) > MANY:
        curves = [entry for entry in names if entry[1] not in LIMITS]
        below = legend(canvas, curves, left, bottom + 4.0, right)
        for entry in [entry for entry in names if entry[1] in LIMITS]:
            below = legend(canvas, [entry], left, below, right)
    elif len(names) > 1 or (names and names[0][0]):
        for row, entry in enumerate(names):
            legend(canvas, [entry], left, bottom + 4.0 + 3.2 * row, right)


def _legend_rows(names: Sequence[str], room: float) -> int:
    """The rows that the names of curves take."""
    return round(legend(Canvas(room, 0.0), [(name, LIMIT) for name in names], 0.0, 0.0, room - 5.0) / 3.2)


def _pens(series: Sequence[Series]) -> Iterator[Pen]:
    """A pen for each curve; limits have pens of their own."""
    pens, limits = curve_pens(), cycle(LIMITS)
    for curve in series:
        yield next(limits) if curve.limit else POINT if curve.points else next(pens)


def draw_chart(chart: Chart) -> Canvas:
    """Values along a line, downward or a band upward, with the ends of its stretches as the axis and a legend below."""
    left, right, top, bottom = 14.0, WIDTH - 4.0, 5.0, 43.0
    names = dict.fromkeys(curve.label for curve in chart.curves)
    pens = dict(zip(names, curve_pens(), strict=False))
    canvas = Canvas(WIDTH, bottom + 8.8 + 3.2 * _legend_rows(list(pens), right - left + 5.0))
    ends = [place for place, _ in chart.places]
    across = Scale(min(ends), max(ends), left, right)
    ways = (bottom, top) if chart.band or chart.upward else (top, bottom)
    values = [y for curve in chart.curves for y in curve.y]
    down = Scale(*round_range(values, from_zero=not chart.upward), *ways)
    for value in down.ticks(5):
        canvas.line([(left, down(value)), (right, down(value))], GRID)
        canvas.text((left - 1.2, down(value) + 0.7), tick_text(value), size=SMALL, anchor="end")
    for k, (place, text) in enumerate(chart.places):
        canvas.line([(across(place), top), (across(place), bottom)], Pen(0.12, QUIET, "1.4 0.9"))
        anchor = "start" if not k else "end" if k == len(ends) - 1 else "middle"
        canvas.text((across(place), bottom + 3.2), text, size=SMALL, anchor=anchor)
    for place, text in chart.marks:
        canvas.text((across(place), top - 1.2), text, size=SIZES["normal"], bold=True, anchor="middle")
    canvas.line([(left, top), (right, top), (right, bottom), (left, bottom), (left, top)], FRAME)
    if chart.band:
        upper, lower = (list(polyline(curve.x, curve.y, across, down)) for curve in chart.curves[:2])
        canvas.area([*upper, *reversed(lower)], BAND)
    for curve in chart.curves:
        canvas.line(polyline(curve.x, curve.y, across, down), pens[curve.label])
        for point in polyline(curve.x, curve.y, across, down) if chart.upward else ():
            draw_mark(canvas, point, 0)
    canvas.text(((left + right) / 2, bottom + 6.6), chart.x_label, size=SMALL, anchor="middle")
    canvas.text((4.0, (top + bottom) / 2), chart.y_label, size=SMALL, anchor="middle", turned=True)
    legend(canvas, list(pens.items()), left, bottom + 11.0, right)
    return canvas
