"""Slices of slip lines: places, widths, bases and arms of the moments; arrays are (slices, lines).

The mass slides to the right: an inclination is positive where the base falls to the right.
"""

from dataclasses import dataclass
from typing import Any

import numpy as np

from calc.procedures.slip.circles import Ends
from calc.procedures.slip.ground import Floats, Ground, Ints


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


def slices_of_circles(ground: Ground, x: Floats, y: Floats, r: Floats, ends: Ends, count: int) -> Base:
    """Slices of equal width; a circle that reaches the hard layer follows it."""
    b = (ends.right - ends.left) / count
    place = (np.arange(count) + 0.5)[:, None] * b
    place += ends.left
    run = x - place
    down = np.sqrt(r * r - run * run)
    level = y - down
    sine, cosine, arm, offset = run / r, down / r, r, None
    strip = ground.strip_of(place)
    if ground.hard is not None and ground.model.truncate:
        floor = ground.hard.at(place, strip)
        cut = floor > level
        if cut.any():
            slope = ground.hard.slope.take(strip)
            level = np.where(cut, floor, level)
            cosine = np.where(cut, 1 / np.sqrt(1 + slope**2), cosine)
            sine = np.where(cut, -slope * cosine, sine)
            arm = run * sine + (y - level) * cosine
            offset = run * cosine - (y - level) * sine
    y_left = y - np.sqrt(r * r - (x - ends.left) ** 2)
    return Base(place, b, level, sine, cosine, strip, x, y, arm, offset, ends.left, ends.right, y_left)


def slices_of_lines(ground: Ground, px: Floats, py: Floats, count: int, interface: int | None) -> Base:
    """Slices of lines with the corners ``px``, ``py`` (corners, lines), the same number of slices in every piece.

    Moments are taken about a point above the middle, one length of the line over its upper end.
    """
    pieces = len(px) - 1
    each = max(count // pieces, 2)
    share = np.tile((np.arange(each) + 0.5) / each, pieces)[:, None]
    piece = np.repeat(np.arange(pieces), each)
    run, fall = np.diff(px, axis=0), -np.diff(py, axis=0)
    length = np.hypot(run, fall)
    x = px[piece] + share * run[piece]
    y = py[piece] - share * fall[piece]
    sine, cosine = (fall / length)[piece], (run / length)[piece]
    centre_x = (px[0] + px[-1]) / 2
    centre_y = py[0] + px[-1] - px[0]
    arm = (centre_x - x) * sine + (centre_y - y) * cosine
    offset = (centre_x - x) * cosine - (centre_y - y) * sine
    marked = None if interface is None else (piece == interface)[:, None]
    return Base(x, run[piece] / each, y, sine, cosine, ground.strip_of(x), centre_x, centre_y, arm, offset,
                px[0], px[-1], py[0], marked)  # fmt: skip
