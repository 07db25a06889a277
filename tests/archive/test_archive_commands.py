"""The commands of the archive as people use them: what they print, their exit codes, their messages."""

import json
from pathlib import Path

import pytest

from calc.archive.store.folder import FolderStore
from tests.archive.scenario import CLOSER, FIRST, SECOND, Command, Line, contents, issued, write_project


def test_issue_says_what_it_did_and_ends_with_the_outcome(command: Command, tmp_path: Path) -> None:
    project = write_project(tmp_path / "bank", *FIRST)
    result = command("issue", project)

    assert result.exit_code == 6
    assert "Revision A of 2025-014-GEO-C-001 is issued as draft; outcome: incomplete." in result.stdout
    assert str(project / "archive") in result.stdout
    assert (project / "archive" / "records" / "0000001" / "manifest.json").is_file()


def test_issue_gives_its_record_as_data(command: Command, tmp_path: Path) -> None:
    record = json.loads(command("issue", write_project(tmp_path / "bank", *FIRST), "--json").stdout)

    assert (record["label"], record["sequence"], record["words"]) == ("A", 1, "draft")
    assert record["archive"] == str(tmp_path / "bank" / "archive")


def test_label_that_is_issued_is_refused_in_one_line(command: Command, project: Path) -> None:
    before = contents(project / "archive")
    result = command("issue", project)

    assert result.exit_code == 3
    assert result.stdout == ""
    assert result.stderr.count("\n") == 1
    assert "project.revision[2].label: must be a label that is not issued yet: B was issued on" in result.stderr
    assert contents(project / "archive") == before


def test_wrong_inputs_are_refused_and_nothing_is_written(command: Command, tmp_path: Path) -> None:
    project = write_project(tmp_path / "bank", *FIRST, change=('kN/m^3"', 'kN/m"'))
    result = command("issue", project)

    assert result.exit_code == 3
    assert "project.toml:" in result.stderr
    assert not (project / "archive").exists()


