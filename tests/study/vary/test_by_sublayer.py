"""Values by sublayer through the chain: the record against project files that have a layer for each sublayer."""

import pickle
from collections.abc import Mapping
from dataclasses import replace
from functools import partial
from pathlib import Path
from typing import Any

import numpy as np
import pytest
import tomlkit

from calc.chain import Run, run_checks
from calc.inputs import Design, Section, read_design
from calc.inputs.tables.vary import Vary
from calc.study.engines import Here
from calc.study.replay_plan import UnfollowedError
from calc.study.vary.depth_fields import DepthField, by_part, fields_of, in_sublayers
from calc.study.vary.factors_of_one import with_factors_of_one
from calc.study.vary.section_models import (
    Chained,
    Followed,
    Recipe,
    by_sublayer,
    confirm_fields,
    models_of,
    studied_sections,
    verdict_of,
)
from calc.study.vary.slip_models import BySurfaces, follow_slip, largest
from tests.study.vary.slip_project import slip_text

PROJECTS = Path(__file__).parents[3] / "projects"
RING, SETTLEMENT = "sleeve/ring_tension_iso", "unit_cell/settlement_total"
UPPER, LOWER = "layer.clay-upper.E_oed_ref", "layer.clay-lower.E_oed_ref"
STRENGTH = "layer.clay-lower.c_u"
UNITS = {"E_oed_ref": "kPa", "c_u": "kPa", "gamma_sat": "kN/m^3"}


def table(*paths: str, verdict: str = RING, **more: Any) -> Vary:
    inputs = [
        {"path": path, "distribution": "lognormal", "mean": f"100 {UNITS[path.rpartition('.')[2]]}", "cov": 0.2,
         "vertical": "sublayers", "correlation_length": "0.8 m", "source": "invented"} for path in paths
    ]  # fmt: skip
    return Vary.model_validate({"input": inputs, "limit_state": [{"verdict": verdict}], **more})


@pytest.fixture(scope="module")
def of_one() -> Design:
    design = read_design(PROJECTS / "weak-sleeve")
    return with_factors_of_one(replace(design, sections=studied_sections(design, (), [RING])))


@pytest.fixture(scope="module")
def run(of_one: Design) -> Run:
    return run_checks(of_one)


def recipe_of(run: Run, paths: tuple[str, ...], verdict: str = RING, **more: Any) -> Recipe:
    part = run.sections[0].section
    files = tuple(
        (name, (PROJECTS / "weak-sleeve" / name).read_bytes()) for name in ("project.toml", "ground-data.csv")
    )
    fields = fields_of(run.design, part, table(*paths))
    return Recipe(files, (), (verdict,), paths, part.key, verdict, fields=fields, **more)


def written(folder: Path, fields: tuple[DepthField, ...], values: Mapping[str, float]) -> Run:
    """The run of a project file in which every sublayer of a field is a layer of its own, with its value typed."""
    document: Any = tomlkit.parse((PROJECTS / "weak-sleeve" / "project.toml").read_text(encoding="utf-8"))
    for name in ("vary", "size"):
        document.pop(name, None)
    section = document["section"][0]
    section.pop("ground_model")
    layers = tomlkit.aot()
    for layer in section["layer"]:
        own = [one for one in fields if one.layer == layer["key"]]
        for k in range(len(own[0].parts)) if own else ():
            part = tomlkit.parse(tomlkit.dumps(layer))
            part["key"], part["thickness"] = f"{layer['key']}-{k}", f"{own[0].thickness[k]!r} m"
            if "c_u" in layer:
                # Strength that grows with depth begins with what it is at the top of the sublayer.
                part["c_u"] = f"{14.0 + 1.0 * (own[0].tops[k] - own[0].top)!r} kPa"
            for one in own:
                name = one.path.rpartition(".")[2]
                part[name] = f"{float(values[one.parts[k]])!r} {UNITS[name]}"
            layers.append(part)
        if not own:
            layers.append(tomlkit.parse(tomlkit.dumps(layer)))
    section["layer"] = layers
    (folder / "project.toml").write_text(tomlkit.dumps(document), encoding="utf-8")
    design = read_design(folder)
    return run_checks(with_factors_of_one(replace(design, sections=studied_sections(design, (), [RING]))))


def test_the_fields_of_a_section_lie_in_the_sublayers_of_its_run(run: Run) -> None:
    upper, strength = fields_of(run.design, run.sections[0].section, table(UPPER, STRENGTH))

    assert upper.parts[0] == "layer.clay-upper/1.E_oed_ref"
    assert sum(upper.thickness) == pytest.approx(3.0)
    labels = run.sections[0].sheets[1].axes["layer"]
    assert list(labels) == [
        *(f"clay-upper {label}" for label in upper.labels), *(f"clay-lower {label}" for label in strength.labels),
    ]  # fmt: skip
    assert strength.top == 3.0
    assert strength.shifts == pytest.approx(strength.tops - 3.0)
    assert set(upper.shifts) == {0.0}


