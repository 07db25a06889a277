"""The study of one section: which estimate counts, targets, what is left out and why; text, record and pages of it."""

import json
from collections.abc import Mapping, Sequence
from dataclasses import replace
from typing import Any, Literal

import numpy as np
import pypdfium2
import pytest
from scipy import stats

from calc.engine.sheet import Verdict
from calc.inputs import Design, read_design
from calc.inputs.reading.starter import starter_project
from calc.inputs.tables.vary import LimitState, Vary
from calc.study.engines import Here
from calc.study.vary.marginals import Model, joint, marginal
from calc.study.vary.one_at_a_time import ends_of
from calc.study.vary.study import IS, MC, Answer, Asked, Means, Studied, study_section
from calc.study.vary.vary_pages import _amount, _notes, vary_pages
from calc.study.vary.vary_record import record
from calc.study.vary.vary_run import Varied
from calc.study.vary.vary_text import index_text, vary_text
from tests.study.vary.known_states import certain, circle, cliff, flat, linear, rare, steep, two_sides, unsolved
from tests.study.vary.read_back import read_back, state_of

NORMAL = [{"path": name, "distribution": "normal", "mean": 0, "sd": 1, "source": "invented"} for name in "ab"]


def text_of_pdf(pages: bytes) -> str:
    return " ".join(page.get_textpage().get_text_range() for page in pypdfium2.PdfDocument(pages))


def table(inputs: Sequence[Mapping[str, Any]] = NORMAL, **more: Any) -> Vary:
    return Vary.model_validate({
        "seed": 5, "points": 512, "replicates": 8, "input": list(inputs), "limit_state": [{"verdict": "x/y"}], **more,
    })  # fmt: skip


def asked(model: Model, chained: str = "", **more: Any) -> Asked:
    name = model.__name__  # a function
    one = Verdict(name, f"The {name} one", "pass", utilisation=0.8, factor_set="DA1-1")
    return Asked(LimitState.model_validate({"verdict": name, **more}), one, one, model, chained)


def study(*states: Asked, vary: Vary | None = None, means: Means | None = None) -> Studied:
    vary = vary or table()
    known = {one.path: marginal(one) for one in vary.with_distributions}
    fixed = {one.path: 0.0 for one in vary.inputs if one.path not in known}
    matrix = np.eye(len(known)) + (0.2 * (1 - np.eye(len(known))) if vary.correlations else 0.0)
    ends = [ends_of(one, known) for one in vary.inputs]
    base = {one.path: 0.0 for one in vary.inputs}
    together = joint(list(known.values()), matrix, fixed)
    return study_section(vary, states, together, ends, base, means or Means(Here()), names=("A", "Stretch"))


def only(*states: Asked, vary: Vary | None = None) -> Answer:
    return study(*states, vary=vary).answers[0]


def test_plain_monte_carlo_counts_where_it_has_enough_failures() -> None:
    answer = only(asked(linear, target=1.5, source="basis"), vary=table(points=1024))

    assert answer.method == MC
    assert answer.importance is None
    assert answer.subset is None
    assert answer.form is not None
    assert answer.form.index == pytest.approx(2.0, abs=1e-4)
    assert answer.indices == pytest.approx((2.0, 1.95, 2.05), abs=0.1)
    assert answer.alphas == pytest.approx({"a": 0.6, "b": 0.8}, abs=1e-3)
    assert answer.design_values == pytest.approx({"a": 1.2, "b": 1.6}, abs=1e-3)
    assert answer.judgement == "pass"


@pytest.mark.parametrize("state", [steep, cliff])
@pytest.mark.parametrize("seed", range(1, 7))
def test_a_second_region_that_is_steep_or_has_no_solution_makes_no_target_reached(state: Model, seed: int) -> None:
    """β is 4: the way to it is seen neither from the design point at 5 nor by subset simulation."""
    answer = only(asked(state, target=4.5, source="basis"), vary=table(points=256, seed=seed))

    assert not answer.alone
    assert (answer.method, answer.judgement == "pass") == (MC, False)


def test_failures_of_monte_carlo_that_importance_sampling_makes_unlikely_contradict_it() -> None:
    answer = only(asked(rare, target=4.2, source="basis"))
    assert answer.sampled is not None
    assert answer.subset is not None
    few = replace(answer.sampled, probability=replace(answer.sampled.probability, failures=2))

    assert answer.confirmed
    assert not replace(answer, sampled=few).confirmed
    assert not replace(answer, subset=replace(answer.subset, variation=float("nan"))).confirmed


def test_importance_sampling_counts_where_subset_simulation_confirms_it() -> None:
    answer = only(asked(rare, target=4.2, source="basis"))

    assert answer.method == IS
    assert answer.probability is not None
    assert answer.probability.value == pytest.approx(stats.norm.sf(4.5), rel=0.05)
    assert answer.probability.low < stats.norm.sf(4.5) < answer.probability.high
    assert answer.judgement == "pass"


