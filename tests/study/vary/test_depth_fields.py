"""Values by sublayer: their correlation, limit states of known reliability, whole layers and independent sublayers."""

from collections.abc import Sequence
from dataclasses import replace

import numpy as np
import pytest
from numpy.typing import NDArray
from scipy import stats

from calc.inputs.tables.vary import VariedInput
from calc.study.engines import Here, engine
from calc.study.vary.depth_fields import DepthField, by_part, reason_by_fields
from calc.study.vary.design_points import DesignPoint, design_point
from calc.study.vary.indices import morris, sobol
from calc.study.vary.marginals import Joint, Model, joint, marginal
from calc.study.vary.one_at_a_time import Ends, ends_of, tornado
from calc.study.vary.point_values import further_points, point_values
from calc.study.vary.sampling import Question, normal_blocks, sampled_replicates
from calc.study.vary.study import IS, MC, Answer, Asked, Means, study_section
from tests.study.vary.known_states import (
    SPREAD,
    WEIGHTS,
    Floats,
    by_depth,
    depth_field,
    in_a_row,
    layered,
    linear,
    standard,
    together,
    varied,
    weakest,
)
from tests.study.vary.test_study import asked, table

OTHER = "layer.clay.y"
DEPTHS = np.arange(5) * 0.5
BY_HAND = np.exp(-2 * np.abs(DEPTHS[:, None] - DEPTHS[None, :]) / 0.8)
"""Correlation of five sublayers of half a metre with a scale of fluctuation of 0.8 m."""


def spread(path: str = SPREAD, **more: object) -> VariedInput:
    given = {"path": path, "distribution": "normal", "mean": 0, "sd": 1, "vertical": "sublayers",
             "correlation_length": "0.8 m"}  # fmt: skip
    return varied(**(given | more))


def of_fields(
    fields: Sequence[DepthField], scalars: Sequence[VariedInput] = (), rank: float = 0.0, **more: object
) -> Joint:  # fmt: skip
    inputs = [*scalars, *(spread(one.path, **more) for one in fields)]
    matrix = np.eye(len(inputs))
    matrix[-2:, -2:] += rank * (1 - np.eye(2)) if rank else 0.0
    return joint([marginal(one) for one in inputs], matrix, {}, fields)


def nearest(model: Model, name: str, of: Joint) -> DesignPoint:
    """The design point of a model, searched from the medians."""
    return design_point(lambda u: 1 - model(of.values(u))[name], of.size, [np.zeros(of.size)])


def answered(one: Asked, together: Joint, **changes: object) -> Answer:
    """What a study says of a limit state with these inputs; one without distributions has a range."""
    inputs = [spread(path) if path in together.fields else standard(path)[0] for path in together.places]
    vary = table([{"path": one.path, "distribution": "normal", "mean": 0, "sd": 1, "source": "x"} for one in inputs],
                 **changes)  # fmt: skip
    known = {of.path: of for of in together.marginals}
    ends, base = [ends_of(of, known) for of in inputs], {of.path: 0.0 for of in inputs}
    return study_section(vary, [one], together, ends, base, Means(Here()), names=("A", "Stretch")).answers[0]


def test_scores_of_sublayers_have_the_correlation_of_their_depths() -> None:
    lower = of_fields([depth_field(0.8)]).lower

    assert lower @ lower.T == pytest.approx(BY_HAND, abs=1e-14)


def test_the_variables_are_in_the_order_of_their_share_in_their_input() -> None:
    """Whole inputs first, then the parts of the expansion: their variances are the eigenvalues of the correlation."""
    both = of_fields([depth_field(0.8)], standard("b"))

    assert both.size == 6
    assert both.owners == ("b", *[SPREAD] * 5)
    assert both.lower[0].tolist() == [1, 0, 0, 0, 0, 0]
    variances = (both.lower[1:] ** 2).sum(axis=0)[1:]
    assert variances == pytest.approx(np.sort(np.linalg.eigvalsh(BY_HAND))[::-1])
    assert list(variances) == sorted(variances, reverse=True)


