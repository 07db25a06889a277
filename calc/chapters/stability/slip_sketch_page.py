"""The critical slip circle over layers, columns and reinforcement, and the contours over the centres."""

from collections.abc import Iterator, Mapping, Sequence
from math import inf

import numpy as np

from calc.chapters.shared.geometry import Profile, at_toes, column_axes, profile
from calc.chapters.shared.layer_lines import bands, layer_lines, level_at, outline, toe_below
from calc.chapters.shared.mats import ACROSS
from calc.chapters.shared.zones import outline_of_zone
from calc.engine.figure import Anchor, Arrow, Fill, Item, Label, Line, Polygon, Scene, box
from calc.engine.levels import above
from calc.engine.sheet import Scope, Sheet, number_text
from calc.engine.typeset import set_amount
from calc.engine.words import words_of
from calc.inputs import Section
from calc.procedures.slip import Circle, Contours, Result

say = words_of(__name__)

Pair = tuple[float, float]
Lines = tuple[tuple[Pair, ...], tuple[Pair, ...]]

MARGIN = 4.0
DEEP = 0.05  # m below the ground, up to which a surface is one within the fill
SMALL, NEAR = 0.25, 1.0  # share of the width up to which a surface is drawn larger, and what it then has around it, m
WIDTH, BESIDE = 82.0, 58.0  # of the cross-section and of the contours beside it, mm
NARROW = 0.006  # of the width that is drawn, from which faces of slices are told apart
PULL, ABOVE = 0.1, 0.35  # length of the arrow of a tension over the width of the embankment; its name over that length
LEVELS = 6
TIMES = {1: "once", 2: "twice"}
LABEL = (0.13, 0.07)  # width and height of a label of a contour with some air, over the size of the frame


def slip_sketch(
    columns: Sheet, section: Section, case: Mapping[str, str], scope: Scope, result: Result, said: tuple[str, str]
) -> Scene:
    """The cross-section of the stage to scale with the critical circle and its centre.

    ``said`` is what the circle is critical for, and the case in words.
    """
    critical_for, words = said
    stage = section.stages[int(case["stage"].split(" ", 1)[0]) - 1]
    labels = scope.sheet.axes["stage"]
    before = labels[labels.index(case["stage"]) - 1] if "_lift" in scope.name else ""
    place = profile(columns, case["stage"], before)
    water = next(water.level for water in section.water if water.name == stage.water)
    xs = [x for x, _ in result.points]
    # Only the side that slides is drawn, to a few metres beyond the shoulder, the toe and the circle.
    left = min(place.outline[0][0] if xs[0] < place.left_shoulder else 0.0, xs[0]) - MARGIN
    right = max(place.outline[-1][0] if xs[-1] > place.right_shoulder else 0.0, xs[-1]) + MARGIN
    within = min(y for _, y in result.points) >= place.ground - DEEP
    deepest = min(place.lowest_toes - 2.0, min(y for _, y in result.points) - 1.0)
    bottom = place.ground - MARGIN / 2 if within else deepest
    if (wide := xs[-1] - xs[0]) < SMALL * (right - left):
        around = wide + NEAR
        left, right = max(left, xs[0] - around), min(right, xs[-1] + around)
        bottom = max(bottom, min(y for _, y in result.points) - around)
    items = (
        *_ground(section, place, (left, right), bottom),
        *_columns(section, place, (left, right), bottom),
        *_ties(section, place, left, right),
        *([Line(((left, water), (right, water)), "water")] if water > bottom else ()),
        *_slices(result, place, NARROW * (right - left)),
        *_circle(result, 2 * place.crest - bottom),
        *_forces(result, place),
        *(
            _names(section, place, (left, right), bottom, left + 0.2, "start")
            if xs[0] + xs[-1] > left + right
            else _names(section, place, (left, right), bottom, right - 0.2, "end")
        ),
    )
    kind = say("circle-kind") if isinstance(result.surface, Circle) else say("translational-mechanism")
    alt = say("slip-sketch-alt", kind=kind, factor=result.factor, words=words)
    title = say("title", kind=kind, scope=critical_for)
    note = say("slip-sketch-note", words=words, factor=number_text(result.factor, 3))
    note += say("slip-sketch-forces") if any(force.force > 0 for force in result.forces) else ""
    return Scene(f"{scope.name}-circle", title, alt, tuple(items), width_mm=WIDTH, note=note)


