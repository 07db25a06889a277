"""The drawing sheets of the plan: columns by zone with ids, line, grid, exclusion zones, key plan, title block."""

from collections.abc import Sequence
from dataclasses import dataclass, field
from functools import cached_property
from math import ceil, cos, floor, sin

import numpy as np

from calc.engine.words import words_of
from calc.inputs.tables.alignment import place_text
from calc.inputs.tables.plan import Corner, Plan
from calc.inputs.tables.plan_line import Element
from calc.package.canvas import INK, QUIET, Canvas, Pen, Place, hatch_lines, shorten, text_width
from calc.site.plan.axis import places
from calc.site.plan.column_layout import Array, Layout, Marks
from calc.site.plan.column_list import Column, ColumnList
from calc.site.plan.grid_names import GRID_STEP, grid_lines, grid_on_frame
from calc.site.plan.key_plan import key_plan
from calc.site.plan.plan_marks import EVERY_TOE, POINT, RING, TOE, draw_marks, draw_points, mark, point_levels
from calc.site.plan.plan_pens import AXIS, BOLD, FINE, LARGE, SMALL, TEXT, THIN
from calc.site.plan.setting_out import layer_of, one_line
from calc.site.plan.sheet_cuts import EDGE, FIELD, ID_SIZE, PAPER, Cut, neighbours, outline

say = words_of(__name__)

FOOTPRINT = Pen(0.5, INK, "10 3")
MATCH = Pen(0.3, QUIET, "8 2")
DASHED = Pen(0.15, QUIET, "2 1.2")
SYMBOLS = ("open", "cross", "bar", "dot", "double", "half")
TICK = 10.0  # m between marks along the line
CLEAR = 16.0  # mm from a column to the label of a cross
CLOSE = 0.5  # mm between an id and a match line
BESIDE = 0.4  # m from the outermost row to the chainages
BAND = FIELD[3] + 4.0  # where the title band begins, mm
KEY = (150.0, 254.0)  # left and right of the key plan, mm
TITLE = 262.0  # where the title block begins, mm


@dataclass(frozen=True)
class Drawn:
    """What all sheets are drawn from."""

    plan: Plan
    layout: Layout
    elements: Sequence[Element]
    columns: Sequence[Column]
    listed: ColumnList
    cuts: Sequence[Cut]
    every: int
    """Every which column has its id printed."""
    outcome: str = field(kw_only=True)
    status: tuple[str, str] = field(kw_only=True)
    """Label of the revision of the project, and its status in words."""
    marked: frozenset[int] = field(default=frozenset(), kw_only=True)
    """Columns that are out of tolerance."""

    @cached_property
    def symbols(self) -> dict[str, str]:
        """The symbol of every section and zone."""
        names = dict.fromkeys(map(layer_of, self.columns))
        return {name: SYMBOLS[k % len(SYMBOLS)] for k, name in enumerate(names)}

    @property
    def title(self) -> str:
        """What the sheets are."""
        return say("title")

    @property
    def caution(self) -> str:
        """What stands at the end of every title block."""
        return say("caution")

    @property
    def places(self) -> tuple[Array, Array]:
        """Easting and northing that columns are drawn at."""
        return self.layout.columns.easting, self.layout.columns.northing

    def symbol(self, k: int) -> str:
        """The symbol of a column."""
        return self.symbols[layer_of(self.columns[k])]

    def label(self, k: int) -> str:
        """What stands under a column, nothing where its id is left out."""
        return self.columns[k].id if int(self.layout.columns.place[k]) % self.every == 0 else ""

    def key(self, shown: Sequence[int]) -> list[tuple[str, str]]:
        """Symbols of the legend of some columns, with their meanings."""
        of = {layer_of(self.columns[k]): self.columns[k] for k in reversed(shown)}
        entries = [(symbol, say("legend", name=name, diameter=f"{of[name].diameter:.3g}", sleeve=of[name].sleeve_type))
                 for name, symbol in self.symbols.items() if name in of]  # fmt: skip
        entries += [(POINT, say("legend-point"))] * bool(self.plan.investigation)
        entries += [(RING, say("legend-ring"))] * (not self.marked.isdisjoint(shown))
        return [*entries, (TOE, say("legend-toe", every=EVERY_TOE))]

    def more(self, cut: Cut, canvas: Canvas, drawn: Sequence[tuple[int, Place]]) -> None:
        """What a sheet shows beside its columns, which are drawn at these places."""
        draw_marks(canvas, self.columns, drawn, cut.scale, self.marked)
        radius = 500 * max((column.diameter for column in self.columns), default=0.0) / cut.scale
        draw_points(self.plan, cut, canvas, self.columns, drawn, radius)


