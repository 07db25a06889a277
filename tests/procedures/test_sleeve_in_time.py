"""The stiffness of the sleeve over time and the weights of the solutions with its three stiffnesses."""

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from calc.formulas.sleeve import stiffness_at_time
from calc.procedures.sleeve_in_time import Stiffness

ONE = Stiffness((1.0, 365.25, 36_525.0), (2500.0, 2300.0, 2000.0), 2250.0)
DAYS = (1.0, 20.0, 365.25, 1000.0, 36_525.0)


def test_stiffness_between_given_values_is_that_of_the_formula() -> None:
    first = stiffness_at_time(J_1=2500.0, J_2=2300.0, t=20.0, t_1=1.0, t_2=365.25)
    later = stiffness_at_time(J_1=2300.0, J_2=2000.0, t=1000.0, t_1=365.25, t_2=36_525.0)

    assert ONE.at(DAYS) == pytest.approx([2500.0, first, 2300.0, later, 2000.0])
    assert ONE.at([0.0, 1e6]) == pytest.approx([2500.0, 2000.0])


@given(st.floats(2000.0, 2500.0), st.floats(-3, 3), st.floats(-3, 3))
def test_weights_follow_a_parabola_and_meet_the_solutions(at: float, slope: float, bend: float) -> None:
    def law(stiffness: float) -> float:
        x = stiffness / 1000
        return 5 + slope * x + bend * x**2

    weights = ONE.weights([at])[:, 0]

    assert weights.sum() == pytest.approx(1.0)
    assert weights @ [law(value) for value in ONE.cell_values] == pytest.approx(law(at))
    assert ONE.weights(ONE.cell_values) == pytest.approx(np.eye(3), abs=1e-12)


@pytest.mark.parametrize("near", [2500.0, 2498.0, 2000.0])
def test_solutions_near_to_one_another_are_joined_by_straight_lines(near: float) -> None:
    one = Stiffness((1.0, 36_525.0), (2500.0, 2000.0), near)

    assert one.weights([2250.0]).T @ [2500.0, near, 2000.0] == pytest.approx([2250.0])
    assert (one.weights([2500.0, 2400.0, 2000.0]) >= 0).all()


def test_stiffness_that_does_not_fall_needs_no_weights_but_those_of_the_end() -> None:
    one = Stiffness((1.0, 36_525.0), (2500.0, 2500.0), 2500.0)

    assert one.weights([2500.0])[:, 0] == pytest.approx([0.0, 1.0, 0.0])
    assert one.creep_share([100.0, 500.0, 37_000.0], 500.0, 37_000.0) == pytest.approx([0.0, 0.0, 1.0])


def test_creep_begins_with_the_hand_over_and_is_complete_at_the_end_of_life() -> None:
    days = np.array([100.0, 500.0, 2000.0, 10_000.0, 37_000.0, 50_000.0])
    share = ONE.creep_share(days, 500.0, 37_000.0)

    assert share[[0, 1, 4, 5]] == pytest.approx([0.0, 0.0, 1.0, 1.0])
    assert (np.diff(share[1:5]) > 0).all()
    # A design life shorter than the time that the last stiffness is given for ends with all of the creep, too.
    assert ONE.creep_share([18_000.0], 500.0, 18_000.0) == pytest.approx([1.0])
