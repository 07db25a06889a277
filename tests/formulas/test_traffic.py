"""Strips of rail and road load: pressure at the column heads by two methods, thrust at the crest edge."""

import numpy as np
import pytest
from numpy.typing import NDArray

from calc.formulas import traffic as tr
from calc.formulas.ground import active_coefficient
from calc.formulas.thrust import traffic_thrust

approx = pytest.approx
LM71 = 250.0 / 1.6  # kN/m, four axles of 250 kN at 1.6 m, EN 1991-2:2003, 6.3.2, from memory


def elastic(x: float, z: float, *axes: float, width: float = 3.0, p: float = LM71 / 3.0) -> float:
    """Sum of strips of 3 m at a place and depth."""
    at = np.array(axes)
    left, right = (step(x, at, width) for step in (tr.distance_from_left_edge, tr.distance_from_right_edge))
    return float(tr.elastic_pressure_of_strips(tr.elastic_pressure(1.0, p, tr.strip_influence(left, right, z)))[0])


def spread(x: float, z: float, slope: float, *, width: float = 3.0, p: float = LM71 / 3.0) -> float:
    return float(tr.spread_pressure(x, 0.0, tr.spread_width(width, slope, z), 1.0, p, width))


@pytest.mark.parametrize(
    ("line_load", "factor", "expected"),
    [(LM71, 1.0, 52.083), (LM71, 1.1, 57.292), (LM71, 1.21, 63.021), (LM71, 1.33, 69.271), (80.0, 1.0, 26.667),
     (133.0, 1.0, 44.333), (150.0, 1.0, 50.0)],
)  # fmt: skip
def test_pressure_of_a_track_reproduces_the_verification_values(
    line_load: float, factor: float, expected: float
) -> None:  # fmt: skip
    """V4.1, computed once: load classes over 3 m; 52.1 kPa for a factor of 1 stands in a public surcharge sheet."""
    assert tr.strip_pressure(factor, line_load, 3.0) == approx(expected, abs=5e-4)


@pytest.mark.parametrize(
    ("z", "strip", "two_to_one", "thirty_degrees"),
    [(1.0, 47.890, 39.06, 37.61), (3.0, 28.636, 26.04, 24.17), (5.0, 18.790, 19.53, 17.81)],
)
def test_one_track_reproduces_the_verification_values(
    z: float, strip: float, two_to_one: float, thirty_degrees: float
) -> None:  # fmt: skip
    """V4.2, computed once, under the axis: the even spread is less than the elastic peak down to 3 or 4 m."""
    assert elastic(0.0, z, 0.0) == approx(strip, abs=5e-4)
    assert spread(0.0, z, 0.5) == approx(two_to_one, abs=5e-3)
    assert spread(0.0, z, np.tan(np.radians(30.0))) == approx(thirty_degrees, abs=5e-3)


@pytest.mark.parametrize(
    ("z", "axis", "between"),
    [(1.0, 48.418, 22.978), (3.0, 33.698, 34.118), (5.0, 26.533, 29.240), (7.0, 21.949, 23.915)],
)
def test_two_tracks_reproduce_the_verification_values(z: float, axis: float, between: float) -> None:
    """V4.3, computed once: tracks 4 m apart, both loaded, under an axis and between them."""
    assert elastic(2.0, z, -2.0, 2.0) == approx(axis, abs=5e-4)
    assert elastic(0.0, z, -2.0, 2.0) == approx(between, abs=5e-4)


@pytest.mark.parametrize(("z", "of_the_area", "thirty_degrees"), [(1.5, 55.61, 32.25), (3.0, 24.11, 16.39)])
def test_a_tandem_written_as_a_strip_without_end_is_an_upper_value(
    z: float, of_the_area: float, thirty_degrees: float
) -> None:  # fmt: skip
    """V4.5, computed once: 600 kN on 3.0 m by 2.2 m, elastic below its middle, and spread by 30° to both sides."""
    pressure = float(tr.strip_pressure(1.0, 600.0 / 2.2, 3.0))
    lengthwise = 2.2 / (2.2 + 2 * z * np.tan(np.radians(30.0)))

    assert pressure == approx(90.909, abs=5e-4)
    assert spread(0.0, z, np.tan(np.radians(30.0)), p=pressure) * lengthwise == approx(thirty_degrees, abs=5e-3)
    assert elastic(0.0, z, 0.0, p=pressure) > 1.3 * of_the_area


