"""Every complete example runs, and its verdicts are those of the stored run.

`python -m tests.projects.store` writes the stored runs again; a change of a number belongs into docs/changelog.md.
"""

import json
from pathlib import Path
from typing import Any

import pytest

from calc.chain import run_checks
from calc.inputs import read_design
from calc.inputs.starter import starter_project
from tests.projects.store import EXAMPLES, STORED, summary


@pytest.mark.parametrize("project", EXAMPLES, ids=lambda project: project.name)
def test_verdicts_of_the_example_are_unchanged(project: Path) -> None:
    """Compared with a stored run of this program, not with anything published."""
    stored = json.loads((STORED / f"{project.name}.json").read_text(encoding="utf-8"))

    assert_same(summary(project), stored)


def test_every_example_has_a_stored_run() -> None:
    assert {path.stem for path in STORED.glob("*.json")} == {project.name for project in EXAMPLES}


@pytest.mark.parametrize("name", ["weak-sleeve"])
def test_failing_example_fails_and_the_others_do_not(name: str) -> None:
    """Of the stored runs, with which every example is compared above."""
    stored = {path.stem: json.loads(path.read_text(encoding="utf-8")) for path in STORED.glob("*.json")}
    outcomes = {key: run["outcome"] for key, run in stored.items()}

    assert {key for key, outcome in outcomes.items() if outcome == "fail"} == {name}


def test_starter_project_runs_as_it_is(tmp_path: Path) -> None:
    (tmp_path / "project.toml").write_text(starter_project("Starter"), encoding="utf-8")

    assert run_checks(read_design(tmp_path)).outcome == "incomplete"


def assert_same(found: Any, stored: Any, at: str = "") -> None:
    """The same structure and words; numbers to 1e-9, which leaves room for other arithmetic units only."""
    if isinstance(stored, dict):
        assert set(found) == set(stored), at
        for key, value in stored.items():
            assert_same(found[key], value, f"{at}/{key}")
    elif isinstance(stored, list):
        assert len(found) == len(stored), at
        for k, value in enumerate(stored):
            assert_same(found[k], value, f"{at}/{k}")
    elif isinstance(stored, float):
        assert found == pytest.approx(stored, rel=1e-9, abs=1e-12), at
    else:
        assert found == stored, at
