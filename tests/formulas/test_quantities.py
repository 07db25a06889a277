"""Quantities by hand and by setting out every column; estimates of permeability side by side; drained ends."""

import numpy as np
import pytest

from calc.formulas import drainage, geometry, quantities

approx = pytest.approx


def test_rows_and_columns_agree_with_setting_out_every_column() -> None:
    """A triangular grid of 2.00 m, rows along the embankment, set out point by point over 21 rows and 300 m."""
    spacing, rows, length = 2.0, 21, 300.0
    distance = np.sqrt(3) / 2 * spacing
    points = [(k * spacing + (row % 2) * spacing / 2, row * distance) for row in range(rows)
              for k in range(round(length / spacing))]  # fmt: skip
    width = max(y for _, y in points) - min(y for _, y in points)

    A_E = geometry.triangular_cell_area(spacing)
    e_r = quantities.row_distance(A_E, spacing)
    assert e_r == approx(distance, rel=1e-12)
    assert quantities.rows(width, e_r) == approx(rows, rel=1e-12)
    assert quantities.columns_in_rows(rows, length, spacing) == approx(len(points), rel=1e-12)


def test_count_by_rows_tends_to_the_count_by_area_in_wide_fields() -> None:
    A_E, spacing = geometry.square_cell_area(2.5), 2.5
    width = np.array([25.0, 250.0, 2500.0, 25000.0])
    e_r = quantities.row_distance(A_E, spacing)
    by_rows = quantities.columns_in_rows(quantities.rows(width, e_r), 100.0, spacing)
    ratio = by_rows / quantities.columns_by_area(width, 100.0, A_E)

    assert (np.diff(ratio) < 0).all()
    assert ratio[-1] == approx(1.0, abs=2e-4)


def test_column_of_a_record_reproduces_its_theoretical_volume() -> None:
    """Diameter 0.80 m, 10 m long: 5.027 m3."""
    volume = quantities.fill_volume(geometry.column_area(0.80), quantities.filled_length(10.0, 0.0))

    assert volume == approx(5.027, abs=0.0005)
    assert quantities.fills_volume(100.0, volume) == approx(502.65, abs=0.005)
    assert quantities.delivered_volume(1.15, 502.65) == approx(578.05, abs=0.005)


def test_fill_and_plugs_make_up_the_columns() -> None:
    A_c, length, plug, count = geometry.column_area(1.2), 10.5, 1.5, 994.0
    fill = quantities.fills_volume(count, quantities.fill_volume(A_c, quantities.filled_length(length, plug)))

    assert fill + quantities.plugs_volume(count, A_c, plug) == approx(count * A_c * length, rel=1e-12)


def test_metres_and_fabric_by_hand() -> None:
    """1000 columns of 7 m with 0.6 m and 0.4 m of sleeve more; radius 0.40 m."""
    length = quantities.sleeve_length(7.0, 0.6, 0.4)

    assert quantities.column_metres(1000.0, 7.0) == approx(7000.0)
    assert length == approx(8.0)
    assert quantities.sleeve_metres(1000.0, length) == approx(8000.0)
    assert quantities.sleeve_area(8000.0, 0.40) == approx(8000 * np.pi * 0.80)


def test_excavated_soil_is_the_column_below_the_ground() -> None:
    assert quantities.excavated_volume(10.0, 1.131, 6.5, 0.5) == approx(10 * 1.131 * 7.0)


def test_embankment_volume_agrees_with_integration_over_the_height() -> None:
    height, steps = 5.0, 2001
    levels = np.linspace(0, height, steps)
    widths = 12.0 + (2.0 + 1.5) * (height - levels)

    volume = quantities.embankment_volume(100.0, 12.0, height, 2.0, 1.5)
    assert volume == approx(100 * np.trapezoid(widths, levels), rel=1e-9)


def test_field_is_the_crest_and_what_lies_beyond_the_shoulders() -> None:
    assert quantities.field_width(12.0, 9.0, 6.5) == approx(27.5)


