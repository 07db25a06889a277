"""The file of results of tests is part of a revision: attached, stored, verified, and there for a rerun."""

from pathlib import Path

import pytest

from calc.archive.compare.rerun import rerun
from calc.archive.record.attachments import attachment_digests
from calc.archive.record.find import content_of
from calc.archive.record.issue import check_before, issue, prepare
from calc.archive.record.manifest import read_manifest
from calc.archive.record.verification import verify
from calc.archive.refusals import RefusedIssue
from calc.archive.store.folder import FolderStore
from calc.chain import run_checks
from calc.inputs import read_design
from calc.package.attached import Document
from calc.package.pages import Pages
from tests.archive.scenario import Line, page_with, prepared, write_project

DATA = """\
id,location,test,layer,depth,c_u
,,,,m,kPa
T1,B1,strength,peat,0.5,17
T2,B1,strength,peat,0.8,19
T3,B1,strength,peat,1.2,18
T4,B1,strength,peat,1.6,20
"""
TABLE = """
[ground_model]
file = "tests.csv"
source = "report 1"
locations = ["B1"]

[[ground_model.value]]
layer = "peat"
parameter = "c_u"
test = "strength"
estimate = "mean"
unsafe = "high"
required = true
source = "slip surfaces average over the layer"
soil = "peat"

[[section]]
"""


def project_of(folder: Path, data: str = DATA) -> Path:
    project = write_project(folder, Line("A", "draft"), change=("\n[[section]]\n", TABLE))
    (project / "tests.csv").write_text(data, encoding="utf-8")
    return project


def test_results_of_tests_are_issued_verified_and_computed_again(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    """The package has one page, and all that is attached to a whole one."""
    monkeypatch.setattr(Pages, "pieces", lambda pages, _tell: [Document(page_with(f"Archive {pages.archive}"))])
    project = project_of(tmp_path / "bank")
    store = FolderStore.prepare(tmp_path / "archive")
    run = run_checks(read_design(project))
    entry = issue(store, prepare(store, run, lambda _text: None))
    manifest = read_manifest(store.record(entry.sequence), "record 1")
    stored = manifest.file("data")

    assert (stored.name, content_of(store, stored)) == ("tests.csv", DATA.encode())
    assert attachment_digests(content_of(store, manifest.file("package")))["tests.csv"] == stored.sha256
    assert verify(store).problems == []
    (project / "tests.csv").unlink()
    again = rerun(store, entry)
    assert again.identical, again.refused


def test_other_results_of_tests_are_other_inputs(tmp_path: Path) -> None:
    """The project file alone does not tell: its text is the same."""
    project = project_of(tmp_path / "bank")
    store = FolderStore.prepare(tmp_path / "archive")
    made = prepared(read_design(project), store)
    made.files["data"] = DATA.encode()
    issue(store, made)

    with pytest.raises(RefusedIssue, match="with these inputs"):
        check_before(store, read_design(project))
    project_of(tmp_path / "bank", DATA.replace("20", "21"))
    with pytest.raises(RefusedIssue, match="with other inputs"):
        check_before(store, read_design(project))
