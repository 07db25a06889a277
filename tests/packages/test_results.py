import json
from hashlib import sha256
from pathlib import Path

import numpy as np
import pytest
from jsonschema import Draft202012Validator

from calc.package.results import results
from tests.packages.conftest import Made

SCHEMA = json.loads((Path(__file__).parents[2] / "docs" / "results.schema.json").read_text(encoding="utf-8"))


@pytest.fixture(scope="module")
def recorded(package: Made) -> dict[str, object]:
    read: dict[str, object] = json.loads(package.files.results.read_text(encoding="utf-8"))
    return read


def test_results_keep_to_the_schema(recorded: dict[str, object]) -> None:
    Draft202012Validator.check_schema(SCHEMA)

    assert [error.message for error in Draft202012Validator(SCHEMA).iter_errors(recorded)] == []


def test_schema_refuses_what_it_does_not_know(recorded: dict[str, object]) -> None:
    validator = Draft202012Validator(SCHEMA)

    assert not validator.is_valid(recorded | {"more": 1})
    assert not validator.is_valid({name: value for name, value in recorded.items() if name != "outcome"})


def test_results_survive_the_round_trip_through_text(package: Made, recorded: dict[str, object]) -> None:
    assert results(package.run) == recorded


def test_every_value_of_every_step_is_recorded_unrounded(package: Made, recorded: dict[str, object]) -> None:
    known = {
        step["key"]: step
        for section in recorded["sections"]  # type: ignore[attr-defined]
        for check in section["checks"]
        for step in check["steps"]
    }
    steps = [step for part in package.run.sections for sheet in part.sheets for step in sheet.steps]

    assert len(known) == len(steps)
    for step in steps:
        stored = np.array(known[step.key]["result"]["value"], dtype=float)
        assert np.array_equal(stored, np.where(step.value.valid, step.value.array, np.nan), equal_nan=True)


def test_every_input_of_a_formula_is_a_recorded_step(recorded: dict[str, object]) -> None:
    steps = [step for section in recorded["sections"] for check in section["checks"] for step in check["steps"]]  # type: ignore[attr-defined]
    keys = {step["key"] for step in steps}
    loose = [
        (step["key"], one) for step in steps if step["formula"] for one in step["inputs"].values() if one not in keys
    ]

    assert loose == []


def test_fingerprint_changes_with_a_value_and_only_then(
    package: Made, recorded: dict[str, object], tmp_path: Path
) -> None:
    from calc.chain import run_checks
    from calc.inputs import read_design
    from tests.packages.scenario import project_text

    (tmp_path / "project.toml").write_text(
        project_text(title="Another title")
        .replace('d_c = "0.80', "")
        .replace('spacing = "2.0 m"', 'spacing = "1.9 m"'),
        encoding="utf-8",
    )
    other = results(run_checks(read_design(tmp_path)))

    def prints(read: dict[str, object]) -> dict[str, str]:
        return {
            step["key"]: step["fingerprint"]
            for section in read["sections"]  # type: ignore[attr-defined]
            for check in section["checks"]
            for step in check["steps"]
        }

    before, after = prints(recorded), prints(other)
    changed = {key.rpartition("/")[2] for key in before if before[key] != after[key]}
    assert {"a_x", "A_E", "a_E"} <= changed
    assert not {"d_c", "gamma_w", "L_c", "phi_s"} & changed


def test_fingerprints_have_the_names_that_axes_had_when_marks_were_first_made(recorded: dict[str, object]) -> None:
    steps = [step for section in recorded["sections"] for check in section["checks"] for step in check["steps"]]  # type: ignore[attr-defined]
    one = next(step for step in steps if [axis["name"] for axis in step["axes"]] == ["factor_set", "stage"])
    facts = {name: one[name] for name in ("key", "formula", "axes", "inputs", "values", "result")}
    text = json.dumps(facts, sort_keys=True, ensure_ascii=False).replace('"name": "factor_set"', '"name": "variant"')

    assert one["fingerprint"] == sha256(text.encode()).hexdigest()[:16]
