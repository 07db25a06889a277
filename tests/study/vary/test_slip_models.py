"""Slip safety by known surfaces: a circle of known reliability, searches at samples, what is added and refused."""

import pickle
from collections.abc import Mapping
from dataclasses import replace
from types import SimpleNamespace
from typing import Any

import numpy as np
import pytest

from calc.chain import CalculationError, Run, SectionRun
from calc.chapters.stability.known_surfaces import CHAPTER, FactorsAgain, Known, Row, searches_of, slip_verdicts
from calc.chapters.stability.states import END, END_CELL
from calc.engine.sheet import Sheet
from calc.inputs import Design
from calc.procedures.slip import Circle, Layer, Model, SlipError, Soil, Surface
from calc.procedures.slip.known import factors_of_known
from calc.study.chapters import chapters
from calc.study.engines import Here
from calc.study.replay_plan import UnfollowedError
from calc.study.vary import slip_models
from calc.study.vary.design_points import design_point
from calc.study.vary.marginals import Joint
from calc.study.vary.sampling import Question, sampled_replicates
from calc.study.vary.section_models import Recipe, design_of
from calc.study.vary.slip_models import BySurfaces, SlipRecipe, follow_slip, largest
from calc.study.vary.study import _unconfirmed
from calc.study.vary.vary_pages import _notes
from calc.study.vary.vary_record import answer_record
from calc.study.vary.vary_run import Varied
from calc.study.vary.vary_text import _section, share_text
from tests.study.vary.known_states import normal_points, together, varied
from tests.study.vary.read_back import state_of
from tests.study.vary.slip_project import slip_text
from tests.study.vary.test_study import asked, only, study, table
from tests.study.vary.test_surface_rounds import Known2

VERDICT = "stability/global_stability"
C_U, GAMMA = "layer.peat.c_u", "embankment.gamma"
RANGES = ((C_U, (9.0, 22.0)), (GAMMA, (18.0, 20.0)))


def slope(values: Mapping[str, Any]) -> dict[str, Any]:
    """Utilisation of one circle in a slope of one undrained clay: as the unit weight over the strength."""
    surface = ((-40.0, 6.0), (0.0, 6.0), (12.0, 0.0), (40.0, 0.0))
    factors = [
        factors_of_known(
            Model(surface, (Layer(Soil("clay", gamma, gamma, c_u=c_u)),), -20.0), [Circle(6.0, 9.0, 14.0)], "bishop"
        )[0]
        for c_u, gamma in zip(values["c_u"], values["gamma"], strict=True)
    ]
    return {"slope": 1 / np.array(factors)}


def test_one_circle_without_friction_has_the_reliability_in_closed_form() -> None:
    """ln F is normal where strength and weight are lognormal: β is its mean over its deviation."""
    inputs = [varied(path="c_u", distribution="lognormal", mean=26, cov=0.2),
              varied(path="gamma", distribution="lognormal", mean=18, cov=0.05)]  # fmt: skip
    spread = {name: np.sqrt(np.log(1 + cov**2)) for name, cov in (("c_u", 0.2), ("gamma", 0.05))}
    [at_one] = slope({"c_u": [1.0], "gamma": [1.0]})["slope"]
    mean = np.log(26 / 18 / at_one) - spread["c_u"] ** 2 / 2 + spread["gamma"] ** 2 / 2
    beta = mean / np.hypot(*spread.values())
    joint = together(inputs)

    form = design_point(lambda u: 1 - slope(joint.values(u))["slope"], 2, [np.zeros(2)])
    found = sampled_replicates(Question(slope, joint, 5, 64, ("slope",)), 8, Here())[0]["slope"].probability

    assert 0.5 < beta < 3
    assert form.index == pytest.approx(beta, abs=1e-4)
    assert form.u / form.index == pytest.approx(
        np.array([-spread["c_u"], spread["gamma"]]) / np.hypot(*spread.values()), abs=1e-3
    )
    from scipy.stats import norm

    assert found.low < norm.sf(beta) < found.high


