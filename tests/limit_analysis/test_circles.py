"""Slip circles through columns that bend, against upper bounds of plane-strain limit analysis.

Like with like: in both all strengths of ground and fill are divided by the same number until the bank just stands.
"""

from math import radians, tan
from types import SimpleNamespace

import pytest

from calc.formulas.ground import active_coefficient
from calc.procedures.slip import BlockSearch, analyse
from tests.limit_analysis.bank import Bank
from tests.limit_analysis.cases import bank_of, needed_strength
from tests.limit_analysis.circles import circle_factor, slip_model
from tests.limit_analysis.extrusion import Fineness
from tests.limit_analysis.tables import extruded_at
from tests.limit_analysis.upper import upper_bound
from tests.references.reader import rows

approx = pytest.approx
ROWS = rows("limit_circles")
BEYOND = [row for row in ROWS if hasattr(row, "beyond")]
WITHIN = [row for row in ROWS if row not in BEYOND]
AGAIN = {"strength growing fast", "must fail, columns to the crest edge"}


def name(row: SimpleNamespace) -> str:
    return str(row.name)


def thrust(bank: Bank) -> float:
    """Active thrust of the fill at the crest edge, kN/m."""
    return float(active_coefficient(radians(bank.phi))) * bank.gamma * bank.H**2 / 2


@pytest.mark.parametrize("row", ROWS, ids=name)
def test_circle_stands_just_at_the_stored_safety(row: SimpleNamespace) -> None:
    """What the other tests compare is the safety by circles of the program as it is."""
    assert circle_factor(bank_of(row).reduced(row.circle)) == approx(1.0, abs=0.005)


@pytest.mark.parametrize("row", WITHIN, ids=name)
def test_circle_does_not_exceed_the_upper_bound(row: SimpleNamespace) -> None:
    """By no more than 5 %: what a circle is known to be unsafe by on plain slopes."""
    assert row.circle <= 1.05 * row.upper


@pytest.mark.parametrize("row", [row for row in BEYOND if row.beyond == "thin"], ids=name)
def test_wedge_governs_a_long_slope_on_a_thin_layer_of_strong_growth(row: SimpleNamespace) -> None:
    """There circles exceed the upper bound by 5 to 8 %; the extruding wedge lies below it and its condition is met."""
    bank = bank_of(row)

    assert row.circle > 1.04 * row.upper
    assert row.rho * row.t / row.c_u0 > 3
    assert bank.ground.L / row.t > 4
    assert bank.T >= thrust(bank.reduced(row.upper))
    assert extruded_at(bank.reduced(row.upper).ground) <= bank.gamma * bank.H


@pytest.mark.parametrize("row", [row for row in BEYOND if row.beyond == "spreading"], ids=name)
def test_circles_miss_a_fill_that_spreads_on_a_weak_top(row: SimpleNamespace) -> None:
    """They exceed the upper bound by 12 and 22 %: the reinforcement does not hold the thrust of the fill."""
    bank = bank_of(row)

    assert row.circle > 1.1 * row.upper
    assert bank.T < thrust(bank.reduced(row.upper))


def test_circles_are_too_high_only_for_long_slopes_on_thin_layers_that_grow_fast_from_a_weak_top() -> None:
    shapes = [(bank_of(row).ground.L / row.t, getattr(row, "rho", 0.0) * row.t / row.c_u0) for row in BEYOND]

    assert len(BEYOND) == 4
    assert min(shape[0] for shape in shapes) > 4
    assert min(shape[1] for shape in shapes) >= 2


def test_unreinforced_fill_spreads_where_its_thrust_exceeds_the_shear_at_the_top() -> None:
    """Closed form: K_a gamma H^2/2 against (1 - a) c_u0 L, the columns' heads left out; 2 % from the upper bound."""
    row = next(row for row in BEYOND if not row.T)
    bank = bank_of(row).reduced(row.upper)
    held = (1 - bank.ground.a) * bank.ground.c_u0 * bank.ground.L

    assert tan(radians(bank.phi)) == approx(tan(radians(35.0)) / row.upper)
    assert held == approx(thrust(bank), rel=0.02)


def test_wedge_and_circle_together_are_below_the_upper_bound_where_the_thrust_is_held() -> None:
    held = [row for row in ROWS if row.a and row.T >= thrust(bank_of(row).reduced(row.upper))]
    over = [
        row.name
        for row in held
        if row.circle > row.upper and extruded_at(bank_of(row).reduced(row.upper).ground) > 19.0 * bank_of(row).H
    ]

    assert len(held) > 10
    assert over == []


@pytest.mark.slow
@pytest.mark.parametrize("row", [row for row in ROWS if row.name in AGAIN], ids=name)
def test_bank_asks_for_its_whole_strength_at_the_stored_upper_bound(row: SimpleNamespace) -> None:
    """Computed again on the mesh of the stored bound."""
    assert needed_strength(upper_bound, bank_of(row), row.upper, Fineness(rows=6)) == approx(1.0, abs=0.01)


@pytest.mark.parametrize("which", ["no columns", "columns to mid-slope", "must fail, columns to the crest edge"])
def test_blocks_by_spencer_take_no_solution_in_which_the_slices_pull_at_each_other(which: str) -> None:
    """Blocks along the base: roots of 0.15 to 0.44 of the equations, in tension, lay below Janbu's 0.48 to 1.05."""
    bank = bank_of(next(row for row in ROWS if row.name == which))
    t, L = bank.ground.t, bank.ground.L
    base = (-3 * t, 0.02 - t), (L + 3 * t, 0.02 - t)
    active, passive = ((radians(angle) for angle in angles) for angles in ((40, 50, 60), (25, 35, 45)))
    search = BlockSearch(base, (-0.8 * t - 2, 0.0), (0.0, L + 0.5 * t), tuple(active), tuple(passive), (8, 8))

    spencer, janbu = (analyse(slip_model(bank), search, one) for one in ("spencer", "janbu"))

    assert not {warning.key for warning in spencer.warnings} & {"interslice_tension", "negative_normal"}
    assert 0.9 * janbu.factor < spencer.factor < 1.2 * janbu.factor
