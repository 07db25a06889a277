"""The chapter of the horizontal reinforcement, from project file to verdicts, by hand calculations."""

import pytest

from calc.formulas import mat

approx = pytest.approx


def test_demand_by_hand() -> None:
    """Numbers invented; each product and sum is done by hand."""
    assert mat.design_membrane_tension(1.35, 60.0, 1.5, 70.0) == approx(1.35 * 60 + 1.5 * 10)
    assert mat.layer_tension(120.0, 2000.0, 6000.0) == approx(40.0)
    assert mat.service_spreading(80.0, 6.0, 4.0) == approx(90.0)
    assert mat.reinforcement_strain(90.0, 60.0, 5000.0) == approx(0.03)
    assert mat.reinforcement_creep_strain(0.035, 0.030) == approx(0.005)
    assert mat.first_lift_pressure(1.0, 19.0, 0.4, 1.3, 10.0) == approx(20.6)


def test_anchorage_by_hand() -> None:
    """5.5 m of fill, outermost columns 9 m beyond the shoulder of a slope 1:2: 1.0 m of cover, 2.0 m to the toe."""
    assert mat.cover_at_outermost_columns(5.5, 5.5, 9.0, 2.0) == approx(1.0)
    assert mat.cover_at_outermost_columns(0.6, 5.5, 9.0, 2.0) == approx(0.6)
    assert mat.cover_at_outermost_columns(5.5, 5.5, 12.0, 2.0) == approx(0.0)
    assert mat.covered_length(1.5, 2.0, 1.0) == approx(1.5)
    assert mat.covered_length(3.0, 2.0, 1.0) == approx(2.0)
    assert mat.cover_at_end(1.0, 1.5, 2.0) == approx(0.25)
    assert mat.cover_at_end(1.0, 2.0, 2.0) == approx(0.0)
    assert mat.cover_of_fold_back(1.8, 1.2) == approx(1.2)
    assert mat.favourable_unit_weight(0.9, 19.0) == approx(17.1)
    assert mat.tension_to_anchor(1.1, 1.3, 100.0) == approx(143.0)
    assert mat.total_anchorage(20.0, 150.0) == approx(170.0)
