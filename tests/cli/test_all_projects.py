"""The package of every project below a folder: a summary of all, and none that stops another."""

import csv
import json
import os
import shutil
import signal
import sys
from collections.abc import Callable
from pathlib import Path
from typing import Any

import pytest
from click.testing import Result

from calc import cli
from calc.commands.all_projects import Row, Task, projects_below, run_all, table, worst, write_summary
from calc.engine.sheet import Verdict
from calc.inputs.reading.starter import starter_project
from calc.package import WrittenPackage
from calc.study.engines import engine
from calc.study.process_engine import Processes

Command = Callable[..., Result]
WEAK = Path(__file__).parents[2] / "projects" / "weak-sleeve"
PASSED = json.dumps({"outcome": "pass", "governing": {"section": "A", "title": "Tension", "utilisation": 0.5}})


def put(folder: Path, *names: str) -> None:
    for name in names:
        (folder / name).mkdir(parents=True, exist_ok=True)
        (folder / name / "project.toml").write_text(starter_project("Bank"), encoding="utf-8")


@pytest.fixture
def quick(outcome_of: Callable[..., None], monkeypatch: pytest.MonkeyPatch) -> None:
    """Every run passes at once, and a package is a file that says so."""
    outcome_of(Verdict("x", "Tension", "pass"))

    def write(_run: object, out: Path, *_more: object) -> WrittenPackage:
        out.mkdir(parents=True, exist_ok=True)
        (out / "package.pdf").write_text("package")
        return WrittenPackage(out / "package.pdf", out / "results.json")

    monkeypatch.setattr("calc.package.write_package", write)


def test_projects_are_found_below_a_folder_but_not_in_what_is_written(tmp_path: Path) -> None:
    put(tmp_path, "b", "a/c", "a", "a/out", "a/out/x", "a/archive/1", ".kept/d", "out/e", "d/.git")
    (tmp_path / "f" / "project.toml").mkdir(parents=True)

    found = [str(one.relative_to(tmp_path)) for one in projects_below(tmp_path)]

    assert found == ["a", "a/c", "b", "out/e"]


@pytest.mark.usefixtures("quick")
def test_a_broken_project_stops_no_other(command: Command, tmp_path: Path) -> None:
    put(tmp_path, "one", "two", "three")
    broken = tmp_path / "two" / "project.toml"
    broken.write_text(broken.read_text(encoding="utf-8").replace('kN/m^3"', 'kN/m"'), encoding="utf-8")

    result = command("package", tmp_path, "--all", "--jobs", 2)
    lines = result.stdout.splitlines()
    record = json.loads((tmp_path / "packages.json").read_text(encoding="utf-8"))
    with (tmp_path / "packages.csv").open(encoding="utf-8-sig", newline="") as file:
        rows = list(csv.DictReader(file))

    assert result.exit_code == 3
    assert [line.split()[:3] for line in lines[1:4]] == [
        ["one", "0", "pass"],
        ["three", "0", "pass"],
        ["two", "3", "inputs"],
    ]
    assert "two/project.toml:" in lines[4]
    assert lines[-2] == "3 projects: 2 pass, 1 inputs. Exit code 3: the gravest of them."
    assert [row["exit_code"] for row in record["projects"]] == [0, 0, 3]
    assert [row["outcome"] for row in rows] == ["pass", "pass", ""]
    assert "must be" in rows[2]["messages"]
    assert [(tmp_path / name / "out" / "package.pdf").exists() for name in ("one", "two", "three")] == [
        True,
        False,
        True,
    ]
    assert "3 of 3 projects" in result.stderr


@pytest.mark.usefixtures("quick")
def test_all_can_be_written_elsewhere_and_given_as_data(command: Command, tmp_path: Path) -> None:
    put(tmp_path / "in", "one", "x/two")
    result = command("package", tmp_path / "in", "--all", "--out", tmp_path / "made", "--fresh", "--json")
    written = sorted(str(path.relative_to(tmp_path / "made")) for path in (tmp_path / "made").rglob("*.*"))

    assert result.exit_code == 0
    assert json.loads(result.stdout)["projects"][1]["project"] == "x/two"
    assert written == ["one/package.pdf", "packages.csv", "packages.json", "x/two/package.pdf"]


