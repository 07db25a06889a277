"""Zones of the fill: weights, thrust and side slope against integration over the height."""

import numpy as np
import pytest

from calc.formulas import quantities
from calc.formulas import stage_pressure as sp
from calc.formulas import zones as zo
from calc.formulas.ground import active_coefficient
from calc.formulas.loads import permanent_load, permanent_load_with_zones
from calc.formulas.slip_ground import lasting_pressure_with_zones
from calc.formulas.thrust import fill_thrust, slope_weight, traffic_thrust

approx = pytest.approx
BOTTOM, TOP, WEIGHT = np.array([0.0, 1.0]), np.array([1.0, 4.0]), np.array([20.0, 4.0])
"""1 m of 20, 3 m of 4, 1 m of 20 kN/m3 from the ground up: V5.6 of the file on fill zones, bank of 5 m."""


def integrated(friction: tuple[float, float]) -> float:
    """Thrust of V5.6 layer by layer with 10 kPa on the crest: friction of outer layers and of the core in degrees."""
    depth = (np.arange(500_000) + 0.5) * 1e-5
    gamma = np.where((depth > 1.0) & (depth < 4.0), 4.0, 20.0)
    phi = np.radians(np.where((depth > 1.0) & (depth < 4.0), friction[1], friction[0]))
    vertical = 10.0 + np.cumsum(gamma) * 1e-5 - gamma * 0.5e-5
    return float(np.sum(np.tan(np.pi / 4 - phi / 2) ** 2 * vertical) * 1e-5)


def thrust(phi: float) -> float:
    thickness = zo.zone_thickness_above(0.0, BOTTOM, TOP, 0.0, 5.0)
    middle = zo.zone_middle(0.0, BOTTOM, TOP, 0.0, 5.0)
    gamma = zo.thrusting_unit_weight(20.0, WEIGHT, thickness, middle, 5.0)
    K = active_coefficient(np.radians(phi))
    return float(np.squeeze(fill_thrust(K, gamma, 5.0) + traffic_thrust(K, 10.0, 5.0)))


def test_thrust_of_zones_reproduces_the_verification_values() -> None:
    """V5.6, computed once: 55.511 kN/m with 35, 30 and 35 degrees, 81.297 kN/m for a homogeneous fill; the one
    coefficient of the least friction lies above, that of the same friction everywhere is the integral."""
    assert integrated((35.0, 30.0)) == approx(55.511, abs=2e-3)
    homogeneous = fill_thrust(active_coefficient(np.radians(35.0)), 20.0, 5.0)
    assert homogeneous + traffic_thrust(active_coefficient(np.radians(35.0)), 10.0, 5.0) == approx(81.297, abs=5e-4)
    assert thrust(35.0) == approx(integrated((35.0, 35.0)), rel=1e-5)
    assert thrust(30.0) == approx(integrated((30.0, 30.0)), rel=1e-5)
    assert 55.511 < thrust(30.0)


def test_weights_of_zones_are_in_equilibrium_with_their_strips() -> None:
    """Pressure at the base of every stage height, level by level."""
    for height in (0.0, 0.5, 2.5, 5.0):
        levels = (np.arange(50_000) + 0.5) * 1e-4
        gamma = np.where((levels > 1.0) & (levels < 4.0), 4.0, 20.0)
        weight = float(gamma[levels < height].sum()) * 1e-4
        thickness = zo.zone_thickness(BOTTOM, TOP, height)
        more = float(np.squeeze(zo.pressure_of_zones(zo.zone_pressure(WEIGHT, 19.0, thickness))))
        own = float(np.where(levels < height, np.where(levels < 4.0, 0.0, 20.0 - 19.0), 0.0).sum()) * 1e-4

        assert 19.0 * height + more + own == approx(weight, abs=1e-6)
        assert permanent_load_with_zones(19.0, 1.0, height, 0.0, 9.0, more, 3.0, 2.0) == approx(
            permanent_load(19.0, 1.0, height, 0.0, 9.0, 3.0, 2.0) + more
        )
        assert sp.permanent_pressure_with_zones(19.0, height, more, 3.0) == approx(19.0 * height + more + 3.0)
        assert lasting_pressure_with_zones(19.0, height, more, 20.0, 0.5) == approx(19.0 * height + more + 10.0)


