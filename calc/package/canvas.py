"""A sheet of drawing paper: millimetres from the upper left corner, written as SVG.

Only what WeasyPrint draws is used. Fills are hatched with lines cut to their polygon, so that a black and white print
keeps the materials apart. The one accent colour is that of the style sheet.
"""

from collections.abc import Iterable, Sequence
from dataclasses import dataclass, field
from functools import lru_cache
from html import escape, unescape
from math import cos, hypot, pi, sin, tan
from re import split

from fontTools.ttLib import TTFont
from markupsafe import Markup

from calc.package.equations import data_uri
from calc.resources import template_folder

INK = "#1c1c1c"
QUIET = "#6f6f6b"
ACCENT = "#0f5560"
FONT = "Sheet"
SMALLER = 0.72
SIZES = {"small": 2.05, "normal": 2.35, "large": 2.8}

Place = tuple[float, float]


def number(value: float) -> str:
    """A coordinate, short and the same on every machine."""
    text = f"{value:.3f}".rstrip("0").rstrip(".")
    return "0" if text in {"", "-0"} else text


@dataclass(frozen=True, slots=True)
class Pen:
    """How a line looks."""

    width: float = 0.2
    colour: str = INK
    dash: str = ""

    @property
    def attributes(self) -> str:
        """As SVG attributes."""
        dash = f' stroke-dasharray="{self.dash}"' if self.dash else ""
        return f'fill="none" stroke="{self.colour}" stroke-width="{number(self.width)}" stroke-linejoin="round"{dash}'


def runs(text: str) -> list[tuple[str, frozenset[str]]]:
    """Pieces of text with the tags around them; only text marked as markup has tags, everything else is data."""
    if not isinstance(text, Markup):
        return [(text, frozenset())]
    pieces: list[tuple[str, frozenset[str]]] = []
    active: set[str] = set()
    for part in split(r"(</?(?:i|sub|sup)>)", str(text)):
        if part.startswith("</"):
            active.discard(part[2:-1])
        elif part in {"<i>", "<sub>", "<sup>"}:
            active.add(part[1:-1])
        elif part:
            pieces.append((unescape(part), frozenset(active)))
    return pieces


@lru_cache(maxsize=2)
def _advances(name: str) -> tuple[dict[int, float], float]:
    """Widths of the characters of a text face against its size, and that of a character which it lacks."""
    with TTFont(template_folder() / "fonts" / f"{name}.ttf", lazy=True) as face:
        em, widths = face["head"].unitsPerEm, face["hmtx"].metrics
        advances = {code: widths[glyph][0] / em for code, glyph in face.getBestCmap().items()}
    return advances, 0.54


def advance(text: str, size: float, *, bold: bool = False) -> float:
    """How wide a run of text is at a size, mm."""
    known, other = _advances("DejaVuSansCondensed-Bold" if bold else "DejaVuSansCondensed")
    return sum(known.get(ord(sign), other) for sign in text) * size


def text_width(text: str, size: float, *, bold: bool = False) -> float:
    """How wide a text is, mm; indices are smaller, and what is italic is never bold."""
    return sum(
        advance(run, size * (SMALLER if tags & {"sub", "sup"} else 1.0), bold=bold and "i" not in tags)
        for run, tags in runs(text)
    )


def shorten(text: str, size: float, width: float) -> str:
    """The text, cut with an ellipsis where it is wider than `width`."""
    if isinstance(text, Markup) or text_width(text, size) <= width:
        return text
    kept = text
    while kept and advance(kept + "…", size) > width:
        kept = kept[:-1]
    return kept.rstrip() + "…"