def column_symbol(canvas: Canvas, at: Place, radius: float, symbol: str) -> None:
    """A column: a circle of its diameter with the mark of its zone, which needs no colour."""
    x, y = at
    if mark(canvas, at, radius, symbol):
        return
    if symbol == "quiet":
        canvas.circle(at, 0.35 * radius, FINE, "#ffffff")
        return
    canvas.circle(at, radius, THIN, "#ffffff")
    match symbol:
        case "cross":
            canvas.line([(x - radius, y), (x + radius, y)], THIN)
            canvas.line([(x, y - radius), (x, y + radius)], THIN)
        case "bar":
            canvas.line([(x - radius, y), (x + radius, y)], THIN)
        case "full":
            canvas.circle(at, radius, THIN, INK)
        case "gone":
            canvas.line([(x - radius, y - radius), (x + radius, y + radius)], BOLD)
            canvas.line([(x - radius, y + radius), (x + radius, y - radius)], BOLD)
        case "dot":
            canvas.circle(at, 0.45 * radius, None, INK)
        case "double":
            canvas.circle(at, 0.6 * radius, THIN)
        case "half":
            turns = [k * 3.1416 / 8 for k in range(9)]
            canvas.area([(x + radius * cos(t), y + radius * sin(t)) for t in turns], INK)


def drawing_sheet(drawn: Drawn, cut: Cut) -> Canvas:
    """One sheet of the plan."""
    canvas = Canvas(*PAPER)
    _ground(drawn, cut, canvas)
    _line(drawn, cut, canvas)
    _zones(drawn, cut, canvas)
    _columns(drawn, cut, canvas, _match_lines(drawn, cut, canvas))
    _mask(canvas)
    grid_on_frame(cut, canvas)
    _north(cut, canvas)
    _scale_bar(cut.scale, canvas, (20.0, BAND + 12.0))
    legend(drawn, canvas, cut)
    key_plan(drawn.plan, drawn.elements, drawn.cuts, canvas, (KEY[0], BAND + 5.0, KEY[1], PAPER[1] - 14.0), cut)
    begins, ends = (place_text(round(chainage, 2)) for chainage in (cut.begins, cut.ends))
    row = say("row", number=cut.number, count=len(drawn.cuts), scale=cut.scale,
              letter=cut.area.given.letter, begins=begins, ends=ends)  # fmt: skip
    title_block(drawn, canvas, [row])
    return canvas


def _mask(canvas: Canvas) -> None:
    """Clear what reaches over the field, and frame field and paper."""
    left, top, right, bottom = FIELD
    wide, high = PAPER[0] + EDGE, PAPER[1] + EDGE
    for box in ((0, 0, wide, top), (0, bottom, wide, high), (0, 0, left, high), (right, 0, wide, high)):
        x1, y1, x2, y2 = box
        canvas.area([(x1, y1), (x2, y1), (x2, y2), (x1, y2)], "#ffffff")
    frame(canvas)


def frame(canvas: Canvas) -> None:
    """The frame of the field and that of the title band."""
    left, top, right, bottom = FIELD
    canvas.line([(left, top), (right, top), (right, bottom), (left, bottom), (left, top)], BOLD)
    low = PAPER[1] - 10.0
    canvas.line([(left, BAND), (right, BAND), (right, low), (left, low), (left, BAND)], BOLD)
    for x in (KEY[0] - 4.0, TITLE - 4.0):
        canvas.line([(x, BAND), (x, low)], THIN)


def _on_field(x: Array, y: Array) -> Marks:
    return (x > FIELD[0] + 1) & (x < FIELD[2] - 1) & (y > FIELD[1] + 1) & (y < FIELD[3] - 1)


