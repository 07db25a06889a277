"""Staged filling in time: ramp tables, direct superposition, degrees, unloading, refused inputs."""

from itertools import pairwise
from typing import Any

import numpy as np
import pytest
from numpy.typing import NDArray

from calc.procedures.consolidation_response import Response, combined_response, layered_response, radial_response
from calc.procedures.failures import ProcedureError
from calc.procedures.staged_course import KEPT, Programme, follow, hold_on_unloading, walk
from tests.references.reader import table

approx = pytest.approx

Floats = NDArray[np.float64]
RAMPS = table("ramp_degrees")
ONCE = Programme((0.0,), (0.0,))


def single(ramp: float) -> Programme:
    return Programme((0.0,), (ramp,))


def degree(programme: Programme, response: Response, t: float) -> float:
    return float(follow(programme, response, [[1.0]], [t]).degree_of_last_load()[0, 0])


@pytest.mark.parametrize("row", RAMPS["vertical"], ids=lambda row: f"T={row['T']}")
def test_vertical_ramps_reproduce_the_table(row: dict[str, Any]) -> None:
    flow = combined_response([0.0], [0.0], [1.0], 1.0)
    found = [degree(single(ramp), flow, row["T"]) for ramp in RAMPS["vertical_ramps"]]

    assert found == approx(row["U"], abs=5.1e-5)


@pytest.mark.parametrize("row", RAMPS["radial"], ids=lambda row: f"x={row['T']}")
def test_radial_ramps_reproduce_the_table(row: dict[str, Any]) -> None:
    found = [degree(single(ramp), radial_response([1.0]), row["T"]) for ramp in RAMPS["radial_ramps"]]

    assert found == approx(row["U"], abs=5.1e-5)


@pytest.mark.parametrize("row", RAMPS["combined"], ids=lambda row: f"t={row['t']}")
def test_combined_response_is_superposed_and_ramped_parts_are_not(row: dict[str, Any]) -> None:
    whole = combined_response([1.0], [0.0], [1.0], 0.05)
    parts = (radial_response([1.0]), combined_response([0.0], [0.0], [1.0], 0.05))
    left = [1 - degree(single(1.0), part, row["t"]) for part in parts]

    assert degree(single(1.0), whole, row["t"]) == approx(row["U"], abs=5.1e-5)
    assert 1 - left[0] * left[1] == approx(row["multiplied"], abs=5.1e-5)
    assert row["multiplied"] > row["U"]


def test_half_ramp_rule_reproduces_its_value() -> None:
    """Placed at once at half the time: 0.3568 for 0.3364 at the end of the ramp."""
    flow = combined_response([0.0], [0.0], [1.0], 1.0)

    assert degree(ONCE, flow, 0.1) == approx(0.3568, abs=5e-5)
    assert degree(single(0.2), flow, 0.2) == approx(0.3364, abs=5e-5)


def usual() -> tuple[Programme, Response, Floats]:
    """Six steps, one placed at once, one taken off; four layers that differ; three cases of the rate."""
    programme = Programme((10.0, 40.0, 90.0, 120.0, 200.0, 300.0), (25.0, 60.0, 90.0, 150.0, 200.0, 330.0))
    radial = np.array([0.5, 1.0, 2.0])[:, None] * np.array([0.01, 0.02, 0.004, 0.008])
    response = layered_response(
        radial, [1.0, 2.0, 1.5, 2.0], [0.02, 0.01, 0.03, 0.01], [400.0, 600, 500, 700], both=True
    )
    loads = np.array([20.0, 45.0, 60.0, 90.0, 100.0, 80.0])
    final = 0.02 * loads[:, None] ** 0.8 * np.array([1.0, 2.0, 1.4, 0.7])
    return programme, response, final