def _bands(section: Section, place: Profile, between: Pair, bottom: float) -> list[tuple[Fill, str, Lines]]:
    """The layers and the firm one as far as they are drawn: material, name, upper and lower end."""
    named: list[tuple[Fill, str]] = [
        ("soft2" if k % 2 else "soft", layer.name) for k, layer in enumerate(section.soft_layers)
    ]
    ends = bands(layer_lines(section, place, *between), bottom)
    drawn = zip([*named, (at_toes(section, named[-1][0]), "")], ends, strict=True)
    return [(*band, pair) for band, pair in drawn if len({y for line in pair for _, y in line}) > 1]


def _ground(section: Section, place: Profile, between: Pair, bottom: float) -> Iterator[Item]:
    for material, _, ends in _bands(section, place, between, bottom):
        yield Polygon(outline(*ends), material)
    yield Polygon(_fill(place, *between), "fill")
    bank = section.embankment
    for k, (_, zone) in enumerate(bank.zones):
        left, right = bank.ends(zone)
        drawn = max(left, between[0]), min(right, between[1])
        if corners := outline_of_zone(place.outline, zone, place.base, drawn):
            yield Polygon(corners, ("zone", "zone2")[k % 2])


def _fill(place: Profile, left: float, right: float) -> tuple[Pair, ...]:
    """Corners of the fill between the sides of the drawing."""
    x, y = zip(*place.outline, strict=True)
    first, last = max(left, x[0]), min(right, x[-1])
    drawn = (first, *(corner for corner in x if first < corner < last), last)
    surface = zip(drawn, np.interp(drawn, x, y).tolist(), strict=True)
    return tuple(dict.fromkeys([(first, place.ground), *surface, (last, place.ground)]))


def _names(
    section: Section, place: Profile, between: Pair, bottom: float, at: float, anchor: Anchor
) -> Iterator[Item]:  # fmt: skip
    """The layers by name, on the side away from the slip surface."""
    for _, name, ends in _bands(section, place, between, bottom):
        top, base = (level_at(line, at) for line in ends)
        if name and above(top, base):
            yield Label(at, (top + base) / 2, name, anchor, "small")


def _columns(section: Section, place: Profile, between: Pair, bottom: float) -> Iterator[Item]:
    """The rows of columns across."""
    half, (left, right) = section.columns.diameter / 2, between
    for x in column_axes(section, place.left_column, place.right_column):
        if left <= x - half and x + half <= right:
            toe = min(max(toe_below(section, place, x), bottom), place.ground)
            yield Polygon(box(x - half, x + half, place.ground, toe), "column")


def _ties(section: Section, place: Profile, left: float, right: float) -> Iterator[Item]:
    for layer in section.reinforcement:
        if layer.direction in ACROSS:
            beyond = layer.anchorage.length if layer.anchorage else 0.0
            begin, end = max(place.left_column - beyond, left), min(place.right_column + beyond, right)
            yield Line(((begin, layer.level), (end, layer.level)), "reinforcement")


def _slices(result: Result, place: Profile, narrow: float) -> Iterator[Item]:
    """The faces between the slices, from the slip surface to the top; of those ``narrow`` m apart one stands."""
    (xs, ys), (across, up) = np.array(sorted(result.points)).T, np.array(place.outline).T
    last = -inf
    for x in _faces(result):
        base, top = float(np.interp(x, xs, ys)), float(np.interp(x, across, up))
        if top > base and x - last > narrow:
            yield Line(((x, base), (x, top)), "fine")
            last = x


def _faces(result: Result) -> list[float]:
    """Where the slices meet, from left to right; a slice may have parts, each with its share of the width."""
    table = result.table
    first = {int(index): k for k, index in reversed(list(enumerate(table.index)))}
    ends = [
        float(table.x[k]) + sign * float(table.b[table.index == index].sum()) / 2
        for index, k in first.items()
        for sign in (-1, 1)
    ]
    return sorted({round(end, 3) for end in ends})[1:-1]