def test_lifts_with_zones_add_up_to_the_whole() -> None:
    """Pressures of three lifts with factors 1.35 and 1.0 against that of the whole fill."""
    heights, zones = np.array([0.0, 1.5, 3.0, 5.0]), np.array([0.0, -7.5, -30.0, -48.0])
    lifts = sp.pressure_of_lift_with_zones(1.35, 19.0, heights[1:], heights[:-1], 1.0, zones[1:], zones[:-1])

    assert lifts.sum() == approx(sp.embankment_pressure_with_zones(1.35, 19.0, 5.0, 1.0, -48.0, 1.5, 0.0))
    assert (lifts > 0).all()


def test_side_slope_weighs_as_its_zones_by_integration() -> None:
    levels = (np.arange(500_000) + 0.5) * 1e-5
    gamma = np.where((levels > 1.0) & (levels < 4.0), 4.0, 20.0)
    thickness, middle = (
        one(0.0, BOTTOM, TOP, 0.0, 5.0) for one in (zo.zone_thickness_above, zo.zone_middle)
    )  # fmt: skip
    equal = zo.holding_unit_weight(20.0, WEIGHT, thickness, middle, 5.0)

    assert slope_weight(float(np.squeeze(equal)), 2.0, 5.0) == approx(
        float((gamma * 2.0 * (5.0 - levels)).sum()) * 1e-5, rel=1e-6
    )


def test_zone_of_equal_fill_is_none_to_all_digits() -> None:
    equal = np.array([19.0, 19.0])
    thickness, middle = (one(0.5, BOTTOM, TOP, 0.0, 5.5) for one in (zo.zone_thickness_above, zo.zone_middle))

    assert float(np.squeeze(zo.thrusting_unit_weight(19.0, equal, thickness, middle, 5.5))) == 19.0
    assert float(np.squeeze(zo.holding_unit_weight(19.0, equal, thickness, middle, 5.5))) == 19.0
    assert float(np.squeeze(zo.pressure_of_zones(zo.zone_pressure(equal, 19.0, np.array([1.0, 3.0]))))) == 0.0
    assert float(np.squeeze(zo.thrusting_unit_weight(19.0, WEIGHT, thickness, middle, 0.0))) == 19.0


def test_parts_of_zones_above_a_level_and_at_positions_by_hand() -> None:
    """Platform 0.5 m on the ground at 1 m, reinforcement at 2 m, crest 4 m above it; zone from 0 to 1 m above the
    platform: its upper half of 0.5 m lies above the layer, the middle 0.25 m up."""
    assert zo.level_of_thrust(1.0, 2.0) == 1.0
    assert zo.level_of_thrust(1.0, 0.6) == approx(0.6)
    assert zo.zone_thickness_above(1.5, 0.0, 1.0, 2.0, 4.0) == approx(0.5)
    assert zo.zone_middle(1.5, 0.0, 1.0, 2.0, 4.0) == approx(0.25)
    assert zo.half_height(5.0) == approx(2.5)
    assert zo.pressure_of_zones_at_position(np.array([1.0, 0.5]), -48.0, -20.0) == approx([-48.0, -20.0])


def test_volumes_of_zones_agree_with_integration_over_the_height() -> None:
    """A berm of 1.5 m by 6 m and 1:3 beside slopes of 1:2; zones from 1 to 4 m and from 2 to 3 m, 100 m long."""
    levels = (np.arange(60_000) + 0.5) * 1e-4
    width = 12.0 + 4.0 * (6.0 - levels)
    beyond = np.where(levels < 1.5, 6.0 + 1.0 * (1.5 - levels), 0.0)
    for bottom, top in ((1.0, 4.0), (2.0, 3.0)):
        inside = (levels > bottom) & (levels < top)
        assert quantities.zone_volume(100.0, 12.0, 2.0, 2.0, 6.0, bottom, top) == approx(
            100.0 * width[inside].sum() * 1e-4, rel=1e-6
        )
        assert quantities.zone_volume_in_berm(100.0, 6.0, 3.0, 2.0, 1.5, bottom, top) == approx(
            100.0 * beyond[inside].sum() * 1e-4, rel=1e-6
        )


