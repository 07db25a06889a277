"""Scenes in metres, drawn to scale: one scale for both directions unless the scene says otherwise."""

from collections.abc import Iterator, Sequence
from dataclasses import dataclass
from itertools import count
from math import hypot, inf, log10

from calc.engine.figure import Arrow, Callouts, Circle, Dimension, Label, Line, Point, Polygon, Scene
from calc.package.canvas import INK, QUIET, SIZES, Canvas, Pen, Place, shorten, text_width
from calc.package.materials import MATERIALS, PENS, paint

GAP = 3.2  # mm between lines of text in the margins
APART = 1.15  # of labels in one place, over their size
LEADER = 7.0
WIDEST_NOTE = 46.0
TALLEST = 165.0
PAD = 2.0
NAMED = 4.5  # above an arrow that is named at its tail
LEAST = 60.0  # width of the paper, mm
MARK_HEIGHT = 1.7
THINNEST = 0.18
FINE = Pen(0.12, INK)


@dataclass(frozen=True, slots=True)
class Frame:
    """Where the metres of a scene lie on the paper."""

    left: float
    top: float
    right: float
    bottom: float
    x: float
    y: float
    scale_x: float
    scale_y: float

    def place(self, point: Point) -> Place:
        """A point of the scene on the paper, mm."""
        return self.left + (point[0] - self.x) * self.scale_x, self.top + (self.y - point[1]) * self.scale_y


def draw_scene(scene: Scene) -> Canvas:
    """The scene on paper of its own width, or of what it takes of it."""
    frame, width, height = _frame(scene)
    canvas, levels = Canvas(width, height), _levels_of_labels(scene, frame)
    for item in scene.items:
        match item:
            case Polygon():
                paint(canvas, [frame.place(point) for point in item.points], item.fill, item.hatch)
            case Circle():
                _circle(canvas, frame, item)
            case Line():
                _line(canvas, frame, item, scene)
            case Label():
                size = SIZES[item.size]
                x, y = frame.place((item.x, item.y))[0], levels[item]
                canvas.text((x, y + 0.36 * size), item.text, size=size, anchor=item.anchor, backed=True)
            case Callouts():
                _callouts(canvas, frame, item)
            case Dimension():
                draw_dimension(canvas, frame, item)
            case Arrow():
                _arrow(canvas, frame, item)
    if scene.equal:
        _scale_bar(canvas, frame, height)
    return canvas


def _levels_of_labels(scene: Scene, frame: Frame) -> dict[Label, float]:
    """Where labels stand on the paper: those of one place below each other, however near what they name is."""
    columns: dict[tuple[float, str, str], list[Label]] = {}
    for item in scene.items:
        if isinstance(item, Label):
            columns.setdefault((item.x, item.anchor, item.size), []).append(item)
    levels: dict[Label, float] = {}
    for (_, _, size), labels in columns.items():
        labels.sort(key=lambda label: -label.y)
        wanted = [frame.place((label.x, label.y))[1] for label in labels]
        levels |= zip(labels, spread(wanted, APART * SIZES[size], 0.0, inf), strict=True)
    return levels


def _points(scene: Scene) -> Iterator[Point]:
    for item in scene.items:
        match item:
            case Polygon() | Line():
                yield from item.points
            case Circle():
                yield item.x - item.radius, item.y - item.radius
                yield item.x + item.radius, item.y + item.radius
            case Dimension() | Arrow():
                yield item.x1, item.y1
                yield item.x2, item.y2
            case Label():
                yield item.x, item.y
            case Callouts():
                pass


def _margins(scene: Scene) -> tuple[float, float, float, float]:
    """Room for callouts and dimensions outside the drawing: left, right, top, bottom, mm."""
    side = {"left": PAD, "right": PAD}
    for item in scene.items:
        if isinstance(item, Callouts) and item.entries:
            widest = max(text_width(text, SIZES["normal"]) for _, text in item.entries)
            side[item.side] = max(side[item.side], min(widest, WIDEST_NOTE) + LEADER + 1)
    levels = [y for _, y in _points(scene)]
    middle = (min(levels) + max(levels)) / 2
    above, below, beside = [PAD], [PAD], [PAD]
    for item in scene.items:
        if isinstance(item, Dimension):
            out = beside if item.x1 == item.x2 else above if item.y1 > middle else below
            out.append(abs(item.offset) + 4.5)
        elif isinstance(item, Arrow) and item.text and item.y1 >= max(levels):
            above.append(NAMED)
    return max(side["left"], *beside), max(side["right"], *beside), max(above), max(below)


