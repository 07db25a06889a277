"""The line of the plan: arcs, places beside it, and files that say it."""

from math import atan2, hypot, pi, sqrt
from pathlib import Path

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st
from pytest import approx  # noqa: PT013 - as everywhere here

from calc.inputs import InputErrors
from calc.inputs.tables.plan_line import Intersection, elements_of
from calc.site.plan.axis import axis_of, curvatures, places
from calc.site.plan.axis_file import LARGEST, line_of_file
from tests.site.planned import PLAN, planned

RIGHT = [Intersection(0.0, 0.0), Intersection(0.0, 500.0, 100.0), Intersection(500.0, 500.0)]
XML = """<?xml version="1.0"?>
<LandXML xmlns="http://www.landxml.org/schema/LandXML-1.2" version="1.2">
<Units><Metric linearUnit="meter" areaUnit="squareMeter" volumeUnit="cubicMeter"/></Units>
<Alignments><Alignment name="axis" length="957.08" staStart="100.0"><CoordGeom>
<Line><Start>0.0 0.0</Start><End>400.0 0.0</End></Line>
<Curve rot="cw" radius="100"><Start>400.0 0.0</Start><Center>400.0 100.0</Center><End>500.0 100.0</End></Curve>
<Line><Start>500.0 100.0</Start><End>500.0 500.0</End></Line>
</CoordGeom></Alignment></Alignments></LandXML>
"""


def test_a_quarter_circle_has_its_length_ends_and_curvature() -> None:
    """Plane geometry: tangents of the radius, an arc of a quarter of the circumference."""
    first, arc, last = elements_of(RIGHT, 100.0)

    assert (first.length, arc.length, last.length) == approx((400.0, 50 * pi, 400.0))
    assert arc.curvature == approx(0.01)
    assert arc.at(arc.length) == approx((100.0, 500.0, pi / 2))
    assert last.end == approx(100 + 800 + 50 * pi)


def test_offsets_are_to_the_right_and_move_towards_the_centre_of_a_right_bend() -> None:
    line = elements_of(RIGHT, 0.0)
    middle = np.array([400 + 25 * pi] * 2)

    e, n = places(line, middle, np.array([0.0, 10.0]))

    assert np.hypot(e - 100, n - 400) == approx([100.0, 90.0])
    assert curvatures(line, np.array([10.0, 450.0, 900.0])) == approx([0.0, 0.01, 0.0])


@given(st.floats(-150, 150), st.floats(1, 890))
def test_an_arc_of_endless_radius_is_a_straight(offset: float, chainage: float) -> None:
    """Law: a bend of 1 mm in 900 m with a radius of 4e5 m leads where the straight does, to that millimetre."""
    bent = elements_of([Intersection(0, 0), Intersection(0, 450, 4e5), Intersection(0.001, 900)], 0.0)
    straight = elements_of([Intersection(0, 0), Intersection(0, 900)], 0.0)

    one, other = (places(line, np.array([chainage]), np.array([offset])) for line in (bent, straight))

    assert np.hypot(one[0] - other[0], one[1] - other[1])[0] < 0.002


def test_a_line_from_landxml_is_that_of_its_points(tmp_path: Path) -> None:
    (tmp_path / "axis.xml").write_text(XML, encoding="utf-8")

    read, made = line_of_file(tmp_path / "axis.xml", 0.0), elements_of(RIGHT, 100.0)

    for one, other in zip(read, made, strict=True):
        assert (one.chainage, one.length, one.easting, one.northing, one.curvature) == approx(
            (other.chainage, other.length, other.easting, other.northing, other.curvature), abs=1e-6
        )


def test_a_line_from_csv_is_that_of_its_points(tmp_path: Path) -> None:
    (tmp_path / "axis.csv").write_text(
        "# axis\neasting,northing,radius\n0,0,\n\n0,500,100\n500,500,\n", encoding="utf-8"
    )

    assert line_of_file(tmp_path / "axis.csv", 100.0) == elements_of(RIGHT, 100.0)