def test_inputs_without_a_solution_are_refused(
    command: Command, tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    from calc.chain import CalculationError

    def refuse(_design: object, _tell: object = None) -> None:
        message = "section A: no number"
        raise CalculationError(message)

    monkeypatch.setattr("calc.chain.run_checks", refuse)
    result = command("issue", write_project(tmp_path / "bank", *FIRST))

    assert (result.exit_code, result.stderr) == (3, "Error: these inputs have no solution: section A: no number\n")


def test_failing_calculation_is_not_issued_for_construction(
    command: Command, tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    from types import SimpleNamespace

    project = write_project(tmp_path / "bank", Line("A", "for approval"))
    issued(FolderStore.prepare(project / "archive"), project)
    write_project(project, Line("A", "for approval"), Line("B", "issued for construction"))
    monkeypatch.setattr("calc.chain.run_checks", lambda design, _tell: SimpleNamespace(design=design, outcome="fail"))
    result = command("issue", project)

    assert result.exit_code == 1
    assert "is not issued for construction" in result.stderr
    assert len(FolderStore(project / "archive").entries()) == 1


@pytest.mark.parametrize("place", ["nowhere", "."])
def test_issue_without_a_project_is_wrong_usage(command: Command, tmp_path: Path, place: str) -> None:
    assert command("issue", tmp_path / place).exit_code == 2


def test_list_shows_every_revision_with_what_it_is_today(command: Command, project: Path) -> None:
    result = command("archive", "list", project)
    lines = result.stdout.splitlines()

    assert result.exit_code == 0
    assert lines[0] == "2025-014-GEO-C-001, project 2025-014: Bank"
    assert lines[1].split()[:2] == ["revision", "date"]
    assert "superseded" in lines[2]
    assert lines[3].startswith("B         2025-02-01  for checking")
    data = json.loads(command("archive", "list", project, "--json").stdout)
    assert [(one["label"], one["today"]) for one in data] == [("A", "superseded"), ("B", "for checking")]


def test_list_before_the_first_issue_is_empty(command: Command, tmp_path: Path) -> None:
    project = write_project(tmp_path / "bank", *FIRST)

    assert command("archive", "list", project).stdout == "Nothing is issued yet.\n"
    assert json.loads(command("archive", "list", project, "--json").stdout) == []


def test_show_prints_the_record(command: Command, project: Path) -> None:
    result = command("archive", "show", project, "b")
    record = json.loads(command("archive", "show", project, "B", "--json").stdout)
    first = json.loads(command("archive", "show", project, "A", "--json").stdout)

    assert result.exit_code == 0
    for words in ("Closer.", "Revision before   A", "package.pdf", record["sha256"], "weasyprint"):
        assert words in result.stdout
    assert record["previous"] == record["parent"]["sha256"] == first["sha256"]
    assert "draft; today superseded" in command("archive", "show", project, "A").stdout
    assert command("archive", "show", project / "archive", record["sha256"][:8]).stdout == result.stdout


@pytest.mark.parametrize(
    ("name", "message"),
    [("Z", 'no revision "Z" is issued (issued: A, B)'), ("0123456789", 'no revision "0123456789"')],
)
def test_unknown_revision_is_wrong_usage(command: Command, project: Path, name: str, message: str) -> None:
    result = command("archive", "show", project, name)

    assert result.exit_code == 2
    assert message in result.stderr


def test_label_of_several_documents_is_asked_back(command: Command, tmp_path: Path) -> None:
    shared = tmp_path / "shared"
    one = write_project(tmp_path / "one", *FIRST)
    two = write_project(tmp_path / "two", *FIRST, change=("-GEO-", "-EXT-"))
    for project in (one, two):
        assert command("issue", project, "--archive", shared).exit_code == 6
    result = command("archive", "show", shared, "A")

    assert result.exit_code == 2
    assert "is 2025-014-EXT-C-001 revision A" in result.stderr
    assert "2025-014-EXT-C-001" in command("archive", "show", two, "A", "--archive", shared).stdout
    assert not (one / "archive").exists()
    assert len(command("archive", "list", shared).stdout.split("revision  date")) == 3


def test_shared_archive_can_be_named_by_a_variable(
    command: Command, tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.setenv("SANDSLEEVE_ARCHIVE", str(tmp_path / "shared"))
    project = write_project(tmp_path / "bank", *FIRST)

    assert command("issue", project).exit_code == 6
    assert "A " in command("archive", "list", project).stdout
    assert len(FolderStore(tmp_path / "shared").entries()) == 1


def test_compare_prints_and_gives_data(command: Command, project: Path) -> None:
    result = command("archive", "compare", project, "A", "B")
    record = json.loads(command("archive", "compare", project, "A", "B", "--json").stdout)

    assert result.exit_code == 0
    assert "columns.spacing: 1.90 m" in result.stdout
    assert "To check again, by chapter" in result.stdout
    assert len(record["check_again"]) > 100
    assert command("archive", "compare", project, "A", "B", "--tolerance", "2").exit_code == 2


@pytest.mark.slow
def test_compare_writes_a_change_sheet(command: Command, project: Path, tmp_path: Path) -> None:
    assert command("archive", "compare", project, "A", "B", "--pdf", tmp_path / "changes.pdf").exit_code == 0
    assert (tmp_path / "changes.pdf").read_bytes().startswith(b"%PDF")
    assert [path.name for path in tmp_path.iterdir() if path.name.startswith(".")] == []
    result = command("archive", "compare", project, "A", "B", "--pdf", tmp_path / "no" / "changes.pdf")
    assert (result.exit_code, result.stdout) == (2, "")
    assert "its folder is not there or may not be written" in " ".join(result.stderr.split())


def test_verify_says_sound_or_what_is_wrong(command: Command, project: Path) -> None:
    sound = command("archive", "verify", project)
    path = next((project / "archive" / "objects").glob("*/*"))
    path.chmod(0o644)
    path.write_bytes(path.read_bytes() + b" ")
    broken = command("archive", "verify", project)
    data = json.loads(command("archive", "verify", project, "--json").stdout)

    assert sound.exit_code == 0
    assert sound.stdout.startswith("✓ Sound: 2 records, 7 files")
    assert broken.exit_code == 4
    assert "is not what was issued" in broken.stdout
    assert "Not sound: 1 problem in 2 records, 7 files" in broken.stdout
    assert "belong to no record" not in broken.stdout
    assert (data["sound"], len(data["problems"])) == (False, 1)


def test_verify_asks_for_a_hash_from_outside(command: Command, project: Path) -> None:
    head = FolderStore(project / "archive").entries()[0].sha256

    assert command("archive", "verify", project, "--head", head.upper()).exit_code == 0
    assert command("archive", "verify", project, "--head", f" {head[:8]}\n").exit_code == 0
    assert command("archive", "verify", project, "--head", "0" * 64).exit_code == 4


@pytest.mark.parametrize("which", ["B", "all"])
def test_verify_computes_again(command: Command, project: Path, which: str) -> None:
    result = command("archive", "verify", project, "--rerun", which)
    data = json.loads(command("archive", "verify", project, "--rerun", which, "--json").stdout)

    assert result.exit_code == 0
    assert result.stdout.count("every number the same") == len(data["reruns"]) == (1 if which == "B" else 2)
    assert all(one["identical"] for one in data["reruns"])


def test_damaged_record_ends_every_reading_command_with_4(command: Command, project: Path, tmp_path: Path) -> None:
    path = project / "archive" / "records" / "0000002" / "manifest.json"
    path.chmod(0o644)
    path.write_bytes(path.read_bytes()[:-3])
    for arguments in (["show", project, "B"], ["compare", project, "A", "B"],
                      ["export", project, "B", "--out", tmp_path / "out"], ["rebuild", project]):  # fmt: skip
        result = command("archive", *arguments)
        assert (result.exit_code, result.stdout) == (4, "")
        assert result.stderr.startswith("Error: the archive is not as it was issued: ")
    write_project(project, *SECOND, Line("C", "for checking"))
    assert command("issue", project).exit_code == 4


def test_export_writes_a_folder(command: Command, project: Path, tmp_path: Path) -> None:
    result = command("archive", "export", project, "B", "--out", tmp_path / "B")

    assert result.exit_code == 0
    assert len(result.stdout.splitlines()) == 5
    assert (tmp_path / "B" / "project.toml").read_bytes() == (project / "project.toml").read_bytes()
    assert command("archive", "export", project, "B", "--out", tmp_path / "B").exit_code == 2


def test_rebuild_makes_the_index_again(command: Command, project: Path) -> None:
    (project / "archive" / "index.sqlite").unlink()
    listed = command("archive", "list", project)
    assert "B " in listed.stdout
    assert listed.stderr.startswith("Note: the index is missing;")
    result = command("archive", "rebuild", project)

    assert (result.exit_code, result.stdout) == (0, f"The index of {project / 'archive'} has 2 records again.\n")


def test_folder_that_is_no_archive_is_wrong_usage(command: Command, tmp_path: Path) -> None:
    result = command("archive", "verify", tmp_path)

    assert result.exit_code == 2
    assert "is not an archive" in result.stderr
    project = write_project(tmp_path / "bank", *FIRST)
    (project / "photos").mkdir()
    (project / "photos" / "one.jpg").write_bytes(b"x")
    result = command("issue", project, "--archive", project / "photos")
    assert result.exit_code == 2
    assert "an archive needs a folder of its own" in result.stderr


def test_project_file_that_names_no_document_leaves_the_label_to_all(command: Command, project: Path) -> None:
    (project / "project.toml").write_text("x", encoding="utf-8")
    assert command("archive", "show", project, "A").exit_code == 0
    assert command("archive", "list", project).stderr == ""
    (project / "project.toml").write_text("[project]\nnumber = 1\ndocument = 2\n", encoding="utf-8")
    assert command("archive", "show", project, "A").exit_code == 0


@pytest.mark.parametrize("name", ["list", "show", "compare", "verify", "export", "rebuild"])
def test_help_has_an_example_and_the_document_names_the_command(command: Command, name: str) -> None:
    result = command("archive", name, "--help")
    document = (Path(__file__).parents[2] / "docs" / "archive.md").read_text(encoding="utf-8")

    assert f"Example: sandsleeve archive {name}" in result.stdout
    assert f"archive {name} PLACE" in document


def test_unexpected_error_is_left_to_the_outermost_place(
    command: Command, project: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    def broken(*_arguments: object) -> None:
        message = "surprise"
        raise ValueError(message)

    monkeypatch.setattr("calc.archive.record.revisions.list_text", broken)
    assert command("archive", "list", project).exit_code == 70

    def missing(*_arguments: object) -> None:
        message = "cannot load library 'x'"
        raise OSError(message)

    monkeypatch.setattr("calc.archive.record.revisions.list_text", missing)
    assert command("archive", "list", project).exit_code == 5


def test_progress_is_shown_on_a_terminal_only(
    monkeypatch: pytest.MonkeyPatch, capsys: pytest.CaptureFixture[str]
) -> None:
    from calc.commands.progress import progress

    monkeypatch.setattr("sys.stderr.isatty", lambda: True)
    with progress() as tell:
        tell("half")

    assert "half" in capsys.readouterr().err


def test_issue_goes_to_an_archive_on_a_server(command: Command, tmp_path: Path) -> None:
    address = f"sqlite:///{tmp_path}/archive.sqlite?objects=file://{tmp_path}/files"
    project = write_project(tmp_path / "bank", *FIRST)
    first = command("issue", project, "--archive", address)
    write_project(project, *SECOND, change=CLOSER)
    second = json.loads(command("issue", project, "--archive", address, "--json").stdout)

    assert f"Record 1 in sqlite:///{tmp_path}/archive.sqlite" in first.stdout
    assert (second["sequence"], second["label"]) == (2, "B")
    assert not (project / "archive").exists()
    assert "Sound: 2 records, 7 files" in command("archive", "verify", address).stdout
    assert "spacing" in command("archive", "compare", project, "A", "B", "--archive", address).stdout
