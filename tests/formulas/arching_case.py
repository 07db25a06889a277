"""The common case of the arching models and the chains of formulas that solve it."""

from math import pi, radians, sqrt
from types import SimpleNamespace
from typing import Any

import numpy as np

from calc.formulas import arching_concentric as concentric
from calc.formulas import arching_domes as domes
from calc.formulas import arching_shaft as shaft
from calc.formulas import arching_shells as shells
from calc.formulas import load_transfer as lt
from calc.formulas.ground import passive_coefficient
from calc.procedures.membrane import hemisphere_integral
from tests.references.reader import table

VALUES = table("arching_common_case")
ROUND_HEAD = 1.6 / sqrt(pi)  # the round head of the area of the square one


def common(**changes: float) -> SimpleNamespace:
    """The common case with its passive coefficient, factors one, and what changes in it."""
    case = SimpleNamespace(**{**VALUES["case"], **changes})
    case.K_p = float(passive_coefficient(radians(case.phi))) if "K_p" not in changes else np.float64(changes["K_p"])
    case.delta_a = lt.width_ratio(case.a_q, case.s_q)
    case.L_m = lt.clear_span(case.s_q, case.a_q)
    case.A_s = lt.soil_area(case.s_q, case.a_q)
    case.d_c = case.a_q * 2 / sqrt(pi)
    case.sigma_E = lt.mean_pressure(f_G=1.0, gamma_E=case.gamma_E, H=case.H, f_q=1.0, q=case.q)
    case.F_cell = lt.cell_load(case.sigma_E, case.s_q)
    return case


def follow(case: SimpleNamespace, *steps: Any, **given: Any) -> SimpleNamespace:
    """Apply formulas in order; each result is added to the case under its symbol."""
    for name, value in {"f_G": 1.0, "f_q": 1.0, **given}.items():
        setattr(case, name, value)
    for step in steps:
        setattr(case, step.symbol, step(**{name: getattr(case, name) for name in step.arguments}))
    return case


DOMES = (
    domes.dome_decay, domes.dome_growth, domes.crown_efficacy, domes.vault_ratio, domes.head_efficacy,
    domes.governing_efficacy, lt.pressure_beside_head, lt.head_load,
)  # fmt: skip
SHELLS = (
    shells.diagonal_spacing, shells.arch_height, shells.first_arch_value, shells.second_arch_value,
    shells.arch_exponent, shells.pressure_below_shells,
)  # fmt: skip
CONCENTRIC = (
    shells.diagonal_spacing, concentric.surface_load_factor, concentric.hemisphere_height,
    concentric.hemisphere_span_ratio, concentric.square_mean_of_power, concentric.square_mean_of_radius,
    concentric.hemisphere_growth, concentric.pressure_on_square, concentric.load_on_square,
    concentric.passed_on_pressure, concentric.largest_arch_height, concentric.arch_span_ratio, concentric.arch_growth,
    concentric.pressure_on_strip, concentric.load_on_strip, concentric.head_load_of_arches, lt.efficacy,
)  # fmt: skip
SHAFT = (shaft.head_perimeter, shaft.shaft_friction, shaft.pressure_beside_shaft)


def by_domes(**changes: float) -> SimpleNamespace:
    return follow(common(**changes), *DOMES)


def by_shells(**changes: float) -> SimpleNamespace:
    case = common(**changes)
    return follow(case, *SHELLS, s_1=case.s_q, s_2=case.s_q)


def by_concentric(**changes: float) -> SimpleNamespace:
    case = common(**changes)
    return follow(case, *CONCENTRIC, s_1=case.s_q, s_2=case.s_q, I_K=float(hemisphere_integral(case.K_p)))


def by_shaft(**changes: float) -> SimpleNamespace:
    case = common(**changes)
    case.phi = radians(case.phi)
    return follow(case, *SHAFT, K_T=0.75)
