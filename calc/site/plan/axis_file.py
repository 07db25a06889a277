"""The line of the plan from a file: LandXML 1.2, or points of intersection as CSV."""

import csv
import io
from collections.abc import Mapping, Sequence
from math import cos, hypot, isfinite, pi, sin
from pathlib import Path
from xml.etree import ElementTree as ET
from xml.parsers import expat

from calc.engine.levels import same
from calc.inputs import InputError, InputErrors
from calc.inputs.reading.problems import FILE
from calc.inputs.tables.plan import MOST_POINTS
from calc.inputs.tables.plan_line import Element, Intersection, bearing_of, broken_points, elements_of, turn

Wrong = tuple[int, str, str, str]
"""Line, field, what it must be, what it got."""

LARGEST = 5_000_000  # bytes
GAP = 0.005  # m between the end of an element in a file and the beginning of the next
KINK = 0.001  # rad between their bearings


def line_of_file(path: Path, start: float) -> tuple[Element, ...]:
    """Straights and arcs of a line; raises ``InputErrors`` with all that is wrong in the file.

    ``start`` is the chainage of the first point of a CSV file, m; a LandXML file says it itself.
    """
    return _landxml(path) if path.suffix.lower() == ".xml" else _points(path, start)


def _content(path: Path) -> str:
    """The text of a file, or the error that says why there is none."""
    try:
        data = path.read_bytes() if path.stat().st_size <= LARGEST else None
        if data is not None:
            return data.decode("utf-8-sig")
    except OSError:
        _refuse(path, [(1, FILE, "be a file that can be read", "none")])
    except UnicodeDecodeError:
        _refuse(path, [(1, FILE, "be text in UTF-8", "other bytes")])
    _refuse(path, [(1, FILE, f"have at most {LARGEST} bytes", "more")])
    raise AssertionError  # refused above


def _refuse(path: Path, wrong: Sequence[Wrong]) -> None:
    """End with everything that is wrong in the file: line, field, what it must be, what it got."""
    if wrong:
        raise InputErrors(InputError(str(path), line, 1, field, must, got) for line, field, must, got in wrong)


def _points(path: Path, start: float) -> tuple[Element, ...]:
    """Points of a CSV file with the columns easting, northing and radius, in m with decimal points."""
    reader = csv.reader(io.StringIO(_content(path)))
    rows = [(reader.line_num, row) for row in reader
            if any(cell.strip() for cell in row) and not row[0].lstrip().startswith("#")]  # fmt: skip
    head = [cell.strip().lower() for cell in rows[0][1]] if rows else []
    if head != ["easting", "northing", "radius"]:
        line = rows[0][0] if rows else 1
        _refuse(path, [(line, "head", "be easting,northing,radius", ",".join(head)[:60] or "nothing")])
    points, wrong, lines = list[Intersection](), list[Wrong](), list[int]()
    for line, row in rows[1:]:
        cells = [*(cell.strip() for cell in row), "", "", ""][: max(3, len(row))]
        numbers = [_number(cell) for cell in cells[:3]]
        bad = [k for k, (cell, number) in enumerate(zip(cells, numbers, strict=False))
               if number is None and (cell or k < 2)]  # fmt: skip
        wrong += [(line, head[k], "be a number of metres with a decimal point", f'"{cells[k][:40]}"') for k in bad]
        if len(cells) > 3:
            wrong.append((line, "line", "have three values", str(len(cells))))
        if numbers[2] is not None and not 10 <= numbers[2] <= 1e7:
            wrong.append((line, "radius", "be at least 10 m and at most 10000000 m", cells[2]))
        if not bad:
            points.append(Intersection(numbers[0] or 0.0, numbers[1] or 0.0, numbers[2]))
            lines.append(line)
    if not wrong and not 2 <= len(points) <= MOST_POINTS:
        wrong.append((rows[-1][0], FILE, f"have 2 to {MOST_POINTS} points", str(len(points))))
    if not wrong:
        wrong = [(lines[k], field, must, f"the point in line {lines[k]}") for k, field, must in broken_points(points)]
    _refuse(path, wrong)
    return elements_of(points, start)


def _number(text: str | None) -> float | None:
    """A finite number of a file with a decimal point, None for anything else."""
    try:
        number = float(text or "")
    except ValueError:
        return None
    return number if isfinite(number) and abs(number) <= 1e8 and "_" not in (text or "") else None


def _elements(text: str) -> tuple[ET.Element, dict[ET.Element, int]]:
    """The root of an XML text, and the line of every element; raises ``expat.ExpatError``."""
    builder, lines = ET.TreeBuilder(), dict[ET.Element, int]()
    parser = expat.ParserCreate(namespace_separator="}")

    def start(name: str, about: dict[str, str]) -> None:
        lines[builder.start(name, about)] = parser.CurrentLineNumber

    parser.StartElementHandler, parser.EndElementHandler = start, builder.end
    parser.CharacterDataHandler = builder.data
    parser.Parse(text, True)
    return builder.close(), lines


