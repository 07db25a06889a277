import gc
import json
from collections.abc import Callable
from pathlib import Path
from typing import Any

import pytest

from calc.archive.compare.change_sheet import Side, change_sheet, side_of
from calc.archive.compare.changes import Changes, compare
from calc.archive.compare.compared import Compared, changes_record, compare_revisions, heads
from calc.archive.printed import changes_text
from calc.archive.record.recorded import Recorded, RecordedVerdict, read_recorded
from calc.archive.refusals import DamagedArchive
from calc.archive.store.folder import FolderStore
from calc.chain import run_checks
from calc.inputs import read_design
from calc.package.results import results_text
from tests.archive.scenario import Line, issued, write_project
from tests.packages.reading import page_texts

FIRST = [Line("A", "draft", "First.")]
SECOND = [*FIRST, Line("B", "for checking", "Closer.")]


@pytest.fixture(scope="module")
def folder(tmp_path_factory: pytest.TempPathFactory) -> Path:
    return tmp_path_factory.mktemp("compare")


@pytest.fixture(scope="module")
def texts(folder: Path) -> tuple[str, str]:
    """Recorded results of a project and of the same with closer columns."""
    before = run_checks(read_design(write_project(folder / "before", *FIRST)))
    change = ('spacing = "1.90 m"', 'spacing = "1.80 m"')
    after = run_checks(read_design(write_project(folder / "after", *SECOND, change=change)))
    return results_text(before), results_text(after)


@pytest.fixture(scope="module")
def short(texts: tuple[str, str]) -> str:
    """The first results without the chapters that have most steps: what is edited here is one step or verdict."""
    data = json.loads(texts[0])
    for part in data["sections"]:
        part["checks"] = [check for check in part["checks"] if check["key"] in {"basis", "ground", "columns", "sleeve"}]
    return json.dumps(data)


@pytest.fixture(scope="module")
def runs(texts: tuple[str, str]) -> tuple[Recorded, Recorded]:
    return recorded(texts[0]), recorded(texts[1])


def recorded(text: str) -> Recorded:
    return read_recorded(text.encode(), "results")


def changed(text: str, edit: Callable[[dict[str, Any]], None], tolerance: float = 0.001) -> Changes:
    """Compare a run with itself after an edit of its results."""
    data = json.loads(text)
    edit(data)
    return compare(recorded(text), recorded(json.dumps(data)), tolerance)


def step(data: dict[str, Any], key: str) -> dict[str, Any]:
    steps = (one for part in data["sections"] for check in part["checks"] for one in check["steps"])
    found: dict[str, Any] = next(one for one in steps if one["key"] == key)
    return found


def test_run_differs_from_itself_in_nothing(runs: tuple[Recorded, Recorded]) -> None:
    changes = compare(runs[0], runs[0], 0.0)

    assert (changes.inputs, changes.steps, changes.verdicts, changes.chapters()) == ((), (), (), [])


def test_changed_input_is_named_with_both_texts_and_lines(runs: tuple[Recorded, Recorded]) -> None:
    inputs = {one.path: one for one in compare(*runs, 0.001).inputs}
    spacing = inputs["section.A.columns.spacing"]

    assert spacing.before is not None
    assert spacing.after is not None
    assert (spacing.before.text, spacing.after.text) == ("1.90 m", "1.80 m")
    assert spacing.after.line == (spacing.before.line or 0) + 7
    assert {path.rpartition(".")[2] for path in inputs} == {"spacing", "label", "date", "status", "note", "author"}
    assert inputs["project.revision.1.label"].before is None


def test_other_results_of_tests_are_a_changed_input(runs: tuple[Recorded, Recorded]) -> None:
    """The fields of the project file stay the same where only the file beside it is another one."""
    old, new = (runs[0].model_copy(update={"data_sha256": one}) for one in ("a" * 64, "b" * 64))
    (changed,) = compare(old, new, 0.0).inputs
    (gone,) = compare(old, runs[0], 0.0).inputs

    assert changed.path == gone.path == "file of results of tests"
    assert (changed.before.text, changed.after.text) == (f"SHA-256 {'a' * 64}", f"SHA-256 {'b' * 64}")  # type: ignore[union-attr]
    assert gone.after is None


