"""Wheel and source distribution, built without a network, hold everything; the installed wheel sets pages."""

import os
import subprocess
import sys
import tarfile
from dataclasses import dataclass
from email.parser import Parser
from pathlib import Path
from zipfile import ZipFile

import pytest

import calc
from tests.architecture.checkout import ROOT, files

SOURCES = {
    path.relative_to(ROOT).as_posix() for path in files() if path.relative_to(ROOT).parts[0] in {"calc", "templates"}
}


@dataclass(frozen=True)
class Built:
    """The two files of a distribution."""

    wheel: Path
    source: Path

    def in_wheel(self) -> set[str]:
        with ZipFile(self.wheel) as archive:
            return set(archive.namelist())

    def in_source(self) -> set[str]:
        with tarfile.open(self.source) as archive:
            return {name.split("/", 1)[1] for name in archive.getnames()}

    def metadata(self) -> str:
        with ZipFile(self.wheel) as archive:
            return archive.read(f"sandsleeve-{calc.__version__}.dist-info/METADATA").decode()


@pytest.fixture(scope="module")
def built(tmp_path_factory: pytest.TempPathFactory) -> Built:
    """The source distribution, and the wheel built from that."""
    out = tmp_path_factory.mktemp("dist")
    command = [sys.executable, "-m", "build", "--no-isolation", "--outdir", str(out), str(ROOT)]
    subprocess.run(command, check=True, stdout=subprocess.DEVNULL)
    [wheel], [source] = out.glob("*.whl"), out.glob("*.tar.gz")
    return Built(wheel, source)


@pytest.fixture(scope="module")
def installed(built: Built, tmp_path_factory: pytest.TempPathFactory) -> dict[str, str]:
    """Environment variables with which Python finds the installed wheel before the checkout."""
    target = tmp_path_factory.mktemp("installed")
    pip = [sys.executable, "-m", "pip", "install", "-qq", "--no-deps", "--no-index", "--target", str(target)]
    subprocess.run([*pip, str(built.wheel)], check=True)
    return os.environ | {"PYTHONPATH": str(target)}


@pytest.mark.slow
def test_both_hold_every_module_template_and_font(built: Built) -> None:
    in_wheel = {name.replace("templates/", "calc/_templates/", 1) for name in SOURCES}

    assert any(name.endswith(".ttf") for name in SOURCES)
    assert built.in_source() >= SOURCES
    assert built.in_wheel() >= in_wheel


@pytest.mark.slow
def test_neither_holds_what_commands_make(built: Built) -> None:
    names = built.in_wheel() | built.in_source()

    assert [name for name in names if "__pycache__" in name or name.startswith((".venv", "tests", "projects"))] == []


@pytest.mark.slow
def test_metadata_name_command_and_dependencies(built: Built) -> None:
    metadata = Parser().parsestr(built.metadata())

    assert metadata["Name"] == "sandsleeve"
    assert metadata["Version"] == calc.__version__
    assert metadata["Requires-Python"] == ">=3.11"
    assert {"numpy>=2.4", "ziamath==0.13"} <= set(metadata.get_all("Requires-Dist", []))


@pytest.mark.slow
def test_installed_wheel_is_the_one_that_runs(installed: dict[str, str], tmp_path: Path) -> None:
    code = "import calc.resources as r; print(r.template_folder())"
    done = subprocess.run(
        [sys.executable, "-c", code], cwd=tmp_path, env=installed, check=True, capture_output=True, text=True
    )

    assert Path(done.stdout.strip()) == Path(installed["PYTHONPATH"]) / "calc" / "_templates"


@pytest.mark.slow
def test_installed_wheel_sets_pages(installed: dict[str, str], tmp_path: Path) -> None:
    """Of one chapter: every template and font is in the wheel, as the test above says, and here they are found."""
    command = Path(installed["PYTHONPATH"]) / "bin" / "sandsleeve"
    subprocess.run([command, "new", "bank"], cwd=tmp_path, env=installed, check=True)

    package = [str(command), "package", "bank", "--chapter", "sleeve"]
    done = subprocess.run(package, cwd=tmp_path, env=installed, check=False)

    assert done.returncode == 6
    assert (tmp_path / "bank" / "out" / "package-chapter-5.pdf").read_bytes().startswith(b"%PDF-")
