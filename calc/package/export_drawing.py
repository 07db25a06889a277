"""A scene as a drawing (DXF): metres, one layer for each meaning, the same bytes from the same run."""

import re
from collections.abc import Callable, Iterator, Mapping, Sequence
from contextlib import contextmanager
from datetime import date
from io import StringIO
from math import atan2, degrees, hypot
from typing import TYPE_CHECKING

from calc.engine.figure import (
    Arrow,
    Callouts,
    Circle,
    Dimension,
    Fill,
    Item,
    Label,
    Line,
    LineStyle,
    Point,
    Polygon,
    Scene,
)
from calc.package.canvas import SIZES, runs
from calc.package.drawing_library import ezdxf
from calc.package.scenes import spread

if TYPE_CHECKING:
    from ezdxf.document import Drawing
    from ezdxf.layouts import Modelspace

AREAS: dict[Fill, str] = {
    "none": "outline", "fill": "embankment fill", "zone": "zones of the fill", "zone2": "zones of the fill",
    "platform": "working platform", "soft": "soft ground", "soft2": "soft ground", "firm": "bearing layer",
    "column": "columns", "sleeve": "sleeve", "reinforcement": "reinforcement", "water": "water",
}  # fmt: skip
LINES: dict[LineStyle, str] = {
    "outline": "outline", "thin": "outline", "fine": "outline", "dashed": "stages", "water": "water",
    "reinforcement": "reinforcement", "sleeve": "sleeve", "axis": "axis",
}  # fmt: skip
DIMENSIONS, TEXT, LOADS = "dimensions", "text", "loads"
DASHED: tuple[LineStyle, ...] = ("dashed", "water", "axis")
COLOURS = {
    "outline": 7, "embankment fill": 33, "zones of the fill": 31, "working platform": 43, "soft ground": 51,
    "bearing layer": 8, "columns": 4, "sleeve": 4, "reinforcement": 1, "water": 5, "stages": 9, "axis": 9,
    DIMENSIONS: 3, TEXT: 7, LOADS: 6,
}  # fmt: skip
EPOCH = date(1858, 11, 17).toordinal()  # of the Modified Julian Date, 2 400 000.5 days after that of the Julian one
ALIGNED = {"start": "LEFT", "middle": "CENTER", "end": "RIGHT"}


def drawing(scene: Scene, heading: Sequence[str], dated: date) -> bytes:
    """The scene in its own coordinates, m: across from the axis, elevation upwards; `heading` stands above it."""
    return written_drawing(COLOURS, lambda document: _draw(document, scene, heading), dated)


def written_drawing(layers: Mapping[str, int], draw: Callable[["Drawing"], None], dated: date) -> bytes:
    """A drawing in metres with layers of these colours, the same bytes from the same content."""
    with _fixed_dates():
        document = ezdxf.new("R2010", setup=["linetypes"], units=ezdxf.units.M)
        for name, colour in layers.items():
            document.layers.add(name, color=colour)
        for name in sorted(document.entitydb.dxf_types_in_use()):
            document.classes.add_class(name)  # in this order: the library takes them from a set
        draw(document)
        stream = StringIO()
        document.write(stream)
    julian = dated.toordinal() - EPOCH + 2400000.5
    text = re.sub(r"(\$TDU?(?:CREATE|UPDATE)\n *40\n)[^\n]*", rf"\g<1>{julian}", stream.getvalue())
    return text.encode("utf-8")


@contextmanager
def _fixed_dates() -> Iterator[None]:
    """Keep clock and chance out of the file; the date of the revision is put in afterwards."""
    was = ezdxf.options.write_fixed_meta_data_for_testing
    ezdxf.options.write_fixed_meta_data_for_testing = True
    try:
        yield
    finally:
        ezdxf.options.write_fixed_meta_data_for_testing = was


def _draw(document: "Drawing", scene: Scene, heading: Sequence[str]) -> None:
    space = document.modelspace()
    left, right, _, top = _extent(scene)
    scale = (right - left) / scene.width_mm  # m in the drawing for a mm on the page
    for item in scene.items:
        _item(space, item, (left, right), scale)
    height = SIZES["large"] * scale
    for k, text in enumerate(reversed(list(heading))):
        _text(space, text, (left, top + (6 + 1.8 * k) * height), height, TEXT)


