"""Addenda: what the site recorded, issued to a revision and signed; pages and values here are small invented ones."""

import json
from dataclasses import replace
from io import BytesIO
from pathlib import Path
from shutil import copytree

import pikepdf
import pytest

from calc.archive.printed import show_text
from calc.archive.record import issue_addendum as addenda
from calc.archive.record.find import content_of, issued_record, revision
from calc.archive.record.issue_addendum import Content, issue_addendum, revision_of
from calc.archive.record.manifest import ROLES, Addendum
from calc.archive.record.program import this_program
from calc.archive.record.revision_folder import export
from calc.archive.record.revisions import list_record, list_text
from calc.archive.record.verification import verify
from calc.archive.refusals import ChainMoved, DamagedArchive, RefusedAddendum, RefusedSignature
from calc.archive.signing.sign_off import sign
from calc.archive.store.folder import FolderStore
from calc.inputs import Design, read_design
from calc.inputs.ground_file.result_rows import ResultsFile
from calc.package.render import render_pdf
from tests.archive.scenario import Line, issued, write_project
from tests.packages.reading import page_texts

READINGS = b"instrument,date,value\nSP1,2026-03-02,0.12\n"
PAGES = """<!DOCTYPE html><html lang="en"><head><title>Readings</title><link rel="stylesheet" href="package.css"></head>
<body><h1>Readings of SP1</h1><p>0.12 m</p></body></html>"""


def silent(_text: str) -> None:
    """Say nothing."""


def content(design: Design, outcome: str = "pass", said: str = "", **data: bytes) -> Content:
    values = {
        "outcome": said or outcome,
        "inputs_sha256": design.sha256,
        "software": {"version": this_program().version, "fingerprint": this_program().fingerprint},
    }
    pages = render_pdf(PAGES, (), design.project.revisions[-1].date)
    return Content("observed", outcome, [pages], json.dumps(values).encode(), data or {"readings.csv": READINGS})


@pytest.fixture(scope="module")
def template(tmp_path_factory: pytest.TempPathFactory) -> Path:
    folder = tmp_path_factory.mktemp("addenda")
    project = write_project(folder / "project", Line("A", "for checking"))
    issued(FolderStore.prepare(folder / "archive"), project)
    return folder


@pytest.fixture
def folder(template: Path, tmp_path: Path) -> Path:
    return Path(copytree(template, tmp_path / "copy"))


@pytest.fixture
def store(folder: Path) -> FolderStore:
    return FolderStore.existing(folder / "archive")


@pytest.fixture
def design(folder: Path) -> Design:
    return read_design(folder / "project")


def test_addendum_is_issued_shown_signed_and_exported(store: FolderStore, design: Design, tmp_path: Path) -> None:
    entry = issue_addendum(store, design, content(design))
    record = issued_record(store, entry)
    pages = content_of(store, record.file("package"))
    named = revision(store.entries(), "observed-1", None, with_addenda=True)
    for role in ROLES:
        made, _ = sign(store, named, role, None, None, silent)

    assert isinstance(record, Addendum)
    assert (entry.label, entry.kind, entry.words, made.label) == ("observed-1", "addendum", "observed", "observed-1")
    cover, readings = page_texts(pages)
    assert "observed-1" in cover
    assert "head of the chain before this issue: record 1" in " ".join(cover.split())
    assert "Readings of SP1" in readings
    with pikepdf.open(BytesIO(pages)) as pdf:
        assert set(pdf.attachments) == {"project.toml", "observed.json", "readings.csv"}
        assert pdf.attachments["readings.csv"].get_file().read_bytes() == READINGS
    report = verify(store)
    assert (report.problems, report.records) == ([], 5)
    assert "approver" in list_text(store.entries(), 120).splitlines()[-1]
    assert list_record(store.entries())[-1]["signed"] == list(ROLES)
    assert "To revision" in show_text(record, entry.sha256, "observed", 100)
    names = {path.name for path in export(store, entry, tmp_path / "out")}
    assert {"observed.pdf", "observed.json", "readings.csv", "project.toml", "signed.pdf"} <= names


def test_pages_in_parts_stand_behind_each_other_and_the_cover_says_what_they_are(
    store: FolderStore, design: Design
) -> None:
    one = content(design)
    entry = issue_addendum(store, design, replace(one, pages=[*one.pages, *one.pages], more="record sheets: 7"))
    cover, *readings = page_texts(content_of(store, issued_record(store, entry).file("package")))

    assert "Behind its pages record sheets: 7" in " ".join(cover.split())
    assert ["Readings of SP1" in page for page in readings] == [True, True]
    assert verify(store).problems == []


def test_numbers_go_on_by_subject(store: FolderStore, design: Design) -> None:
    labels = [
        issue_addendum(store, design, replace(content(design), subject=subject)).label
        for subject in ("observed", "installed", "observed")
    ]

    assert labels == ["observed-1", "installed-1", "observed-2"]
    assert verify(store).problems == []


