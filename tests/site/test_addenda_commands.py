"""Issuing what the site recorded: the option of both commands, signing, listing, computing again."""

import json
import shutil
from dataclasses import replace
from pathlib import Path
from typing import Any

import pypdfium2
import pytest
from click.testing import CliRunner, Result

from calc.archive.compare import rerun_addendum as again
from calc.archive.compare.rerun_addendum import AddendumRerun, differing, placeless, rerun_addendum
from calc.archive.refusals import DamagedArchive, MissingExtra
from calc.archive.store.folder import FolderStore
from calc.cli import main
from calc.inputs import read_design
from calc.site.installed import installed_run
from calc.site.observed import observed_run
from calc.site.plan.setting_out import geojson
from calc.site.plan.write_plan import make_plan
from tests.archive.scenario import filled, issued
from tests.site.planned import PLAN, planned_text
from tests.site.recorded import COLUMNS, LIMITS, faultless, readings, readings_file, records_file, written
from tests.site.test_installed_edges import ZONE

SHORT = ('chainage = "0+000 to 0+100"', 'chainage = "0+000 to 0+024"')
MARSH = Path(__file__).parents[2] / "projects" / "marsh-approach"


def run(*arguments: object) -> Result:
    return CliRunner().invoke(main, [str(argument) for argument in arguments])


@pytest.fixture
def project(tmp_path: Path) -> Path:
    """A project with records of all columns, whose revision is issued."""
    text = filled(planned_text(SHORT, more=COLUMNS + LIMITS)).replace('status = "draft"', 'status = "for checking"', 1)
    (tmp_path / "project.toml").write_text(text, encoding="utf-8")
    design = read_design(tmp_path)
    assert design.plan is not None
    columns = make_plan(design, design.plan).listed.columns
    rows = faultless(columns)
    written(tmp_path, "records.csv", records_file(rows))
    written(tmp_path, "depth.csv", readings_file(readings(columns, rows)))
    issued(FolderStore.prepare(tmp_path / "archive"), tmp_path)
    return tmp_path


@pytest.fixture
def quick(monkeypatch: pytest.MonkeyPatch) -> None:
    """The design as built is not calculated again: that is tested elsewhere and takes its time."""
    judge = installed_run.judge_installed

    def without(*given: Any, **more: Any) -> Any:
        return replace(judge(*given, **more | {"again": False}), again=())

    monkeypatch.setattr(installed_run, "judge_installed", without)


@pytest.mark.usefixtures("quick")
def test_records_are_issued_signed_and_computed_again(project: Path) -> None:
    files = project / "records.csv", project / "depth.csv"
    made = run("installed", project, *files, "--issue", "--sheets", "A-001-001,A-002-003", "--out", project / "out")
    signed = run("sign", project, "--role", "originator", "--revision", "installed-1")
    verified = run("archive", "verify", project, "--rerun", "installed-1", "--json")
    told = run("archive", "verify", project, "--rerun", "installed-1")

    assert made.exit_code == 0, made.output
    assert "Addendum installed-1 is issued: record 2 in" in made.stdout
    assert signed.stdout.startswith("Addendum installed-1 of 2025-014-GEO-C-001 is signed by its originator")
    assert verified.exit_code == 0, verified.output
    [rerun] = json.loads(verified.stdout)["reruns"]
    assert (rerun["label"], rerun["identical"], rerun["differ"]) == ("installed-1", True, [])
    assert "addendum installed-1 of 2025-014-GEO-C-001: computed again with the same program" in told.stdout
    run("archive", "export", project, "installed-1", "--out", project / "exported")
    pages = pypdfium2.PdfDocument(project / "exported" / "installed.pdf")
    ends = [" ".join(page.get_textpage().get_text_range().split()) for page in (pages[len(pages) - k] for k in (2, 1))]
    assert ["A-001-001" in ends[0], "A-002-003" in ends[1]] == [True, True]
    assert "record sheets of columns: 2" in pages[0].get_textpage().get_text_range()
    shown = run("archive", "show", project, "installed-1")
    assert "records.csv" in shown.stdout
    assert "To revision       A" in shown.stdout


