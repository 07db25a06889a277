"""What the commands of the archive refuse before anything is computed or written."""

import os
from pathlib import Path

import pytest

from calc.archive.store.folder import FolderStore
from tests.archive.scenario import SECOND, Command, Line, filled_starter, write_project


def test_open_verdicts_are_not_issued_for_approval(command: Command, tmp_path: Path) -> None:
    """The starter leaves required questions open; an approver would approve what is not verified."""
    project = write_project(tmp_path / "bank", Line("A", "for approval"))
    result = command("issue", project)

    assert (result.exit_code, result.stdout) == (6, "")
    assert '\nError: not "for approval" while something required is not verified: A ' in result.stderr
    assert not (project / "archive").exists()
    write_project(project, Line("A", "for checking"))
    assert command("issue", project).exit_code == 6
    assert len(FolderStore(project / "archive").entries()) == 1


def test_placeholders_of_the_starter_are_not_issued(command: Command, tmp_path: Path) -> None:
    project = tmp_path / "bank"
    assert command("new", project).exit_code == 0
    result = command("issue", project)

    assert (result.exit_code, result.stdout) == (3, "")
    assert "people.checker.name: must be replaced by what holds for this project" in result.stderr
    for text in ("0000-000-GEO-C-001", "Name of the approver", "example value: creep test report", "Starter project"):
        assert text in result.stderr
    assert "project.revision[1].author: must be replaced" in result.stderr
    assert "EN 1997-1" not in result.stderr
    assert not (project / "archive").exists()
    (project / "project.toml").write_text(filled_starter("Bank"), encoding="utf-8")
    assert command("issue", project).exit_code == 6


@pytest.mark.parametrize("digits", ["", "  ", "0", "1234567", "x" * 8, "0x12345678", "0" * 65])
def test_head_that_names_no_record_is_wrong_usage(command: Command, project: Path, digits: str) -> None:
    """An empty one had been taken for none: the archive was called sound although its end had been asked for."""
    result = command("archive", "verify", project, "--head", digits)

    assert (result.exit_code, result.stdout) == (2, "")
    assert "must be 8 to 64 digits of a hash" in " ".join(result.stderr.split())


def test_nothing_is_computed_that_cannot_be_written(
    command: Command, project: Path, tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    """Nor is a device taken for a file: as root it would have been replaced by one."""
    os.mkfifo(tmp_path / "pipe")
    (tmp_path / "file").write_bytes(b"")
    for name in (
        "calc.chain.run_checks",
        "calc.archive.compare.compared.compare_revisions",
        "calc.archive.record.revision_folder.export",
    ):
        monkeypatch.setattr(name, lambda *_more: pytest.fail("nothing may be computed"))
    write_project(project, *SECOND, Line("C", "draft"))
    for arguments, words in (
        (("archive", "compare", project, "A", "B", "--pdf", tmp_path / "pipe"), "it is there and no plain file"),
        (("archive", "compare", project, "A", "B", "--pdf", "/dev/null"), "it is there and no plain file"),
        (("archive", "export", project, "A", "--out", tmp_path / "file" / "A"), "file is no folder"),
        (("issue", project, "--archive", tmp_path / "file" / "x"), "file is no folder"),
        (("package", project, "--out", "/dev/null"), "/dev/null is no folder"),
        (("review", project, "--out", tmp_path / "file" / "x"), "file is no folder"),
        (("brief", project, "--out", tmp_path / "file" / "x"), "file is no folder"),
        (("size", project, "--programme", "--out", tmp_path / "pipe"), "pipe is no folder"),
    ):  # fmt: skip
        result = command(*arguments)
        assert (result.exit_code, result.stdout) == (2, ""), arguments
        assert words in " ".join(result.stderr.split()).replace("│ │ ", ""), arguments
    assert (tmp_path / "pipe").is_fifo()
    assert Path("/dev/null").is_char_device()
