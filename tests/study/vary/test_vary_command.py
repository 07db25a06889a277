"""The command, and what it refuses: tables, data, verdicts, places."""

import json
import os
import shutil
from collections.abc import Callable
from pathlib import Path

import numpy as np
import pyarrow.parquet as pq
import pytest
from click.testing import CliRunner, Result

from calc.cli import main
from calc.commands import vary_inputs as command_module
from calc.kept import KeptFiles
from calc.study.chunk_limits import LostChunkError
from calc.study.vary import vary_run

PROJECT = Path(__file__).parents[3] / "projects" / "weak-sleeve"
TABLE = """
[vary]
seed = 3
points = 256
replicates = 8

[[vary.input]]
path = "layer.clay-lower.E_oed_ref"
distribution = "lognormal"
mean = "1.6 MPa"
cov = 0.25
source = "invented"

[[vary.input]]
path = "layer.clay-upper.E_oed_ref"
distribution = "data"
file = "moduli.csv"
column = "E"
unit = "MPa"
source = "invented"

[[vary.limit_state]]
verdict = "unit_cell/settlement_total"
target = {target}
source = "invented"
"""
DATA = "id,E\n" + "".join(f"{k},{0.6 + 0.05 * k:.2f}\n" for k in range(12))
Command = Callable[..., Result]


@pytest.fixture
def command(monkeypatch: pytest.MonkeyPatch, tmp_path: Path) -> Command:
    monkeypatch.setenv("XDG_CACHE_HOME", str(tmp_path / "cache"))

    def run(*arguments: object) -> Result:
        return CliRunner().invoke(main, [str(argument) for argument in ("vary", *arguments)])

    return run


@pytest.fixture
def project(tmp_path: Path) -> Callable[..., Path]:
    """A copy of the example whose sleeve is too weak, with a table of its own; the data in a file."""

    def made(target: float = 3.0, table: str = TABLE, data: bytes | None = DATA.encode()) -> Path:
        folder = tmp_path / "project"
        folder.mkdir(exist_ok=True)
        text = (PROJECT / "project.toml").read_text(encoding="utf-8").partition("\n# Sensitivity and reliability")[0]
        (folder / "project.toml").write_text(text + table.format(target=target), encoding="utf-8")
        shutil.copy(PROJECT / "ground-data.csv", folder)
        if data is not None:
            (folder / "moduli.csv").write_bytes(data)
        return folder

    return made


@pytest.mark.slow
def test_a_study_is_printed_and_written_the_same_by_any_number_of_workers(
    command: Command, project: Callable[..., Path], tmp_path: Path
) -> None:
    folder = project(1.0)
    first = command(folder, "--samples", tmp_path / "points.parquet", "--jobs", 2)
    again = command(folder, "--jobs", 1, "--fresh", "--json", "--out", tmp_path / "again")

    assert first.exit_code == 0, first.output
    assert "target β 1: reached" in first.output
    assert "Samples: " in first.output
    assert json.loads(again.stdout) == json.loads((folder / "out" / "vary.json").read_text(encoding="utf-8"))
    assert (tmp_path / "again" / "vary.pdf").read_bytes() == (folder / "out" / "vary.pdf").read_bytes()
    points = pq.read_table(tmp_path / "points.parquet")
    [state] = json.loads(again.stdout)["sections"][0]["limit_states"]
    failing = np.array(points["unit_cell/settlement_total"]) > 1
    assert points.num_rows == state["monte_carlo"]["points"] == 2048
    assert failing.sum() == state["monte_carlo"]["failures"]
    assert np.array(points["layer.clay-upper.E_oed_ref"]).min() >= 600.0


@pytest.mark.slow
@pytest.mark.parametrize(("target", "code"), [(9.0, 1), (3.0, 6)])
def test_a_target_decides_the_exit_code(
    target: float, code: int, command: Command, project: Callable[..., Path], monkeypatch: pytest.MonkeyPatch
) -> None:
    """9 is missed whatever the estimate; 3 lies within the bounds where nothing but 2048 points is known."""
    from calc.study.vary import design_points, study

    def none(*_: object) -> None:
        message = "not searched"
        raise design_points.NoDesignPointError(message)

    monkeypatch.setattr(study, "design_point", none)
    monkeypatch.setattr(study, "subset", lambda *_: design_points.Subset(1e-3, 0.2, 10))
    if target == 9.0:
        monkeypatch.setattr(study.Answer, "indices", (3.0, 2.5, 4.0))

    done = command(project(target))

    assert done.exit_code == code, done.output
    assert "not given: FORM, because not searched" in done.output


def test_without_the_table_the_command_says_what_is_missing(command: Command, project: Callable[..., Path]) -> None:
    done = command(project(table=""))

    assert done.exit_code == 3
    assert "vary: must be given: the table [vary]" in done.output


