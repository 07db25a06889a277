"""The command that writes the page for the site office: files, outcome, what it refuses."""

import re
from dataclasses import replace
from pathlib import Path

import pytest
from click.testing import CliRunner, Result

from calc.cli import main
from calc.inputs.reading.starter import starter_project
from tests.site.invented_readings import FILE, PROJECT
from tests.site.planned import FIELD, planned, planned_text
from tests.site.recorded import written
from tests.site.test_installed_command import SHORT
from tests.site.test_observe_command import observation
from tests.site.test_site_office import data_of, faulty, site


@pytest.mark.slow
def test_outcome_is_the_worst_of_both(tmp_path: Path) -> None:
    fine, found, read = site(tmp_path / "fine"), site(tmp_path / "faulty", faulty), observation("A", "C")

    assert fine.records is not None
    assert (fine.records.outcome, fine.outcome) == ("incomplete", "incomplete")  # the design was not run again
    assert found.outcome == "fail"
    assert replace(fine, records=None).outcome == "pass"
    assert replace(fine, records=None, readings=read).outcome == "incomplete"
    assert replace(found, readings=read).outcome == "fail"


def command(*arguments: object) -> Result:
    return CliRunner().invoke(main, ["site", *map(str, arguments)])


def project(folder: Path) -> tuple[Path, Path]:
    """A project with records for all its columns."""
    site(folder)
    return folder / "records.csv", folder / "depth.csv"


def test_command_takes_files_as_a_shell_lists_them(tmp_path: Path) -> None:
    records = project(tmp_path)
    result = command(tmp_path, "--records", *records, "--no-design", "--out", tmp_path / "new")

    assert result.exit_code == 6, result.output
    assert "readings in depth; 0 rows refused" in result.stdout
    assert result.stdout.splitlines()[-1] == f"Written: {tmp_path / 'new' / 'site.html'} (0.1 MB)"
    assert [path.name for path in (tmp_path / "new").iterdir()] == ["site.html"]
    again = command("--records", records[0], "--no-design", "--records", records[1], tmp_path)
    assert (tmp_path / "out" / "site.html").read_bytes() == (tmp_path / "new" / "site.html").read_bytes()
    assert again.exit_code == 6


def test_command_without_files_writes_the_plan(tmp_path: Path) -> None:
    planned(tmp_path, SHORT)
    result = command(tmp_path)

    assert result.exit_code == 0, result.output
    assert result.stdout.startswith("Column plan P1: ")
    assert (tmp_path / "out" / "site.html").is_file()


@pytest.mark.slow
def test_command_with_readings_says_what_they_say(tmp_path: Path) -> None:
    """Of the fill and of one plate, because the other instruments take their time."""
    head, *rows = FILE.read_text(encoding="utf-8").splitlines(keepends=True)
    few = [row for row in rows if row.split(",")[1] in {"FILL-A", "SP-A-2", "SP-A-2b"}]
    result = command(PROJECT, "--readings", written(tmp_path, "few.csv", head + "".join(few)), "--no-slip",
                     "--out", tmp_path)  # fmt: skip

    assert result.exit_code == 6, result.output
    assert "Next lift, Stage 3: not verified" in result.stdout
    assert data_of((tmp_path / "site.html").read_text(encoding="utf-8"))["readings"]["start"] == "2025-06-02"


def test_everything_that_is_missing_in_the_project_is_told_at_once(tmp_path: Path) -> None:
    (tmp_path / "project.toml").write_text(starter_project("Bank"), encoding="utf-8")
    file = written(tmp_path, "rows.csv", "a,b\n1,2\n")
    result = command(tmp_path, "--records", file, "--readings", file)

    assert result.exit_code == 3
    assert re.findall(r"(\w+): must be given", result.stderr) == ["plan", "installed", "observed"]
    assert not (tmp_path / "out").exists()


def test_files_of_both_kinds_that_do_not_fit_are_told_together(tmp_path: Path) -> None:
    file = written(tmp_path, "rows.csv", "a,b\n1,2\n")
    result = command(PROJECT, "--records", file, "--readings", file, "--out", tmp_path / "out")

    assert result.exit_code == 3
    assert "installed.column.id" in result.stderr
    assert "observed.value_column" in result.stderr
    assert not (tmp_path / "out").exists()


@pytest.mark.parametrize(
    "arguments",
    [["--records"], ["--records", "nowhere.csv"], ["--records", PROJECT / "project.toml"],
     ["--readings", PROJECT / "project.toml"], ["--reading"], [FILE]],
)  # fmt: skip
def test_wrong_usage(arguments: list[object], tmp_path: Path) -> None:
    result = command(PROJECT, *arguments, "--out", tmp_path / "out")

    assert result.exit_code == 2, result.output
    assert not (tmp_path / "out").exists()


def test_a_folder_in_the_place_of_the_page_is_told(tmp_path: Path) -> None:
    planned(tmp_path, SHORT)
    (tmp_path / "out" / "site.html").mkdir(parents=True)
    result = command(tmp_path)

    assert result.exit_code == 2
    assert "no plain file" in result.stderr


def test_command_without_the_packages_of_the_plan_is_told(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    (tmp_path / "project.toml").write_text(planned_text(SHORT, field=FIELD), encoding="utf-8")
    monkeypatch.setitem(__import__("sys").modules, "calc.site.office.site_page", None)
    result = command(tmp_path)

    assert result.exit_code == 5
    assert "pip install 'sandsleeve[site]'" in result.stderr
