"""Consolidation around encased columns: tabled values beside a finite-element solution, limits, equilibrium."""

from itertools import pairwise
from math import radians
from types import SimpleNamespace
from typing import Any

import pytest

from calc.formulas import consolidation as co
from calc.formulas import consolidation_cell as cc
from calc.formulas import elastic_cell as el
from calc.formulas.elastic_plastic_cell import dilatancy_ratio
from calc.formulas.ground import active_coefficient
from tests.formulas import cell_strains as strains
from tests.references.reader import rows

approx = pytest.approx
LOAD, RADIUS, OEDOMETER = 80.0, 0.4, 1000.0
ELASTIC = rows("consolidation_cells", "elastic")
YIELDING = rows("consolidation_cells", "yielding")


def elastic(a: float, E_c: float, J: float, nu: float, U: float = 1.0) -> SimpleNamespace:
    """The cell with an elastic column at the degree ``U``."""
    v = SimpleNamespace(lambda_s=el.soil_lame_constant(OEDOMETER, nu), G_s=el.soil_shear_modulus(OEDOMETER, nu))
    v.lambda_c, v.G_c = el.fill_lame_constant(E_c, 0.3), el.fill_shear_modulus(E_c, 0.3)
    v.D_rs = cc.soil_widening_stiffness(a, v.lambda_s, v.G_s)
    v.Lambda, v.D = (
        cc.lame_difference(v.lambda_c, v.lambda_s),
        cc.widening_stiffness(v.lambda_c, v.G_c, v.D_rs, J, RADIUS),
    )
    v.M = cc.confined_modulus(a, v.lambda_c, v.G_c, OEDOMETER)
    v.B, v.Q = cc.pore_pressure_load(a, v.Lambda, v.D), cc.drained_modulus(v.M, a, v.Lambda, v.D)
    v.m_eq = cc.elastic_compressibility(v.B, v.Q, a, v.D)
    v.factor = cc.encased_factor(OEDOMETER, v.m_eq)
    v.u_0 = cc.elastic_start_pressure(LOAD, v.B, a, v.Q, v.D)
    v.u = v.u_0 * (1 - U)
    v.strain = strains.elastic_vertical_strain(LOAD, v.B, v.u, v.Q)
    v.widening = strains.elastic_widening_strain(v.Lambda, v.strain, v.u, v.D)
    v.tension = J * v.widening
    return v


def yielding(a: float, phi: float, psi: float, J: float, nu: float, U: float = 1.0) -> SimpleNamespace:
    """The cell with a column at yield at the degree ``U``."""
    v = SimpleNamespace(lambda_s=el.soil_lame_constant(OEDOMETER, nu), G_s=el.soil_shear_modulus(OEDOMETER, nu))
    v.K_ac, v.k_psi = active_coefficient(radians(phi)), dilatancy_ratio(radians(psi))
    v.D_rs = cc.soil_widening_stiffness(a, v.lambda_s, v.G_s)
    v.b_1, v.b_2 = cc.yielding_water_volume(a, v.k_psi), cc.yielding_pore_pressure_load(a, v.K_ac)
    v.E = cc.yielding_modulus(a, v.K_ac, v.lambda_s, v.D_rs, J, RADIUS, v.k_psi, OEDOMETER)
    v.m_eq = cc.yielding_compressibility(v.b_1, v.b_2, v.E)
    v.factor = cc.encased_factor(OEDOMETER, v.m_eq)
    v.u_0 = cc.yielding_start_pressure(LOAD, v.b_2)
    v.strain = strains.yielding_vertical_strain(LOAD, v.b_2, v.u_0 * (1 - U), v.E)
    v.tension = J * strains.yielding_widening_strain(v.k_psi, v.strain)
    return v


def compare(v: SimpleNamespace, row: Any, strain_digits: float) -> None:
    assert v.factor == approx(row.factor, abs=6e-4)
    assert v.u_0 == approx(row.u_0, abs=0.006)
    assert v.u_0 == approx(row.u_biot, rel=2e-4)
    assert 100 * v.strain == approx(row.strain, abs=strain_digits)
    assert 100 * v.strain == approx(row.strain_biot, rel=4e-3)
    assert v.tension == approx(row.tension, rel=4e-3, abs=0.06)