@pytest.fixture(scope="module")
def recipe() -> Recipe:
    files = (("project.toml", slip_text().encode()),)
    return Recipe(files, (), (VERDICT,), (C_U, GAMMA), "A", VERDICT, RANGES)


@pytest.fixture(scope="module")
def of_one(recipe: Recipe) -> Run:
    design = design_of(recipe)
    return Run(design, (SectionRun(design.sections[0], ()),))


@pytest.fixture(scope="module")
def model(recipe: Recipe, of_one: Run) -> BySurfaces:
    """As a study makes it: the record alone does not hold what a search finds."""
    with pytest.MonkeyPatch.context() as patch:
        patch.setattr(slip_models, "followed_model", _fails)
        found = follow_slip(Here(), of_one, recipe)
    assert isinstance(found, BySurfaces)
    return found


def _fails(*_: object) -> None:
    message = "the record does not say how F_Bi follows"
    raise UnfollowedError(message)


def joint_of() -> Joint:
    return together([varied(path=C_U, distribution="lognormal", mean=15, cov=0.3),
                     varied(path=GAMMA, distribution="normal", mean=19, sd=0.6)])  # fmt: skip


@pytest.mark.slow
def test_samples_agree_with_whole_searches_at_each_of_them(model: BySurfaces) -> None:
    """Plain Monte Carlo with a search for every sample, beside the least of the surfaces found at the ends."""
    values = joint_of().values(normal_points(2, 8, (1, 2)))

    known = model(values)[VERDICT]
    rows = model.search([{path: float(array[k]) for path, array in values.items()} for k in range(8)], Here())

    whole = np.array([largest(one) for one in rows])
    assert np.ptp(whole) > 0.1
    assert known == pytest.approx(whole, rel=0.02)
    again = model(values)[VERDICT]
    assert again.tobytes() == known.tobytes()
    single = [model({path: array[k : k + 1] for path, array in values.items()})[VERDICT][0] for k in range(8)]
    assert single == pytest.approx(known, rel=1e-12)


@pytest.mark.slow
def test_the_model_is_that_of_the_chain_and_is_sent_as_its_recipe(model: BySurfaces) -> None:
    assert model.confirm({C_U: 10.0}) == ""
    sent = pickle.loads(pickle.dumps(model))  # noqa: S301 - our own, as a cluster does it
    assert sent is slip_models.by_recipe(model.slip)
    values = {C_U: np.array([12.0]), GAMMA: np.array([19.0])}
    assert sent(values)[VERDICT].tobytes() == model(values)[VERDICT].tobytes()
    assert model.with_rows([]).slip == model.slip


@pytest.mark.slow
def test_a_sample_without_a_cross_section_has_no_solution(model: BySurfaces) -> None:
    found = model({C_U: np.array([15.0, -1.0])})[VERDICT]

    assert np.isfinite(found).tolist() == [True, False]