def test_steps_to_check_are_those_that_the_input_reaches(runs: tuple[Recorded, Recorded]) -> None:
    """Closer columns change the columns' chapter and what rests on it; the ground is what it was."""
    chapters = {chapter: (count, whole) for _, chapter, count, whole in compare(*runs, 0.001).chapters()}

    assert "Ground" not in chapters
    assert "Design basis" not in chapters
    assert 0 < chapters["Columns"][0] < chapters["Columns"][1]
    assert chapters["Unit cell"][0] > 10


def test_results_beyond_the_tolerance_stand_largest_first(runs: tuple[Recorded, Recorded]) -> None:
    changes = compare(*runs, 0.001)
    sizes = [result.largest for result in changes.results if result.largest is not None]
    spacing = next(result for result in changes.results if result.key.endswith("columns/-/a_x"))

    assert sizes == sorted(sizes, reverse=True)
    assert spacing.largest == pytest.approx(0.1 / 1.9, rel=1e-12)
    assert (spacing.before, spacing.after) == ("1.9 m", "1.8 m")
    assert len(compare(*runs, 0.2).results) < len(changes.results)
    assert len(compare(*runs, 0.2).to_check) == len(changes.to_check)


def test_comparison_backwards_exchanges_new_and_gone(runs: tuple[Recorded, Recorded], texts: tuple[str, str]) -> None:
    less = json.loads(texts[0])
    gone = less["sections"][0]["checks"][3]["steps"].pop()
    forth = compare(runs[0], recorded(json.dumps(less)), 0.0)
    back = compare(recorded(json.dumps(less)), runs[0], 0.0)

    assert [(one.kind, one.key) for one in forth.steps] == [("gone", gone["key"])]
    assert [(one.kind, one.key) for one in back.steps] == [("new", gone["key"])]
    assert (forth.to_check, len(back.to_check)) == ((), 1)


@pytest.mark.parametrize(
    ("name", "value", "why"),
    [
        ("formula", {"id": "x", "hash": "y"}, "equation"),
        ("inputs", {"d_c": "elsewhere"}, "what it rests on"),
        ("shown", {}, "numbers of its inputs"),
    ],
)
def test_changed_step_says_why(short: str, name: str, value: object, why: str) -> None:
    [one] = changed(short, lambda data: step(data, "A/columns/-/A_c").update({name: value, "fingerprint": "f"})).steps

    assert one.why == (why,)
    assert (one.largest, one.beyond) == (0.0, False)


@pytest.mark.parametrize(
    ("values", "largest"),
    [
        ([1.0, 2.0, 4.0], 0.5),
        ([1.0, None, 2.0], None),
        ([1.0, 2.0], None),
        ("text", None),
        ([[1.0], 2.0], None),
        ([1.0, 2.0, 2.0 + 1e-10], 0.0),
    ],
)
def test_largest_difference_is_relative_to_the_larger_number(short: str, values: object, largest: float | None) -> None:
    before = json.loads(short)
    step(before, "A/columns/-/A_c").update(result={"value": [1.0, 2.0, 2.0], "unit": "m"}, axes=AXES)
    text = json.dumps(before)

    def edit(data: dict[str, Any]) -> None:
        step(data, "A/columns/-/A_c").update(result={"value": values, "unit": "m"}, fingerprint="f")

    [one] = changed(text, edit).steps

    assert one.largest == largest
    assert one.beyond == (largest != 0)


AXES = [{"name": "layer", "labels": ["a", "b", "c"]}]


@pytest.mark.parametrize(
    ("axes", "values", "largest"),
    [
        ([{"name": "layer", "labels": ["c", "b", "a"]}], [3.0, 2.0, 1.0], 0.0),
        ([{"name": "layer", "labels": ["b", "new"]}], [2.5, 7.0], 0.2),
        ([{"name": "stage", "labels": ["x"]}, *AXES], [[1.0, 2.0, 3.0]], 0.0),
        ([{"name": "layer", "labels": ["b", "new"]}], [2.5], 0.0),
        ([{"name": "layer", "labels": ["b", "new"]}], 2.5, 0.0),
    ],
)
def test_cases_are_matched_by_their_labels(
    short: str, axes: list[dict[str, Any]], values: object, largest: float
) -> None:
    before = json.loads(short)
    step(before, "A/columns/-/A_c").update(result={"value": [1.0, 2.0, 3.0], "unit": "m"}, axes=AXES)

    def edit(data: dict[str, Any]) -> None:
        step(data, "A/columns/-/A_c").update(result={"value": values, "unit": "m"}, axes=axes, fingerprint="f")

    [one] = changed(json.dumps(before), edit).steps

    assert one.largest == largest
    assert "cases" in one.why
    assert one.beyond


