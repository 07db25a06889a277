"""Charges of columns by hand."""

from math import pi

import pytest

from calc.formulas.sizing import charge_of_area, charge_of_column

approx = pytest.approx


def test_column_reproduces_its_charge_by_hand() -> None:
    """7 m at 22 a metre, 3.5 m3 at 31, 7 m of sleeve of 1 m radius at 10, and 60 for the column."""
    column = charge_of_column(k_col=60.0, L_c=7.0, k_L=22.0, A_c=0.5, k_V=31.0, r_geo=1.0, k_sl=10.0)

    assert column == approx(60 + 154 + 108.5 + 140 * pi, rel=1e-12)
    assert charge_of_area(K_col=column, A_E=4.0, k_mat=0.0) == approx(column / 4, rel=1e-12)


def test_charge_scales_with_the_cell_and_mats_come_on_top() -> None:
    wide, close = (charge_of_area(K_col=100.0, A_E=area, k_mat=3.0) for area in (4.0, 2.0))

    assert close - 3 == approx(2 * (wide - 3), rel=1e-12)