def _ground(drawn: Drawn, cut: Cut, canvas: Canvas) -> None:
    """Crosses of the grid with their easting and northing."""
    east, north = (axis.ravel() for axis in np.meshgrid(grid_lines(cut, 0), grid_lines(cut, 1)))
    x, y = cut.on_paper(east, north)
    along, across = (sin(cut.bearing), cos(cut.bearing)), (cos(cut.bearing), -sin(cut.bearing))
    laid = drawn.layout.columns
    own = cut.shows(laid)
    beside = np.column_stack(cut.on_paper(laid.easting[own], laid.northing[own]))
    for k in np.flatnonzero(_on_field(x, y)):
        at = (float(x[k]), float(y[k]))
        for dx, dy in ((along[0], across[0]), (along[1], across[1])):
            canvas.line([(at[0] - 2 * dx, at[1] - 2 * dy), (at[0] + 2 * dx, at[1] + 2 * dy)], FINE)
        # Among the columns a label would lie over their ids.
        if not len(beside) or np.hypot(*(beside - at).T).min() > CLEAR:
            label = f"E {east[k]:.0f}  N {north[k]:.0f}"
            over = at[0] + 1.2 + text_width(label, SMALL) > FIELD[2] - 1
            place, anchor = ((at[0] - 1.2, at[1] - 1.0), "end") if over else ((at[0] + 1.2, at[1] - 1.0), "start")
            canvas.text(place, label, size=SMALL, anchor=anchor, colour=QUIET)


def _line(drawn: Drawn, cut: Cut, canvas: Canvas) -> None:
    """The line with its chainages, and both crest edges."""
    first, last = drawn.elements[0].chainage, drawn.elements[-1].end
    over = EDGE * cut.scale / 1000
    at = np.arange(max(cut.begins - over, first), min(cut.ends + over, last) + 0.5, 1.0)
    at = np.append(at[at < min(cut.ends + over, last)], min(cut.ends + over, last))
    half = cut.area.section.embankment.crest_width / 2
    for offset, pen in ((0.0, AXIS), (-half, DASHED), (half, DASHED)):
        x, y = cut.on_paper(*places(drawn.elements, at, np.full(len(at), drawn.plan.scale_factor * offset)))
        canvas.line(zip(x.tolist(), y.tolist(), strict=True), pen)
    marks = np.arange(ceil(at[0] / TICK), floor(at[-1] / TICK) + 1) * TICK
    ends = [cut.on_paper(*places(drawn.elements, marks, np.full(len(marks), offset))) for offset in (-0.5, 0.5)]
    out = np.full(len(marks), drawn.plan.scale_factor * (cut.left - BESIDE))
    beside = cut.on_paper(*places(drawn.elements, marks, out))
    for k, chainage in enumerate(marks):
        a, b = ((float(x[k]), float(y[k])) for x, y in ends)
        canvas.line([a, b], THIN)
        left, top = float(beside[0][k]), float(beside[1][k])
        if FIELD[0] + 8 < left < FIELD[2] - 8:
            canvas.line([(left, top), (left, top + 2)], THIN)
            canvas.text((left, top - 0.8), place_text(float(chainage)), size=SMALL, anchor="middle", backed=True)


def _zones(drawn: Drawn, cut: Cut, canvas: Canvas) -> None:
    """Exclusion zones, hatched, with their names; the border of the footprint."""
    for part in drawn.plan.footprint.part if drawn.plan.footprint else ():
        x, y, border = _on_paper(cut, part.corner)
        canvas.line([*border, border[0]], FOOTPRINT)
    for zone in drawn.plan.exclusion:
        x, y, border = _on_paper(cut, zone.corner)
        if x.max() < FIELD[0] or x.min() > FIELD[2] or y.max() < FIELD[1] or y.min() > FIELD[3]:
            continue
        for line in hatch_lines(border, 0.8, 2.0):
            canvas.line(line, FINE)
        canvas.line([*border, border[0]], BOLD)
        at = (
            min(max(float(x.mean()), FIELD[0] + 4), FIELD[2] - 40),
            min(max(float(y.mean()), FIELD[1] + 6), FIELD[3] - 4),
        )
        canvas.text(at, one_line(zone.name), size=TEXT, anchor="middle", backed=True, bold=True)