def rectangle(x: float, z: float, length: float, p: float, width: float = 3.0) -> float:
    """Pressure of a rectangle at a place below the middle of its length."""
    left, right = (step(x, 0.0, width) for step in (tr.distance_from_left_edge, tr.distance_from_right_edge))
    corners = (tr.distance_from_corner(u, length, z) for u in (left, right))
    return p * float(tr.rectangle_influence(left, right, length, z, *corners))


@pytest.mark.parametrize(("z", "elastic_area", "thirty_degrees"), [(1.0, None, 43.05), (1.5, 55.61, 32.25),
                                                                   (3.0, 24.11, 16.39)])  # fmt: skip
def test_tandem_reproduces_the_verification_values(z: float, elastic_area: float | None, thirty_degrees: float) -> None:
    """V4.5, computed once: 600 kN on 3.0 m by 2.2 m, elastic below its middle, and spread by 30° to all sides."""
    pressure, slope = float(tr.strip_pressure(1.0, 600.0 / 2.2, 3.0)), np.tan(np.radians(30.0))
    even = spread(0.0, z, slope, p=pressure)

    assert tr.pressure_of_length(2.2, tr.spread_length(2.2, slope, z), even) == approx(thirty_degrees, abs=5e-3)
    if elastic_area is not None:
        assert rectangle(0.0, z, 2.2, pressure) == approx(elastic_area, abs=5e-3)


@pytest.mark.parametrize(("x", "z"), [(0.0, 1.5), (1.5, 2.0), (2.4, 0.6), (-4.0, 3.0)])
def test_rectangle_is_the_sum_of_boussinesq_point_loads(x: float, z: float) -> None:
    """A second method: 3 p z³/(2 π R⁵) over the area, below its middle, an edge and beside it."""
    n = 1500
    across, along = (np.arange(n) + 0.5) * 3.0 / n - 1.5, (np.arange(n) + 0.5) * 2.2 / n - 1.1
    distance = np.sqrt((x - across[:, None]) ** 2 + along**2 + z**2)

    assert rectangle(x, z, 2.2, 1.0) == approx(
        float((3 * z**3 / (2 * np.pi * distance**5)).sum()) * 3.0 / n * 2.2 / n, rel=1e-5
    )


def test_long_rectangle_presses_like_a_strip_without_an_end() -> None:
    for x, z in ((0.0, 1.0), (1.3, 2.0), (5.0, 4.0)):
        assert rectangle(x, z, 5000.0, 1.0) == approx(elastic(x, z, 0.0, p=1.0), rel=1e-5)
        assert tr.pressure_of_length(5000.0, tr.spread_length(5000.0, 0.5, z), 10.0) == approx(10.0, rel=1e-3)


def test_load_of_a_length_is_shared_out_over_the_one_that_is_given() -> None:
    """600 kN on 3 m by 10 m; a strip without such a length keeps its pressure."""
    pressures = tr.pressure_in_plane(np.array([600 / 6.6, 9.0]), np.array([2.2, 0.0]), np.array([10.0, 0.0]))

    assert pressures == approx([20.0, 9.0])


def test_each_kind_of_strip_counts_by_itself() -> None:
    lengths, pressures = np.array([0.0, 2.2]), np.array([9.0, 8.0])

    assert tr.pressure_without_end(lengths, pressures) == approx([9.0, 0.0])
    assert tr.pressure_of_length(lengths, np.array([4.0, 4.4]), pressures) == approx([0.0, 4.0])
    assert tr.evenly_spread_pressure(9.0, 4.0) == 13.0
    assert tr.influence_by_length(lengths, np.array([0.0, 0.2]), np.array([0.3, 0.5])) == approx([0.3, 0.2])


def test_loaded_track_under_the_other_reproduces_the_verification_values() -> None:
    """V4.4, computed once."""
    assert [elastic(2.0, z, -2.0) for z in (1.0, 3.0, 5.0)] == approx([0.528, 5.061, 7.743], abs=5e-4)


def test_strips_carry_their_whole_load_at_every_depth() -> None:
    x: NDArray[np.float64] = np.linspace(-2000.0, 2000.0, 800_001)
    for z in (0.5, 3.0, 9.0):
        influence = tr.strip_influence(x + 1.5, x - 1.5, z)
        assert float(np.trapezoid(influence, x)) == approx(3.0, rel=1e-3)
        even = tr.spread_pressure(x, 0.0, tr.spread_width(3.0, 0.5, z), 1.0, 10.0, 3.0)
        assert float(np.trapezoid(even, x)) == approx(30.0, rel=3e-3)


