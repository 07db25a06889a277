"""Every complete example runs, its verdicts are those of the stored run, and its printed equations recompute.

`python -m tests.projects.store` writes the stored runs again; a change of a number belongs into docs/changelog.md.
"""

import json
from collections import Counter
from collections.abc import Iterator
from collections.abc import Set as AbstractSet
from functools import cache
from html import unescape
from pathlib import Path
from re import findall, search, sub
from typing import Any

import pytest
from fontTools.ttLib import TTFont

from calc.chain import CHAPTERS, Run, SectionRun, run_checks
from calc.engine.sheet import Origin, Step
from calc.inputs import Design, Section, read_design
from calc.inputs.reading.starter import starter_project
from calc.numbering import listed_quantities, own_key
from calc.package.attached import Document
from calc.package.pages import FIRST_HEAD
from calc.package.writer import writers
from calc.resources import template_folder
from calc.terminal.descent import descent
from tests.packages.columns import lines_of as printed_steps
from tests.packages.columns import own_values, wrong_columns
from tests.packages.reading import typed
from tests.packages.text_rows import text_rows
from tests.projects.descents import descent_of
from tests.projects.pages import documents_of, opening_pages, wrong_chapters, wrong_pages
from tests.projects.store import EXAMPLES, OF_SEARCH, STORED, lines_of, read_results, results, run_of, same, summary
from tests.projects.verdict_list import ENDING, OTHERWISE, PAGE, RENEW, page_of, read_page
from tests.projects.verdict_list import rows_of as verdict_rows

pytestmark = pytest.mark.examples


CAUTION = "who remains responsible for the design."  # its end


@pytest.fixture(scope="module", params=EXAMPLES, ids=lambda project: project.name)
def run(request: pytest.FixtureRequest) -> Run:
    """An example, run once for all that is asked of it."""
    return run_of(request.param)


def test_verdicts_of_the_example_are_unchanged(run: Run) -> None:
    """Compared with a stored run of this program, not with anything published."""
    stored = json.loads((STORED / f"{run.design.source.parent.name}.json").read_text(encoding="utf-8"))

    assert_same(summary(run), stored)


def test_results_of_the_example_are_unchanged(run: Run) -> None:
    """Every step has the numbers of the stored run to ten digits; `python -m tests.projects.store` renews it."""
    stored, found = read_results(STORED / f"{run.design.source.parent.name}.results"), results(run)

    assert sorted(set(stored) ^ set(found)) == []
    assert [key for key, one in found.items() if not same(key, one, stored[key])] == []


def test_every_input_of_every_step_leads_to_a_step_a_field_or_a_factor(run: Run) -> None:
    """Followed back, the record has no gap."""
    assert [gap for part in run.sections for gap in gaps(run, part)] == []


def steps_of_section(run: Run, part: SectionRun) -> dict[str, Step]:
    """The steps of a section with those of its positions and of the zones of its columns, which it reads."""
    beside = [section for section in run.sections if section.section.of == part.section.of]
    return {step.key: step for one in beside for sheet in one.sheets for step in sheet.steps}


def gaps(run: Run, part: SectionRun) -> Iterator[str]:
    """Steps that rest on nothing, and what steps rest on that does not exist."""
    design, keys = run.design, steps_of_section(run, part).keys()
    for step in (step for sheet in part.sheets for step in sheet.steps):
        if not step.inputs and not step.origins:
            yield f"{step.key} rests on nothing"
        yield from (f"{step.key} reads {one.value.step}" for one in step.inputs.values() if one.value.step not in keys)
        yield from (
            f"{step.key}: {origin.kind} {origin.path!r}"
            for origin in step.origins
            if not known(design, part, origin, keys)
        )


FACTORS = ("F_Bi", "F_Sp", "F_MP", "F_OM", "F_B0", "F_av", "F_bl", "F_fi", "M_Rs", "M_Ds", "M_Ts", "T_av")
MODELLED = (
    "ground_level", "embankment.crest_width", "embankment.slope_left", "embankment.slope_right",
    "embankment.gamma", "embankment.c", "embankment.phi", "bearing_layer.gamma", "bearing_layer.gamma_sat",
    "bearing_layer.c", "bearing_layer.phi", "columns.spacing", "columns.diameter", "columns.embedment",
    "columns.fill.gamma", "columns.fill.gamma_sat", "columns.fill.phi", "field.beyond_left", "field.beyond_right",
)  # fmt: skip
"""Fields that every slip surface depends on, besides those of its crest, layers, stages and water levels."""


