"""The straight line below given strengths: hand cases, a search over all lines, refusals."""

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from calc.procedures.failures import ProcedureError
from calc.procedures.strength_line import LEVEL, LITTLE, line_below

approx = pytest.approx


def test_one_layer_is_its_own_line() -> None:
    line = line_below([0.0, 6.0], [6.0, 13.2])

    assert [line.top, line.growth, line.least] == approx([6.0, 1.2, 6.0])


def test_peat_over_growing_clay_by_hand() -> None:
    """Peat 9 kPa to 2 m, clay 10 kPa growing by 1.2 to 6.5 m: the line through (2, 9) and (6.5, 15.4)."""
    line = line_below([0.0, 2.0, 2.0, 6.5], [9.0, 9.0, 10.0, 15.4])

    assert line.growth == approx(6.4 / 4.5)
    assert line.top == approx(9.0 - 2 * 6.4 / 4.5)
    assert line.least == 9.0


def test_weaker_layer_below_makes_the_line_level() -> None:
    line = line_below([0.0, 3.0, 3.0, 6.0], [20.0, 20.0, 8.0, 8.0])

    assert (line.top, line.growth, line.least) == (8.0, 0.0, 8.0)


def test_line_without_strength_at_the_top_is_level() -> None:
    line = line_below([0.0, 2.0, 2.0, 6.0], [5.0, 5.0, 5.0, 60.0])

    assert (line.top, line.growth) == (5.0, 0.0)


def test_a_strong_layer_below_takes_no_strength_from_the_top() -> None:
    """Mud of 6 kPa growing by 1 to 3 m, clay below it: the stronger the clay, the steeper the line through its ends."""
    lines = [line_below([0.0, 3.0, 3.0, 8.0], [6.0, 9.0, clay, clay + 6.0]) for clay in (9.0, 13.0, 14.6, 20.0)]

    assert [line.top for line in lines] == approx([5.4, 3.0, 6.0, 6.0])
    assert [line.growth for line in lines] == approx([1.2, 2.0, 1.0, 1.0])


def test_a_seam_of_the_same_strength_is_left_where_the_line_has_next_to_nothing_at_the_top() -> None:
    """Level peat of 5 kPa to 2 m: the line through the ends of the ground below has 1.1 and then 0.9 kPa at the top."""
    steep, level = (line_below([0.0, 1.0, 2.0, 2.0, 6.0], [7.0, 5.0, 5.0, 5.0, 5.0 + 4 * rise]) for rise in (1.4, 2.1))

    assert steep.top == approx(2.2)
    assert (level.top, level.growth) == (5.0, 0.0)


@given(st.lists(st.tuples(st.floats(0.5, 5.0), st.floats(3.0, 40.0), st.floats(0.0, 3.0)), min_size=1, max_size=5))
def test_line_lies_below_all_strengths_and_none_like_it_has_a_larger_mean(layers: list[tuple[float, ...]]) -> None:
    """Search over the slopes between all points: the highest line of each slope that stays below every one of them.

    Where one has a larger mean, it has little strength at the top.
    """
    depths, values, top = [], [], 0.0
    for thickness, strength, growth in layers:
        depths += [top, top + thickness]
        values += [strength, strength + growth * thickness]
        top += thickness
    line = line_below(depths, values)
    z, c = np.array(depths), np.array(values)
    slopes = np.array([0.0, *((d - b) / (y - x) for x, b in zip(z, c, strict=True)
                              for y, d in zip(z, c, strict=True) if y > x and d >= b)])  # fmt: skip
    tops = (c - slopes[:, None] * z).min(axis=1)
    means = tops + slopes * z[-1] / 2
    best = means.argmax()

    assert (line.top + line.growth * z <= c + 1e-9).all()
    assert line.top >= LEVEL * c.min()
    if means[best] > line.top + line.growth * z[-1] / 2 + 1e-9:
        assert tops[best] < max(LITTLE * line.top, LEVEL * c.min()) + 1e-9
    assert line.least == c.min()


@pytest.mark.parametrize(("depths", "strengths"), [([0.0, 2.0], [0.0, 4.0]), ([1.0, 1.0], [4.0, 4.0])])
def test_impossible_strengths_are_refused(depths: list[float], strengths: list[float]) -> None:
    with pytest.raises(ProcedureError, match="line of undrained strength"):
        line_below(depths, strengths)
