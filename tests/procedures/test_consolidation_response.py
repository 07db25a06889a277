"""Combined response of the layers: printed table, series against finite volumes, laws, refused inputs."""

from types import SimpleNamespace
from typing import Any

import numpy as np
import pytest
from numpy.typing import ArrayLike, NDArray

from calc.formulas.consolidation import combined_degree
from calc.formulas.staged import mean_pressure_term, pressure_term, term_argument
from calc.procedures.consolidation_radial import drainage_factor
from calc.procedures.consolidation_response import (
    Response,
    combined_response,
    layered_response,
    radial_response,
    vertical_degree,
)
from calc.procedures.failures import ProcedureError
from tests.procedures.layered_column import pressures_left
from tests.references.reader import rows, table

approx = pytest.approx

Floats = NDArray[np.float64]
THIN = 1e-5  # half the thickness of a sublayer, over the drainage path
EDGES = np.linspace(0, 1, 11)
EARLY_TO_LATE = np.geomspace(1e-9, 5, 1500)


def even(radial: Floats | float, vertical: float = 1.0) -> Response:
    return combined_response(np.broadcast_to(radial, 10), EDGES[:-1], EDGES[1:], vertical)


def pressures_at(T_v: float, depths: ArrayLike) -> Floats:
    """What is left in sublayers so thin that their mean is the pressure at a depth, vertical flow only."""
    depth = np.asarray(depths, dtype=np.float64)
    thin = combined_response(np.zeros(depth.size), depth - THIN, depth + THIN, 1.0)
    return np.asarray(thin.remaining(np.array([T_v]))[0])


@pytest.mark.parametrize("row", rows("terzaghi_degrees"), ids=lambda row: f"U={row.U}")
def test_vertical_degree_matches_the_printed_table(row: SimpleNamespace) -> None:
    """CEG 4012 lecture notes, 2011, p. 31: 0.5 % of T or the last digit where few are printed (10 % is cut)."""
    digit = 0.00006 if row.printed < 0.1 else 0.00051
    off = max(0.005 * row.printed, digit)
    lower, upper = vertical_degree([row.printed - off, row.printed + off])

    assert lower <= row.U / 100 <= upper


@pytest.mark.parametrize("row", rows("terzaghi_degrees"), ids=lambda row: f"U={row.U}")
def test_vertical_degree_reproduces_the_series_to_its_printed_digits(row: SimpleNamespace) -> None:
    lower, upper = vertical_degree([row.series - 6e-6, row.series + 6e-6])

    assert lower <= row.U / 100 <= upper


def test_vertical_degree_is_the_sum_of_its_printed_terms() -> None:
    M = term_argument(np.arange(3000.0))
    for T in (1e-4, 0.01, 0.2, 1.0):
        assert 1 - vertical_degree(T) == approx(mean_pressure_term(M, T).sum(), abs=1e-9)
        assert pressures_at(T, [0.1, 0.5]) == approx(
            np.array([pressure_term(M, z, T).sum() for z in (0.1, 0.5)]), abs=1e-6
        )


def test_isochrone_of_the_reclamation_manual_d2_matches_by_the_procedure() -> None:
    known = table("reclamation_d2")
    found = 1 - pressures_at(known["implied"]["T_v"][1], np.array(known["depths"]) / known["path"])

    assert found == approx(known["vertical"], abs=1e-3)


def test_combination_is_local_and_by_the_product_of_what_is_left() -> None:
    rates = np.linspace(0.0, 0.9, 10)
    both, vertical = even(rates).remaining(EARLY_TO_LATE), even(0.0).remaining(EARLY_TO_LATE)

    radial = 1 - np.exp(-rates * EARLY_TO_LATE[:, None])
    assert 1 - both == approx(combined_degree(1 - vertical, radial), abs=1e-12)


def test_radial_response_is_one_exponential_for_every_case() -> None:
    rates = np.array([[0.01, 0.02], [0.03, 0.04], [0.05, 0.06]])
    left = radial_response(rates).remaining([0.0, 10.0])

    assert left.shape == (3, 2, 2)
    assert left[:, 1] == approx(np.exp(-10 * rates))
    assert radial_response(rates).slowest == approx(rates)


def test_drainage_on_two_sides_is_twice_that_on_one() -> None:
    """Mirrored about the middle: layers of both halves are those of the one-sided ground of half the thickness."""
    edges = np.linspace(0, 2, 21)
    two = combined_response(np.zeros(20), edges[:-1], edges[1:], 1.0).remaining(EARLY_TO_LATE)

    assert two[:, :10] == approx(two[:, :9:-1], abs=1e-9)
    assert two[:, :10] == approx(even(0.0).remaining(EARLY_TO_LATE), abs=1e-9)


