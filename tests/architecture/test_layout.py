import os
import re
import subprocess
import sys
from importlib.metadata import packages_distributions
from pathlib import Path
from shutil import which
from typing import Any

import pytest

from calc.resources import program_files
from tests.architecture.checkout import ROOT, TOP_LEVEL, files, label, modules, texts
from tests.architecture.layers import imported_packages

# Each pattern has a class of one letter in it, so that it does not find itself.
ADDRESS = re.compile(
    r"py[p]i\.|pythonho[s]ted|npm[j]s|regis[t]ry\.npm|--(extra-)?inde[x]-url|--find-lin[k]s|proxy\.gola[n]g"
)
WORKSHOP = re.compile(
    r"\b(TO[D]O|FIX[M]E|X[X]X|Cla[u]de|Anthro[p]ic|Chat[G]PT|Copi[l]ot|L[L]M|A[I][- ](generated|assisted)|sub[a]gents?"
    r"|this se[s]sion|helper se[s]sions?|(in|by|from) the bri[e]f|iss[u]e ?#?\d+)\b"
)
NUMBER_OF_AN_ISSUE = re.compile(r"(?<![\w&\](/])#\d{1,4}\b")


DRIVERS = {"psycopg"}  # asked for by an address, imported by nobody


def extras(pyproject: dict[str, Any]) -> list[str]:
    """What only some users install."""
    return [line for lines in pyproject["project"]["optional-dependencies"].values() for line in lines]


def found(pattern: re.Pattern[str], suffix: str = "") -> list[str]:
    return [
        f"{label(path)}:{number}: {match[0]}"
        for path, text in texts()
        if label(path).endswith(suffix)
        for number, line in enumerate(text.splitlines(), start=1)
        if (match := pattern.search(line))
    ]


def test_top_level_is_the_fixed_one() -> None:
    visible = {path.name for path in ROOT.iterdir() if not path.name.startswith(".")} - {"build", "dist"}

    assert visible == TOP_LEVEL, "move it into one of these folders, or enter it in tests/architecture/checkout.py"


def test_no_file_holds_the_address_of_a_package_registry() -> None:
    assert found(ADDRESS) == [], "take the address out: each machine has its own"


def test_the_project_speaks_of_itself_alone() -> None:
    assert found(WORKSHOP) == [], "say what holds for the project itself"
    assert found(NUMBER_OF_AN_ISSUE, ".md") == [], "say what it is about instead of its number"


@pytest.mark.parametrize(
    ("pattern", "text"),
    [
        (ADDRESS, "https://py" + "pi.org/simple"),
        (ADDRESS, "--inde" + "x-url x"),
        (WORKSHOP, "# TO" + "DO later"),
        (WORKSHOP, "see iss" + "ue 12"),
        (NUMBER_OF_AN_ISSUE, "as in #" + "12"),
    ],
)
def test_the_patterns_find_what_they_are_for(pattern: re.Pattern[str], text: str) -> None:
    assert pattern.search(text)


@pytest.mark.parametrize("name", [".ci/run", ".ci/lock", "projects/run", "tests/run"])
def test_scripts_are_executable_and_well_formed(name: str) -> None:
    path = ROOT / name
    bash = which("bash")

    assert bash
    assert os.access(path, os.X_OK), f"chmod +x {name}"
    assert path.read_text(encoding="utf-8").startswith("#!/usr/bin/env bash\n"), f"{name}: let env find bash"
    subprocess.run([bash, "-n", str(path)], check=True)


def test_lock_pins_every_package_with_hashes() -> None:
    entries = re.split(r"\n(?=\S)", (ROOT / ".ci" / "requirements.lock").read_text(encoding="utf-8").strip())

    assert len(entries) > 40
    whole = re.compile(r"[\w.-]+==\S+ .*\n +--hash=sha256:[0-9a-f]{64}")
    assert [entry.split()[0] for entry in entries if not whole.match(entry)] == [], "run .ci/lock"


def test_lock_holds_every_dependency_of_the_project(pyproject: dict[str, Any]) -> None:
    locked = re.findall(r"^([\w.-]+)==", (ROOT / ".ci" / "requirements.lock").read_text(encoding="utf-8"), re.MULTILINE)
    groups = pyproject["dependency-groups"]
    asked = [*pyproject["project"]["dependencies"], *extras(pyproject), *groups["test"], *groups["lint"]]

    assert {re.split(r"[<>=[]", line)[0].lower() for line in asked} <= set(locked), "run .ci/lock"


def test_every_package_that_the_program_imports_is_a_dependency_of_its_own(pyproject: dict[str, Any]) -> None:
    imported = {name for path in modules("calc") for name in imported_packages(path.read_text(encoding="utf-8"))}
    known = packages_distributions()
    lines = [*pyproject["project"]["dependencies"], *extras(pyproject)]
    asked = {re.split(r"[<>=[]", line)[0].lower().replace("-", "_") for line in lines} - DRIVERS

    needed = {known[name][0].lower().replace("-", "_") for name in imported - {"calc"} - sys.stdlib_module_names}

    assert needed == asked, "pyproject.toml: enter what is imported, take out what is not; then .ci/lock"


def test_the_fingerprint_of_the_program_covers_all_its_files() -> None:
    own = {label(path) for path in files() if path.relative_to(ROOT).parts[0] in {"calc", "templates"}}

    assert set(program_files()) == own, "let program_files() of calc/resources.py take in files of this kind"
    assert "calc/chapters/sleeve/words.toml" in own


def test_fonts_have_their_licence_beside_them() -> None:
    fonts = ROOT / "templates" / "fonts"

    assert len(list(fonts.glob("DejaVu*.ttf"))) >= 8
    assert "Bitstream Vera" in (Path(fonts) / "LICENCE.txt").read_text(encoding="utf-8")


def test_modules_of_one_name_have_one_subject() -> None:
    """A subject has one file in each of formulas, procedures, tables and chapters; every room has some of its own."""
    layers = ("formulas", "procedures", "inputs/tables", "chapters")
    of_every_room = {"page", "steps", "sketch", "limits"}
    places: dict[str, list[str]] = {}
    for path in modules("calc"):
        place = label(path).removeprefix("calc/")
        layer = next((layer for layer in layers if place.startswith(f"{layer}/")), "")
        if path.stem != "__init__" and not (path.stem in of_every_room and layer == "chapters"):
            places.setdefault(path.stem, []).append(layer)
    wrong = [name for name, held in places.items() if len(held) > 1 and ("" in held or len(set(held)) < len(held))]

    assert sorted(wrong) == [], "name each of these modules after what it alone holds"