def test_two_correlated_fields_have_the_product_of_both_correlations() -> None:
    two = of_fields([depth_field(0.8), depth_field(0.8, path=OTHER)], rank=0.5)

    assert two.lower @ two.lower.T == pytest.approx(np.kron([[1, 0.5], [0.5, 1]], BY_HAND), abs=1e-14)
    assert two.places == {SPREAD: slice(0, 5), OTHER: slice(5, 10)}


def test_sampled_values_have_that_correlation_in_ranks() -> None:
    """Of lognormal values as of their scores: a Gaussian copula, Spearman's 6/π asin(ρ/2)."""
    lognormal = of_fields([depth_field(0.8)], distribution="lognormal", mean=10, sd=3)
    found = by_depth(lognormal.values(np.concatenate(list(normal_blocks(5, 2**14, (1, 0))))))

    ranks = stats.spearmanr(found, axis=1).statistic
    assert ranks == pytest.approx(6 / np.pi * np.arcsin(BY_HAND / 2), abs=0.02)
    assert found.mean(axis=1) == pytest.approx(10.0, rel=0.01)
    assert found.std(axis=1) == pytest.approx(3.0, rel=0.03)


def test_strength_that_grows_keeps_its_growth_in_every_sublayer() -> None:
    grown = of_fields([depth_field(0.8, shift=0.6)])
    plain = of_fields([depth_field(0.8)])
    u = next(normal_blocks(5, 64, (1, 0)))

    apart = by_depth(grown.values(u)) - by_depth(plain.values(u))
    assert apart == pytest.approx(np.repeat(0.6 * np.arange(5)[:, None], 64, axis=1))


def test_a_sum_of_sublayers_has_its_reliability_in_closed_form() -> None:
    """β of a linear limit state: 2 over the deviation of the sum of correlated normal variables."""
    both = of_fields([depth_field(0.8)], standard("b"))
    deviation = np.sqrt(np.array(WEIGHTS) @ BY_HAND @ np.array(WEIGHTS) + 0.5**2)
    beta = 2.0 / deviation

    form = nearest(layered, "layered", both)
    found = sampled_replicates(Question(layered, both, 5, 2048, ("layered",)), 8, Here())[0]["layered"].probability
    assert form.index == pytest.approx(beta, abs=1e-6)
    assert found.low < stats.norm.sf(beta) < found.high

    at = point_values(both, form)
    # At the design point the score of a variable is its covariance with the sum, over its deviation.
    assert at.profiles[SPREAD].alphas == pytest.approx(tuple(BY_HAND @ WEIGHTS / deviation), abs=1e-6)
    assert at.profiles[SPREAD].values == pytest.approx(tuple(beta * (BY_HAND @ WEIGHTS / deviation)), abs=1e-5)
    assert at.alphas["b"] == pytest.approx(0.5 / deviation, abs=1e-6)
    assert sum(alpha**2 for alpha in at.alphas.values()) == pytest.approx(1.0, abs=1e-9)
    assert at.profiles[SPREAD].labels[0] == "1.00–1.50 m"


def test_importance_and_subset_sampling_reach_a_small_probability_of_a_sum() -> None:
    rare = of_fields([depth_field(0.8)], sd=0.55)
    beta = 2.0 / (0.55 * np.sqrt(np.array(WEIGHTS) @ BY_HAND @ np.array(WEIGHTS)))
    assert beta > 4

    answer = answered(asked(layered), rare)
    assert answer.method == IS
    assert answer.alone
    assert answer.probability is not None
    assert answer.probability.low < stats.norm.sf(beta) < answer.probability.high
    assert answer.importance is not None
    assert answer.importance.value == pytest.approx(stats.norm.sf(beta), rel=0.1)


