"""A study is stored with the revision that prints it, exported, held by its hash, laid out again from its record."""

import json
from collections.abc import Callable
from dataclasses import dataclass
from hashlib import sha256
from pathlib import Path
from typing import Any

import pytest
from click.testing import CliRunner

from calc.archive.compare.compared import rerun_record
from calc.archive.compare.rerun import Rerun, rerun
from calc.archive.printed import rerun_text
from calc.archive.record.attachments import attachment_digests
from calc.archive.record.find import content_of, manifest_of
from calc.archive.record.issue import issue, prepare
from calc.archive.record.issue_rules import IssuedPlan
from calc.archive.record.revision_folder import export
from calc.archive.record.verification import verify
from calc.archive.store.contract import Entry
from calc.archive.store.folder import FolderStore
from calc.cli import main
from calc.inputs import read_design
from calc.package.attached import Document
from calc.package.pages import Pages
from calc.study.study_parts import StudyChapter, read_studies
from tests.archive.scenario import page_with
from tests.archive.test_agreement import forged
from tests.study.studied import DATA, Studied, studied


@pytest.fixture(scope="module")
def made(tmp_path_factory: pytest.TempPathFactory) -> Studied:
    return studied(tmp_path_factory.mktemp("issued") / "p")


@pytest.fixture
def shown(monkeypatch: pytest.MonkeyPatch) -> list[str]:
    """A page in place of those of the package; what its cover says of the archive."""
    said: list[str] = []

    def pieces(pages: Pages, _tell: object) -> list[Document]:
        said.append(f"Archive {pages.archive}")
        return [Document(page_with(said[-1]))]

    monkeypatch.setattr(Pages, "pieces", pieces)
    return said


def chapters(made: Studied, content: bytes = b"") -> list[StudyChapter]:
    return [part.chapter(made.run) for part in read_studies({"out/vary.json": content or made.content}, made.design)]


@dataclass(frozen=True)
class Stored:
    """A revision with a study in an archive."""

    store: FolderStore
    entry: Entry

    def again(self) -> Rerun:
        """The revision computed again as its record has it now."""
        return rerun(self.store, self.store.entries()[-1])

    def forge(self, change: Callable[[dict[str, Any]], object]) -> None:
        """Change the record with every hash that rests on it."""
        forged(self.store, 1, change)

    def replace_study(self, content: bytes) -> None:
        """Another record of a study in the place of the stored one."""
        now = {"sha256": self.store.put(content), "size": len(content)}
        self.forge(lambda one: next(file for file in one["files"] if file["name"] == "vary.json").update(now))


@pytest.fixture
def stored(made: Studied, shown: list[str], tmp_path: Path) -> Stored:
    store = FolderStore.prepare(tmp_path / "archive")
    entry = issue(store, prepare(store, made.run, lambda _: None, studies=chapters(made)))
    assert shown[0].endswith("; printed from their records, attached: vary.json")
    return Stored(store, entry)


def test_record_and_data_are_stored_attached_exported_and_give_the_same_chapter(
    made: Studied, stored: Stored, tmp_path: Path
) -> None:
    manifest = manifest_of(stored.store, stored.entry)
    kept = {file.name: file.sha256 for file in manifest.files if file.role == "study"}
    inside = attachment_digests(content_of(stored.store, manifest.file("package")))
    export(stored.store, stored.entry, tmp_path / "out")
    [part] = read_studies({"vary.json": (tmp_path / "out" / "vary.json").read_bytes()}, read_design(tmp_path / "out"))

    assert kept == {"vary.json": sha256(made.content).hexdigest(), "moduli.csv": sha256(DATA.encode()).hexdigest()}
    assert [file.name for file in manifest.studies] == ["vary.json"]
    assert {name: inside[name] for name in kept} == kept
    assert part.chapter(made.run) == chapters(made)[0]
    assert verify(stored.store).problems == []


def test_it_is_not_run_again_but_its_pages_are_laid_out_from_the_stored_record(stored: Stored) -> None:
    found = stored.again()

    assert (found.identical, found.sound) == (True, True)
    assert rerun_record(found)["studies"] == [{"name": "vary.json", "laid_out": True, "wrong": ""}]
    said = " ".join(rerun_text(found, 120).split())
    assert "Study vary.json: not run again; the stored record is the one issued" in said
    assert "its pages were laid out again from it" in said