@pytest.mark.parametrize("verdict", [RING, SETTLEMENT])
def test_a_layer_in_its_sublayers_with_one_value_is_the_layer(run: Run, verdict: str) -> None:
    """Without a digit of difference in what hangs on sublayers, at the project's value and at others."""
    recipe = recipe_of(run, (UPPER, LOWER), verdict)
    parts = by_sublayer(run.design, recipe)
    model = models_of(run, recipe, [UPPER, LOWER], parts=parts).model
    assert isinstance(model, Followed)

    values = {UPPER: np.array([800.0, 500.0, 1300.0]), LOWER: np.array([1500.0, 1800.0, 1000.0])}
    whole = models_of(run, replace(recipe, fields=()), [UPPER, LOWER]).model

    assert verdict_of(parts, "T", verdict).utilisation == pytest.approx(verdict_of(run, "T", verdict).utilisation)
    assert model(values)[verdict] == pytest.approx(whole(values)[verdict], rel=1e-12)


@pytest.mark.slow
@pytest.mark.parametrize("verdict", [RING, SETTLEMENT])
def test_the_record_gives_what_a_project_with_a_layer_for_each_sublayer_gives(
    run: Run, verdict: str, tmp_path: Path
) -> None:
    """The second method: file, reading and chain know nothing of values by sublayer. Weak, strong and mixed ground."""
    recipe = recipe_of(run, (UPPER, STRENGTH), verdict)
    model = models_of(run, recipe, [UPPER, STRENGTH], parts=by_sublayer(run.design, recipe)).model
    assert isinstance(model, Followed)
    chance = np.random.default_rng(3)
    for mean in (500.0, 800.0, 1200.0):
        values = {path: float(mean * chance.lognormal(0.0, 0.4)) for path in recipe.fields[0].parts}
        strengths = zip(recipe.fields[1].parts, recipe.fields[1].shifts, strict=True)
        values |= {path: float(12 * chance.lognormal(0.0, 0.2)) + shift for path, shift in strengths}

        found = model({path: np.array([value]) for path, value in values.items()})[verdict]

        there = verdict_of(written(tmp_path, recipe.fields, values), "T", verdict)
        assert there.utilisation is not None
        assert found[0] == pytest.approx(there.utilisation / there.limit, rel=1e-10)
        assert model.confirm(values) == ""


def test_the_sublayer_that_is_weakest_decides_the_ring_tension(run: Run) -> None:
    """More than with the mean in the whole layer: what an average would hide."""
    recipe = recipe_of(run, (UPPER,))
    model = models_of(run, recipe, [UPPER], parts=by_sublayer(run.design, recipe)).model
    parts = recipe.fields[0].parts

    def at(*values: float) -> float:
        return float(model({path: np.array([value]) for path, value in zip(parts, values, strict=True)})[RING][0])

    weak = at(900.0, 300.0, 900.0, 900.0, 900.0, 900.0)
    assert weak > 1.1 * at(*[900.0] * 6)
    assert weak > 1.1 * at(*[800.0] * 6)
    assert weak == pytest.approx(float(model({UPPER: np.array([300.0])})[RING][0]), rel=0.15)


@pytest.mark.slow
def test_a_model_by_sublayer_is_sent_as_a_recipe_and_gives_the_same_numbers(run: Run) -> None:
    recipe = recipe_of(run, (UPPER,))
    model = models_of(run, recipe, [UPPER], parts=by_sublayer(run.design, recipe)).model
    values = {path: np.linspace(500.0, 900.0, 4) * (1 + 0.01 * k) for k, path in enumerate(recipe.fields[0].parts)}

    sent = pickle.loads(pickle.dumps(model))  # noqa: S301 - our own, as a cluster does it

    assert sent(values)[RING].tobytes() == model(values)[RING].tobytes()
    chained = Chained(run.design, replace(recipe, followed=False))
    other = pickle.loads(pickle.dumps(chained))  # noqa: S301
    assert other({UPPER: np.array([700.0])})[RING] == pytest.approx(model({UPPER: np.array([700.0])})[RING], rel=1e-9)


