"""The slope that a mass slides down to the right: crest and toe."""

from dataclasses import dataclass
from itertools import pairwise

from calc.procedures.slip.model import Line, Point, SlipError

GENTLE = 0.1  # share of the steepest fall below which the ground at the toe of a slope is not part of it
LEVEL = 0.3  # the same at its crest, which may have a cross-fall


@dataclass(frozen=True)
class Slope:
    """Crest and toe, and the height and length between them."""

    crest: Point
    toe: Point

    @property
    def height(self) -> float:
        """Height of the slope."""
        return self.crest[1] - self.toe[1]

    @property
    def length(self) -> float:
        """Horizontal length of the slope, negative where it falls to the left."""
        return self.toe[0] - self.crest[0]

    @property
    def size(self) -> float:
        """Height of the slope, or a third of its length where that is more."""
        return max(self.height, abs(self.length) / 3)

    @property
    def centres(self) -> tuple[Point, Point]:
        """Ranges of x and y above the slope within which a search first looks for centres of circles."""
        first, last = sorted((self.crest[0] - 0.25 * self.length, self.toe[0] + 0.5 * self.length))
        return (first, last), (self.crest[1] + 0.1 * self.size, self.crest[1] + 2.5 * self.size)


def slope_of(surface: Line) -> Slope:
    """The stretch without a rise over which the surface falls most; gentle ground at its ends is left out.

    ``SlipError`` where nothing falls to the right, or where the toe does not stand on ground within the model.
    """
    best = max(_falls(surface), key=lambda run: run[0][1] - run[-1][1], default=None)
    if best is None:
        message = f"surface must fall in the direction in which the mass slides (got {surface})"
        raise SlipError(message)
    steepest = max(_steepness(left, right) for left, right in pairwise(best))
    while _steepness(best[0], best[1]) < LEVEL * steepest:
        best = best[1:]
    while _steepness(best[-2], best[-1]) < GENTLE * steepest:
        best = best[:-1]
    if best[-1] == surface[-1]:
        message = (
            f"surface must go on beyond the toe of the slope, which must stand on the ground (got {best[-1]} last)"
        )
        raise SlipError(message)
    return Slope(best[0], best[-1])


def _steepness(point: Point, other: Point) -> float:
    return (point[1] - other[1]) / (other[0] - point[0])


def _falls(surface: Line) -> list[list[Point]]:
    """The longest stretches without a rise that fall at all."""
    runs: list[list[Point]] = []
    run = [surface[0]]
    for left, right in pairwise(surface):
        if right[1] > left[1]:
            runs.append(run)
            run = []
        run.append(right)
    runs.append(run)
    return [run for run in runs if run[0][1] > run[-1][1]]