def test_another_program_leaves_the_study_to_its_hash(stored: Stored) -> None:
    stored.forge(lambda one: one["program"].update(fingerprint="a" * 64))
    found = stored.again()

    assert found.sound
    assert rerun_record(found)["studies"] == [{"name": "vary.json", "laid_out": False, "wrong": ""}]
    assert "pages are made of it by the program that made it alone" in " ".join(rerun_text(found, 120).split())
    problems = " ".join(verify(stored.store).problems)
    assert f'fingerprint of the program "{"a" * 64}", vary.json' in problems


def test_bytes_of_a_stored_study_are_held_by_their_hash(made: Studied, stored: Stored) -> None:
    (path,) = (one for one in stored.store.root.rglob("*") if one.is_file() and one.read_bytes() == made.content)
    path.chmod(0o644)
    path.write_bytes(made.content.replace(b"invented", b"measured"))

    assert "vary.json is not what was issued" in " ".join(verify(stored.store).problems)


@pytest.mark.slow
def test_another_study_with_every_hash_made_anew_is_found(made: Studied, stored: Stored) -> None:
    """It says less utilisation of the verdict, under a checksum that fits."""

    def change(one: dict[str, Any]) -> None:
        one["inputs_sha256"] = "0" * 64

    stored.replace_study(made.altered(lambda one: one["sections"][0]["limit_states"][0].update(utilisation=0.1)))
    found = stored.again()
    problems = " ".join(verify(stored.store).problems)
    stored.replace_study(made.altered(change))
    other = " ".join(verify(stored.store).problems)
    stored.replace_study(b"[]")
    no_record = " ".join(verify(stored.store).problems)

    assert "vary.json inside the package is not the stored one" in problems
    assert (found.identical, found.sound) == (True, False)
    said = " ".join(rerun_text(found, 200).split())
    assert (
        "Study vary.json: its stored record is not of this revision: vary.json:1:1: sections.0.limit_states.0" in said
    )
    assert f'SHA-256 of the inputs "{made.design.sha256}", vary.json "{"0" * 64}"' in other
    assert "vary.json cannot be read" in no_record


def test_data_that_the_plan_is_laid_out_from_too_are_stored_once(
    made: Studied, shown: list[str], tmp_path: Path
) -> None:
    class Part:
        outcome, checksum = "pass", None

        def appendix(self) -> object:
            return object()

    store = FolderStore.prepare(tmp_path / "archive")
    plan = IssuedPlan(Part(), {"moduli.csv": DATA.encode()})  # type: ignore[arg-type]  # what issuing asks of it
    entry = issue(store, prepare(store, made.run, lambda _: None, plan=plan, studies=chapters(made)))

    roles = {file.name: file.role for file in manifest_of(store, entry).files}
    assert (roles["moduli.csv"], roles["vary.json"]) == ("plan", "study")
    assert "the column plan is laid out from moduli.csv, attached" in shown[0]


@pytest.mark.slow
def test_the_command_issues_it_and_makes_no_archive_for_one_that_is_refused(
    made: Studied, shown: list[str], tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.setattr("calc.chain.run_checks", lambda _design, _tell: made.run)
    folder, file, other = made.design.source.parent, tmp_path / "vary.json", tmp_path / "other.json"
    file.write_bytes(made.content)
    other.write_bytes(made.altered(lambda one: one["sections"][0]["limit_states"][0].update(utilisation=0.1)))

    def run(*words: object) -> Any:
        return CliRunner().invoke(main, ["issue", str(folder), *map(str, words), "--archive", str(tmp_path / "new")])

    refused = run("--with-study", other)
    there = (tmp_path / "new").exists()
    issued = run("--with-study", file, "--json")

    assert (refused.exit_code, there) == (3, False)
    assert "limit_states.0.utilisation: must be that of the calculation" in refused.output
    assert issued.exit_code == 6, issued.output
    assert json.loads(issued.stdout)["label"]
    store = FolderStore(tmp_path / "new")
    assert manifest_of(store, store.entries()[0]).studies
    assert shown


def test_many_projects_have_no_study_in_common(tmp_path: Path) -> None:
    (tmp_path / "vary.json").write_text("{}", encoding="utf-8")
    for command in ("issue", "package"):
        done = CliRunner().invoke(main, [command, str(tmp_path), "--all", "--with-study", str(tmp_path / "vary.json")])

        assert done.exit_code == 2
        assert "--with-study does not go with --all" in done.output
