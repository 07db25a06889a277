"""Which commands take answers of earlier runs, and that it makes no difference to what they print and write."""

from collections.abc import Callable
from pathlib import Path

import pytest
import tomlkit
from click.testing import Result

from calc.archive.compare.rerun import rerun
from calc.archive.store.folder import FolderStore
from calc.chain import run_checks
from calc.procedures import answers, kept_answers
from calc.procedures.stage_search import answer, force_asked
from tests.archive.scenario import FIRST, write_project
from tests.chapters.slip_case import searched, weak
from tests.chapters.timed import BASE

Command = Callable[..., Result]


@pytest.fixture
def folder(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> Path:
    monkeypatch.setenv("XDG_CACHE_HOME", str(tmp_path / "cache"))
    answer.forget()
    force_asked.forget()
    return tmp_path / "cache" / "sandsleeve" / "answers"


@pytest.mark.slow
def test_check_keeps_its_searches_and_fresh_does_not_read_them(command: Command, tmp_path: Path, folder: Path) -> None:
    document = tomlkit.parse(BASE.read_text(encoding="utf-8"))
    searched(weak)(document)
    project = tmp_path / "bank"
    project.mkdir()
    (project / "project.toml").write_text(tomlkit.dumps(document), encoding="utf-8")
    first = command("check", project, "--json")
    worked_out = answer.worked_out
    assert len(list(folder.iterdir())) == worked_out + force_asked.worked_out > 0
    answer.forget()
    force_asked.forget()
    kept = command("check", project, "--json")
    assert (answer.worked_out, force_asked.worked_out) == (0, 0)
    answer.forget()
    # What is read gets the time of its reading, what is kept anew another one.
    before = {path: path.stat().st_mtime_ns for path in folder.iterdir()}
    fresh = command("check", project, "--fresh", "--json")
    assert answer.worked_out == worked_out
    assert {path: path.stat().st_mtime_ns for path in folder.iterdir()} == before
    assert first.stdout == kept.stdout == fresh.stdout


@pytest.mark.slow
def test_what_is_issued_or_computed_again_reads_no_kept_answer(
    command: Command, folder: Path, tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    def refuse(_folder: Path) -> None:
        message = "kept answers are asked for"
        raise AssertionError(message)

    def run(design: object, tell: object = None) -> object:
        assert answers._means.get().kept is None
        seen.append(design)
        return run_checks(design, tell)  # type: ignore[arg-type]

    seen: list[object] = []
    monkeypatch.setattr(kept_answers, "KeptAnswers", refuse)
    monkeypatch.setattr("calc.chain.run_checks", run)
    monkeypatch.setattr("calc.archive.compare.rerun.run_checks", run)
    monkeypatch.setattr("calc.package.pieces.set_pieces", lambda *_, **__: b"%PDF-1.7")
    project = write_project(tmp_path / "bank", *FIRST)
    command("issue", project)
    assert len(seen) == 1
    store = FolderStore(project / "archive")
    rerun(store, store.entries()[0])
    assert len(seen) == 2
    assert "kept answers are asked for" in command("check", project).stderr
    assert not folder.exists()
