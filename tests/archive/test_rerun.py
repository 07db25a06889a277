import json
from collections.abc import Callable
from pathlib import Path
from typing import Any

import pytest

from calc.archive.compare import rerun as again
from calc.archive.compare.compared import rerun_record
from calc.archive.compare.rerun import Rerun, changelog_lines, concerns, rerun
from calc.archive.printed import rerun_text
from calc.archive.store.folder import FolderStore
from calc.chain import CHAPTERS, CalculationError, run_checks
from calc.inputs import read_design
from calc.package.results import results_text
from calc.resources import changelog_text
from tests.archive.scenario import Line, issued, write_project

CHANGELOG = """# Changelog

## Results that change

- Columns: the area of a column
  is another one.
- Sleeve: something else.

## Before

- Columns: too old.
"""


@pytest.fixture(scope="module")
def results(tmp_path_factory: pytest.TempPathFactory) -> str:
    folder = tmp_path_factory.mktemp("rerun")
    return results_text(run_checks(read_design(write_project(folder, Line("A", "draft")))))


@pytest.fixture
def computed(
    tmp_path: Path, results: str, monkeypatch: pytest.MonkeyPatch
) -> Callable[[Callable[[dict[str, Any]], None], str], Rerun]:
    """Issue results that were edited, as another program would have given them, and compute them again."""

    def compute(edit: Callable[[dict[str, Any]], None], fingerprint: str = "") -> Rerun:
        data = json.loads(results)
        edit(data)
        store = FolderStore.prepare(tmp_path / "archive")
        project = write_project(tmp_path / "project", Line("A", "draft"))
        monkeypatch.setattr(again, "changelog_text", lambda: CHANGELOG)
        if fingerprint:
            from calc.archive.record import issue, program

            other = program.this_program().model_copy(update={"fingerprint": fingerprint})
            monkeypatch.setattr(issue, "this_program", lambda: other)
        entry = issued(store, project, results=json.dumps(data).encode(), pdf=b"%PDF")
        return rerun(store, entry)

    return compute


def area(data: dict[str, Any]) -> dict[str, Any]:
    checks = data["sections"][0]["checks"]
    found: dict[str, Any] = next(one for one in checks[2]["steps"] if one["symbol"] == "A_c")
    return found


def other_area(data: dict[str, Any]) -> None:
    """Another area of a column, and a step that rests on it."""
    area(data).update(result={"value": 0.6, "unit": "m2"}, fingerprint="f")
    ratio = next(one for one in data["sections"][0]["checks"][2]["steps"] if one["symbol"] == "a_E")
    ratio.update(result={"value": 0.2, "unit": "-"}, fingerprint="f")


def test_same_program_gives_the_same_numbers(computed: Callable[..., Rerun]) -> None:
    found = computed(lambda _data: None)

    assert (found.same_program, found.identical, found.sound, found.causes) == (True, True, True, ())
    assert "computed again with the same program, every number the same." in rerun_text(found, 90)
    assert rerun_record(found)["steps"] == []


def test_difference_in_the_last_bits_is_none(computed: Callable[..., Rerun]) -> None:
    def edit(data: dict[str, Any]) -> None:
        area(data)["result"]["value"] *= 1 + 1e-13
        area(data)["fingerprint"] = "f"

    assert computed(edit).identical


def test_same_program_with_other_numbers_is_not_sound(computed: Callable[..., Rerun]) -> None:
    found = computed(other_area)

    assert (found.same_program, found.identical, found.sound) == (True, False, False)
    assert rerun_text(found, 90).startswith("✗")


def test_difference_is_traced_to_where_it_begins_and_explained_by_the_changelog(computed: Callable[..., Rerun]) -> None:
    found = computed(other_area, "a" * 64)
    [cause] = found.causes
    text = rerun_text(found, 90)

    assert [step.key for step in cause.steps] == ["A/columns/-/A_c"]
    assert cause.lines == ("Columns: the area of a column is another one.",)
    assert found.sound
    assert "2 steps differ" in text
    assert "another program: it was 0.1.0 aaaaaaaaaaaa" in text
    assert "Changelog: Columns: the area of a column is another one." in text
    assert rerun_record(found)["causes"][0]["changelog"] == list(cause.lines)
    assert len(rerun_record(found)["steps"]) == 2


def test_difference_that_the_changelog_does_not_explain_is_not_sound(computed: Callable[..., Rerun]) -> None:
    def edit(data: dict[str, Any]) -> None:
        given = [one for one in data["sections"][0]["checks"][1]["steps"] if one["kind"] == "given"]
        for one in given[:12]:
            one.update(result={"value": "x", "unit": "m"}, fingerprint="f")

    found = computed(edit, "a" * 64)
    text = rerun_text(found, 90)

    assert not found.sound
    assert "The changelog has no entry for this chapter." in text
    assert "more steps of this chapter" in text


def test_verdict_that_differs_is_no_rerun_of_the_same(computed: Callable[..., Rerun]) -> None:
    def edit(data: dict[str, Any]) -> None:
        data["sections"][0]["checks"][2]["verdicts"][0]["state"] = "fail"

    assert not computed(edit).identical


def test_inputs_that_are_refused_now_are_said_so(
    computed: Callable[..., Rerun], monkeypatch: pytest.MonkeyPatch
) -> None:
    def refuse(_design: object, _tell: object = None) -> None:
        message = "section A, Columns: no number"
        raise CalculationError(message)

    monkeypatch.setattr(again, "run_checks", refuse)
    found = computed(lambda _data: None)

    assert (found.sound, found.changes) == (False, None)
    assert "The inputs have no results any more:\n    section A, Columns: no number" in rerun_text(found, 90)
    assert rerun_record(found)["refused"] == "section A, Columns: no number"


def test_entries_of_the_changelog_are_read_under_their_heading() -> None:
    assert changelog_lines(CHANGELOG) == ["Columns: the area of a column is another one.", "Sleeve: something else."]
    assert changelog_lines("no heading") == []


def test_own_changelog_has_entries_that_concern_chapters() -> None:
    lines = changelog_lines(changelog_text())

    assert [line for line in lines if concerns(line, "Bearing and lateral extrusion")]


def test_every_entry_of_the_own_changelog_begins_with_titles_of_chapters() -> None:
    """What does not could explain no difference that computing again finds."""
    known = {chapter.title for chapter in CHAPTERS} | {"Examples", "Inputs", "Column plan"}
    heads = {head for line in changelog_lines(changelog_text()) for head in line.partition(":")[0].split(", ")}

    assert heads
    assert heads - known == set()


@pytest.mark.parametrize(
    ("line", "chapter", "does"),
    [
        ("Unit cell, sleeve: x", "Unit cell", True),
        ("Unit cell, sleeve: x", "Sleeve", True),
        ("unit_cell: x", "Unit cell", False),
        ("bearing: x", "Bearing and lateral extrusion", True),
        ("Examples: the sleeve is another one", "Sleeve", False),
        ("Filters: x", "A chapter of another program", False),
    ],
)
def test_entry_concerns_the_chapters_before_its_colon(line: str, chapter: str, does: bool) -> None:
    assert concerns(line, chapter) == does


def test_changelog_of_an_installed_program_lies_inside_it(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    from calc import resources

    package = tmp_path / "calc"
    (package / "_docs").mkdir(parents=True)
    monkeypatch.setattr(resources, "PACKAGE", package)
    assert resources.changelog_text() == ""
    (package / "_docs" / "changelog.md").write_text("inside", encoding="utf-8")
    assert resources.changelog_text() == "inside"
