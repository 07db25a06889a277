"""The elastic, plastic column in its cell, the second method beside the standard cell, and the gap expected to it."""

import numpy as np

from calc.chapters.shared.standard_cell import AS_THEY_ARE, Names, argument_changes
from calc.engine.formula import Source
from calc.engine.sheet import Scope, Sheet, Value
from calc.engine.words import words_of
from calc.formulas.elastic_cell import (
    cell_modulus,
    column_radial_stiffness,
    column_vertical_stiffness,
    fill_lame_constant,
    fill_shear_modulus,
    soil_lame_constant,
    soil_shear_modulus,
    soil_vertical_stiffness,
    widening_coefficient,
)
from calc.formulas.elastic_plastic_cell import (
    axial_compliance,
    dilatancy_ratio,
    elastic_load,
    elastic_plastic_ring_tension,
    elastic_plastic_strain,
    elastic_plastic_widening,
    initial_sleeve_stiffness,
    load_when_taut,
    plastic_cell_modulus,
    radial_compliance,
    radial_stress_rate,
    strain_at_yield,
    strain_when_taut,
    wall_stiffness,
    widening_compliance,
    widening_rate,
    yield_rate,
    yield_reserve,
)
from calc.formulas.ground import initial_radial_stress, passive_coefficient
from calc.formulas.unit_cell import oedometer_modulus

say = words_of(__name__)

# Share by which the standard method settles less, by ring stiffness: computed once with the equations of both methods
# (E_oed 1 MN/m², E_c 40 MN/m², a_E 0.15, r_c 0.40 m, load 100 kN/m²).
STIFFNESS_POINTS = (0.0, 1000.0, 2000.0, 4000.0, 8000.0)  # kN/m
EXPECTED_GAP = (0.0204, 0.0657, 0.1106, 0.1938, 0.3268)
TABLE = Source("computed with the equations of both methods for one reference cell", "derived")


def fill_constants(sheet: Sheet) -> None:
    """Constants of the column fill that both second methods share."""
    sheet(fill_lame_constant)
    sheet(fill_shear_modulus)
    sheet(passive_coefficient, K_p="K_pc", phi="phi_ck")
    sheet(dilatancy_ratio)
    sheet(initial_radial_stress)
    sheet(oedometer_modulus, E_oed="E_oed0", p_m="p_1")


def elastic_plastic_column(scope: Scope, names: Names = AS_THEY_ARE) -> None:
    """From the modulus of the soil, ``E_oedEP``, to strain, radial expansion and ring tension of the sublayers.

    ``names`` are the symbols that stand in the place of those of the initial state.
    """
    scope(soil_lame_constant, E_oed="E_oedEP")
    scope(soil_shear_modulus, E_oed="E_oedEP")
    scope(initial_sleeve_stiffness)
    scope(widening_coefficient, J="J_0")
    for step in (column_vertical_stiffness, column_radial_stiffness, soil_vertical_stiffness, cell_modulus):
        scope(step)
    for step in (yield_reserve, yield_rate, elastic_load, strain_at_yield):
        scope(step, **argument_changes(step, names))
    for step in (axial_compliance, radial_compliance, widening_compliance):
        scope(step)
    scope(wall_stiffness, kappa="kappa_0", J="J_0")
    scope(radial_stress_rate, rho="rho_0", kappa="kappa_0")
    scope(widening_rate, eta="eta_0", rho="rho_0")
    scope(plastic_cell_modulus, M_p="M_p0", rho="rho_0", eta="eta_0")
    for step in (wall_stiffness, radial_stress_rate, widening_rate, plastic_cell_modulus):
        scope(step)
    for step in (strain_when_taut, load_when_taut, elastic_plastic_strain, elastic_plastic_widening):
        scope(step)
    scope(elastic_plastic_ring_tension)


def expected_gap(scope: Scope) -> Value:
    """Share by which the standard method is expected to settle less, by the stiffness of the sleeve."""
    stiffness = scope["J"]
    return scope.reading("d_exp", np.interp(stiffness.array, STIFFNESS_POINTS, EXPECTED_GAP), stiffness.axis_names,
                         title=say("gap-title"), source=TABLE, inputs=[stiffness])  # fmt: skip
