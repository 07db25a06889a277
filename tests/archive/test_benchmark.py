"""The benchmark measures what it says: its archives are sound, and its runs have the steps they should."""

import json
from pathlib import Path

import pytest

from calc.archive.record.manifest import read_manifest
from calc.archive.record.recorded import read_recorded
from calc.archive.record.verification import verify
from calc.archive.store.folder import FolderStore
from calc.chain import run_checks
from calc.inputs import read_design
from calc.package.results import results_text
from tests.archive.scenario import Line, archive_of, small_package, small_results, write_project
from tests.benchmarks import archive as benchmark


def test_runs_to_compare_have_the_steps_they_should(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr(benchmark, "STEPS", 2000)
    data = json.loads(results_text(run_checks(read_design(write_project(tmp_path, Line("A", "draft"))))))
    first, second = (read_recorded(benchmark.enlarged(data, factor), "x").steps() for factor in (1.0, 1.01))

    assert len(first) == benchmark.STEPS
    assert first.keys() == second.keys()
    assert all(first[key].step.fingerprint != second[key].step.fingerprint for key in first)


def test_long_archive_is_a_chain(tmp_path: Path) -> None:
    manifest = read_manifest(archive_of(tmp_path, ["A"]).record(1), "record 1")
    benchmark.long_archive(tmp_path / "long", manifest, 25)

    assert [entry.sequence for entry in FolderStore(tmp_path / "long").entries()] == list(range(1, 26))


def test_archive_to_verify_is_sound(tmp_path: Path) -> None:
    project = write_project(tmp_path / "project", Line("A", "for checking"))
    out = project / "out"
    out.mkdir()
    inputs = (project / "project.toml").read_bytes()
    (out / "results.json").write_bytes(small_results(inputs))
    (out / "package.pdf").write_bytes(small_package(inputs, small_results(inputs)))
    store, times = benchmark.issued(tmp_path / "archive", out)

    assert benchmark.unexpected(verify(store)) == []
    assert len(times) == benchmark.ISSUES
    plain, signed, read = benchmark.signing(store, tmp_path)
    assert (len(plain), len(signed), read > 0) == (2, 3, True)
    assert benchmark.unexpected(verify(store)) == []
