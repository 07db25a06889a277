"""Division of the soft layers into sublayers that lie in one layer and on one side of every water level."""

from collections.abc import Sequence
from dataclasses import dataclass
from itertools import pairwise
from math import ceil

from calc.engine.levels import above

THINNEST_IN_CENTIMETRES = 0.02  # m; thinner sublayers need more digits to be told apart
ROUNDING = 1e-6  # parts; a whole number of parts but for rounding error is not divided once more


@dataclass(frozen=True)
class Sublayers:
    """Sublayers from the ground level down: the layer each belongs to, its top and bottom depth in m."""

    layer: tuple[int, ...]
    top: tuple[float, ...]
    bottom: tuple[float, ...]

    @property
    def thickness(self) -> tuple[float, ...]:
        """Thickness of each sublayer."""
        return tuple(bottom - top for top, bottom in zip(self.top, self.bottom, strict=True))

    @property
    def middle(self) -> tuple[float, ...]:
        """Depth of the middle of each sublayer."""
        return tuple((top + bottom) / 2 for top, bottom in zip(self.top, self.bottom, strict=True))

    def labels(self, keys: Sequence[str]) -> tuple[str, ...]:
        """Label of each sublayer from the key of its layer and its depth range; a sliver alone has more digits."""
        digits = (2 if thickness >= THINNEST_IN_CENTIMETRES else 6 for thickness in self.thickness)
        return tuple(
            f"{keys[layer]} {top:.{count}f}–{bottom:.{count}f} m"
            for layer, top, bottom, count in zip(self.layer, self.top, self.bottom, digits, strict=True)
        )


@dataclass(frozen=True)
class HeadZone:
    """Ground near the column heads that is divided more finely: down to ``depth``, parts of at most ``largest`` (m)."""

    depth: float
    largest: float


def divide(
    thickness: Sequence[float],
    water_depths: Sequence[float],
    largest: float,
    head: HeadZone | None = None,
    halvings: int = 0,
) -> Sublayers:
    """Cut layers at the water levels, then each piece into equal parts no thicker than ``largest`` (all in m).

    In the zone of the ``head`` the parts keep to its own thickness. Each of the ``halvings`` cuts every part in two.
    """
    layers: list[int] = []
    tops: list[float] = []
    bottoms: list[float] = []
    start = 0.0
    for index, part in enumerate(thickness):
        end = start + part
        cuts = sorted({start, end, *(d for d in water_depths if above(d, start) and above(end, d))})
        for upper, lower in pairwise(cuts):
            for top, bottom, most in _at_head(upper, lower, largest, head):
                parts = max(1, ceil((bottom - top) / most - ROUNDING)) * 2**halvings
                step = (bottom - top) / parts
                layers += [index] * parts
                tops += [top + k * step for k in range(parts)]
                bottoms += [top + (k + 1) * step for k in range(parts)]
        start = end
    return Sublayers(tuple(layers), tuple(tops), tuple(bottoms))


def _at_head(upper: float, lower: float, largest: float, head: HeadZone | None) -> list[tuple[float, float, float]]:
    """A piece, cut where the zone of the head ends unless a part thinner than in the zone would be left."""
    if head is None or head.largest >= largest or not above(head.depth, upper):
        return [(upper, lower, largest)]
    if lower - head.depth < head.largest:
        return [(upper, lower, head.largest)]
    return [(upper, head.depth, head.largest), (head.depth, lower, largest)]
