"""Rules of the table [plan], each broken by itself, and mutated plan tables."""

import random
import re
from pathlib import Path

import pytest

from calc.inputs import InputErrors, read_design
from tests.site.planned import FIELD, PLAN, QUANTITIES, SLEEVES, planned, planned_text

BENT = PLAN.replace(
    '"1060 m", northing = "2080 m" },', '"1060 m", northing = "2080 m", radius = "200 m" },\n'
    '    { easting = "1060 m", northing = "2200 m" },'
)  # fmt: skip
ZONE = """
[[plan.exclusion]]
name = "Drain"
reason = "in use"
distance = "0.5 m"
corner = [
    { easting = "1010 m", northing = "2010 m" },
    { easting = "1020 m", northing = "2010 m" },
    { easting = "1020 m", northing = "2020 m" },
    { easting = "1010 m", northing = "2020 m" },
]
"""
POINT = """
[[plan.investigation]]
name = "S1"
easting = "1000 m"
northing = "2000 m"
bearing_level = "-6 m"
"""
FAR = 'source = "test"\n\n[plan.line]'
WITH_FAR = 'source = "test"\ninvestigation_far = "40 m"\n\n[plan.line]'
RULES = [
    (PLAN, 'start = "0+000"\n', "", "plan.line.start: must be given with points, got nothing"),
    (PLAN, 'start = "0+000"', 'start = "0+000"\nfile = "x.csv"',
     "plan.line.point: must be given, or file, and not both, got both"),
    (PLAN, '    { easting = "1060 m", northing = "2080 m" },\n', "",
     "plan.line.point: must be two points or more, got one"),
    (PLAN, '"1060 m", northing = "2080 m"', '"1000 m", northing = "2000 m"',
     "plan.line.point[2].easting: must be a place at least 0.01 m from the point before it"),
    (PLAN, '"1060 m", northing = "2080 m"', '"1060 m", northing = "2080 m", radius = "50 m"',
     "plan.line.point[2].radius: must be left out at both ends of the line"),
    (BENT, ', radius = "200 m"', "", "plan.line.point[2].radius: must be given where the line changes its direction"),
    (BENT, 'radius = "200 m"', 'radius = "900 m"', "point[2].radius: must leave room for both arcs between the points"),
    (BENT, '"1060 m", northing = "2200 m"', '"1000 m", northing = "2000 m"',
     "plan.line.point[2].easting: must be a point where the line does not turn back"),
    (BENT, 'radius = "200 m"', 'radius = "20 m"', "must have no bend in which the columns stand closer than 0.5"),
    (PLAN, 'section = "A"', 'section = "B"', 'plan.area[1].section: must be a section of the project (A), got "B"'),
    (PLAN, 'working_level = "0.50 m"', 'working_level = "-0.50 m"', "must not be below the ground (0 m)"),
    (PLAN, 'clear_distance = "1.2 m"', 'clear_distance = "0.8 m"',
     "plan.clear_distance: must be more than the diameter (0.8 m) and not more than the spacing (1.9 m)"),
    (PLAN, 'clear_distance = "1.2 m"', 'clear_distance = "2.0 m"', "and not more than the spacing (1.9 m)"),
    (PLAN, '"1060 m", northing = "2080 m"', '"1030 m", northing = "2040 m"',
     "plan.area[1].section: must lie on the line, which goes from 0+000 to 0+050"),
    (PLAN + ZONE, '"1020 m", northing = "2010 m"', '"1020 m", northing = "2030 m"',
     "plan.exclusion[1].corner: must be corners in order whose border does not cross itself"),
    (PLAN + ZONE + ZONE, "", "", "plan.exclusion[2].name: must be used once only"),
    (PLAN + POINT, "", "", "plan.investigation_far: must be given with investigation points, got nothing"),
    (PLAN, FAR, WITH_FAR, "plan.investigation_far: must be left out without investigation points"),
    (PLAN + POINT.replace("-6 m", "6 m"), FAR, WITH_FAR,
     'plan.investigation[1].bearing_level: must be below the ground of section A (0 m), got "6 m"'),
    (PLAN + POINT + POINT.replace("S1", "S2"), FAR, WITH_FAR,
     "plan.investigation[2].easting: must be a place of its own"),
    (PLAN + SLEEVES, "", "", "construction.quantities: must be given with [plan.sleeves]"),
    (PLAN + SLEEVES, 'boxes_by = "row"', 'boxes_by = "shift"',
     "plan.sleeves.shift: must be given with boxes by shift, got nothing"),
    (PLAN + SLEEVES, 'boxes_by = "row"', 'boxes_by = "row"\nshift = 40',
     "plan.sleeves.shift: must be left out with boxes by row, got 40"),
    (PLAN + SLEEVES, '["60 m"]', '["60 m", "60 m"]', "plan.sleeves.roll[2]: must be used once only"),
    (PLAN + SLEEVES, 'step = "0.10 m"', 'step = "0.0125 m"',
     "plan.sleeves.step: must be a whole number of millimetres: lengths are written so, got"),
    (PLAN, "scale_factor = 1.0", "scale_factor = 0.9", "plan.scale_factor: must be at least 0.99 and at most 1.01"),
    (PLAN, 'chainage = "0+000 to 0+100"', 'chainage = "km 0"',
     "section[1].chainage: must name two places in rising order"),
    (PLAN, FIELD, "\n", "field.beyond_left: must be given where [plan] lays the section out: the columns end there"),
]  # fmt: skip
FILES = [
    ('start = "0+000"\nfile = "../x.csv"', "plan.line.file: must be the name of a file beside project.toml"),
    ('file = "x.csv"', "plan.line.start: must be given with a CSV file, got nothing"),
    ('start = "0+000"\nfile = "x.xml"', "plan.line.start: must be left out: a LandXML file says it"),
]