@dataclass
class Canvas:
    """Collects what is drawn."""

    width: float
    height: float
    parts: list[str] = field(default_factory=list)

    def line(self, points: Iterable[Place], pen: Pen = Pen()) -> None:
        """An open polyline."""
        path = " ".join(f"{number(x)},{number(y)}" for x, y in points)
        self.parts.append(f'<polyline points="{path}" {pen.attributes}/>')

    def area(self, points: Iterable[Place], colour: str) -> None:
        """A filled polygon without outline."""
        path = " ".join(f"{number(x)},{number(y)}" for x, y in points)
        self.parts.append(f'<polygon points="{path}" fill="{colour}"/>')

    def circle(self, centre: Place, radius: float, pen: Pen | None, colour: str = "none") -> None:
        """A circle, filled, outlined or both."""
        look = pen.attributes.replace('fill="none"', f'fill="{colour}"') if pen else f'fill="{colour}"'
        self.parts.append(f'<circle cx="{number(centre[0])}" cy="{number(centre[1])}" r="{number(radius)}" {look}/>')

    def text(
        self,
        place: Place,
        text: str,
        *,
        size: float = SIZES["normal"],
        anchor: str = "start",
        colour: str = INK,
        turned: bool = False,
        bold: bool = False,
        backed: bool = False,
    ) -> None:
        """A text on its baseline; `turned` reads upwards, `backed` clears the drawing behind it."""
        width = text_width(text, size, bold=bold)
        x = place[0] - width * {"start": 0.0, "middle": 0.5, "end": 1.0}[anchor]
        if turned:
            self.parts.append(f'<g transform="rotate(-90 {number(place[0])} {number(place[1])})">')
        if backed:
            top, bottom = place[1] - 0.82 * size, place[1] + 0.28 * size
            self.area([(x - 0.4, top), (x + width + 0.4, top), (x + width + 0.4, bottom), (x - 0.4, bottom)], "#ffffff")
        for run, tags in runs(text):
            size_of_letter = size * (SMALLER if tags & {"sub", "sup"} else 1.0)
            shift = size * (0.22 if "sub" in tags else -0.35 if "sup" in tags else 0.0)
            heavy = bold and "i" not in tags
            look = ' font-style="italic"' if "i" in tags else ' font-weight="bold"' if heavy else ""
            # Space at either end of a run is dropped by the renderer: it is part of the place instead.
            lead = advance(run[: len(run) - len(run.lstrip())], size_of_letter, bold=heavy)
            self.parts.append(
                f'<text x="{number(x + lead)}" y="{number(place[1] + shift)}" font-family="{FONT}" '
                f'font-size="{number(size_of_letter)}" fill="{colour}"{look}>{escape(run.strip())}</text>'
            )
            x += advance(run, size_of_letter, bold=heavy)
        if turned:
            self.parts.append("</g>")

    def arrow_head(self, tip: Place, from_: Place, size: float = 1.5, colour: str = INK) -> None:
        """A filled head pointing at `tip`, coming from the direction of `from_`."""
        length = hypot(tip[0] - from_[0], tip[1] - from_[1]) or 1.0
        x, y = (tip[0] - from_[0]) / length, (tip[1] - from_[1]) / length
        back = (tip[0] - size * x, tip[1] - size * y)
        half = size * tan(pi / 10)
        self.area([tip, (back[0] - half * y, back[1] + half * x), (back[0] + half * y, back[1] - half * x)], colour)

    def svg(self) -> str:
        """The whole document."""
        size = f'width="{number(self.width)}mm" height="{number(self.height)}mm"'
        box = f'viewBox="0 0 {number(self.width)} {number(self.height)}"'
        return f'<svg xmlns="http://www.w3.org/2000/svg" {size} {box}>{"".join(self.parts)}</svg>'

    def uri(self) -> str:
        """The document as an address."""
        return data_uri(self.svg())


def hatch_lines(points: Sequence[Place], angle: float, spacing: float) -> list[tuple[Place, Place]]:
    """Parallel lines across a polygon, cut to it by the even-odd rule; `angle` in radians, `spacing` in mm."""
    along, across = (cos(angle), -sin(angle)), (sin(angle), cos(angle))
    heights = [x * across[0] + y * across[1] for x, y in points]
    lines: list[tuple[Place, Place]] = []
    # Lines lie on a grid of the whole sheet, so that neighbouring polygons of one material join without a seam.
    for step in range(int(min(heights) // spacing) + 1, int(max(heights) // spacing) + 1):
        level = step * spacing
        crossings = sorted(_crossings(points, heights, level, along))
        lines.extend(
            (_at(first, level, along, across), _at(second, level, along, across))
            for first, second in zip(crossings[::2], crossings[1::2], strict=False)
        )
    return lines


def _crossings(points: Sequence[Place], heights: Sequence[float], level: float, along: Place) -> list[float]:
    crossings = []
    for i, (x2, y2) in enumerate(points):
        x1, y1 = points[i - 1]
        below, above = heights[i - 1], heights[i]
        if (below > level) != (above > level):
            share = (level - below) / (above - below)
            crossings.append((x1 + share * (x2 - x1)) * along[0] + (y1 + share * (y2 - y1)) * along[1])
    return crossings


def _at(position: float, level: float, along: Place, across: Place) -> Place:
    return (position * along[0] + level * across[0], position * along[1] + level * across[1])
