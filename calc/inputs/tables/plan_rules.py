"""Rules between the values of [plan], and between them and the sections that it lays out."""

from collections.abc import Iterator, Mapping, Sequence
from itertools import combinations
from math import hypot
from typing import Any

from calc.engine.levels import above
from calc.inputs.reading.locate import Path
from calc.inputs.tables.alignment import ends_of, place_text
from calc.inputs.tables.plan import BY_SHIFT, Corner, Plan
from calc.inputs.tables.plan_line import SHORTEST, Element, Intersection, broken_points, elements_of
from calc.inputs.tables.problem import Problem, Problems, unique

Values = Mapping[str, Any]
"""The values of a section that can be read, by their names."""

NARROWEST = 0.5  # length along a curve over that at the line: a tighter bend has no grid


def plan_line(plan: Plan | None) -> Problems:
    """The line comes from points or from a file, and its arcs fit between its points."""
    if plan is None:
        return
    if plan.before is not None and not _is_beside(plan.before, (".geojson",)):
        yield Problem(("plan", "before"), "be the name of a file beside project.toml that ends with .geojson")
    line, at = plan.line, ("plan", "line")
    if (line.file is None) == (not line.point):
        yield Problem((*at, "point"), "be given, or file, and not both", "both" if line.point else "neither")
        return
    if line.file is not None:
        if not _is_beside(line.file, (".xml", ".csv")):
            yield Problem((*at, "file"), "be the name of a file beside project.toml that ends with .xml or .csv")
        elif (line.start is None) != line.file.lower().endswith(".xml"):
            must = "be left out: a LandXML file says it" if line.start else "be given with a CSV file"
            yield Problem((*at, "start"), must, None if line.start else "nothing")
        return
    if line.start is None:
        yield Problem((*at, "start"), "be given with points", "nothing")
    if len(line.point) == 1:
        yield Problem((*at, "point"), "be two points or more", "one")
        return
    for k, name, must in broken_points(intersections(plan)):
        yield Problem((*at, "point", k, name), must)


def _is_beside(name: str, endings: tuple[str, ...]) -> bool:
    """Whether a name is that of a file in one folder, with one of these endings."""
    return name.lower().endswith(endings) and not {"/", "\\"} & set(name) and name[0] != "."


def intersections(plan: Plan) -> tuple[Intersection, ...]:
    """The points of the line as they are given in the project file."""
    return tuple(Intersection(point.easting, point.northing, point.radius) for point in plan.line.point)


def plan_areas(plan: Plan | None, section_values: Sequence[Values]) -> Problems:
    """An area names a section that the plan can lay out; letters are used once."""
    if plan is None:
        return
    at = ("plan", "area")
    yield from unique([area.section for area in plan.area], at, "section")
    yield from unique([area.letter for area in plan.area], at, "letter")
    known = {values["key"]: (k, values) for k, values in enumerate(section_values) if "key" in values}
    for k, area in enumerate(plan.area):
        if area.section not in known:
            if all("key" in values for values in section_values):
                yield Problem((*at, k, "section"), f"be a section of the project ({', '.join(known)})")
            continue
        place, values = known[area.section]
        yield from _laid_out(plan, (*at, k), ("section", place), values)


def _laid_out(plan: Plan, area: Path, section: Path, values: Values) -> Problems:
    """What the plan needs of a section: where its field ends, level toes or investigation points, one bank."""
    if ends_of(values.get("chainage", "0+000 to 0+001")) is None:
        must = 'name two places in rising order, such as "0+120 to 0+480", where [plan] lays the section out'
        yield Problem((*section, "chainage"), must)
    for name in ("beyond_left", "beyond_right") if "column_field" in values else ():
        if getattr(values["column_field"], name, None) is None:
            must = "be given where [plan] lays the section out: the columns end there"
            yield Problem((*section, "field", name), must, "nothing")
    if values.get("widening") is not None:
        yield Problem((*area, "section"), "be a section without [widening], whose columns stand beside the old bank")
    if not plan.investigation and any(layer.at_toe(side) != layer.thickness
                                      for layer in values.get("layers", ()) for side in ("left", "right")):  # fmt: skip
        yield Problem(
            ("plan", "investigation"), f"be given: layers of section {values['key']} change across", "nothing"
        )
    level = values.get("ground_level")
    if level is not None and above(level, plan.area[int(area[2])].working_level):
        yield Problem((*area, "working_level"), f"not be below the ground ({level:g} m)")
    for k, point in enumerate(plan.investigation):
        if level is not None and not above(level, point.bearing_level):
            must = f"be below the ground of section {values['key']} ({level:g} m)"
            yield Problem(("plan", "investigation", k, "bearing_level"), must)
    yield from _allowances(plan, section, values)
    if "columns" in values:
        yield from _apart(plan, values["columns"])


def _allowances(plan: Plan, section: Path, values: Values) -> Problems:
    """The cut list has the allowances of the quantities."""
    if plan.sleeves is None or "construction" not in values:
        return
    if getattr(values["construction"], "quantities", None) is None:
        must = "be given with [plan.sleeves]: it has the allowances of the sleeve"
        yield Problem((*section, "construction", "quantities"), must, "nothing")


def _apart(plan: Plan, columns: Any) -> Problems:
    """The clear distance is more than a diameter and not more than any spacing."""
    spacings = [columns.spacing, *(zone.spacing for zone in columns.zone)]
    if not above(plan.clear_distance, columns.diameter) or above(plan.clear_distance, min(spacings)):
        must = f"be more than the diameter ({columns.diameter:g} m) and not more than the spacing ({min(spacings):g} m)"
        yield Problem(("plan", "clear_distance"), must)


