"""The key plan: every sheet in its place, north up, with the chainages of the line, exclusion zones and footprint."""

from collections.abc import Sequence
from dataclasses import dataclass
from math import ceil, floor, hypot

import numpy as np

from calc.engine.words import words_of
from calc.inputs.tables.alignment import place_text
from calc.inputs.tables.plan import Corner, Plan
from calc.inputs.tables.plan_line import Element
from calc.package.canvas import INK, QUIET, Canvas, Pen, Place, hatch_lines, shorten, text_width
from calc.site.plan.axis import places
from calc.site.plan.column_layout import Array
from calc.site.plan.plan_pens import AXIS, FINE, SMALL, THIN
from calc.site.plan.setting_out import one_line
from calc.site.plan.sheet_cuts import Cut, outline

say = words_of(__name__)

Box = tuple[float, float, float, float]
FOOTPRINT, ZONE = Pen(0.35, INK, "6 2"), Pen(0.3)
OWN = "#c9c6bd"  # of the sheet that the key plan stands on: its number stays legible in grey
ROOMY = 4.0  # mm that a number takes
AROUND = 4.0  # mm around the sheets, for chainages
APART, SHARE = 9.0, 0.08  # mm between chainages, at least, and of the width of the key plan
STEPS = (5.0, 10.0, 20.0, 50.0, 100.0, 200.0, 500.0, 1000.0, 2000.0, 5000.0)
HATCH = (0.8, 1.2)  # rad, mm
LONGEST = 60.0  # mm of a name
NEAR = 12.0  # mm up and down, in which a name keeps clear of sheets
WIDE = 120.0  # mm of a key plan that has room for the names of zones


@dataclass(frozen=True)
class Paper:
    """Where the grid lies on the paper: mm of a metre, and the place of a corner of it."""

    scale: float
    low: tuple[float, float]
    corner: Place

    def at(self, easting: Array, northing: Array) -> list[Place]:
        """Places on the paper."""
        x = self.corner[0] + self.scale * (easting - self.low[0])
        y = self.corner[1] - self.scale * (northing - self.low[1])
        return list(zip(x.tolist(), y.tolist(), strict=True))


def key_plan(
    plan: Plan, elements: Sequence[Element], cuts: Sequence[Cut], canvas: Canvas, box: Box, own: Cut | None = None
) -> None:
    """All sheets as outlines, that of this sheet filled."""
    outlines = [np.column_stack(outline(plan, cut, elements)) for cut in cuts]
    every = np.concatenate(outlines)
    low, high = every.min(axis=0), every.max(axis=0)
    left, top, right, bottom = box
    room = (right - left - 2 * AROUND, bottom - top - 4 - 2 * AROUND)
    scale = min(room[0] / max(high[0] - low[0], 1), room[1] / max(high[1] - low[1], 1))
    paper = Paper(scale, (float(low[0]), float(low[1])), (left + AROUND, bottom - AROUND))
    borders = [paper.at(*border.T) for border in outlines]
    for cut, spots in zip(cuts, borders, strict=True):
        if own is cut:
            canvas.area(spots, OWN)
    _grounds(plan, canvas, paper, box, [spot for spots in borders for spot in spots])
    _line(plan, elements, cuts, canvas, paper, max(APART, SHARE * (right - left)))
    numbered = (-ROOMY, -ROOMY)
    for cut, spots in zip(cuts, borders, strict=True):
        canvas.line([*spots, spots[0]], THIN)
        middle = (sum(x for x, _ in spots) / len(spots), sum(y for _, y in spots) / len(spots))
        beside = 0.0 if hypot(spots[0][0] - spots[-1][0], spots[0][1] - spots[-1][1]) > ROOMY else 2.5
        # Of many small sheets some numbers are enough to find the others by.
        if own is cut or hypot(middle[0] - numbered[0], middle[1] - numbered[1]) > ROOMY:
            at = (middle[0] + beside, middle[1] + beside + 0.7)
            canvas.text(at, str(cut.number), size=SMALL, bold=own is cut, anchor="start" if beside else "middle",
                        backed=own is not cut)  # fmt: skip
            numbered = middle
    title = f"{say('key-plan')}; {say('hatched')}" if plan.exclusion else say("key-plan")
    canvas.text((left, top + 1.0), title, size=SMALL, colour=QUIET)


