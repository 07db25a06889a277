"""Values by sublayer through the chain: the record against project files that have a layer for each sublayer."""

import json
import pickle
from collections.abc import Mapping
from dataclasses import replace
from functools import partial
from itertools import pairwise
from pathlib import Path
from typing import Any

import numpy as np
import pyarrow.parquet as pq
import pytest
import tomlkit

from calc.chain import Run, run_checks
from calc.inputs import Design, InputErrors, Section, read_design
from calc.inputs.tables.vary import Vary
from calc.study.engines import Here, engine
from calc.study.replay_plan import UnfollowedError
from calc.study.study_parts import read_studies
from calc.study.study_record import checksum
from calc.study.vary import vary_run as study
from calc.study.vary.depth_fields import DepthField, by_part, fields_of, in_sublayers
from calc.study.vary.factors_of_one import with_factors_of_one
from calc.study.vary.samples_file import write_samples
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
from calc.study.vary.vary_pages import vary_pages
from calc.study.vary.vary_record import record
from calc.study.vary.vary_run import Varied, vary_run
from calc.study.vary.vary_text import vary_text
from tests.study.vary.read_back import read_back
from tests.study.vary.slip_project import slip_text
from tests.study.vary.test_study import text_of_pdf

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
    one = with_factors_of_one(replace(design, sections=studied_sections(design, ("A",), [verdict])))
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
    run, parts = run_checks(one), by_sublayer(one, recipe)

    model = models_of(run, recipe, [recipe.paths[0]], partial(follow_slip, Here()), parts).model

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


def changed_project(folder: Path, paths: tuple[str, ...], verdict: str = RING) -> Design:
    text = (PROJECTS / "weak-sleeve" / "project.toml").read_text(encoding="utf-8")
    lines = [text.partition("\n# Sensitivity and reliability")[0], "\n[vary]\npoints = 256\nreplicates = 8\n"]
    for path in paths:
        lines.append(f'\n[[vary.input]]\npath = "{path}"\ndistribution = "lognormal"\nmean = "900 kPa"\ncov = 0.3\n')
        lines.append('vertical = "sublayers"\ncorrelation_length = "0.8 m"\nsource = "invented"\n')
    lines.append('\n[[vary.input]]\npath = "embankment.gamma"\ndistribution = "lognormal"\nmean = "22 kN/m^3"\n')
    lines.append('cov = 0.1\nsource = "invented"\n')
    lines.append(f'\n[[vary.limit_state]]\nverdict = "{verdict}"\n')
    (folder / "project.toml").write_text("".join(lines), encoding="utf-8")
    (folder / "ground-data.csv").write_bytes((PROJECTS / "weak-sleeve" / "ground-data.csv").read_bytes())
    return read_design(folder)


