"""What a figure shows, without a word about how it is drawn.

Checks build these frozen objects; the package turns them into pictures. Scenes are in metres with y upwards (an
elevation or a height above a datum), profiles against depth with the depth downwards. Texts are data and printed as
they are; one given as `markupsafe.Markup` may carry `<i>`, `<sub>` and `<sup>`, which is how symbols are written.
"""

from dataclasses import dataclass
from typing import Literal

from markupsafe import Markup

from calc.engine.symbols import symbol

Point = tuple[float, float]
Fill = Literal[
    "none", "fill", "zone", "zone2", "platform", "soft", "soft2", "firm", "column", "sleeve", "reinforcement", "water"
]
LineStyle = Literal["outline", "thin", "fine", "dashed", "water", "reinforcement", "sleeve", "axis"]
Anchor = Literal["start", "middle", "end"]
TextSize = Literal["small", "normal", "large"]


def symbol_text(name: str) -> Markup:
    """A declared symbol in running text: base in italics, mark raised, index lowered."""
    base, mark, index = symbol(name).parts
    text = Markup("<i>{}</i>").format(base)
    if mark:
        text += mark if set(mark) == {"′"} else Markup("<sup>{}</sup>").format(mark)
    return text + Markup("<sub>{}</sub>").format(index) if index else text


def box(left: float, right: float, top: float, bottom: float) -> tuple[Point, ...]:
    """Give the corners of a rectangle."""
    return (left, top), (right, top), (right, bottom), (left, bottom)


@dataclass(frozen=True, slots=True)
class Polygon:
    """A closed area; `hatch` replaces the hatch which belongs to its fill."""

    points: tuple[Point, ...]
    fill: Fill
    hatch: Fill | None = None


@dataclass(frozen=True, slots=True)
class Circle:
    """A circle in plan."""

    x: float
    y: float
    radius: float
    fill: Fill = "none"
    style: LineStyle = "outline"


@dataclass(frozen=True, slots=True)
class Line:
    """An open polyline."""

    points: tuple[Point, ...]
    style: LineStyle = "outline"


@dataclass(frozen=True, slots=True)
class Label:
    """A text at a place."""

    x: float
    y: float
    text: str
    anchor: Anchor = "middle"
    size: TextSize = "normal"


@dataclass(frozen=True, slots=True)
class Callouts:
    """Texts in the margin beside the drawing with leaders to their elevations; they move apart rather than overlap."""

    side: Literal["left", "right"]
    entries: tuple[tuple[float, str], ...]


@dataclass(frozen=True, slots=True)
class Dimension:
    """A dimension line from point 1 to point 2; `offset` in mm on paper, positive to the left of that direction."""

    x1: float
    y1: float
    x2: float
    y2: float
    text: str
    offset: float = 0.0


@dataclass(frozen=True, slots=True)
class Arrow:
    """An arrow with its head at point 2 and its text at point 1."""

    x1: float
    y1: float
    x2: float
    y2: float
    text: str = ""


Item = Polygon | Circle | Line | Label | Callouts | Dimension | Arrow


@dataclass(frozen=True, slots=True)
class Scene:
    """A drawing in metres; `equal` keeps one scale for both directions and prints a scale bar.

    `height_mm` None takes the height which the scale asks for. `note` stands under the figure.
    """

    key: str
    title: str
    alt: str
    items: tuple[Item, ...]
    width_mm: float = 170.0
    height_mm: float | None = None
    equal: bool = True
    note: str = ""


@dataclass(frozen=True, slots=True)
class Series:
    """One curve: values against depths (m below ground level), same length.

    A `limit` is drawn as one; `points` have a cross each.
    """

    label: str
    values: tuple[float, ...]
    depths: tuple[float, ...]
    limit: bool = False
    points: bool = False


@dataclass(frozen=True, slots=True)
class Panel:
    """One quantity of a profile with its unit as printed; ``from_zero`` where its axis shows zero."""

    title: str
    unit: str
    series: tuple[Series, ...]
    from_zero: bool = True


@dataclass(frozen=True, slots=True)
class Profile:
    """Quantities against depth, side by side on one depth axis; boundaries are (depth, name of the layer below it)."""

    key: str
    title: str
    alt: str
    depth_label: str
    panels: tuple[Panel, ...]
    boundaries: tuple[tuple[float, str], ...] = ()
    note: str = ""


@dataclass(frozen=True, slots=True)
class Curve:
    """One curve of a chart, points in ascending x."""

    label: str
    x: tuple[float, ...]
    y: tuple[float, ...]


@dataclass(frozen=True, slots=True)
class Chart:
    """Steps along a line: a value from each place to the next; curves of one label are parts of one quantity.

    `marks` are (place, text) in the middle of a stretch, `places` the ends of stretches with what they are called.
    `band` fills what lies between the first two curves and takes values upward, as `upward` does, with a mark at every
    point and values from the least one on.
    """

    key: str
    title: str
    alt: str
    x_label: str
    y_label: str
    curves: tuple[Curve, ...]
    marks: tuple[tuple[float, str], ...] = ()
    places: tuple[tuple[float, str], ...] = ()
    note: str = ""
    band: bool = False
    upward: bool = False


@dataclass(frozen=True, slots=True)
class Level:
    """A level of a time chart which holds at the left, or `late` at the right; in `spans` of days where it has some."""

    value: float
    text: str
    late: bool = False
    spans: tuple[tuple[float, float], ...] = ()


@dataclass(frozen=True, slots=True)
class Track:
    """One quantity of a time chart with its unit as printed.

    `band` is filled between two curves, `share` is the part of the height that the track takes; `points` are readings,
    a mark each. Those of `aside` set no scale: what lies beyond it stands at its edge with its value.
    """

    title: str
    unit: str
    curves: tuple[Curve, ...]
    downward: bool = False
    levels: tuple[Level, ...] = ()
    band: tuple[Curve, Curve] | None = None
    share: float = 1.0
    points: tuple[Curve, ...] = ()
    aside: Curve | None = None


@dataclass(frozen=True, slots=True)
class TimeChart:
    """Quantities over time in days, one below the other: at the left until a date, at the right on a logarithmic scale.

    Marks are (day, text) at the left; a text begins with its number, which stands alone where there is no room, and the
    text below the figure then.
    """

    key: str
    title: str
    alt: str
    tracks: tuple[Track, ...]
    until: float
    last: float
    marks: tuple[tuple[float, str], ...] = ()
    note: str = ""


Figure = Scene | Profile | Chart | TimeChart