@pytest.mark.usefixtures("quick")
def test_a_cluster_is_asked_for_and_what_it_lacks_is_told(
    command: Command, tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    put(tmp_path, "one")
    lost = command("package", tmp_path, "--all", "--cluster", "nonsense://x")
    monkeypatch.setitem(sys.modules, "calc.study.cluster_engine", None)
    missing = command("package", tmp_path, "--all", "--cluster", "local")

    assert lost.exit_code == 2
    assert lost.stderr.startswith("Error: no scheduler answers at nonsense://x: ")
    assert missing.exit_code == 5
    assert missing.stderr == (
        "Error: a cluster needs a package that is not installed: pip install 'sandsleeve[cluster]'\n"
    )
    assert not (tmp_path / "packages.csv").exists()


@pytest.mark.parametrize(
    ("words", "message"),
    [
        (["--all", "--watch"], "--watch does not go with --all."),
        (["--all", "--section", "A"], "--section does not go with --all."),
        (
            ["--all", "--jobs", "2", "--cluster", "tcp://x:1"],
            "a cluster has the workers that it has: leave out --jobs.",
        ),
        (["--cluster", "local"], "--cluster goes with --all only."),
        (["--all", "--jobs", "0"], "0 is not in the range x>=1"),
    ],
)
def test_options_that_do_not_go_together_are_refused(
    command: Command, project: Path, words: list[str], message: str
) -> None:
    result = command("package", project, *words)

    assert result.exit_code == 2
    assert message in " ".join(result.stderr.split())


def test_a_folder_without_projects_is_refused(command: Command, tmp_path: Path) -> None:
    none = command("package", tmp_path, "--all")
    one = command("package", tmp_path)

    assert none.exit_code == one.exit_code == 2
    assert f"no folder below {tmp_path} has a file project.toml." in " ".join(none.stderr.split())
    assert "must be a folder with a file project.toml, or that file." in " ".join(one.stderr.split())


def end_or_pass(words: tuple[str, ...]) -> tuple[int, str, str]:
    if words[0] == "killer":
        os.kill(os.getpid(), signal.SIGKILL)
    return 0, PASSED, ""


def test_a_project_that_ends_its_process_stops_no_other() -> None:
    tasks = [Task(name, (name,)) for name in ("a", "killer", "b", "c")]
    told: list[str] = []
    rows = run_all(Processes(2), end_or_pass, tasks, told.append)

    assert [row.exit_code for row in rows] == [0, 70, 0, 0]
    assert rows[1].messages == "it ended its process three times"
    assert rows[2].governing == "A: Tension"
    assert worst(rows) == 70
    assert len(told) >= 3


def test_a_command_is_run_as_one_of_many(project: Path, outcome_of: Callable[..., None]) -> None:
    outcome_of(Verdict("x", "Tension", "fail"))
    assert cli.run_command(("check", str(project), "--json"))[::2] == (1, "")
    assert cli.run_command(("check", "nowhere"))[0] == 2
    outcome_of(error=MemoryError("full"))
    code, output, messages = cli.run_command(("check", str(project)))
    assert (code, output, messages.splitlines()[0][:27]) == (70, "", "Internal error: MemoryError")
    assert cli.run_command(("--version",))[0] == 0


def row(code: int, **more: Any) -> Row:
    return Row("p", code, {0: "pass", 1: "fail", 6: "incomplete"}.get(code, ""), "", None, 1.0, "")._replace(**more)


@pytest.mark.parametrize(
    ("codes", "code"),
    [((0, 0), 0), ((0, 6), 6), ((6, 1), 1), ((1, 3), 3), ((3, 4), 4), ((4, 2), 2), ((2, 5), 5), ((5, 70, 0), 70)],
)
def test_the_exit_code_is_the_gravest(codes: tuple[int, ...], code: int) -> None:
    assert worst([row(one) for one in codes]) == code


def test_the_table_has_the_width_of_the_terminal() -> None:
    lines = table([row(0, governing="x" * 99, utilisation=0.5), row(4, messages="a\nb\nc\nd" * 50)], 80).splitlines()

    assert max(map(len, lines)) == 80
    assert lines[1].endswith("0.500 " + "x" * 32 + "…") or "0.500 xxx" in lines[1]
    assert lines[-1] == "2 projects: 1 pass, 1 archive. Exit code 4: the gravest of them."


def test_a_code_of_no_command_is_the_gravest_and_an_issue_that_is_forbidden_is_refused() -> None:
    rows = [row(70), row(130), row(1, outcome="", messages="Error: not issued"), row(6, outcome="")]

    assert worst(rows) == 130
    assert [line.split()[2] for line in table(rows, 80).splitlines()[1:] if line.startswith("p")] == [
        "internal", "exit", "refused", "refused",
    ]  # fmt: skip


def test_the_outcome_of_a_column_plan_stands_beside_that_of_the_calculation(tmp_path: Path) -> None:
    def packaged(words: tuple[str, ...]) -> tuple[int, str, str]:
        plan = {"plan": {"outcome": words[0], "words": "P1"}} if words[0] else {}
        return 0, json.dumps(json.loads(PASSED) | plan), ""

    with engine("here") as here:
        rows = run_all(here, packaged, [Task("a", ("fail",)), Task("b", ("",))], lambda _: None)
    lines = table(rows, 100).splitlines()
    write_summary(rows, tmp_path, "packages")
    record = json.loads((tmp_path / "packages.json").read_text(encoding="utf-8"))

    assert [one.plan for one in rows] == ["fail", ""]
    assert lines[0].split() == ["project", "exit", "outcome", "plan", "time", "governing"]
    assert lines[1].split()[:4] == ["a", "0", "pass", "fail"]
    assert lines[0].index("governing") == lines[1].index("0.500") == lines[2].index("0.500")
    assert (
        lines[-1]
        == "2 projects: 2 pass. Column plans: 1 fail; they change no exit code. Exit code 0: the gravest of them."
    )
    assert record["projects"][0]["plan"] == "fail"
    assert ",fail" in (tmp_path / "packages.csv").read_text(encoding="utf-8-sig").splitlines()[1]


def test_a_name_is_no_formula_in_a_table(tmp_path: Path) -> None:
    write_summary([row(0, project="=1+1")], tmp_path / "new", "packages")

    write_summary([row(0, project="\r=1")], tmp_path / "other", "packages")

    assert "'\r=1" in (tmp_path / "other" / "packages.csv").read_bytes().decode()
    assert "'=1+1,0,pass" in (tmp_path / "new" / "packages.csv").read_text(encoding="utf-8")


@pytest.mark.slow
def test_a_real_run_gives_what_check_gives(tmp_path: Path, monkeypatch: pytest.MonkeyPatch, command: Command) -> None:
    """Two projects by a chain as it is, side by side; only the pages are left out."""
    for name in ("one", "two"):
        (tmp_path / name).mkdir()
        for file in ("project.toml", "ground-data.csv"):
            shutil.copy(WEAK / file, tmp_path / name)
    monkeypatch.setattr(
        "calc.package.write_package",
        lambda _run, out, *_more: WrittenPackage(out / "package.pdf", out / "results.json"),
    )
    alone = json.loads(command("check", WEAK, "--json").stdout)
    result = command("package", tmp_path, "--all", "--jobs", 2)
    rows = json.loads((tmp_path / "packages.json").read_text(encoding="utf-8"))["projects"]

    assert result.exit_code == 1
    assert [one["outcome"] for one in rows] == ["fail", "fail"]
    assert {one["utilisation"] for one in rows} == {alone["governing"]["utilisation"]}
