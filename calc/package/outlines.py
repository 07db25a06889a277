"""Pictures that consist of filled outlines alone, written into the file as they are: an equation is hundreds of curves.

The renderer reads and writes every curve anew wherever a picture stands; that was a fifth of the time of a package.
"""

from collections.abc import Iterator
from dataclasses import dataclass
from functools import lru_cache
from re import findall, fullmatch, sub
from typing import Any
from xml.etree import ElementTree as ET

NAMESPACE = "{http://www.w3.org/2000/svg}"
BLACK = b"0 0 0 rg"
ZEROS = r"\.?0+(?=\s|$)"  # at the end of a number with two decimals
Point = tuple[float, float]


@dataclass(frozen=True, slots=True)
class Outlines:
    """The view box of a picture, and its outlines as operators of a page."""

    box: tuple[float, float, float, float]
    operators: bytes

    def draw(self, stream: Any, width: float, height: float, _style: Any = None) -> None:
        """Draw the picture at its size from the origin of a stream."""
        left, top, own_width, own_height = self.box
        across, down = width / own_width, height / own_height
        stream.push_state()
        stream.transform(a=across, d=down, e=-left * across, f=-top * down)
        stream.stream.append(self.operators)
        stream.pop_state()


@lru_cache(maxsize=4096)
def outlines(svg: bytes) -> Outlines | None:
    """The outlines of a picture; None where anything else is in it than black paths of lines and quadratic curves."""
    root = ET.fromstring(svg)  # noqa: S314 - made by this program
    box = [float(part) for part in root.get("viewBox", "").split()]
    if len(box) != 4:
        return None
    drawn = list(_operators(root))
    if any(text is None for text in drawn):
        return None
    operators = "\n".join(text for text in drawn if text)
    return Outlines((box[0], box[1], box[2], box[3]), BLACK + b"\n" + operators.encode())


def _operators(node: ET.Element) -> Iterator[str | None]:
    """The operators of what a node holds; None for what is no black outline."""
    for child in node:
        kind, known = child.tag.removeprefix(NAMESPACE), set(child.attrib)
        if child.get("fill", "black") != "black":
            yield None
        elif kind == "g" and known <= {"fill"}:
            yield from _operators(child)
        elif kind == "path" and known <= {"d", "fill"}:
            yield _path(child.get("d", ""))
        elif kind == "rect" and known == {"x", "y", "width", "height", "fill"}:
            yield " ".join(_number(float(child.get(name, ""))) for name in ("x", "y", "width", "height")) + " re f"
        else:
            yield None


def _path(text: str) -> str | None:
    """The operators of a path; None where it has other commands than M, L, Q and Z with absolute places."""
    if not fullmatch(r"(?:[MLQZ]|[-\d.\s,])*", text):
        return None
    at: Point = (0.0, 0.0)
    written = []
    for command, numbers in findall(r"([MLQZ])([^MLQZ]*)", text):
        places = [float(number) for number in numbers.replace(",", " ").split()]
        if len(places) != {"M": 2, "L": 2, "Q": 4, "Z": 0}[command]:
            return None
        if command == "Z":
            written.append("h")
            continue
        written.append(_curve(at, places) if command == "Q" else f"{places[0]:.2f} {places[1]:.2f} {command.lower()}")
        at = (places[-2], places[-1])
    return sub(ZEROS, "", "\n".join([*written, "f"])) if written else ""


def _curve(at: Point, places: list[float]) -> str:
    """A quadratic curve as the cubic one that it is."""
    (x, y), (across, down, to_x, to_y) = at, places
    first = (x + 2 * (across - x) / 3, y + 2 * (down - y) / 3)
    second = (to_x + 2 * (across - to_x) / 3, to_y + 2 * (down - to_y) / 3)
    return f"{first[0]:.2f} {first[1]:.2f} {second[0]:.2f} {second[1]:.2f} {to_x:.2f} {to_y:.2f} c"


def _number(value: float) -> str:
    """Two decimals, as the picture has them."""
    return sub(ZEROS, "", f"{value:.2f}")