def test_bounds_hold_what_importance_sampling_around_one_of_two_design_points_does_not_see() -> None:
    """It finds half of the probability; subset simulation finds all of it."""
    answer = only(asked(two_sides, target=3.9, source="basis"))

    assert answer.importance is not None
    assert answer.importance.value == pytest.approx(stats.norm.sf(4.0), rel=0.1)
    assert answer.subset is not None
    assert answer.subset.value == pytest.approx(2 * stats.norm.sf(4.0), rel=0.6)
    assert answer.probability is not None
    assert answer.probability.low < 2 * stats.norm.sf(4.0) < answer.probability.high
    assert answer.judgement == "open"


def test_estimates_that_differ_leave_the_bounds_of_monte_carlo() -> None:
    answer = only(asked(rare, target=4.4, source="basis"))
    assert answer.subset is not None
    answer.subset = replace(answer.subset, value=10 * answer.subset.value)

    assert not answer.confirmed
    assert answer.method == MC
    assert answer.judgement == "open"


def test_a_curved_limit_state_is_judged_by_its_probability_and_not_by_its_design_point() -> None:
    answer = only(asked(circle, target=1.2, source="basis"))

    assert answer.probability is not None
    assert answer.probability.value == pytest.approx(np.exp(-2), rel=0.05)
    assert answer.judgement == "fail"  # β = 1.1; the distance of the design point would be 2


def test_a_clearly_unsafe_state_misses_its_target() -> None:
    answer = only(asked(certain, target=3.8, source="basis"))

    assert answer.judgement == "fail"
    assert answer.form is not None
    assert answer.form.index == pytest.approx(-1.0, abs=1e-3)


def test_an_input_without_a_solution_leaves_form_out_and_counts_as_failure() -> None:
    answer = only(asked(unsolved))

    assert {what for what, _ in answer.open} >= {"shares"}
    assert answer.probability is not None
    assert answer.probability.value == pytest.approx(stats.norm.sf(2), rel=0.2)


def test_ranges_alone_give_no_probability() -> None:
    ranges = [{"path": name, "least": -1, "most": 1, "source": "invented"} for name in "ab"]

    answer = only(asked(linear, target=3.8, source="basis"), vary=table(ranges))

    assert answer.sampled is None
    assert (answer.method, answer.probability, answer.indices, answer.judgement) == ("", None, None, "open")
    assert [what for what, _ in answer.open] == ["shares"]
    assert answer.effects


def test_correlated_inputs_have_no_shares() -> None:
    joined = [{"between": ["a", "b"], "rank": 0.2, "source": "invented"}]

    answer = only(asked(linear), vary=table(correlation=joined))

    assert answer.open == [("shares", "inputs are correlated: the variance has no one division")]


def test_what_the_chain_alone_can_say_has_a_tornado_only() -> None:
    answer = only(asked(linear, "because"))

    assert answer.swings
    assert answer.effects == []
    assert answer.open == [("chained", "because")]


@pytest.fixture(scope="module")
def design(tmp_path_factory: pytest.TempPathFactory) -> Design:
    folder = tmp_path_factory.mktemp("starter")
    text = starter_project("Bank")
    vary = """
[vary]
[[vary.input]]
path = "layer.peat.E_oed_ref"
distribution = "lognormal"
mean = "900 kPa"
cov = 0.3
correlation_length = "0.5 m"
averaging_length = "2 m"
source = "tests <b>"
[[vary.input]]
path = "layer.peat.gamma"
distribution = "normal"
mean = "10.8 kN/m^3"
sd = "0.3 kN/m^3"
source = "tests"
[[vary.input]]
path = "columns.spacing"
least = "1.7 m"
most = "1.9 m"
source = "tolerance"
[[vary.correlation]]
between = ["layer.peat.E_oed_ref", "layer.peat.gamma"]
rank = 0.2
source = "judgement"
[[vary.limit_state]]
verdict = "x/y"
[[section]]
"""
    (folder / "project.toml").write_text(text.replace("[[section]]\n", vary, 1), encoding="utf-8")
    return read_design(folder)


def model_in(design: Design, of: Model) -> Model:
    """A limit state of the tests in the inputs of the starter."""

    def renamed(values: Mapping[str, Any]) -> Mapping[str, Any]:
        first, second = values["layer.peat.E_oed_ref"], values["layer.peat.gamma"]
        return of({"a": (first - 900) / 120, "b": (second - 10.8) / 0.3 + 0 * values["columns.spacing"]})

    renamed.__name__ = of.__name__
    return renamed


@pytest.fixture(scope="module")
def varied(design: Design) -> Varied:
    assert design.vary is not None
    vary = design.vary.model_copy(update={"points": 512, "replicates": 8})
    known = {one.path: marginal(one) for one in vary.with_distributions}
    base = {"layer.peat.E_oed_ref": 900.0, "layer.peat.gamma": 10.8, "columns.spacing": 1.8}
    states = [
        asked(model_in(design, linear), target=3.8, reliability_class="RC2", source="basis, 50 years"),
        asked(model_in(design, rare)), asked(model_in(design, unsolved)),
        asked(model_in(design, certain), "of a search"),
    ]  # fmt: skip
    ends = [ends_of(one, known) for one in vary.inputs]
    together = joint(list(known.values()), np.array([[1.0, 0.2], [0.2, 1.0]]), {"columns.spacing": 1.8})
    found = study_section(vary, states, together, ends, base, Means(Here(), tell=lambda _: None), names=("A", "Bank"))
    return Varied(design, vary, design, (found,))