def _grounds(plan: Plan, canvas: Canvas, paper: Paper, box: Box, sheets: Sequence[Place]) -> None:
    """The border of the footprint, and exclusion zones hatched, as far as the key plan reaches."""
    for part in plan.footprint.part if plan.footprint else ():
        _draw_border(canvas, _cut_to(_corners(paper, part.corner), box), FOOTPRINT)
    for zone in plan.exclusion:
        border = _cut_to(_corners(paper, zone.corner), box)
        if not border:
            continue
        for line in hatch_lines(border, *HATCH):
            canvas.line(line, FINE)
        _draw_border(canvas, border, ZONE)
        if box[2] - box[0] > WIDE:
            _name(canvas, one_line(zone.name), border, sheets, box)


def _name(canvas: Canvas, name: str, border: Sequence[Place], sheets: Sequence[Place], box: Box) -> None:
    """The name of a zone with a line to it, to the right of the sheets there; on the zone where there is no room."""
    x, y = (sum(values) / len(border) for values in zip(*border, strict=True))
    beside = max(at[0] for at in (*border, *(place for place in sheets if abs(place[1] - y) < NEAR))) + ROOMY
    text = shorten(name, SMALL, LONGEST)
    if beside + text_width(text, SMALL) > box[2]:
        canvas.text((x, y + 0.7), text, size=SMALL, anchor="middle", backed=True)
        return
    canvas.line([(x, y), (beside - 0.6, y)], FINE)
    canvas.text((beside, y + 0.7), text, size=SMALL, backed=True)


def _corners(paper: Paper, corners: Sequence[Corner]) -> list[Place]:
    return paper.at(np.array([corner.easting for corner in corners]), np.array([corner.northing for corner in corners]))


def _draw_border(canvas: Canvas, border: Sequence[Place], pen: Pen) -> None:
    if border:
        canvas.line([*border, border[0]], pen)


def _line(
    plan: Plan, elements: Sequence[Element], cuts: Sequence[Cut], canvas: Canvas, paper: Paper, apart: float
) -> None:
    """The line over the length of the sheets, with chainages beside what they show."""
    begins, ends = min(cut.begins for cut in cuts), max(cut.ends for cut in cuts)
    along = np.append(np.arange(begins, ends, 5.0), ends)
    canvas.line(paper.at(*places(elements, along, np.zeros(len(along)))), AXIS)
    step = next((step for step in STEPS if step * paper.scale >= apart), STEPS[-1])
    for chainage in np.arange(ceil(begins / step), floor(ends / step) + 1) * step:
        shown = [cut.left for cut in cuts if cut.begins <= chainage <= cut.ends] or [-1.0]
        out = min(*shown, -1.0) * plan.scale_factor
        (x, y), edge = paper.at(*places(elements, np.full(2, chainage), np.array([0.0, out])))
        away = hypot(edge[0] - x, edge[1] - y)
        ahead = ((edge[0] - x) / away, (edge[1] - y) / away)
        tick, text = ((edge[0] + far * ahead[0], edge[1] + far * ahead[1]) for far in (1.4, 2.4))
        canvas.line([(x, y), tick], FINE)
        anchor = "middle" if abs(ahead[0]) < abs(ahead[1]) else "start" if ahead[0] > 0 else "end"
        canvas.text((text[0], text[1] + (0.7 if anchor != "middle" else 1.4 * (ahead[1] > 0))),
                    place_text(float(chainage)), size=SMALL, anchor=anchor, backed=True)  # fmt: skip


def _cut_to(border: Sequence[Place], box: Box) -> list[Place]:
    """A polygon as far as it lies in a box: cut at one side of it after the other."""
    polygon = list(border)
    for axis, limit, sign in ((0, box[0], 1), (0, box[2], -1), (1, box[1], 1), (1, box[3], -1)):
        kept = list[Place]()
        for begin, end in zip([*polygon[-1:], *polygon[:-1]], polygon, strict=True):
            inside = [sign * (at[axis] - limit) >= 0 for at in (begin, end)]
            if inside[0] != inside[1]:
                share = (limit - begin[axis]) / (end[axis] - begin[axis])
                kept.append((begin[0] + share * (end[0] - begin[0]), begin[1] + share * (end[1] - begin[1])))
            if inside[1]:
                kept.append(end)
        polygon = kept
    return polygon
