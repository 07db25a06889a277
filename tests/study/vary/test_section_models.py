"""Verdicts as functions of inputs: the same as the chain, with factors of 1, sent elsewhere as a recipe."""

import pickle
from dataclasses import replace
from pathlib import Path

import numpy as np
import pytest

from calc.chain import CHAPTERS, CalculationError, Run, run_checks
from calc.factors import FACTOR_NAMES
from calc.inputs import Design, read_design
from calc.study.replay import Replay
from calc.study.replay_plan import UnfollowedError
from calc.study.vary import section_models
from calc.study.vary.factors_of_one import KEY, with_factors_of_one
from calc.study.vary.section_models import (
    Chained,
    Followed,
    Recipe,
    UnknownVerdictError,
    models_of,
    studied_sections,
    verdict_of,
)
from calc.terminal.descent import descent
from tests.first_section import valley_edge

PROJECTS = Path(__file__).parents[3] / "projects"
VERDICT, PATH = "unit_cell/settlement_total", "layer.clay-lower.E_oed_ref"
THICKNESS = "layer.clay-lower.thickness"


@pytest.fixture(scope="module")
def of_one() -> Design:
    design = read_design(PROJECTS / "weak-sleeve")
    return with_factors_of_one(replace(design, sections=studied_sections(design, (), [VERDICT])))


@pytest.fixture(scope="module")
def run(of_one: Design) -> Run:
    return run_checks(of_one)


@pytest.fixture(scope="module")
def recipe(of_one: Design) -> Recipe:
    folder = PROJECTS / "weak-sleeve"
    files = tuple((name, (folder / name).read_bytes()) for name in ("project.toml", "ground-data.csv"))
    return Recipe(files, (), (VERDICT,), (PATH,), "T", VERDICT)


def test_every_factor_is_one(of_one: Design, run: Run) -> None:
    [section] = of_one.sections

    assert [one.key for one in of_one.factor_sets(section)] == [KEY]
    assert section.sleeve.gamma_M.persistent == section.sleeve.gamma_M.accidental == 1.0
    sheets = {sheet.key: sheet for sheet in run.sections[0].sheets}
    partial = [step for step in sheets["basis"].steps if step.symbol in FACTOR_NAMES]
    partial += [step for step in sheets["sleeve"].steps if step.symbol == "gamma_M"]
    assert len(partial) > 3
    assert {float(number) for step in partial for number in np.ravel(step.value.array)} == {1.0}


def test_factors_of_an_earthquake_and_of_reinforcement_are_one_as_well() -> None:
    design = read_design(PROJECTS / "marsh-approach")
    shaken = next(one for one in read_design(PROJECTS / "dyke-reach").sections if one.earthquake is not None)

    whole = with_factors_of_one(replace(design, sections=(*design.sections, shaken)))

    assert {mat.gamma_M.persistent for one in whole.sections for mat in one.reinforcement} == {1.0}
    earthquake = whole.sections[-1].earthquake
    assert earthquake is not None
    assert earthquake.factors.gamma_cu == earthquake.factors.gamma_R_e == 1.0
    assert earthquake.factors.psi_2 == shaken.earthquake.factors.psi_2  # type: ignore[union-attr]
    assert whole.sections[-1].sleeve.gamma_M.seismic == 1.0


def test_the_record_gives_what_the_chain_gives(run: Run, recipe: Recipe) -> None:
    of = models_of(run, recipe, [PATH])
    followed = of.model
    values = {PATH: np.array([900.0, 1500.0, 2400.0])}

    assert isinstance(followed, Followed)
    assert (of.why, of.beside, of.apart) == ("", None, ())
    chained = Chained(run.design, replace(recipe, followed=False))
    assert followed(values)[VERDICT] == pytest.approx(chained(values)[VERDICT], rel=1e-9)
    assert followed(values)[VERDICT][1] == pytest.approx(verdict_of(run, "T", VERDICT).utilisation)


def test_a_point_is_confirmed_by_the_chain(run: Run, recipe: Recipe, monkeypatch: pytest.MonkeyPatch) -> None:
    followed = models_of(run, recipe, [PATH]).model
    assert isinstance(followed, Followed)

    def differs(*_: object) -> None:
        message = "another branch"
        raise UnfollowedError(message)

    assert followed.confirm({PATH: 700.0}) == ""
    monkeypatch.setattr(Replay, "confirm", differs)
    assert followed.confirm({PATH: 700.0}) == "another branch"


def test_what_the_record_does_not_hold_is_left_to_the_chain(run: Run, recipe: Recipe) -> None:
    of = models_of(run, replace(recipe, paths=(THICKNESS,)), [])

    assert isinstance(of.model, Chained)
    assert THICKNESS in of.why
    assert of.beside is None


def test_an_input_without_distribution_takes_no_probability_away(run: Run, recipe: Recipe) -> None:
    """The record holds the modulus, not the thickness, which counts for the bars alone."""
    both = replace(recipe, paths=(PATH, THICKNESS), ranges=((PATH, (1200.0, 2000.0)), (THICKNESS, (3.4, 3.6))))

    of = models_of(run, both, [PATH])

    assert isinstance(of.model, Followed)
    assert of.model.replay.inputs == (PATH,)
    assert isinstance(of.beside, Chained)
    assert of.apart == (THICKNESS,)
    assert THICKNESS in of.why
    other = models_of(run, both, [THICKNESS])
    assert isinstance(other.model, Chained)
    assert (other.beside, other.apart) == (None, ())
    assert THICKNESS in other.why