def _frame(scene: Scene) -> tuple[Frame, float, float]:
    points = list(_points(scene))
    x0, x1 = min(p[0] for p in points), max(p[0] for p in points)
    y0, y1 = min(p[1] for p in points), max(p[1] for p in points)
    left, right, top, bottom = _margins(scene)
    bottom += 4.5 if scene.equal else 0.0
    wide = scene.width_mm - left - right
    scale_x = wide / max(x1 - x0, 1e-9)
    tall = (scene.height_mm or TALLEST) - top - bottom
    scale_y = tall / max(y1 - y0, 1e-9)
    if scene.equal:
        scale_x = scale_y = min(scale_x, scale_y)
    elif scene.height_mm is None:
        scale_y = min(scale_y, 70.0 / max(y1 - y0, 1e-9))
    width, height = (x1 - x0) * scale_x, (y1 - y0) * scale_y
    lines = max([len(item.entries) for item in scene.items if isinstance(item, Callouts)], default=0)
    # Notes beside the drawing need their lines even where the drawing itself is flat.
    slack = max(0.0, (lines + 2) * GAP - height - top - bottom) / 2
    # What the drawing and its labels leave of the paper is left to what stands beside it.
    before, after = _beyond(scene, x0, scale_x, width)
    before, after = max(before + PAD - left, 0.0), max(after + PAD - right, 0.0)
    paper = min(max(scene.width_mm - wide + width + before + after, LEAST), scene.width_mm)
    free = paper - scene.width_mm + wide - width
    left += before + (free - before - after) / 2
    frame = Frame(left, top + slack, left + width, top + slack + height, x0, y1, scale_x, scale_y)
    return frame, paper, height + top + bottom + 2 * slack


def _beyond(scene: Scene, x0: float, scale: float, width: float) -> tuple[float, float]:
    """How far labels reach over the drawing at its left and right, mm."""
    before, after = [0.0], [0.0]
    for item in scene.items:
        if isinstance(item, Label):
            place, long = (item.x - x0) * scale, text_width(item.text, SIZES[item.size])
            start = place - {"start": 0.0, "middle": long / 2, "end": long}[item.anchor]
            before.append(-start)
            after.append(start + long - width)
    return max(before), max(after)


def _circle(canvas: Canvas, frame: Frame, item: Circle) -> None:
    material = MATERIALS[item.fill]
    canvas.circle(frame.place((item.x, item.y)), item.radius * frame.scale_x, PENS[item.style], material.colour)


def _line(canvas: Canvas, frame: Frame, item: Line, scene: Scene) -> None:
    points = [frame.place(point) for point in item.points]
    pen = PENS[item.style]
    alike = [frame.place(line.points[0]) for line in scene.items if isinstance(line, Line) and line.style == item.style]
    if item.style == "reinforcement":
        # Layers which lie close are drawn thin and whole, so that each stays a line of its own.
        gap = min((abs(y - points[0][1]) for _, y in alike if y != points[0][1]), default=2 * pen.width)
        pen = pen if gap >= 2 * pen.width else Pen(max(THINNEST, gap / 2), pen.colour)
    canvas.line(points, pen)
    if item.style == "water":
        levels = [y for _, y in alike]
        _water_mark(canvas, points[0], side_by_side(levels, MARK_HEIGHT + 0.8)[levels.index(points[0][1])])


def side_by_side(levels: Sequence[float], near: float) -> list[int]:
    """For each level the first place along it which none of the earlier levels as near as that has taken."""
    places: list[int] = []
    for level in levels:
        taken = {place for place, other in zip(places, levels, strict=False) if abs(other - level) < near}
        places.append(next(place for place in count() if place not in taken))
    return places


def _water_mark(canvas: Canvas, start: Place, place: int) -> None:
    """The triangle on a water level."""
    x, y = start[0] + 0.8 + 2.4 * place, start[1]
    pen = Pen(0.2, PENS["water"].colour)
    canvas.line([(x, y - MARK_HEIGHT), (x + 2.0, y - MARK_HEIGHT), (x + 1.0, y), (x, y - MARK_HEIGHT)], pen)


def spread(wanted: Sequence[float], gap: float, highest: float, lowest: float) -> list[float]:
    """Places in order and at least `gap` apart, as near the wanted ones as the squares of the distances can be.

    They stay between `highest` and `lowest` as long as there is room for them.
    """
    groups: list[tuple[float, int]] = []
    for index, value in enumerate(wanted):
        # Without the gaps before it every place may only rise: neighbours which fall are put in their common middle.
        mean, count = value - index * gap, 1
        while groups and groups[-1][0] > mean:
            other, several = groups.pop()
            mean, count = (mean * count + other * several) / (count + several), count + several
        groups.append((mean, count))
    last = max(highest, lowest - (len(wanted) - 1) * gap)
    levels = [min(max(mean, highest), last) for mean, count in groups for _ in range(count)]
    return [level + index * gap for index, level in enumerate(levels)]