def plan_span(plan: Plan | None, section_values: Sequence[Values]) -> Problems:
    """The line by points reaches over every section that is laid out, and its bends have room for the grid."""
    if plan is None or not plan.line.point or any(plan_line(plan)):
        return
    for place, must in broken_span(plan, elements_of(intersections(plan), plan.line.begins), section_values):
        yield Problem(("plan", "area", place, "section"), must)


def broken_span(
    plan: Plan, elements: Sequence[Element], section_values: Sequence[Values]
) -> Iterator[tuple[int, str]]:  # fmt: skip
    """Areas over which a line does not reach or that its bends are too tight for, with what they must be."""
    known = {values.get("key"): values for values in section_values}
    first, last = elements[0].chainage, elements[-1].end
    for k, area in enumerate(plan.area):
        values = known.get(area.section, {})
        ends = ends_of(values.get("chainage", ""))
        if ends is None:
            continue
        if above(first, ends[0]) or above(ends[1], last):
            yield k, f"lie on the line, which goes from {place_text(round(first, 3))} to {place_text(round(last, 3))}"
        bank, field = values.get("embankment"), values.get("column_field")
        if bank is None or field is None:
            continue
        half = bank.crest_width / 2
        out = [-half - (field.beyond_left or 0.0), half + (field.beyond_right or 0.0)]
        bends = [element.curvature for element in elements if element.chainage < ends[1] and element.end > ends[0]]
        least = min((1 - bend * x for bend in bends for x in out), default=1.0)
        if least < NARROWEST:
            yield k, f"have no bend in which the columns stand closer than {NARROWEST:g} of their spacing ({least:.2f})"


def plan_polygons(plan: Plan | None) -> Problems:
    """Exclusion zones have names of their own; no border of a polygon crosses itself."""
    if plan is None:
        return
    yield from unique([zone.name for zone in plan.exclusion], ("plan", "exclusion"), "name")
    parts = plan.footprint.part if plan.footprint else ()
    polygons = [*((("plan", "exclusion", k, "corner"), zone.corner) for k, zone in enumerate(plan.exclusion)),
                *((("plan", "footprint", "part", k, "corner"), part.corner)
                  for k, part in enumerate(parts))]  # fmt: skip
    for path, corners in polygons:
        if _crosses(corners):
            yield Problem(path, "be corners in order whose border does not cross itself",
                          "a border that crosses itself or has no area")  # fmt: skip


def _crosses(corners: Sequence[Corner]) -> bool:
    """Whether two sides of a polygon meet that are no neighbours, or its area is nil."""
    count = len(corners)
    sides = [(corners[k], corners[(k + 1) % count]) for k in range(count)]
    area = sum(a.easting * b.northing - b.easting * a.northing for a, b in _from_first(sides))
    if abs(area) < 2 * SHORTEST**2:
        return True
    return any(_meet(*sides[i], *sides[j]) for i, j in combinations(range(count), 2) if (j - i) not in {1, count - 1})


def _from_first(sides: Sequence[tuple[Corner, Corner]]) -> Iterator[tuple[Corner, Corner]]:
    """The sides counted from the first corner: millions of metres would wipe out the digits of their products."""
    e, n = sides[0][0].easting, sides[0][0].northing
    for a, b in sides:
        yield (
            Corner.model_construct(easting=a.easting - e, northing=a.northing - n),
            Corner.model_construct(easting=b.easting - e, northing=b.northing - n),
        )


def _side(a: Corner, b: Corner, c: Corner) -> float:
    """Twice the area of a triangle, positive on the left of the first two corners."""
    return (b.easting - a.easting) * (c.northing - a.northing) - (b.northing - a.northing) * (c.easting - a.easting)


def _meet(a: Corner, b: Corner, c: Corner, d: Corner) -> bool:
    return _side(a, b, c) * _side(a, b, d) <= 0 and _side(c, d, a) * _side(c, d, b) <= 0


def plan_ground(plan: Plan | None) -> Problems:
    """Investigation points have names and places of their own, and a distance beyond which a column is listed."""
    if plan is None:
        return
    at, points = ("plan", "investigation"), plan.investigation
    yield from unique([point.name for point in points], at, "name")
    for k, point in enumerate(points):
        if any(
            hypot(point.easting - other.easting, point.northing - other.northing) < SHORTEST for other in points[:k]
        ):
            yield Problem((*at, k, "easting"), "be a place of its own")
    if bool(points) != (plan.investigation_far is not None):
        must = "be given with investigation points" if points else "be left out without investigation points"
        yield Problem(("plan", "investigation_far"), must, "nothing" if points else None)


def plan_sleeves(plan: Plan | None) -> Problems:
    """Boxes by shift need the columns of a shift; lengths of rolls are used once."""
    cuts = plan.sleeves if plan else None
    if cuts is None:
        return
    for k, length in enumerate(cuts.roll):
        if length in cuts.roll[:k]:
            yield Problem(("plan", "sleeves", "roll", k), "be used once only")
    if abs(1000 * cuts.step - round(1000 * cuts.step)) > 1e-6:
        yield Problem(("plan", "sleeves", "step"), "be a whole number of millimetres: lengths are written so")
    if (cuts.boxes_by == BY_SHIFT) != (cuts.shift is not None):
        must = "be given with boxes by shift" if cuts.shift is None else "be left out with boxes by row"
        yield Problem(("plan", "sleeves", "shift"), must, "nothing" if cuts.shift is None else None)


PLAN_RULES = (plan_line, plan_areas, plan_span, plan_polygons, plan_ground, plan_sleeves)
