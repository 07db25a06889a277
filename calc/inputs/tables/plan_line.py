"""The line in plan that chainages are measured along: straights and arcs through points of intersection."""

from collections.abc import Iterator, Sequence
from dataclasses import dataclass
from itertools import pairwise
from math import atan2, cos, hypot, pi, sin, tan

Place = tuple[float, float]
"""Easting and northing, m."""

STRAIGHT = 1e-6  # rad; a smaller change of direction is none
SHORTEST = 0.01  # m between two points


@dataclass(frozen=True, slots=True)
class Element:
    """A straight or an arc: where it begins (chainage, easting, northing, m), its bearing there and its curvature.

    The bearing is in rad from north to east; the curvature in 1/m is positive where the line turns to the right.
    """

    chainage: float
    length: float
    easting: float
    northing: float
    bearing: float
    curvature: float

    @property
    def end(self) -> float:
        """Chainage of its end, m."""
        return self.chainage + self.length

    def at(self, along: float) -> tuple[float, float, float]:
        """Easting, northing and bearing at a distance from its beginning, m and rad."""
        bearing = self.bearing + self.curvature * along
        # The chord: it stays exact as the radius grows without limit.
        half = self.curvature * along / 2
        chord = along * (sin(half) / half if abs(half) > 1e-9 else 1.0)
        middle = self.bearing + half
        return self.easting + chord * sin(middle), self.northing + chord * cos(middle), bearing


@dataclass(frozen=True, slots=True)
class Intersection:
    """A point where two straights meet, with the radius of the arc between them; none at both ends of the line."""

    easting: float
    northing: float
    radius: float | None = None


def bearing_of(start: Place, end: Place) -> float:
    """Bearing from one place to another, rad from north to east."""
    return atan2(end[0] - start[0], end[1] - start[1])


def turn(before: float, after: float) -> float:
    """Change of direction between two bearings, rad, positive to the right."""
    return (after - before + pi) % (2 * pi) - pi


def broken_points(points: Sequence[Intersection]) -> Iterator[tuple[int, str, str]]:
    """What is wrong with points of intersection: place in the list, field, what it must be."""
    places = [(point.easting, point.northing) for point in points]
    for k, (a, b) in enumerate(pairwise(places), start=1):
        if hypot(b[0] - a[0], b[1] - a[1]) < SHORTEST:
            yield k, "easting", f"be a place at least {SHORTEST:g} m from the point before it"
            return
    for k in (0, len(points) - 1):
        if points[k].radius is not None:
            yield k, "radius", "be left out at both ends of the line"
            return
    yield from _broken_arcs(points, places)


def _broken_arcs(points: Sequence[Intersection], places: Sequence[Place]) -> Iterator[tuple[int, str, str]]:
    """What is wrong with the arcs between points that are apart."""
    tangents = [0.0] * len(points)
    for k in range(1, len(points) - 1):
        angle = turn(bearing_of(places[k - 1], places[k]), bearing_of(places[k], places[k + 1]))
        radius = points[k].radius
        if radius is None and abs(angle) > STRAIGHT:
            yield k, "radius", "be given where the line changes its direction"
        elif radius is not None and abs(angle) > pi - 0.01:
            yield k, "easting", "be a point where the line does not turn back"
        elif radius is not None:
            tangents[k] = radius * tan(abs(angle) / 2)
    for k, (a, b) in enumerate(pairwise(places)):
        room = hypot(b[0] - a[0], b[1] - a[1])
        if tangents[k] + tangents[k + 1] > room + 1e-6:
            at = k + 1 if tangents[k + 1] >= tangents[k] else k
            yield at, "radius", f"leave room for both arcs between the points ({room:.3f} m)"


def elements_of(points: Sequence[Intersection], start: float) -> tuple[Element, ...]:
    """The straights and arcs of a line whose points are right, from the chainage of its first point on."""
    elements = list[Element]()
    places = [(point.easting, point.northing) for point in points]
    at, chainage = places[0], start
    for k in range(1, len(places)):
        bearing = bearing_of(places[k - 1], places[k])
        angle, radius = 0.0, points[k].radius
        if k < len(places) - 1 and radius is not None:
            angle = turn(bearing, bearing_of(places[k], places[k + 1]))
        tangent = (radius or 0.0) * tan(abs(angle) / 2)
        e, n = places[k]
        begin = e - tangent * sin(bearing), n - tangent * cos(bearing)
        length = hypot(begin[0] - at[0], begin[1] - at[1])
        if length > 1e-9:
            elements.append(Element(chainage, length, *at, bearing, 0.0))
            chainage += length
        at = begin
        if tangent > 0 and radius is not None and angle:
            arc = Element(chainage, radius * abs(angle), *at, bearing, (1 if angle > 0 else -1) / radius)
            elements.append(arc)
            chainage, at = arc.end, arc.at(arc.length)[:2]
    return tuple(elements)