ACROSS, TOE = "unit_cell/settlement_across", "layer.clay.thickness_right"


def test_the_chain_of_a_section_runs_its_positions_with_the_numbers_changed_in_them(tmp_path: Path) -> None:
    """The same as a project file with the other number in it."""

    def of_one(folder: Path) -> Design:
        design = read_design(folder)
        return with_factors_of_one(replace(design, sections=studied_sections(design, (), [ACROSS])))

    text = valley_edge()
    assert text.count('thickness_right = "6.0 m"') == 1
    (tmp_path / "project.toml").write_text(text.replace('thickness_right = "6.0 m"', 'thickness_right = "4.0 m"'))
    (before := tmp_path / "before").mkdir()
    (before / "project.toml").write_text(text, encoding="utf-8")
    run = run_checks(of_one(before))
    files = (("project.toml", text.encode()),)

    of = models_of(run, Recipe(files, (), (ACROSS,), (TOE,), "V", ACROSS), [TOE])
    model = of.model

    assert isinstance(model, Chained)
    assert "positions across" in of.why
    expected = [verdict_of(one, "V", ACROSS).utilisation for one in (run, run_checks(of_one(tmp_path)))]
    assert model({TOE: np.array([6.0, 4.0])})[ACROSS].tolist() == expected
    assert expected[0] != expected[1]


def test_a_verdict_that_compares_sections_has_the_other_ones_as_well() -> None:
    design = read_design(PROJECTS / "marsh-approach")
    slipless = with_factors_of_one(replace(design, sections=tuple(one.without_slip() for one in design.sections)))
    recipe = Recipe((), (), (), (PATH,), design.sections[0].key, "alignment/x")

    changed = Chained(slipless, recipe)._changed_design({"embankment.gamma": 20.0})
    alone = Chained(slipless, replace(recipe, verdict=VERDICT))._changed_design({"embankment.gamma": 20.0})

    assert [one.key for one in changed.sections] == [one.key for one in design.sections]
    assert [one.embankment.gamma for one in changed.sections[:2]] == [20.0, slipless.sections[1].embankment.gamma]
    assert [one.key for one in alone.sections] == [design.sections[0].key]
    assert alone.sections[0].slip_left_out


def test_a_model_is_sent_as_a_recipe_and_gives_the_same_numbers(run: Run, recipe: Recipe) -> None:
    values = {PATH: np.array([900.0, 2400.0])}
    followed = models_of(run, recipe, [PATH]).model
    chained = Chained(run.design, replace(recipe, followed=False))

    sent = pickle.loads(pickle.dumps(followed))  # noqa: S301 - our own, as a cluster does it
    assert sent(values)[VERDICT].tobytes() == followed(values)[VERDICT].tobytes()
    other = pickle.loads(pickle.dumps(chained))  # noqa: S301
    assert other(values)[VERDICT].tobytes() == chained(values)[VERDICT].tobytes()


def test_a_point_without_a_solution_or_a_number_is_infinite(
    run: Run, recipe: Recipe, monkeypatch: pytest.MonkeyPatch
) -> None:
    def fails(*_: object) -> None:
        raise CalculationError

    chained = Chained(run.design, replace(recipe, verdict="sleeve/creep_strain"))
    assert chained({PATH: np.array([1500.0])})["sleeve/creep_strain"].tolist() == [np.inf]
    monkeypatch.setattr(section_models, "run_checks", fails)
    assert chained({PATH: np.array([1500.0])})["sleeve/creep_strain"].tolist() == [np.inf]


def test_an_unknown_verdict_is_refused_with_those_that_there_are(run: Run) -> None:
    with pytest.raises(UnknownVerdictError, match=VERDICT):
        verdict_of(run, "T", "unit_cell/nothing")


def test_slip_searches_are_left_out_where_nothing_asks_for_them() -> None:
    design = read_design(PROJECTS / "marsh-approach")

    [without] = studied_sections(design, ("A",), ["sleeve/ring_tension"])
    [searched] = studied_sections(design, ("A",), ["stability/global_stability"])
    assert without != searched
    assert searched in design.sections


def test_a_chapter_has_slip_searches_where_a_verdict_of_the_examples_descends_from_their_fields() -> None:
    descending = {
        room for (room, _), one in descent().verdicts.items() if any(name.startswith("slip.") for name in one.fields)
    }

    assert descending
    assert descending <= {chapter.key for chapter in CHAPTERS if chapter.searches}


def test_extrusion_is_a_limit_state_where_the_soil_alone_bears_its_share() -> None:
    """The calculation has no number there; the record has the one of the chain on both sides of the limit."""
    design, name = read_design(PROJECTS / "marsh-approach"), "bearing/squeeze"
    plain = run_checks(replace(design, sections=tuple(one.without_slip() for one in design.sections[:1])))
    of_one = with_factors_of_one(replace(design, sections=studied_sections(design, ("A",), [name])))
    run = run_checks(of_one)
    paths = ("layer.peat.c_u", "embankment.gamma")

    replay = Replay(run, of_one, "A", [name], paths)

    with pytest.raises(UnknownVerdictError):
        verdict_of(plain, "A", name)
    assert replay.followed[name] == paths
    soft, firm = replay({"layer.peat.c_u": np.array([4.0, 20.0])})[name]
    assert soft > 1 > firm > 0
    for strength in (4.0, 20.0):
        replay.confirm({"layer.peat.c_u": strength})
