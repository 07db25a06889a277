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
        (column.id, f"{column.northing:.3f}", f"{column.easting:.3f}", f"{column.working_level:.3f}",
         f"{column.length:.2f}",
         column.description, f"{column.head:.2f}", f"{column.toe:.2f}", ""
         if column.nearest is None else f"{column.nearest:.1f}")
        for column in plan.columns
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
    for column in plan.columns:
        about = {"name": column.id, "code": layer_of(column), "desc": f"L{column.length:.2f} {column.description}"}
        point = ET.SubElement(points, f"{{{SCHEMA}}}CgPoint", about)
        point.text = f"{column.northing:.3f} {column.easting:.3f} {column.working_level:.3f}"
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
                "id": column.id, "northing": round(column.northing, 3), "easting": round(column.easting, 3),
                "elevation": column.working_level, "head": column.head, "toe": column.toe, "length": column.length,
                "diameter": column.diameter, "section": column.section, "zone": column.zone, "sleeve": column.sleeve,
                "sleeve_diameter": round(column.sleeve_diameter, 4),
                "nearest_point": column.nearest,
                "canonical": column.canonical,
            },
        }
        for column in plan.columns
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
        for column in plan.columns:
            at = (column.easting, column.northing)
            space.add_circle(at, column.diameter / 2, dxfattribs={"layer": f"columns {layer_of(column)}"})
            where = (column.easting + 0.6 * column.diameter, column.northing)
            space.add_text(column.id, height=TEXT_HEIGHT, dxfattribs={"layer": IDS, "insert": where})
        for element in elements:
            count = 1 if not element.curvature else max(int(element.length / CHORD), 2)
            line = [element.at(element.length * k / count)[:2] for k in range(count + 1)]
            space.add_lwpolyline(line, dxfattribs={"layer": AXIS})
        for part in footprint.part if footprint else ():
            corners = [(corner.easting, corner.northing) for corner in part.corner]
            space.add_lwpolyline(corners, close=True, dxfattribs={"layer": FOOTPRINT})
        for zone in zones:
            corners = [(corner.easting, corner.northing) for corner in zone.corner]
            space.add_lwpolyline(corners, close=True, dxfattribs={"layer": ZONES})
            space.add_text(one_line(zone.name), height=2 * TEXT_HEIGHT,
                           dxfattribs={"layer": ZONES, "insert": corners[0]})  # fmt: skip
        left = min(column.easting for column in plan.columns)
        top = max(column.northing for column in plan.columns)
        for k, text in enumerate(reversed(headings(plan))):
            where = (left, top + 10 + 2.5 * k)
            space.add_text(text, height=1.2, dxfattribs={"layer": NOTES, "insert": where})

    return written_drawing(layers, draw, dated)
