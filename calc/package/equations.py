"""Equations as pictures: MathML in, a scalable picture with its size and baseline out."""

import xml.etree.ElementTree as ET
from base64 import b64encode
from collections.abc import Iterator, Mapping
from contextlib import contextmanager
from contextvars import ContextVar
from dataclasses import dataclass, replace
from functools import lru_cache
from itertools import accumulate
from re import search
from typing import Any
from warnings import catch_warnings, simplefilter

with catch_warnings():
    # It finds its own font in a way that Python calls deprecated; where warnings are errors it could not be imported.
    simplefilter("ignore", DeprecationWarning)
    from ziafont import svgpath
    from ziafont.font import Font
    from ziafont.fonttypes import BBox
    from ziamath import operators, styles
    from ziamath.config import config
    from ziamath.drawable import Glyph
    from ziamath.nodes.mnode import Mnode
    from ziamath.nodes.mnumber import Mtext
    from ziamath.nodes.mrow import Mrow
    from ziamath.zmath import Math

from calc.engine.formula import Formula
from calc.engine.typeset import equation
from calc.package.attached import Kept
from calc.resources import template_folder

# Outlines of their own text size, in CSS pixels; the page shows them at this size unless a column is too narrow.
SIZE = 11.5
# Outlines drawn where they stand: shared symbols leave ghosts of tall brackets on the page and take longer to draw.
config.svg2 = False
config.precision = 2
X_HEIGHTS = 0.84  # small letters of the text, over those of the equations as they are drawn, at one size

_heights: dict[tuple[str, ...], tuple[float, float]] = {}


_STRETCHING = frozenset(sign for (sign, _), how in operators.operators.items() if how.get("stretchy") == "true")


def _stretches(part: Any) -> bool:
    """Whether a part of a row may hold a sign that stretches with that row; a row within it stretches its own."""
    if part.tag == "mrow":
        return False
    return (part.text or "").strip() in _STRETCHING or "stretchy" in part.attrib or any(map(_stretches, part))


def _row_height(row: Any, line: list[Any], **how: Any) -> tuple[float, float]:
    """Lowest and highest place of the parts of a row, each measured once.

    The library sets every part to measure it and then sets it again, in rows within rows again and again: four fifths
    of its time. Only signs that stretch ask for it.
    """
    if not any(_stretches(part) for part in line):
        return 0.0, 0.0
    how["nostretch"] = True
    heights = []
    # An operator without a sign takes no room.
    for part in (element for element in line if element.tag != "mo" or (element.text or "").strip()):
        text = ET.tostring(part, encoding="unicode")
        key = (text, row.mtag, repr(row.size), repr(row.style), repr(sorted(how.items())))
        if key not in _heights:
            box = Mnode.fromelement(ET.fromstring(text), parent=row, **how).bbox  # noqa: S314 - written here
            _heights[key] = box.ymin, box.ymax
        heights.append(_heights[key])
    return min((low for low, _ in heights), default=9999), max((high for _, high in heights), default=-9999)


def _place(number: float) -> str:
    """A place with as many decimals as are drawn, and no zeros at its end."""
    return f"{number:.2f}".rstrip("0").rstrip(".")


# What the library does for each sign and each curve: a deep copy of a style that it only reads, and the look-up of how
# many decimals to write.
LIBRARY_COPY, LIBRARY_PLACE = styles.asdict, svgpath.fmt  # type: ignore[attr-defined]
styles.asdict, svgpath.fmt = vars, _place  # type: ignore[attr-defined,assignment]
LIBRARY_ROW_HEIGHT: Any = Mrow._get_height_nostretch  # noqa: SLF001 - as the library has it, for comparison
Mrow._get_height_nostretch = _row_height  # type: ignore[method-assign,assignment]  # noqa: SLF001


class Words(Mtext, tag="mtext"):
    """Words in an equation, in the font of the text around it instead of the library's own."""

    def _setup(self, **how: Any) -> None:
        size = X_HEIGHTS * self.glyphsize
        for letter in self.string:
            self.nodes.append(Glyph(text_font().glyph(letter), letter, size, self.style, **how))
        ends = [0.0, *accumulate(node.xadvance() for node in self.nodes)]
        self.nodexy = [(x, 0.0) for x in ends[:-1]]
        boxes = [node.bbox for node in self.nodes]
        self.bbox = BBox(boxes[0].xmin, ends[-1], min(box.ymin for box in boxes), max(box.ymax for box in boxes))


class _Outlines(Font):
    """A font without the tables of kerning and marks, which take most of a second to read and place no letter here."""

    def _readtables(self) -> None:
        super()._readtables()
        for name in ("GPOS", "GSUB"):
            self.tables.pop(name, None)


@lru_cache(maxsize=1)
def text_font() -> Font:
    """The font of text and notes."""
    return _Outlines(template_folder() / "fonts" / "DejaVuSansCondensed.ttf")


@dataclass(frozen=True, slots=True)
class Picture:
    """A picture for an `img` element: data URI, size in CSS pixels, depth below the baseline, alternative text."""

    source: str
    width: float
    height: float
    depth: float
    alt: str

    def at_scale(self, scale: float) -> "Picture":
        """The picture shown larger or smaller."""
        return replace(self, width=self.width * scale, height=self.height * scale, depth=self.depth * scale)

    def style(self, widest: float = float("inf")) -> str:
        """The CSS which gives the picture its size, not wider than `widest`, and puts it on the baseline."""
        scale = min(1.0, widest / self.width)
        return (
            f"width:{self.width * scale:.2f}px;height:{self.height * scale:.2f}px;"
            f"vertical-align:{-self.depth * scale:.2f}px"
        )


def data_uri(svg: str) -> str:
    """An SVG document as an address which holds all of it."""
    return f"data:image/svg+xml;base64,{b64encode(svg.encode()).decode('ascii')}"


_kept: ContextVar[Kept | None] = ContextVar("kept", default=None)


@contextmanager
def kept_drawings(kept: Kept | None) -> Iterator[None]:
    """Take drawings from those kept meanwhile, and keep new ones: nine tenths of the time of the text."""
    token = _kept.set(kept)
    try:
        yield
    finally:
        _kept.reset(token)


@lru_cache(maxsize=4096)
def _draw(mathml: str) -> tuple[str, float, float, float]:
    kept = _kept.get()
    known = kept.read(mathml) if kept else None
    svg = known.decode() if known else Math(mathml, size=SIZE).svg()
    if kept and not known:
        kept.keep(mathml, svg.encode())
    # The size from the view box: the library's own measure leaves out the margin and would scale equations unevenly.
    box = search(r'viewBox="([^"]+)"', svg)
    if box is None:
        message = "the picture of an equation has no view box"
        raise ValueError(message)
    _, top, width, height = (float(part) for part in box[1].split())
    return data_uri(svg), width, height, top + height


def formula_picture(formula: Formula, names: Mapping[str, str], alt: str) -> Picture:
    """The picture of the equation of a formula with its symbols as printed; on one line where it can stand on one."""
    return equation_picture(equation(formula.symbol, formula.tree, names, level=True), alt)


def equation_picture(mathml: str, alt: str) -> Picture:
    """The picture of one equation; the same MathML is drawn once."""
    source, width, height, depth = _draw(mathml)
    return Picture(source, width, height, depth, alt)
