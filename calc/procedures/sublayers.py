"""Division of the soft layers into sublayers that lie in one layer and on one side of every water level."""

from collections.abc import Sequence
from dataclasses import dataclass
from itertools import pairwise
from math import ceil

from calc.levels import above

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
        """Label of each sublayer from the key of its layer and its depth range."""
        digits = 2 if min(self.thickness) >= THINNEST_IN_CENTIMETRES else 6
        return tuple(
            f"{keys[layer]} {top:.{digits}f}–{bottom:.{digits}f} m"
            for layer, top, bottom in zip(self.layer, self.top, self.bottom, strict=True)
        )


def divide(thickness: Sequence[float], water_depths: Sequence[float], largest: float) -> Sublayers:
    """Cut layers at the water levels, then each piece into equal parts no thicker than ``largest`` (all in m)."""
    layers: list[int] = []
    tops: list[float] = []
    bottoms: list[float] = []
    start = 0.0
    for index, one in enumerate(thickness):
        end = start + one
        cuts = sorted({start, end, *(d for d in water_depths if above(d, start) and above(end, d))})
        for upper, lower in pairwise(cuts):
            parts = max(1, ceil((lower - upper) / largest - ROUNDING))
            step = (lower - upper) / parts
            layers += [index] * parts
            tops += [upper + k * step for k in range(parts)]
            bottoms += [upper + (k + 1) * step for k in range(parts)]
        start = end
    return Sublayers(tuple(layers), tuple(tops), tuple(bottoms))
