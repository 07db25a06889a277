"""Where slip surfaces are searched, by hand: crest 20 m wide 4 m over ground at 1 m, soft layer from −1 m to −3 m."""

from math import radians, tan

import pytest

from calc.formulas import slip_search as ss

approx = pytest.approx


def test_levels_that_circles_reach_by_hand() -> None:
    assert ss.level_of_entry(1.0, 0.1) == approx(0.9)
    assert ss.highest_level_within_fill(5.0, 2.0) == approx(3.0)


def test_planes_of_sliding_lie_within_the_soft_layer() -> None:
    top, bottom = ss.plane_at_top(-1.0, 0.02), ss.plane_at_bottom(-3.0, 0.02)

    assert (top, bottom) == (approx(-1.02), approx(-2.98))


def test_plane_on_the_reinforcement_lies_above_the_ground() -> None:
    assert ss.plane_on_reinforcement(1.3, 1.0, 0.02) == 1.3
    assert ss.plane_on_reinforcement(0.8, 1.0, 0.02) == approx(1.02)


@pytest.mark.parametrize("angle", [5.0, 25.0, 40.0])
def test_friction_angle_on_the_layer_has_its_coefficient_as_tangent(angle: float) -> None:
    assert ss.friction_angle_on_layer(tan(radians(angle))) == approx(radians(angle), rel=1e-12)


def test_ends_of_blocks_by_hand_and_alike_on_both_sides() -> None:
    assert ss.left_innermost_end(-10.0, 0.45, 10.0) == approx(-1.0)
    assert ss.right_innermost_end(10.0, 0.45, -10.0) == approx(1.0)
    assert ss.left_outermost_end(-18.0, 0.3, 30.0) == approx(-27.0)
    assert ss.right_outermost_end(18.0, 0.3, 30.0) == approx(27.0)