def test_height_of_a_zone_above_water_by_hand() -> None:
    """Platform at +1.2 m, zone from 0.8 m up, flood at +1.5 m: half a metre is left."""
    assert zo.height_above_water(1.2, 0.8, 1.5) == pytest.approx(0.5)


def test_fill_at_a_place_below_the_side_slope_by_hand() -> None:
    """Bank of 6 m, crest 12 m, slope 1:2: 8 m from the axis 5 m are left, in a stage of 2 m these, beyond the toe none.
    Of 19 with a core from 1 to 4 m of 8 there: 5·19 − 3·11 − 6·19."""
    assert zo.height_at_place(6.0, 6.0, np.array([0.0, 8.0, 20.0]), 12.0, 2.0) == approx([6, 5, 0])
    assert zo.height_at_place(2.0, 6.0, 8.0, 12.0, 2.0) == approx(2)
    more = zo.zone_pressure_at_place(np.array([1.0]), 8.0, 19.0, np.array([3.0]))
    assert float(np.squeeze(zo.pressure_at_place(19.0, 5.0, 6.0, more))) == approx(-19 - 33)
    assert zo.zone_pressure_at_place(0.0, 8.0, 19.0, 3.0) == 0.0
    assert zo.pressure_of_lift_at_place(-33.0, -11.0) == approx(-22)


def test_no_place_has_more_under_a_lift_than_largest_lift_and_largest_whole() -> None:
    """Drawn places with any share of the lift not below that of what lies: the bound holds and is met by one place."""
    random = np.random.default_rng(7)
    for _ in range(200):
        before, after = random.uniform(-40, 10, (2, 5))
        share = random.uniform(0.2, 1.0)
        lift = share + (1 - share) * random.uniform()
        whole = float(after.max())
        below = zo.pressure_below_lift(whole, float(zo.pressure_of_lift_at_place(after, before).max()))
        bound = share * below + lift * (whole - below)

        assert (share * before + lift * (after - before)).max() <= bound + 1e-9
    assert zo.pressure_below_lift(5.0, 5.0) == 0.0


def test_thickness_counts_whole_or_not() -> None:
    assert zo.bottom_of_what_thrusts(np.array([1.0, 0.0, 1.0]), 1.0, np.array([3.0, 3.0, 1.0])) == approx(
        [3.0, 1.0, 1.0]
    )
    assert zo.thickness_that_holds(np.array([1.0, 0.0]), 3.0) == approx([3.0, 0.0])


def test_volume_between_ends_agrees_with_integration_over_the_height() -> None:
    """Bank of 6 m, crest 12 m, slopes 1:2 and 1:3, 100 m long; ends beyond the axis, ends cut by the slope."""
    levels = (np.arange(60_000) + 0.5) * 1e-4
    for left, right, bottom, top in (
        (-8.0, 8.0, 1.0, 4.0), (2.0, 16.0, 0.5, 5.0), (-14.0, -3.0, 1.0, 3.0),
        (12.0, 24.0, 0.0, 6.0), (14.0, 24.0, 0.0, 6.0), (-18.0, -11.0, 0.0, 4.0),
    ):  # fmt: skip
        areas = []
        for end, run in ((-left, 2.0 if left < 0 else 3.0), (right, 3.0 if right > 0 else 2.0)):
            cut = quantities.height_where_slope_ends_zone(6.0, end, 12.0, run, bottom, top)
            areas.append(quantities.area_of_zone_beside_axis(end, cut, bottom, 12.0, run, 6.0, top))
        inside = (levels > bottom) & (levels < top)
        high, low = np.minimum(right, 6 + 3 * (6 - levels)), np.maximum(left, -6 - 2 * (6 - levels))

        assert quantities.volume_of_zone_between_ends(100.0, *areas) == approx(
            100.0 * np.maximum(high - low, 0.0)[inside].sum() * 1e-4, rel=1e-6
        )