def test_two_correlated_fields_have_their_reliability_in_closed_form() -> None:
    two = of_fields([depth_field(0.8), depth_field(0.8, path=OTHER)], rank=-0.4)
    variance = np.array([*WEIGHTS] * 2) @ np.kron([[1, -0.4], [-0.4, 1]], BY_HAND) @ np.array([*WEIGHTS] * 2)

    form = nearest(in_a_row, "in_a_row", two)

    assert form.index == pytest.approx(4 / np.sqrt(variance), abs=1e-6)


def test_over_a_scale_of_fluctuation_without_end_a_layer_is_one_value() -> None:
    """The same design point, weights and probability as one variable for the layer."""
    whole = together([spread(vertical="layer", correlation_length=None)])
    endless = of_fields([depth_field(1e9)])

    one, other = (nearest(layered, "layered", of) for of in (whole, endless))
    assert other.index == pytest.approx(one.index, abs=1e-4)
    assert point_values(endless, other).alphas[SPREAD] == pytest.approx(1.0, abs=1e-4)
    assert np.ptp(point_values(endless, other).profiles[SPREAD].values) == pytest.approx(0.0, abs=1e-3)
    exact = stats.norm.sf(2.0)
    for of in (whole, endless):
        found = sampled_replicates(Question(weakest, of, 5, 2048, ("weakest",)), 8, Here())[0]["weakest"].probability
        assert found.low < exact < found.high
        assert found.value == pytest.approx(exact, rel=0.02)


def test_over_no_scale_of_fluctuation_sublayers_fail_independently() -> None:
    """A series of five: 1 - (1 - p)^5; one design point sees one of them."""
    loose = of_fields([depth_field(1e-3)])
    exact = 1 - (1 - stats.norm.sf(2.0)) ** 5

    answer = answered(asked(weakest), loose, points=2048)

    assert answer.method == MC
    assert answer.probability is not None
    assert answer.probability.low < exact < answer.probability.high
    assert answer.probability.value == pytest.approx(exact, rel=0.03)
    if answer.form is not None:
        assert answer.form.index == pytest.approx(2.0, abs=1e-3)


def test_between_both_the_weakest_sublayer_fails_as_the_multivariate_normal_says() -> None:
    """Against the integral of the multivariate normal density, an independent computation."""
    between = of_fields([depth_field(0.8)])
    exact = 1 - stats.multivariate_normal(np.zeros(5), BY_HAND, seed=1).cdf(np.full(5, 2.0))

    found = sampled_replicates(Question(weakest, between, 5, 4096, ("weakest",)), 8, Here())[0]["weakest"].probability

    assert stats.norm.sf(2.0) < exact < 1 - (1 - stats.norm.sf(2.0)) ** 5
    assert found.low < exact < found.high
    assert found.value == pytest.approx(exact, rel=0.02)


@pytest.mark.parametrize("scale", [1e-3, 0.8])
def test_importance_sampling_of_a_series_goes_around_a_design_point_for_each_sublayer(scale: float) -> None:
    """Around one of five it would miss four. Exact by inclusion and exclusion of pairs; three at once are too rare.

    Of five independent regions subset simulation loses some, more than its own deviation says: not confirmed then.
    """
    rare, correlation = of_fields([depth_field(scale)], sd=0.5), depth_field(scale).correlation
    pairs = sum(
        float(stats.multivariate_normal(np.zeros(2), [[1, correlation[i, j]], [correlation[i, j], 1]]).cdf([-4, -4]))
        for i in range(5) for j in range(i)
    )  # fmt: skip
    exact = 5 * stats.norm.sf(4.0) - pairs

    answer = answered(asked(weakest, target=3.0, source="basis"), rare, points=2048)

    assert answer.design_points == 5
    assert answer.importance is not None
    assert answer.importance.value == pytest.approx(exact, rel=0.02)
    assert answer.importance.points == 5 * 256 * 8
    assert answer.probability is not None
    assert answer.probability.low < exact < answer.probability.high
    assert answer.method == (IS if scale > 0.1 else MC)


