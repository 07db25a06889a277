"""Numbered comments over revisions: raised, answered, closed; marks hold while their steps stay the same."""

from pathlib import Path

import pytest

from calc.review.comments import checked_text, comments, initials, with_answers
from calc.review.ledger import Ledger, file_name, lock_reviews, read_ledger
from calc.review.people_texts import one_line, shown_text
from calc.review.records import Event
from calc.review.refused import RefusedFile, ReviewError
from tests.review.scenario import Case, case_of, contents, write_project

TODAY = "2025-06-01"


def ledger_of(case: Case) -> Ledger:
    return read_ledger(case.folder, case.run.design)


def say(case: Case, answers: dict[int, str] | None = None, closed: tuple[int, ...] = ()) -> None:
    ledger = ledger_of(case)
    ledger.write(with_answers(ledger, case.run.design.people, answers or {}, closed, TODAY))


def statuses(case: Case) -> list[tuple[int, str, str]]:
    return [(comment.number, comment.kind, comment.status) for comment in comments(ledger_of(case))]


def next_revision(case: Case, *labels: str, change: tuple[str, str] = ("", "")) -> Case:
    return case_of(write_project(case.folder, *labels, change=change))


def test_query_is_answered_and_closed(case: Case) -> None:
    case.take(case.entry(0, "query", "Why?"))
    assert statuses(case) == [(1, "query", "open")]
    say(case, {1: "Because."})
    assert statuses(case) == [(1, "query", "answered")]
    say(case, closed=(1,))

    assert statuses(case) == [(1, "query", "closed")]
    assert [(one.role, one.who, one.text) for one in comments(ledger_of(case))[0].said] == [
        ("checker", "EQ", "Why?"), ("designer", "Dilan Achterberg", "Because."), ("checker", "EQ", ""),
    ]  # fmt: skip
    mark = case.standing().marks[case.step(0).key]
    assert (mark.mark, mark.settled, mark.initials, mark.date) == ("agreed", True, "EQ", TODAY)
    assert case.standing().entries == {}


def test_step_agreed_later_closes_its_query(case: Case) -> None:
    case.take(case.entry(0, "query", "Why?"), case.entry(1, "agreed", "A remark."))
    taken = case.take(case.entry(0, "agreed", "Now it is clear."))

    assert (taken.continued, taken.closed) == ((1,), (1,))
    assert statuses(case) == [(1, "query", "closed"), (2, "remark", "open")]


def test_query_with_new_words_goes_on_under_its_number(case: Case) -> None:
    case.take(case.entry(0, "query", "Why?"))
    say(case, {1: "Because."})
    taken = case.take(case.entry(0, "query", "Not enough."))

    assert (taken.raised, taken.continued) == ((), (1,))
    assert statuses(case) == [(1, "query", "open")]


def test_remark_becomes_a_query_with_the_same_words(case: Case) -> None:
    case.take(case.entry(0, "", "Odd."))
    case.take(case.entry(0, "query", "Odd."))

    assert statuses(case) == [(1, "query", "open")]


def test_query_after_a_closed_one_is_a_new_one(case: Case) -> None:
    case.take(case.entry(0, "query", "Why?"))
    say(case, closed=(1,))
    case.take(case.entry(0, "query", "Why?", date="2025-07-01"))

    assert statuses(case) == [(1, "query", "closed"), (2, "query", "open")]
    assert case.standing().marks[case.step(0).key].mark == "query"


def test_only_changed_steps_ask_for_a_new_check_after_a_revision(case: Case) -> None:
    entries = [case.entry(index) for index in range(len(case.known.steps) - 1)]
    case.take(*entries, case.entry(len(entries), "query", "Why?"))
    after = next_revision(case, "A", "B", change=('settlement_total = "0.60 m"', 'settlement_total = "0.70 m"'))
    state = after.standing()
    moved = {key for key, step in after.known.steps.items() if case.known.steps[key].fingerprint != step.fingerprint}

    assert 0 < len(moved) < 5
    assert set(state.changed) == moved
    assert {mark.revision for mark in state.marks.values()} == {"A"}
    assert state.counts()["agreed"] == len(entries) - len(moved)
    assert state.entries == {}
    after.take(*(after.entry(list(after.known.steps).index(key)) for key in moved))
    assert {after.standing().marks[key].revision for key in moved} == {"B"}
    assert after.standing().changed == frozenset()


def test_mark_holds_again_where_the_numbers_are_again_those_that_were_checked(case: Case) -> None:
    case.take(case.entry(0))
    change = ("gamma_G = 1.35", "gamma_G = 1.4")
    other = next_revision(case, "A", "B", change=change)
    back = next_revision(case, "A", "B", "C")

    assert case.step(0).key in case.standing().marks
    assert set(other.standing().changed) | set(other.standing().marks) == {case.step(0).key}
    assert back.standing().marks[case.step(0).key].revision == "A"