@pytest.mark.parametrize("radial", [0.0, 0.3])
def test_degree_is_monotonic_in_time_under_constant_load(radial: float) -> None:
    """2e-8: the truncated series at time factors below 1e-5; the finite volumes have no such error."""
    z = np.ones(10)
    ramified = layered_response(np.full(10, radial), z, z * np.geomspace(0.1, 10, 10), z, both=True)

    assert np.diff(even(radial).remaining(EARLY_TO_LATE), axis=0).max() < 2e-8
    assert np.diff(ramified.remaining(EARLY_TO_LATE), axis=0).max() < 1e-12


def test_layers_alike_reproduce_the_series() -> None:
    """From a time factor of 0.002 on: 3e-5 of the whole, 3e-4 of a layer of a tenth of the path."""
    times = np.geomspace(0.002, 3, 60)
    ones = np.ones(10)
    found = layered_response(0 * ones, ones / 10, ones, 500 * ones, both=False).remaining(times)
    series = even(0.0).remaining(times)

    assert found.mean(axis=1) == approx(series.mean(axis=1), abs=3e-5)
    assert found == approx(series, abs=3e-4)
    assert found.mean(axis=1) == approx(1 - vertical_degree(times), abs=3e-5)


@pytest.mark.parametrize("both", [False, True])
def test_layers_that_differ_agree_with_a_finer_division(both: bool) -> None:
    h, c_v, m_v = np.array([3.0, 4.0, 3.0]), np.array([0.01, 0.03, 0.005]), np.array([2.0, 1.0, 3.0])
    times = np.geomspace(20, 4000, 40)
    found = layered_response(np.zeros(3), h, c_v, 1 / m_v, both=both).remaining(times)

    assert found == approx(pressures_left(h, c_v, m_v, times, both=both), abs=2e-4)


def test_a_layer_hardly_pervious_keeps_the_water_of_what_lies_below() -> None:
    ones = np.ones(4)
    free = layered_response(0 * ones, ones, ones, ones, both=False).remaining([5.0])[0]
    lidded = layered_response(0 * ones, ones, [0.01, 1, 1, 1], ones, both=False).remaining([5.0])[0]

    assert (lidded[1:] > free[1:]).all()
    assert lidded[3] > 0.99


def test_response_starts_at_one_exactly() -> None:
    ones = np.ones(10)
    for one in (even(0.1), layered_response(ones, ones, ones, ones, both=True), radial_response(ones)):
        assert one.remaining([0.0]) == approx(np.ones((1, 10)), abs=1e-12)


@pytest.mark.parametrize(
    ("call", "words"),
    [
        (lambda: radial_response([0.1, 0.0]), "every layer needs a radial rate"),
        (lambda: radial_response(0.1), "one for each layer"),
        (lambda: radial_response([0.1, np.nan]), "0 or greater"),
        (lambda: radial_response([-0.1]), "0 or greater"),
        (lambda: combined_response([0.1], [0.0], [1.0], 0.0), "rate of vertical flow"),
        (lambda: combined_response([0.1], [0.0], [1.0], np.nan), "rate of vertical flow"),
        (lambda: combined_response([0.1], [0.5], [0.5], 1.0), "top and a bottom"),
        (lambda: combined_response([0.1], [-0.1], [0.5], 1.0), "top and a bottom"),
        (lambda: combined_response([0.1], [0.1], [2.1], 1.0), "top and a bottom"),
        (lambda: combined_response([0.1], [0.1, 0.2], [0.2, 0.3], 1.0), "top and a bottom"),
        (lambda: layered_response([0.1], [1.0], [0.0], [1.0], both=True), "a thickness, a coefficient"),
        (lambda: layered_response([0.1], [1.0, 1.0], [1.0], [1.0], both=True), "a thickness, a coefficient"),
        (lambda: drainage_factor(n_d=1.0, s_sm=1.0, r_ks=1.0), "n_d must be greater than 1"),
        (lambda: drainage_factor(n_d=2.5, s_sm=0.9, r_ks=1.0), "s_sm must be 1 or greater"),
        (lambda: drainage_factor(n_d=2.5, s_sm=1.5, r_ks=0.5), "r_ks must be 1 or greater"),
        (lambda: drainage_factor(n_d=2.5, s_sm=2.5, r_ks=3.0), "must end inside the cell"),
    ],
)
def test_impossible_values_are_refused(call: Any, words: str) -> None:
    with pytest.raises(ProcedureError, match=words):
        call()


def test_drainage_factors_of_the_procedure_are_those_of_the_formulas() -> None:
    assert drainage_factor(n_d=[2.5, 3.0], s_sm=1.0, r_ks=1.0) == approx([0.3808, 0.5137], abs=5e-5)
