"""Places of a cross-section and what a slip model is made of, by hand.

6 m of fill on 0.5 m of platform, crest 20 m, slopes 1:2 on the left and 1:3 on the right, ground at 1 m, 7 m of soft
ground, 0.5 m of embedment; stage of 3 m.
"""

from math import atan, radians, tan

import numpy as np
import pytest

from calc.formulas import extrusion, loads, places, reinforcement, stage_pressure
from calc.formulas import slip_ground as sg
from calc.formulas.squeezing import width_of_berm

approx = pytest.approx


def test_levels_of_crest_platform_and_toes_by_hand() -> None:
    assert places.platform_level(1.0, 0.5) == approx(1.5)
    assert places.height_over_ground(3.0, 0.5) == approx(3.5)
    assert places.crest_of_stage(1.0, 3.5) == approx(4.5)
    assert places.bearing_layer_level(1.0, 7.0) == approx(-6.0)
    assert places.toe_level(-6.0, 0.5) == approx(-6.5)


def test_toes_edges_and_columns_by_hand() -> None:
    assert places.left_toe(20.0, 2.0, 6.5) == approx(-23.0)
    assert places.right_toe(20.0, 3.0, 6.5) == approx(29.5)
    assert places.left_crest_edge(-23.0, 2.0, 3.5) == approx(-16.0)
    assert places.right_crest_edge(29.5, 3.0, 3.5) == approx(19.0)
    assert places.left_columns(20.0, 4.0) == approx(-14.0)
    assert places.right_columns(20.0, 5.0) == approx(15.0)


def test_ground_looked_at_reaches_beyond_toes_and_columns_by_hand() -> None:
    beside = places.width_beside(4.5, -6.5)

    assert beside == approx(33.0)
    assert places.left_side(-23.0, -14.0, beside) == approx(-56.0)
    assert places.left_side(-23.0, -50.0, beside) == approx(-61.0)
    assert places.right_side(29.5, 15.0, beside) == approx(62.5)
    assert places.right_side(29.5, 60.0, beside) == approx(71.0)


def test_final_crest_edges_lie_at_half_the_crest() -> None:
    assert places.left_crest_edge(places.left_toe(20.0, 2.0, 6.5), 2.0, 6.5) == approx(-10.0)
    assert places.right_crest_edge(places.right_toe(20.0, 3.0, 6.5), 3.0, 6.5) == approx(10.0)


def test_weights_and_loads_of_the_slip_model_by_hand() -> None:
    assert sg.weight_in_slip_analysis(1.35, 20.0) == approx(27.0)
    assert sg.weight_with_compensation_fill(20.0, 7.0, 3.5) == approx(22.0)
    assert sg.lasting_pressure(20.0, 3.0, 18.0, 0.5) == approx(69.0)
    assert sg.lasting_share(69.0, 0.0) == 1
    assert sg.lasting_share(69.0, 23.0) == approx(0.75)
    assert sg.load_on_crest(1.0, 30.0, 12.0) == approx(42.0)
    assert sg.load_on_crest(0.0, 30.0, 0.0) == 0
    assert loads.more_compensation_fill(20.0, 0.9, 0.8) == approx(2.0)


def test_places_of_the_slip_model_by_hand() -> None:
    """At the top of the platform, 0.5 of 3.5 m up, the face lies 0.5 m times its slope inside the toe."""
    assert sg.bottom_of_surfaces(-6.5, 3.0) == approx(-9.5)
    assert sg.left_face_at_platform(-23.0, -16.0, 3.0, 3.5) == approx(-22.0)
    assert sg.right_face_at_platform(29.5, 19.0, 3.0, 3.5) == approx(28.0)
    assert sg.left_end_of_gain(-14.0, -23.0, -16.0) == approx(-14.0)
    assert sg.left_end_of_gain(-22.0, -23.0, -16.0) == approx(-19.5)
    assert sg.right_end_of_gain(15.0, 29.5, 19.0) == approx(15.0)
    assert sg.right_end_of_gain(28.0, 29.5, 19.0) == approx(24.25)


def test_ends_of_a_layer_by_hand() -> None:
    """1 m over the ground: its anchorage of 1.5 m ends it on the left, the face of the slope on the right."""
    assert sg.layer_over_ground(2.0, 1.0) == approx(1.0)
    assert sg.layer_over_ground(0.8, 1.0) == 0
    assert sg.left_face_at_layer(-23.0, -16.0, 1.0, 3.5) == approx(-21.0)
    assert sg.right_face_at_layer(29.5, 19.0, 1.0, 3.5) == approx(26.5)
    assert sg.left_end_of_layer(-14.0, 1.5, -21.0) == approx(-15.5)
    assert sg.right_end_of_layer(26.0, 1.5, 26.5) == approx(26.5)


