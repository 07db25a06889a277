"""The files that a column plan is laid out from are issued with it, and lay it out again from the archive alone."""

import json
from pathlib import Path

import pytest
from click.testing import CliRunner

from calc.archive.record import issue_rules
from calc.archive.record.attachments import attachment_digests
from calc.archive.record.find import content_of, manifest_of
from calc.archive.record.issue import issue, prepare
from calc.archive.record.issue_rules import plan_to_issue, refuse_run
from calc.archive.record.revision_folder import export
from calc.archive.record.status import DRAFT, Status
from calc.archive.record.verification import verify
from calc.archive.refusals import ChangedFile, RefusedIssue
from calc.archive.store.folder import FolderStore
from calc.chain import Run
from calc.cli import main
from calc.engine.sheet import Sheet
from calc.inputs import Design, read_design
from calc.package.attached import Document
from calc.package.pages import Pages
from calc.site.plan.in_package import PlanPart, plan_part
from tests.archive.scenario import filled, page_with
from tests.packages.scenario import alone
from tests.site.planned import planned, planned_text
from tests.site.test_plan_identity import written
from tests.site.test_plan_in_package import FILE, SHORT

LINE = "easting,northing,radius\n1000,2000,\n1060,2080,\n"
SECOND = FILE.replace('revision = "P1"', 'before = "columns-P1.geojson"\nrevision = "P2"')


def beside(folder: Path, plan: str, name: str = "line.csv") -> Design:
    """A project whose line, and where it says so the plan before, lie beside it."""
    folder.mkdir(parents=True)
    (folder / name).write_text(LINE, encoding="utf-8")
    text = filled(planned_text(SHORT, plan=plan.replace("line.csv", name)))
    (folder / "project.toml").write_text(text, encoding="utf-8")
    return read_design(folder)


def run_of(design: Design) -> Run:
    """A run whose only chapter is empty."""
    return Run(design, (alone(design.sections[0], Sheet(section="A", key="columns", title="Columns").finish()),))


def test_files_of_the_plan_are_stored_attached_and_lay_it_out_again(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    shown: list[str] = []

    def pieces(pages: Pages, _tell: object) -> list[Document]:
        shown.append(f"Archive {pages.archive}")
        return [Document(page_with(shown[-1]))]

    monkeypatch.setattr(Pages, "pieces", pieces)
    first = plan_part(planned(tmp_path / "first", SHORT))
    assert first is not None
    assert first.made is not None
    design = beside(tmp_path / "p", SECOND)
    written(first.made, tmp_path / "p" / "columns-P1.geojson")
    run = run_of(design)
    store = FolderStore.prepare(tmp_path / "archive")
    asked = refuse_run(run, Status(DRAFT))
    assert asked is not None
    with monkeypatch.context() as once:
        once.setattr(issue_rules, "column_plan", lambda _: pytest.fail("laid out again"))
        prepared = prepare(store, run, lambda _: None, plan=asked)
    entry = issue(store, prepared)
    manifest = manifest_of(store, entry)
    stored = {file.name: file for file in manifest.files if file.role == "plan"}
    inside = attachment_digests(content_of(store, manifest.file("package")))
    export(store, entry, tmp_path / "out")
    again = plan_part(read_design(tmp_path / "out"))

    assert list(stored) == ["line.csv", "columns-P1.geojson"]
    assert {name: inside[name] for name in stored} == {name: file.sha256 for name, file in stored.items()}
    assert "the column plan is laid out from line.csv and columns-P1.geojson, attached" in shown[0]
    assert verify(store).problems == []
    assert again is not None
    assert again.made is not None
    assert asked.part.made is not None
    assert again.made.listed.checksum == asked.part.made.listed.checksum


def test_a_file_that_changes_while_the_plan_is_laid_out_ends_the_issue(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    design = beside(tmp_path / "p", FILE)

    def changing(one: Design) -> PlanPart | None:
        part = plan_part(one)
        (tmp_path / "p" / "line.csv").write_text(LINE.replace("1060", "1061"), encoding="utf-8")
        return part

    monkeypatch.setattr(issue_rules, "column_plan", changing)

    with pytest.raises(ChangedFile, match=r"line\.csv: changed while the column plan was laid out: nothing is issued"):
        plan_to_issue(design, Status(DRAFT))


def test_files_have_names_under_which_the_archive_can_keep_them(tmp_path: Path) -> None:
    with pytest.raises(RefusedIssue, match=r"project\.toml:\d+:\d+: plan\.line\.file: must be a name of letters"):
        plan_to_issue(beside(tmp_path / "p", FILE, "the line.csv"), Status(DRAFT))


def test_the_command_tells_of_the_plan_and_lays_it_out_once(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    """Of two projects one has its values as data; both have an archive of their own."""
    made: list[PlanPart | None] = []

    def counted(design: Design) -> PlanPart | None:
        made.append(plan_part(design))
        return made[-1]

    monkeypatch.setattr(issue_rules, "column_plan", counted)
    monkeypatch.setattr("calc.chain.run_checks", lambda design, _tell: run_of(design))
    monkeypatch.setattr("calc.package.Pages.pieces", lambda pages, _: [Document(page_with(f"Archive {pages.archive}"))])
    for name in ("a", "b"):
        beside(tmp_path / name, FILE)
    told = CliRunner().invoke(main, ["issue", str(tmp_path / "a")])
    data = CliRunner().invoke(main, ["issue", str(tmp_path / "b"), "--json"])

    assert told.exit_code == data.exit_code == 0, told.output
    assert "Outcome of the plan: pass." in told.stdout
    assert json.loads(data.stdout)["plan"]["outcome"] == "pass"
    assert len(made) == 2