def _on_paper(cut: Cut, corner: Sequence[Corner]) -> tuple[Array, Array, list[Place]]:
    """The corners of a polygon on the paper."""
    x, y = cut.on_paper(np.array([point.easting for point in corner]), np.array([point.northing for point in corner]))
    return x, y, list(zip(x.tolist(), y.tolist(), strict=True))


def _columns(drawn: Drawn, cut: Cut, canvas: Canvas, matches: Sequence[Sequence[Place]]) -> None:
    """Symbols and ids; an id by a match line, which stands below it, clears its ground."""
    shown = np.flatnonzero(cut.shows(drawn.layout.columns))
    x, y = cut.on_paper(*(values[shown] for values in drawn.places))
    spots = list(zip(shown.tolist(), zip(x.tolist(), y.tolist(), strict=True), strict=True))
    for k, at in spots:
        radius = 500 * drawn.columns[k].diameter / cut.scale
        column_symbol(canvas, at, radius, drawn.symbol(k))
        if label := drawn.label(k):
            low, half = (at[0], at[1] + radius + ID_SIZE), text_width(label, ID_SIZE) / 2
            near = any(_distance(low, line) < half + CLOSE for line in matches)
            canvas.text(low, label, size=ID_SIZE, anchor="middle", backed=near)
    drawn.more(cut, canvas, spots)


def _distance(at: Place, line: Sequence[Place]) -> float:
    """How far a point lies from a polyline, mm."""
    starts, ends, point = np.array(line[:-1]), np.array(line[1:]), np.array(at)
    along = ends - starts
    share = ((point - starts) * along).sum(axis=1) / np.maximum((along**2).sum(axis=1), CLOSE**2)
    return float(np.hypot(*(starts + np.clip(share, 0, 1)[:, None] * along - point).T).min())