def _callouts(canvas: Canvas, frame: Frame, item: Callouts) -> None:
    entries = sorted(item.entries, key=lambda entry: -entry[0])
    wanted = [frame.place((frame.x, level))[1] for level, _ in entries]
    left = item.side == "left"
    edge = frame.left - 0.8 if left else frame.right + 0.8
    out = -1.0 if left else 1.0
    size = SIZES["normal"]
    # The scale bar stands at the lower right.
    places = spread(wanted, GAP, 2.0, canvas.height - (2.0 if left else 7.0))
    for (_, text), level, place in zip(entries, wanted, places, strict=True):
        elbow = edge + out * (LEADER - 3.0)
        canvas.line([(edge, level), (elbow, place), (elbow + out * 1.4, place)], Pen(0.1, QUIET))
        shown = shorten(text, size, WIDEST_NOTE)
        canvas.text((elbow + out * 2.0, place + 0.36 * size), shown, size=size, anchor="end" if left else "start")


def draw_dimension(canvas: Canvas, frame: Frame, item: Dimension) -> None:
    """A dimension line with extension lines, oblique strokes and its text, beyond its end where it is too short."""
    start, end = frame.place((item.x1, item.y1)), frame.place((item.x2, item.y2))
    length = hypot(end[0] - start[0], end[1] - start[1]) or 1e-9
    ux, uy = (end[0] - start[0]) / length, (end[1] - start[1]) / length
    nx, ny = uy, -ux
    a = (start[0] + nx * item.offset, start[1] + ny * item.offset)
    b = (end[0] + nx * item.offset, end[1] + ny * item.offset)
    over = 1.2 if item.offset >= 0 else -1.2
    for foot, head in ((start, a), (end, b)):
        if item.offset:
            canvas.line([foot, (head[0] + nx * over, head[1] + ny * over)], Pen(0.1, QUIET))
        canvas.line([(head[0] - 0.7, head[1] + 0.7), (head[0] + 0.7, head[1] - 0.7)], Pen(0.3, INK))
    canvas.line([a, b], FINE)
    _dimension_text(canvas, item, a, b, text_width(item.text, SIZES["normal"]) + 1.5 < length)


def _dimension_text(canvas: Canvas, item: Dimension, a: Place, b: Place, fits: bool) -> None:
    size = SIZES["normal"]
    middle = ((a[0] + b[0]) / 2, (a[1] + b[1]) / 2)
    upright = abs(b[1] - a[1]) > abs(b[0] - a[0])
    if upright and fits:
        canvas.text((middle[0] - 0.8, middle[1]), item.text, size=size, anchor="middle", turned=True, backed=True)
    elif upright:
        left = (item.offset >= 0) == (b[1] < a[1])
        place = (middle[0] + (-1.4 if left else 1.4), middle[1] + 0.36 * size)
        canvas.text(place, item.text, size=size, anchor="end" if left else "start", backed=True)
    elif fits:
        canvas.text((middle[0], middle[1] - 0.9), item.text, size=size, anchor="middle", backed=True)
    else:
        left = b[0] < a[0]
        place = (b[0] + (-1.4 if left else 1.4), middle[1] + 0.36 * size)
        canvas.text(place, item.text, size=size, anchor="end" if left else "start", backed=True)


def _arrow(canvas: Canvas, frame: Frame, item: Arrow) -> None:
    tail, tip = frame.place((item.x1, item.y1)), frame.place((item.x2, item.y2))
    canvas.line([tail, tip], Pen(0.25, INK))
    canvas.arrow_head(tip, tail)
    if item.text:
        level = tail[1] - 1.0 if tip[1] >= tail[1] else tail[1] + 2.6
        canvas.text((tail[0], level), item.text, anchor="middle", backed=True)


def _scale_bar(canvas: Canvas, frame: Frame, height: float) -> None:
    """A bar of a round length between a tenth and a quarter of the paper."""
    target = 0.22 * canvas.width / frame.scale_x
    decade = 10.0 ** int(log10(target) // 1)
    metres = max(step * decade for step in (1, 2, 5) if step * decade <= target)
    right, level = canvas.width - 10.0, height - 2.2
    left = right - metres * frame.scale_x
    middle = (left + right) / 2
    canvas.line([(left, level), (right, level)], Pen(0.2))
    canvas.area([(left, level - 0.8), (middle, level - 0.8), (middle, level), (left, level)], INK)
    canvas.line([(middle, level), (middle, level - 0.8), (right, level - 0.8), (right, level)], Pen(0.15))
    canvas.text((left - 1.2, level), "0", size=SIZES["small"], anchor="end")
    canvas.text((right + 1.2, level), f"{metres:g} m", size=SIZES["small"])
