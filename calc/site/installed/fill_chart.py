"""The fill of one column by depth: what was placed so far, and every part of it over the theoretical volume."""

from collections.abc import Sequence
from dataclasses import dataclass

from calc.engine.words import words_of
from calc.package.axes import FRAME, GRID, Scale, legend, round_range, tick_text
from calc.package.canvas import ACCENT, INK, QUIET, SIZES, Canvas, Pen
from calc.site.plan.column_layout import Array

say = words_of(__name__)

SIZE = (182.0, 86.0)  # mm
TOP, BOTTOM = 11.0, 76.0
PANELS = ((16.0, 84.0), (104.0, 176.0))
PLACED, LIMIT = Pen(0.45, ACCENT), Pen(0.5, INK)
THEORY, PLUG = Pen(0.3, INK, "2.2 1.0"), Pen(0.3, QUIET, "0.8 0.8")


@dataclass(frozen=True)
class FillByDepth:
    """Readings of a column from the toe up, theory and limits; depths in m below the working level."""

    depth: Array
    volume: Array
    middle: Array
    """Of the parts."""
    ratio: Array
    begins: float
    """Depth of the lower end of the fill, above the plug."""
    ends: float
    """Depth of the head."""
    area: float
    """Cross-section of the plan, m²."""
    limits: tuple[float | None, float | None]


def fill_chart(of: FillByDepth) -> Canvas:
    """Two panels over the same depth."""
    canvas = Canvas(*SIZE)
    low, high = round_range([0.0, of.begins, *of.depth.tolist()])
    depths = Scale(low, high, TOP, BOTTOM)
    theory = of.area * (of.begins - of.ends)
    volumes = Scale(*round_range([theory, *of.volume.tolist()]), *PANELS[0])
    known = [value for value in of.limits if value is not None]
    ratios = Scale(*round_range([1.0, *known, *of.ratio.tolist()]), *PANELS[1])
    for panel, title in ((volumes, say("volume")), (ratios, say("ratio"))):
        _panel(canvas, panel, depths, title)
    canvas.line([(volumes(0.0), depths(of.begins)), (volumes(theory), depths(of.ends))], THEORY)
    canvas.line([(volumes(v), depths(z)) for v, z in zip(of.volume, of.depth, strict=True)], PLACED)
    for limit in known:
        canvas.line([(ratios(limit), TOP), (ratios(limit), BOTTOM)], LIMIT)
    canvas.line([(ratios(1.0), depths(of.begins)), (ratios(1.0), depths(of.ends))], THEORY)
    canvas.line([(ratios(r), depths(z)) for r, z in zip(of.ratio, of.middle, strict=True)], PLACED)
    for start, end in PANELS:
        for level in (of.begins, of.ends):
            canvas.line([(start, depths(level)), (end, depths(level))], PLUG)
    entries: Sequence[tuple[str, Pen]] = (
        (say("placed"), PLACED), (say("theory"), THEORY), (say("limits"), LIMIT), (say("fill-ends"), PLUG)
    )  # fmt: skip
    legend(canvas, entries, PANELS[0][0], SIZE[1] - 3.0, SIZE[0])
    return canvas


def _panel(canvas: Canvas, across: Scale, down: Scale, title: str) -> None:
    small = SIZES["small"]
    for tick in down.ticks():
        canvas.line([(across.start, down(tick)), (across.end, down(tick))], GRID)
        canvas.text((across.start - 1.2, down(tick) + 0.7), tick_text(tick), size=small, anchor="end")
    for tick in across.ticks(4):
        canvas.line([(across(tick), TOP), (across(tick), BOTTOM)], GRID)
        canvas.text((across(tick), TOP - 1.4), tick_text(tick), size=small, anchor="middle")
    corners = [(across.start, TOP), (across.end, TOP), (across.end, BOTTOM), (across.start, BOTTOM)]
    canvas.line([*corners, corners[0]], FRAME)
    canvas.text(((across.start + across.end) / 2, TOP - 6.0), title, size=SIZES["normal"], anchor="middle")
    canvas.text((across.start - 9.5, (TOP + BOTTOM) / 2), say("depth"), size=small, anchor="middle", turned=True)