WRONG = [
    ("a.csv", "", "a.csv:1:1: head: must be easting,northing,radius, got nothing"),
    ("a.csv", "# axis\n\neast,north\n", "a.csv:3:1: head: must be easting,northing,radius, got east,north"),
    ("a.csv", "easting,northing,radius\n0,0,\n", "a.csv:2:1: file: must have 2 to 200 points, got 1"),
    ("a.csv", "easting,northing,radius\n0,0\n1;5,x,\n", "a.csv:3:1: northing: must be a number of metres"),
    ("a.csv", 'easting,northing,radius\n0,0,"\n"\nx,5,\n', "a.csv:4:1: easting: must be a number of metres"),
    ("a.csv", "easting,northing,radius\n0,0,,4\n1,1,3\n", "a.csv:2:1: line: must have three values, got 4"),
    ("a.csv", "easting,northing,radius\n0,0\n9,9,3\n99,99\n", "a.csv:3:1: radius: must be at least 10 m"),
    ("a.csv", "easting,northing,radius\n0,0\n0,9\n9,9\n", "a.csv:3:1: radius: must be given where the line changes"),
    ("a.csv", b"\xff\xfe", "a.csv:1:1: file: must be text in UTF-8"),
    ("a.csv", b" " * (LARGEST + 1), "must have at most 5000000 bytes"),
    ("missing.csv", None, "missing.csv:1:1: file: must be a file that can be read, got none"),
    ("a.xml", "<a", "a.xml:1:1: file: must be well-formed XML"),
    ("a.xml", "\n<!DOCTYPE x><a/>", "a.xml:2:1: file: must have no document type and no entities"),
    ("a.xml", "<a/>", "a.xml:1:1: Alignment: must stand in the file once, got 0 times"),
    ("a.xml", XML.replace('"meter"', '"foot"'), 'a.xml:3:1: Units: must say metres (Metric linearUnit="me'),
    ("a.xml", XML.replace("<CoordGeom>", '<StaEquation staAhead="0"/><CoordGeom>'), ":4:1: StaEquation: must be left"),
    ("a.xml", XML.replace(' staStart="100.0"', ""), ":4:1: staStart: must be the chainage of the first point"),
    ("a.xml", XML.replace("<CoordGeom>", "<X>").replace("</CoordGeom>", "</X>"), "xml:4:1: CoordGeom: must have lines"),
    ("a.xml", XML.replace("<Line>", "<Spiral>", 1).replace("</Line>", "</Spiral>", 1), "xml:5:1: CoordGeom[1]: must"),
    ("a.xml", XML.replace("<End>400.0 0.0</End>", "<End>300.0 0.0</End>"), "a.xml:6:1: CoordGeom[2]: must go on where"),
    ("a.xml", XML.replace("<End>400.0 0.0</End>", "<End>x</End>"), "xml:5:1: CoordGeom[1]: must have Start"),
    ("a.xml", XML.replace('rot="cw"', ""), 'must have a Center and rot "cw" or "ccw"'),
    ("a.xml", XML.replace("<Center>400.0 100.0", "<Center>410.0 100.0"), "both ends at one distance of at least 10 m"),
]  # fmt: skip


@pytest.mark.parametrize(("name", "content", "expected"), WRONG)
def test_what_is_wrong_in_a_file_is_told_with_its_line(
    tmp_path: Path, name: str, content: str | bytes | None, expected: str
) -> None:
    if content is not None:
        (tmp_path / name).write_bytes(content.encode() if isinstance(content, str) else content)

    with pytest.raises(InputErrors) as caught:
        line_of_file(tmp_path / name, 0.0)

    assert expected in str(caught.value)


def test_a_file_is_read_for_a_plan_and_must_reach_over_its_areas(tmp_path: Path) -> None:
    points = PLAN[PLAN.index('start = "0+000"') : PLAN.index("[[plan.area]]")]
    design = planned(tmp_path, (points, 'start = "0+000"\nfile = "axis.csv"\n\n'))
    assert design.plan is not None
    (tmp_path / "axis.csv").write_text("easting,northing,radius\n0,0,\n0,300,\n", encoding="utf-8")

    assert axis_of(design, design.plan)[0].end == approx(300)
    (tmp_path / "axis.csv").write_text("easting,northing,radius\n0,0,\n0,30,\n", encoding="utf-8")
    with pytest.raises(
        InputErrors, match=r"project\.toml:\d{2,}:\d+: plan\.area\[1\]\.section: .* goes from 0.* in axis\.csv"
    ):
        axis_of(design, design.plan)


def test_bearings_go_from_north_to_east() -> None:
    (line,) = elements_of([Intersection(0, 0), Intersection(30, 40)], 0.0)

    assert line.bearing == approx(atan2(30, 40))
    assert line.length == hypot(30, 40) == sqrt(2500)
