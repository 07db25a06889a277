"""Settlement along the alignment by hand."""

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from calc.formulas import alignment as al

SETTLEMENT = st.floats(0.0, 2.0)


@pytest.mark.parametrize(
    ("here", "there", "length", "gradient"),
    [(0.12, 0.02, 20.0, 1 / 100), (0.02, 0.12, 20.0, 1 / 100), (0.1, 0.1, 5.0, 0.0), (0.05, 0.0, 1.0, 1 / 10)],
)
def test_gradient_is_twice_the_difference_over_the_length(
    here: float, there: float, length: float, gradient: float
) -> None:
    """Twice the mean slope: the angular distortion of Skempton and MacDonald (1956), from memory, is the mean."""
    assert al.change_of_gradient(here, there, length) == pytest.approx(gradient)


@pytest.mark.parametrize(("length", "gradient", "radius"), [(48.0, 0.005, 4800.0), (24.0, 0.010, 1200.0)])
def test_two_parabolas_over_a_transition(length: float, gradient: float, radius: float) -> None:
    """A difference of 0.12 m: g = 2Δs/L and R = L²/(4Δs), by hand."""
    assert al.change_of_gradient(0.14, 0.02, length) == pytest.approx(gradient)
    assert al.radius_of_curvature(length, gradient) == pytest.approx(radius)
    assert radius == pytest.approx(length**2 / (4 * 0.12))


def test_gradient_and_radius_are_those_of_the_curve() -> None:
    """Two parabolas of 0.12 m over 48 m sampled finely: greatest slope and both curvatures by differences."""
    x = np.linspace(0.0, 48.0, 4801)
    t = x / 48
    s = 0.12 * np.where(t < 0.5, 2 * t**2, 1 - 2 * (1 - t) ** 2)
    slope = np.gradient(s, x)
    gradient = float(al.change_of_gradient(0.12, 0.0, 48.0))

    assert slope.max() == pytest.approx(gradient, rel=1e-3)
    assert slope[[1, -2]] == pytest.approx(0.0, abs=1e-5)
    bend = np.gradient(slope, x)[[1200, 3600]]
    assert 1 / bend == pytest.approx(np.array([1.0, -1.0]) * float(al.radius_of_curvature(48.0, gradient)))


@given(SETTLEMENT, SETTLEMENT, SETTLEMENT, st.floats(1.0, 100.0))
def test_what_settles_alike_on_both_sides_bends_nothing(here: float, there: float, more: float, length: float) -> None:
    """The gradient follows from the difference alone, from either side, and is half as large over twice the length."""
    gradient = al.change_of_gradient(here, there, length)

    assert gradient == pytest.approx(al.change_of_gradient(here + more, there + more, length), abs=1e-12)
    assert gradient == pytest.approx(al.change_of_gradient(there, here, length))
    assert gradient == pytest.approx(2 * al.change_of_gradient(here, there, 2 * length))


def test_ground_below_the_toes_settles_once() -> None:
    """20 mm below the toes, 5 mm of it residual: both parts together are 20 mm."""
    before, later = al.hand_over_with_ground_below(0.2, 0.02, 0.005), al.later_with_ground_below(0.1, 0.005)

    assert (before, later) == (pytest.approx(0.215), pytest.approx(0.105))
    assert before + later == pytest.approx(0.3 + 0.02)
