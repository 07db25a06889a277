"""The column grid in plan over the true width of the field, with the numbers of its rows."""

from collections.abc import Iterator
from itertools import pairwise
from math import ceil

from calc.chapters.shared.geometry import Profile, column_axes
from calc.engine.figure import Circle, Dimension, Item, Label, Line, Scene
from calc.engine.words import words_of
from calc.inputs import Section

say = words_of(__name__)

SPACINGS = 2  # that are drawn along the embankment
NAMED = 5  # every so many rows have their number where not all have room
ROOM, NAME = 3.2, 16.0  # of a number of a row, of the name of an edge, mm
WIDE, HIGH = 145.0, 44.0  # of the columns, of the drawing with what stands beside it, mm
ROW = 0.6  # between columns and numbers, in diameters
NEAR = 2  # spacings beside the outermost rows within which the edges of the embankment are drawn


def grid_plan(section: Section, at: Profile) -> Scene:
    """Some columns of every row, to scale, with crest edges and toes; ``at`` has the places of the final state."""
    rows, grid = column_axes(section, at.left_column, at.right_column), section.columns
    length = SPACINGS * grid.spacing
    items = (*_columns(section, rows, length), *_numbers(section, rows, length), *_edges(section, at, rows, length),
             *_dimensions(section, rows, length))  # fmt: skip
    spacing = f"{grid.spacing:.2f}"
    alt = say("alt", rows=len(rows), width=rows[-1] - rows[0], pattern=grid.pattern, spacing=grid.spacing)
    return Scene("grid", say("title"), alt, items, height_mm=HIGH, note=say("note", rows=len(rows), spacing=spacing))


def _columns(section: Section, rows: list[float], length: float) -> Iterator[Item]:
    grid = section.columns
    for k, x in enumerate(rows):
        shift = grid.spacing / 2 if grid.pattern == "triangular" and k % 2 else 0.0
        for step in range(SPACINGS + 1):
            if (y := shift + step * grid.spacing) <= length:
                yield Circle(x, y, grid.diameter / 2, "column", "sleeve")


def _numbers(section: Section, rows: list[float], length: float) -> Iterator[Item]:
    """The rows from left to right: all of them, or every fifth with first and last where there is no room."""
    diameter = section.columns.diameter
    closest = (
        min((right - left for left, right in pairwise(rows)), default=ROOM) * WIDE / (rows[-1] - rows[0] + diameter)
    )
    every = 1 if closest >= ROOM else NAMED * ceil(ROOM / (NAMED * closest))
    last = len(rows)
    for k, x in enumerate(rows, start=1):
        if k in {1, last} or (k % every == 0 and last - k >= every / 2):
            yield Label(x, length + (0.5 + ROW) * diameter, f"{k}", "middle", "small")


def _edges(section: Section, at: Profile, rows: list[float], length: float) -> Iterator[Item]:
    """The axis, and the edges of crest and embankment that lie near the columns, by name where that has room."""
    near = NEAR * section.columns.spacing
    crest = (at.right_shoulder - at.left_shoulder) * WIDE / (rows[-1] - rows[0] + section.columns.diameter)
    edge = say("crest") if crest >= NAME else ""
    for x, words in (
        (at.left_toe, say("toe")), (at.left_shoulder, edge), (0.0, ""), (at.right_shoulder, edge),
        (at.right_toe, say("toe")),
    ):  # fmt: skip
        if rows[0] - near <= x <= rows[-1] + near:
            low = -section.columns.diameter
            yield Line(((x, low), (x, length - low / 2)), "axis" if x == 0.0 else "dashed")
            yield Label(x, 1.4 * low, words, "middle", "small")


def _dimensions(section: Section, rows: list[float], length: float) -> Iterator[Item]:
    top = length + 3 * (0.5 + ROW) / 2 * section.columns.diameter  # above the numbers
    yield Dimension(rows[0], top, rows[-1], top, f"{rows[-1] - rows[0]:.2f} m", 2.0)
    if len(rows) > 1:
        # In the middle, clear of the names of toes and crest edges.
        row, other = rows[(len(rows) - 1) // 2 :][:2]
        yield Dimension(row, 0.0, other, 0.0, f"{other - row:.2f} m", -9.0)
