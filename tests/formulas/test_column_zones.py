"""Settlement at the border of two grids, and the area to a column in a wedge that reaches several grids."""

import pytest

from calc.formulas.column_zones import area_along_base, area_at_inner_plane, difference_at_border
from calc.formulas.geometry import area_ratio
from calc.formulas.unit_cell import settlement_difference, settlement_difference_of_grids


def test_difference_at_a_border_is_symmetric_and_zero_for_equal_settlements() -> None:
    """Which of the grids is on the left is no matter."""
    assert difference_at_border(0.30, 0.12) == pytest.approx(0.18)
    assert difference_at_border(0.12, 0.30) == difference_at_border(0.30, 0.12)
    assert difference_at_border(0.2, 0.2) == 0


def test_difference_to_a_crest_edge_with_another_grid_is_the_magnitude_of_that_with_the_same_one() -> None:
    """The centre may settle less than an edge with a wider grid: such a difference must not pass by its sign."""
    assert settlement_difference_of_grids(0.10, 0.26) == pytest.approx(-settlement_difference(0.10, 0.26))
    assert settlement_difference_of_grids(0.26, 0.10) == pytest.approx(settlement_difference(0.26, 0.10))


def test_area_to_a_column_is_the_inverse_of_the_area_ratio() -> None:
    """Of one grid everywhere it is that of its unit cell."""
    for area in (area_at_inner_plane, area_along_base):
        assert area(0.5027, area_ratio(0.5027, 2.6522)) == pytest.approx(2.6522)
