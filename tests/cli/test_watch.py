"""A package that is written anew whenever its project file or a data file beside it changes."""

import os
from pathlib import Path

import pytest
from click.testing import CliRunner

from calc.cli import main
from calc.commands import watch
from calc.commands.watch import data_files
from calc.package import PackageError
from tests.packages.scenario import write_project


def test_package_is_written_again_after_each_change(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    project = write_project(tmp_path / "bank")
    file = project / "project.toml"
    right = file.read_text(encoding="utf-8")
    steps = iter(("wrong", "gone", "right", "full", "renamed", "end"))
    written: list[bytes] = []

    def pause(_seconds: float) -> None:
        match next(steps):
            case "wrong":
                file.write_text(right + "\n[nothing]\n", encoding="utf-8")
            case "gone":
                file.unlink()
            case "right":
                file.write_text(right + "\n", encoding="utf-8")
            case "full":
                file.write_text(right + "# full\n", encoding="utf-8")
            case "renamed":
                file.write_text(right.replace('key = "A"', 'key = "Z"'), encoding="utf-8")
            case "end":
                raise KeyboardInterrupt

    def set_pieces(*_given: object, **_more: object) -> bytes:
        written.append(file.read_bytes())
        if written[-1].endswith(b"# full\n"):
            message = "the pages could not be made"
            raise PackageError(message)
        return b"%PDF"

    monkeypatch.setenv("XDG_CACHE_HOME", str(tmp_path / "cache"))
    monkeypatch.setattr(watch, "sleep", pause)
    monkeypatch.setattr("calc.package.pieces.set_pieces", set_pieces)
    done = CliRunner().invoke(main, ["package", str(project), "--watch", "--section", "A"])

    assert done.exit_code == 130
    assert written == [right.encode(), (right + "\n").encode(), (right + "# full\n").encode()]
    assert done.stderr.count(f"Waiting for {file} to change; Ctrl-C ends.") == 5
    assert "the pages could not be made" in done.stderr
    assert "must be a section of the project (Z), got A." in done.stderr
    assert "nothing" in done.stderr
    assert done.stdout.count(f"Extract: {project / 'out' / 'package-A.pdf'}".replace("/", os.sep)) == 2


def test_package_is_written_again_after_a_data_file_changed(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    """A file taken away by an editor is waited for; a file that is no data changes nothing."""
    (tmp_path / "project.toml").write_text("a", encoding="utf-8")
    data = tmp_path / "ground-data.csv"
    data.write_text("1", encoding="utf-8")
    steps = iter(("other", "gone", "right", "end"))
    done: list[str] = []

    def pause(_seconds: float) -> None:
        match step := next(steps):
            case "other":
                (tmp_path / "notes.txt").write_text("x", encoding="utf-8")
            case "gone":
                data.unlink()
            case "right":
                data.write_text("22", encoding="utf-8")
            case "end":
                raise KeyboardInterrupt
        done.append(step)

    monkeypatch.setattr(watch, "sleep", pause)
    rounds = watch.changes(tmp_path / "project.toml", lambda: data_files(tmp_path))

    next(rounds)
    assert not done
    next(rounds)
    assert done == ["other", "gone", "right"]
    with pytest.raises(KeyboardInterrupt):
        next(rounds)
