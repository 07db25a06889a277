"""Least mean unit weight of zones over a layer: by hand, and never above the mean pressure below a slope."""

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from calc.procedures.cover import least_mean_weight

approx = pytest.approx


def test_light_core_counts_by_its_share_of_the_cover_by_hand() -> None:
    """Core of 8 from 0.8 to 3.8 m in fill of 19; covers of 0, 0.5, 1.8 and 6 m, least at the top of the core."""
    found = least_mean_weight(np.array([0.0, 0.5, 1.8, 6.0]), 19.0, [8.0], [0.8], [3.8])

    assert found == approx([19.0, 19.0, (0.8 * 19 + 8) / 1.8, (0.8 * 19 + 3 * 8) / 3.8])


def test_heavy_zone_above_or_below_the_layer_helps_no_more_than_it_weighs() -> None:
    """A drain of 21 from 0.4 m below the layer to 0.3 m above it; a capping of 22 from 3 m on."""
    found = least_mean_weight(np.array([0.3, 1.0, 4.0]), 19.0, [21.0, 22.0], [-0.4, 3.0], [0.3, 4.0])

    assert found == approx([21.0, (0.3 * 21 + 0.7 * 19) / 1.0, (0.3 * 21 + 2.7 * 19) / 3.0])


@given(
    st.lists(st.floats(0.1, 2.0), min_size=4, max_size=4), st.lists(st.floats(4.0, 24.0), min_size=2, max_size=2),
    st.floats(0.1, 6.0), st.floats(0.0, 1.0),
)  # fmt: skip
def test_mean_pressure_below_a_slope_is_not_exceeded(
    steps: list[float], weights: list[float], cover: float, share: float
) -> None:
    """The cover falls from its full height to a share of it: pressures integrated at 2001 places."""
    ends = np.cumsum(steps)
    low, high = ends[::2], ends[1::2]
    heights = np.linspace(cover, share * cover, 2001)
    inside = np.clip(np.minimum(high, heights[:, None]) - low, 0.0, None)
    pressure = float(np.mean(19.0 * heights + inside @ (np.array(weights) - 19.0)))

    assert least_mean_weight(np.array(cover), 19.0, weights, low, high) * np.mean(heights) <= pressure * (1 + 1e-9)
