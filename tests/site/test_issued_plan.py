"""The files that a column plan is laid out from are issued with it, and lay it out again from the archive alone."""

import json
from collections.abc import Callable
from dataclasses import dataclass
from pathlib import Path
from typing import Any

import pytest
from click.testing import CliRunner

from calc.archive.compare import rerun as again
from calc.archive.compare.compared import rerun_record
from calc.archive.compare.rerun import Rerun, rerun
from calc.archive.printed import rerun_text, show_text
from calc.archive.record import issue_rules
from calc.archive.record.attachments import attachment_digests
from calc.archive.record.find import content_of, manifest_of
from calc.archive.record.issue import issue, prepare
from calc.archive.record.issue_rules import plan_to_issue, refuse_run
from calc.archive.record.manifest import RecordedPlan
from calc.archive.record.revision_folder import export
from calc.archive.record.status import DRAFT, Status
from calc.archive.record.verification import verify
from calc.archive.refusals import ChangedFile, DamagedArchive, RefusedIssue
from calc.archive.store.contract import Entry
from calc.archive.store.folder import FolderStore
from calc.chain import Run
from calc.cli import main
from calc.engine.sheet import Sheet
from calc.inputs import Design, read_design
from calc.package.attached import Document
from calc.package.pages import Pages
from calc.site.plan.in_package import PlanPart, plan_part
from tests.archive.scenario import filled, page_with
from tests.archive.test_agreement import forged
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
    laid = plan_part(read_design(tmp_path / "out"))

    assert list(stored) == ["line.csv", "columns-P1.geojson"]
    assert {name: inside[name] for name in stored} == {name: file.sha256 for name, file in stored.items()}
    assert "the column plan is laid out from line.csv and columns-P1.geojson, attached" in shown[0]
    assert verify(store).problems == []
    assert laid is not None
    assert laid.checksum == asked.part.checksum
    assert f"checksum of the column plan {asked.part.checksum}" in shown[0]


@dataclass(frozen=True)
class Stored:
    """A revision with a column plan in an archive whose numbers are those of a run with one empty chapter."""

    store: FolderStore
    entry: Entry
    checksum: str

    def again(self) -> Rerun:
        """The revision computed again as its record has it now."""
        return rerun(self.store, self.store.entries()[-1])

    def forge(self, change: Callable[[dict[str, Any]], object]) -> None:
        """Change the record with every hash that rests on it."""
        forged(self.store, 1, change)


@pytest.fixture
def stored(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> Stored:
    def pieces(pages: Pages, _tell: object) -> list[Document]:
        return [Document(page_with(f"Archive {pages.archive}"))]

    monkeypatch.setattr(Pages, "pieces", pieces)
    monkeypatch.setattr(again, "run_checks", run_of)
    design = beside(tmp_path / "p", FILE)
    store = FolderStore.prepare(tmp_path / "archive")
    asked = refuse_run(run_of(design), Status(DRAFT))
    assert asked is not None
    assert asked.part.checksum is not None
    entry = issue(store, prepare(store, run_of(design), lambda _: None, plan=asked))
    return Stored(store, entry, asked.part.checksum)


def test_the_plan_of_a_revision_is_laid_out_again_the_same(stored: Stored) -> None:
    found = stored.again()
    record = manifest_of(stored.store, stored.entry)

    assert record.plan == RecordedPlan(checksum=stored.checksum, outcome="pass")
    assert (found.identical, found.sound) == (True, True)
    assert f"Column plan: laid out again, the same: checksum {stored.checksum}, outcome pass." in rerun_text(found, 120)
    plain = record.plan.model_dump()
    assert rerun_record(found)["plan"] == {"recorded": plain, "now": plain, "differs": False, "changelog": []}
    shown = show_text(record, stored.entry.sha256, "draft", 120)
    assert any(row.split("Column plan")[-1].split() == f"checksum {stored.checksum}, outcome pass".split()
               for row in shown.splitlines() if "Column plan" in row)  # fmt: skip


def test_a_stored_file_of_the_plan_that_was_changed_is_found(stored: Stored) -> None:
    """A point of the line is moved by a metre: in the store alone, and with every hash of the record made anew."""
    line = next(file for file in manifest_of(stored.store, stored.entry).files if file.role == "plan")
    other = LINE.replace("1060", "1061").encode()
    digest = stored.store.put(other)
    stored.forge(lambda one: next(file for file in one["files"] if file["name"] == line.name).update(sha256=digest))
    found = stored.again()
    text = rerun_text(found, 120)

    assert (found.identical, found.sound) == (True, False)
    assert found.plan is not None
    assert found.plan.differs
    assert text.startswith("✗")
    assert "The column plan is another one:" in text
    assert f"issued: checksum {stored.checksum}, outcome pass" in text
    assert "line.csv inside the package is not the stored one" in " ".join(verify(stored.store).problems)


def test_bytes_of_a_stored_file_of_the_plan_are_held_by_their_hash(stored: Stored) -> None:
    line = next(file for file in manifest_of(stored.store, stored.entry).files if file.role == "plan")
    (path,) = (one for one in stored.store.root.rglob("*") if one.is_file() and one.read_bytes() == LINE.encode())
    path.chmod(0o644)
    path.write_text(LINE.replace("1060", "1061"), encoding="utf-8")

    assert f"{line.name} is not what was issued" in " ".join(verify(stored.store).problems)
    with pytest.raises(DamagedArchive, match="is not what was issued"):
        stored.again()


@pytest.mark.parametrize(("change", "told"), [
    ({"checksum": "0" * 16}, "checksum of the column plan"), ({"outcome": "fail"}, "issued: checksum"),
])  # fmt: skip
def test_a_record_that_says_another_plan_is_found(stored: Stored, change: dict[str, str], told: str) -> None:
    stored.forge(lambda one: one["plan"].update(change))
    found = stored.again()

    assert not found.sound
    assert told in " ".join([*verify(stored.store).problems, rerun_text(found, 120)])


def test_another_program_needs_an_entry_on_column_plans(stored: Stored, monkeypatch: pytest.MonkeyPatch) -> None:
    def change(one: dict[str, Any]) -> None:
        one["plan"]["checksum"] = "0" * 16
        one["program"]["fingerprint"] = "a" * 64

    stored.forge(change)
    without = stored.again()
    head = "## Results that change\n\n- Column plan: rows move by a millimetre.\n"
    monkeypatch.setattr(again, "changelog_text", lambda: head)
    explained = stored.again()

    assert (without.sound, explained.sound) == (False, True)
    assert "The changelog has no entry for column plans." in rerun_text(without, 120)
    assert "Changelog: Column plan: rows move by a millimetre." in rerun_text(explained, 120)


def test_a_record_without_a_plan_is_told_as_such(stored: Stored) -> None:
    """As programs wrote it that kept no checksum: nothing is compared, and nobody takes it for compared."""
    stored.forge(lambda one: one.pop("plan"))
    found = stored.again()

    assert found.sound
    assert "the record does not say which it was" in rerun_text(found, 120)


def test_a_plan_that_cannot_be_laid_out_any_more_is_another_one(stored: Stored) -> None:
    point = b"easting,northing,radius\n1000,2000,\n"
    now = {"sha256": stored.store.put(point), "size": len(point)}
    stored.forge(lambda one: next(file for file in one["files"] if file["role"] == "plan").update(now))
    found = stored.again()

    assert not found.sound
    assert "now: not laid out, outcome incomplete" in rerun_text(found, 120)
    assert "The column plan cannot be laid out" in rerun_text(found, 200)


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