def test_words_in_place_of_numbers_are_the_same_or_not(short: str) -> None:
    before = json.loads(short)
    step(before, "A/columns/-/A_c")["result"]["value"] = "square"

    def edit(data: dict[str, Any]) -> None:
        step(data, "A/columns/-/A_c")["fingerprint"] = "f"

    [one] = changed(json.dumps(before), edit).steps

    assert one.largest == 0.0


def verdicts(data: dict[str, Any]) -> list[dict[str, Any]]:
    return [one for part in data["sections"] for check in part["checks"] for one in check["verdicts"]]


@pytest.mark.parametrize(
    ("edit", "turned"),
    [
        (lambda one: one.update(state="fail"), True),
        (lambda one: one.update(utilisation=one["utilisation"] * 1.1), False),
        (lambda one: one.update(utilisation=None), False),
        (lambda one: one.update(key="another"), True),
    ],
)
def test_verdicts_that_turn_and_move_are_told_apart(
    short: str, edit: Callable[[dict[str, Any]], None], turned: bool
) -> None:
    changes = changed(short, lambda data: edit(next(verdict for verdict in verdicts(data) if verdict["utilisation"])))

    assert len(changes.verdicts) in {1, 2}
    assert [verdict.turned for verdict in changes.verdicts] == [turned] * len(changes.verdicts)
    assert bool(changes.turned) == turned


def test_verdict_within_the_tolerance_has_not_moved(short: str) -> None:
    def edit(data: dict[str, Any]) -> None:
        one = next(verdict for verdict in verdicts(data) if verdict["utilisation"])
        one["utilisation"] *= 1.0005

    assert changed(short, edit).verdicts == ()


def everything(short: str) -> Changes:
    """Changes of every kind."""

    def edit(data: dict[str, Any]) -> None:
        data["outcome"] = "fail"
        data["software"]["version"] = "0.0.9"
        checks = data["sections"][0]["checks"]
        checks[1]["steps"][0]["key"] = "A/ground/-/another"
        step(data, "A/columns/-/A_c").update(result={"value": "word", "unit": "m"}, fingerprint="f")
        one = next(verdict for verdict in verdicts(data) if verdict["utilisation"])
        one["state"] = one["stamp"] = "fail"
        one["key"] += "\x1b[31m"
        one["title"] += "\x1b[31m"
        other = [verdict for verdict in verdicts(data) if verdict["utilisation"]][1]
        other["utilisation"] = None
        place = next(iter(data["provenance"]))
        del data["provenance"][place]
        data["provenance"]["new.place"] = {"text": "x" * 500, "line": None, "origin": "default"}

    return changed(short, edit)


def test_table_on_the_terminal_says_all_of_it_in_lines_that_fit(short: str) -> None:
    text = changes_text(everything(short), ("revision A", "revision B"), everything=False, width=90)

    assert max(len(line) for line in text.splitlines()) <= 90
    assert "\x1b" not in text
    for words in (
        "From revision A", "Outcome: incomplete before, fail now.", "Not by the same program (0.1.0",
        "1 new, 1 gone, 1 changed", "new.place: new, xxx", "(default)", "gone, was", "not there → fail",
        "Steps that are new", "Steps that are gone", "not comparable", "To check again, by chapter", "A Ground: 1 of",
    ):  # fmt: skip
        assert words in " ".join(text.split())


@pytest.mark.parametrize(
    ("state", "stamp", "words"),
    [
        ("pass", "accepted by statement", "accepted by statement"),
        ("not verified", "not applicable", "not applicable"),
        ("fail", "pass", "fail"),
        ("not verified", "accepted by statement", "not verified"),
        ("pass", "", "pass"),
        ("fail", "fine", "fail"),
    ],
)
def test_word_that_does_not_go_with_the_state_is_not_believed(state: str, stamp: str, words: str) -> None:
    """Results may come from outside: a failure must not read as a pass. Those of earlier programs have no word."""
    one = RecordedVerdict(key="k", title="t", state=state, stamp=stamp, utilisation=1.2, limit=1.0, required=True)

    assert one.words == words


