"""Times at which a share has come, and the stiffness of the sleeve in time."""

from math import log
from typing import Any

import numpy as np
import pytest

from calc.procedures.consolidation_response import Response, combined_response, radial_response
from calc.procedures.failures import ProcedureError
from calc.procedures.staged_course import Programme, follow
from calc.procedures.staged_sleeve import stiffness_in_time
from calc.procedures.staged_times import time_of_share

approx = pytest.approx

ONCE = Programme((30.0,), (30.0,))
STAGED = Programme((0.0, 40.0), (20.0, 60.0))
GIVEN = ((1.0, 3000.0), (100.0, 2600.0), (36525.0, 2000.0))


def test_time_of_a_share_is_on_the_calendar_of_the_programme() -> None:
    """One exponential: ln 10 over the rate after the load, in every case and layer."""
    rates = np.array([[0.01, 0.02], [0.005, 0.04]])
    found = time_of_share(ONCE, radial_response(rates), [[0.3, 0.1]], 0.9)

    assert found == approx(30 + log(10) / rates, rel=1e-8)


def test_time_of_vertical_flow_matches_the_printed_time_factor_of_90_percent() -> None:
    """0.848, CEG 4012 lecture notes, autumn 2011, p. 31."""
    found = time_of_share(ONCE, combined_response([0.0], [0.0], [1.0], 1e-3), [[1.0]], 0.9)

    assert (found[0] - 30) * 1e-3 == approx(0.848, abs=5e-4)


@pytest.mark.parametrize("total", [False, True])
def test_share_is_reached_at_the_time_found(total: bool) -> None:
    response, final = radial_response([0.02, 0.004, 0.01]), np.array([[0.1, 0.2, 0.1], [0.3, 0.3, 0.3]])
    found = time_of_share(STAGED, response, final, [0.3] if total else [0.2, 0.5, 0.99], total=total)
    course = follow(STAGED, response, final, found)
    degree = (course.total() if total else course).degree_of_last_load()

    assert np.diagonal(degree) == approx([0.3] if total else [0.2, 0.5, 0.99], abs=1e-8)


def test_total_lies_between_its_layers() -> None:
    response, final = radial_response([[0.02, 0.004], [0.01, 0.03]]), [[0.1, 0.2]]
    each, total = (time_of_share(ONCE, response, final, 0.95, total=one) for one in (False, True))

    assert total.shape == (2, 1)
    assert (each.min(axis=1) < total[:, 0]).all()
    assert (total[:, 0] < each.max(axis=1)).all()


def test_cases_of_the_final_values_are_kept() -> None:
    final = np.array([[[0.1], [0.3]], [[0.2], [0.3]]])
    early = time_of_share(STAGED, radial_response([0.01]), final, 0.5)

    assert early.shape == (2, 1)
    assert early[1, 0] < early[0, 0]


def test_share_that_comes_with_the_load_has_its_date() -> None:
    found = time_of_share(ONCE, radial_response([0.01]), [[0.3]], 0.05, undrained=0.1)

    assert found == approx([30.0], abs=1e-6)


def test_slow_layer_beside_a_quick_one_is_still_found() -> None:
    response = radial_response([1.0, 1e-6])
    total = time_of_share(ONCE, response, [[0.5, 0.5]], 0.9999, total=True)

    assert total[0] == approx(30 + log(0.5 / 0.0001) * 1e6, rel=1e-6)


@pytest.mark.parametrize(
    ("final", "share", "words"),
    [
        ([[0.1], [0.2]], 1.0, "between 0 and 1"),
        ([[0.1], [0.2]], 0.0, "between 0 and 1"),
        ([[0.2], [0.1]], 0.5, "fall in a step"),
        ([[0.0], [0.0]], 0.5, "nothing comes"),
        ([[0.2, 0.1]], 0.5, "must have the shape"),
    ],
)
def test_share_without_one_time_is_refused(final: Any, share: float, words: str) -> None:
    with pytest.raises(ProcedureError, match=words):
        time_of_share(STAGED, radial_response([0.01]), final, share)


def test_share_that_is_never_reached_is_refused() -> None:
    """Weights that do not fade stand for ground that never drains."""
    never = Response(np.array([[0.0]]), np.ones((1, 1)), np.array([1.0, 1e-300]), np.array([[0.5, 0.5]]))

    with pytest.raises(ProcedureError, match="is not reached"):
        time_of_share(ONCE, never, [[1.0]], 0.9)


def test_stiffness_passes_through_the_given_values_and_is_linear_in_log_time() -> None:
    found = stiffness_in_time([1.0, 10.0, 100.0, 36525.0], GIVEN)

    assert found.J == approx([3000, 2800, 2600, 2000])
    assert not found.outside.any()


def test_stiffness_outside_the_given_times_is_the_nearest_and_marked() -> None:
    found = stiffness_in_time([0.5, 50_000.0], GIVEN)

    assert found.J == approx([3000, 2000])
    assert found.outside.all()


@pytest.mark.parametrize(
    ("times", "given", "words"),
    [
        ([0.0], GIVEN, "times must be greater than 0"),
        ([1.0], GIVEN[:1], "at least two"),
        ([1.0], ((0.0, 3000.0), (10.0, 2000.0)), "times must be greater than 0"),
        ([1.0], ((10.0, 3000.0), (10.0, 2000.0)), "must rise"),
        ([1.0], ((1.0, 2000.0), (10.0, 3000.0)), "must not grow"),
        ([1.0], ((1.0, 2000.0), (10.0, 0.0)), "greater than 0"),
    ],
)
def test_impossible_stiffness_is_refused(times: list[float], given: Any, words: str) -> None:
    with pytest.raises(ProcedureError, match=words):
        stiffness_in_time(times, given)