def test_more_sublayers_than_random_variables_are_admitted_are_refused(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    design = changed_project(tmp_path, (LOWER, UPPER))
    assert design.vary is not None
    monkeypatch.setattr(study, "MOST_VARIABLES", 5)

    with pytest.raises(InputErrors) as caught:
        vary_run(design, design.vary, Here())

    [line] = str(caught.value).splitlines()
    assert "vary.input[2].vertical: must leave at most 500 random variables (project rule)" in line
    assert line.endswith('got "6 sublayers of layer clay-upper, 11 variables"')


def test_a_section_that_is_not_divided_has_bars_by_the_chain_and_says_why(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    design = changed_project(tmp_path, (UPPER,))
    assert design.vary is not None
    monkeypatch.setattr(study, "fields_of", lambda *_: ())

    [section] = vary_run(design, design.vary, Here()).sections

    [answer] = section.answers
    assert answer.probability is None
    assert {swing.path for swing in answer.swings} == {UPPER, "embankment.gamma"}
    assert min(swing.size for swing in answer.swings) > 0
    assert answer.open[0][0] == "chained"
    assert "cannot be followed by sublayer: the section has layers that change across" in answer.open[0][1]


@pytest.fixture(scope="module")
def whole_study(tmp_path_factory: pytest.TempPathFactory) -> Varied:
    design = changed_project(tmp_path_factory.mktemp("project"), (UPPER,), SETTLEMENT)
    assert design.vary is not None
    return vary_run(design, design.vary, Here())


def test_a_study_is_the_same_whoever_works_it_out(whole_study: Varied) -> None:
    vary = whole_study.vary

    with engine("processes", 3) as crew:
        again = vary_run(whole_study.design, vary, crew)

    assert record(again) == record(whole_study)


def test_text_record_and_pages_have_the_design_point_by_sublayer(whole_study: Varied) -> None:
    [section] = record(whole_study)["sections"]
    [state] = section["limit_states"]
    text = " ".join(vary_text(whole_study, 100).split())
    pages = " ".join(text_of_pdf(vary_pages(read_back(whole_study))).split())

    given, whole = [one["by_sublayer"] for one in section["inputs"]]
    assert whole is None
    assert given["paths"][5] == "layer.clay-upper/6.E_oed_ref"
    assert given["correlation_length"] == 0.8
    assert section["random_variables"] == 7
    point = state["form"]["by_sublayer"][UPPER]
    assert len(point["design_values"]) == len(point["sensitivity"]) == 6
    assert list(state["form"]["design_values"]) == ["embankment.gamma"]
    assert sum(alpha**2 for alpha in state["form"]["sensitivity"].values()) == pytest.approx(1.0, abs=1e-6)
    farthest = int(np.argmax(np.abs(point["sensitivity"])))
    assert f"({point['design_values'][farthest]:.4g} kPa in" in text
    assert "neighbouring sublayers of up to 0.70 m have a correlation of 0.17, less than 0.37" in text
    assert "a value in each sublayer (6), scale of fluctuation 0.8 m" in pages
    assert f"Design point of {UPPER} by sublayer" in pages
    labels = section_labels(given)
    assert all(label in pages for label in labels)
    assert {share["path"] for share in state["shares"]} == {UPPER, "embankment.gamma"}


def test_the_record_of_a_study_by_sublayer_is_one_of_its_project_alone(whole_study: Varied) -> None:
    """Held against the table of the project file, as the last chapter of a package is."""
    one = record(whole_study)
    other: dict[str, Any] = json.loads(json.dumps(one))
    other["sections"][0]["inputs"][0]["by_sublayer"]["correlation_length"] = 2.0
    other["checksum"] = checksum(other)

    assert read_studies({"vary.json": json.dumps(one).encode()}, whole_study.design)
    with pytest.raises(InputErrors, match=r"sections\.0\.inputs\.0\.by_sublayer: must be those that \[vary\]"):
        read_studies({"vary.json": json.dumps(other).encode()}, whole_study.design)


def section_labels(given: Mapping[str, Any]) -> list[str]:
    ends = given["top"] + np.cumsum([0.0, *given["thickness"]])
    return [f"{top:.2f}–{bottom:.2f} m" for top, bottom in pairwise(ends)]


def test_samples_have_a_column_for_every_sublayer(whole_study: Varied, tmp_path: Path) -> None:
    """Each has the distribution of a point, and neighbours are correlated by their mid-depths."""
    rows = write_samples(whole_study, tmp_path / "samples.parquet", Here())

    columns = pq.read_table(tmp_path / "samples.parquet").to_pydict()
    parts = [f"layer.clay-upper/{k}.E_oed_ref" for k in range(1, 7)]
    assert rows == 256 * 8 == len(columns[SETTLEMENT])
    assert [name for name in columns if name.startswith("layer")] == parts
    logs = np.log([columns[part] for part in parts])
    assert np.exp(logs.mean(axis=1)) == pytest.approx(900 / np.sqrt(1.09), rel=0.02)
    assert np.corrcoef(logs)[0, 1] == pytest.approx(np.exp(-2 * 0.4 / 0.8), abs=0.05)


def test_a_section_in_sublayers_keeps_its_values(of_one: Design, run: Run) -> None:
    [section] = of_one.sections
    fields = fields_of(run.design, run.sections[0].section, table(UPPER))

    cut = in_sublayers(section, fields, {UPPER: 800.0})

    assert cut.own_values == by_part(fields, {UPPER: 800.0})
    assert sum(layer.thickness for layer in cut.layers) == pytest.approx(6.5)
    assert len(cut.layers) == 7
