"""The stiffness of the sleeve in time."""

from typing import Any

import pytest

from calc.procedures.failures import ProcedureError
from calc.procedures.staged_sleeve import stiffness_in_time

approx = pytest.approx

GIVEN = ((1.0, 3000.0), (100.0, 2600.0), (36525.0, 2000.0))


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
