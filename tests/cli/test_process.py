"""The command as a process of its own."""

import json
import os
import subprocess
import sys
from io import StringIO
from pathlib import Path

import pytest

from calc.commands.common import progress
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


def processor_seconds(arguments: list[str]) -> float:
    before = os.times()
    subprocess.run(arguments, check=True, stdout=subprocess.DEVNULL)
    after = os.times()
    return after.children_user + after.children_system - before.children_user - before.children_system


def test_help_takes_less_than_a_tenth_of_a_second() -> None:
    """Processor time, the best of three: the machine may be busy with something else."""
    assert min(processor_seconds([*SANDSLEEVE, "--help"]) for _ in range(3)) < 0.1


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
    assert "Outcome: incomplete." in done.stdout


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


@pytest.mark.parametrize(("stream", "shown"), [(Terminal(), "\r\x1b[Krunning the checks\r\x1b[K"), (StringIO(), "")])
def test_progress_shows_on_a_terminal_only(monkeypatch: pytest.MonkeyPatch, stream: StringIO, shown: str) -> None:
    monkeypatch.setattr(sys, "stderr", stream)
    with progress() as tell:
        tell("running the checks")

    assert stream.getvalue() == shown


@pytest.mark.slow
def test_package_says_where_it_is(tmp_path_factory: pytest.TempPathFactory) -> None:
    done = by_another_process(tmp_path_factory)

    assert done.code == 6
    assert done.complained == ""
    assert json.loads(done.said)["package"] == done.named
    assert done.files.pdf.read_bytes().startswith(b"%PDF-")
    assert json.loads(done.files.results.read_text(encoding="utf-8"))["outcome"] == "incomplete"
    assert sorted(path.name for path in done.project.iterdir()) == ["project.toml"]
