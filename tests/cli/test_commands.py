"""Exit codes and messages of the commands; the codes are those of README.md."""

import ast
import json
from collections.abc import Callable
from pathlib import Path
from types import SimpleNamespace

import click
import pytest
from click.testing import Result

import calc
from calc.chain import CalculationError
from calc.cli import main
from calc.engine.sheet import Verdict

Command = Callable[..., Result]
ROOT = Path(calc.__file__).parents[1]
STATES = [
    ("pass", "pass", True, 0),
    ("fail", "fail", True, 1),
    ("not verified", "incomplete", True, 6),
    ("not verified", "pass", False, 0),
]


@pytest.mark.parametrize(("state", "outcome", "required", "code"), STATES)
def test_exit_code_tells_the_outcome(
    command: Command,
    project: Path,
    outcome_of: Callable[..., None],
    state: str,
    outcome: str,
    required: bool,
    code: int,
) -> None:
    outcome_of(Verdict("x", "Tension", state, required=required))  # type: ignore[arg-type]

    result = command("check", project)

    assert result.exit_code == code
    assert f"Outcome: {outcome}, " in result.stdout
    assert result.stderr == ""


def test_check_writes_nothing(command: Command, project: Path) -> None:
    before = sorted(project.rglob("*"))

    assert command("check", project).exit_code == 6
    assert sorted(project.rglob("*")) == before


def test_check_gives_the_same_verdicts_as_data(command: Command, project: Path) -> None:
    record = json.loads(command("check", project, "--json").stdout)
    titles = {
        verdict["title"]
        for section in record["sections"]
        for check in section["checks"]
        for verdict in check["verdicts"]
    }
    table = " ".join(command("check", project, "--all").stdout.split())

    assert record["outcome"] == "incomplete"
    assert titles
    assert record["governing"]["title"] in table


@pytest.mark.parametrize("name", ["check", "package"])
def test_every_wrong_input_is_named_and_nothing_written(command: Command, project: Path, name: str) -> None:
    file = project / "project.toml"
    text = file.read_text(encoding="utf-8")
    file.write_text("surprise = 1\n" + text.replace('kN/m^3"', 'kN/m"'), encoding="utf-8")

    result = command(name, project)

    lines = result.stderr.splitlines()
    assert result.exit_code == 3
    assert result.stdout == ""
    assert len(lines) > 3
    assert [line for line in lines if "project.toml:" not in line or " must " not in line] == []
    assert not (project / "out").exists()


@pytest.mark.parametrize("name", ["check", "package"])
@pytest.mark.parametrize("folder", ["nowhere", "."])
def test_folder_without_a_project_is_wrong_usage(command: Command, tmp_path: Path, name: str, folder: str) -> None:
    result = command(name, tmp_path / folder)

    assert result.exit_code == 2
    assert "Traceback" not in result.output


def test_new_writes_a_project_that_runs(command: Command, tmp_path: Path) -> None:
    folder = tmp_path / "deep" / "reed-bank"

    result = command("new", folder)

    assert result.exit_code == 0
    assert f"sandsleeve check {folder}" in result.stdout
    assert '"reed-bank"' in (folder / "project.toml").read_text(encoding="utf-8")
    assert command("check", folder).exit_code == 6


def test_new_takes_a_title_as_plain_text(command: Command, tmp_path: Path) -> None:
    title = 'A "quoted" \\ title = [1]'

    assert command("new", tmp_path / "x", "--title", title).exit_code == 0
    assert command("check", tmp_path / "x").exit_code == 6


def test_new_refuses_a_title_that_the_reader_would_refuse(command: Command, tmp_path: Path) -> None:
    result = command("new", tmp_path / "x", "--title", "a\nb")

    assert result.exit_code == 2
    assert "--title" in result.stderr
    assert not (tmp_path / "x").exists()


def test_new_leaves_a_folder_with_files_alone(command: Command, project: Path) -> None:
    before = (project / "project.toml").read_bytes()

    result = command("new", project)

    assert result.exit_code == 2
    assert "empty folder" in result.stderr
    assert (project / "project.toml").read_bytes() == before


def test_internal_error_is_one_line_and_says_how_to_see_more(
    command: Command, project: Path, outcome_of: Callable[..., None], monkeypatch: pytest.MonkeyPatch
) -> None:
    outcome_of(error=ZeroDivisionError("two\nlines"))

    short = command("check", project)
    monkeypatch.setenv("SANDSLEEVE_TRACEBACK", "1")
    long = command("check", project)

    assert short.exit_code == long.exit_code == 70
    assert short.stderr == "Internal error: ZeroDivisionError: two lines (SANDSLEEVE_TRACEBACK=1 shows where)\n"
    assert "Traceback" in long.stderr


def test_inputs_without_a_solution_are_named_as_inputs(
    command: Command, project: Path, outcome_of: Callable[..., None]
) -> None:
    outcome_of(error=CalculationError("section A, unit_cell: the equation of the cell has no root"))

    result = command("check", project)

    assert result.exit_code == 3
    assert result.stderr.startswith("Error: these inputs have no solution: section A, unit_cell: ")