def test_ends_of_the_range_move_the_whole_layer_in_the_chain_as_well(
    run: Run, monkeypatch: pytest.MonkeyPatch
) -> None:  # fmt: skip
    ends = (500.0, 1300.0)
    recipe = recipe_of(run, (UPPER,), ranges=((UPPER, ends), (LOWER, (1e3, 2e3))))
    model = models_of(run, replace(recipe, ranges=()), [UPPER], parts=by_sublayer(run.design, recipe)).model
    assert isinstance(model, Followed)
    asked = list[Mapping[str, float]]()
    monkeypatch.setattr(type(model.replay), "confirm", lambda _, values: asked.append(values))

    confirm_fields(model, recipe.ranges)

    parts = recipe.fields[0].parts
    assert asked == [{**dict.fromkeys(parts, end), UPPER: end} for end in ends]

    def differs(_: object, values: Mapping[str, float]) -> None:
        message = f"{', '.join(sorted(set(values) - {UPPER}))} cannot be followed"
        raise UnfollowedError(message)

    monkeypatch.setattr(type(model.replay), "confirm", differs)
    with pytest.raises(UnfollowedError, match=f"^{UPPER} by sublayer cannot be followed$"):
        confirm_fields(model, recipe.ranges)
    assert model.confirm({UPPER: 700.0}) == f"{UPPER} by sublayer cannot be followed"


@pytest.mark.slow
def test_a_number_that_a_verdict_takes_once_for_the_layer_is_not_followed_by_sublayer() -> None:
    """The filter rule takes the permeability of a layer: no sublayer's, and never their mean without a word."""
    verdict, path = "filters/filter_permeability", "layer.peat.k"
    design = read_design(PROJECTS / "marsh-approach")
    sections = tuple(section.without_slip() for section in studied_sections(design, ("A",), [verdict]))
    one = with_factors_of_one(replace(design, sections=sections))
    run = run_checks(one)
    vary = Vary.model_validate({
        "input": [{"path": path, "distribution": "lognormal", "mean": "5e-9 m/s", "cov": 0.5, "vertical": "sublayers",
                   "correlation_length": "1 m", "source": "invented"}],
        "limit_state": [{"verdict": verdict}],
    })  # fmt: skip
    fields = fields_of(one, run.sections[0].section, vary)
    recipe = Recipe((), ("A",), (verdict,), (path,), "A", verdict, fields=fields)

    of = models_of(run, recipe, [path], parts=by_sublayer(one, recipe))

    assert isinstance(of.model, Chained)
    assert of.why == (
        f"{path} cannot be followed by sublayer to {verdict}: A/filters/permeability/k_so takes it once for the whole "
        "layer"
    )
    assert of.model({path: np.array([5e-9 * 86400])})[verdict] == pytest.approx(1.25e-4)


def slip_recipe(folder: Path) -> tuple[Recipe, Section]:
    text = slip_text()
    (folder / "project.toml").write_text(text, encoding="utf-8")
    verdict, path = "stability/global_stability", "layer.clay.c_u"
    design = read_design(folder)
    one = with_factors_of_one(replace(design, sections=studied_sections(design, (), [verdict])))
    fields = fields_of(one, one.sections[0], table(path))
    ranges = ((path, (11.0, 22.0)),)
    files = (("project.toml", text.encode()),)
    return Recipe(files, (), (verdict,), (path,), "A", verdict, ranges, fields=fields), one.sections[0]


@pytest.mark.slow
def test_slip_surfaces_have_the_strength_of_every_sublayer(tmp_path: Path) -> None:
    """The known surfaces in the ground of a point against whole searches there."""
    recipe, _ = slip_recipe(tmp_path)
    one = with_factors_of_one(read_design(tmp_path))
    parts = by_sublayer(one, recipe)  # a run in whole layers is not looked at

    model = models_of(Run(one, ()), recipe, [recipe.paths[0]], partial(follow_slip, Here()), parts).model

    assert isinstance(model, BySurfaces)
    names = recipe.fields[0].parts
    weak = dict.fromkeys(names, 16.0) | {names[1]: 9.0}
    points = [weak, dict.fromkeys(names, 16.0), {recipe.paths[0]: 16.0}]
    searched = [largest(rows) for rows in model.search(points, Here())]
    known = [float(model({path: np.array([value]) for path, value in at.items()})[recipe.verdict][0]) for at in points]
    assert known[1] == known[2]
    assert searched[1] == searched[2]
    assert searched[0] > searched[1]
    assert known == pytest.approx(searched, rel=0.02)
    assert model.confirm(weak) == ""


def test_layers_that_change_across_have_no_values_by_sublayer() -> None:
    design = read_design(PROJECTS / "valley-edge")
    section = next(one for one in design.sections if one.slopes)

    assert fields_of(design, section, table("layer.clay.E_oed_ref")) == ()


def test_a_section_in_sublayers_keeps_its_values(of_one: Design, run: Run) -> None:
    [section] = of_one.sections
    fields = fields_of(run.design, run.sections[0].section, table(UPPER))

    cut = in_sublayers(section, fields, {UPPER: 800.0})

    assert cut.own_values == by_part(fields, {UPPER: 800.0})
    assert sum(layer.thickness for layer in cut.layers) == pytest.approx(6.5)
    assert len(cut.layers) == 7