def test_the_text_says_what_counts(varied: Varied) -> None:
    text = " ".join(vary_text(varied, 100).split())

    assert "Section A, Bank: 3 varied, 2 with distributions; all partial factors 1; seed 1, 8 replicates" in text
    assert "linear: utilisation 0.800 by DA1-1 (pass), -1.000 with factors of 1" in text
    assert "target β 3.8: missed" in text
    assert "nothing is judged: the project states no target" in text
    assert "not given: a probability, because of a search" in text
    assert "kN/m³" in text
    assert max(map(len, vary_text(varied, 100).splitlines())) <= 100


def test_the_record_has_every_number_and_is_json(varied: Varied) -> None:
    made = json.loads(json.dumps(record(varied), allow_nan=False))

    assert made["outcome"] == varied.outcome == "fail"
    [section] = made["sections"]
    assert [one["path"] for one in section["inputs"]] == [one.path for one in varied.vary.inputs]
    linear_one = section["limit_states"][0]
    answer = varied.sections[0].answers[0]
    assert answer.sampled is not None
    assert linear_one["monte_carlo"]["failures"] == answer.sampled.probability.failures
    assert linear_one["target"]["judgement"] == "fail"
    assert section["limit_states"][3]["monte_carlo"] is None


def test_the_pages_print_what_was_found(varied: Varied) -> None:
    text = " ".join(text_of_pdf(vary_pages(read_back(varied))).split())
    answer = varied.sections[0].answers[0]

    assert "Sensitivity and reliability" in text
    assert "All 1: on actions, strengths and resistances" in text
    assert "tests <b>" in text
    assert "from memory, the standard was not seen" in text
    assert "Vanmarcke (1977)" in text
    assert answer.probability is not None
    assert f"{answer.probability.failures} / {answer.probability.points}" in text
    assert "Slip surfaces are not searched again" in text
    assert "the chain itself was run and gave the same; where it was run to confirm a probability stands" in text


@pytest.mark.parametrize(
    ("chain_at", "sentence"),
    [
        ("", ""),
        ("design point", "At the design point the chain itself was run and gave the same."),
        ("points", "Without a design point the chain itself was run at the worst of the first 512 points and"),
    ],
)
def test_where_the_chain_was_run_is_said_of_no_other_place(
    chain_at: Literal["", "design point", "points"], sentence: str, varied: Varied
) -> None:
    [section] = varied.sections
    said = " ".join(_notes(state_of(section, replace(section.answers[0], chain_at=chain_at))))

    assert sentence in said
    assert ("the chain itself" in said) == bool(sentence)


def test_a_study_that_rests_on_no_sampling_has_short_pages(design: Design, varied: Varied) -> None:
    """Ranges alone, a verdict that hangs on nothing, one without a solution anywhere."""
    vary = table(
        [{"path": "a", "least": -1, "most": 1, "source": "x"}, {"path": "b", "least": 1, "most": 2, "source": "x"}]
    )

    def never(values: Mapping[str, Any]) -> Mapping[str, Any]:
        return {"never": np.full(len(values["a"]), np.inf)}

    found = study(asked(linear), asked(never), vary=vary)
    made = Varied(design, vary, design, (found,))

    text = text_of_pdf(vary_pages(read_back(made)))
    assert "no solution" in text
    assert "−1 to 1" in text
    assert "no solution" in vary_text(made, 120)
    assert made.outcome == "pass"
    assert record(made)["sections"][0]["limit_states"][1]["utilisation_factors_of_one"] is None


@pytest.mark.parametrize(
    ("unit", "value", "text"),
    [("kPa", 900.0, "900 kN/m²"), ("deg", np.pi / 6, "30°"), ("kN/m^3", 18.5, "18.5 kN/m³"), ("", -2.5, "−2.5")],
)
def test_pages_have_the_units_of_the_package(unit: str, value: float, text: str) -> None:
    [one] = table([{"path": "a", "least": -1, "most": 1, "source": "x"}]).inputs

    assert _amount(one.model_copy(update={"unit": unit}), value) == text


@pytest.mark.parametrize(("index", "text"), [(np.inf, "∞"), (-np.inf, "−∞"), (3.8, "3.80")])
def test_an_index_without_an_end_has_its_sign(index: float, text: str) -> None:
    assert index_text(index) == text


def test_a_state_that_nothing_reaches_has_the_bound_of_monte_carlo() -> None:
    answer = only(asked(flat, target=3.8, source="basis"))

    assert [what for what, _ in answer.open] == ["shares", "form", "subset"]
    assert answer.method == MC
    assert answer.judgement == "open"