@pytest.mark.parametrize(
    "error", [MemoryError(), RecursionError("too deep"), AssertionError("a < b"), OSError(5, "i/o")]
)
def test_any_error_ends_as_an_internal_one_without_a_traceback(
    command: Command, project: Path, outcome_of: Callable[..., None], error: Exception
) -> None:
    outcome_of(error=error)

    result = command("check", project)

    assert result.exit_code == 70
    assert result.stdout == ""
    assert result.stderr.startswith(f"Internal error: {type(error).__name__}: ")
    assert result.stderr.count("\n") == 1


def test_errors_are_caught_broadly_where_a_command_ends_and_where_a_foreign_file_is_read_by_a_library() -> None:
    """Another handler of everything would hide where an error comes from; a tampered signature is a finding.

    That of the design points raises again what a library turns into an error of its own.
    """
    broad = [
        f"{path.relative_to(ROOT)}:{handler.lineno}"
        for path in sorted((ROOT / "calc").rglob("*.py"))
        for handler in ast.walk(ast.parse(path.read_text(encoding="utf-8")))
        if isinstance(handler, ast.ExceptHandler)
        if handler.type is None or ast.unparse(handler.type) in {"Exception", "BaseException"}
    ]

    assert {one.partition(":")[0] for one in broad} == {
        "calc/archive/signing/signature_check.py", "calc/cli.py", "calc/inputs/ground_file/ground_reader.py",
        "calc/site/rows/row_files.py", "calc/study/cluster_engine.py", "calc/study/vary/design_points.py",
    }  # fmt: skip


@pytest.mark.parametrize("error", [KeyboardInterrupt(), click.Abort()])
def test_interruption_is_no_failed_check(
    command: Command, project: Path, outcome_of: Callable[..., None], error: BaseException
) -> None:
    outcome_of(error=error)

    assert command("check", project).exit_code == 130


def test_folder_that_cannot_be_written_is_wrong_usage(
    command: Command, project: Path, outcome_of: Callable[..., None], monkeypatch: pytest.MonkeyPatch
) -> None:
    def refuse(*_arguments: object) -> None:
        raise PermissionError(13, "Permission denied", "/locked")

    outcome_of(Verdict("x", "Tension", "pass"))
    monkeypatch.setattr("calc.package.write_package", refuse)

    result = command("package", project)

    assert result.exit_code == 2
    assert result.stderr == "Error: cannot write /locked: Permission denied\n"


def test_full_disk_is_no_internal_error(
    command: Command, project: Path, outcome_of: Callable[..., None], monkeypatch: pytest.MonkeyPatch
) -> None:
    def refuse(*_arguments: object) -> None:
        raise OSError(28, "No space left on device")

    outcome_of(Verdict("x", "Tension", "pass"))
    monkeypatch.setattr("calc.package.write_package", refuse)

    result = command("package", project)

    assert result.exit_code == 2
    assert result.stderr == "Error: cannot write the package: No space left on device\n"


@pytest.mark.parametrize("name", sorted(main.commands))
def test_help_has_an_example_and_the_docs_name_the_command(command: Command, name: str) -> None:
    result = command(name, "--help")

    assert result.exit_code == 0
    assert f"Example: sandsleeve {name}" in result.stdout
    assert f"sandsleeve {name}" in (ROOT / "README.md").read_text(encoding="utf-8")


def test_version_is_that_of_the_package(command: Command) -> None:
    assert command("--version").stdout == f"sandsleeve, version {calc.__version__}\n"


@pytest.mark.parametrize("name", ["check", "package"])
def test_a_value_that_is_not_usual_is_told_beside_the_outcome(
    command: Command, project: Path, outcome_of: Callable[..., None], monkeypatch: pytest.MonkeyPatch, name: str
) -> None:
    file = project / "project.toml"
    file.write_text(file.read_text(encoding="utf-8").replace('"750 kPa"', '"25 MPa"'), encoding="utf-8")
    outcome_of(Verdict("x", "Tension", "pass"))
    written = SimpleNamespace(pdf=file, results=file)
    monkeypatch.setattr("calc.package.write_package", lambda *_arguments: written)

    result = command(name, project)

    assert result.exit_code == 0
    (line,) = result.stderr.splitlines()
    assert ': caution: "25 MPa" is used; usual is 100 kPa to 20 MPa' in line


@pytest.mark.parametrize("name", ["check", "package", "export", "size", "review", "brief", "issue", "sign", "archive"])
def test_the_project_file_stands_for_its_folder(command: Command, project: Path, name: str) -> None:
    group = ["list"] if name == "archive" else []
    options = ["--role", "checker"] if name == "sign" else []
    file = project / "project.toml"
    file.write_text(file.read_text(encoding="utf-8").replace("[embankment]", "[embankment"), encoding="utf-8")
    by_folder = command(name, *group, project, *options)
    by_file = command(name, *group, file, *options)

    assert by_file.output == by_folder.output
    assert by_file.exit_code == by_folder.exit_code
    assert "Usage" not in by_file.output or name == "size"


def test_another_file_is_no_project(command: Command, project: Path) -> None:
    (project / "notes.toml").write_text("", encoding="utf-8")
    result = command("check", project / "notes.toml")

    assert result.exit_code == 2
    assert "must be a folder with a file project.toml, or that file" in " ".join(result.stderr.split())