@pytest.mark.usefixtures("quick")
def test_records_meet_the_ids_of_the_plan_before_which_is_issued_with_them(tmp_path: Path) -> None:
    """Columns that a zone takes away between two plans leave all other ids as they were, and theirs to nobody."""
    before = {}
    for revision, more in (("P1", ""), ("P2", ZONE)):
        named = "" if not more else 'before = "columns-P1.geojson"\n'
        plan = PLAN.replace('revision = "P1"\n', f'revision = "{revision}"\n{named}') + more
        text = filled(planned_text(SHORT, plan=plan, more=COLUMNS + LIMITS))
        text = text.replace('status = "draft"', 'status = "for checking"', 1)
        (tmp_path / "project.toml").write_text(text, encoding="utf-8")
        design = read_design(tmp_path)
        assert design.plan is not None
        before[revision] = made = make_plan(design, design.plan)
        if not more:
            (tmp_path / "columns-P1.geojson").write_bytes(geojson(made.listed))
    [gone, *_] = removed = before["P2"].identity.removed
    rows = {row.id: row for row in faultless(before["P1"].listed.columns)}
    kept = [rows[one.id] for one in before["P2"].listed.columns]
    files = written(tmp_path, "records.csv", records_file([*kept, rows[gone]])), written(
        tmp_path, "depth.csv", readings_file(readings(before["P1"].listed.columns, kept)))  # fmt: skip
    issued(FolderStore.prepare(tmp_path / "archive"), tmp_path)
    told = run("installed", tmp_path, *files, "--issue", "--out", tmp_path / "out", "--json")
    assert told.exit_code == 1, told.output
    found = json.loads((tmp_path / "out" / "installed.json").read_text(encoding="utf-8"))

    assert "Addendum installed-1 is issued" in told.output
    assert {one.id for one in before["P2"].columns} == set(rows) - set(removed)
    assert [(one["id"], one["note"]) for one in found["findings"] if one["item"] == "ids"] == [
        (gone, "no longer of the plan")
    ]
    assert "columns-P1.geojson" in run("archive", "show", tmp_path, "installed-1").stdout
    [rerun] = json.loads(run("archive", "verify", tmp_path, "--rerun", "installed-1", "--json").stdout)["reruns"]
    assert (rerun["identical"], rerun["differ"]) == (True, [])