def test_friction_of_a_layer_by_hand() -> None:
    friction = sg.friction_at_layer(0.8, atan(tan(radians(32.5)) / 1.25))

    assert friction == approx(0.8 * tan(radians(32.5)) / 1.25)
    assert sg.pull_out_friction_of_layer(0.8, friction) == approx(0.8 * friction)
    assert sg.pull_out_divisor(1.1, 1.3, 1.0) == approx(1.43)
    assert reinforcement.strain_of_counted_tension(120.0, 2400.0) == approx(0.05)


def test_thin_ground_and_what_lies_below_the_reinforcement_by_hand() -> None:
    assert extrusion.run_of_thin_ground(4.0) == approx(16.0)
    assert extrusion.growth_over_thickness(1.5, 4.0) == approx(6.0)
    assert extrusion.fast_growth(3.0) == approx(6.0)
    assert stage_pressure.height_below_reinforcement(1.5, 1.0) == approx(0.5)
    assert stage_pressure.height_below_reinforcement(0.9, 1.0) == 0


def test_tops_of_layers_lie_below_the_ground_by_their_depths() -> None:
    assert sg.level_of_layer_top(1.2, 3.5) == approx(-2.3)
    assert sg.level_of_layer_top(1.2, 0.0) == 1.2


def test_berms_by_hand() -> None:
    """Platform 0.5 m, berm of 1.5 m by 6 m and 1:3 beside a slope of 1:2 whose toe is at 20 m: its top meets the slope
    2 m up. Its area is that of the corners by the shoelace formula."""
    top = places.top_of_right_berm(1.7, 1.5)
    inner = places.inner_end_of_right_berm(20.0, 2.0, 1.5, 0.5)
    edge = places.edge_of_right_berm(inner, 6.0)
    toe = places.toe_of_right_berm(edge, 3.0, 1.5, 0.5)

    assert (top, inner, edge, toe) == approx((3.2, 16.0, 22.0, 28.0))
    corners = np.array([(20.0, 0.0), (inner, 2.0), (edge, 2.0), (toe, 0.0)])
    x, y = corners.T
    area = abs(float(np.dot(x, np.roll(y, -1)) - np.dot(y, np.roll(x, -1)))) / 2
    assert places.area_of_right_berm(1.0, 6.0, 1.5, 0.5, 3.0, 2.0) == approx(area)
    assert places.area_of_right_berm(0.0, 6.0, 1.5, 0.5, 3.0, 2.0) == 0
    assert places.height_of_berm(np.array([0.0, 1.0]), 1.5) == approx([0.0, 1.5])
    assert width_of_berm(6.0, 3.0, 1.5) == approx(8.25)


def test_area_of_a_berm_and_its_lower_one_is_that_of_all_corners() -> None:
    """The berm of the test above, and 0.5 m by 3 m and 1:4 beside its slope, by the shoelace formula."""
    inner = places.inner_end_of_right_berm(28.0, 3.0, 0.5, 0.5)
    edge = places.edge_of_right_berm(inner, 3.0)
    toe = places.toe_of_right_berm(edge, 4.0, 0.5, 0.5)
    corners = np.array([(20.0, 0.0), (16.0, 2.0), (22.0, 2.0), (inner, 1.0), (edge, 1.0), (toe, 0.0)])
    x, y = corners.T
    area = abs(float(np.dot(x, np.roll(y, -1)) - np.dot(y, np.roll(x, -1)))) / 2
    parts = (
        places.area_of_right_berm(1.0, 6.0, 1.5, 0.5, 3.0, 2.0), places.area_of_right_berm(1.0, 3.0, 0.5, 0.5, 4.0, 3.0)
    )  # fmt: skip

    assert places.area_of_both_berms(*parts) == approx(area)


def test_left_berm_is_the_mirror_image_of_the_right_one() -> None:
    assert places.top_of_left_berm(1.7, 1.5) == places.top_of_right_berm(1.7, 1.5)
    inner = places.inner_end_of_left_berm(-20.0, 2.0, 1.5, 0.5)
    edge = places.edge_of_left_berm(inner, 6.0)

    assert (inner, edge, places.toe_of_left_berm(edge, 3.0, 1.5, 0.5)) == approx((-16.0, -22.0, -28.0))
    assert places.area_of_left_berm(1.0, 6.0, 1.5, 0.5, 3.0, 2.0) == places.area_of_right_berm(
        1.0, 6.0, 1.5, 0.5, 3.0, 2.0
    )
