"""Lower bound: stresses linear in triangles, free to jump at sides, in equilibrium and nowhere above the strength.

The element is that of Sloan (1988), Int. J. Numer. Anal. Methods Geomech. 12, pp. 61-77; the cones are those of
Makrodimopoulos & Martin (2006), Int. J. Numer. Methods Eng. 66, pp. 604-634 (both from memory).
"""

import numpy as np
from numpy.typing import NDArray

from tests.limit_analysis.mesh import Floats, Ints
from tests.limit_analysis.model import FREE, SMOOTH, Body, Contact, Stress, sheet, stresses
from tests.limit_analysis.programme import Programme

Terms = list[tuple[Ints, Ints, Floats]]
QUARTERS = 4  # triangles around the middle of a quadrilateral


def lower_bound(body: Body, fill: Body | None = None, contact: Contact | None = None) -> float:
    """The largest multiplier for which a stress field is found; the fill stands on the body by the contact."""
    programme = Programme()
    stress = _field(programme, body)
    if fill is not None and contact is not None:
        _touch(programme, contact, (body, stress), (fill, _field(programme, fill)))
    return programme.solve()


def _field(programme: Programme, body: Body) -> Stress:
    stress = stresses(programme, body, np.asarray)
    _equilibrium(programme, body, stress)
    _jumps(programme, body, stress)
    _loads(programme, body, stress)
    return stress


def _terms(row: Ints, part: list[tuple[Ints, float]], at: tuple[Ints, ...], factor: Floats) -> Terms:
    """A stress at corners as terms of rows."""
    made = []
    for numbers, sign in part:
        number = numbers[at]
        there = number >= 0
        made.append((row[there], number[there], sign * factor[there]))
    return made


def _equilibrium(programme: Programme, body: Body, stress: Stress) -> None:
    xx, yy, xy = stress.parts()
    triangle = np.arange(len(body.phi))
    terms: Terms = []
    for k in range(3):
        by_x, by_y = body.mesh.slopes[:, k].T
        at = (triangle, np.full_like(triangle, k))
        terms += _terms(2 * triangle, xx, at, by_x) + _terms(2 * triangle, xy, at, by_y)
        terms += _terms(2 * triangle + 1, xy, at, by_x) + _terms(2 * triangle + 1, yy, at, by_y)
    fixed, live = np.zeros(2 * len(triangle)), np.zeros(2 * len(triangle))
    fixed[1::2], live[1::2] = body.fixed, body.live
    programme.equal(terms, fixed, live)


def _normal(body: Body, triangle: Ints, side: Ints) -> Floats:
    """Outward normals of sides, times their lengths."""
    corners = body.mesh.corners
    along = corners[triangle, (side + 1) % 3] - corners[triangle, side]
    return np.stack([along[:, 1], -along[:, 0]], axis=1)


def _traction(stress: Stress, row: Ints, at: tuple[Ints, ...], normal: Floats, part: int, sign: float = 1.0) -> Terms:
    """Force per metre along x (part 0) or y (part 1), times the length of the side that the normal has."""
    xx, yy, xy = stress.parts()
    first, second = (xx, xy) if part == 0 else (xy, yy)
    return _terms(row, first, at, sign * normal[:, 0]) + _terms(row, second, at, sign * normal[:, 1])


def _jumps(programme: Programme, body: Body, stress: Stress) -> None:
    """Forces across a side are the same on both of its faces, at both ends."""
    inner = body.mesh.edges[body.mesh.edges[:, 2] >= 0]
    triangle, side, other, far = inner.T
    normal = _normal(body, triangle, side)
    normal /= np.hypot(*normal.T)[:, None]
    row = 4 * np.arange(len(inner))
    terms: Terms = []
    for end in range(2):
        here, there = (triangle, (side + end) % 3), (other, (far + 1 - end) % 3)
        for part in range(2):
            terms += _traction(stress, row + 2 * end + part, here, normal, part)
            terms += _traction(stress, row + 2 * end + part, there, normal, part, -1.0)
    kept = np.ones(4 * len(inner), dtype=bool)
    kept[_spare(body, inner)] = False
    programme.equal(_picked(terms, kept), np.zeros(int(kept.sum())))


