"""The neighbours of a side in half a cross-section, to scale, and what reaches them over distance."""

from collections.abc import Iterator

import numpy as np

from calc.chapters.neighbours.displacement import CURVE
from calc.chapters.shared.frame import frame
from calc.chapters.shared.geometry import Profile, at_toes, column_axes, profile
from calc.chapters.shared.layer_lines import layer_lines, outline, toe_below
from calc.engine.figure import Chart, Circle, Curve, Dimension, Item, Label, Line, Polygon, Scene, box
from calc.engine.sheet import Sheet
from calc.engine.symbols import symbol
from calc.engine.words import words_of
from calc.inputs import Design, Section
from calc.inputs.tables.neighbours import Neighbour, Neighbours

say = words_of(__name__)

SIZE = 0.8  # of a building or a pile cap over the height of the embankment
MARGIN = 1.15
TICKS, MOST_TICKS = (10, 50), 12  # m


def half_section(design: Design, section: Section, neighbours: Neighbours, done: dict[str, Sheet]) -> Iterator[Scene]:
    """A drawing for each side with neighbours; the left side is drawn as it stands, with x to the left."""
    places = profile(done["columns"], frame(design, section).stages[-1])
    for side, sign in (("left", -1.0), ("right", 1.0)):
        beside = [neighbour for neighbour in neighbours.neighbours if neighbour.side == side]
        if not beside:
            continue
        items = tuple(_items(section, places, beside, sign))
        alt = say("alt", count=len(beside), side=side)
        yield Scene(f"neighbours_{side}", say("title", side=side), alt, items, note=say("note"))


def _items(section: Section, at: Profile, beside: list[Neighbour], sign: float) -> Iterator[Item]:
    half = tuple(point for point in at.outline if sign * point[0] > 0)
    toe = half[-1][0] if sign > 0 else half[0][0]
    slope = half if sign > 0 else half[::-1]
    far = toe + sign * MARGIN * (max(neighbour.distance for neighbour in beside) + at.crest - at.ground)
    x, y = np.array(at.outline).T
    top = float(np.interp(0.0, x, y))
    low = at.lowest_toes - 0.1 * (at.crest - at.lowest_toes)
    ground, *_, firm = layer_lines(section, at, min(0.0, far), max(0.0, far))
    yield Polygon(outline(ground, firm), "soft")
    yield Polygon(outline(firm, ((firm[0][0], low), (firm[-1][0], low))), at_toes(section))
    radius = section.columns.diameter / 2
    edges = [at.left_column, at.right_column] if section.column_field else [at.left_toe, at.right_toe]
    for x in column_axes(section, edges[0], edges[1]):
        if sign * x >= 0:
            yield Polygon(box(x - radius, x + radius, at.ground, toe_below(section, at, x)), "column")
    yield Polygon(((0.0, at.ground), (0.0, top), *slope), "fill")
    yield Line(((0.0, top), *slope), "outline")
    yield Line(((0.0, at.crest + 0.5), (0.0, low)), "axis")
    for row, neighbour in enumerate(beside):
        yield from _neighbour(neighbour, at, toe, sign)
        left, right = sorted((toe, toe + sign * neighbour.distance))
        yield Dimension(left, low, right, low, f"{neighbour.distance:g} m", -3.0 - 4.0 * row)


def _neighbour(neighbour: Neighbour, at: Profile, toe: float, sign: float) -> Iterator[Item]:
    """Its near side stands at the distance given."""
    near, height = toe + sign * neighbour.distance, SIZE * (at.crest - at.ground)
    far = near + sign * height
    left, right = min(near, far), max(near, far)
    if neighbour.kind == "pipe":
        radius = 0.1 * height
        yield Circle(near + sign * radius, at.ground - 3 * radius, radius)
    else:
        yield Polygon(
            box(left, right, at.ground + height / (3 if neighbour.kind == "piles" else 1), at.ground), "platform"
        )
    if neighbour.piles is not None:
        half = neighbour.piles.diameter / 2
        for x in (near + sign * half, far - sign * half):
            yield Polygon(box(x - half, x + half, at.ground, at.ground - neighbour.piles.length), "platform")
    yield Label((left + right) / 2, at.ground + 1.15 * height, neighbour.name)


def bands(sheet: Sheet, neighbours: Neighbours) -> Iterator[Chart]:
    """Lateral displacement and heave over distance, from the nearest column alone to all of them."""
    scope, distance = sheet.scopes[CURVE], sheet["r_N"]
    distances = tuple(scope["r_N"].array.tolist())
    marks = tuple(
        (float(distance.number({"neighbour": neighbour.name}) or 0.0), neighbour.name)
        for neighbour in neighbours.neighbours
    )
    drawn = (
        ("lateral", say("lateral-title"), say("lateral-axis"), "u_xF", "u_r1"),
        ("heave", say("heave-title"), say("heave-axis"), "u_zF", "u_z1"),
    )
    for key, title, axis, all_columns, alone in drawn:
        curves = tuple(
            Curve(label, distances, tuple((symbol(name).factor * scope[name].array).tolist()))
            for label, name in ((say("all"), all_columns), (say("one"), alone))
        )
        yield Chart(f"band_{key}", title, say("band-alt", title=title), say("distance"), axis, curves, marks,
                    _ticks(distances[-1]), note=say("band-note"), band=True)  # fmt: skip


def _ticks(reach: float) -> tuple[tuple[float, str], ...]:
    """Round distances up to the end of the curves, and that end."""
    step = TICKS[0] if reach < MOST_TICKS * TICKS[0] else TICKS[1]
    return *((float(distance), f"{distance}") for distance in range(0, round(reach - step / 4), step)), (
        reach,
        f"{reach:g}",
    )