def test_every_factor_of_a_slip_search_leads_to_all_that_the_model_is_made_of(run: Run) -> None:
    """Followed back to the project file: a field that the record does not reach could change a factor unseen."""
    for part in run.sections:
        steps, section = steps_of_section(run, part), part.section
        own = [step for sheet in part.sheets for step in sheet.steps]
        found = [one for one in own if f"/stability/{one.scope}/" in one.key and one.symbol in FACTORS]
        whole = section.zone is None and section.position is None
        if section.slip is not None and section.column_field is not None and whole:
            assert {"F_Bi", "F_Sp", "F_bl"} <= {one.symbol for one in found}
        assert {
            one.key: lacking for one in found if (lacking := sorted(wanted_by(part, one) - reached(steps, one)))
        } == {}


def wanted_by(part: SectionRun, step: Step) -> set[str]:
    """The fields of the project file that a factor rests on."""
    section = part.section
    strengths = ("c", "phi") if "_drained" in step.scope else ("c_u", "c_u_growth")
    fields = ("thickness", "thickness_left", "thickness_right", "gamma", "gamma_sat", *strengths)
    layers = {
        section.path_of(f"layer.{layer.key}.{name}")
        for layer in section.layers for name in fields if getattr(layer, name) is not None
    }  # fmt: skip
    stages = {f"stage.{k}.fill_height" for k in range(len(section.stages))}
    water = {f"water.{stage.water}" for stage in section.stages}
    fill = section.embankment
    heights = {fill.path_of_height(side) for side in fill.heights} if fill.lower else {"embankment.height"}
    return {*MODELLED, *heights, *layers, *stages, *water, *search_of(section, step)}


def search_of(section: Section, step: Step) -> set[str]:
    """The fields of the table [slip] that a factor rests on: those of its search, and of its crack where given."""
    slip = section.slip
    assert slip is not None
    grid = {"centres", "levels"} if step.symbol not in {"F_bl", "F_fi"} else set()
    deep = {"min_depth"} if step.symbol != "F_bl" else set()
    crack = {"crack.depth", "crack.water"} if slip.crack is not None else set()
    quake = {"earthquake.a_g", "earthquake.vertical"} if section.earthquake is not None else set()
    return {*quake, *(f"slip.{name}" for name in {"slices", "water_mode", *grid, *deep, *crack})}


def reached(steps: dict[str, Step], last: Step) -> set[str]:
    """The paths of all fields that a step goes back to."""
    pending, seen, paths = [last], {last.key}, set[str]()
    while pending:
        step = pending.pop()
        paths |= {origin.path for origin in step.origins}
        before = {one.value.step for one in step.inputs.values()} - seen
        pending.extend(steps[key] for key in before)
        seen |= before
    return paths


def known(design: Design, part: SectionRun, origin: Origin, keys: AbstractSet[str]) -> bool:
    """Whether an origin is a field, a step, a factor set or a rule in words."""
    if origin.kind == "step":
        return origin.path in keys
    if origin.kind in {"file", "default"}:
        return not {origin.path, f"section.{part.section.of}.{origin.path}"}.isdisjoint(design.provenance)
    return bool(origin.text)


def test_every_number_of_a_verdict_stands_on_the_line_that_it_cites(run: Run) -> None:
    assert [wrong for part in run.sections for wrong in cited_otherwise(run, part)] == []


def cited_otherwise(run: Run, part: SectionRun) -> Iterator[str]:
    """Verdicts whose effect or resistance is not the number that its line prints."""
    lines = {step.key: (sheet, step) for sheet in part.sheets for step in sheet.steps}
    for verdict in (one for sheet in part.sheets for one in sheet.verdicts):
        for key, said in ((verdict.step, verdict.effect), (verdict.resistance_step, verdict.resistance)):
            if said is None:
                continue
            sheet, step = lines[key]
            printed = {line.key for line in sheet.page.lines}
            number, prints = run.numbers[own_key(key)], step.value.number(part.cases[sheet.key, step.scope])
            if key not in printed or prints != said:
                yield f"{part.section.key}: {verdict.key} says {said}, line {number} ({key}) prints {prints}"