def _spare(body: Body, inner: Ints) -> Ints:
    """One row for each point where just two straight lines cross: there one equation follows from the others."""
    points, count = body.mesh.triangles, len(body.mesh.points)
    ends = np.stack([points[inner[:, 0], (inner[:, 1] + end) % 3] for end in range(2)], axis=1)
    crossed = np.bincount(ends.ravel(), minlength=count) == np.bincount(points.ravel(), minlength=count)
    crossed &= np.bincount(points.ravel(), minlength=count) == QUARTERS
    normal = _normal(body, inner[:, 0], inner[:, 1])
    meeting: dict[int, list[int]] = {}
    for place, point in enumerate(ends.ravel().tolist()):
        if crossed[point]:
            meeting.setdefault(point, []).append(place)
    rows = []
    for places in meeting.values():
        # What is spare on a side of one line is the force along the normal of the other line.
        ours, others = normal[places[0] // 2], normal[[place // 2 for place in places[1:]]]
        other = others[np.abs(ours[0] * others[:, 1] - ours[1] * others[:, 0]).argmax()]
        rows.append(4 * (places[0] // 2) + 2 * (places[0] % 2) + int(np.abs(other).argmax()))
    return np.array(rows, dtype=np.int64)


def _loads(programme: Programme, body: Body, stress: Stress) -> None:
    """Tractions on free sides; no shear on smooth ones, which are vertical."""
    edge = body.boundary
    for end in range(2):
        free = np.flatnonzero(edge.kind == FREE)
        triangle, side = edge.sides[free].T
        normal, at = _normal(body, triangle, side), (triangle, (side + end) % 3)
        row = np.arange(len(free))
        width = normal[:, 1]
        programme.equal(
            _traction(stress, row, at, normal, 1), -edge.fixed[free, end] * width, -edge.live[free, end] * width
        )
        across = _traction(stress, row, at, normal, 0)
        limit = edge.held[free] * np.hypot(*normal.T)
        loose = limit == 0
        programme.equal(_picked(across, loose), np.zeros(int(loose.sum())))
        if not loose.all():
            held = _picked(across, ~loose)
            programme.at_most(held, limit[~loose])
            programme.at_most([(r, c, -v) for r, c, v in held], limit[~loose])
        smooth = np.flatnonzero(edge.kind == SMOOTH)
        if len(smooth):
            triangle, side = edge.sides[smooth].T
            at, normal = (triangle, (side + end) % 3), _normal(body, triangle, side)
            programme.equal(_traction(stress, np.arange(len(smooth)), at, normal, 1), np.zeros(len(smooth)))


def _touch(programme: Programme, contact: Contact, below: tuple[Body, Stress], above: tuple[Body, Stress]) -> None:
    """Stresses pass from the fill to the ground; the sheet adds to the shear what its tension changes by."""
    (body, stress), (fill, lying) = below, above
    triangle, side = contact.ground.T
    over, under = contact.fill[contact.below].T
    left, right = (fill.mesh.corners[over, (under + end) % 3, 0] for end in range(2))
    tension, first = sheet(programme, contact)
    for end in range(2):
        at = (triangle, (side + end) % 3)
        share = (body.mesh.corners[at][:, 0] - left) / (right - left)
        row = 2 * np.arange(len(side))
        _, yy, xy = stress.parts()
        one = np.ones(len(side))
        terms = _terms(row, yy, at, one) + _terms(row + 1, xy, at, one)
        for corner, weight in ((under, 1 - share), ((under + 1) % 3, share)):
            _, yy, xy = lying.parts()
            terms += _terms(row, yy, (over, corner), -contact.share * weight)
            terms += _terms(row + 1, xy, (over, corner), -weight)
        if len(tension):
            slope = 1 / (right - left)
            terms += [(row + 1, tension[first[contact.below] + 1], -slope)]
            terms += [(row + 1, tension[first[contact.below]], slope)]
        programme.equal(terms, np.zeros(2 * len(side)))


def _picked(terms: Terms, kept: NDArray[np.bool_]) -> Terms:
    """The rows kept, numbered anew."""
    number = np.cumsum(kept) - 1
    return [(number[row[kept[row]]], column[kept[row]], value[kept[row]]) for row, column, value in terms]
