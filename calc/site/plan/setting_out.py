"""The plan as files for positioning: CSV, LandXML 1.2, GeoJSON and a drawing (DXF)."""

import json
from collections.abc import Sequence
from datetime import date
from typing import TYPE_CHECKING
from xml.etree import ElementTree as ET

from calc.engine.words import words_of
from calc.inputs.tables.plan import Exclusion, Footprint
from calc.inputs.tables.plan_line import Element
from calc.package.export_drawing import written_drawing
from calc.site.plan.column_list import Column, ColumnList
from calc.site.whole_files import table

if TYPE_CHECKING:
    from ezdxf.document import Drawing

say = words_of(__name__)

HEAD = ("point", "northing", "easting", "elevation", "length", "description", "head", "toe", "investigation_distance")
SCHEMA = "http://www.landxml.org/schema/LandXML-1.2"
COLOURS = (4, 30, 94, 6, 140, 1, 34, 52)
IDS, AXIS, ZONES, FOOTPRINT, NOTES = "ids", "axis", "exclusion zones", "footprint", "notes"
TEXT_HEIGHT = 0.25  # m
CHORD = 2.0  # m, of the line in the drawing


def one_line(text: str) -> str:
    """A text without line breaks."""
    return " ".join(text.split())


def headings(plan: ColumnList) -> list[str]:
    """What every file says of the plan as a whole, a line each."""
    return [*(f"{name}: {one_line(text)}" for name, text in plan.head.items()),
            f"{say('checksum')}: {plan.checksum}", say("caution")]  # fmt: skip


def csv_file(plan: ColumnList, outcome: str) -> bytes:
    """Points for the rig: comment lines on grid, datum, units, revision and outcome, then a line for each column."""
    rows = (
        (one.id, f"{one.northing:.3f}", f"{one.easting:.3f}", f"{one.working_level:.3f}", f"{one.length:.2f}",
         one.description, f"{one.head:.2f}", f"{one.toe:.2f}", "" if one.nearest is None else f"{one.nearest:.1f}")
        for one in plan.columns
    )  # fmt: skip
    return table(HEAD, rows, [*headings(plan), f"{say('outcome')}: {outcome}"])


def landxml(plan: ColumnList, dated: date) -> bytes:
    """Points as CgPoints: northing, easting, working level."""
    ET.register_namespace("", SCHEMA)
    root = ET.Element(f"{{{SCHEMA}}}LandXML", {"version": "1.2", "date": dated.isoformat(), "time": "00:00:00"})
    units = ET.SubElement(root, f"{{{SCHEMA}}}Units")
    ET.SubElement(units, f"{{{SCHEMA}}}Metric", {
        "areaUnit": "squareMeter", "linearUnit": "meter", "volumeUnit": "cubicMeter", "temperatureUnit": "celsius",
        "pressureUnit": "HPA",
    })  # fmt: skip
    place = {"desc": one_line(plan.head[say("grid")]), "verticalDatum": one_line(plan.head[say("height-datum")])}
    if plan.head[say("epsg")].isdigit():
        place["epsgCode"] = plan.head[say("epsg")]
    ET.SubElement(root, f"{{{SCHEMA}}}CoordinateSystem", place)
    ET.SubElement(root, f"{{{SCHEMA}}}Project", {
        "name": one_line(plan.head[say("project")]), "desc": "; ".join(headings(plan)),
    })  # fmt: skip
    points = ET.SubElement(root, f"{{{SCHEMA}}}CgPoints", {"name": say("points"), "desc": plan.checksum})
    for one in plan.columns:
        about = {"name": one.id, "code": layer_of(one), "desc": f"L{one.length:.2f} {one.description}"}
        point = ET.SubElement(points, f"{{{SCHEMA}}}CgPoint", about)
        point.text = f"{one.northing:.3f} {one.easting:.3f} {one.working_level:.3f}"
    content: bytes = ET.tostring(root, encoding="utf-8", xml_declaration=True)
    return content + b"\n"


def geojson(plan: ColumnList) -> bytes:
    """Columns as features without geometry, with everything as properties: the file that a later plan is given.

    RFC 7946 has longitude and latitude of WGS 84 alone, which the coordinates of a site grid are not.
    """
    features = [
        {
            "type": "Feature",
            "geometry": None,
            "properties": {
                "id": one.id, "northing": round(one.northing, 3), "easting": round(one.easting, 3),
                "elevation": one.working_level, "head": one.head, "toe": one.toe, "length": one.length,
                "diameter": one.diameter, "section": one.section, "zone": one.zone, "sleeve": one.sleeve,
                "sleeve_diameter": round(one.sleeve_diameter, 4),
                "nearest_point": one.nearest,
                "canonical": one.canonical,
            },
        }
        for one in plan.columns
    ]  # fmt: skip
    about = {**plan.head, "checksum": plan.checksum, "removed": list(plan.removed),
             "caution": f"{say('no-geometry')} {say('caution')}"}  # fmt: skip
    record = {"type": "FeatureCollection", "plan": about, "features": features}
    return (json.dumps(record, ensure_ascii=False, indent=None, separators=(",", ":")) + "\n").encode("utf-8")


def layer_of(column: Column) -> str:
    """The layer or code of a column: its section and its zone."""
    return f"{column.section}.{column.zone}" if column.zone else column.section


def dxf(
    plan: ColumnList, elements: Sequence[Element], zones: Sequence[Exclusion], dated: date,
    footprint: Footprint | None = None,
) -> bytes:  # fmt: skip
    """Columns as circles of their diameter in the grid, in metres, a layer for each zone of the columns."""
    own = list(dict.fromkeys(map(layer_of, plan.columns)))
    layers = {f"columns {name}": COLOURS[k % len(COLOURS)] for k, name in enumerate(own)}
    layers |= {IDS: 7, AXIS: 9, ZONES: 1, NOTES: 7} | ({FOOTPRINT: 3} if footprint else {})

    def draw(document: "Drawing") -> None:
        space = document.modelspace()
        for one in plan.columns:
            at = (one.easting, one.northing)
            space.add_circle(at, one.diameter / 2, dxfattribs={"layer": f"columns {layer_of(one)}"})
            where = (one.easting + 0.6 * one.diameter, one.northing)
            space.add_text(one.id, height=TEXT_HEIGHT, dxfattribs={"layer": IDS, "insert": where})
        for element in elements:
            count = 1 if not element.curvature else max(int(element.length / CHORD), 2)
            line = [element.at(element.length * k / count)[:2] for k in range(count + 1)]
            space.add_lwpolyline(line, dxfattribs={"layer": AXIS})
        for part in footprint.part if footprint else ():
            corners = [(one.easting, one.northing) for one in part.corner]
            space.add_lwpolyline(corners, close=True, dxfattribs={"layer": FOOTPRINT})
        for zone in zones:
            corners = [(one.easting, one.northing) for one in zone.corner]
            space.add_lwpolyline(corners, close=True, dxfattribs={"layer": ZONES})
            space.add_text(one_line(zone.name), height=2 * TEXT_HEIGHT,
                           dxfattribs={"layer": ZONES, "insert": corners[0]})  # fmt: skip
        left = min(one.easting for one in plan.columns)
        top = max(one.northing for one in plan.columns)
        for k, text in enumerate(reversed(headings(plan))):
            where = (left, top + 10 + 2.5 * k)
            space.add_text(text, height=1.2, dxfattribs={"layer": NOTES, "insert": where})

    return written_drawing(layers, draw, dated)
