"""Waste of sleeves, by hand."""

from pytest import approx  # noqa: PT013 - as everywhere here

from calc.formulas.sleeve_cuts import gap_of_cutting, waste_of_classes, waste_of_cutting


def test_waste_reproduces_values_calculated_by_hand() -> None:
    assert waste_of_classes(l_cls=105.0, l_need=100.0) == approx(0.05)
    assert waste_of_cutting(l_roll=120.0, l_cls=100.0) == approx(0.2)
    assert gap_of_cutting(l_roll=150.0, l_bd=150.0) == 0