@pytest.mark.parametrize("row", ELASTIC, ids=str)
def test_elastic_cell_reproduces_the_finite_element_table(row: Any) -> None:
    compare(elastic(row.a, row.E_c, row.J, row.nu), row, 6e-4)


@pytest.mark.parametrize("row", YIELDING, ids=str)
def test_yielding_cell_reproduces_the_finite_element_table(row: Any) -> None:
    compare(yielding(row.a, row.phi, row.psi, row.J, row.nu), row, 6e-3)


@pytest.mark.parametrize("row", ELASTIC, ids=str)
def test_elastic_factor_without_widening_is_the_transfer_factor(row: Any) -> None:
    """A sleeve that does not stretch: Han & Ye (2001), with the ratio of the confined moduli as the stress ratio."""
    stiff = elastic(row.a, row.E_c, 1e12, row.nu)
    ratio = (stiff.lambda_c + 2 * stiff.G_c) / OEDOMETER
    expected = co.transfer_factor(ratio, row.a**-0.5)

    assert expected == approx(row.transfer, abs=6e-4)
    assert stiff.factor == approx(expected, rel=1e-6)
    assert elastic(row.a, row.E_c, row.J, row.nu).factor < expected


@pytest.mark.parametrize("row", ELASTIC, ids=str)
def test_drained_elastic_cell_is_the_elastic_cell_of_the_settlement(row: Any) -> None:
    v = elastic(row.a, row.E_c, row.J, row.nu)
    F = el.widening_coefficient(v.lambda_c, v.lambda_s, row.a, v.G_c, v.G_s, row.J, RADIUS)
    D_c = el.column_vertical_stiffness(v.lambda_c, v.G_c, F)
    D_s = el.soil_vertical_stiffness(v.lambda_s, v.G_s, F, row.a)
    strain = el.elastic_strain(LOAD, el.cell_modulus(row.a, D_c, D_s))

    assert v.strain == approx(float(strain), rel=1e-10)
    assert v.tension == approx(float(el.elastic_ring_tension(row.J, F, strain)), rel=1e-9, abs=1e-12)


@pytest.mark.parametrize("row", ELASTIC, ids=str)
def test_elastic_cell_loses_no_water_at_loading(row: Any) -> None:
    """Undrained: the ring of soil keeps its volume, so it squeezes the column by what it loses in height."""
    v = elastic(row.a, row.E_c, row.J, row.nu, U=0.0)

    assert (1 - row.a) * v.strain == approx(-2 * row.a * v.widening, rel=1e-9)


def test_yielding_cell_has_no_strain_at_loading_and_water_leaves_with_the_equivalent_compressibility() -> None:
    start, end = yielding(0.15, 32.5, 5.0, 2000.0, 0.4, U=0.0), yielding(0.15, 32.5, 5.0, 2000.0, 0.4)

    assert start.strain == approx(0.0, abs=1e-15)
    assert start.tension == approx(0.0, abs=1e-12)
    assert end.b_1 * end.strain == approx(end.m_eq * end.u_0, rel=1e-12)


def test_ring_tension_grows_linearly_with_the_degree() -> None:
    degrees = (0.0, 0.25, 0.5, 0.75, 1.0)
    tensions = [elastic(0.15, 4000.0, 2000.0, 0.4, U).tension for U in degrees]
    steps = [high - low for low, high in pairwise(tensions)]

    assert steps == approx([steps[0]] * 4)
    assert steps[0] > 0


@pytest.mark.parametrize("make", [lambda J: elastic(0.15, 4000.0, J, 0.4), lambda J: yielding(0.15, 32.5, 0.0, J, 0.4)])
def test_encased_factor_grows_with_the_stiffness_of_the_sleeve(make: Any) -> None:
    factors = [make(J).factor for J in (0.0, 1000.0, 2000.0, 4000.0)]

    assert factors == sorted(factors)
    assert factors[0] < factors[-1]


def test_encased_coefficient_is_the_factor_on_that_of_the_ground() -> None:
    v, k_hs, gamma_w = yielding(0.15, 32.5, 5.0, 2000.0, 0.4), 2e-4, 9.81
    ground = k_hs * OEDOMETER / gamma_w

    assert k_hs / (gamma_w * v.m_eq) == approx(v.factor * ground, rel=1e-12)


def test_start_pressures_of_both_columns_are_held_against_each_other() -> None:
    assert cc.ratio_of_start_pressures(78.0, 60.0) == approx(1.3)