def test_results_of_a_program_that_named_its_axes_otherwise_have_the_same_cases(texts: tuple[str, str]) -> None:
    data = json.loads(texts[0])
    axes = [
        axis for part in data["sections"] for check in part["checks"] for one in check["steps"] for axis in one["axes"]
    ]
    named = [axis for axis in axes if axis["name"] == "factor_set"]
    for axis in named:
        axis["name"] = "variant"
    changes = compare(recorded(json.dumps(data)), recorded(texts[0]), 0.0)

    assert named
    assert list(changes.results) == []


def test_long_lists_are_cut_on_the_terminal_and_whole_on_demand(runs: tuple[Recorded, Recorded]) -> None:
    changes = compare(*runs, 0.0)
    short, whole = (changes_text(changes, ("A", "B"), everything, 100) for everything in (False, True))

    assert "more (--all shows them)" in short
    assert "--all" not in whole
    assert len(short.splitlines()) < 120 < len(whole.splitlines())
    assert all(result.number in whole for result in changes.results)


def test_nothing_to_check_is_said(runs: tuple[Recorded, Recorded]) -> None:
    text = changes_text(compare(runs[0], runs[0], 0.0), ("A", "B"), everything=False, width=80)

    assert "Nothing has to be checked again." in text


@pytest.fixture(scope="module")
def store(folder: Path, texts: tuple[str, str]) -> FolderStore:
    store = FolderStore.prepare(folder / "archive")
    issued(store, folder / "before", results=texts[0].encode(), pdf=b"%PDF")
    issued(store, folder / "after", results=texts[1].encode(), pdf=b"%PDF")
    return store


def both(store: FolderStore) -> Compared:
    first, second = store.entries()
    return compare_revisions(store, first, second, 0.001)


def test_record_of_the_changes_is_complete_json(store: FolderStore) -> None:
    found = both(store)
    record = json.loads(json.dumps(changes_record(found), allow_nan=False))

    assert (record["before"]["label"], record["after"]["sha256"]) == ("A", store.entries()[1].sha256)
    assert len(record["steps"]) == len(found.changes.steps)
    assert record["check_again"] == [one["key"] for one in record["steps"] if one["kind"] != "gone"]
    assert {one["path"] for one in record["inputs"]} >= {"section.A.columns.spacing"}
    assert record["same_program"]
    assert heads(found)[1].startswith("revision B of 2025-02-01, for checking, record 2")


def sides(compared: Compared) -> tuple[Side, Side]:
    return side_of(*compared.before), side_of(*compared.after)


@pytest.mark.slow
def test_change_sheet_names_what_the_checker_needs(store: FolderStore, tmp_path: Path) -> None:
    found = both(store)
    pdf = change_sheet(found.changes, *sides(found))
    (tmp_path / "changes.pdf").write_bytes(pdf)
    text = " ".join(" ".join(page_texts(tmp_path / "changes.pdf")).split())

    assert pdf == change_sheet(found.changes, *sides(found))
    for words in ("Changes from revision A to B", "To check again", "1.90 m", "1.80 m", "Closer.", "0.1 %"):
        assert words in text


@pytest.mark.slow
def test_change_sheet_holds_changes_of_every_kind(store: FolderStore, texts: tuple[str, str], short: str) -> None:
    found = both(store)

    assert change_sheet(everything(short), *sides(found)).startswith(b"%PDF")
    nothing = compare(recorded(texts[0]), recorded(texts[0]), 0.0)
    assert change_sheet(nothing, *sides(found)).startswith(b"%PDF")


def test_results_of_another_form_are_refused() -> None:
    with pytest.raises(DamagedArchive, match=r"stored results: schema: Field required"):
        read_recorded(b"{}", "stored results")


def test_reading_leaves_the_collector_as_it_was(texts: tuple[str, str]) -> None:
    assert gc.isenabled()
    gc.disable()
    try:
        recorded(texts[0])
        assert not gc.isenabled()
    finally:
        gc.enable()
    recorded(texts[0])
    assert gc.isenabled()