def _extent(scene: Scene) -> tuple[float, float, float, float]:
    """Left, right, lowest and highest of the areas and lines, m."""
    points = [point for item in scene.items if isinstance(item, Polygon | Line) for point in item.points]
    across, up = zip(*points, strict=True)
    return min(across), max(across), min(up), max(up)


def _item(space: "Modelspace", item: Item, edges: tuple[float, float], scale: float) -> None:
    normal = SIZES["normal"] * scale
    match item:
        case Polygon():
            space.add_lwpolyline(item.points, close=True, dxfattribs={"layer": AREAS[item.fill]})
        case Line():
            attributes = {"layer": LINES[item.style]} | ({"linetype": "DASHED"} if item.style in DASHED else {})
            space.add_lwpolyline(item.points, dxfattribs=attributes)
        case Circle():
            space.add_circle((item.x, item.y), item.radius, dxfattribs={"layer": AREAS[item.fill]})
        case Label():
            _text(space, item.text, (item.x, item.y), SIZES[item.size] * scale, TEXT, item.anchor)
        case Arrow():
            space.add_line((item.x1, item.y1), (item.x2, item.y2), dxfattribs={"layer": LOADS})
            if item.text:
                _text(space, item.text, (item.x1, item.y1 + 0.4 * normal), normal, LOADS, "middle")
        case Callouts():
            _callouts(space, item, edges, normal)
        case Dimension():
            _dimension(space, item, scale, normal)


def _callouts(space: "Modelspace", item: Callouts, edges: tuple[float, float], height: float) -> None:
    """Texts beside the drawing, apart from one another, each with a line to its elevation."""
    out, edge = (-1.0, edges[0]) if item.side == "left" else (1.0, edges[1])
    entries = sorted(item.entries, key=lambda entry: -entry[0])
    places = spread([-level for level, _ in entries], 1.5 * height, -1e6, 1e6)
    for (level, text), place in zip(entries, places, strict=True):
        elbow = (edge + 3 * out * height, -place)
        space.add_lwpolyline([(edge, level), elbow], dxfattribs={"layer": TEXT})
        at = (elbow[0] + 0.5 * out * height, elbow[1] - 0.35 * height)
        _text(space, text, at, height, TEXT, "end" if out < 0 else "start")


def _dimension(space: "Modelspace", item: Dimension, scale: float, height: float) -> None:
    """The dimension line with its extension lines, and its text as printed."""
    along = (item.x2 - item.x1, item.y2 - item.y1)
    length = hypot(*along) or 1e-9
    shift = (-along[1] / length * item.offset * scale, along[0] / length * item.offset * scale)
    start, end = (item.x1 + shift[0], item.y1 + shift[1]), (item.x2 + shift[0], item.y2 + shift[1])
    lines = [(start, end)] + ([((item.x1, item.y1), start), ((item.x2, item.y2), end)] if item.offset else [])
    for a, b in lines:
        space.add_line(a, b, dxfattribs={"layer": DIMENSIONS})
    middle = ((start[0] + end[0]) / 2, (start[1] + end[1]) / 2 + 0.4 * height)
    turned = degrees(atan2(abs(along[1]), abs(along[0])))
    if item.offset < 0:
        middle = (middle[0], middle[1] - 1.8 * height)
    elif turned:
        middle = (middle[0] - 0.4 * height, middle[1] - 0.4 * height)
    _text(space, item.text, middle, height, DIMENSIONS, "middle", turned)


def _text(
    space: "Modelspace", text: str, place: Point, height: float, layer: str, anchor: str = "start", turned: float = 0.0
) -> None:
    attributes = {"layer": layer, "rotation": turned}
    made = space.add_text(plain_text(text), height=height, dxfattribs=attributes)
    made.set_placement(place, align=ezdxf.enums.TextEntityAlignment[ALIGNED[anchor]])


def plain_text(text: str) -> str:
    """Text on one line without the signs that a drawing program reads as commands; indices follow a low line."""
    joined = "".join(f"_{run}" if "sub" in tags else run for run, tags in runs(text))
    return " ".join(joined.replace("%%", "% %").replace("^", " ").split())
