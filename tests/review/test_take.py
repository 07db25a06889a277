"""A review file is taken in by exactly the run that it was made from, and is data from outside."""

import json
from collections.abc import Mapping
from pathlib import Path
from typing import Any

import pytest

from calc.review.comments import comments
from calc.review.facts import facts, run_hash
from calc.review.ledger import read_ledger
from calc.review.refused import OtherRun, RefusedFile
from calc.review.take import take
from tests.review.scenario import DAY, HOSTILE, Case, case_of, contents, write_project


def test_marks_and_comments_are_stored_and_found_again(case: Case) -> None:
    taken = case.take(case.entry(0), case.entry(1, "query", "Which table?"), case.entry(2, "", own="1.5"))
    state = case.standing()

    assert (taken.raised, taken.continued, taken.closed) == ((1,), (), ())
    assert [(key, mark.mark, mark.initials, mark.date, mark.revision) for key, mark in state.marks.items()] == [
        (case.step(0).key, "agreed", "EQ", DAY, "A"), (case.step(1).key, "query", "EQ", DAY, "A"),
    ]  # fmt: skip
    assert [one.number for one in state.unsettled] == [1]
    assert state.entries[case.step(2).key].own == "1.5"
    assert state.counts() == {"agreed": 1, "query": 1, "changed": 0, "not checked": len(case.known.steps) - 2}
    assert [path for path in contents(case.folder) if path.startswith("review/")] == ["review/A.json"]


def test_taking_a_file_twice_changes_nothing(case: Case) -> None:
    entries = [case.entry(0), case.entry(1, "query", "Why?"), case.entry(2, "agreed", "A remark."), case.entry(3, "")]
    case.take(*entries)
    before = contents(case.folder)

    assert case.take(*entries).raised == ()
    assert contents(case.folder) == before


def test_entries_of_a_second_file_join_those_of_the_first(case: Case) -> None:
    case.take(case.entry(0), case.entry(1))
    case.take(case.entry(1, "none"), case.entry(2))

    assert set(case.standing().marks) == {case.step(0).key, case.step(2).key}


def test_comment_without_a_mark_keeps_the_mark_before_it(case: Case) -> None:
    case.take(case.entry(0), case.entry(1))
    taken = case.take(case.entry(0, "", "Only a remark."))

    assert taken.raised == (1,)
    assert [comment.kind for comment in case.standing().comments] == ["remark"]
    assert case.standing().marks[case.step(0).key].mark == "agreed"


def test_hash_is_of_inputs_and_results_alone(case: Case, tmp_path: Path) -> None:
    from calc.package.results import results

    recorded = results(case.run)
    moved = write_project(tmp_path / "b", change=('title = "Osier Bank', 'title = "Osier bank'))

    assert run_hash(recorded | {"software": {}}) == case.known.run
    assert run_hash(recorded | {"outcome": "pass"}) != case.known.run
    assert case_of(moved).known.run != case.known.run
    assert facts(case.run) == case.known


@pytest.mark.parametrize(
    ("more", "words"),
    [
        ({"run": "0" * 64}, "belongs to another run: it was made on the page of revision 'A', run 000000000000"),
        ({"document": "X"}, "changed after it was saved"),
        ({"revision": "B"}, "changed after it was saved"),
    ],
)
def test_file_of_another_run_is_refused(case: Case, more: Mapping[str, Any], words: str) -> None:
    before = contents(case.folder)

    with pytest.raises(OtherRun, match=words):
        case.take(case.entry(0), **more)
    assert contents(case.folder) == before
    assert not (case.folder / "review").exists()


@pytest.mark.parametrize("change", [{"fingerprint": "0" * 16}, {"key": "A/none"}])
def test_step_of_another_run_is_refused(case: Case, change: dict[str, str]) -> None:
    with pytest.raises(OtherRun, match="changed after it was saved"):
        case.take(case.entry(0) | change)
    assert not (case.folder / "review").exists()


