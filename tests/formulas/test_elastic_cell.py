"""The elastic cell: verification values, limits, and a finite-element model of the same cell."""

from types import SimpleNamespace
from typing import Any

import pytest

from calc.formulas import elastic_cell as el
from tests.formulas.axisymmetric_model import unit_cell
from tests.procedures.chains import case_r1, elastic
from tests.references.reader import rows

approx = pytest.approx


def oedometer(E: float, nu: float) -> float:
    return E * (1 - nu) / ((1 + nu) * (1 - 2 * nu))


def cell(**changes: Any) -> dict[str, Any]:
    base = {
        "Dsigma_0": 100.0, "a_E": 0.15, "r_c": 0.4, "r_geo": 0.4, "Dr_gap": 0.0, "J": 2000.0,
        "E_c": 40000.0, "nu_c": 0.3, "E_oed": oedometer(1000.0, 0.4), "nu_s": 0.4,
    }  # fmt: skip
    return elastic(base | changes)


@pytest.mark.parametrize("row", rows("cells_compared"), ids=lambda row: f"J={row.J:.0f}")
def test_elastic_cell_reproduces_the_comparison_of_cells(row: SimpleNamespace) -> None:
    done = elastic(case_r1(E_oed=1000.0, J=row.J, E_c=40000.0, nu_c=0.3))

    assert done["F_el"] == approx(row.elastic["F_el"], abs=5e-7)
    assert done["eps_el"] * 1000 == approx(row.elastic["s"], abs=5e-5)
    assert done["T_el"] == approx(row.elastic["F"], rel=1e-5)


def test_elastic_cell_reproduces_the_elastic_check() -> None:
    """p 100, h 10 m: s 121.766666 mm, stresses 509.775804 and 27.6866228, T 6.32193730, F 0.25959228."""
    done = cell()

    assert done["F_el"] == approx(0.25959228, abs=5e-9)
    assert done["eps_el"] * 10000 == approx(121.766666, abs=5e-7)
    assert done["D_c"] * done["eps_el"] == approx(509.775804, abs=5e-7)
    assert done["D_s"] * done["eps_el"] == approx(27.6866228, abs=5e-8)
    assert done["T_el"] == approx(6.32193730, abs=5e-9)


@pytest.mark.parametrize(
    "row", rows("elastic_cell_ratios"), ids=lambda row: f"E={row.modulus_ratio:.0f} d={row.diameter_ratio:.0f}"
)
def test_elastic_cell_reproduces_the_ratios_without_sleeve(row: SimpleNamespace) -> None:
    soil = oedometer(1000.0, 0.3)
    done = cell(J=0.0, a_E=1 / row.diameter_ratio**2, E_c=1000.0 * row.modulus_ratio, nu_c=0.3, nu_s=0.3, E_oed=soil)

    assert done["eps_el"] / (100 / soil) == approx(row.settlement_ratio, abs=5e-6)
    assert done["D_c"] / done["D_s"] == approx(row.stress_ratio, abs=5e-5)


def test_equal_materials_share_the_load_evenly() -> None:
    done = cell(J=0.0, E_c=1000.0, nu_c=0.4)

    assert done["F_el"] == approx(0, abs=1e-15)
    assert done["D_c"] == approx(done["D_s"], rel=1e-12)


def test_cell_full_of_column_settles_like_the_column() -> None:
    assert cell(a_E=1 - 1e-9)["eps_el"] == approx(100 / oedometer(40000.0, 0.3), rel=1e-6)


def test_rigid_sleeve_leaves_two_confined_parts_and_reproduces_its_value() -> None:
    """J without limit: p / (a M_c + (1 - a) M_s) = 10.10269 mm per m."""
    done = cell(J=1e15)
    both = 0.15 * oedometer(40000.0, 0.3) + 0.85 * oedometer(1000.0, 0.4)

    assert done["eps_el"] == approx(100 / both, rel=1e-9)
    assert done["eps_el"] * 1000 == approx(10.10269, abs=5e-6)


def test_radial_stress_of_the_column_is_held_by_soil_and_sleeve() -> None:
    done = cell()
    ring = 2 * ((done["lambda_s"] + done["G_s"]) * 0.15 + done["G_s"]) / 0.85

    assert done["D_r"] == approx(done["lambda_s"] + (ring + 2000.0 / 0.4) * done["F_el"], rel=1e-12)


@pytest.mark.parametrize("J", [0.0, 2000.0, 8000.0])
@pytest.mark.parametrize(("nu_c", "nu_s"), [(0.3, 0.4), (0.2, 0.3)])
def test_elastic_cell_agrees_with_a_finite_element_model(J: float, nu_c: float, nu_s: float) -> None:
    """Axial symmetry, hoop membrane at the wall: solved in another way, with quadratic elements within 1e-7."""
    model = unit_cell(a_E=0.15, r_c=0.4, h=1.0, J=J, column=(40000.0, nu_c), soil=(1000.0, nu_s), p=100.0)
    done = cell(J=J, nu_c=nu_c, nu_s=nu_s, E_oed=oedometer(1000.0, nu_s))

    assert done["eps_el"] == approx(model.settlement, rel=1e-6)
    assert done["D_c"] * done["eps_el"] == approx(model.column_stress, rel=1e-6)
    assert done["D_s"] * done["eps_el"] == approx(model.soil_stress, rel=1e-6)
    assert done["T_el"] == approx(model.ring_tension, rel=1e-6)


def test_constants_of_the_soil_from_its_oedometer_modulus_are_those_of_elasticity() -> None:
    E, nu = 1000.0, 0.35
    assert el.soil_lame_constant(oedometer(E, nu), nu) == approx(el.fill_lame_constant(E, nu), rel=1e-12)
    assert el.soil_shear_modulus(oedometer(E, nu), nu) == approx(el.fill_shear_modulus(E, nu), rel=1e-12)
