"""Division of the soft layers into sublayers."""

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from calc.procedures.sublayers import HeadZone, divide

approx = pytest.approx

METRES = st.floats(0.05, 12.0)


def test_layers_are_cut_at_the_water_and_into_equal_parts() -> None:
    done = divide([2.0, 3.0], [0.5], 1.0)

    assert done.layer == (0, 0, 0, 1, 1, 1)
    assert done.top == approx((0.0, 0.5, 1.25, 2.0, 3.0, 4.0))
    assert done.bottom == approx((0.5, 1.25, 2.0, 3.0, 4.0, 5.0))
    assert done.middle == approx((0.25, 0.875, 1.625, 2.5, 3.5, 4.5))
    assert done.labels(["peat", "clay"])[2:4] == ("peat 1.25–2.00 m", "clay 2.00–3.00 m")


def test_sliver_alone_has_the_digits_that_tell_it_apart() -> None:
    done = divide([2.0, 0.0004, 1.0], [], 2.0)

    assert done.labels(["crust", "peat", "clay"]) == (
        "crust 0.00–2.00 m", "peat 2.000000–2.000400 m", "clay 2.00–3.00 m",
    )  # fmt: skip


def test_water_above_the_ground_below_the_layers_or_on_a_boundary_cuts_nothing() -> None:
    assert divide([2.0, 3.0], [-1.0, 7.0, 2.0, 2.0 + 1e-9, 0.0], 5.0) == divide([2.0, 3.0], [], 5.0)


def test_thickness_that_is_a_whole_number_of_parts_is_not_divided_once_more() -> None:
    """3 m in parts of 0.1 m are 30 parts, although 3.0/0.1 is 30.000000000000004 for the machine's nearest numbers."""
    assert len(divide([3.0], [], 0.1).layer) == 30


@given(st.lists(METRES, min_size=1, max_size=6), st.lists(st.floats(-2.0, 30.0), max_size=4), st.floats(0.2, 3.0))
def test_sublayers_fill_the_layers_without_gap_and_keep_to_one_side_of_the_water(
    thickness: list[float], water: list[float], largest: float
) -> None:
    done = divide(thickness, water, largest)

    assert sum(done.thickness) == approx(sum(thickness), rel=1e-12)
    assert done.top[1:] == approx(done.bottom[:-1], rel=1e-12)
    assert max(done.thickness) <= largest * (1 + 1e-5)
    assert min(done.thickness) > 0
    for index in range(len(thickness)):
        own = [part for part, layer in zip(done.thickness, done.layer, strict=True) if layer == index]
        assert sum(own) == approx(thickness[index], rel=1e-9)
    for depth in water:
        inside = (np.array(done.top) + 1.1e-3 < depth) & (depth < np.array(done.bottom) - 1.1e-3)
        assert not inside.any()


def test_sublayers_near_the_head_are_no_thicker_than_half_a_diameter_over_two() -> None:
    """Columns of 0.8 m: the depth at which the rule ends is a cut, unless it would leave a thinner part."""
    done = divide([6.0], [], 1.0, HeadZone(1.6, 0.4))

    assert done.top == approx((0.0, 0.4, 0.8, 1.2, 1.6, 2.48, 3.36, 4.24, 5.12))
    assert divide([1.7], [], 1.0, HeadZone(1.6, 0.4)).thickness == approx([0.34] * 5)
    assert divide([6.0], [], 0.3, HeadZone(1.6, 0.4)) == divide([6.0], [], 0.3)
    assert divide([6.0], [], 1.0, HeadZone(-0.1, 0.4)) == divide([6.0], [], 1.0)


@given(st.lists(METRES, min_size=1, max_size=4), st.floats(0.2, 3.0), st.floats(-0.5, 4.0), st.floats(0.2, 0.8))
def test_halved_sublayers_are_those_before_cut_in_two(
    thickness: list[float], largest: float, depth: float, near: float
) -> None:
    whole = divide(thickness, [0.7], largest, HeadZone(depth, near))
    halved = divide(thickness, [0.7], largest, HeadZone(depth, near), halvings=1)

    assert halved.top[::2] == approx(whole.top, rel=1e-12, abs=1e-12)
    assert halved.bottom[1::2] == approx(whole.bottom, rel=1e-12)
    assert halved.top[1::2] == approx(whole.middle, rel=1e-12)
    inside = [t for t, top in zip(whole.thickness, whole.top, strict=True) if top < depth - 1.1e-3]
    assert max(inside, default=0.0) <= near * (1 + 1e-5)
