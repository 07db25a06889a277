"""Slices of slip lines: places, widths, bases and arms of the moments; arrays are (slices, lines).

The mass slides to the right: an inclination is positive where the base falls to the right.
"""

from dataclasses import dataclass
from typing import Any

import numpy as np

from calc.procedures.slip.circles import Ends, breaks_of
from calc.procedures.slip.ground import Floats, Ground, Ints

SAME = 1e-3  # share of a slice within which two places share a face
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
    y_right: Floats
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
    across, up = _faces(ground, x, y, r, ends, count)
    sine, cosine, arm, offset = across[1:] + across[:-1], up[1:] + up[:-1], r, None
    # The chord has the direction of the middle of its arc.
    length = np.sqrt(sine * sine + cosine * cosine)
    sine /= length
    cosine /= length
    b = (across[:-1] - across[1:]) * r
    run = r * sine
    place, level = x - run, y - r * cosine
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
    y_left, y_right = (y - np.sqrt(np.maximum(r * r - (x - end) ** 2, 0.0)) for end in (ends.left, ends.right))
    return Base(place, b, level, sine, cosine, strip, x, y, arm, offset, ends.left, ends.right, y_left, y_right)


def _faces(ground: Ground, x: Floats, y: Floats, r: Floats, ends: Ends, count: int) -> tuple[Floats, Floats]:
    """Sine and cosine at the faces (slices + 1, circles): equal arcs, the nearest face moved to each jump or bend."""
    # An end at the level of the centre may lie outside the circle by a rounding error.
    first, last = (np.arcsin(np.clip((x - end) / r, -1.0, 1.0)) for end in (ends.left, ends.right))
    arc = (last - first) / count
    across, up = _turned(first, arc, count)
    with np.errstate(invalid="ignore"):
        moved = (x - breaks_of(ground, x, y, r)) / r
        steps = (np.arcsin(moved) - first) / arc
    there = (steps > CLOSE) & (steps < count - CLOSE)
    some = there.any(axis=1)
    steps = np.where(there, steps, np.inf)[some]
    order = np.argsort(steps, axis=0)
    sine = np.take_along_axis(moved[some], order, axis=0)
    steps = np.take_along_axis(steps, order, axis=0)
    for index, row in zip(_distinct(steps, count), sine, strict=True):
        good = index.nonzero()[0]
        across[index[good], good] = row[good]
        up[index[good], good] = np.sqrt(1 - row[good] ** 2)
    return across, up


def _distinct(steps: Floats, count: int) -> Ints:
    """The face to be moved to each place (places, circles), given in steps and in order; 0 for none.

    Places that lie apart have faces of their own: otherwise a thin tongue of soil between them could be missed.
    """
    last, before = np.zeros(steps.shape[1]), np.full(steps.shape[1], -np.inf)
    found = np.zeros(steps.shape, dtype=np.int64)
    for row, place in enumerate(steps):
        near = np.minimum(np.rint(place), count - 1.0)
        face = np.where(place - before < SAME, last, np.minimum(np.maximum(near, last + 1), count - 1))
        there = np.isfinite(place)
        found[row] = np.where(there, np.maximum(face, 1), 0)
        last, before = np.where(there, face, last), np.where(there, place, before)
    return found


def _turned(first: Floats, arc: Floats, count: int) -> tuple[Floats, Floats]:
    """Sine and cosine of first + k arc for k from 0 to count, from few angles by the addition theorem."""
    fine = int(np.ceil(np.sqrt(count + 1)))
    small = np.arange(fine)[:, None] * arc
    large = first + np.arange(0, count + 1, fine)[:, None] * arc
    sin_s, cos_s, sin_l, cos_l = np.sin(small), np.cos(small), np.sin(large)[:, None], np.cos(large)[:, None]
    sine = (sin_l * cos_s + cos_l * sin_s).reshape(-1, len(first))
    cosine = (cos_l * cos_s - sin_l * sin_s).reshape(-1, len(first))
    return sine[: count + 1], cosine[: count + 1]


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
                px[0], px[-1], py[0], py[-1], marked)  # fmt: skip