@pytest.mark.parametrize(
    ("data", "message"),
    [
        (None, "vary.input[2].file: must be a CSV file that can be read, got no such file or directory"),
        (b"\xff\xfe", "must be a CSV file that can be read, got no text in UTF-8"),
        (b"", 'must have one column with the head "E", got 0 of no head'),
        (b"E,E\n1,2\n", 'must have one column with the head "E", got 2 of "E", "E"'),
        (
            b"E\n1.7,\n1,7\n",
            "moduli.csv:3:1: E: must stand in a row of 1 cells, as the head has: numbers have a decimal",
        ),
        (b"E\n0.7\n0.8\n", "must have 10 to 100000 rows of data (project rule), got 2 rows"),
        (b"E\n" + b"0.7\n" * 12, "must have data that differ, got 12 times the same"),
        (b"E\n0.7\n-1\nabc\n1_0\n", "moduli.csv:3:1: E: must be a number that layer.clay-upper.E_oed_ref takes"),
        (b"E\n0.7\n-1\nabc\n1_0\n", "moduli.csv:5:1: E: must be a number"),
        (b"x" * 5_000_001, "must not be larger than 5 MB, got a larger file"),
    ],
)
def test_wrong_data_are_refused_with_their_place(
    data: bytes | None, message: str, command: Command, project: Callable[..., Path]
) -> None:
    folder = project(data=data)

    done = command(folder)

    assert done.exit_code == 3
    assert message in done.output
    assert not (folder / "out").exists()


def test_a_verdict_that_the_section_does_not_have_is_refused(command: Command, project: Callable[..., Path]) -> None:
    table = TABLE.replace("unit_cell/settlement_total", "unit_cell/nothing")

    done = command(project(table=table))

    assert done.exit_code == 3
    line = next(line for line in done.output.splitlines() if "vary.limit_state[1].verdict: must name a verdict" in line)
    assert "that compares numbers in section T, such as unit_cell/settlement_total, " in line
    assert line.endswith('(docs/verdicts.md), got "unit_cell/nothing"')
    assert line.count("/") - line.partition(": must")[0].count("/") <= 6  # not all of them


def test_samples_go_into_a_parquet_file(command: Command, project: Callable[..., Path]) -> None:
    done = command(project(), "--samples", "points.csv")

    assert done.exit_code == 2
    assert "must end with .parquet (got points.csv)" in done.output


def test_what_is_not_installed_is_named(
    command: Command, project: Callable[..., Path], monkeypatch: pytest.MonkeyPatch, tmp_path: Path
) -> None:
    monkeypatch.setattr(command_module, "find_spec", lambda _: None)

    done = command(project(), "--samples", tmp_path / "x.parquet")

    assert done.exit_code == 5
    assert "pip install 'sandsleeve[study,parquet]'" in done.output


def test_a_file_in_place_of_the_folder_is_refused(command: Command, project: Callable[..., Path]) -> None:
    folder = project()
    (folder / "out").mkdir()
    (folder / "out" / "vary.pdf").mkdir()

    done = command(folder)

    assert done.exit_code == 2
    assert "it is there and no plain file" in done.output


def test_a_cluster_that_does_not_answer_is_one_message(
    command: Command, project: Callable[..., Path], monkeypatch: pytest.MonkeyPatch
) -> None:
    """At once, without the patience that workers are given."""
    monkeypatch.setattr("calc.study.cluster_engine.Client", None)
    folder = project()

    done = command(folder, "--cluster", "tcp://127.0.0.1:1")

    assert done.exit_code == 2
    assert done.output.splitlines()[-1].startswith("Error: no scheduler answers at tcp://127.0.0.1:1: ")
    assert not (folder / "out").exists()


def test_a_cluster_has_the_workers_that_it_has(command: Command, project: Callable[..., Path]) -> None:
    done = command(project(), "--cluster", "tcp://127.0.0.1:1", "--jobs", 2)

    assert done.exit_code == 2
    assert "leave out --jobs" in done.output


def test_a_chunk_that_ends_its_process_is_named(
    command: Command, project: Callable[..., Path], monkeypatch: pytest.MonkeyPatch
) -> None:
    def lost(*_: object) -> None:
        raise LostChunkError(2, 8, "replicate")

    monkeypatch.setattr(vary_run, "vary_run", lost)

    done = command(project())

    assert done.exit_code == 2
    assert done.output.splitlines()[-1].startswith("Error: chunk 3 of 8 ended the process that worked at it 3 times")


def test_kept_chunks_lie_in_their_folder_and_the_longest_unused_go(
    command: Command, project: Callable[..., Path], monkeypatch: pytest.MonkeyPatch, tmp_path: Path
) -> None:
    folder = tmp_path / "cache" / "sandsleeve" / "chunks"

    def keeps(*given: object) -> None:
        files = given[-1]
        assert isinstance(files, KeptFiles)
        files._most_bytes = 2500
        for time, name in enumerate(("first", "second", "third")):
            files.keep(name, b"x" * 1000)
            os.utime(folder / name, (time, time))
        raise LostChunkError(0, 1, "then ends")

    monkeypatch.setattr(vary_run, "vary_run", keeps)

    command(project())

    assert sorted(path.name for path in folder.iterdir()) == ["second", "third"]
