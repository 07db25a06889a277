"""Every project below a folder issued into one archive, by processes side by side."""

import json
from pathlib import Path
from types import SimpleNamespace

import pytest

from calc.archive.record.verification import verify
from calc.archive.store.folder import FolderStore
from tests.archive.scenario import FIRST, Command, prepared, write_project


@pytest.fixture
def quick(command: Command, monkeypatch: pytest.MonkeyPatch) -> Command:
    """Commands whose runs say at once that something is not verified, and whose packages have one page."""
    monkeypatch.setattr(
        "calc.chain.run_checks", lambda design, _tell: SimpleNamespace(design=design, outcome="incomplete")
    )
    monkeypatch.setattr("calc.archive.record.issue.prepare", lambda store, run, *_more: prepared(run.design, store))
    return command


def test_one_archive_takes_all_and_one_refused_project_stops_no_other(quick: Command, tmp_path: Path) -> None:
    folder, archive = tmp_path / "programme", tmp_path / "archive"
    for name in ("a", "b", "c", "d"):
        write_project(folder / name, *FIRST, change=("2025-014-GEO-C-001", f"2025-014-GEO-C-00{name}"))
    write_project(folder / "again", *FIRST, change=("2025-014-GEO-C-001", "2025-014-GEO-C-00d"))
    write_project(folder / "wrong", *FIRST, change=('kN/m^3"', 'kN/m"'))

    result = quick("issue", folder, "--all", "--archive", archive, "--jobs", 3, "--json")
    rows = {row["project"]: row for row in json.loads(result.stdout)["projects"]}
    store = FolderStore.existing(archive)

    assert result.exit_code == 3
    assert [rows[name]["exit_code"] for name in ("a", "b", "c", "wrong")] == [6, 6, 6, 3]
    assert sorted(rows[name]["exit_code"] for name in ("d", "again")) in ([3, 6], [2, 6])  # one document, one label
    assert sorted(entry.document[-1] for entry in store.entries()) == ["a", "b", "c", "d"]
    assert not verify(store, "", lambda _text: None, "").problems
    assert json.loads((folder / "issued.json").read_text(encoding="utf-8"))["exit_code"] == 3


def test_each_has_its_own_archive_where_none_is_named(quick: Command, tmp_path: Path) -> None:
    for name in ("a", "b"):
        write_project(tmp_path / name, *FIRST)

    result = quick("issue", tmp_path, "--all")

    assert result.exit_code == 6
    assert "2 projects: 2 incomplete. Exit code 6: the gravest of them." in result.stdout
    assert all(len(FolderStore.existing(tmp_path / name / "archive").entries()) == 1 for name in ("a", "b"))


def test_a_folder_that_is_no_archive_is_refused_before_anything_runs(quick: Command, tmp_path: Path) -> None:
    write_project(tmp_path / "a", *FIRST)
    result = quick("issue", tmp_path, "--all", "--archive", tmp_path / "a")

    assert result.exit_code == 2
    assert "has other files in it: an archive needs a folder of its own" in result.stderr
    assert not (tmp_path / "issued.csv").exists()