def test_every_verdict_of_the_example_stands_in_the_list(run: Run) -> None:
    listed = read_page()
    for chapter, rows in verdict_rows([run]).items():
        for key, row in rows.items():
            there = listed[chapter].get(key)
            assert there, f"docs/verdicts.md has no row for {key} of {chapter}: {RENEW}"
            if row.compares:
                assert there.alike() == row.alike(), f"docs/verdicts.md has another title for {key}: {RENEW}"
                assert row.compares in there.compares.split(OTHERWISE), f"{key} compares otherwise: {RENEW}"
                assert there.limit == row.limit, f"{key} has its limit elsewhere: {RENEW}"


def test_every_descent_of_the_example_stands_in_the_data_of_explain(run: Run) -> None:
    found, listed = descent_of([run]), descent()
    for key, verdict in found.verdicts.items():
        assert key in listed.verdicts, f"calc/terminal/descent.json has no verdict {key}: {RENEW}"
        assert verdict.fields <= listed.verdicts[key].fields, f"{key} descends from other fields: {RENEW}"
    assert {path for path, by in found.reads.items() if not set(by) <= set(listed.reads.get(path, ()))} == set(), RENEW


def test_every_quantity_of_the_example_has_its_number_in_the_list_of_its_chapter(run: Run) -> None:
    for chapter, names in lines_of([run]).items():
        assert names == list(listed_quantities(chapter)), f"calc/chapters/{chapter}/lines.txt lacks quantities: {RENEW}"


@pytest.fixture(scope="module")
def documents(run: Run) -> list[Document]:
    """The text that the pages of an example are set from; `python -m tests.projects.pages` sets them."""
    return documents_of(run)


def test_opening_has_two_pages(documents: list[Document]) -> None:
    """The cover with revisions and contents, and the summary with its caution; set with pages of three figures."""
    first, second = opening_pages(documents)

    assert "Contents" in first
    assert "Main limitations" in second
    assert CAUTION in " ".join(second.split())
    assert search(f'class="furniture section( across)?" data-text="{FIRST_HEAD}"', documents[1].html)


def test_summary_gives_the_area_of_every_mat(run: Run, documents: list[Document]) -> None:
    text = sub(r"<[^>]+>", "", documents[0].html)
    for part in run.sections:
        scopes = next(sheet for sheet in part.sheets if sheet.key == "construction").scopes
        if "reinforcement" in scopes:
            assert [area for area in scopes["reinforcement"]["A_rf"].array if f"{area:.0f}" not in text] == []


def test_every_line_of_the_package_is_there_and_every_column_recomputes(run: Run, documents: list[Document]) -> None:
    """Inputs and result may be off by half a unit of their last digit; typed inputs are exact."""
    rows = text_rows(documents, [part.section.key for part in run.sections])
    read = own_values(run, rows)
    by_section = {writer.part.section.key: writer for writer in writers(run)}
    computed = {}
    for part, sheet, step, number in printed_steps(run):
        case = part.cases[sheet.key, step.scope]
        if step.value.number(case) is not None:
            computed[part.section.key, number] = typed(by_section[part.section.key].value(step, case))

    assert {key: read.get(key) for key in computed} == computed
    assert wrong_columns(run, rows) == []


def test_every_link_of_the_package_leads_to_the_one_place_of_its_name(documents: list[Document]) -> None:
    places = Counter(name for document in documents for name in findall(r'\bid="([^"]+)"', document.html))
    links = {name for document in documents for name in findall(r'\bhref="#([^"]+)"', document.html)}

    assert [name for name, times in places.items() if times > 1] == []
    assert links - set(places) == set()


def test_every_sign_of_the_package_is_in_its_font(documents: list[Document]) -> None:
    """A sign that the font lacks would be reported by the renderer, and no package be made."""
    signs = set(unescape("".join(sub(r'src="data:[^"]*"', "", document.html) for document in documents)))

    assert sorted(signs - font_signs()) == []


@cache
def font_signs() -> set[str]:
    """The signs that every face of the package has, and those that are never drawn."""
    faces = [TTFont(path).getBestCmap() for path in (template_folder() / "fonts").glob("*.ttf")]
    return {chr(code) for code in set.intersection(*map(set, faces))} | {"\n"}


def test_lines_stand_on_their_pages_as_in_the_text(run: Run, documents: list[Document]) -> None:
    """Of every eighth chapter of each of the eight examples: together they set every chapter."""
    place = 1 + [project.name for project in EXAMPLES].index(run.design.source.parent.name)
    chapters = {f"{k}" for k in range(1, 1 + len(CHAPTERS)) if k % len(EXAMPLES) == (place + 1) % len(EXAMPLES)}

    assert wrong_chapters(run, documents, chapters) == []


