"""Monte Carlo against closed forms; bounds; the same numbers whatever works them out, in memory that does not grow."""

import tracemalloc
from collections.abc import Mapping
from pathlib import Path
from typing import Any

import numpy as np
import pytest
from scipy import stats

from calc.kept import KeptFiles
from calc.study.chunks import KeptChunks
from calc.study.engines import Here, engine
from calc.study.vary import sampling
from calc.study.vary.in_chunks import CHUNK, NoNumberError, utilisations
from calc.study.vary.marginals import Model
from calc.study.vary.sampling import Question, bounds, clopper_pearson, reliability_index, replicate, sampled_replicates
from tests.study.vary.known_states import circle, linear, normal_points, nothing, rare, standard, together, unsolved

BOTH = together(standard("a", "b"))
POINTS, REPLICATES = 1024, 16


def ask(model: Model, name: str, **changes: Any) -> Question:
    return Question(model, BOTH, 7, POINTS, (name,), **changes)


@pytest.mark.parametrize(
    ("model", "name", "exact"),
    [(linear, "linear", stats.norm.cdf(-2)), (circle, "circle", np.exp(-2))],
)
def test_a_known_probability_lies_within_the_bounds(model: Model, name: str, exact: float) -> None:
    found, scores = sampled_replicates(ask(model, name), REPLICATES, Here())
    one = found[name].probability

    assert one.low < exact < one.high
    assert one.value == pytest.approx(exact, rel=0.05)
    assert one.failures == round(one.value * one.points)
    assert scores.shape == (512, 2)
    course = found[name].course
    assert course[-1, 0] == POINTS * REPLICATES == one.points
    assert (course[0, 3] - course[0, 2]) > (course[-1, 3] - course[-1, 2])


def test_mean_and_deviation_are_those_of_the_limit_state() -> None:
    found = sampled_replicates(ask(linear, "linear"), REPLICATES, Here())[0]["linear"]

    assert (found.mean, found.deviation) == pytest.approx((-1.0, 1.0), abs=0.01)


def test_importance_sampling_reaches_a_small_probability() -> None:
    around = ask(rare, "rare", centre=np.array([2.7, 3.6]), stream=1)
    one = sampled_replicates(around, REPLICATES, Here())[0]["rare"].probability

    assert one.low < stats.norm.sf(4.5) < one.high
    assert one.high < 1.1 * one.low


def test_no_failure_has_an_upper_bound() -> None:
    one = sampled_replicates(ask(rare, "rare"), REPLICATES, Here())[0]["rare"].probability

    assert (one.value, one.low) == (0.0, 0.0)
    assert one.high == pytest.approx(1 - 0.025 ** (1 / one.points), rel=1e-6)


def test_points_without_a_solution_fail() -> None:
    found = sampled_replicates(ask(unsolved, "unsolved"), REPLICATES, Here())[0]["unsolved"]

    assert found.unsolved == found.probability.failures
    assert found.probability.value == pytest.approx(stats.norm.sf(2), rel=0.1)
    assert found.mean == pytest.approx(0.5, abs=0.01)


def test_a_point_without_a_number_is_an_error_that_says_where() -> None:
    with pytest.raises(NoNumberError, match=r"nothing: no number at a = .*, b = "):
        sampled_replicates(ask(nothing, "nothing"), REPLICATES, Here())


def test_results_are_the_same_to_the_last_digit_by_any_number_of_workers() -> None:
    known = sampled_replicates(ask(linear, "linear"), REPLICATES, Here())
    with engine("processes", 2) as two, engine("processes", 3) as three:
        others = [sampled_replicates(ask(linear, "linear"), REPLICATES, crew) for crew in (two, three)]

    for found, scores in others:
        assert found["linear"].course.tobytes() == known[0]["linear"].course.tobytes()
        assert (found["linear"].mean, found["linear"].deviation) == (
            known[0]["linear"].mean,
            known[0]["linear"].deviation,
        )
        assert scores.tobytes() == known[1].tobytes()