def test_bounds_around_several_design_points_hold_as_often_as_they_say() -> None:
    """24 seeds: no bias that could be seen, and about 95 % of the bounds hold."""
    few, exact = of_fields([depth_field(1e-3)], sd=0.5), 1 - (1 - stats.norm.sf(4.0)) ** 5
    centres = 4.0 * few.lower
    found = [
        sampled_replicates(Question(weakest, few, seed, 1024, ("weakest",), centres[0], centres[1:], 1), 8,
                           Here())[0]["weakest"]
        for seed in range(24)
    ]  # fmt: skip

    assert np.mean([one.probability.value for one in found]) == pytest.approx(exact, rel=2e-3)
    assert sum(one.probability.low < exact < one.probability.high for one in found) >= 20


def test_no_more_design_points_are_gone_around_than_the_points_of_a_replicate_fill() -> None:
    few = of_fields([depth_field(1e-3)], sd=0.5)
    point = DesignPoint(4.0, 4.0 * few.lower[0], 0)

    def state(u: Floats) -> Floats:
        return 1 - weakest(few.values(u))["weakest"]

    for points, count in ((128, 1), (1024, 4)):
        found = further_points(state, point, few, points)
        assert found is not None
        assert len(found) == count


def test_points_without_a_solution_on_the_way_to_a_sublayer_are_left_out() -> None:
    few = of_fields([depth_field(1e-3)], sd=0.5)
    point = DesignPoint(4.0, 4.0 * few.lower[0], 0)

    def unsolved(u: Floats) -> Floats:
        return np.full(len(u), -np.inf)

    assert further_points(unsolved, point, few, 1024) is None


def test_numbers_are_the_same_whoever_works_them_out() -> None:
    question = Question(weakest, of_fields([depth_field(0.8)], standard("b")), 5, 512, ("weakest",))
    alone, scores = sampled_replicates(question, 8, Here())

    with engine("processes", 3) as crew:
        many, others = sampled_replicates(question, 8, crew)

    assert scores.shape == (512, 6)
    assert scores.tobytes() == others.tobytes()
    assert many["weakest"].probability == alone["weakest"].probability
    assert many["weakest"].scatter.tobytes() == alone["weakest"].scatter.tobytes()


def test_the_share_of_a_field_is_that_of_all_its_sublayers() -> None:
    both = of_fields([depth_field(0.8)], standard("b"))
    own = np.array(WEIGHTS) @ BY_HAND @ np.array(WEIGHTS)

    shares = sobol(layered, both, 1024, 1, Here())["layered"]

    found = {one.path: (one.first, one.total) for one in shares}
    assert found[SPREAD] == pytest.approx((own / (own + 0.25),) * 2, abs=0.03)
    assert found["b"] == pytest.approx((0.25 / (own + 0.25),) * 2, abs=0.03)


def test_bars_and_elementary_effects_move_the_whole_layer() -> None:
    both, base = of_fields([depth_field(0.8)], standard("b")), {SPREAD: 0.0, "b": 0.0}
    ends = [Ends(SPREAD, -1.0, 1.0, fractiles=False), Ends("b", -1.0, 1.0, fractiles=False)]

    swings = tornado(layered, base, ends, Here())[1]["layered"]
    effects = morris(layered, base, ends, both, 1, Here())["layered"]

    assert {one.path: one.size for one in swings} == pytest.approx({SPREAD: 2 * sum(WEIGHTS), "b": 1.0})
    assert {one.path: one.size for one in effects} == pytest.approx({SPREAD: 2 * sum(WEIGHTS), "b": 1.0})


def test_a_field_that_moves_as_a_whole_is_that_value_in_every_sublayer() -> None:
    parts = by_part([depth_field(0.8, shift=0.5)], {SPREAD: 3.0, "b": 1.0})

    assert parts == {"b": 1.0} | {f"layer.clay/{k}.x": 3.0 + 0.5 * (k - 1) for k in range(1, 6)}