REFUSED: list[tuple[dict[str, Any], str]] = [
    ({"format": 2}, r"back\.json: format: must be 1, got 2"),
    ({"kind": "other"}, r"kind: must be 'review', got \"other\""),
    ({"more": 1}, r"more: must not be there, got 1"),
    ({"by": {"name": "x\ny", "initials": "E"}}, r"by\.name: must be one line without control characters"),
    ({"by": {"name": "x" * 301, "initials": "E"}}, r"by\.name: must have at most 300 characters"),
    ({"by": {"name": "Nobody", "initials": "N"}}, r"by\.name: must be the checker of the project file, 'Edda Quill'"),
    ({"by": {"name": "Edda Quill", "initials": "FM"}}, r"by\.initials: must be the initials of 'Edda Quill', got 'FM'"),
    ({"by": {"name": "Edda Quill", "initials": ""}}, r"by\.initials: must have at least 1 character"),
    ({"run": "x"}, r"run: must have the form that the review page writes"),
    ({"steps": {}}, r"steps: must be a valid array"),
]
ENTRIES: list[tuple[dict[str, Any], str]] = [
    ({"mark": "fine"}, r"steps\[0\]\.mark: must be '', 'agreed', 'query' or 'none', got \"fine\""),
    ({"comment": "x" * 10_001}, r"steps\[0\]\.comment: must have at most 10000 characters"),
    ({"mark": "query", "comment": " \n"}, r'steps\[0\]: must have a comment where a step is marked "query"'),
    ({"mark": "agreed", "initials": ""}, r'steps\[0\]: must have initials and a date where a step is marked "agreed"'),
    ({"date": "2025-02-30"}, r"steps\[0\]\.date"),
    ({"date": "2025-W18-3"}, r"steps\[0\]\.date: must be a day of the calendar such as 2025-04-30"),
    ({"date": "9999-12-31"}, r"steps\[0\]\.date: must not be a day to come, got '9999-12-31'"),
    ({"mark": "query", "comment": "\u200b\u2800 \u3164"}, r"steps\[0\]: must have a comment where a step is marked"),
    ({"initials": "FM"}, r"steps\[0\]\.initials: must be the initials of 'Edda Quill', got 'FM'"),
    ({"initials": "..."}, r"steps\[0\]\.initials: must be the initials of 'Edda Quill', got '\.\.\.'"),
    ({"own": "1,5"}, r"steps\[0\]\.own: must be a plain number or empty"),
    ({"own": "1e999"}, r"steps\[0\]\.own: must be a plain number or empty"),
    ({"own": "nan"}, r"steps\[0\]\.own: must be a plain number or empty"),
    ({"own": 1.5}, r"steps\[0\]\.own: must be a valid string, got 1\.5"),
    ({"initials": "x" * 13}, r"steps\[0\]\.initials: must have at most 12 characters"),
    ({"surprise\x1b[31m": 1}, r"steps\[0\]\.\"surprise\\x1b\[31m\": must not be there"),
]


@pytest.mark.parametrize(("more", "words"), REFUSED)
def test_what_is_no_review_file_is_refused_in_words(case: Case, more: dict[str, Any], words: str) -> None:
    with pytest.raises(RefusedFile, match=words):
        case.take(case.entry(0), **more)
    assert not (case.folder / "review").exists()


@pytest.mark.parametrize(("change", "words"), ENTRIES)
def test_wrong_entry_is_refused_in_words(case: Case, change: dict[str, Any], words: str) -> None:
    with pytest.raises(RefusedFile, match=words):
        case.take(case.entry(0) | change)
    assert not (case.folder / "review").exists()


def test_step_with_two_entries_is_refused(case: Case) -> None:
    with pytest.raises(RefusedFile, match="each step must have one entry at most"):
        case.take(case.entry(0), case.entry(0, "none"))
    assert not (case.folder / "review").exists()


def test_reasons_are_not_endless(case: Case) -> None:
    with pytest.raises(RefusedFile) as refused:
        case.take(*({"key": index} for index in range(300)))

    lines = str(refused.value).splitlines()
    assert len(lines) == 21
    assert lines[-1].startswith("back.json: and ")


@pytest.mark.parametrize("content", [b"", b"\xff\xfe", b"null", b"[]", b"{", b"[" * 100_000, b'{"format":1e999}'])
def test_anything_else_is_refused(case: Case, content: bytes) -> None:
    with pytest.raises(RefusedFile, match=r"^back\.json: "):
        take(case.folder, case.run.design, case.known, content, "back.json")
    assert not (case.folder / "review").exists()


def test_self_check_may_be_that_of_the_originator(tmp_path: Path) -> None:
    change = ("consequence_class", "check_category = 0\nconsequence_class")
    own = case_of(write_project(tmp_path / "own", change=change))
    by = {"name": "dilan  Achterberg", "initials": "DA"}

    entry = own.entry(0, initials="DA")
    assert own.take(entry, by=by).ledger.current().taken[0].by.name == by["name"]
    with pytest.raises(RefusedFile, match="'Edda Quill' or 'Dilan Achterberg'"):
        own.take(own.entry(0), by={"name": "Femi Marsh", "initials": "FM"})


def test_hostile_text_is_kept_as_text(case: Case) -> None:
    long = HOSTILE + "x" * (10_000 - len(HOSTILE))
    case.take(case.entry(0, "query", long))
    [comment] = comments(read_ledger(case.folder, case.run.design))
    stored = (case.folder / "review" / "A.json").read_bytes()

    assert comment.said[0].text == long
    assert json.loads(stored)["taken"][0]["steps"][0]["comment"] == long
    assert stored.isascii()
    assert sorted(contents(case.folder)) == ["project.toml", "review/A.json"]