def _landxml(path: Path) -> tuple[Element, ...]:
    """Straights and arcs of the one alignment of a LandXML 1.2 file; its points are "northing easting"."""
    text = _content(path)
    for sign in ("<!DOCTYPE", "<!ENTITY"):
        if sign in text:
            line = text[: text.index(sign)].count("\n") + 1
            _refuse(path, [(line, FILE, "have no document type and no entities", "one")])
    try:
        root, at = _elements(text)
    except expat.ExpatError as error:
        _refuse(path, [(error.lineno, FILE, "be well-formed XML", str(error)[:80])])
    by_tag = {name: [element for element in root.iter() if _tag(element) == name]
             for name in ("Alignment", "Metric", "StaEquation", "Units", "CoordGeom")}  # fmt: skip
    lines, wrong = by_tag["Alignment"], list[Wrong]()
    if len(lines) != 1:
        wrong.append((at[lines[1] if lines else root], "Alignment", "stand in the file once", f"{len(lines)} times"))
    wrong += [(at[element], "StaEquation", "be left out: chainages are those along the line from staStart on", "one")
              for element in by_tag["StaEquation"][:1]]  # fmt: skip
    units = (by_tag["Metric"] or by_tag["Units"] or [root])[0]
    if units.get("linearUnit") not in {"meter", "metre"}:
        got = units.get("linearUnit", "other or none")
        wrong.append((at[units], "Units", 'say metres (Metric linearUnit="meter")', got))
    _refuse(path, wrong)
    start = _number(lines[0].get("staStart"))
    if start is None:
        got = str(lines[0].get("staStart"))
        _refuse(path, [(at[lines[0]], "staStart", "be the chainage of the first point in m", got)])
    parts = [part for element in lines[0].iter() if _tag(element) == "CoordGeom" for part in element]
    if not parts:
        _refuse(path, [(at[lines[0]], "CoordGeom", "have lines and curves", "none")])
    return _joined(path, parts, at, start or 0.0)


def _joined(
    path: Path, parts: Sequence[ET.Element], at: Mapping[ET.Element, int], start: float
) -> tuple[Element, ...]:  # fmt: skip
    """Elements that follow one another without a gap or a kink."""
    elements, wrong = list[Element](), list[Wrong]()
    for k, part in enumerate(parts, start=1):
        made = _element(part, elements[-1].end if elements else start)
        if isinstance(made, str):
            wrong.append((at[part], f"CoordGeom[{k}]", made, f"<{_tag(part)[:40]}>"))
            continue
        if elements and not wrong:
            e, n, bearing = elements[-1].at(elements[-1].length)
            if hypot(e - made.easting, n - made.northing) > GAP or abs(turn(bearing, made.bearing)) > KINK:
                must = "go on where and in the direction in which the element before it ends"
                wrong.append((at[part], f"CoordGeom[{k}]", must, "a gap or a kink"))
        elements.append(made)
    _refuse(path, wrong)
    return tuple(elements)


def _tag(element: ET.Element) -> str:
    return element.tag.rpartition("}")[2]


def _place(part: ET.Element, name: str) -> tuple[float, float] | None:
    """Easting and northing of a point in an element."""
    inner = next((element for element in part if _tag(element) == name), None)
    numbers = [_number(text) for text in (inner.text or "").split()[:2]] if inner is not None else []
    if len(numbers) < 2 or numbers[0] is None or numbers[1] is None:
        return None
    return numbers[1], numbers[0]


def _element(part: ET.Element, chainage: float) -> Element | str:
    """A straight or an arc of a file, or what it must be."""
    if _tag(part) not in {"Line", "Curve"}:
        return "be a Line or a Curve; spirals and other elements cannot be read"
    start, end, centre = (_place(part, name) for name in ("Start", "End", "Center"))
    if start is None or end is None or hypot(end[0] - start[0], end[1] - start[1]) < 0.001:
        return "have Start and End apart from each other, with coordinates"
    if _tag(part) == "Line":
        return Element(chainage, hypot(end[0] - start[0], end[1] - start[1]), *start, bearing_of(start, end), 0.0)
    way = {"cw": 1.0, "ccw": -1.0}.get(part.get("rot", ""))
    if centre is None or way is None:
        return 'have a Center and rot "cw" or "ccw"'
    radius = hypot(start[0] - centre[0], start[1] - centre[1])
    if radius < 10 or not same(radius, hypot(end[0] - centre[0], end[1] - centre[1])):
        return "have both ends at one distance of at least 10 m from its Center"
    out = bearing_of(centre, start)
    angle = (way * turn(out, bearing_of(centre, end))) % (2 * pi)
    made = Element(chainage, radius * angle, *start, out + way * pi / 2, way / radius)
    # From the centre the end is where the arc leads: cos and sin of the same angle, to the millimetre.
    last = centre[0] + radius * sin(out + way * angle), centre[1] + radius * cos(out + way * angle)
    return made if hypot(last[0] - end[0], last[1] - end[1]) < GAP else "end where its End says"
