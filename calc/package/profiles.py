"""Quantities against depth, side by side; charts in a plane; ratios against a limit."""

from markupsafe import Markup

from calc.engine.figure import Bar, Bars, Chart, Panel, Profile
from calc.package.axes import CURVES, FRAME, GRID, Scale, legend, polyline, round_range, tick_text
from calc.package.canvas import ACCENT, INK, QUIET, SIZES, Canvas, Pen, hatch_lines, shorten, text_width
from calc.package.scenes import spread

WIDTH = 170.0
NAMES = 34.0
WIDEST_PANEL = 50.0
SMALL = SIZES["small"]


def draw_profile(profile: Profile) -> Canvas:
    """Panels on one depth axis with the layers named at the left."""
    depths = [depth for panel in profile.panels for one in panel.series for depth in one.depths]
    deepest = max([*depths, *(depth for depth, _ in profile.boundaries), 0.1])
    lines = max(len(panel.series) for panel in profile.panels)
    height = min(95.0, max(58.0, 3.0 * len(profile.boundaries)))
    room = WIDTH - NAMES - 8.0
    each = min(WIDEST_PANEL, room / len(profile.panels))
    canvas = Canvas(NAMES + 8.0 + each * len(profile.panels), 9.0 + height + 6.0 + 3.2 * lines)
    down = Scale(0.0, deepest, 9.0, 9.0 + height)
    _layer_names(canvas, profile, down)
    for index, panel in enumerate(profile.panels):
        left = NAMES + 8.0 + index * each
        _panel(canvas, panel, profile, down, (left, left + each - 5.0))
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
    values = [value for one in panel.series for value in one.values]
    low, high = round_range(values or [0.0], 3)
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
    canvas.text((left + text_width(title, SIZES["normal"]) * 1.08 + 1.0, top - 5.2), unit, size=SMALL, colour=QUIET)
    for one, pen in zip(panel.series, CURVES, strict=False):
        canvas.line(polyline(one.values, one.depths, across, down), pen)
    names = [(one.label, pen) for one, pen in zip(panel.series, CURVES, strict=False)]
    if len(names) > 1 or names[0][0]:
        for row, entry in enumerate(names):
            legend(canvas, [entry], left, bottom + 4.0 + 3.2 * row, right)


def draw_chart(chart: Chart) -> Canvas:
    """Curves in a plane with a legend below."""
    canvas = Canvas(WIDTH, 88.0)
    left, right, top, bottom = 18.0, WIDTH - 6.0, 5.0, 70.0
    xs = [x for curve in chart.curves for x in curve.x if x > 0 or not chart.log_x]
    ys = [y for curve in chart.curves for y in curve.y]
    low, high = (min(xs), max(xs)) if chart.log_x else round_range(xs)
    across = Scale(low, high, left, right, chart.log_x)
    y_low, y_high = round_range(ys)
    up = Scale(y_low, y_high, top, bottom) if chart.downward else Scale(y_low, y_high, bottom, top)
    for value in across.ticks(6):
        canvas.line([(across(value), top), (across(value), bottom)], GRID)
        canvas.text((across(value), bottom + 3.2), tick_text(value), size=SMALL, anchor="middle")
    for value in up.ticks(5):
        canvas.line([(left, up(value)), (right, up(value))], GRID)
        canvas.text((left - 1.2, up(value) + 0.7), tick_text(value), size=SMALL, anchor="end")
    for x, text in chart.marks:
        canvas.line([(across(x), top), (across(x), bottom)], Pen(0.15, QUIET, "1.4 0.9"))
        canvas.text((across(x) + 0.8, top + 2.6), text, size=SMALL, colour=QUIET)
    canvas.line([(left, top), (right, top), (right, bottom), (left, bottom), (left, top)], FRAME)
    for curve, pen in zip(chart.curves, CURVES, strict=False):
        shown = [(x, y) for x, y in zip(curve.x, curve.y, strict=True) if x > 0 or not chart.log_x]
        canvas.line(polyline([x for x, _ in shown], [y for _, y in shown], across, up), pen)
    canvas.text(((left + right) / 2, bottom + 7.0), chart.x_label, anchor="middle")
    canvas.text((5.0, (top + bottom) / 2), chart.y_label, anchor="middle", turned=True)
    legend(canvas, [(c.label, p) for c, p in zip(chart.curves, CURVES, strict=False)], left, bottom + 12.0, right)
    return canvas


def draw_bars(bars: Bars) -> Canvas:
    """One bar a row with the limit as a line; what failed is black, what was not verified is empty."""
    row = 5.2
    canvas = Canvas(WIDTH, row * len(bars.rows) + 7.0)
    left, right = 62.0, 132.0
    values = [bar.value for bar in bars.rows if bar.value is not None]
    across = Scale(0.0, max(1.25 * bars.limit, min(max([*values, 0.0]), 2.5 * bars.limit)), left, right)
    top, bottom = 1.0, 1.0 + row * len(bars.rows)
    for index, bar in enumerate(bars.rows):
        _bar(canvas, bar, across, top + row * index)
    canvas.line([(left, top), (left, bottom)], FRAME)
    canvas.line([(across(bars.limit), top - 0.6), (across(bars.limit), bottom + 0.8)], Pen(0.35, INK))
    canvas.text((across(bars.limit), bottom + 3.4), tick_text(bars.limit), size=SMALL, anchor="middle")
    canvas.text((left, bottom + 3.4), "0", size=SMALL, anchor="middle")
    return canvas


def _bar(canvas: Canvas, bar: Bar, across: Scale, top: float) -> None:
    size = SIZES["normal"]
    middle = top + 2.6 + 0.36 * size
    canvas.text((across.start - 2.0, middle), shorten(bar.label, size, across.start - 3.0), size=size, anchor="end")
    shown = "not verified" if bar.value is None else f"{bar.value:.2f}"
    if bar.value is not None:
        end = across(min(bar.value, across.high))
        box = [(across.start, top + 1.0), (end, top + 1.0), (end, top + 4.2), (across.start, top + 4.2)]
        if bar.state == "fail":
            canvas.area(box, INK)
        elif bar.state == "pass":
            canvas.area(box, "#9dbfc4")
            canvas.line([*box, box[0]], Pen(0.15, ACCENT))
        else:
            for segment in hatch_lines(box, 0.8, 1.2):
                canvas.line(segment, Pen(0.1, QUIET))
            canvas.line([*box, box[0]], Pen(0.15, QUIET))
    canvas.text((across.end + 3.0, middle), shown, size=size, bold=True)
    canvas.text((across.end + 14.0 if bar.value is not None else across.end + 22.0, middle), bar.note, size=SMALL)
