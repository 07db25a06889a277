"""Displacement and vibration beside columns: verification values, sums over columns, balance of volume, laws."""

from math import inf, pi

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st
from numpy.typing import NDArray
from scipy.integrate import quad

from calc.formulas import installation as ins

approx = pytest.approx
R, L = 0.4, 10.0
SPACING, RATIO = 1.9, 0.1608
ROW = SPACING * 3**0.5 / 2
Points = NDArray[np.float64]


def triangular(across: int, along: int) -> Points:
    """Columns of a triangular grid, every other row shifted by half the spacing, about their middle."""
    points = np.array([(SPACING * (k + 0.5 * (row % 2)), ROW * row) for row in range(along) for k in range(across)])
    return np.asarray(points - points.mean(axis=0))


def summed(points: Points, x: float, y: float = 0.0) -> tuple[float, float]:
    """Heave and lateral displacement across, by adding up single columns."""
    r = np.hypot(x - points[:, 0], y - points[:, 1])
    lateral = ins.surface_displacement(R, L, r) * (x - points[:, 0]) / r
    return float(ins.surface_heave(R, r, L).sum()), float(lateral.sum())


def of_field(distance: float, width: float) -> tuple[float, float]:
    """The same from the edge of a field of this width, without end along."""
    far = ins.distance_from_far_edge(distance, width)
    return float(ins.field_heave(RATIO, distance, far, L)), float(ins.field_displacement(RATIO, distance, far, L))


@pytest.mark.parametrize(
    ("r", "exact", "lateral", "heave"),
    [(2.0, 0.03961, 0.03922, 0.03216), (5.0, 0.01597, 0.01431, 0.00884), (10.0, 0.00800, 0.00566, 0.00234)],
)
def test_one_column_reproduces_verification_values(r: float, exact: float, lateral: float, heave: float) -> None:
    """V10: radius 0.4 m, length 10 m; computed once from the stated equations."""
    assert ins.plane_displacement(r, R) == approx(exact, abs=6e-6)
    assert ins.surface_displacement(R, L, r) == approx(lateral, abs=6e-6)
    assert ins.surface_heave(R, r, L) == approx(heave, abs=6e-6)


def test_balance_reproduces_verification_values() -> None:
    """V10: a 0.1608, L 10 m."""
    volume = ins.displaced_volume(RATIO, L)

    assert volume == approx(1.608)
    assert ins.least_heave_inside(0.3, volume) == approx(0.482, abs=5e-4)
    assert ins.largest_heave_inside(0.6, volume) == approx(0.965, abs=5e-4)


def test_velocities_reproduce_verification_values() -> None:
    """V10: exceeded in 33 % at 5, 10 and 20 m; 5 mm/s in 5 % at 21.3 m, by vibro replacement at 8.2 m."""
    found = [ins.peak_particle_velocity(126.0, r, 1.0, 1.3) for r in (5.0, 10.0, 20.0)]

    assert found == approx([15.55, 6.31, 2.57], abs=0.006)
    assert ins.distance_of_allowed_velocity(1.0, 266.0, 5.0, 1.3) == approx(21.3, abs=0.05)
    assert ins.distance_of_allowed_velocity(1.0, 95.0, 5.0, 1.4) == approx(8.2, abs=0.05)


def test_superposed_columns_reproduce_verification_values() -> None:
    """V10: 407 columns on 20 m by 60 m; heave 1.10 m in the middle and 0.44, 0.26, 0.13 m beside the field.

    Between columns it varies from 1.08 to 1.14 m with the place, which the value does not name.
    """
    points = triangular(11, 37)

    assert len(points) == 407
    assert [summed(points, 10.0 + d)[0] for d in (2.0, 5.0, 10.0)] == approx([0.44, 0.26, 0.13], abs=0.005)
    assert summed(points, SPACING / 2)[0] == approx(1.10, abs=0.04)


@pytest.mark.parametrize("distance", [1.0, 3.0, 10.0, 30.0])
def test_field_agrees_with_the_sum_over_a_long_field(distance: float) -> None:
    """601 rows: within 3 % of the field without end; half a spacing beyond the outermost axes is its edge."""
    points = triangular(11, 601)
    edge = points[:, 0].max() - SPACING / 4 + SPACING / 2  # the mean of both kinds of rows

    assert of_field(distance, 11 * SPACING) == approx(summed(points, edge + distance), rel=0.03)


def test_volume_of_one_column_comes_up_at_the_surface() -> None:
    """π·R²·L by integrating the heave over the surface."""
    volume, _ = quad(lambda r: 2 * pi * r * float(ins.surface_heave(R, r, L)), 0.0, inf)

    assert volume == approx(pi * R**2 * L, rel=1e-6)


def test_heave_of_the_field_returns_the_displaced_volume() -> None:
    """Over all the surface across, inside by both parts of the field: a·L·B on a metre of embankment."""
    width = 20.0
    outside, _ = quad(lambda x: of_field(x, width)[0], 1e-9, 1e6, limit=500, points=[1.0, 10.0, 100.0, 1e4])
    inside, _ = quad(
        lambda x: float(ins.field_heave(RATIO, 1e-12, x, L) + ins.field_heave(RATIO, 1e-12, width - x, L)), 0.0, width
    )

    assert 2 * outside + inside == approx(RATIO * L * width, rel=1e-3)


@given(st.floats(0.5, 80.0), st.floats(0.1, 20.0), st.floats(5.0, 60.0))
def test_displacements_fall_with_distance_and_all_columns_bring_more_than_one(
    distance: float, further: float, width: float
) -> None:
    near, far = of_field(distance, width), of_field(distance + further, width)

    assert near[0] > far[0] > 0
    assert near[1] > far[1] > 0
    assert near[0] > ins.surface_heave(R, distance + SPACING / 2, L)
    assert near[1] > ins.surface_displacement(R, L, distance + SPACING / 2)


@given(st.floats(1.0, 100.0))
def test_plane_displacement_keeps_the_area_of_the_column(r: float) -> None:
    moved = r + float(ins.plane_displacement(r, R))

    assert pi * (moved**2 - r**2) == approx(pi * R**2, rel=1e-9)


@given(st.floats(1.0, 100.0), st.floats(0.5, 50.0), st.sampled_from([1.2, 1.3, 1.4]))
def test_velocity_at_the_distance_of_the_limit_is_the_limit(factor: float, limit: float, exponent: float) -> None:
    distance = ins.distance_of_allowed_velocity(1.0, factor, limit, exponent)

    assert ins.peak_particle_velocity(factor, distance, 1.0, exponent) == approx(limit, rel=1e-12)


def test_what_does_not_come_up_goes_out_to_both_sides() -> None:
    """Balance: heave inside on the width of the field and displacement of both edges over the length."""
    width = ins.width_of_displacing_field(9.0, -9.0, 2.0)
    volume = ins.displaced_volume(RATIO, L)

    assert width == 20.0
    for share, edge in ((0.3, ins.largest_displacement_at_edge), (0.9, ins.least_displacement_at_edge)):
        assert share * volume * width + 2 * L * edge(share, RATIO, width) == approx(volume * width)


def test_distances_by_hand() -> None:
    """Toes at ±18 m, columns to ±15 m, a neighbour 20 m from the toe."""
    assert ins.columns_from_left_toe(-15.0, -18.0) == ins.columns_from_right_toe(18.0, 15.0) == 3.0
    assert ins.distance_from_columns(20.0, 3.0) == 23.0
    assert ins.distance_from_near_edge(23.0, 2.0) == 22.0
    assert ins.displacing_length(6.5, 0.5) == 7.0
