"""Axes with round numbers, shared by profiles and charts."""

from collections.abc import Iterator, Sequence
from dataclasses import dataclass, replace
from itertools import count
from math import ceil, floor, log10

from calc.package.canvas import ACCENT, INK, QUIET, SIZES, Canvas, Pen, Place, text_width

# Curves are told apart by dash and weight first, by colour second: a grey print keeps them apart.
CURVES = (
    Pen(0.45, ACCENT),
    Pen(0.35, INK, "2.2 1.0"),
    Pen(0.35, INK, "0.6 0.9"),
    Pen(0.3, QUIET),
    Pen(0.35, ACCENT, "4 1 0.8 1"),
    Pen(0.35, QUIET, "1.4 1.4"),
    Pen(0.6, INK, "0.7 1.6"),
    Pen(0.7, "#8fb5bb"),
)
LIMIT = Pen(0.75, INK)
# More than one limit on one figure: the first is solid, the others are told apart by their dashes.
LIMITS = (LIMIT, Pen(0.75, INK, "3 1.2"), Pen(0.75, INK, "1 1"))
BAND = "#dfe9ea"  # between two curves
GRID = Pen(0.08, "#c9c6be")
FRAME = Pen(0.2, INK)


def curve_pens() -> Iterator[Pen]:
    """Pens for curves without an end; those of a second round are heavier, of a third heavier still."""
    for round_ in count(1):
        yield from (replace(pen, width=round_ * pen.width) for pen in CURVES)


@dataclass(frozen=True, slots=True)
class Scale:
    """A linear or logarithmic map from values to millimetres."""

    low: float
    high: float
    start: float
    end: float
    log: bool = False

    def __call__(self, value: float) -> float:
        """The place of a value, mm."""
        low, high, place = (self.low, self.high, value) if not self.log else map(log10, (self.low, self.high, value))
        return self.start + (place - low) / (high - low) * (self.end - self.start)

    def ticks(self, about: int = 5) -> list[float]:
        """Round values inside the range."""
        if self.log:
            return [10.0**power for power in range(ceil(log10(self.low) - 1e-9), floor(log10(self.high) + 1e-9) + 1)]
        step = round_step((self.high - self.low) / about)
        first = ceil(self.low / step - 1e-9)
        return [step * index for index in range(first, floor(self.high / step + 1e-9) + 1)]


def round_step(rough: float) -> float:
    """The next step of 1, 2 or 5 times a power of ten."""
    decade = 10.0 ** floor(log10(rough))
    return next(decade * factor for factor in (1.0, 2.0, 5.0, 10.0) if decade * factor >= rough * (1 - 1e-9))


def round_range(values: Sequence[float], about: int = 4, *, from_zero: bool = True) -> tuple[float, float]:
    """A range with round ends which holds every value, and zero unless told otherwise."""
    low, high = (min(0.0, *values), max(0.0, *values)) if from_zero else (min(values), max(values))
    if high - low <= 0.0:
        low, high = (0.0, 1.0) if from_zero else (low - 0.5, high + 0.5)
    step = round_step((high - low) / about)
    return step * floor(low / step + 1e-9), step * ceil(high / step - 1e-9)


def tick_text(value: float) -> str:
    """A number on an axis; true minus sign."""
    text = f"{value:.10g}"
    return text.replace("-", "−")


def legend(canvas: Canvas, entries: Sequence[tuple[str, Pen]], left: float, top: float, right: float) -> float:
    """Samples of curves with their names, in lines from left to right; the level below the last line is returned."""
    x, y, size = left, top, SIZES["small"]
    for text, pen in entries:
        width = 8.0 + text_width(text, size) + 4.0
        if x + width > right and x > left:
            x, y = left, y + 3.2
        canvas.line([(x, y - 0.7), (x + 6.5, y - 0.7)], pen)
        canvas.text((x + 7.5, y), text, size=size)
        x += width
    return y + 3.2


def draw_mark(canvas: Canvas, place: Place, kind: int, size: float = 0.55) -> None:
    """The mark of a reading: disc, ring, cross, square, each told from the others in grey as well."""
    x, y = place
    thin = Pen(0.18, INK)
    match kind % 4:
        case 0:
            canvas.circle(place, size, None, INK)
        case 1:
            canvas.circle(place, 1.5 * size, thin, "#ffffff")
        case 2:
            canvas.line([(x - size, y - size), (x + size, y + size)], thin)
            canvas.line([(x - size, y + size), (x + size, y - size)], thin)
        case _:
            corners = [(x - size, y - size), (x + size, y - size), (x + size, y + size), (x - size, y + size)]
            canvas.area(corners, "#ffffff")
            canvas.line([*corners, corners[0]], thin)


def points_legend(canvas: Canvas, names: Sequence[str], left: float, top: float, right: float) -> None:
    """Marks with what they stand for, in lines from left to right."""
    x, y, size = left, top, SIZES["small"]
    for kind, text in enumerate(names):
        width = 3.0 + text_width(text, size) + 4.0
        if x + width > right and x > left:
            x, y = left, y + 3.2
        draw_mark(canvas, (x + 1.0, y - 0.7), kind)
        canvas.text((x + 3.0, y), text, size=size)
        x += width


def polyline(xs: Sequence[float], ys: Sequence[float], across: Scale, down: Scale) -> Iterator[Place]:
    """The places of a curve."""
    for x, y in zip(xs, ys, strict=True):
        yield across(x), down(y)