def _match_lines(drawn: Drawn, cut: Cut, canvas: Canvas) -> list[Sequence[Place]]:
    """Where the neighbouring sheets go on, with their numbers: along the line, and beside it where a sheet is wide."""
    x, y = cut.on_paper(*outline(drawn.plan, cut, drawn.elements))
    border = list(zip(x.tolist(), y.tolist(), strict=True))
    half = len(border) // 2
    edges = list[Sequence[Place]]()
    lines = {"begins": (border[-1], border[0]), "ends": (border[half - 1], border[half])}
    for side, line in lines.items():
        canvas.line(line, MATCH)
        edges.append(line)
        text = _with_sheets(place_text(round(getattr(cut, side), 2)), neighbours(cut, drawn.cuts, side))
        lower = max(line, key=lambda at: at[1])
        canvas.text((lower[0], lower[1] + 1 + SMALL), text, size=SMALL, anchor="start" if side == "begins" else "end")
    for side, edge, down in (("left", border[:half], -1.0), ("right", border[half:], 1 + SMALL)):
        if others := neighbours(cut, drawn.cuts, side):
            canvas.line(edge, MATCH)
            middle = edge[half // 2]
            canvas.text((middle[0], middle[1] + down), _with_sheets("", others), size=SMALL, anchor="middle")
            edges.append(edge)
    return edges


def _with_sheets(text: str, others: Sequence[Cut]) -> str:
    """A text with the numbers of the sheets that go on there."""
    word = say("sheet" if len(others) == 1 else "sheets")
    numbers = f"{word} {', '.join(str(cut.number) for cut in others)}" if others else ""
    return ", ".join(filter(None, (text, numbers)))


def _north(cut: Cut, canvas: Canvas) -> None:
    """An arrow to grid north, in the title band."""
    middle = (KEY[0] - 18.0, BAND + 13.0)
    dx, dy = cos(cut.bearing), -sin(cut.bearing)  # north on the paper, where the line runs to the right
    tip = (middle[0] + 9 * dx, middle[1] + 9 * dy)
    canvas.line([(middle[0] - 8 * dx, middle[1] - 8 * dy), tip], BOLD)
    canvas.arrow_head(tip, middle, 4.0)
    canvas.text((middle[0] - 2.2 * dy - 0.8, middle[1] + 2.2 * dx + 0.8), "N", size=LARGE, bold=True)


def _scale_bar(scale: int, canvas: Canvas, at: Place) -> None:
    """A bar of five parts, in metres."""
    part = next(metres for metres in (1.0, 2.0, 5.0, 10.0, 20.0, 50.0) if 1000 * metres / scale >= 9)
    step = 1000 * part / scale
    for k in range(5):
        x1, x2 = at[0] + k * step, at[0] + (k + 1) * step
        box = [(x1, at[1]), (x2, at[1]), (x2, at[1] + 1.6), (x1, at[1] + 1.6)]
        if k % 2 == 0:
            canvas.area(box, INK)
        canvas.line([*box, box[0]], THIN)
        canvas.text((x1, at[1] - 0.8), f"{k * part:g}", size=SMALL, anchor="middle")
    canvas.text((at[0] + 5 * step, at[1] - 0.8), f"{5 * part:g} m", size=SMALL, anchor="middle")
    canvas.text((at[0] + 5 * step + 8, at[1] + 1.5), f"1:{scale}", size=TEXT, bold=True)


def legend(drawn: Drawn, canvas: Canvas, cut: Cut | None = None) -> None:
    """The symbols of a sheet, or of all."""
    laid = drawn.layout.columns
    shown = cut.shows(laid) if cut else np.ones(len(laid), dtype=bool)
    # Marks stand on the sheets alone.
    key = [entry for entry in drawn.key(np.flatnonzero(shown).tolist()) if cut or entry[0] not in {POINT, RING, TOE}]
    for k, (symbol, text) in enumerate(key):
        y = BAND + 22.0 + 5.0 * (k % 6)
        x = 22.0 + 60.0 * (k // 6)
        column_symbol(canvas, (x, y), 1.8, symbol)
        canvas.text((x + 4, y + 0.8), shorten(text, TEXT, 100 if len(key) <= 6 else 54), size=TEXT)
    if cut and POINT in {symbol for symbol, _ in key}:
        point_levels(drawn.plan, cut, canvas)
    if cut:
        footprint = drawn.plan.footprint
        more = f" {say('legend-footprint', name=one_line(footprint.name))}" if footprint else ""
        text = f"{say('legend-lines', step=GRID_STEP)}{more}"
        canvas.text((20.0, PAPER[1] - 17.0), shorten(text, SMALL, KEY[0] - 26), size=SMALL)
    if drawn.every > 1:
        canvas.text((20.0, PAPER[1] - 13.0), say("every", every=drawn.every), size=SMALL)


def title_block(drawn: Drawn, canvas: Canvas, rows: Sequence[str]) -> None:
    """What the sheet shows, outcome, project, grid, datum, revision, checksum, and the caution."""
    listed = drawn.listed
    y, right = BAND + 5.0, FIELD[2] - 2.0
    revision, status = (one_line(text) for text in drawn.status)
    rows = [*rows, say("outcome", outcome=drawn.outcome, revision=revision, status=status)]
    texts = [*rows, *(f"{name}: {one_line(text)}" for name, text in listed.head.items())]
    canvas.text((TITLE, y), shorten(drawn.title, LARGE, right - TITLE), size=LARGE, bold=True)
    for k, text in enumerate(texts):
        size = TEXT if k < len(rows) else SMALL
        y += 1.5 * size
        canvas.text((TITLE, y), shorten(text, size, right - TITLE), size=size, bold=k < len(rows))
    y += 4.6
    canvas.text((TITLE, y), f"{say('checksum')} {listed.checksum}", size=TEXT + 0.4, bold=True)
    lines(canvas, (TITLE, y + 3.4), drawn.caution, right - TITLE)


def lines(canvas: Canvas, at: Place, text: str, width: float) -> None:
    """A text over as many lines as it takes."""
    line, y = "", at[1]
    for word in [*text.split(), ""]:
        if not word or text_width(f"{line} {word}", SMALL) > width:
            canvas.text((at[0], y), line, size=SMALL)
            line, y = "", y + 1.4 * SMALL
        line = f"{line} {word}".strip()
