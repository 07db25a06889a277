"""Slices of slip lines: places, widths, bases and arms of the moments; arrays are (slices, lines).

The mass slides to the right: an inclination is positive where the base falls to the right.
"""

from collections.abc import Iterator
from dataclasses import dataclass
from typing import Any

import numpy as np
from numpy.typing import NDArray

from calc.procedures.slip.circles import Ends, breaks_of, breaks_of_line
from calc.procedures.slip.vertical_strips import Floats, Ground, Ints, how_many

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
        faces: Floats = self.left + np.cumsum(np.broadcast_to(self.b, self.x.shape), axis=0)
        return faces


@dataclass(frozen=True)
class Arcs:
    """Angles of both ends, sines of the jumps and bends on the arcs (any, circles) and their shares of these."""

    first: Floats
    last: Floats
    moved: Floats
    share: Floats

    def at(self, chosen: NDArray[np.bool_]) -> "Arcs":
        """Those of some circles."""
        return Arcs(self.first[chosen], self.last[chosen], self.moved[:, chosen], self.share[:, chosen])


def slices_of_circles(
    ground: Ground, x: Floats, y: Floats, r: Floats, ends: Ends, count: int, arcs: Arcs | None = None
) -> Base:  # fmt: skip
    """Slices of about equal arcs, so that the steep upper end is cut finely; a hard layer that is reached is followed.

    The face next to a jump or a bend of the ground is moved there, so that no base lies in two soils. Each base is the
    chord of its arc; stresses and levels are taken at the middle of the arc.
    """
    across, up = _faces(arcs or arcs_of(ground, x, y, r, ends), count)
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


def arcs_of(ground: Ground, x: Floats, y: Floats, r: Floats, ends: Ends) -> Arcs:
    """The arcs of circles between their ends."""
    # An end at the level of the centre may lie outside the circle by a rounding error.
    first, last = (np.arcsin(np.clip((x - end) / r, -1.0, 1.0)) for end in (ends.left, ends.right))
    with np.errstate(invalid="ignore"):
        moved = (x - breaks_of(ground, x, y, r)) / r
        return Arcs(first, last, moved, (np.arcsin(moved) - first) / (last - first))


def _faces(arcs: Arcs, count: int) -> tuple[Floats, Floats]:
    """Sine and cosine at the faces (slices + 1, circles): equal arcs, the nearest face moved to each jump or bend."""
    steps, index, count = _places_in_steps(arcs.share, count)
    across, up = _sines_and_cosines(arcs.first, (arcs.last - arcs.first) / count, count)
    sine = np.take_along_axis(arcs.moved, index, axis=0)
    for face, row in zip(_nearest_faces(steps, count), sine, strict=True):
        good = face.nonzero()[0]
        across[face[good], good] = row[good]
        up[face[good], good] = np.sqrt(1 - row[good] ** 2)
    return across, up


def _places_in_steps(share: Floats, count: int) -> tuple[Floats, Ints, int]:
    """Places between the ends, given in shares, in order in steps with inf for none, their rows, and the slices.

    A face that is moved to a place is lost to the even cut: a line has at least two slices for each of its places.
    """
    there = _between(share, count)
    most = int(there.sum(axis=0).max(initial=0))
    steps = np.where(there, share, np.inf)
    index = np.argsort(steps, axis=0)[:most]
    count = max(count, 2 * (most + 1))
    return np.take_along_axis(steps, index, axis=0) * count, index, count


def _between(share: Floats, count: int) -> NDArray[np.bool_]:
    """Which places, given in shares, lie between the ends and not at them."""
    return (share * count > CLOSE) & (share * count < count - CLOSE)


def alike_lines(share: Floats, count: int) -> Iterator[NDArray[np.bool_]]:
    """Lines by the number of their slices, so that none is cut otherwise for what stands beside it.

    ``share`` are the jumps and bends as shares of each line (places, lines).
    """
    slices = np.maximum(2 * (_between(share, count).sum(axis=0) + 1), count)
    for number in np.unique(slices):
        yield slices == number


def _nearest_faces(steps: Floats, count: int) -> Ints:
    """The face to be moved to each place (places, lines), given in steps and in order; 0 for none.

    Places that lie apart have faces of their own, also where two lie in one slice: otherwise a thin tongue of soil
    between them could be missed. Faces are left for the places that follow.
    """
    there = np.isfinite(steps)
    apart = there.copy()
    with np.errstate(invalid="ignore"):
        apart[1:] &= np.diff(steps, axis=0) >= SAME
    most = count - 1 - apart[::-1].cumsum(axis=0)[::-1] + apart
    last, faces = np.zeros(steps.shape[1]), np.zeros(steps.shape, dtype=np.int64)
    for row, (place, is_there) in enumerate(zip(steps, there, strict=True)):
        near = np.maximum(np.rint(np.where(is_there, place, 0.0)), last + 1)
        last = np.where(apart[row], np.minimum(near, most[row]), last)
        faces[row] = np.where(is_there, last, 0)
    return faces


