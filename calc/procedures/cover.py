"""Unit weight of a fill with zones over a layer of reinforcement."""

import numpy as np
from numpy.typing import ArrayLike, NDArray

Floats = NDArray[np.float64]


def least_mean_weight(
    cover: Floats, weight_of_fill: float, weights: ArrayLike, bottoms: ArrayLike, tops: ArrayLike
) -> Floats:
    """Least mean unit weight in kN/m³ of the fill from the layer up to any height within its cover.

    ``cover`` in m has any shape; ``own`` is the unit weight between the zones. Bottoms and tops of the zones in m count
    from the layer, negative below it; the zones do not overlap. The mean over a height is least at the end of a zone or
    of the cover. With this unit weight a cover that falls to nothing below a slope weighs no more than it does.
    """
    heavy, low, high = (np.asarray(argument, dtype=np.float64) for argument in (weights, bottoms, tops))
    least = np.full(cover.shape, np.inf)
    for end in (np.inf, *low.tolist(), *high.tolist()):
        height = np.clip(cover, 0.0, max(end, 0.0))
        inside = np.clip(np.minimum(high, height[..., None]) - np.maximum(low, 0.0), 0.0, None)
        pressure = weight_of_fill * height + np.sum((heavy - weight_of_fill) * inside, axis=-1)
        mean = np.divide(pressure, height, out=np.full(cover.shape, np.inf), where=height > 0)
        least = np.minimum(least, mean)
    return np.where(np.isinf(least), weight_of_fill, least)
