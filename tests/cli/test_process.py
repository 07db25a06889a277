"""The command as a process of its own."""

import json
import os
import subprocess
import sys
from io import StringIO
from pathlib import Path

import pytest

from calc.chain import CHAPTERS, run_checks
from calc.commands.progress import Clock, progress
from calc.inputs import read_design
from calc.run_progress import Progress
from tests.packages.conftest import by_another_process

SANDSLEEVE = [sys.executable, "-m", "calc"]
HEAVY = {"numpy", "pydantic", "pint", "jinja2", "weasyprint", "ziamath", "calc.inputs", "calc.chain", "calc.package"}
WITHOUT_PANGO = """
import sys, cffi
def dlopen(self, name, *more):
    raise OSError(f"cannot load library '{name}'")
cffi.FFI.dlopen = dlopen
from calc.cli import main
main()
"""


def test_nothing_heavy_is_imported_for_help() -> None:
    code = "import calc.cli, json, sys; print(json.dumps(sorted(sys.modules)))"
    loaded = subprocess.run([sys.executable, "-c", code], check=True, capture_output=True, text=True).stdout

    assert HEAVY & set(json.loads(loaded)) == set()


def test_missing_pango_is_said_with_the_line_that_installs_it(project: Path) -> None:
    done = subprocess.run(
        [sys.executable, "-c", WITHOUT_PANGO, "package", str(project)], check=False, capture_output=True, text=True
    )

    assert done.returncode == 5
    assert done.stderr.splitlines()[-1].endswith("apt-get install libpango-1.0-0 libpangoft2-1.0-0 libharfbuzz-subset0")
    assert "Traceback" not in done.stderr
    assert not (project / "out").exists()


def test_check_works_without_pango(project: Path) -> None:
    done = subprocess.run(
        [sys.executable, "-c", WITHOUT_PANGO, "check", str(project)], check=False, capture_output=True, text=True
    )

    assert done.returncode == 6
    assert "Outcome: incomplete, " in done.stdout


def test_terminal_without_the_signs_gets_the_words(project: Path) -> None:
    done = subprocess.run(
        [*SANDSLEEVE, "check", str(project)],
        check=False, capture_output=True, text=True, env=os.environ | {"PYTHONIOENCODING": "ascii"},
    )  # fmt: skip

    assert done.returncode == 6
    assert "not verified" in done.stdout


class Terminal(StringIO):
    def isatty(self) -> bool:
        return True


TOLD = (
    Progress("section A, Ground", 0.0, opens=True),
    "collecting the questions",
    Progress("section A, Ground: slip surface or search 1", 0.0, opens=False),
    Progress("section A, Ground", 0.0, opens=True),
)


@pytest.mark.parametrize(
    ("stream", "shown"),
    [
        (Terminal(), "".join(f"\r\x1b[K{text}" for text in [*TOLD, ""])),
        (StringIO(), "section A, Ground\n"),
    ],
)
def test_progress_is_one_line_on_a_terminal_and_a_line_for_each_chapter_elsewhere(
    monkeypatch: pytest.MonkeyPatch, stream: StringIO, shown: str
) -> None:
    monkeypatch.setattr(sys, "stderr", stream)
    with progress() as tell:
        for text in TOLD:
            tell(text)

    assert stream.getvalue() == shown


def test_progress_does_not_wrap_on_a_narrow_terminal(monkeypatch: pytest.MonkeyPatch) -> None:
    stream = Terminal()
    monkeypatch.setattr(sys, "stderr", stream)
    monkeypatch.setenv("COLUMNS", "30")
    with progress() as tell:
        tell("section A, " + "a long title " * 9)

    assert max(len(line) for line in stream.getvalue().split("\r\x1b[K")) == 29


@pytest.mark.parametrize(
    ("seconds", "share", "left"),
    [
        (0.5, 0.1, ""),  # too early to tell
        (10.0, 0.01, ""),  # too little is done
        (2.0, 0.5, ""),  # too short to be asked
        (10.0, 0.5, "about 10 s left"),
        (10.0, 0.25, "about 30 s left"),
        (31.0, 0.23, "about 105 s left"),
        (60.0, 0.2, "about 4 min left"),
        (100.0, 1.0, ""),
    ],
)
def test_time_left_is_told_by_the_work_done_once_it_means_something(seconds: float, share: float, left: str) -> None:
    now = [0.0]
    clock = Clock(lambda: now[0])
    now[0] = seconds

    assert clock.time_left(Progress("x", share, opens=True)) == left


def test_time_left_runs_down_within_a_chapter_and_is_not_told_when_it_has_run_out() -> None:
    now = [0.0]
    clock = Clock(lambda: now[0])
    found = []
    for now[0], share in ((10.0, 0.5), (16.0, 0.5), (18.0, 0.1), (21.0, 0.5)):
        found.append(clock.time_left(Progress("x", share, opens=False)))

    assert found == ["about 10 s left", "about 4 s left", "about 2 s left", ""]


def test_shares_of_a_run_grow_to_the_end_and_every_chapter_is_said(project: Path) -> None:
    told: list[Progress] = []
    run_checks(read_design(project), told.append)
    shares = list(dict.fromkeys(one.share for one in told if one.opens))

    assert shares == sorted(shares)
    assert shares[0] == 0.0
    assert len({str(one) for one in told if one.opens}) == len(CHAPTERS)
    assert told[-1].share < 1.0


@pytest.mark.slow
def test_package_says_where_it_is(tmp_path_factory: pytest.TempPathFactory) -> None:
    done = by_another_process(tmp_path_factory)

    assert done.code == 6
    assert done.complained.splitlines()[0].startswith(f"section A, Design basis (1 of {len(CHAPTERS)})")
    lines = done.complained.splitlines()
    *pieces, joining = lines[lines.index("setting the pages") + 1 :]
    assert pieces
    assert all(piece.startswith(f"setting the pages, piece {k} of ") for k, piece in enumerate(pieces, start=1))
    assert joining == "setting the opening and joining the pieces"
    assert json.loads(done.said)["package"] == done.named
    assert done.files.pdf.read_bytes().startswith(b"%PDF-")
    assert json.loads(done.files.results.read_text(encoding="utf-8"))["outcome"] == "incomplete"
    assert sorted(path.name for path in done.project.iterdir()) == ["project.toml"]
