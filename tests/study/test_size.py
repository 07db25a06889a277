"""The command: what it prints in 80 columns, what it writes, how it ends, and what it refuses."""

import json
import tomllib
from collections.abc import Callable
from pathlib import Path

import pytest
from click.testing import CliRunner, Result

from calc.chain import CalculationError
from calc.cli import main
from calc.inputs import read_design
from calc.study import confirm
from tests.study.bank import bank_text

Size = Callable[..., Result]
WEAK = ('settlement_residual = "60 mm"', 'settlement_residual = "2 mm"')


@pytest.fixture
def folder(tmp_path: Path) -> Path:
    """A project folder with the bank."""
    folder = tmp_path / "bank"
    folder.mkdir()
    (folder / "project.toml").write_text(bank_text(), encoding="utf-8")
    return folder


@pytest.fixture
def size(folder: Path) -> Size:
    """Run the command on it."""
    return lambda *arguments: CliRunner().invoke(main, ["size", str(folder), *map(str, arguments)])


@pytest.mark.slow
def test_proposal_is_printed_written_and_ends_with_the_outcome_of_the_run(size: Size, folder: Path) -> None:
    result = size("--programme", "--round", "7d")
    lines = result.stdout.split("\n")
    file = folder / "out" / "programme.toml"

    assert result.exit_code == 1
    assert lines[0] == "NOT PASSED: the run of all chapters with these dates fails a check."
    assert "Dates on full steps of 7\N{NO-BREAK SPACE}d from the start of the first stage" in result.stdout
    assert [line for line in lines if "Soft ground under what is placed" in line]
    assert next(line for line in lines if line.startswith("  Stage 1")).split()[2:6] == ["60", "28", "14", "gain"]
    assert max(len(line) for line in lines if str(folder) not in line) <= 80
    assert f"To be pasted into project.toml: {file}" in result.stdout
    assert "stress ratio" in result.stdout
    assert "more, see sandsleeve check with these dates" in result.stdout
    assert result.stderr == ""


@pytest.mark.slow
def test_written_file_pasted_in_gives_the_same_programme(size: Size, folder: Path) -> None:
    """The file says from which inputs it is; the project file stays as it was."""
    before = (folder / "project.toml").read_bytes()
    out = folder / "weeks"
    record = json.loads(size("--programme", "--round", "7 d", "--out", out, "--json").stdout)
    text = (out / "programme.toml").read_text(encoding="utf-8")
    dates = [row["proposed"] for row in record["sections"][0]["dates"]]

    assert (folder / "project.toml").read_bytes() == before
    assert read_design(folder).sha256 in text
    assert "Run of all chapters with these dates: fail." in text
    assert tomllib.loads(text)["consolidation"]["hand_over"] == f"{dates[-1]:g} d"
    assert [float(stage["start"].removesuffix(" d")) for stage in tomllib.loads(text)["stage"]] == dates[:-1]
    assert (record["outcome"], record["file"], record["searched"]["step"]) == ("fail", str(out / "programme.toml"), 7)
    assert record["sections"][0]["dates"][1]["conditions"][0]["margin"] >= 0
    assert not (folder / "out").exists()


@pytest.mark.slow
def test_no_programme_is_said_in_the_first_line_and_nothing_is_written(size: Size, folder: Path) -> None:
    (folder / "project.toml").write_text(bank_text(WEAK), encoding="utf-8")

    asked = ("--programme", "--round", "365 d")
    result, record = size(*asked), json.loads(size(*asked, "--json").stdout)

    assert (result.exit_code, result.stderr) == (1, "")
    assert result.stdout.startswith("No programme: waiting does not satisfy every condition. Nothing is written.\n")
    assert "hand-over: residual settlement after hand-over" in result.stdout
    assert max(map(len, result.stdout.split("\n"))) <= 80
    assert record["outcome"] == "no programme"
    assert record["sections"][0]["place"] == "hand-over"
    assert [path.name for path in folder.iterdir()] == ["project.toml"]


@pytest.mark.parametrize(
    ("arguments", "words"),
    [
        (
            ("--programme", "--section", "Z"),
            "Invalid value for --section: must be a section of the project (A), got Z.",
        ),
        (("--programme", "--round", "7"), 'must be a time with its unit such as "7 d" or "2 week", got "7"'),
        (("--programme", "--round", "0 d"), "must be greater than 0 d and at most 200000 d, got 0 d."),
        (("--programme", "--latest", "1000 a"), "must be greater than 0 d and at most 200000 d, got 1000 a."),
        (("--programme", "--least-wait", "-1 d"), "must be at least 0 d and at most 200000 d, got -1 d."),
        (("--programme", "--least-wait", "3 m"), '"m" does not convert to d'),
        (("--programme", "--out", "project.toml"), "is a file."),
        (("--programme", "--best", "2"), "--best does not go with --programme."),
        (("--programme", "--no-pages"), "--no-pages does not go with --programme."),
        (("--section", "A"), "--section goes with --programme only."),
        (("--cautious",), "--cautious goes with --programme only."),
    ],
)
def test_wrong_use_is_told_and_nothing_is_written(
    size: Size, folder: Path, arguments: tuple[str, ...], words: str
) -> None:
    placed = [str(folder / argument) if argument.endswith(".toml") else argument for argument in arguments]

    result = size(*placed)

    assert (result.exit_code, result.stdout) == (2, "")
    assert words in " ".join(result.stderr.split())
    assert [path.name for path in folder.iterdir()] == ["project.toml"]


def test_folder_without_a_project_is_wrong_use(size: Size, folder: Path) -> None:
    (folder / "project.toml").unlink()

    result = size("--programme")

    assert result.exit_code == 2
    assert "must be a folder with a file project.toml, or that file." in result.stderr


@pytest.mark.parametrize(
    ("text", "words"),
    [
        ("surprise = 1\n" + bank_text(), "surprise"),
        (
            bank_text(('c_h = "0.6 m^2/a"\n', "")),
            "section A: consolidation is not settled. Not given: coefficient of horizontal consolidation of “Peat”",
        ),
        (
            bank_text(
                ("makeup_fill = true", "makeup_fill = false"),
                ('thickness = "4.0 m"\ngamma', 'thickness = "4.0 m"\nthickness_right = "5 m"\ngamma'),
            ),
            "section A: dates are not searched where layers change their thickness across.",
        ),
    ],
)  # fmt: skip
def test_inputs_that_do_not_do_end_with_three(size: Size, folder: Path, text: str, words: str) -> None:
    (folder / "project.toml").write_text(text, encoding="utf-8")

    result = size("--programme")

    assert (result.exit_code, result.stdout) == (3, "")
    assert words in result.stderr
    assert not (folder / "out").exists()


@pytest.mark.slow
def test_inputs_without_a_solution_end_with_three(size: Size, folder: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    def run_section(*_arguments: object) -> None:
        message = "section A, Filters: no number"
        raise CalculationError(message)

    monkeypatch.setattr(confirm, "run_section", run_section)
    result = size("--programme", "--round", "90 d", "--section", "A")

    assert (result.exit_code, result.stdout) == (3, "")
    assert result.stderr == "Error: section A, Filters: no number\n"
    assert not (folder / "out").exists()


def test_a_project_without_a_grid_is_told_which_table_it_lacks(size: Size, folder: Path) -> None:
    result = size()

    assert result.exit_code == 3
    assert "project.toml must have a table [size]" in result.stderr
