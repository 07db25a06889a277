"""A crest that falls from one edge to the other: by hand, by trial wedges, by the polygon of the fill.

Fill of 4.4 m at the left edge and 5.0 m at the right one, crest 12 m, slopes 1:2 and 1:3.
"""

from math import atan, degrees, radians, tan
from typing import Any

import numpy as np
import pytest

from calc.formulas import crest, earthquake, extrusion, ground, mat, quantities

approx = pytest.approx
LEFT, RIGHT, WIDTH = 4.4, 5.0, 12.0


def thrust_of_wedges(phi: float, rise: float, k_h: float = 0.0, k_v: float = 0.0) -> float:
    """Largest thrust of plane wedges behind a vertical plane of 1 m over γ H²/2, by trying them.

    The ground rises from the plane; the thrust is horizontal. Weight W(1 − k_v) and inertia k_h W act in the wedge.
    """
    angle = np.linspace(rise + 1e-4, np.pi / 2 - 1e-4, 400_001)
    weight = 1 / (np.tan(angle) - tan(rise))  # triangle of 1 m height over γ/2
    thrust = weight * ((1 - k_v) * np.tan(angle - phi) + k_h)
    # Horizontal thrust P, reaction at φ to the normal of the plane: P = W (1 − k_v) tan(θ − φ) + k_h W.
    return float(thrust.max())


@pytest.mark.parametrize("phi", [25.0, 32.5, 40.0])
@pytest.mark.parametrize("rise", [0.0, 0.025, 0.05, 0.10])
def test_active_coefficient_is_the_largest_thrust_of_trial_wedges(phi: float, rise: float) -> None:
    """Verification: trial wedges are a method of their own."""
    K_a = crest.active_coefficient_below_rising_ground(radians(phi), atan(rise))

    assert K_a == approx(thrust_of_wedges(radians(phi), atan(rise)), rel=1e-8)


@pytest.mark.parametrize("k_v", [0.04, -0.04])
def test_active_coefficient_under_shaking_is_the_largest_thrust_of_trial_wedges(k_v: float) -> None:
    phi, rise, k_h = radians(32.5), atan(0.05), 0.08
    theta = earthquake.slope_of_inertia(k_h, 1 - k_v)
    K_E = earthquake.active_coefficient_below_rising_ground_under_shaking(phi, theta, rise)

    assert (1 - k_v) * K_E == approx(thrust_of_wedges(phi, rise, k_h, k_v), rel=1e-8)


@pytest.mark.parametrize("phi", [25.0, 40.0])
def test_level_crest_has_the_coefficients_of_level_ground(phi: float) -> None:
    angle, theta = radians(phi), radians(5.0)

    assert crest.active_coefficient_below_rising_ground(angle, 0.0) == approx(
        ground.active_coefficient(angle), rel=1e-12
    )
    shaken = earthquake.active_coefficient_below_rising_ground_under_shaking(angle, theta, 0.0)
    assert shaken == approx(earthquake.active_coefficient_under_shaking(angle, theta), rel=1e-12)


def test_heights_and_rise_follow_level_layers_by_hand() -> None:
    """Lifts of 2 and 4.4 m are level; at 4.7 m the crest falls from the middle of its width on; the final one is
    straight."""
    stages = np.array([2.0, 4.4, 4.7, 5.0])

    assert crest.height_at_crest_edge(stages, LEFT) == approx([2.0, 4.4, 4.4, 4.4])
    assert crest.height_at_crest_edge(stages, RIGHT) == approx([2.0, 4.4, 4.7, 5.0])
    rise = atan(0.6 / 12)
    assert crest.rise_of_crest(stages, RIGHT, LEFT, WIDTH) == approx([0.0, 0.0, rise, rise])
    assert not crest.rise_of_crest(stages, RIGHT, RIGHT, WIDTH).any()
    assert crest.end_of_level_crest(WIDTH, 4.7, LEFT, RIGHT) == approx(0.0)
    assert crest.end_of_level_crest(WIDTH, 4.55, LEFT, RIGHT) == approx(-3.0)
    assert crest.end_of_level_crest(WIDTH, 4.55, RIGHT, LEFT) == approx(3.0)


def area(corners: list[tuple[float, float]]) -> float:
    """Area of a polygon by the sum of its trapezia (Gauss)."""
    x, y = np.array(corners).T
    return float(abs(np.dot(x, np.roll(y, -1)) - np.dot(y, np.roll(x, -1))) / 2)