def test_reinforcement_width_by_hand() -> None:
    """Crest 12 m, slopes 1:2, base at 1.2 m, crest at 6.2 m: 32 m at the base and below it, 24 m at 3.2 m.

    With an anchorage the layer reaches 1.5 m beyond a field of 26 m on each side, and 9.5 m are wrapped back.
    """
    levels = np.array([0.7, 1.2, 3.2])
    crest = quantities.crest_level(1.2, 5.0)

    width = quantities.reinforcement_width(0.0, 0.0, 26.0, 12.0, 2.0, 2.0, crest, 1.2, levels, 1.5)
    held = quantities.reinforcement_width(1.5, 9.5, 26.0, 12.0, 2.0, 2.0, crest, 1.2, levels, 1.5)
    assert held == approx([48.0, 48.0, 48.0])
    assert crest == approx(6.2)
    assert width == approx([35.0, 35.0, 27.0])


def test_rolls_without_overlap_are_laid_once() -> None:
    """Rolls of 5.0 m with 0.3 m of overlap cover 4.7 m each."""
    assert quantities.overlap_factor(5.0, 0.0) == approx(1.0)
    assert quantities.overlap_factor(5.0, 0.3) == approx(5.0 / 4.7)
    assert quantities.reinforcement_area(5.0 / 4.7, 35.0, 100.0) == approx(3723.40, abs=0.005)


def test_waste_is_a_share_of_what_is_laid() -> None:
    """1000 m² laid with a waste of 0.05 are 1050 m² delivered, of which 50 m² are no part of the works."""
    assert quantities.reinforcement_delivered(0.05, 1000.0) == approx(1050.0)
    assert quantities.reinforcement_delivered(0.0, 1000.0) == approx(1000.0)


def test_cover_is_counted_from_the_top_of_the_upstand() -> None:
    head = quantities.head_level(0.40, 0.10)

    assert head == approx(0.50)
    assert quantities.head_cover(0.85, head) == approx(0.35)


def test_fill_over_the_heads_is_cover_and_first_lift() -> None:
    assert quantities.fill_over_heads(0.15, 0.5) == approx(0.65)


def test_larger_estimate_governs() -> None:
    assert drainage.larger_estimate(np.array([2.0, 5.0]), np.array([3.0, 4.0])) == approx([3.0, 5.0])


def test_horizontal_permeability_is_the_vertical_one_where_both_coefficients_are_the_same() -> None:
    assert drainage.horizontal_permeability(1e-4, 2.0, 2.0) == approx(1e-4)
    assert drainage.horizontal_permeability(1e-4, 6.0, 2.0) == approx(3e-4)


def test_water_that_leaves_at_both_ends_has_half_the_way() -> None:
    assert drainage.drainage_path(7.0, np.array([1.0, 2.0])) == approx([7.0, 3.5])


def test_volume_with_berms_agrees_with_integration_over_the_height() -> None:
    """Widths of bank and berms at the middle of thin slices, 100 m long; a berm of 1.5 m on the right alone."""
    levels = (np.arange(6000) + 0.5) / 1000
    width = 12.0 + 4.0 * (6.0 - levels)
    beyond = np.where(levels < 1.5, 6.0 + (3.0 - 2.0) * (1.5 - levels), 0.0)
    berm = quantities.berm_volume(100.0, 6.0, 1.5, 3.0, 2.0)

    assert berm == pytest.approx(100.0 * beyond.sum() / 1000, rel=1e-6)
    assert quantities.volume_with_berms(100.0, 12.0, 6.0, 2.0, 2.0, 0.0, berm) == pytest.approx(
        100.0 * (width + beyond).sum() / 1000, rel=1e-6
    )


def test_volume_of_a_berm_and_its_lower_one_agrees_with_integration_over_the_height() -> None:
    """1.5 m by 6 m and 1:3 beside a slope of 1:2, 0.5 m by 3 m and 1:4 beside that."""
    levels = (np.arange(1500) + 0.5) / 1000
    upper = 6.0 + (3.0 - 2.0) * (1.5 - levels)
    lower = np.where(levels < 0.5, 3.0 + (4.0 - 3.0) * (0.5 - levels), 0.0)
    parts = quantities.berm_volume(100.0, 6.0, 1.5, 3.0, 2.0), quantities.berm_volume(100.0, 3.0, 0.5, 4.0, 3.0)

    assert quantities.volume_of_both_berms(*parts) == pytest.approx(100.0 * (upper + lower).sum() / 1000, rel=1e-6)
