"""Numbers that were given and count for nothing are named, and no number that counts."""

from pathlib import Path
from shutil import copytree

import numpy as np
import pytest

from calc.chain import Run, run_checks
from calc.commands.common import show_unread
from calc.inputs import read_design
from calc.terminal.unread import unread

WEAK = Path(__file__).parents[2] / "projects" / "weak-sleeve"
IDLE = {"embankment.c": '"7 kPa"', "bearing_layer.gamma": '"17 kN/m^3"'}
"""Fields of the example that no chapter of it reads, each with another value."""


def run_of(folder: Path) -> Run:
    return run_checks(read_design(folder), lambda _: None)


@pytest.fixture(scope="module")
def weak() -> Run:
    return run_of(WEAK)


def values(run: Run) -> dict[str, np.ndarray]:
    return {step.key: step.value.array for part in run.sections for sheet in part.sheets for step in sheet.steps}


def test_idle_numbers_are_named_and_change_nothing(weak: Run, tmp_path: Path) -> None:
    found = unread(weak)
    assert {one.field for one in found} == set(IDLE)
    folder = copytree(WEAK, tmp_path / "weak")
    lines = (folder / "project.toml").read_text("utf-8").split("\n")
    for one in found:
        key = one.field.rpartition(".")[2]
        assert lines[one.line - 1].startswith(f"{key} = ")
        lines[one.line - 1] = f"{key} = {IDLE[one.field]}"
    (folder / "project.toml").write_text("\n".join(lines), "utf-8")

    before, other = values(weak), values(run_of(folder))

    assert before.keys() == other.keys()
    assert all(np.array_equal(array, other[key], equal_nan=array.dtype.kind == "f") for key, array in before.items())


def test_they_are_told_by_section_with_their_lines(weak: Run, capsys: pytest.CaptureFixture[str]) -> None:
    show_unread(weak)

    told = capsys.readouterr().err
    assert told.startswith("section T: given, but no line of this run relies on it: embankment.c (line ")
    assert told.count("(line ") == len(IDLE)


def test_tables_of_a_list_count_from_1_as_in_errors_of_the_input(tmp_path: Path) -> None:
    zone = (
        '[[section.embankment.zone]]\nname = "Core"\nbottom = "2.9 m"\ntop = "3.5 m"\ngamma = "8 kN/m^3"\n'
        'phi = "35 deg"\nc = "0 kPa"\nleft = "-1 m"\nright = "1 m"\n\n'
    )
    folder = copytree(WEAK, tmp_path / "weak")
    text = (folder / "project.toml").read_text("utf-8")
    (folder / "project.toml").write_text(text.replace("[section.traffic]", f"{zone}[section.traffic]"), "utf-8")

    assert {"embankment.zone[1].phi", "embankment.zone[1].c"} <= {one.field for one in unread(run_of(folder))}


def test_section_that_was_not_run_is_not_accused(weak: Run) -> None:
    assert unread(Run(weak.design, ())) == ()
