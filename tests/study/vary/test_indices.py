"""Sensitivity: the function of Ishigami with its exact shares, elementary effects of a plane, the tornado."""

from collections.abc import Sequence

import numpy as np
import pytest

from calc.study.engines import Here
from calc.study.vary import indices
from calc.study.vary.in_chunks import CHUNK
from calc.study.vary.indices import morris, saltelli_points, sobol
from calc.study.vary.one_at_a_time import Ends, Swing, ends_of, tornado
from tests.study.vary.known_states import Floats, Values, flat, ishigami, linear, standard, together, unsolved, varied

A, B = 7.0, 0.1
VARIANCE = A**2 / 8 + B * np.pi**4 / 5 + B**2 * np.pi**8 / 18 + 0.5
ALONE = np.array([0.5 * (1 + B * np.pi**4 / 5) ** 2, A**2 / 8, 0.0]) / VARIANCE
TOTAL = ALONE + np.array([1.0, 0.0, 1.0]) * B**2 * np.pi**8 * (1 / 18 - 1 / 50) / VARIANCE
CIRCLE = [varied(path=name, distribution="uniform", least=-np.pi, most=np.pi) for name in "abc"]


def test_shares_match_ishigami_and_homma_1990() -> None:
    """Exact values by the closed form of the variance; the estimate lies within its bounds, which are narrow."""
    shares = sobol(ishigami, together(CIRCLE), 4096, 1, Here())["ishigami"]

    assert [one.path for one in shares] == ["a", "b", "c"]
    for one in shares:
        k = "abc".index(one.path)
        assert one.first == pytest.approx(ALONE[k], abs=one.first_bound)
        assert one.total == pytest.approx(TOTAL[k], abs=one.total_bound)
        assert one.first_bound < 0.06
        assert one.total_bound < 0.06


def test_shares_of_a_plane_are_squares_of_its_slopes() -> None:
    shares = sobol(linear, together(standard("a", "b")), 1024, 1, Here())["linear"]

    assert {one.path: one.total for one in shares} == pytest.approx({"a": 0.36, "b": 0.64}, abs=0.02)


@pytest.mark.parametrize(
    ("owners", "points", "count"),
    [("a", 1024, 512), ("abc", 256, 100), ("abacba", 128, 100), (map(str, range(40)), 64, 4096)],
)
def test_points_of_the_shares_are_those_of_the_library_that_analyses_them(
    owners: Sequence[str], points: int, count: int
) -> None:
    from SALib.sample import sobol as sampling

    owners = [*owners]
    size, shown = len(owners), [*dict.fromkeys(owners)]
    names = [str(k) for k in range(size)]
    problem = {"num_vars": size, "names": names, "bounds": [[0.0, 1.0]] * size}
    if len(shown) < size:
        problem["groups"] = owners
    whole, rows = sampling.sample(problem, points, calc_second_order=False, seed=7), points * (len(shown) + 2)
    groups = [[k for k, owner in enumerate(owners) if owner == one] for one in shown]

    parts = [saltelli_points(groups, 7, first, min(count, rows - first)) for first in range(0, rows, count)]

    assert np.concatenate(parts).tobytes() == whole.tobytes()


def test_shares_hold_a_chunk_of_points_and_no_more_base_points_than_that(monkeypatch: pytest.MonkeyPatch) -> None:
    asked, both = list[int](), together(standard("a", "b"))

    def counted(values: Values) -> dict[str, Floats]:
        asked.append(len(values["a"]))
        return linear(values)

    monkeypatch.setattr(indices, "SHARED", 4096)
    many, most = (sobol(counted, both, points, 1, Here())["linear"] for points in (2**14, 4096))

    assert many == most
    assert asked == 8 * [CHUNK]


def test_what_does_not_vary_or_has_no_solution_has_no_shares() -> None:
    both = together(standard("a", "b"))

    assert sobol(flat, both, 256, 1, Here())["flat"] == []
    assert sobol(unsolved, both, 256, 1, Here())["unsolved"] == []


def test_elementary_effects_of_a_plane_are_its_rises_over_the_ranges() -> None:
    both = together(standard("a"), b=0.0)
    ends = [ends_of(standard("a")[0], {"a": both.marginals[0]}), Ends("b", -1.0, 1.0, fractiles=False)]

    effects = morris(linear, {"a": 0.0, "b": 0.0}, ends, both, 1, Here())["linear"]

    assert effects[0].path == "a" or effects[1].path == "a"
    plane = next(one for one in effects if one.path == "b")
    assert (plane.size, plane.scatter) == pytest.approx((1.6, 0.0), abs=1e-9)


def test_a_point_without_a_solution_leaves_no_effects() -> None:
    ends = [Ends("a", -3.0, 3.0, fractiles=False), Ends("b", -1.0, 1.0, fractiles=False)]

    assert morris(unsolved, {"a": 0.0, "b": 0.0}, ends, together([]), 1, Here())["unsolved"] == []


def test_the_tornado_has_the_largest_change_first() -> None:
    ends = [Ends("a", -1.0, 1.0, fractiles=False), Ends("b", -1.0, 2.0, fractiles=False)]

    base, swings = tornado(linear, {"a": 0.0, "b": 0.0}, ends, Here())

    assert base["linear"] == pytest.approx(-1.0)
    assert [one.path for one in swings["linear"]] == ["b", "a"]
    assert swings["linear"][0].at_high == pytest.approx(-1.0 + 1.6)


def test_ends_are_the_range_or_fractiles() -> None:
    known = {"a": together(standard("a")).marginals[0]}

    assert ends_of(standard("a")[0], known).high == pytest.approx(1.6449, abs=1e-4)
    assert ends_of(varied(path="a", least=1, most=3), {}) == Ends("a", 1.0, 3.0, fractiles=False)


def test_a_swing_between_points_without_solution_is_none() -> None:
    assert Swing("a", np.inf, np.inf).size == 0.0
    assert Swing("a", 0.5, np.inf).size == np.inf
