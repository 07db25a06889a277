"""Settlement along the alignment by hand."""

import pytest
from hypothesis import given
from hypothesis import strategies as st

from calc.formulas import alignment as al

SETTLEMENT = st.floats(0.0, 2.0)


@pytest.mark.parametrize(
    ("here", "there", "length", "gradient"),
    [(0.12, 0.02, 20.0, 1 / 200), (0.02, 0.12, 20.0, 1 / 200), (0.1, 0.1, 5.0, 0.0), (0.05, 0.0, 1.0, 1 / 20)],
)
def test_angular_distortion_is_difference_over_distance(
    here: float, there: float, length: float, gradient: float
) -> None:
    """Definition of Skempton and MacDonald (1956), from memory: differential settlement over the distance."""
    assert al.change_of_gradient(here, there, length) == pytest.approx(gradient)


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