def errors_of(folder: Path, text: str) -> list[str]:
    (folder / "project.toml").write_text(text, encoding="utf-8")
    with pytest.raises(InputErrors) as caught:
        read_design(folder)
    return [str(error) for error in caught.value.errors]


@pytest.mark.parametrize(("plan", "old", "new", "expected"), RULES)
def test_each_rule_is_told_with_its_field(tmp_path: Path, plan: str, old: str, new: str, expected: str) -> None:
    told = errors_of(tmp_path, planned_text((old, new), plan=plan))

    assert any(expected in one for one in told), told


@pytest.mark.parametrize(("line", "expected"), FILES)
def test_a_line_from_a_file_needs_a_name_and_for_csv_a_start(tmp_path: Path, line: str, expected: str) -> None:
    points = PLAN[PLAN.index('start = "0+000"') : PLAN.index("[[plan.area]]")]

    told = errors_of(tmp_path, planned_text((points, f"{line}\n\n")))

    assert any(expected in one for one in told), told


def test_everything_that_is_wrong_is_told_at_once(tmp_path: Path) -> None:
    rules = planned_text(('start = "0+000"\n', ""), ('section = "A"', 'section = "B"'), plan=PLAN + ZONE + ZONE)
    values = planned_text(("scale_factor = 1.0", "scale_factor = 2.0"), ('"1.2 m"', '"1.2"'), ('"P1"', "1"))

    assert len(errors_of(tmp_path, rules)) == 3
    assert len(errors_of(tmp_path, values)) == 3


def test_a_plan_with_everything_is_read(tmp_path: Path) -> None:
    design = planned(tmp_path, (FAR, WITH_FAR), plan=BENT + ZONE + POINT + SLEEVES, more=QUANTITIES)

    assert design.plan is not None
    assert design.plan.sleeves is not None
    assert planned(tmp_path / "x", plan=PLAN).plan is not None


@pytest.mark.slow
def test_a_mutated_plan_is_read_or_refused_in_lines(tmp_path: Path) -> None:
    """Whatever stands in the table, the answer is a design or a list of errors, a line each."""
    chance = random.Random(7)  # noqa: S311 - repeatable, not secret
    whole = planned_text((FAR, WITH_FAR), plan=BENT + ZONE + POINT + SLEEVES, more=QUANTITIES)
    start, end = whole.index("\n[plan]\n"), whole.index("\n[field]\n")
    values = ['""', '"0 m"', '"-1e7 m"', "0", "-1", "true", "[]", "{}", '"1 kPa"', '"A"', "1e308", '"0+999"', '"9e9 m"']
    line = re.compile(r"[^\n]*project\.toml:\d+:\d+: [^\n]+: must [^\n]+, got [^\n]+")
    outcomes, told = {"read": 0, "refused": 0}, list[str]()
    for _ in range(120):
        rows = whole[start:end].split("\n")
        for _ in range(chance.choice((1, 1, 2))):
            at = chance.randrange(len(rows))
            if chance.random() < 0.25:
                del rows[at]
            else:
                rows[at] = re.sub(r'("[^"]*"|\b[\d.]+\b|\[.*\])', chance.choice(values), rows[at], count=1)
        (tmp_path / "project.toml").write_text(whole[:start] + "\n".join(rows) + whole[end:], encoding="utf-8")
        try:
            read_design(tmp_path)
            outcomes["read"] += 1
        except InputErrors as errors:
            outcomes["refused"] += 1
            told += str(errors).split("\n")

    assert [one for one in told if not line.fullmatch(one)] == []
    assert min(outcomes.values()) > 5