def test_a_reason_names_a_field_once() -> None:
    text = "layer.clay/1.x, layer.clay/2.x, layer.clay/5.x cannot be followed, nor layer.clay/10.x"

    assert reason_by_fields(text, [depth_field(0.8)]) == f"{SPREAD} by sublayer cannot be followed, nor layer.clay/10.x"


def quadrature(average: float, apart: float, scale: float) -> float:
    """Covariance of two averages by the midpoint rule over both heights."""
    points: Floats = (np.arange(800) + 0.5) / 800 * average
    distance: NDArray[np.float64] = np.abs(points[:, None] - points[None, :] - apart)
    return float(np.exp(-2 * distance / scale).mean())


@pytest.mark.parametrize("average", [0.2, 0.5, 1.3])
def test_averages_over_a_height_are_correlated_as_the_integral_says(average: float) -> None:
    """Windows that overlap, that touch and that lie apart."""
    field = depth_field(0.8, average)
    at_one = quadrature(average, 0.0, 0.8)

    found = field.correlation[0]

    expected = [1.0, *(quadrature(average, apart, 0.8) / at_one for apart in DEPTHS[1:])]
    assert found == pytest.approx(expected, abs=1e-5)
    assert replace(field, average=0.008).correlation == pytest.approx(BY_HAND, abs=3e-3)


def test_averages_over_sublayers_make_up_the_average_of_the_layer() -> None:
    """A law: the mean of averages over adjacent heights has the variance function of their whole height."""
    field = depth_field(0.8, 0.5)
    of_parts = marginal(spread(averaging_length="0.5 m")).moments()[1]
    whole = marginal(spread(vertical="layer", averaging_length="2.5 m")).moments()[1]

    assert of_parts * np.sqrt(field.correlation.mean()) == pytest.approx(whole)


@pytest.mark.parametrize(("share", "more"), [(0.5, 0.04), (1.0, 0.15)])
def test_values_at_points_make_sums_vary_more_than_the_average_over_the_layer(share: float, more: float) -> None:
    """As the pages say of sublayers of half the scale of fluctuation, and of all of it."""
    count = 400
    thickness = (0.8 * share,) * count
    long = DepthField(SPREAD, tuple(f"layer.clay/{k}.x" for k in range(1, count + 1)), thickness, 0.0, (0.0,) * count,
                      0.8, 0.0)  # fmt: skip
    whole = marginal(spread(vertical="layer", averaging_length=f"{sum(thickness)} m")).moments()[1]

    assert np.sqrt(long.correlation.mean()) / whole - 1 == pytest.approx(more, abs=0.006)
    reduced = marginal(spread(averaging_length=f"{thickness[0]} m")).moments()[1]
    assert reduced * np.sqrt(long.correlation.mean()) < 0.92 * whole


def test_sublayers_are_thick_where_neighbours_are_hardly_correlated() -> None:
    assert not depth_field(1.01).thick
    assert depth_field(0.99).thick
    assert not depth_field(0.8, 1.0).thick
    alone = DepthField(SPREAD, ("layer.clay/1.x",), (0.5,), 0.0, (0.0,), 0.1, 0.0)
    assert not alone.thick
    assert alone.modes()[1].tolist() == [[1.0]]


def test_inputs_without_fields_are_joined_as_before() -> None:
    matrix = np.array([[1.0, 0.3], [0.3, 1.0]])
    both = joint([marginal(one) for one in standard("a", "b")], matrix, {})

    assert both.lower.tolist() == np.linalg.cholesky(matrix).tolist()
    assert both.places == {"a": slice(0, 1), "b": slice(1, 2)}
    form = nearest(linear, "linear", both)
    at = point_values(both, form)
    assert list(at.values) == list(at.alphas) == ["a", "b"]
    assert at.profiles == {}
