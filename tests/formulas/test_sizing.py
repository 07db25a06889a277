"""Charges of columns by hand."""

from math import pi

import pytest

from calc.formulas.sizing import charge_of_area, charge_of_berm, charge_of_column, charge_of_strip, charge_with_part

approx = pytest.approx


def test_column_reproduces_its_charge_by_hand() -> None:
    """7 m at 22 a metre, 3.5 m3 at 31, 7 m of sleeve of 1 m radius at 10, and 60 for the column."""
    column = charge_of_column(k_col=60.0, L_c=7.0, k_L=22.0, A_c=0.5, k_V=31.0, r_geo=1.0, k_sl=10.0)

    assert column == approx(60 + 154 + 108.5 + 140 * pi, rel=1e-12)
    assert charge_of_area(K_col=column, A_E=4.0, k_mat=0.0) == approx(column / 4, rel=1e-12)


def test_charge_scales_with_the_cell_and_mats_come_on_top() -> None:
    wide, close = (charge_of_area(K_col=100.0, A_E=area, k_mat=3.0) for area in (4.0, 2.0))

    assert close - 3 == approx(2 * (wide - 3), rel=1e-12)


def test_grids_and_berms_take_their_shares_of_the_width_of_the_field() -> None:
    """Two grids of 12 m and 8 m at 100 over 4 m2 and 5 m2; a berm of 6 m2 at 18 on a field of 20 m; 3 for mats."""
    wide = charge_of_strip(b_sg=12.0, b_F=20.0, K_col=100.0, A_E=4.0)
    close = charge_of_strip(b_sg=8.0, b_F=20.0, K_col=100.0, A_E=5.0)
    berm = charge_of_berm(k_B=18.0, A_Bl=6.0, b_F=20.0)
    total = charge_with_part(K_A0=charge_with_part(K_A0=charge_with_part(K_A0=3.0, K_As=wide), K_As=close), K_As=berm)

    assert (wide, close, berm) == (approx(15.0), approx(8.0), approx(5.4))
    assert total == approx(31.4, rel=1e-12)
    assert charge_of_strip(b_sg=20.0, b_F=20.0, K_col=100.0, A_E=4.0) + 3.0 == approx(
        charge_of_area(K_col=100.0, A_E=4.0, k_mat=3.0), rel=1e-12
    )