def superposed(programme: Programme, response: Response, final: Floats, t: float, parts: int = 4000) -> Floats:
    """Each increment with its own age, ramps cut into many small loads placed at once."""
    settled: Floats = np.zeros((*response.cases, response.layers))
    for begin, end, (before, after) in zip(
        programme.begin, programme.end, pairwise([np.zeros(final.shape[1]), *final]), strict=True
    ):
        number = 1 if begin == end else parts
        dates = begin + (end - begin) * (np.arange(number) + 0.5) / number
        ages = t - dates[dates <= t]
        gone = (1 - response.remaining(ages)).sum(axis=-2)  # nothing where no part has been placed yet
        settled = settled + (after - before) / number * gone
    return settled


@pytest.mark.parametrize("t", [5.0, 17.0, 60.0, 90.0, 133.0, 200.0, 260.0, 500.0, 5000.0])
def test_exact_integration_agrees_with_superposition_of_small_loads(t: float) -> None:
    programme, response, final = usual()
    course = follow(programme, response, final, [t])

    assert course.value()[:, 0] == approx(superposed(programme, response, final, t), abs=2e-5)


def test_times_in_any_order_and_number_give_the_same_values() -> None:
    programme, response, final = usual()
    times = np.linspace(0, 900, 5000)
    mixed = np.random.default_rng(1).permutation(times.size)
    course, shuffled = follow(programme, response, final, times), follow(programme, response, final, times[mixed])

    assert shuffled.value() == approx(course.value()[:, mixed], abs=1e-13)
    assert follow(programme, response, final, times[777]).value()[:, 0] == approx(course.value()[:, 777], abs=1e-12)


def test_cases_and_what_is_followed_are_axes() -> None:
    """Settlement, ring tension and stress in one call, beside three cases of the rate."""
    programme, response, final = usual()
    several = np.stack([final, 3 * final, final**2])[:, None]
    course = follow(programme, response, several, [30.0, 400.0])

    assert course.placed.shape == (3, 3, 2, 4)
    assert course.value()[1] == approx(3 * course.value()[0])
    alone = follow(programme, response, final**2, [30.0, 400.0])
    assert course.value()[2] == approx(alone.value())


def test_degrees_against_current_and_last_load_are_kept_apart() -> None:
    programme, response, final = usual()
    course = follow(programme, response, final, [0.0, 70.0, 20_000.0])
    current, last = course.degree_of_current_load(), course.degree_of_last_load()

    assert (current[:, 0] == 0).all()
    assert (last[:, 0] == 0).all()
    assert (current[:, 1] > last[:, 1]).all()
    assert current[:, 1] * final[1] == approx(last[:, 1] * final[-1])
    assert current[:, 2] == approx(1, abs=1e-6)
    assert last[:, 2] == approx(1, abs=1e-6)


def test_degree_above_one_says_that_unloading_left_more_than_stays() -> None:
    programme = Programme((0.0, 500.0), (0.0, 500.0))
    course = follow(programme, radial_response([0.01]), [[1.0], [0.5]], [500.0])

    assert course.degree_of_current_load()[0, 0] == approx((1 - np.exp(-5)) / 0.5)


def test_total_is_the_sum_over_the_layers_with_its_own_degree() -> None:
    programme, response, final = usual()
    course = follow(programme, response, final, [100.0])
    total = course.total()

    assert total.value()[..., 0] == approx(course.value().sum(axis=-1))
    assert total.degree_of_last_load()[..., 0] == approx(course.value().sum(axis=-1) / final[-1].sum())


def test_undrained_share_comes_with_the_load() -> None:
    programme, response, final = usual()
    course = follow(programme, response, final, [90.0])
    share = np.array([0.0, 0.05, 0.1, 1.0])

    assert course.value(share) == approx(course.value() + share * course.lag)
    assert course.value(share)[..., 3] == approx(course.placed[..., 3])


SURCHARGE = Programme((0.0, 300.0, 400.0, 600.0), (0.0, 300.0, 400.0, 600.0))
LAW = np.array([[1.0, 1.0], [0.5, 0.5], [0.3, 0.3], [0.8, 1.4]])
FLOW = radial_response([0.01, 0.001])