def test_addendum_needs_the_revision_as_issued(folder: Path, store: FolderStore) -> None:
    text = (folder / "project" / "project.toml").read_text()
    changed = folder / "changed"
    changed.mkdir()
    (changed / "project.toml").write_text(text.replace('label = "A"', 'label = "B"', 1))
    with pytest.raises(RefusedAddendum, match='revision "B" must be issued before'):
        revision_of(store, read_design(changed), [])
    (changed / "project.toml").write_text(text.replace("purpose =", "# more\npurpose =", 1))
    assert revision_of(store, read_design(changed), ["a.csv"])[1].label == "A"
    other = text.replace('title = "', 'title = "Other ', 1)
    assert other != text
    (changed / "project.toml").write_text(other)
    with pytest.raises(RefusedAddendum, match=r"project must be as issued.*\n.*a b.csv must have a name.*\n.*one file"):
        revision_of(store, read_design(changed), ["a b.csv", "c.csv", "C.csv"])


def test_addendum_to_what_is_superseded_is_refused(
    store: FolderStore, design: Design, monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.setattr(addenda, "standings", lambda _entries: {1: "superseded"})

    with pytest.raises(RefusedAddendum, match='revision "A" is superseded'):
        revision_of(store, design, [])


def test_what_is_issued_meanwhile_is_not_passed_over(
    store: FolderStore, design: Design, monkeypatch: pytest.MonkeyPatch
) -> None:
    cover = addenda._cover

    def meanwhile(*given: object) -> bytes:
        monkeypatch.setattr(addenda, "_cover", cover)
        issue_addendum(store, design, content(design))
        return cover(*given)  # type: ignore[arg-type]

    monkeypatch.setattr(addenda, "_cover", meanwhile)
    with pytest.raises(ChainMoved, match="issue the addendum again"):
        issue_addendum(store, design, content(design))
    assert [entry.label for entry in store.entries()] == ["A", "observed-1"]


def test_verification_finds_values_that_say_otherwise(store: FolderStore, design: Design) -> None:
    issue_addendum(store, design, content(design, "pass", said="fail"))

    said = 'the record says outcome "pass", observed.json "fail"'
    assert verify(store).problems == [f"record 2, addendum observed-1: {said}"]


def test_verification_reads_values_that_are_none(store: FolderStore, design: Design) -> None:
    issue_addendum(store, design, replace(content(design), values=b"[]"))

    [problem] = verify(store).problems
    assert problem.startswith("record 2, addendum observed-1: observed.json cannot be read")


@pytest.mark.parametrize(
    ("change", "words"),
    [
        ({"label": "observed-1"}, "another addendum has its label"),
        ({"issue": "0" * 64}, "the record of its revision is not in the chain before it"),
        ({"revision": "Z"}, "its revision is not that of the record of its revision"),
        ({"printed_head": "0" * 64}, "its cover shows another head of the chain"),
    ],
)
def test_verification_finds_records_that_were_written_by_others(
    store: FolderStore, design: Design, change: dict[str, str], words: str
) -> None:
    first = issue_addendum(store, design, content(design))
    record = issued_record(store, first)
    second = record.model_copy(
        update={"sequence": 3, "previous": first.sha256, "label": "observed-2", **change}, deep=True
    )
    store.append(lambda _entries: second)

    assert any(words in problem for problem in verify(store).problems)


def test_pages_whose_files_are_others_are_found(store: FolderStore, design: Design) -> None:
    entry = issue_addendum(store, design, content(design))
    record = issued_record(store, entry)
    pages = next(place for place, one in enumerate(record.files) if one.role == "package")
    bare = render_pdf(PAGES, (), design.project.revisions[-1].date)
    stored = record.files[pages].model_copy(update={"sha256": store.put(bare), "size": len(bare)})
    files = tuple(stored if place == pages else one for place, one in enumerate(record.files))
    update = {"sequence": 3, "previous": entry.sha256, "label": "observed-2", "files": files}
    store.append(lambda _entries: record.model_copy(update=update, deep=True))

    problems = [problem for problem in verify(store).problems if "observed-2" in problem]
    assert any("project.toml inside its pages is not the stored one" in problem for problem in problems)
    assert any("its cover shows no head of the chain" in problem for problem in problems)


def test_addendum_is_signed_in_order_and_sign_offs_are_no_issue(store: FolderStore, design: Design) -> None:
    entry = issue_addendum(store, design, content(design))

    with pytest.raises(RefusedSignature, match="addendum observed-1 cannot be signed by the checker"):
        sign(store, entry, "checker", None, None, silent)
    made, _ = sign(store, entry, "originator", None, None, silent)
    with pytest.raises(DamagedArchive, match="of a sign-off, of nothing that was issued"):
        issued_record(store, made)


def test_addendum_to_a_draft_is_refused(store: FolderStore, design: Design, monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr(addenda, "standings", lambda _entries: {1: "draft"})

    with pytest.raises(RefusedAddendum, match='revision "A" is draft'):
        revision_of(store, design, [])


def test_file_of_the_site_takes_no_place_of_the_results_of_tests(store: FolderStore, design: Design) -> None:
    """Under one name only one of both could be stored."""
    results = ResultsFile("results.csv", b"x", ())

    with pytest.raises(RefusedAddendum, match=r"results\.csv must be the name of one file"):
        revision_of(store, replace(design, results_file=results), ["Results.CSV"])