def _sines_and_cosines(first: Floats, arc: Floats, count: int) -> tuple[Floats, Floats]:
    """Sine and cosine of first + k arc for k from 0 to count, from few angles by the addition theorem."""
    fine = int(np.ceil(np.sqrt(count + 1)))
    small = np.arange(fine)[:, None] * arc
    large = first + np.arange(0, count + 1, fine)[:, None] * arc
    sin_s, cos_s, sin_l, cos_l = np.sin(small), np.cos(small), np.sin(large)[:, None], np.cos(large)[:, None]
    sine = (sin_l * cos_s + cos_l * sin_s).reshape(-1, len(first))
    cosine = (cos_l * cos_s - sin_l * sin_s).reshape(-1, len(first))
    return sine[: count + 1], cosine[: count + 1]


def slices_of_lines(
    ground: Ground, px: Floats, py: Floats, count: int, interface: tuple[int, ...], places: Floats | None = None
) -> Base:  # fmt: skip
    """Slices of lines with the corners ``px``, ``py`` (corners, lines), as many in every piece that has a length.

    The face next to a corner, a jump or a bend of the ground is moved there. Moments are taken about a point above the
    middle, one length of the line over its upper end. ``interface`` names the pieces that have a strength of their own,
    ``places`` are those of `shares_of_places`.
    """
    run, fall = np.diff(px, axis=0), -np.diff(py, axis=0)
    there = run > 0
    share = _shares_of_corners(px)
    length = np.where(there, np.hypot(run, fall), 1.0)
    sines, cosines = np.where(there, fall / length, 0.0), np.where(there, run / length, 1.0)
    steps, _, count = _places_in_steps(shares_of_places(ground, px, py) if places is None else places, count)
    face = np.repeat(np.arange(count + 1.0)[:, None], px.shape[1], axis=1)
    for index, row in zip(_nearest_faces(steps, count), steps, strict=True):
        good = index.nonzero()[0]
        face[index[good], good] = row[good]
    face /= count
    middle = (face[1:] + face[:-1]) / 2
    piece = how_many((middle >= corner for corner in share[1:-1]), middle.shape, len(share))
    b, x = np.diff(_places_at_shares(px, share, face), axis=0), _places_at_shares(px, share, middle)
    sine, cosine, x_0, y_0 = (np.take_along_axis(array, piece, axis=0) for array in (sines, cosines, px[:-1], py[:-1]))
    y = y_0 - (x - x_0) * sine / cosine
    centre_x, centre_y = (px[0] + px[-1]) / 2, py[0] + px[-1] - px[0]
    arm = (centre_x - x) * sine + (centre_y - y) * cosine
    offset = (centre_x - x) * cosine - (centre_y - y) * sine
    return Base(x, b, y, sine, cosine, ground.strip_of(x), centre_x, centre_y, arm, offset,
                px[0], px[-1], py[0], py[-1], np.isin(piece, interface))  # fmt: skip


def _shares_of_corners(px: Floats) -> Floats:
    """Along each line a share of 1 in all and the same in every piece; a piece without a length has none."""
    there = np.diff(px, axis=0) > 0
    shares: Floats = np.concatenate([np.zeros((1, px.shape[1])), np.cumsum(there, axis=0)]) / there.sum(axis=0)
    return shares


def shares_of_places(ground: Ground, px: Floats, py: Floats) -> Floats:
    """Corners between the ends, jumps and bends, as shares of the line; inf or NaN for nowhere."""
    share = _shares_of_corners(px)
    return np.concatenate([share[1:-1], *_shares_of_breaks(ground, px, py, share)])


def _places_at_shares(px: Floats, share: Floats, wanted: Floats) -> Floats:
    """Places at shares along lines."""
    places = np.repeat(px[:1], len(wanted), axis=0)
    for begin, end, first, last in zip(px[:-1], px[1:], share[:-1], share[1:], strict=True):
        width = np.where(last > first, last - first, 1.0)
        places += (end - begin) * np.clip((wanted - first) / width, 0.0, 1.0)
    return places


def _shares_of_breaks(ground: Ground, px: Floats, py: Floats, share: Floats) -> list[Floats]:
    """Where the ground on or over each piece changes by a jump or a bend, as shares of the line; inf for nowhere."""
    shares = []
    corners = zip(px[:-1], px[1:], py[:-1], py[1:], share[:-1], share[1:], strict=True)
    for x_0, x_1, y_0, y_1, first, last in corners:
        with np.errstate(divide="ignore", invalid="ignore"):
            place = breaks_of_line(ground, x_0, y_0, (y_1 - y_0) / (x_1 - x_0))
            part = (place - x_0) / (x_1 - x_0)
            inside = (part > 0) & (part < 1)
        chosen = inside.any(axis=1)
        with np.errstate(invalid="ignore"):
            shares.append(np.where(inside[chosen], first + (last - first) * part[chosen], np.inf))
    return shares