@pytest.mark.slow
def test_lines_of_a_whole_package_stand_on_their_pages_as_in_the_text() -> None:
    weak = example("weak-sleeve")

    assert wrong_pages(weak, documents_of(weak)) == []


def test_every_example_has_a_stored_run() -> None:
    assert {path.stem for path in STORED.glob("*.json")} == {project.name for project in EXAMPLES}


def test_the_list_of_verdicts_is_that_of_the_stored_runs_the_chapters_and_the_models() -> None:
    """Each row is compared with the runs above; here that none is too many, and all that the models say."""
    listed = read_page()
    stored = {
        (chapter, ENDING.sub("", verdict))
        for path in STORED.glob("*.json")
        for key in json.loads(path.read_text(encoding="utf-8"))["verdicts"]
        for _, chapter, verdict in [key.split("/")]
    }

    assert {(chapter, key) for chapter, rows in listed.items() for key in rows} == stored, RENEW
    assert set(descent().verdicts) == stored, RENEW
    assert PAGE.read_text(encoding="utf-8") == page_of(listed), RENEW


@pytest.mark.parametrize("name", ["weak-sleeve"])
def test_failing_example_fails_and_the_others_do_not(name: str) -> None:
    """Of the stored runs, with which every example is compared above."""
    stored = {path.stem: json.loads(path.read_text(encoding="utf-8")) for path in STORED.glob("*.json")}
    outcomes = {key: run["outcome"] for key, run in stored.items()}

    assert {key for key, outcome in outcomes.items() if outcome == "fail"} == {name}


def test_starter_project_runs_as_it_is(tmp_path: Path) -> None:
    (tmp_path / "project.toml").write_text(starter_project("Starter"), encoding="utf-8")

    assert run_checks(read_design(tmp_path)).outcome == "incomplete"


def assert_same(found: Any, stored: Any, at: str = "") -> None:
    """The same structure and words; numbers to 1e-9, which leaves room for other arithmetic units only.

    Verdicts of the chapter on stability rest on searches.
    """
    if isinstance(stored, dict):
        assert set(found) == set(stored), at
        for key, value in stored.items():
            assert_same(found[key], value, f"{at}/{key}")
    elif isinstance(stored, list):
        assert len(found) == len(stored), at
        for k, value in enumerate(stored):
            assert_same(found[k], value, f"{at}/{k}")
    elif isinstance(stored, float):
        near = OF_SEARCH if "/stability/" in at else 1e-9
        assert found == pytest.approx(stored, rel=near, abs=1e-12), at
    else:
        assert found == stored, at


def example(name: str) -> Run:
    return run_of(next(project for project in EXAMPLES if project.name == name))


def test_extrusion_of_the_dyke_says_that_it_rests_on_the_time_of_placing() -> None:
    (part,) = example("dyke-reach").sections
    bearing = next(sheet for sheet in part.sheets if sheet.key == "bearing")
    found = next(verdict for verdict in bearing.verdicts if verdict.key == "squeeze_lift")

    assert found.note.count("the time for placing each lift") == 1
    assert [rest.text for rest in bearing.rests if rest.title == "Time for placing a lift" and "42 d" in rest.text]


def test_rate_of_settlement_of_the_dyke_leaves_out_traffic_that_is_placed_in_one_day() -> None:
    """Placed at once the traffic on the finished road settles 5.2 mm in a day, a lift 1.3 mm at most."""
    (part,) = example("dyke-reach").sections
    monitoring = next(sheet for sheet in part.sheets if sheet.key == "monitoring")
    rate = next(verdict for verdict in monitoring.verdicts if verdict.key == "trigger_v_expected")

    assert 0.001 < (rate.effect or 0.0) < 0.0015


def test_reduced_secondary_compression_turns_the_whole_life_where_it_would_exceed_its_limit() -> None:
    """Marsh B: 564.5 mm of 600 with 0.6 of the secondary compression, some 688 mm without the reduction."""
    turned = {
        part.section.key: {key for sheet in part.sheets for limit in sheet.limitations
                           if limit.key == "secondary-reduced" for key in limit.turns}
        for part in example("marsh-approach").sections
    }  # fmt: skip

    assert {"settlement_life", "settlement_with_time"} <= turned["B"]
    assert "settlement_life" not in turned["C"]
