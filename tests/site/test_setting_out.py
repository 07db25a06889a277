"""Files for positioning, read back by other readers and compared with the plan."""

import csv
import json
from datetime import date
from io import StringIO
from pathlib import Path
from xml.etree import ElementTree as ET

import pytest

from calc.package.drawing_library import ezdxf
from calc.site.plan.column_list import checksum_of
from calc.site.plan.setting_out import HEAD, SCHEMA, csv_file, dxf, geojson, headings, landxml
from calc.site.plan.write_plan import MadePlan
from tests.site.planned import PLAN, made
from tests.site.test_layout_laws import BEND, EXCLUSION, ZONE
from tests.site.test_plan_told import FOOTPRINT

DATED = date(2025, 4, 30)
ZONED = (ZONE, ("makeup_fill = true", "makeup_fill = false"))


@pytest.fixture(scope="module")
def plan(tmp_path_factory: pytest.TempPathFactory) -> MadePlan:
    """A plan with zones of the columns, an exclusion zone and a bend."""
    return made(tmp_path_factory.mktemp("plan"), *ZONED, plan=BEND + EXCLUSION)


def test_csv_says_what_the_plan_says(plan: MadePlan) -> None:
    lines = csv_file(plan.listed, plan.outcome).decode("utf-8").splitlines()
    comments = [line for line in lines if line.startswith("#")]
    rows = list(csv.reader(StringIO("\n".join(lines[len(comments) :]))))

    assert tuple(rows[0]) == HEAD
    assert [(one[0], float(one[1]), float(one[2]), float(one[3]), float(one[4])) for one in rows[1:]] == [
        (one.id, one.northing, one.easting, one.working_level, one.length) for one in plan.listed.columns
    ]
    said = "\n".join(comments)
    assert all(
        text in said
        for text in ("test grid", "test datum", "P1", "units: m", "outcome of the plan: pass", plan.listed.checksum)
    )
    assert "northing to the north, easting to the east" in said


def test_landxml_points_are_northing_easting_elevation(plan: MadePlan) -> None:
    root = ET.fromstring(landxml(plan.listed, DATED))  # noqa: S314 - written by the test
    points = root.findall(f".//{{{SCHEMA}}}CgPoint")

    assert [(point.get("name"), *map(float, (point.text or "").split())) for point in points] == [
        (one.id, one.northing, one.easting, one.working_level) for one in plan.listed.columns
    ]
    metric = root.find(f".//{{{SCHEMA}}}Metric")
    assert metric is not None
    assert metric.get("linearUnit") == "meter"
    assert plan.listed.checksum in landxml(plan.listed, DATED).decode("utf-8")


def test_geojson_has_no_geometry_and_everything_as_properties(plan: MadePlan) -> None:
    """RFC 7946, 3.2: the geometry of a feature may be null; coordinates are WGS 84 alone, which a site grid is not."""
    record = json.loads(geojson(plan.listed))

    assert record["type"] == "FeatureCollection"
    assert all(one["type"] == "Feature" and one["geometry"] is None for one in record["features"])
    assert [(one["properties"]["id"], one["properties"]["northing"], one["properties"]["easting"],
             one["properties"]["toe"]) for one in record["features"]] == [
        (one.id, one.northing, one.easting, one.toe) for one in plan.listed.columns
    ]  # fmt: skip
    assert "WGS 84" in record["plan"]["caution"]


def test_dxf_has_circles_of_true_diameter_in_metres_on_a_layer_for_each_zone(plan: MadePlan, tmp_path: Path) -> None:
    content = dxf(plan.listed, plan.elements, plan.plan.exclusion, DATED)
    (tmp_path / "columns.dxf").write_bytes(content)
    document = ezdxf.readfile(tmp_path / "columns.dxf")
    space = document.modelspace()
    circles = [one for one in space if one.dxftype() == "CIRCLE"]
    texts = [one.dxf.text for one in space if one.dxftype() == "TEXT"]

    assert document.header["$INSUNITS"] == 6
    assert sorted((round(one.dxf.center.x, 3), round(one.dxf.center.y, 3)) for one in circles) == sorted(
        (one.easting, one.northing) for one in plan.listed.columns
    )
    assert {one.dxf.radius for one in circles} == {0.4}
    assert {one.dxf.layer for one in circles} == {"columns A", "columns A.slope"}
    assert {one.id for one in plan.listed.columns} <= set(texts)
    assert any(plan.listed.checksum in text for text in texts)
    assert dxf(plan.listed, plan.elements, plan.plan.exclusion, DATED) == content


def test_dxf_has_the_border_of_the_footprint(tmp_path: Path) -> None:
    own = made(tmp_path, plan=PLAN + FOOTPRINT)
    (tmp_path / "columns.dxf").write_bytes(dxf(own.listed, own.elements, (), DATED, own.plan.footprint))
    space = ezdxf.readfile(tmp_path / "columns.dxf").modelspace()
    borders = [list(one.get_points("xy")) for one in space.query('LWPOLYLINE[layer=="footprint"]')]  # type: ignore[attr-defined]

    assert own.plan.footprint is not None
    assert borders == [[(one.easting, one.northing) for one in part.corner] for part in own.plan.footprint.part]


def test_one_checksum_binds_the_columns_and_what_they_are_measured_in(plan: MadePlan) -> None:
    lines = [one.canonical for one in plan.listed.columns]

    assert plan.listed.checksum == checksum_of(plan.listed.head, lines, [])
    assert plan.listed.checksum != checksum_of({**plan.listed.head, "revision": "P2"}, lines, [])
    assert plan.listed.checksum != checksum_of(plan.listed.head, lines, ["A-001-900"])
    assert plan.listed.checksum != checksum_of(plan.listed.head, lines[::-1], [])


def test_an_epsg_code_is_written_and_line_breaks_of_texts_are_not(tmp_path: Path) -> None:
    code = ('height_datum = "test datum"', 'epsg = 25832\nheight_datum = """test\ndatum"""')
    plan = made(tmp_path, code, plan=PLAN)

    assert b'epsgCode="25832"' in landxml(plan.listed, DATED)
    assert "height datum: test datum" in headings(plan.listed)
    assert all(
        line.startswith(("#", "point,", "A-")) for line in csv_file(plan.listed, plan.outcome).decode().splitlines()
    )