def _forces(result: Result, place: Profile) -> Iterator[Item]:
    """The tension of the layers where the slip surface cuts them, pulling the sliding side back."""
    pulling = [force for force in result.forces if force.force > 0]
    if not pulling:
        return
    length = PULL * (place.right_toe - place.left_toe) * (1.0 if result.direction == "left" else -1.0)
    words = " + ".join(number_text(force.force, 1) for force in pulling)
    top = max(pulling, key=lambda force: force.level)
    yield from (Arrow(force.x, force.level, force.x + length, force.level) for force in pulling)
    yield Label(top.x + length / 2, top.level + ABOVE * abs(length), f"{words} kN/m", "middle", "small")


def _circle(result: Result, highest: float) -> Iterator[Item]:
    """The slip surface, and the centre of a circle with its radii; one above the highest level is only named."""
    yield Line(result.points, "outline")
    if not isinstance(result.surface, Circle):
        return
    x, y = result.centre
    level, away = set_amount(number_text(y, 1)), set_amount(number_text(x, 1))
    words = say("circle", x=away, y=level, factor=number_text(result.factor, 3))
    if y > highest:
        words = say("circle-far", circle=words)
        yield Label(result.points[-1][0], max(y for _, y in result.points) + 0.3, words, "middle", "small")
        return
    yield Line((result.points[0], (x, y), result.points[-1]), "dashed")
    yield Label(x, y + 0.3, words, "middle", "small")


def contour_sketch(scope: Scope, result: Result, grid: Contours, words: str) -> Scene:
    """Lines of equal minimum over-design factor over the centres of the circles."""
    title = say("contour-sketch-title", scope_title=scope.title)
    key = f"{scope.name}-contours"
    alt = say("contour-sketch-alt", words=words)
    items: list[Item] = [Polygon(box(float(grid.x[0]), float(grid.x[-1]), float(grid.y[-1]), float(grid.y[0])), "none")]
    low = float(np.nanmin(grid.factor))
    taken = [result.centre]
    frame = (float(grid.x.min()), float(grid.x.max())), (float(grid.y.min()), float(grid.y.max()))
    size = max(frame[0][1] - frame[0][0], frame[1][1] - frame[1][0])
    room = LABEL[0] * size, LABEL[1] * size
    for step in range(1, LEVELS + 1):
        level = low * (1 + 0.04 * step**1.5)
        lines = grid.lines(level)
        items.extend(Line(line, "thin") for line in lines)
        place = _free_place([point for line in lines for point in line], taken, room, frame)
        if place is not None:
            taken.append(place)
            items.append(Label(*place, number_text(level, 2), "middle", "small"))
    x, y = result.centre
    items.append(Label(x, y, "×", "middle", "normal"))
    tried = say("tried", tried=result.tried)
    widened = (
        say("enlarged", times=TIMES.get(result.extended, say("times", times=result.extended)))
        if result.extended
        else ""
    )
    edge = say("contour-sketch-edge", names=", ".join(result.at_edge)) if result.at_edge else ""
    note = say("contour-sketch-note", tried=tried, widened=widened, edge=edge)
    return Scene(key, title, alt, tuple(items), width_mm=BESIDE, note=f"{words}. {note}")


def _free_place(
    points: Sequence[Pair], taken: Sequence[Pair], room: Pair, frame: tuple[Pair, Pair]
) -> Pair | None:  # fmt: skip
    """The point of a line within the frame farthest from what is written already; None where there is no room."""

    def free(point: Pair) -> float:
        return min(max(abs(point[0] - x) / room[0], abs(point[1] - y) / room[1]) for x, y in taken)

    inside = [
        point for point in points
        if all(low + gap / 2 <= at <= high - gap / 2 for at, gap, (low, high) in zip(point, room, frame, strict=True))
    ]  # fmt: skip
    best = max(inside, key=free, default=None)
    return best if best is not None and free(best) >= 1 else None