def test_halves_of_a_strip_press_like_the_whole() -> None:
    for x, z in ((0.0, 1.0), (1.3, 2.0), (5.0, 4.0)):
        assert elastic(x, z, -0.75, 0.75, width=1.5) == approx(elastic(x, z, 0.0), rel=1e-12)


def test_strip_without_spread_presses_as_it_does_at_the_top_to_all_digits() -> None:
    q = tr.strip_pressure(1.0, 240.0, 12.0)
    even = tr.spread_pressure(0.0, 0.0, tr.spread_width(12.0, 0.0, 5.3), 1.0, q, 12.0)

    assert tr.traffic_at_heads(0.0, tr.pressure_at_heads(even, elastic(0.0, 5.3, 0.0, width=12.0, p=q))) == q == 20.0


def test_dynamic_part_fades_to_nothing_at_its_depth() -> None:
    z = tr.depth_of_heads(np.array([0.7, 2.7, 4.7, 9.0]), 0.4, 0.4, 0.7)

    assert tr.dynamic_factor_at_heads(1.4, z, 4.0) == approx([1.4, 1.2, 1.0, 1.0])


def wedges(H: float, phi: float, strips: list[tuple[float, float, float]], gamma: float = 0.0) -> float:
    """Largest thrust of all wedges through the toe of the plane, by trial; strips are (pressure, distance, width)."""
    angle = np.linspace(phi + 1e-4, np.pi / 2 - 1e-4, 100_001)
    reach = H / np.tan(angle)
    load = gamma * H * reach / 2 + sum(p * np.clip(reach - e, 0, b) for p, e, b in strips)
    return float((load * np.tan(angle - phi)).max())


def pushed(H: float, phi: float, p: float, e: float, b: float, depth: float = 0.0) -> float:
    return float(tr.thrust_of_strip(1.0, p, H, depth, tr.wedge_of_strip(H, depth, e, b, phi), e, phi))


@pytest.mark.parametrize("degrees", [25.0, 32.5, 40.0])
@pytest.mark.parametrize("e", [0.0, 0.6, 2.5, 6.5])
@pytest.mark.parametrize("H", [2.0, 5.0, 9.0])
def test_thrust_of_a_strip_is_that_of_the_worst_trial_wedge(H: float, e: float, degrees: float) -> None:
    """The closed form against a search; with the weight of the fill the strip adds no more, so the sum is safe."""
    phi = float(np.radians(degrees))
    own = pushed(H, phi, 52.0, e, 3.0)

    assert own == approx(max(wedges(H, phi, [(52.0, e, 3.0)]), 0.0), rel=1e-4, abs=1e-3)
    assert wedges(H, phi, [(52.0, e, 3.0)], 19.0) - wedges(H, phi, [], 19.0) <= own + 1e-3


def test_thrust_of_two_strips_is_not_less_than_that_of_the_worst_wedge() -> None:
    phi = float(np.radians(32.5))
    both = [(52.0, 2.5, 3.0), (52.0, 6.5, 3.0)]
    single = sum(pushed(7.0, phi, *one) for one in both)

    added = wedges(7.0, phi, both, 19.0) - wedges(7.0, phi, [], 19.0)
    assert added <= single <= 1.6 * added


def test_strip_over_the_crest_pushes_like_the_uniform_load() -> None:
    phi = float(np.radians(32.5))
    K_a = active_coefficient(phi)
    E = np.array([pushed(6.0, phi, 20.0, 0.0, 12.0)])

    assert float(tr.traffic_that_pushes(0.0, E, K_a, 6.0)[0]) == approx(20.0, rel=1e-12)
    assert E[0] == approx(traffic_thrust(K_a, 20.0, 6.0), rel=1e-12)
    assert pushed(0.5, phi, 20.0, 0.0, 12.0, depth=0.7) == 0.0


def test_strips_keep_their_places_in_the_slip_analysis() -> None:
    assert (tr.left_edge_of_strip(-2.0, 3.0), tr.right_edge_of_strip(-2.0, 3.0)) == (-3.5, -0.5)
    assert [tr.distance_from_crest_edge(12.0, side, -2.0, 3.0) for side in (1.0, -1.0)] == [6.5, 2.5]
    assert tr.strip_of_stage(np.array([0.0, 1.0]), tr.strip_in_slip_analysis(1.3, 1.2, 50.0)) == approx([0.0, 78.0])