@pytest.mark.parametrize("index", [0, 3])
@pytest.mark.parametrize(
    ("model", "name", "centre"),
    [(linear, "linear", None), (unsolved, "unsolved", None), (rare, "rare", np.array([2.7, 3.6]))],
)
def test_a_replicate_in_blocks_has_the_sums_of_all_points_at_once(
    model: Model, name: str, centre: Any, index: int, monkeypatch: pytest.MonkeyPatch
) -> None:
    """The same bytes; where points have no solution the sums of the others are added in other groups."""
    question = Question(model, BOTH, 7, 8 * CHUNK, (name,), centre=centre)
    blocks = replicate(question, index)
    monkeypatch.setattr(sampling, "CHUNK", question.points)
    whole = replicate(question, index)

    assert blocks.keys() == whole.keys()
    for part, array in whole.items():
        if name == "unsolved" and part.endswith("sums"):
            assert blocks[part] == pytest.approx(array, rel=1e-14)
            assert blocks[part][:2].tolist() == array[:2].tolist()
        else:
            assert blocks[part].tobytes() == array.tobytes(), part


def test_memory_does_not_grow_with_the_points() -> None:
    """What numpy holds at its most, as it tells the interpreter; and no model is asked for more than a block."""
    asked = set[int]()

    def counted(values: Mapping[str, Any]) -> Mapping[str, Any]:
        asked.add(len(values["a"]))
        return linear(values)

    def peak(points: int) -> int:
        tracemalloc.start()
        try:
            replicate(Question(counted, BOTH, 7, points, ("linear",)), 0)
            return tracemalloc.get_traced_memory()[1]
        finally:
            tracemalloc.stop()

    peak(CHUNK)  # what is loaded only once
    few, many = peak(2 * CHUNK), peak(64 * CHUNK)

    assert asked == {CHUNK}
    assert few > 3 * 8 * CHUNK
    assert many < 1.5 * few  # 32 times the points


def test_kept_replicates_are_not_worked_out_again(tmp_path: Path) -> None:
    kept, told = KeptChunks(KeptFiles(tmp_path), "question"), list[str]()
    first = sampled_replicates(ask(linear, "linear"), 8, Here(), kept, told.append)
    again = sampled_replicates(ask(nothing, "linear"), 8, Here(), kept, told.append)

    assert len(told) == 8
    assert again[0]["linear"].course.tobytes() == first[0]["linear"].course.tobytes()


def test_utilisations_of_many_points_are_those_of_each() -> None:
    points = normal_points(2, 8192, (1,))
    values = BOTH.values(points)

    found = utilisations(linear, values, Here())["linear"]

    assert found.tobytes() == linear(values)["linear"].tobytes()


def test_no_point_lies_in_an_infinite_tail() -> None:
    assert np.isfinite(normal_points(3, 2**14, (3, 1))).all()


def test_bounds_of_clopper_and_pearson() -> None:
    """Of 10 points with 3 failures: 6.67 % and 65.25 %, a value of many textbooks; both ends are solved for."""
    low, high = clopper_pearson(3, 10)

    assert (low, high) == pytest.approx((0.0667, 0.6525), abs=5e-5)
    assert stats.binom.sf(2, 10, low) == pytest.approx(0.025)
    assert stats.binom.cdf(3, 10, high) == pytest.approx(0.025)
    assert clopper_pearson(10, 10)[1] == 1.0


def test_bounds_are_those_of_the_replicates_where_these_scatter_more() -> None:
    estimates = np.array([0.0, 0.4] * 8)
    value, low, high = bounds(estimates, 16 * 1024, plain=True)
    half = stats.t.ppf(0.975, 15) * estimates.std(ddof=1) / 4

    assert (value, low, high) == pytest.approx((0.2, 0.2 - half, 0.2 + half))


@pytest.mark.parametrize(
    ("probability", "index"), [(stats.norm.sf(3.8), 3.8), (0.5, 0.0), (0.0, np.inf), (1.0, -np.inf)]
)
def test_reliability_index(probability: float, index: float) -> None:
    assert reliability_index(probability) == pytest.approx(index)