def test_unloading_does_not_go_back_along_the_law_of_loading() -> None:
    """The first layer is beyond what the smaller load gives, the second is not: it goes on to that value."""
    held = hold_on_unloading(SURCHARGE, FLOW, LAW, 0.0)
    reached = follow(Programme((0.0,), (0.0,)), FLOW, LAW[:1], [300.0]).value()[0]

    assert reached[0] > 0.5 > reached[1]
    assert held[:, 0] == approx([1.0, reached[0], reached[0], reached[0]])
    assert held[1, 1] == 0.5
    late = follow(SURCHARGE, FLOW, held, [299.0, 300.0, 350.0, 399.0]).value()[:, 0]
    assert (np.diff(late) >= -1e-12).all()


def test_swelling_share_lies_between_holding_and_going_back() -> None:
    held, some, law = (hold_on_unloading(SURCHARGE, FLOW, LAW, share) for share in (0.0, 0.2, 1.0))

    assert law == approx(LAW)
    assert some[:2, 0] == approx(0.8 * held[:2, 0] + 0.2 * LAW[:2, 0])
    # Beyond what has been reached the law of loading governs again.
    assert some[3, 1] == held[3, 1] == 1.4


def test_share_of_each_layer_and_case_is_kept_in_unloading() -> None:
    programme, response, final = usual()
    held = hold_on_unloading(programme, response, final, np.array([0.0, 0.1, 0.2, 0.3]))

    assert held.shape == (3, 6, 4)
    assert (held[:, :5] == final[:5]).all()
    assert (held[:, 5] >= final[5]).all()


def test_programme_without_unloading_is_left_as_it_is() -> None:
    programme, response, final = usual()
    rising = np.maximum.accumulate(final, axis=0)

    assert (hold_on_unloading(programme, response, rising, 0.0) == rising).all()


@pytest.mark.parametrize(
    ("call", "words"),
    [
        (lambda: Programme((), ()), "steps need finite dates"),
        (lambda: Programme((0.0,), (np.nan,)), "steps need finite dates"),
        (lambda: Programme((5.0,), (4.0,)), "steps need finite dates"),
        (lambda: Programme((0.0, 4.0), (5.0, 9.0)), "before the next start"),
        (lambda: follow(ONCE, FLOW, [[1.0]], [1.0]), "must have the shape"),
        (lambda: follow(ONCE, FLOW, [1.0, 1.0], [1.0]), "must have the shape"),
        (lambda: follow(ONCE, FLOW, [[1.0, np.nan]], [1.0]), "final values must be finite"),
        (lambda: follow(ONCE, FLOW, [[1.0, 1.0]], [np.inf]), "times must be finite"),
        (lambda: hold_on_unloading(ONCE, FLOW, [[1.0, 1.0]], 1.5), "share of swelling"),
        (lambda: hold_on_unloading(ONCE, FLOW, [[1.0]], 0.5), "must have the shape"),
    ],
)
def test_impossible_programmes_are_refused(call: Any, words: str) -> None:
    with pytest.raises(ProcedureError, match=words):
        call()


def test_times_that_are_asked_again_have_the_course_that_was_found_and_nobody_changes_it() -> None:
    walked = walk(single(1.0), radial_response([1.0]), [[1.0]])
    times = np.array([0.5, 2.0])
    first = walked.at(times)
    values = first.value().tolist()
    times[:] = 9.0
    again = walked.at([0.5, 2.0])
    for k in range(KEPT + 1):  # more than are kept
        walked.at([float(k)])

    assert again is first
    assert first.times.tolist() == [0.5, 2.0]
    assert walked.at([0.5, 2.0]) is not first
    assert walked.at([0.5, 2.0]).value().tolist() == values
    for kept in (first.lag, first.final):
        with pytest.raises(ValueError, match="read-only"):
            kept[:] = 0.0


def test_a_case_alone_has_the_final_values_that_all_cases_share() -> None:
    response = Response(
        np.array([[[0.01], [0.02]]]), np.ones((1, 2, 1)), np.zeros(1), np.ones((1, 1))
    )  # fmt: skip
    walked = walk(single(1.0), response, [[[2.0]]])

    assert walked.at([50.0], 1).degree_of_last_load() == approx(walked.at([50.0]).degree_of_last_load()[1:])