def test_an_input_that_no_record_holds_is_refused_before_anything_is_searched(
    recipe: Recipe, of_one: Run, model: BySurfaces, monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.setattr(slip_models, "followed_model", _fails)
    rows = [("all factors 1", model.slip.stages[0], 0.5, model.slip.known[0])]
    monkeypatch.setattr(slip_models, "_searched_at", lambda *_: rows)
    monkeypatch.setattr(slip_models, "whole_searches", None)

    with pytest.raises(UnfollowedError, match="thickness"):
        follow_slip(Here(), of_one, replace(recipe, paths=("layer.peat.thickness",), ranges=()))
    with pytest.raises(UnfollowedError, match="how F_Bi follows"):
        follow_slip(Here(), of_one, replace(recipe, verdict="stability/none"))
    with pytest.raises(UnfollowedError, match="how F_Bi follows"):
        follow_slip(Here(), of_one, replace(recipe, verdict="sleeve/ring_tension"))


def test_stages_far_from_the_governing_one_are_not_kept() -> None:
    circles = [Known(Circle(float(k), 0.0, 1.0)) for k in range(3)]
    rows: list[Row] = [("f", f"{k}", utilisation, circles[k]) for k, utilisation in enumerate((0.5, 0.9, 1.0))]

    found = SlipRecipe(Recipe((), (), (), (), "A", "stability/x"), 0).with_rows([rows, rows[:1], []])

    assert found.stages == ("1", "2", "0")
    assert found.known == (circles[1], circles[2], circles[0])
    assert largest([]) == np.inf


def test_a_chain_without_searches_or_surfaces_says_so(
    recipe: Recipe, monkeypatch: pytest.MonkeyPatch, model: BySurfaces
) -> None:
    design, section = slip_models._base_of(recipe, 0)
    assert slip_models._base_of(recipe, 1)[1].halvings == 1
    monkeypatch.setattr(slip_models, "chapters", lambda *_, **__: {})
    monkeypatch.setattr(slip_models, "searches_of", lambda *_: None)
    sheets = slip_models._chain(model.slip, design, section, CHAPTER)
    assert isinstance(sheets[CHAPTER], Sheet)
    assert not sheets[CHAPTER].verdicts
    assert slip_models._searched_at(model.slip, {}) == []
    assert slip_models._verdicts_of(model.slip) == []

    def nothing(*_: object) -> None:
        message = "nothing there"
        raise SlipError(message)

    monkeypatch.setattr(slip_models, "searches_of", lambda *_: "some")
    monkeypatch.setattr(slip_models, "by_known_surfaces", nothing)
    with pytest.raises(CalculationError, match="nothing there"):
        slip_models._chain(model.slip, design, section, CHAPTER)
    monkeypatch.setattr(slip_models, "searches_of", nothing)
    assert slip_models._searched_at(model.slip, {}) == []


def test_every_search_of_a_section_has_its_verdict(recipe: Recipe) -> None:
    design = design_of(recipe)
    searches = _searches(design)
    keys = [*slip_verdicts(searches)]

    assert {"global_stability", "global_stability_spencer", "global_stability_blocks", "slip_in_fill"} <= {*keys}


def _searches(design: Design) -> Any:
    section = design.sections[0]
    done = chapters(design, section, until=slip_models.BEFORE)
    return searches_of(design, section, done)


@pytest.mark.slow
@pytest.mark.parametrize("key", ["global_stability_spencer", "global_stability_blocks", "slip_in_fill"])
def test_other_surfaces_are_followed_as_well(recipe: Recipe, key: str) -> None:
    slip = SlipRecipe(replace(recipe, verdict=f"stability/{key}"), 0)
    rows = slip_models._searched_at(slip, {})
    model = slip_models.by_recipe(slip.with_rows([rows]))

    found = model({C_U: np.array([15.0]), GAMMA: np.array([19.0])})[f"stability/{key}"][0]
    [whole] = model.search([{C_U: 15.0, GAMMA: 19.0}], Here())
    assert found == pytest.approx(largest(whole), rel=1e-6)


@pytest.mark.slow
def test_surfaces_of_a_stage_in_between_have_the_safety_of_that_stage(recipe: Recipe) -> None:
    """A bank filled in two lifts, searched at two points: each stage by its own surfaces, and all of them together."""
    slip = SlipRecipe(replace(recipe, files=(("project.toml", slip_text(in_one_lift=False).encode()),)), 0)
    points = [{C_U: 16.0, GAMMA: 19.0}, {C_U: 14.0, GAMMA: 19.5}]
    values = {path: np.array([point[path] for point in points]) for path in points[0]}
    searched = [slip_models._searched_at(slip, point) for point in points]
    stages = list(dict.fromkeys(stage for _, stage, *_ in searched[0]))

    assert [stage.partition(" ")[2] for stage in stages] == ["Platform", "Stage 1", "Final"]
    for own in (*([stage] for stage in stages), stages):
        by_stage = [[row for row in rows if row[1] == stage] for stage in own for rows in searched]
        known = slip_models.by_recipe(slip.with_rows(by_stage))(values)[VERDICT]
        whole = np.array([largest([row for row in rows if row[1] in own]) for rows in searched])
        # Both points have the surfaces of both: what the coarse search of one misses, that of the other may have found.
        assert (known >= (1 - 1e-9) * whole).all(), own
        assert known == pytest.approx(whole, rel=0.02), own


def test_a_study_rests_on_the_surfaces_found_and_says_how_far_searches_differ() -> None:
    found = study(asked(Known2(1)), vary=table(points=256))
    [answer] = found.answers

    surfaces = answer.asked.surfaces
    assert surfaces is not None
    assert answer.asked.model is surfaces.model
    assert answer.form is not None
    assert answer.form.index == pytest.approx(1.7, abs=1e-3)
    words = " ".join(_notes(state_of(found)))
    assert "1 slip surfaces in 1 stages, found by whole searches at" in words
    assert "a whole search finds at most 0.0 % more utilisation" in words
    assert "stages that reach 75 % of the largest" in words
    assert "over 0.2 % more than is known, in 5 rounds at most (project rules)" in words
    lines = " ".join(_section(Varied(None, table(), None, ()), found))  # type: ignore[arg-type]
    assert "by 1 known slip surfaces: whole searches at" in lines
    known = answer_record(found.answers[0], found)["known_surfaces"]
    assert known["stages"] == ["1"]
    assert known["search_has_more"] == pytest.approx(0.0, abs=1e-12)
    assert share_text(np.inf) == "∞"
    assert share_text(0.00121) == "0.2 %"


def test_ranges_alone_rest_on_the_searches_at_their_ends() -> None:
    ranged = [{"path": name, "least": -1, "most": 1, "source": "invented"} for name in "ab"]
    found = study(asked(Known2(1)), vary=table(ranged))

    [answer] = found.answers
    assert answer.effects
    assert answer.probability is None
    words = " ".join(_notes(state_of(found)))
    assert "(the project's values and the ends of the ranges), are evaluated" in words
    assert "stages that reach 75 % of the largest utilisation of a search (project rule)" in words
    assert "known slip surfaces" not in " ".join(_section(Varied(None, table(ranged), None, ()), found))  # type: ignore[arg-type]


def test_a_search_without_a_surface_where_it_decides_leaves_no_probability() -> None:
    answer = only(asked(Known2(2)), vary=table(points=256))
    assert answer.asked.surfaces is not None
    lost = replace(answer.asked, surfaces=replace(answer.asked.surfaces, lower=np.inf))

    why = _unconfirmed(Known2(2), replace(answer, asked=lost), joint_of(), table())

    assert "a whole search has no admissible slip surface" in why


def test_cases_that_there_are_not_have_no_factor(model: BySurfaces) -> None:
    """No fill at the first stage, no reinforcement to slide on; values that the design run has not read."""
    design, section = slip_models._base_of(model.recipe, 0)
    done = chapters(design, section, until=slip_models.BEFORE)
    searches = searches_of(design, section, done)
    assert searches is not None
    assert searches_of(design, section.without_slip(), done) is None
    sheets = {**done, CHAPTER: searches.sheet}
    verdicts = slip_verdicts(searches)
    stages = (searches.stages[0], model.slip.stages[0])

    circles = FactorsAgain(searches, sheets, verdicts["global_stability"], model.slip.known[:1], stages)
    again = circles.again()
    value = again.value()
    line = Known(Surface(((-9.0, 0.0), (0.0, -1.0), (9.0, 0.0))), -1)
    blocks = FactorsAgain(searches, sheets, verdicts["global_stability_blocks"], (line,), stages).again().value()

    assert value.valid.sum() == 1
    assert not blocks.valid.any()
    place = next(iter(circles._used))
    read = again.inputs[1:]
    del circles._used[place]
    assert not circles._values(*read).valid.any()


def test_states_with_the_ratio_of_the_cell_have_no_second_method(recipe: Recipe) -> None:
    section = design_of(recipe).sections[0]

    keys = slip_verdicts(SimpleNamespace(section=section, states=lambda: (END, END_CELL)))  # type: ignore[arg-type]

    assert "global_stability_cell" in keys
    assert "global_stability_cell_spencer" not in keys
