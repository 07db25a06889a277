"""Slices of slip lines: places, widths, bases and arms of the moments; arrays are (slices, lines).

The mass slides to the right: an inclination is positive where the base falls to the right.
"""

from dataclasses import dataclass
from typing import Any

import numpy as np

from calc.procedures.slip.circles import Ends, breaks_of
from calc.procedures.slip.ground import Floats, Ground, Ints

CLOSE = 1e-6  # share of a slice within which a face is not moved to a place


@dataclass(frozen=True)
class Base:
    """Slices of any number of slip lines.

    ``arm`` is the arm of the base shear about the centre and ``offset`` that of the base normal, None on whole circles
    where the normal passes through the centre; ``interface`` marks bases along a plane with a strength of its own.
    """

    x: Floats
    b: Floats
    y: Floats
    sine: Floats
    cosine: Floats
    strip: Ints
    centre_x: Floats
    centre_y: Floats
    arm: Floats
    offset: Floats | None
    left: Floats
    right: Floats
    y_left: Floats
    interface: Any = None

    def right_faces(self) -> Floats:
        """Places of the right faces of the slices."""
        found: Floats = self.left + np.cumsum(np.broadcast_to(self.b, self.x.shape), axis=0)
        return found


def slices_of_circles(ground: Ground, x: Floats, y: Floats, r: Floats, ends: Ends, count: int) -> Base:
    """Slices of about equal arcs, so that the steep upper end is cut finely; a hard layer that is reached is followed.

    The face next to a jump or a bend of the ground is moved there, so that no base lies in two soils. Each base is the
    chord of its arc; stresses and levels are taken at the middle of the arc.
    """
    first, last = np.arcsin((x - ends.left) / r), np.arcsin((x - ends.right) / r)
    faces = _faces(first, last, count, ground, x, y, r)
    angle = (faces[1:] + faces[:-1]) / 2
    sine, cosine, arm, offset = np.sin(angle), np.cos(angle), r, None
    b = 2 * r * cosine * np.sin((faces[:-1] - faces[1:]) / 2)
    run, down = r * sine, r * cosine
    place, level = x - run, y - down
    strip = ground.strip_of(place)
    if ground.hard is not None and ground.model.truncate:
        floor = ground.hard.at(place, strip)
        cut = floor > level
        if cut.any():
            slope = ground.hard.slope.take(strip)
            level = np.where(cut, floor, level)
            cosine = np.where(cut, 1 / np.sqrt(1 + slope**2), cosine)
            sine = np.where(cut, -slope * cosine, sine)
            # The arc is longer than what replaces it, but its width is the same.
            arm = run * sine + (y - level) * cosine
            offset = run * cosine - (y - level) * sine
    y_left = y - np.sqrt(r * r - (x - ends.left) ** 2)
    return Base(place, b, level, sine, cosine, strip, x, y, arm, offset, ends.left, ends.right, y_left)


def _faces(first: Floats, last: Floats, count: int, ground: Ground, x: Floats, y: Floats, r: Floats) -> Floats:
    """Angles of the faces (slices + 1, circles): equal arcs, the nearest face moved to each jump or bend."""
    arc = (last - first) / count
    faces = first + np.arange(count + 1)[:, None] * arc
    lane = np.arange(len(x))
    with np.errstate(invalid="ignore"):
        for place in breaks_of(ground, x, y, r):
            angle = np.arcsin((x - place) / r)
            steps = (angle - first) / arc
            good = (steps > CLOSE) & (steps < count - CLOSE)
            index = np.clip(np.rint(steps[good]), 1, count - 1).astype(np.int64)
            faces[index, lane[good]] = angle[good]
    return faces


def slices_of_lines(ground: Ground, px: Floats, py: Floats, count: int, interface: tuple[int, ...]) -> Base:
    """Slices of lines with the corners ``px``, ``py`` (corners, lines), the same number of slices in every piece.

    A piece may have no length. Moments are taken about a point above the middle, one length of the line over its upper
    end. ``interface`` names the pieces that have a strength of their own.
    """
    pieces = len(px) - 1
    each = max(count // pieces, 2)
    share = np.tile((np.arange(each) + 0.5) / each, pieces)[:, None]
    piece = np.repeat(np.arange(pieces), each)
    run, fall = np.diff(px, axis=0), -np.diff(py, axis=0)
    none = run <= 0
    length = np.where(none, 1.0, np.hypot(run, fall))
    x = px[piece] + share * run[piece]
    y = py[piece] - share * fall[piece]
    sine = np.where(none, 0.0, fall / length)[piece]
    cosine = np.where(none, 1.0, run / length)[piece]
    centre_x = (px[0] + px[-1]) / 2
    centre_y = py[0] + px[-1] - px[0]
    arm = (centre_x - x) * sine + (centre_y - y) * cosine
    offset = (centre_x - x) * cosine - (centre_y - y) * sine
    marked = np.isin(piece, interface)[:, None]
    return Base(x, run[piece] / each, y, sine, cosine, ground.strip_of(x), centre_x, centre_y, arm, offset,
                px[0], px[-1], py[0], marked)  # fmt: skip
