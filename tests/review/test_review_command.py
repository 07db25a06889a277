"""The command of the review: messages and exit codes; the codes are those of README.md."""

import json
from collections.abc import Callable
from pathlib import Path

import pytest
from click.testing import CliRunner, Result

from calc.cli import main
from tests.review.scenario import Case, contents, write_project

Command = Callable[..., Result]


@pytest.fixture
def command() -> Command:
    def run(*arguments: object) -> Result:
        return CliRunner().invoke(main, [str(argument) for argument in arguments])

    return run


@pytest.fixture
def back(case: Case, tmp_path: Path) -> Path:
    """A review file with a mark, two queries and a remark."""
    path = tmp_path / "back.json"
    path.write_bytes(
        case.file(
            case.entry(0), case.entry(1, "query", "Why?"), case.entry(2, "query", "Why this?\x1b[31m"),
            case.entry(3, "agreed", "A remark."),
        )
    )  # fmt: skip
    return path


def test_page_is_written_where_asked(command: Command, case: Case, tmp_path: Path) -> None:
    result = command("review", case.folder, "--out", tmp_path / "there")

    assert result.exit_code == 0
    assert result.stdout == f"Review page: {tmp_path / 'there' / 'review.html'}\n"
    assert sorted(contents(case.folder)) == ["project.toml"]
    assert [path.name for path in (tmp_path / "there").iterdir()] == ["review.html"]


def test_page_says_as_data_where_the_check_stands(command: Command, case: Case, back: Path) -> None:
    command("review", case.folder, "--take", back)
    record = json.loads(command("review", case.folder, "--json").stdout)

    assert record["run"] == case.known.run
    assert record["steps"] == {"agreed": 2, "query": 2, "changed": 0, "not checked": len(case.known.steps) - 4}


def test_review_is_taken_answered_closed_and_listed(command: Command, case: Case, back: Path) -> None:
    taken = command("review", case.folder, "--take", back)
    said = command("review", case.folder, "--answer", 1, "Because.", "--close", 2)
    listed = command("review", case.folder, "--list")
    record = json.loads(command("review", case.folder, "--list", "--json").stdout)

    assert [one.exit_code for one in (taken, said, listed)] == [0, 0, 0]
    assert "2 agreed, 2 queries. Comments: raised 1, 2, 3," in taken.stderr
    assert "Queries that the checker has not closed: 1.\n" in said.stdout
    assert "designer Dilan Achterberg, 20" in listed.stdout
    assert "\x1b" not in listed.stdout
    assert record["unsettled"] == [1]
    assert [(one["number"], one["status"]) for one in record["comments"]] == [
        (1, "answered"),
        (2, "closed"),
        (3, "open"),
    ]


def test_list_without_a_review_says_so_and_writes_nothing(command: Command, case: Case) -> None:
    assert command("review", case.folder, "--list").stdout.startswith("Comments: open none;")
    assert sorted(contents(case.folder)) == ["project.toml"]


@pytest.mark.parametrize(
    ("arguments", "code", "words"),
    [
        (("--take", "{back}", "--list"), 2, "--take and --list do not go together"),
        (("--take", "nowhere.json"), 2, "does not exist"),
        (("--answer", "1", "x"), 2, "Error: comment 1 must be one that there is (none so far)"),
        (("--answer", "1", ""), 2, "Error: an answer must be a text of 1 to 10000 characters"),
        (("--answer", "1", "x", "--answer", "1", "y"), 2, "each comment must be answered once"),
        (("--close", "0"), 2, "0 is not in the range x>=1"),
    ],
)
def test_wrong_usage_is_named_and_nothing_written(
    command: Command, case: Case, back: Path, arguments: tuple[str, ...], code: int, words: str
) -> None:
    result = command("review", case.folder, *(argument.format(back=back) for argument in arguments))

    assert result.exit_code == code
    assert words in result.stderr
    assert sorted(contents(case.folder)) == ["project.toml"]


def test_exit_codes_tell_a_wrong_file_from_a_file_of_another_run(command: Command, case: Case, tmp_path: Path) -> None:
    wrong, other = tmp_path / "wrong.json", tmp_path / "other.json"
    wrong.write_bytes(case.file(case.entry(0, "fine"), more=1))
    other.write_bytes(case.file(case.entry(0), run="0" * 64))
    refused, foreign = (command("review", case.folder, "--take", path) for path in (wrong, other))

    assert (refused.exit_code, foreign.exit_code) == (3, 4)
    assert refused.stderr.count("Error: ") == refused.stderr.count("\n") == 2
    assert f"\nError: {other}: belongs to another run" in foreign.stderr
    assert sorted(contents(case.folder)) == ["project.toml"]


def test_file_that_is_too_large_or_none_is_refused(
    command: Command, case: Case, back: Path, tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    from calc.review import files

    large = files.read_limited
    monkeypatch.setattr(files, "read_limited", lambda path: large(path, 100))
    assert command("review", case.folder, "--take", back).exit_code == 3
    assert "at most 100 bytes" in command("review", case.folder, "--take", back).stderr
    monkeypatch.undo()
    result = command("review", case.folder, "--take", "/dev/null")
    assert (result.exit_code, "must be a plain file" in result.stderr) == (3, True)


def test_folder_without_a_project_is_wrong_usage(command: Command, tmp_path: Path) -> None:
    result = command("review", tmp_path)

    assert result.exit_code == 2
    assert "project.toml" in result.stderr


def test_wrong_inputs_and_folders_that_cannot_be_written_have_their_codes(
    command: Command, case: Case, monkeypatch: pytest.MonkeyPatch
) -> None:
    def refuse(*_arguments: object) -> None:
        raise PermissionError(13, "Permission denied", "/locked")

    monkeypatch.setattr("calc.review.files.write_whole", refuse)
    locked = command("review", case.folder)
    monkeypatch.undo()
    write_project(case.folder, change=('consequence_class = "CC2"', 'consequence_class = "CC9"'))
    wrong = command("review", case.folder)

    assert (locked.exit_code, locked.stderr.splitlines()[-1]) == (2, "Error: cannot use /locked: Permission denied")
    assert wrong.exit_code == 3
    assert "must be one of" in wrong.stderr


@pytest.mark.parametrize(
    ("error", "code", "words"),
    [
        ("CalculationError", 3, "Error: these inputs have no solution: no root"),
        ("ValueError", 70, "Internal error: ValueError: no root"),
        ("OSError", 70, "Internal error: OSError: no root"),
    ],
)
def test_run_without_a_result_has_its_code(
    command: Command, case: Case, monkeypatch: pytest.MonkeyPatch, error: str, code: int, words: str
) -> None:
    import builtins

    from calc import chain

    kind = getattr(chain, error, None) or getattr(builtins, error)

    def refuse(_design: object, _tell: object = None) -> None:
        raise kind(*["no root"])

    monkeypatch.setattr("calc.chain.run_checks", refuse)
    result = command("review", case.folder)

    assert result.exit_code == code
    assert words in result.stderr