def test_mark_taken_back_is_no_changed_step(case: Case) -> None:
    case.take(case.entry(0))
    case.take(case.entry(0, "none"))
    state = case.standing()

    assert (state.marks, state.changed) == ({}, frozenset())
    assert not state.begun


def test_review_of_a_revision_stays_as_it_was(case: Case) -> None:
    case.take(case.entry(0, "query", "Why?"))
    before = contents(case.folder)["review/A.json"]
    after = next_revision(case, "A", "../B")
    say(after, {1: "Because."})
    after.take(after.entry(0))

    assert contents(case.folder)["review/A.json"] == before
    assert statuses(after) == [(1, "query", "closed")]
    assert sorted(contents(case.folder)) == ["project.toml", "review/A.json", f"review/{file_name('../B')}"]


def test_review_whose_revision_has_left_the_record_is_no_review_lost(case: Case) -> None:
    case.take(case.entry(0))
    renamed = write_project(case.folder, "P01")

    with pytest.raises(RefusedFile, match=r"A\.json: must belong to a revision of the revision record \('P01'\)"):
        case_of(renamed).standing()


@pytest.mark.parametrize(
    ("label", "name"),
    [("A", "A.json"), ("P01.01", "P01.01.json"), ("0", "0.json"), (".hidden", None), ("a/b", None), ("..", None),
     ("revision-1", None), ("Ä", None), ("x" * 100, None)],
)  # fmt: skip
def test_file_of_a_revision_has_a_plain_name(label: str, name: str | None) -> None:
    made = file_name(label)

    assert made == name if name else made.startswith("revision-")
    assert "/" not in made
    assert len(made) < 80


@pytest.mark.parametrize(("number", "words"), [(2, r"one that there is \(1 to 1\)"), (1, "comment 1 is closed")])
def test_answer_to_no_open_comment_is_refused(case: Case, number: int, words: str) -> None:
    case.take(case.entry(0, "query", "Why?"))
    say(case, closed=(1,))
    before = contents(case.folder)

    with pytest.raises(ReviewError, match=words):
        say(case, {number: "Because."})
    assert contents(case.folder) == before


@pytest.mark.parametrize("text", ["", " \n", "\u200b\u2800\u3164", "x" * 10_001, "a\x07b", "\u202e"])
def test_answer_that_says_nothing_or_cannot_be_shown_is_refused(text: str) -> None:
    with pytest.raises(ReviewError, match="an answer must be a text"):
        checked_text(text)


def test_initials_are_the_first_letters() -> None:
    assert initials(" Edda  von Quill ") == "EvQ"


@pytest.mark.parametrize(("kind", "number"), [("raised", 2), ("answered", 1), ("closed", 3)])
def test_events_that_do_not_fit_together_are_refused(case: Case, kind: str, number: int) -> None:
    event = Event(
        comment=number, kind=kind, step="s", printed="A.1.1", title="t", query=True, who="EQ", date=TODAY,  # type: ignore[arg-type]
        text="" if kind == "closed" else "x",
    )  # fmt: skip
    ledger = ledger_of(case)
    with lock_reviews(case.folder):
        ledger.write(ledger.current().model_copy(update={"events": (event,)}))

    with pytest.raises(RefusedFile, match=f"comment {number} must be raised once"):
        comments(ledger_of(case))


@pytest.mark.parametrize(
    ("before", "after"), [('"revision": "A"', '"revision": "B"'), ('"document": "2', '"document": "3')]
)
def test_stored_review_of_something_else_is_refused(case: Case, before: str, after: str) -> None:
    case.take(case.entry(0))
    path = case.folder / "review" / "A.json"
    path.write_text(path.read_text().replace(before, after))

    with pytest.raises(RefusedFile, match=r"A\.json: (revision|document) must be that of the project file"):
        case.standing()


def test_writing_leaves_the_old_file_where_it_is_broken_off(case: Case, monkeypatch: pytest.MonkeyPatch) -> None:
    case.take(case.entry(0))
    before = contents(case.folder)

    def refuse(_self: Path, _target: Path) -> None:
        raise OSError(28, "No space left on device")

    monkeypatch.setattr(Path, "replace", refuse)
    with pytest.raises(OSError, match="No space"):
        case.take(case.entry(1))
    assert contents(case.folder) == before


@pytest.mark.parametrize(
    ("text", "shown"),
    [
        ("a\x07b", "a\ufffdb"),
        ("a\u202eb", "a\ufffdb"),
        ("x \U0001f4cf y", "x \ufffd y"),
        ("a\r\nb", "a\nb"),
        ("Δσ ≤ 3", "Δσ ≤ 3"),
    ],
)
def test_signs_that_cannot_be_shown_are_replaced(text: str, shown: str) -> None:
    assert shown_text(text) == shown


def test_line_for_a_terminal_is_cut() -> None:
    assert one_line("a\n b " * 100, 10) == "a b a b a…"