def test_volume_is_that_of_the_polygon_between_toes_and_crest_edges() -> None:
    corners = [(-6 - 2 * LEFT, 0.0), (-6.0, LEFT), (6.0, RIGHT), (6 + 3 * RIGHT, 0.0)]
    volume = quantities.volume_below_falling_crest(10.0, WIDTH, LEFT, RIGHT, 2.0, 3.0, 7.0, 5.0)

    assert volume == approx(10 * area(corners) + 12, rel=1e-12)
    level = quantities.volume_below_falling_crest(10.0, WIDTH, RIGHT, RIGHT, 2.0, 3.0, 0.0, 0.0)
    assert level == approx(quantities.embankment_volume(10.0, WIDTH, RIGHT, 2.0, 3.0), rel=1e-12)


def test_widths_below_the_lower_edge_are_those_between_the_slopes() -> None:
    """At 1.5 m the slopes stand 2·(4.4 − 1.5) and 3·(5.0 − 1.5) m outside the crest edges."""
    level = quantities.width_at_higher_edge(WIDTH, RIGHT, LEFT, RIGHT, 2.0, 3.0)

    assert level == approx(12 - 2 * 0.6)
    width = quantities.reinforcement_width(0.0, 0.0, 0.0, level, 2.0, 3.0, RIGHT, 0.0, 1.5, 0.0)
    assert width == approx(12 + 2 * 2.9 + 3 * 3.5)
    assert quantities.zone_volume(1.0, level, 2.0, 3.0, RIGHT, 1.0, 2.0) == approx(12 + 2 * 2.9 + 3 * 3.5)


@pytest.mark.parametrize("rise", [0.0, 0.5, 2.0])
def test_wedge_below_a_rising_crest_is_safe_up_to_the_other_edge_where_its_verdict_is(rise: float) -> None:
    """Pressure and resistance that grow evenly inward: the verdict at the edge covers every inner plane."""
    pressure, width, gained = 50.0, 12.0, 0.8
    driven = float(extrusion.pressure_below_rising_crest(pressure, rise, gained, width))
    inward = np.linspace(0.0, width, 49)

    assert (driven + gained * inward >= pressure + rise * inward - 1e-12).all()
    if rise <= gained:
        assert driven == pressure


def test_rise_of_pressure_and_gain_of_resistance_by_hand() -> None:
    """19 kN/m³ with 1.35 and a fall of 5 %; (1 − 0.15)·6 kPa over 1.12·1.1·7 m, half of it where thrust acts on top."""
    assert extrusion.pressure_rise(1.35, 19.0, atan(0.05)) == approx(1.2825)
    gained: Any = extrusion.resistance_gained(0.15, 6.0, 0.4, 1.1, 7.0)
    assert gained == approx(5.1 / 8.624)
    assert extrusion.resistance_gained(0.15, 6.0, -0.5, 1.1, 7.0) == approx(gained / 2)
    assert degrees(atan(0.05)) == approx(2.862, abs=5e-4)


def test_inertia_that_a_wedge_gains_inward_by_hand() -> None:
    """k_h 0.1 on 16 kN/m³ is 1.6 kN/m³; a rise of 0.95 kN/m³ with 1.03 adds 0.9785, 0.8 is borne: 1.7785 over 12 m."""
    rising = extrusion.driving_pressure_with_inertia_below_rising_crest(1.03, 100.0, 19.2, 12.0, 0.95, 0.1, 16.0, 0.8)
    assert rising == approx(103 + 19.2 + 12 * 1.7785)
    assert extrusion.inertia_gained(12.0, 0.1, 16.0, 0.8) == approx(9.6)
    assert extrusion.inertia_gained(12.0, 0.04, 16.0, 0.8) == 0


def test_cover_of_the_wrap_back_below_a_crest_that_falls_inward() -> None:
    """3 m high from a slope 1:2, its inner end 4 m inward of the edge, a fall of 5 %: 9 + 12 less 0.05·4²/2 m²."""
    found = mat.fill_from_toe_to_inner_end_below_falling_crest(7.0, 3.0, 2.0, 3.0, atan(0.05))
    assert found == approx(9 + 12 - 0.4)
    assert mat.fill_from_toe_to_inner_end(7.0, 3.0, 2.0, 3.0) == approx(21.0)