@pytest.mark.usefixtures("quick")
def test_values_of_another_computation_are_told(project: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    run("installed", project, project / "records.csv", project / "depth.csv", "--issue", "--out", project / "out")
    store = FolderStore.existing(project / "archive")
    entry = store.entries()[-1]
    values = again._values

    def others(*given: Any) -> Any:
        made = values(*given)
        return made | {"installed": made["installed"] + 1, "columns": {}, "more": [True]}

    monkeypatch.setattr(again, "_values", others)
    found = rerun_addendum(store, entry)
    told = run("archive", "verify", project, "--rerun", "installed-1")

    assert (found.sound, found.identical) == (False, False)
    assert {"installed", "more"} < set(found.differ)
    assert told.exit_code == 4
    assert "values differ:" in told.stdout
    assert "more" in told.stdout
    assert replace(found, same_program=False).sound


@pytest.mark.usefixtures("quick")
def test_inputs_that_are_refused_by_now_and_missing_packages_are_told(
    project: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    run("installed", project, project / "records.csv", project / "depth.csv", "--issue", "--out", project / "out")
    store = FolderStore.existing(project / "archive")
    with pytest.raises(DamagedArchive, match="record 1 is not that of an addendum"):
        rerun_addendum(store, store.entries()[0])
    with monkeypatch.context() as patch:
        patch.setattr(again, "INPUTS", "other.toml")
        refused = rerun_addendum(store, store.entries()[-1])
    assert isinstance(refused, AddendumRerun)
    assert not refused.sound
    assert "project.toml" in refused.refused

    def missing(*_given: object, **_more: object) -> None:
        raise ModuleNotFoundError

    monkeypatch.setattr(installed_run, "judge_installed", missing)
    with pytest.raises(MissingExtra, match=r"sandsleeve\[site\]"):
        rerun_addendum(store, store.entries()[-1])


def test_what_is_not_issued_or_not_whole_is_refused_before_anything_is_computed(
    project: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.setattr(installed_run, "judge_installed", None)
    records = project / "records.csv"
    part = run("installed", project, records, "--issue", "--no-slip")
    assert (part.exit_code, "--issue needs" in part.stderr) == (2, True)
    text = (project / "project.toml").read_text(encoding="utf-8")
    (project / "project.toml").write_text(text.replace('title = "', 'title = "Other ', 1), encoding="utf-8")
    other = run("installed", project, records, "--issue", "--out", project / "out")

    assert other.exit_code == 3, other.output
    assert 'project must be as issued with revision "A"' in other.stderr
    assert not (project / "out").exists()
    empty = project / "empty"
    empty.mkdir()
    shutil.copy(project / "project.toml", empty)
    assert run("installed", empty, records, "--issue").exit_code == 2


@pytest.mark.usefixtures("quick")
def test_a_file_that_changes_meanwhile_is_not_issued(project: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    judge = installed_run.judge_installed

    def meanwhile(*given: Any, **more: Any) -> Any:
        made = judge(*given, **more)
        (project / "records.csv").write_bytes((project / "records.csv").read_bytes() + b"\n")
        return made

    monkeypatch.setattr(installed_run, "judge_installed", meanwhile)
    run_twice = run("installed", project, project / "records.csv", project / "depth.csv", "--issue",
                    "--out", project / "out")  # fmt: skip

    assert run_twice.exit_code == 2
    assert "records.csv was changed meanwhile: nothing is issued" in run_twice.stderr
    assert len(FolderStore.existing(project / "archive").entries()) == 1


@pytest.mark.slow
def test_readings_are_issued_and_computed_again(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    """A folder of readings; of one section without slip searches, which take their time."""
    observe = observed_run.observe

    def one_section(design: Any, observed: Any, files: Any, sections: Any, tell: Any, **also: Any) -> Any:
        assert also.pop("slip")
        return observe(design, observed, files, [part for part in sections if part.of == "C"], tell, slip=False, **also)

    monkeypatch.setattr(observed_run, "observe", one_section)
    project = tmp_path / "marsh"
    shutil.copytree(MARSH, project, ignore=shutil.ignore_patterns("out", "archive"))
    issued(FolderStore.prepare(project / "archive"), project)
    assert run("observe", project, project / "readings.csv", "--issue", "--no-slip").exit_code == 2
    weeks = project / "weeks"
    weeks.mkdir()
    (project / "readings.csv").rename(weeks / "readings.csv")
    (weeks / "letter.txt").write_text("no readings", encoding="utf-8")
    records = project / "records.csv"
    made = run("observe", project, weeks, "--records", records, "--on", "2025-12-19", "--issue", "--json")
    verified = run("archive", "verify", project, "--rerun", "observed-1", "--json")

    assert "Addendum observed-1 is issued" in made.stderr
    values = json.loads(made.stdout)
    assert (values["asked_on"], values["record_files"]) == ("2025-12-19", [str(records)])
    assert json.loads(verified.stdout)["problems"] == []
    assert json.loads(verified.stdout)["reruns"][0]["identical"] is True


def test_files_are_told_from_one_another_by_name_and_not_by_folder() -> None:
    """What else has a slash is no folder: an instrument of a hole, a unit."""

    def said(folder: str, why: str = "I1/P1 in kN/m repeats {}, line 3") -> dict[str, object]:
        file = f"{folder}/week 2.csv"
        return {"files": [file], "refused": [{"file": file, "why": why.format(file)}]}

    before = placeless(said("/home/my site"))

    assert before["refused"][0]["why"] == "I1/P1 in kN/m repeats week 2.csv, line 3"
    assert list(differing(before, placeless(said("/other")))) == []
    assert list(differing(before, placeless(said("/other", "I2/P1 in kN/m repeats {}, line 3")))) == ["refused[0].why"]


def test_records_differ_in_numbers_words_and_shape() -> None:
    before = {"software": {"version": "1"}, "a": [1.0, 2.0], "b": {"c": True}, "d": None, "e": [1]}
    now = {"software": {"version": "2"}, "a": [1.0, 2.0 + 1e-6], "b": {"c": 1}, "d": 0.0, "e": [1, 2]}

    assert list(differing(before, before | {"software": 3, "a": [1.0, 2.0 + 1e-12]})) == []
    assert list(differing(before, now | {"f": 1})) == ["a[1]", "b.c", "d", "e", "f"]
